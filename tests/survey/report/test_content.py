"""Is a report's content easy to fill, and can it be kept as plain data?"""

import json
from pathlib import Path

import pytest

from gridmap.grid import Grid
from survey.report.content import bands_of, to_plain, used_terms
from survey.report.fonts import FontMissing, load_typeface
from tests.survey.report.harvest_report import DIGEST, bare_report, harvest_report


def test_content_is_kept_as_json_with_pictures_by_digest_only() -> None:
    kept = json.loads(json.dumps(to_plain(harvest_report())))

    assert kept["document"]["state"] == "draft"
    assert kept["plates"][0]["picture"]["digest"] == DIGEST
    assert "source" not in kept["plates"][0]["picture"]
    assert kept["comparison"]["changes"][0]["finding"] == "grown"
    assert '"type":"Polygon"' in kept["wall"]["openings"][0]["shape"].replace(" ", "")


def test_bands_run_in_wall_order_whatever_the_reading_order() -> None:
    grid = Grid.regular(
        width_in=60, height_in=48, column_spacing_in=24, row_spacing_in=24, columns_from="right"
    )

    columns = bands_of(grid.columns)

    # source: by hand: read from the right, the last column is the leftmost, 5 ft less 4 ft wide.
    assert [(b.from_in, b.to_in) for b in columns] == [(0, 12), (12, 36), (36, 60)]
    assert [b.name for b in columns] == ["3", "2", "1"]


def test_terms_used_are_those_of_plates_schedule_changes_and_treatments() -> None:
    assert used_terms(bare_report()) == ()
    assert "cleaned-area" in {term.code for term in used_terms(harvest_report())}
    assert "scorch-soot-of-hot-work" not in {term.code for term in used_terms(harvest_report())}


def test_a_missing_typeface_is_named_with_its_folder(tmp_path: Path) -> None:
    with pytest.raises(
        FontMissing, match=r"SourceSans3-Regular\.ttf is missing in .*python3 manage\.py"
    ):
        load_typeface(tmp_path)


def test_a_broken_typeface_is_named(tmp_path: Path) -> None:
    (tmp_path / "SourceSans3-Regular.ttf").write_bytes(b"not a font")

    with pytest.raises(FontMissing, match="cannot be read as a TrueType font"):
        load_typeface(tmp_path)
