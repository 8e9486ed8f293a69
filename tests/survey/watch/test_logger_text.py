"""What does a logger's file say? Small files and their readings, both written by hand."""

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gridmap.errors import InvalidInput
from survey.watch.field_times import Unclear
from survey.watch.logger_text import How, read_logger

AIR = {"name": "air", "quantity": "air-temperature", "unit": "°C"}
RH = {"name": "rh", "quantity": "relative-humidity", "unit": "%"}
UTC_CLOCK = {"offset_min": 0}
LONDON = {"zone": "Europe/London"}
BOTH = How({"T": "air", "RH": "rh"})
ONE = How({"T": "air"})


def read(text, *, channels=(AIR, RH), clock=UTC_CLOCK, how=BOTH):
    data = text if isinstance(text, bytes) else text.encode()
    return read_logger(data, channels=channels, clock=clock, how=how)


def said(found, channel="air"):
    times, values = found.channels[channel]
    return [
        (datetime.fromtimestamp(at / 1e6, UTC).strftime("%m-%d %H:%M:%S"), value)
        for at, value in zip(times.tolist(), values.tolist(), strict=True)
    ]


TWO = [("03-02 09:00:00", 20.5), ("03-02 09:15:00", 20.7)]
WRITTEN = {
    "comma": "Time,T,RH\n2026-03-02 09:00,20.5,55\n2026-03-02 09:15,20.7,56\n",
    "semicolon and decimal comma": "Time;T;RH\n02.03.2026 09:00;20,5;55,0\n02.03.2026 09:15;20,7;56,0\n02.03.2026 09:15;20,7;56,0\n",
    "tab": "Time\tT\tRH\n2026/03/02 09:00:00\t20.5\t55\n2026/03/02 09:15:00\t20.7\t56\n",
    "bar": "Time|T|RH\n2-Mar-2026 09:00|20.5|55\n2-Mar-2026 09:15|20.7|56\n",
    "header after a preamble": "Logger 40117\nInterval;15 min\n\nTime,T,RH\n2026-03-02T09:00,20.5,55\n2026-03-02T09:15,20.7,56\n",
    "date and time apart": "Date,Clock,T,RH\n2026-03-02,09:00,20.5,55\n2026-03-02,09:15,20.7,56\n",
    "afternoon clock": "Time,T,RH\n2026-03-02 9:00 AM,20.5,55\n2026-03-02 9:15 AM,20.7,56\n",
    "quoted": '"Time","T","RH"\n"2026-03-02 09:00","20.5","55"\n"2026-03-02 09:15","20.7","56"\n',
    "byte order mark and old newlines": "\ufeffTime,T,RH\r\n2026-03-02 09:00,20.5,55\r\n2026-03-02 09:15,20.7,56\r\n",
    "spaces around": "Time, T, RH\n2026-03-02 09:00, 20.5, 55\n2026-03-02 09:15, 20.7, 56\n",
    "its own offset": "Time,T,RH\n2026-03-02T10:00+01:00,20.5,55\n2026-03-02T10:15+01:00,20.7,56\n",
    "newest first": "Time,T,RH\n2026-03-02 09:15,20.7,56\n2026-03-02 09:00,20.5,55\n",
    "no end of line": "Time,T,RH\n2026-03-02 09:00,20.5,55\n2026-03-02 09:15,20.7,56",
}  # fmt: skip


@pytest.mark.parametrize("text", WRITTEN.values(), ids=WRITTEN.keys())
def test_the_same_readings_are_read_whatever_the_habits_of_the_logger(text):
    day_first = How({"T": "air", "RH": "rh"}, day_first=True)

    assert said(read(text, how=day_first)) == TWO


@pytest.mark.parametrize("code", ["utf-16", "cp1252", "utf-8"])
def test_the_degree_sign_is_read_from_every_code_page(code):
    text = "Time,Temp (°F)\n2026-03-02 09:00,68.0\n2026-03-02 09:15,50.0\n"

    found = read(text.encode(code), channels=[AIR], how=How({"Temp (°F)": "air"}))

    # source: 68 °F is 20 °C and 50 °F is 10 °C, by definition
    assert [value for _, value in said(found)] == pytest.approx([20.0, 10.0])


def test_the_hour_that_runs_twice_is_kept_as_two_in_the_order_of_the_lines():
    """Clocks in London went back on 2026-10-25 at 01:00 UTC.

    # source: Summer Time Order 2002 (SI 2002/262): last Sunday of October, 01:00 GMT
    """
    stamps = ["00:30", "01:00", "01:30", "01:00", "01:30", "02:00"]
    lines = [f"2026-10-25 {at},{place}" for place, at in enumerate(stamps)]

    found = read("Time,T\n" + "\n".join(lines), channels=[AIR], clock=LONDON, how=ONE)

    assert said(found) == [
        ("10-24 23:30:00", 0.0),
        ("10-25 00:00:00", 1.0),
        ("10-25 00:30:00", 2.0),
        ("10-25 01:00:00", 3.0),
        ("10-25 01:30:00", 4.0),
        ("10-25 02:00:00", 5.0),
    ]
    assert "kept as two" in found.notes[0]


