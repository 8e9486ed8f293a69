"""How are an instrument, what happened to it and a reading by hand typed at the desk?"""

from collections.abc import Mapping, Sequence
from datetime import UTC
from typing import Any

from django import forms

from gridmap.errors import InvalidInput
from gridmap.models import Wall
from survey.record.fields import LONGEST_LINE, LONGEST_NOTE
from survey.walls.form_fields import DateField, LengthField, MomentField, NamedForm, rows_of
from survey.watch.instrument_kinds import AXES, EVENTS
from survey.watch.models import Instrument
from survey.watch.quantities import QUANTITIES, quantity_of

ZONE, OFFSET = "zone", "offset"
CLOCKS = [(ZONE, "Local time, changed for summer"), (OFFSET, "One offset from UTC all year")]
EVENT_WORDS = {
    "installed": "Installed", "moved": "Moved", "battery": "Battery changed",
    "calibrated": "Calibrated", "fault": "Fault seen", "mended": "Mended",
    "test-alarm": "Test alarm set off", "removed": "Taken away",
}  # fmt: skip
UNITS = list(dict.fromkeys(unit for one in QUANTITIES.values() for unit in one.units))
AXIS_WORDS = {"x": "x", "y": "y", "z": "z", "sum": "vector sum"}
_NOTE: dict[str, Any] = {"widget": forms.Textarea(attrs={"rows": 2}), "max_length": LONGEST_NOTE}


class ChannelRow(forms.Form):
    """One channel: what it reads and in which unit."""

    name = forms.CharField(label="Channel", max_length=40)
    quantity = forms.ChoiceField(
        label="Reads",
        choices=[(one.name, one.words.capitalize()) for one in QUANTITIES.values()],
        initial="air-temperature",  # a row left as it is offered is no row
    )
    unit = forms.ChoiceField(label="Unit", choices=[(unit, unit) for unit in UNITS], initial="°C")
    axis = forms.ChoiceField(
        label="Axis", required=False, choices=[("", "none"), *((a, AXIS_WORDS[a]) for a in AXES)]
    )
    uncertainty = forms.FloatField(label="Standard error", required=False, min_value=0)


ChannelRows = rows_of(ChannelRow, extra=1, most=40)


