"""What does a JSON file hold, if it can be read at all? No Django; refuses before it reads whole.

A file is refused by name, and where it is broken by line and column; nothing is guessed.
"""

import json
import math
from pathlib import Path
from typing import Any, NoReturn

from gridmap.errors import InvalidInput

BYTES_PER_MB = 1024 * 1024


def read_json_file(path: str | Path, *, largest_bytes: int) -> Any:
    """Return what a JSON file says.

    Raises InvalidInput for a file that is missing, unreadable, larger than `largest_bytes`, not
    UTF-8, not JSON (with line and column), with a key given twice, or with a number that is not
    finite.
    """
    return read_json_text(_text_of(Path(path), largest_bytes), name=str(path))


def read_json_text(text: str, *, name: str) -> Any:
    """Return what a JSON text says; `name` stands for it in messages."""

    def refuse(reason: str) -> NoReturn:
        raise InvalidInput(f"{name}: {reason}", field="file")

    def finite(digits: str) -> float:
        number = float(digits)
        if not math.isfinite(number):
            refuse(f"the number {digits[:40]} is too large.")
        return number

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            keys = [key for key, _ in pairs]
            twice = next(key for key in keys if keys.count(key) > 1)
            refuse(f"the key {twice[:40]!r} stands twice in one object. Keep one of them.")
        return found

    def constant(word: str) -> NoReturn:
        refuse(f"{word} is not a number that JSON has. Give a finite number.")

    try:
        return json.loads(text, parse_float=finite, parse_constant=constant, object_pairs_hook=once)
    except json.JSONDecodeError as error:
        raise InvalidInput(
            f"{name}, line {error.lineno}, column {error.colno}: {_reason(error)}. "
            "The file must be JSON.",
            field="file",
        ) from error
    except RecursionError as error:
        raise InvalidInput(f"{name}: it is nested too deeply.", field="file") from error
    except ValueError as error:  # a whole number of thousands of digits
        raise InvalidInput(f"{name}: a number in it is too long.", field="file") from error


def _reason(error: json.JSONDecodeError) -> str:
    return error.msg[:1].lower() + error.msg[1:]


def _text_of(path: Path, largest_bytes: int) -> str:
    try:
        if not path.exists():
            raise InvalidInput(f"There is no file {path}.", field="file")
        if not path.is_file():
            raise InvalidInput(f"{path} is not a file that can be read.", field="file")
        size_bytes = path.stat().st_size
        if size_bytes > largest_bytes:
            raise _too_large(path, size_bytes, largest_bytes)
        with path.open("rb") as file:
            data = file.read(largest_bytes + 1)  # it may have grown since
    except OSError as error:
        raise InvalidInput(
            f"{path} cannot be read: {error.strerror or error}.", field="file"
        ) from error
    if len(data) > largest_bytes:
        raise _too_large(path, len(data), largest_bytes)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InvalidInput(
            f"{path} is not UTF-8 text: byte {error.start + 1} does not fit.", field="file"
        ) from error


def _too_large(path: Path, size_bytes: int, largest_bytes: int) -> InvalidInput:
    return InvalidInput(
        f"{path} has {_mb(size_bytes)}; the limit is {_mb(largest_bytes)}. Nothing was read.",
        field="file",
    )


def _mb(size_bytes: int) -> str:
    if size_bytes < BYTES_PER_MB:
        return f"{size_bytes:,} bytes"
    return f"{size_bytes / BYTES_PER_MB:,.1f} MB"
