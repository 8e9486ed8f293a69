"""Is a JSON file read whole and honestly, or refused with a sentence that helps?"""

import json

import pytest

from gridmap.errors import InvalidInput
from survey.walls.files import read_json_file

LIMIT_BYTES = 1000


def written(tmp_path, data):
    path = tmp_path / "wall.json"
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return path


def refusal(path, largest_bytes=LIMIT_BYTES):
    with pytest.raises(InvalidInput) as caught:
        read_json_file(path, largest_bytes=largest_bytes)
    assert caught.value.field == "file"
    return caught.value.message


def test_what_was_written_is_read_back(tmp_path):
    said = {"width": "84 ft", "lines": [0, 24, 49.5], "names": ["Fläche", None, True]}

    assert read_json_file(written(tmp_path, json.dumps(said)), largest_bytes=LIMIT_BYTES) == said


def test_a_byte_order_mark_is_no_part_of_the_text(tmp_path):
    assert read_json_file(written(tmp_path, b"\xef\xbb\xbf{}"), largest_bytes=LIMIT_BYTES) == {}


def test_a_missing_file_is_named(tmp_path):
    path = tmp_path / "nowhere.json"

    assert refusal(path) == f"There is no file {path}."


def test_a_folder_is_no_file(tmp_path):
    assert "not a file" in refusal(tmp_path)


def test_a_file_above_the_limit_is_refused_before_it_is_read(tmp_path):
    path = tmp_path / "vast.json"
    with path.open("wb") as file:
        file.truncate(3 * 1024**3)  # 3 GB on paper, no byte on disk

    message = refusal(path, largest_bytes=64 * 1024**2)

    assert "3,072.0 MB" in message and "64.0 MB" in message


def test_broken_json_is_shown_by_line_and_column(tmp_path):
    message = refusal(written(tmp_path, '{"width": "84 ft",\n "height": }'))

    assert "line 2, column 12" in message


@pytest.mark.parametrize("word", ["NaN", "Infinity", "-Infinity"])
def test_what_is_no_number_in_json_is_refused_by_name(tmp_path, word):
    assert word in refusal(written(tmp_path, f'{{"width": {word}}}'))


def test_a_number_too_large_to_be_finite_is_refused(tmp_path):
    assert "1e999" in refusal(written(tmp_path, '{"width": 1e999}'))


def test_a_whole_number_of_thousands_of_digits_is_refused(tmp_path):
    message = refusal(written(tmp_path, f'{{"width": {"9" * 6000}}}'), largest_bytes=10_000)

    assert "too long" in message


def test_a_key_given_twice_is_refused(tmp_path):
    assert "'width'" in refusal(written(tmp_path, '{"width": 1, "width": 2}'))


def test_nesting_without_end_is_refused(tmp_path):
    message = refusal(written(tmp_path, "[" * 200_000), largest_bytes=1_000_000)

    assert "nested too deeply" in message


def test_bytes_that_are_no_text_are_refused(tmp_path):
    assert "UTF-8" in refusal(written(tmp_path, b'{"name": "\xff"}'))