def test_an_hour_that_runs_twice_but_stands_once_is_said():
    stamps = ["00:30", "01:00", "01:30", "02:00"]
    lines = [f"2026-10-25 {at},{place}" for place, at in enumerate(stamps)]

    found = read("Time,T\n" + "\n".join(lines), channels=[AIR], clock=LONDON, how=ONE)

    assert said(found)[1] == ("10-25 00:00:00", 1.0)
    assert "give the instrument a fixed offset" in found.notes[0]


def test_the_hour_that_never_was_is_refused_line_by_line():
    """Clocks in London went forward on 2026-03-29 at 01:00 UTC (same order)."""
    stamps = ["00:45", "01:00", "01:30", "02:00"]
    lines = [f"2026-03-29 {at},{place}" for place, at in enumerate(stamps)]

    found = read("Time,T\n" + "\n".join(lines), channels=[AIR], clock=LONDON, how=ONE)

    assert said(found) == [("03-29 00:45:00", 0.0), ("03-29 01:00:00", 3.0)]
    assert [one.line for one in found.refused] == [3, 4]
    assert "it never was" in found.refused[0].reason


def test_a_fixed_offset_is_taken_off_the_whole_year():
    text = "Time,T\n2026-01-15 09:00,1\n2026-07-15 09:00,2\n"

    found = read(text, channels=[AIR], clock={"offset_min": -300}, how=ONE)

    assert [at for at, _ in said(found)] == ["01-15 14:00:00", "07-15 14:00:00"]


# A day above 12 in either place settles the order for the whole file.
@pytest.mark.parametrize(
    ("stamp", "at"),
    [("13/04/2026 09:00", "04-13 09:00:00"), ("04/13/2026 09:00", "04-13 09:00:00")],
)
def test_one_line_settles_which_of_day_and_month_comes_first(stamp, at):
    found = read(f"Time,T\n{stamp},1\n{stamp},1\n", channels=[AIR], how=ONE)

    assert said(found)[0][0] == at


@pytest.mark.parametrize("dates", [["03/04/2026", "05/04/2026"], ["13/04/2026", "04/13/2026"]])
def test_dates_that_nothing_settles_are_asked(dates):
    text = "Time,T\n" + "".join(f"{day} 09:00,1\n" for day in dates)

    with pytest.raises(Unclear) as asked:
        read(text, channels=[AIR], how=ONE)

    assert asked.value.field == "day_first"
    assert [key for key, _ in asked.value.choices] == ["day", "month"]


def test_a_comma_that_may_part_thousands_is_asked():
    light = {"name": "air", "quantity": "illuminance", "unit": "lx"}
    text = "Time;T\n2026-03-02 09:00;1,250\n2026-03-02 09:15;2,500\n"

    with pytest.raises(Unclear) as asked:
        read(text, channels=[light], how=ONE)

    assert asked.value.field == "decimal"


def test_refused_lines_carry_number_column_text_and_reason():
    lines = [f"2026-03-02 {9 + n // 4:02}:{n % 4 * 15:02},20.5,55" for n in range(24)]
    lines[2] = "2026-03-02 09:30,Err 7,55"
    lines[5] = "2026-02-30 10:15,20.5,55"
    lines[8] = "2026-03-02 11:00,20.5,131"
    lines[9] = "2026-03-02 11:15,20.5"

    found = read("Time,T,RH\n" + "\n".join(lines))

    assert [(one.line, one.column) for one in found.refused] == [
        (4, "T"), (7, "Time"), (10, "RH"), (11, ""),
    ]  # fmt: skip
    assert found.refused[2].reason == "131 % relative humidity is above 100 %."
    assert said(found, "rh")[2] == ("03-02 09:30:00", 55.0)


def test_duplicated_stamps_are_taken_once_and_another_reading_is_refused():
    text = "Time,T\n" + "".join(
        f"2026-03-02 09:{minute},{value}\n"
        for minute, value in [("00", 1), ("15", 2), ("15", 2), ("30", 3), ("30", 4)]
    )

    found = read(text, channels=[AIR], how=ONE)

    assert [value for _, value in said(found)] == [1.0, 2.0, 3.0]
    assert [(one.line, one.text) for one in found.refused] == [(6, "4")]
    assert found.notes == ("1 line stands more than once in the file and counts once.",)


def test_a_line_that_stands_twice_is_said_beside_the_hour_that_runs_twice():
    stamps = ["00:30", "01:00", "01:30", "01:00", "01:30", "02:00", "02:15", "02:15"]
    lines = [f"2026-10-25 {at},{min(place, 6)}" for place, at in enumerate(stamps)]

    found = read("Time,T\n" + "\n".join(lines), channels=[AIR], clock=LONDON, how=ONE)

    assert len(said(found)) == 7
    assert any("hour that ran twice" in note for note in found.notes)
    assert any("more than once" in note for note in found.notes)


