"""The text of a file of tables, and its mistakes with their lines, before anybody knows what it is of."""

from __future__ import annotations

import os
import re
import tomllib
from contextlib import suppress
from dataclasses import replace
from typing import Any

from engine.design.mistake import MOST_MISTAKES, Mistake, Path, shortened
from engine.files import safe_files
from engine.files.design_reader import TypedNumber
from engine.files.toml_lines import MOST_KEY_PARTS, line_of, line_of_long_key, lines_of

MOST_BYTES = 1 << 20


class DesignFileError(Exception):
    """A file that holds no design, or could not be written: `mistakes`, never empty; str() is one a line."""

    def __init__(self, *found: Mistake) -> None:
        self.mistakes = found
        super().__init__("\n".join(str(mistake) for mistake in found))


def text_in(path: str | os.PathLike[str]) -> str:
    """The text of a file. Raises DesignFileError."""
    try:
        # Opened so that a pipe nobody writes to is empty rather than waited for.
        handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
        with os.fdopen(handle, "rb") as file:
            os.set_blocking(file.fileno(), True)
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise DesignFileError(Mistake("", reason_of(error), "a design file that can be read")) from None
    if len(data) > MOST_BYTES:
        raise DesignFileError(Mistake("", "more than 1 MiB", "a design file of at most 1 MiB"))
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise DesignFileError(Mistake("", "bytes that are no text", "a design file: TOML in UTF-8", line=line)) from None


def parsed(text: str) -> dict[str, Any]:
    """The tables of a text of TOML. Raises DesignFileError."""
    if line := line_of_long_key(text):
        raise DesignFileError(Mistake("", f"a key of more than {MOST_KEY_PARTS} parts", "a design file", line=line))
    try:
        return tomllib.loads(text, parse_float=TypedNumber)
    except tomllib.TOMLDecodeError as error:
        raise DesignFileError(_syntax(str(error), text)) from None
    except (RecursionError, ValueError):
        raise DesignFileError(Mistake("", "values nested too deep, or a number too long", "a design file")) from None


def _syntax(message: str, text: str) -> Mistake:
    what, _, place = message.rpartition(" (at ")
    at = re.fullmatch(r"line ([0-9]+), column ([0-9]+)\)", place)
    line = int(at[1]) if at else text.count("\n") + 1
    where = f"at column {at[2]}" if at else "at the end of the file"
    found = f"{what[:1].lower()}{what[1:]}" if what else message
    return Mistake("", f"not TOML {where}: {shortened(found, 120)}", 'keys and values, such as length = "1.2 m"', line=line)


def in_order(found: list[Mistake], text: str) -> list[Mistake]:
    """Mistakes with their lines, in the order of the file; only so many."""
    lines: dict[Path, int] = {}
    with suppress(RecursionError):  # nested as deep as the parser only just managed
        lines = lines_of(text)
    placed = sorted((replace(mistake, line=line_of(lines, mistake.path)) for mistake in found), key=lambda mistake: mistake.line or 0)
    if len(placed) > MOST_MISTAKES:
        placed[MOST_MISTAKES:] = [Mistake("", f"more than {MOST_MISTAKES} mistakes", "these mended first")]
    return placed


def reason_of(error: Exception) -> str:
    """Why a file could not be read or written."""
    return shortened(safe_files.reason(error), 120)
