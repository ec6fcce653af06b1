"""Design files, format 1: TOML in and out.

Reading reports every mistake of a file together, with its place; any bytes
give a Design or a DesignFileError. Writing puts back what was typed.
"""

from __future__ import annotations

import os
import stat
import tempfile
import tomllib
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path as FilePath
from typing import Any

import tomli_w

from engine.consistency import Mistake, mistakes
from engine.design import Design
from engine.design_reader import FORMAT, Reader, place_of
from engine.entries import Entry, entries
from engine.toml_lines import line_of, lines_of

MOST_BYTES = 1 << 20


class DesignFileError(Exception):
    """A file that holds no design, or could not be written: `mistakes`, never empty; str() is one a line."""

    def __init__(self, *found: Mistake) -> None:
        self.mistakes = found
        super().__init__("\n".join(str(mistake) for mistake in found))


def load(path: str | os.PathLike) -> Design:
    """Read a design file. Raises DesignFileError."""
    try:
        with open(path, "rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise DesignFileError(Mistake("", _reason(error), "a design file that can be read")) from None
    if len(data) > MOST_BYTES:
        raise DesignFileError(Mistake("", "more than 1 MiB", "a design file of at most 1 MiB"))
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise DesignFileError(Mistake("", "bytes that are no text", "a design file: TOML in UTF-8", line=line)) from None
    return loads(text)


def loads(text: str) -> Design:
    """Read a design from the text of its file. Raises DesignFileError."""
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DesignFileError(_syntax(str(error))) from None
    except (RecursionError, ValueError):
        raise DesignFileError(Mistake("", "values nested too deep, or a number too long", "a design file")) from None
    reader = Reader(raw)
    design = reader.design()
    lines = lines_of(text)
    found = [mistake.at_line(line_of(lines, path)) for path, mistake in reader.found]
    if design is not None:
        found += [mistake.at_line(line_of(lines, place_of(design, mistake.where))) for mistake in mistakes(design)]
    if found or design is None:
        raise DesignFileError(*found)
    return design


def _syntax(message: str) -> Mistake:
    text, _, place = message.rpartition(" (at ")
    line = place.removeprefix("line ").split(",")[0]
    return Mistake("", (text or message).lower(), "TOML", line=int(line) if line.isdigit() else None)


def dumps(design: Design) -> str:
    """The text of a design's file."""
    return "\n".join(_table(design, "", (f"format = {FORMAT}",))) + "\n"


def save(design: Design, path: str | os.PathLike) -> None:
    """Write a design file: beside the old one, synced, then in its place; the old one stays as NAME~.

    Raises DesignFileError where the system refuses; the old file is then untouched.
    """
    try:
        _replace(FilePath(os.path.realpath(path)), dumps(design).encode("utf-8"))
    except (OSError, ValueError) as error:
        raise DesignFileError(Mistake("", f"not saved: {_reason(error)}", "a place that can be written to")) from None


def has_comments(path: str | os.PathLike) -> bool:
    """Whether a design file has comments, which do not survive a save."""
    try:
        text = FilePath(path).read_text("utf-8")
        kept = dumps(loads(text))
    except (OSError, UnicodeDecodeError, DesignFileError):
        return False
    return any("#" in line for line in text.splitlines()) and text.count("#") != kept.count("#")


def _reason(error: Exception) -> str:
    return (getattr(error, "strerror", None) or str(error)).lower()


def _replace(path: FilePath, data: bytes) -> None:
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".new", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            os.chmod(name, stat.S_IMODE(path.stat().st_mode))
            _keep_previous(path)
        else:
            mask = os.umask(0)
            os.umask(mask)
            os.chmod(name, 0o666 & ~mask)
        os.replace(name, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(name)
        raise
    _sync_folder(path.parent)


def _keep_previous(path: FilePath) -> None:
    """Name~ becomes another name of the present file, so that the replacing leaves it there."""
    kept = path.with_name(f"{path.name}~")
    spare = path.with_name(f".{path.name}.previous")
    with suppress(FileNotFoundError):
        os.unlink(spare)
    try:
        os.link(path, spare)
        os.replace(spare, kept)
    except OSError:
        kept.write_bytes(path.read_bytes())


def _sync_folder(folder: FilePath) -> None:
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


# Writing

_INLINE = ("curve", "pieces")


def _table(item: Any, header: str, first: tuple[str, ...] = ()) -> Iterator[str]:
    """Lines of a table: its own keys, then the tables and lists below it under headers of their own."""
    yield from first
    below = []
    for key, entry, value in _present(item):
        if entry.kind == "list" and key in _INLINE:
            yield f"{key} = ["
            yield from (f"    {_row(row)}," for row in value)
            yield "]"
        elif entry.kind in ("list", "table"):
            below += [(f"{header}.{key}".lstrip("."), entry, row) for row in (value if entry.kind == "list" else (value,))]
        else:
            yield _line(key, entry, value)
    for path, entry, row in below:
        lines = list(_table(row, path))
        if lines or entry.kind == "list":
            yield from ("", f"[[{path}]]" if entry.kind == "list" else f"[{path}]", *lines)


def _present(item: Any) -> Iterator[tuple[str, Entry, Any]]:
    for name, entry in entries(type(item)).items():
        value = getattr(item, name)
        if value is not None and value != ():
            yield entry.key, entry, value


def _line(key: str, entry: Entry, value: Any) -> str:
    if entry.kind == "names":
        return f"{key} = [{', '.join(_toml(name) for name in value)}]"
    return f"{key} = {_toml(value.text if entry.kind == 'quantity' else value)}"


def _toml(value: Any) -> str:
    return tomli_w.dumps({"x": value}).removeprefix("x = ").rstrip("\n")


def _row(item: Any) -> str:
    return "{ " + ", ".join(_line(*field) for field in _present(item)) + " }"

