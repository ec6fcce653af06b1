"""Design files, format 1: TOML in and out.

Reading reports every mistake of a file together, with its place; any bytes
give a Design or a DesignFileError. Writing puts back what was typed.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path as FilePath
from typing import Any

import tomli_w

from engine.design import Design
from engine.design.entries import Entry, entries
from engine.design.kept import ROWS, kept
from engine.design.mistake import Mistake
from engine.design.model import Shelf, StoreFile
from engine.design.rules.consistency import mistakes
from engine.files import safe_files
from engine.files.design_reader import FORMAT, Reader, TypedNumber
from engine.files.store_file import complete, settled, shelf_in, with_shelf, without_shelf
from engine.files.toml_lines import has_comment
from engine.files.toml_text import MOST_BYTES, DesignFileError, in_order, parsed, reason_of, text_in
from engine.units.words import counted

__all__ = ["MOST_BYTES", "DesignFileError", "dumps", "dumps_store", "dumps_whole", "has_comments", "load", "loads", "readable", "save", "too_large"]

_SURE_TO_FIT = MOST_BYTES // 8  # what is written shortest has fewer signs than an eighth of what is written for it


# Reading


def load(path: str | os.PathLike[str]) -> Design:
    """Read a design file, and the store file beside it that it names. Raises DesignFileError."""
    return loads(text_in(path), FilePath(path).parent)


def loads(text: str, folder: FilePath | None = None) -> Design:
    """Read a design from the text of its file; a store file that it names is looked for in the `folder`. Raises DesignFileError."""
    return _read(text, lambda name: shelf_in(folder, name) if folder else None)


def _read(text: str, shelf_of: Callable[[str], Shelf | None]) -> Design:
    text = text.removeprefix("\ufeff")
    reader = Reader(parsed(text))
    design = reader.design()
    if design is not None and design.store:
        design = with_shelf(design, shelf_of(design.store))
    found = [*reader.found, *(mistakes(design, reader.broken) if design is not None else ())]
    if found or design is None:
        raise DesignFileError(*in_order(found, text))
    if len(text) > _SURE_TO_FIT and (larger := too_large(design)):
        raise DesignFileError(larger)
    return design


def has_comments(path: str | os.PathLike[str]) -> bool:
    """Whether a design file has comments, which do not survive a save."""
    try:
        return has_comment(text_in(path))
    except DesignFileError:
        return False


# Saving


def save(design: Design, path: str | os.PathLike[str]) -> str:
    """Write a design file: beside the old one, synced, read back, then in its place; the old one, where it differs, stays as NAME~.

    What is to be said about it, "" for nothing. Raises DesignFileError where
    the file would not read back as the design, or the system refuses; the old
    file is then untouched. Where no store file is beside it, all stock is written with the design.
    """
    text = readable(design if _is_store_beside(design, FilePath(path)) else complete(design))
    try:
        others = safe_files.replace_file(FilePath(path), text.encode("utf-8"))
    except (OSError, ValueError) as error:
        raise DesignFileError(Mistake("", f"not saved: {reason_of(error)}", "a place that can be written to")) from None
    holding = "(a hard link) holds" if others == 1 else "(hard links) hold"
    return f"{counted(others, 'other name')} of the file {holding} the version before" if others else ""


def _is_store_beside(design: Design, path: FilePath) -> bool:
    """Whether a file there finds the store of the design; without it a file has to hold all stock itself, but for what stands in for it."""
    shelf = design.shelf
    return shelf is None or shelf.missing or (path.parent / shelf.name).exists()


def readable(design: Design) -> str:
    """The text of a design's file, which reads back as the design. Raises DesignFileError where none does."""
    text = dumps(design)
    if _read(text, lambda _: design.shelf) != settled(design):
        raise DesignFileError(Mistake("", "a design that its file would not give back", "values as they are typed"))
    if larger := too_large(design):
        raise DesignFileError(larger)
    return text


def too_large(design: Design) -> Mistake | None:
    """What is wrong with a design whose file would be too large to be read; None where it would not be."""
    size = len("\n".join(_lines(without_shelf(design))).encode("utf-8", "replace")) + 1
    return (
        Mistake("", f"a design that takes {size / MOST_BYTES:.2f} MiB in its file", "a design file of at most 1 MiB") if size > MOST_BYTES else None
    )


# Writing


def dumps(design: Design) -> str:
    """The text of a design's file; what is as the store file has it is left to that."""
    return "\n".join(_lines(without_shelf(design))) + "\n"


def dumps_whole(design: Design) -> str:
    """The text of a file that needs no store file beside it."""
    return "\n".join(_lines(design)) + "\n"


def dumps_store(store: StoreFile) -> str:
    """The text of a store file."""
    return "\n".join(_table(store, "")).lstrip() + "\n"


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
