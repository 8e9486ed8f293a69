"""Which typeface does a report use, where does it lie, and which characters can it print?

Source Sans 3 (SIL Open Font License) as static TrueType outlines: PDF/A needs the glyphs embedded,
and no character may fall on the empty glyph, so `printable` spells out what the face does not hold.
"""

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from gridmap.errors import PontataError

REGULAR, STRONG, ITALIC = "Pontata-Regular", "Pontata-Strong", "Pontata-Italic"
FILES: Mapping[str, str] = {
    REGULAR: "SourceSans3-Regular.ttf",
    STRONG: "SourceSans3-Semibold.ttf",
    ITALIC: "SourceSans3-It.ttf",
}
DEFAULT_FOLDER = Path(__file__).resolve().parents[2] / "node_modules" / "source-sans" / "TTF"
# Invisible: soft hyphen, zero-width signs, direction marks, byte order mark.
_DROPPED = frozenset(
    {0xAD, *range(0x200B, 0x2010), *range(0x202A, 0x202F), *range(0x2060, 0x2070), 0xFEFF}
)
_SPACES = frozenset({0x9, 0x1680, *range(0x2000, 0x200B), 0x205F, 0x3000})


class FontMissing(PontataError):
    """The typeface of the report is not where it was looked for."""


@dataclass(frozen=True)
class Typeface:
    """The registered faces, with the characters that all of them can print."""

    characters: frozenset[int]

    def printable(self, text: str) -> str:
        """Return text in which every character has a glyph; others are spelled as ‹U+05D0›."""
        if text.isascii() and text.isprintable():
            return text
        return "".join(map(self._shown, unicodedata.normalize("NFC", text)))

    def _shown(self, character: str) -> str:
        code = ord(character)
        if code in self.characters and code > 0x1F:
            return character
        if character == "\n" or code in (0xD, 0x2028, 0x2029):
            return "\n"
        if code in _SPACES:
            return " "
        if code in _DROPPED or unicodedata.category(character) == "Cc" or 0xFE00 <= code <= 0xFE0F:
            return ""
        return f"‹U+{code:04X}›"


@lru_cache(maxsize=4)
def load_typeface(folder: Path = DEFAULT_FOLDER) -> Typeface:
    """Register the faces in `folder` with reportlab once. Raises FontMissing."""
    common: set[int] | None = None
    for name, file in FILES.items():
        path = folder / file
        if not path.is_file():
            raise FontMissing(
                f"The report's typeface file {file} is missing in {folder}. "
                "Run “python3 manage.py test” or “demo” once with a network, which fetches it."
            )
        try:
            font = TTFont(name, str(path))
        except TTFError as error:
            raise FontMissing(f"{path} cannot be read as a TrueType font: {error}.") from error
        pdfmetrics.registerFont(font)
        held = {code for code, glyph in font.face.charToGlyph.items() if glyph}
        common = held if common is None else common & held
    return Typeface(frozenset((common or set()) - _DROPPED - (_SPACES - {0x9})))
