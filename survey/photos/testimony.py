"""What does a picture file say of itself: when, which camera and lens, how exposed, which way up?

Pure. It is testimony: shown as the file states it, never taken for truth. The place on earth, the
owner's name and the maker's notes are left out.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

from survey.photos.formats.source import Damaged, Source
from survey.photos.formats.tiff import TiffReader, numbers

LONGEST = 120
BODY_NUMBER = ", no. "  # stands between the model and the number of the body
_EXIF_DIRECTORY = 0x8769
_MOMENTS = ((0x9003, 0x9291, 0x9011), (0x9004, 0x9292, 0x9012), (0x0132, 0x9290, 0x9010))
_TEXTS = {"software": 0x0131, "lens": 0xA434, "lens_maker": 0xA433}
_ORIENTATIONS = {
    1: "upright", 2: "mirrored", 3: "turned by 180°", 4: "mirrored, turned by 180°",
    5: "mirrored, turned by 90°", 6: "turned by 90° to the right",
    7: "mirrored, turned by 90°", 8: "turned by 90° to the left",
}  # fmt: skip
_LIGHT_SOURCES = {1: "daylight", 2: "fluorescent", 3: "tungsten", 4: "flash", 9: "fine weather"}


@dataclass(frozen=True)
class Testimony:
    """What a file states. `clock` is the camera's own, without a zone where the file names none."""

    said: Mapping[str, str] = field(default_factory=dict)
    clock: datetime | None = None
    camera: str = ""

    @property
    def taken_at(self) -> datetime | None:
        """The moment, where the file states its time zone."""
        return self.clock.astimezone(UTC) if self.clock and self.clock.tzinfo else None


def read_testimony(source: Source | None) -> Testimony:
    """Return what an Exif block, or a TIFF, says; nothing where it cannot be read."""
    if source is None:
        return Testimony()
    try:
        reader = TiffReader.of(source)
        tags = reader.first()
        inner = numbers(tags.get(_EXIF_DIRECTORY))
        tags = {**tags, **(reader.directory(inner[0])[0] if inner else {})}
    except Damaged:
        return Testimony({"unreadable": "The file's statements about itself cannot be read."})
    clock = _clock(tags)
    camera = _camera(tags)
    said = {
        "taken_at": _clock_words(clock) if clock else "",
        "camera": camera,
        **{name: _text(tags.get(tag)) for name, tag in _TEXTS.items()},
        **_exposure(tags),
        "orientation": _ORIENTATIONS.get((*numbers(tags.get(0x0112)), 0)[0], ""),
    }
    return Testimony({key: value for key, value in said.items() if value}, clock, camera)


def clock_of(said: Mapping[str, str]) -> datetime | None:
    """Return the camera's clock from a testimony that is on record, None where it states none."""
    text = said.get("taken_at", "").split(" (")[0]
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None


def _clock_words(clock: datetime) -> str:
    text = clock.isoformat(sep=" ", timespec="milliseconds" if clock.microsecond else "seconds")
    return text if clock.tzinfo else f"{text} (camera's clock, no time zone)"


def _clock(tags: Mapping[int, Any]) -> datetime | None:
    for moment_tag, part_tag, zone_tag in _MOMENTS:
        text = _text(tags.get(moment_tag))
        try:
            # Without a zone: what the camera's clock showed, wherever it was.
            moment = datetime.strptime(text, "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007
        except ValueError:
            continue
        part = _text(tags.get(part_tag))
        if part.isascii() and part.isdigit():
            moment += timedelta(seconds=float(f"0.{part[:6]}"))
        return moment.replace(tzinfo=_zone(_text(tags.get(zone_tag))))
    return None


def _zone(text: str) -> timezone | None:
    try:
        shift = datetime.strptime(text.replace("Z", "+00:00"), "%z").utcoffset()
    except ValueError:
        return None
    return None if shift is None else timezone(shift)


def _camera(tags: Mapping[int, Any]) -> str:
    """Return maker, model and body number: two bodies of one model keep two clocks."""
    maker, model = _text(tags.get(0x010F)), _text(tags.get(0x0110))
    name = model if model.lower().startswith(maker.lower()) else f"{maker} {model}".strip()
    number = _text(tags.get(0xA431))
    return f"{name}{BODY_NUMBER}{number}" if name and number else name


def _exposure(tags: Mapping[int, Any]) -> dict[str, str]:
    seconds, aperture = _ratio(tags.get(0x829A)), _ratio(tags.get(0x829D))
    length_mm = _ratio(tags.get(0x920A))
    sensitivity = (*numbers(tags.get(0x8827)), 0)[0]
    flash = numbers(tags.get(0x9209))
    return {
        "exposure": _seconds_words(seconds),
        "aperture": f"f/{aperture:.3g}" if aperture else "",
        "iso": f"ISO {sensitivity}" if sensitivity else "",
        "focal_length": f"{length_mm:.4g} mm" if length_mm else "",
        "flash": ("fired" if flash[0] & 1 else "did not fire") if flash else "",
        "light_source": _LIGHT_SOURCES.get((*numbers(tags.get(0x9208)), 0)[0], ""),
    }


def _seconds_words(seconds: float) -> str:
    if not seconds:
        return ""
    return f"1/{round(1 / seconds)} s" if seconds < 0.3 else f"{seconds:.3g} s"


def _ratio(value: Any) -> float:
    pair = numbers(value)
    if len(pair) != 2 or not pair[1] or pair[0] < 0:
        return 0.0
    ratio = float(pair[0] / pair[1])
    return ratio if 1e-6 <= ratio <= 1e6 else 0.0


def _text(value: Any) -> str:
    """Return a tag's text without what no page could show."""
    if not isinstance(value, bytes):
        return ""
    text = value.split(b"\x00")[0].decode("utf-8", "replace")
    return "".join(letter for letter in text if letter.isprintable()).strip()[:LONGEST]