class InstrumentForm(NamedForm):
    """Everything that an instrument's record holds but its channels."""

    code = forms.CharField(label="Code on its label", max_length=40, help_text="Such as A1")
    name = forms.CharField(label="Name", max_length=120, help_text="Such as air logger, deck 1")
    serial = forms.CharField(label="Serial number", required=False, max_length=LONGEST_LINE)
    deck = forms.ChoiceField(label="Deck", required=False)
    cell = forms.CharField(label="Cell", required=False, max_length=20)
    height = LengthField(label="Height above the floor", required=False)
    place = forms.CharField(
        label="Place and fixing", required=False, max_length=LONGEST_LINE,
        help_text="Nothing is glued to paint or screwed into it",
    )  # fmt: skip
    interval_min = forms.FloatField(
        label="Interval of readings, minutes", required=False, min_value=0.001,
        help_text="A longer pause is unknown, never safe",
    )  # fmt: skip
    silence_h = forms.FloatField(
        label="Silence that must be told, hours", required=False, min_value=0.01
    )
    clock = forms.ChoiceField(label="Its clock", choices=CLOCKS, initial=OFFSET)
    zone = forms.CharField(
        label="Time zone", required=False, max_length=60, help_text="Such as Europe/London"
    )
    offset_min = forms.IntegerField(
        label="Offset from UTC, minutes", required=False, min_value=-840, max_value=840, initial=0
    )
    calibrated_on = DateField(label="Calibrated on", required=False)
    calibrated_until = DateField(label="Calibration runs out on", required=False)
    certificate = forms.CharField(label="Certificate", required=False, max_length=LONGEST_LINE)
    from_on = DateField(label="On the wall from")
    until_on = DateField(label="Taken away on", required=False)
    limits_note = forms.CharField(label="Limits set in the instrument", required=False, **_NOTE)
    note = forms.CharField(label="Note", required=False, **_NOTE)

    def __init__(self, *arguments: Any, wall: Wall, **options: Any) -> None:
        super().__init__(*arguments, **options)
        decks = [str(deck["name"]) for deck in wall.layout.decks]
        self.fields["deck"].choices = [("", "none"), *((name, name) for name in decks)]  # type: ignore[attr-defined]

    def body(self, channels: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
        """Return the entry's body; what was left empty is left out."""
        said = self.cleaned_data
        plain = ("code", "name", "serial", "deck", "cell", "place", "limits_note", "note")
        body: dict[str, Any] = {key: said[key] for key in plain if said[key]}
        body["channels"] = [_channel(one) for one in channels]
        if said["height"] is not None:
            body["height_in"] = said["height"]
        if said["interval_min"]:
            body["interval_s"] = round(said["interval_min"] * 60, 3)
        if said["silence_h"]:
            body["silence_s"] = round(said["silence_h"] * 3600, 3)
        zoned = said["clock"] == ZONE
        body["time"] = {"zone": said["zone"]} if zoned else {"offset_min": said["offset_min"] or 0}
        body["from_on"] = said["from_on"].isoformat()
        if said["until_on"]:
            body["until_on"] = said["until_on"].isoformat()
        body |= self._calibration()
        return body

    def _calibration(self) -> dict[str, Any]:
        said = self.cleaned_data
        done, until = said["calibrated_on"], said["calibrated_until"]
        if not (done or until or said["certificate"]):
            return {}
        if not (done and until):
            raise InvalidInput(
                "A calibration needs the day it was done and the day it runs out.",
                field="calibrated_until",
            )
        calibration = {"on": done.isoformat(), "until": until.isoformat()}
        if said["certificate"]:
            calibration["certificate"] = said["certificate"]
        return {"calibration": calibration}


def _channel(row: Mapping[str, Any]) -> dict[str, Any]:
    found = {"name": row["name"], "quantity": row["quantity"], "unit": row["unit"]}
    if row.get("axis"):
        found["axis"] = row["axis"]
    if row.get("uncertainty") is not None:
        found["error"] = row["uncertainty"]
    return found


def typed_instrument(instrument: Instrument) -> dict[str, Any]:
    """Return an instrument as it was typed."""
    said = instrument.content
    calibration, clock = said.get("calibration") or {}, said["time"]
    return {
        **{key: said.get(key, "") for key in ("code", "name", "serial", "deck", "cell", "place")},
        **{key: said.get(key) for key in ("limits_note", "note", "from_on", "until_on")},
        "height": said.get("height_in"),
        "interval_min": _share(said.get("interval_s"), 60),
        "silence_h": _share(said.get("silence_s"), 3600),
        "clock": ZONE if "zone" in clock else OFFSET,
        "zone": clock.get("zone", ""),
        "offset_min": clock.get("offset_min", 0),
        "calibrated_on": calibration.get("on"),
        "calibrated_until": calibration.get("until"),
        "certificate": calibration.get("certificate", ""),
    }


def typed_channels(instrument: Instrument) -> list[dict[str, Any]]:
    """Return an instrument's channels as they were typed."""
    return [{**one, "uncertainty": one.get("error")} for one in instrument.channels]


def _share(seconds: float | None, of_s: int) -> float | None:
    return None if seconds is None else round(seconds / of_s, 6)


class EventForm(NamedForm):
    """Something that happened to an instrument."""

    what = forms.ChoiceField(label="What", choices=[(key, EVENT_WORDS[key]) for key in EVENTS])
    at = MomentField(label="When (UTC)")
    who = forms.CharField(label="By whom", max_length=150)
    place = forms.CharField(label="New place", required=False, max_length=LONGEST_LINE)
    result = forms.CharField(
        label="Result", required=False, max_length=LONGEST_LINE,
        help_text="Of a test alarm: heard where, answered by whom, after how long",
    )  # fmt: skip
    note = forms.CharField(label="Note", required=False, **_NOTE)

    def body(self) -> dict[str, Any]:
        """Return the entry's body."""
        said = self.cleaned_data
        kept = {key: said[key] for key in ("what", "who", "place", "result", "note") if said[key]}
        return {**kept, "at": said["at"].replace(tzinfo=UTC).isoformat()}


class HandForm(NamedForm):
    """Readings of one moment, one field for each channel."""

    at = MomentField(label="Read at (UTC)")

    def __init__(self, *arguments: Any, instrument: Instrument, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.instrument = instrument
        for place, channel in enumerate(instrument.channels):
            words = quantity_of(channel["quantity"]).words.capitalize()
            label = f"{words} ({channel['name']})"
            unit = "" if channel["unit"] == "–" else f", {channel['unit']}"
            self.fields[f"value_{place}"] = forms.FloatField(label=label + unit, required=False)
        self.fields["note"] = forms.CharField(label="Note", required=False, **_NOTE)

    @property
    def value_fields(self) -> list[forms.BoundField]:
        """The fields of readings, in the order of the channels."""
        return [self[f"value_{place}"] for place in range(len(self.instrument.channels))]

    def readings(self) -> list[list[Any]]:
        """Return what was read; raises InvalidInput where nothing was."""
        at = self.cleaned_data["at"].replace(tzinfo=UTC).isoformat()
        found = [
            [at, channel["name"], self.cleaned_data[f"value_{place}"]]
            for place, channel in enumerate(self.instrument.channels)
            if self.cleaned_data[f"value_{place}"] is not None
        ]
        if not found:
            raise InvalidInput("No reading is given; write at least one.", field="value_0")
        return found
