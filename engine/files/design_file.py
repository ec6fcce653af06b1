"""Design files, format 1: TOML in and out.

Reading reports every mistake of a file together, with its place; any bytes
give a Design or a DesignFileError. Writing puts back what was typed.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

import tomli_w

from engine.design import Design
from engine.design.consistency import mistakes
from engine.design.entries import Entry, entries
from engine.design.kept import ROWS, kept
from engine.design.mistake import MOST_MISTAKES, Mistake, Path, shortened
from engine.files import safe_files
from engine.files.design_reader import FORMAT, Reader, TypedNumber
from engine.files.toml_lines import MOST_KEY_PARTS, has_comment, line_of, line_of_long_key, lines_of
from engine.units.words import counted

MOST_BYTES = 1 << 20
_SURE_TO_FIT = MOST_BYTES // 8  # what is written shortest has fewer signs than an eighth of what is written for it


class DesignFileError(Exception):
    """A file that holds no design, or could not be written: `mistakes`, never empty; str() is one a line."""

    def __init__(self, *found: Mistake) -> None:
        self.mistakes = found
        super().__init__("\n".join(str(mistake) for mistake in found))


# Reading


def load(path: str | os.PathLike[str]) -> Design:
    """Read a design file. Raises DesignFileError."""
    return loads(_text_in(path))


def loads(text: str) -> Design:
    """Read a design from the text of its file. Raises DesignFileError."""
    text = text.removeprefix("\ufeff")
    reader = Reader(_parsed(text))
    design = reader.design()
    found = [*reader.found, *(mistakes(design, reader.broken) if design is not None else ())]
    if found or design is None:
        raise DesignFileError(*_in_order(found, text))
    if len(text) > _SURE_TO_FIT and (larger := too_large(design)):
        raise DesignFileError(larger)
    return design


def has_comments(path: str | os.PathLike[str]) -> bool:
    """Whether a design file has comments, which do not survive a save."""
    try:
        return has_comment(_text_in(path))
    except DesignFileError:
        return False


def _text_in(path: str | os.PathLike[str]) -> str:
    try:
        # Opened so that a pipe nobody writes to is empty rather than waited for.
        handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
        with os.fdopen(handle, "rb") as file:
            os.set_blocking(file.fileno(), True)
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise DesignFileError(Mistake("", _reason(error), "a design file that can be read")) from None
    if len(data) > MOST_BYTES:
        raise DesignFileError(Mistake("", "more than 1 MiB", "a design file of at most 1 MiB"))
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise DesignFileError(Mistake("", "bytes that are no text", "a design file: TOML in UTF-8", line=line)) from None


def _parsed(text: str) -> dict[str, Any]:
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


def _in_order(found: list[Mistake], text: str) -> list[Mistake]:
    """Mistakes with their lines, in the order of the file; only so many."""
    lines: dict[Path, int] = {}
    with suppress(RecursionError):  # nested as deep as the parser only just managed
        lines = lines_of(text)
    placed = sorted((replace(mistake, line=line_of(lines, mistake.path)) for mistake in found), key=lambda mistake: mistake.line or 0)
    if len(placed) > MOST_MISTAKES:
        placed[MOST_MISTAKES:] = [Mistake("", f"more than {MOST_MISTAKES} mistakes", "these mended first")]
    return placed


# Saving


def save(design: Design, path: str | os.PathLike[str]) -> str:
    """Write a design file: beside the old one, synced, read back, then in its place; the old one, where it differs, stays as NAME~.

    What is to be said about it, "" for nothing. Raises DesignFileError where
    the file would not read back as the design, or the system refuses; the old
    file is then untouched.
    """
    text = readable(design)
    try:
        others = safe_files.replace_file(FilePath(path), text.encode("utf-8"))
    except (OSError, ValueError) as error:
        raise DesignFileError(Mistake("", f"not saved: {_reason(error)}", "a place that can be written to")) from None
    holding = "(a hard link) holds" if others == 1 else "(hard links) hold"
    return f"{counted(others, 'other name')} of the file {holding} the version before" if others else ""


def readable(design: Design) -> str:
    """The text of a design's file, which reads back as the design. Raises DesignFileError where none does."""
    text = dumps(design)
    if loads(text) != design:
        raise DesignFileError(Mistake("", "a design that its file would not give back", "values as they are typed"))
    if larger := too_large(design):
        raise DesignFileError(larger)
    return text


def too_large(design: Design) -> Mistake | None:
    """What is wrong with a design whose file would be too large to be read; None where it would not be."""
    size = len("\n".join(_lines(design)).encode("utf-8", "replace")) + 1
    return (
        Mistake("", f"a design that takes {size / MOST_BYTES:.2f} MiB in its file", "a design file of at most 1 MiB") if size > MOST_BYTES else None
    )


def _reason(error: Exception) -> str:
    return shortened(safe_files.reason(error), 120)


# Writing


def dumps(design: Design) -> str:
    """The text of a design's file."""
    return "\n".join(_lines(design)) + "\n"


def _lines(design: Design) -> tuple[str, ...]:
    return (f"format = {FORMAT}", *_table(design, ""))


def _table(item: Any, header: str) -> tuple[str, ...]:
    """Lines of a table: its own keys, then the tables and lists below it under headers of their own."""
    own: list[str] = []
    below: list[str] = []
    for key, entry, value in _present(item):
        if entry.kind == "list" and entry.inline:
            own += (f"{key} = [", *(f"    {_row(row)}," for row in value), "]")
        elif entry.kind == "table" and entry.inline:
            own.append(f"{key} = {_row(value)}")
        elif entry.kind in ("list", "table"):
            path = f"{header}.{key}".lstrip(".")
            for row in value if entry.kind == "list" else (value,):
                lines = _known_table(row, path)
                if lines or entry.kind == "list":
                    below += ("", f"[[{path}]]" if entry.kind == "list" else f"[{path}]", *lines)
        else:
            own.append(_line(key, entry, value))
    return (*own, *below)


_known_table = kept(ROWS)(_table)


def _present(item: Any) -> Iterator[tuple[str, Entry, Any]]:
    for name, entry in entries(type(item)).items():
        value = getattr(item, name)
        if value is not None and value != () and not (entry.kind == "table" and entry.inline and value == entry.item()):
            yield entry.key, entry, value


def _line(key: str, entry: Entry, value: Any) -> str:
    if entry.kind == "names":
        return f"{key} = [{', '.join(_toml(name) for name in value)}]"
    return f"{key} = {_toml(value.text if entry.kind == 'quantity' else value)}"


def _toml(value: Any) -> str:
    if isinstance(value, TypedNumber):
        return value.text
    if isinstance(value, str) and value.isprintable() and '"' not in value and "\\" not in value:
        return f'"{value}"'  # as most are: a tenth of the time
    is_long = isinstance(value, str) and "\n" in value
    return tomli_w.dumps({"x": value}, multiline_strings=is_long).removeprefix("x = ").rstrip("\n")


def _row(item: Any) -> str:
    return "{ " + ", ".join(_line(*field) for field in _present(item)) + " }"
