"""Is a report PDF/A-2b in the eyes of an independent validator?"""

from io import BytesIO
from pathlib import Path

import pikepdf
import pytest

from survey.report.build import build_pdf
from survey.report.pdfa import srgb_profile
from tests.survey.report.harvest_report import bare_report
from tests.survey.report.pdfa_checker import check_pdfa, require_checker
from tests.survey.report.reading import bare_pdf, harvest_pdf
from tests.survey.report.test_hostile_text import HOSTILE, hostile_report


@pytest.fixture(scope="module")
def checker(tmp_path_factory: pytest.TempPathFactory) -> str:
    return require_checker(tmp_path_factory.mktemp("checker"))


@pytest.mark.long
def test_reports_conform_whatever_people_wrote(checker: str, tmp_path: Path) -> None:
    files = []
    made = {
        "full": harvest_pdf(),
        "bare": bare_pdf(),
        "hostile": build_pdf(hostile_report(" ".join(HOSTILE))),
    }
    for name, pdf in made.items():
        files.append(tmp_path / f"{name}.pdf")
        files[-1].write_bytes(pdf)

    conforms, said = check_pdfa(checker, *files)

    assert conforms, said


@pytest.mark.long
def test_the_check_can_fail(checker: str, tmp_path: Path) -> None:
    path = tmp_path / "without-intent.pdf"
    with pikepdf.open(BytesIO(bare_pdf())) as pdf:
        del pdf.Root.OutputIntents
        pdf.save(path)

    conforms, said = check_pdfa(checker, path)

    assert not conforms
    assert "FAIL" in said


def test_colours_have_an_srgb_output_intent() -> None:
    with pikepdf.open(BytesIO(bare_pdf())) as pdf:
        intent = pdf.Root.OutputIntents[0]
        profile = intent.DestOutputProfile.read_bytes()

    # source: ISO 19005-2, 6.2.3: S is GTS_PDFA1; ICC.1:2010, 7.2: "acsp" at byte 36, "RGB " at 16.
    assert str(intent.S) == "/GTS_PDFA1"
    assert profile == srgb_profile()
    assert profile[36:40] == b"acsp" and profile[16:20] == b"RGB "


def test_metadata_agree_with_the_document_information() -> None:
    with pikepdf.open(BytesIO(build_pdf(bare_report()))) as pdf, pdf.open_metadata() as metadata:
        title, part = metadata["dc:title"], metadata["pdfaid:part"]
        information = str(pdf.docinfo["/Title"])

    assert (title, part) == (information, "2")