def test_what_the_logger_left_empty_is_missing_and_not_refused():
    text = "Time,T\n2026-03-02 09:00,20.5\n2026-03-02 09:15,\n2026-03-02 09:30,---\n"

    found = read(text, channels=[AIR], how=ONE)

    assert np.isnan(found.channels["air"][1][1:]).all()
    assert not found.refused
    assert found.accepted == 1


def test_units_in_a_line_of_their_own_belong_to_the_heads():
    text = "Time;T;RH\n;°F;%\n2026-03-02 09:00;68,0;55\n2026-03-02 09:15;50,0;56\n"

    found = read(text, how=How({"T °F": "air", "RH %": "rh"}))

    assert [value for _, value in said(found)] == pytest.approx([20.0, 10.0])
    assert found.table.header_line == 1


def test_lines_without_a_reading_at_the_head_of_a_file_are_no_header():
    text = "Start,2026-03-01\nTime,T\n2026-03-02 09:00,\n2026-03-02 09:15,20.7\n2026-03-02 09:30,20.8\n"

    found = read(text, channels=[AIR], how=ONE)

    assert found.table.heads == ("Time", "T")
    assert said(found)[0][0] == "03-02 09:00:00"


def test_a_column_beyond_what_can_be_true_stops_the_whole_file():
    lines = [f"2026-03-02 09:{minute:02},55.0,{-3 - minute}" for minute in range(30)]

    with pytest.raises(InvalidInput, match="30 of 30 readings, the first -3"):
        read("Time,T,RH\n" + "\n".join(lines))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"PK\x03\x04\x14\x00", "spreadsheet"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", "spreadsheet"),
        (b"just some words\nand more of them\n", "No delimiter"),
        (b"a,b\nc,d\ne,f\n", "none holds a date"),
    ],
)
def test_what_is_no_loggers_file_is_refused_in_words(data, words):
    with pytest.raises(InvalidInput, match=words):
        read(data)


def test_a_column_that_the_file_does_not_have_is_named_with_those_it_has():
    with pytest.raises(InvalidInput, match="no column “Humidity”; it has: T, RH"):
        read(WRITTEN["comma"], how=How({"Humidity": "rh"}))


def test_columns_that_nobody_matched_are_asked():
    with pytest.raises(Unclear) as asked:
        read("Time,First,Second\n2026-03-02 09:00,1,2\n2026-03-02 09:15,1,2\n", how=How())

    assert asked.value.field == "columns"


def test_columns_whose_heads_say_it_need_no_matching():
    text = "Time,Temperature (°C),Rel. humidity (%)\n2026-03-02 09:00,20.5,55\n2026-03-02 09:15,20.7,56\n"

    assert said(read(text, how=How())) == TWO


@given(
    st.lists(st.tuples(st.integers(-500, 950), st.integers(0, 1000)), min_size=2, max_size=60),
    st.sampled_from([",", ";", "\t", "|"]),
    st.sampled_from(["%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M:%SZ", "%d %b %Y %I:%M %p"]),
)
def test_what_was_written_is_read_back_to_the_last_digit(tenths, delimiter, stamp):
    """The numbers stand against Python's own reading of them."""
    start = datetime(2026, 3, 2, tzinfo=UTC).timestamp()
    moments = [datetime.fromtimestamp(start + 900 * n, UTC) for n in range(len(tenths))]
    rows = [
        delimiter.join([at.strftime(stamp), f"{air / 10:.1f}", f"{rh / 10:.1f}"])
        for at, (air, rh) in zip(moments, tenths, strict=True)
    ]

    found = read("\n".join([delimiter.join(["Time", "T", "RH"]), *rows]))

    times, values = found.channels["air"]
    assert times.tolist() == [round(at.timestamp() * 1e6) for at in moments]
    assert values.tolist() == [float(f"{air / 10:.1f}") for air, _ in tenths]


GOOD = WRITTEN["semicolon and decimal comma"].encode()


@given(
    st.lists(
        st.tuples(st.integers(0, len(GOOD) - 1), st.sampled_from(b'";,\t|\n\r\0 -+.:/9aZ\xff\xb0')),
        min_size=1,
        max_size=25,
    )
)
def test_a_damaged_file_is_read_or_refused_in_words_and_never_breaks_the_program(slips):
    damaged = bytearray(GOOD)
    for place, letter in slips:
        damaged[place] = letter

    try:
        found = read(bytes(damaged), how=How({"T": "air", "RH": "rh"}, day_first=True))
    except InvalidInput as refused:
        assert refused.message
    else:
        for times, values in found.channels.values():
            assert (np.diff(times) > 0).all()
            assert times.size == values.size


@given(st.binary(max_size=400))
def test_bytes_of_any_kind_are_refused_in_words(data):
    with pytest.raises(InvalidInput):
        read(data)


@given(st.text(alphabet="0123456789-/.:; ,\tTZ\n", max_size=300))
def test_figures_of_any_kind_are_read_or_refused_in_words(text):
    try:
        read("Time;T;RH\n" + text)
    except InvalidInput as refused:
        assert refused.message
