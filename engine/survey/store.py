"""The store file that a shop's stock comes from: read, made, shared with other designs, or gone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from engine.design import Design
from engine.design.model import StoreFile
from engine.design.typed import BadValue
from engine.files.design_file import dumps_store
from engine.files.safe_files import close, fill, new_file
from engine.files.store_file import shelf_in, with_shelf, without_shelf
from engine.files.toml_text import DesignFileError, reason_of
from engine.units.words import counted

_USUAL = 0o666  # less what the process's mask takes


def with_store(design: Design, folder: Path, name: str) -> Design:
    """The design with the stock of a store file of that name in a folder, beside its own; without a name with its own alone.

    A file that is not there may be made yet. Raises BadValue where there is one that cannot be read.
    """
    own = replace(without_shelf(design), store=name or None)
    if not name:
        return own
    try:
        return with_shelf(own, shelf_in(folder, name))
    except DesignFileError as error:
        raise BadValue(str(error.mistakes[0])) from None


def read_again(design: Design, folder: Path) -> Design:
    """The design with its store file as that is now; as it was where it cannot be read."""
    try:
        return with_store(design, folder, design.store or "")
    except BadValue:
        return with_shelf(without_shelf(design), None)


def store_told(design: Design) -> str:
    """What the store file of a design has, in words."""
    shelf = design.shelf
    if shelf is None:
        return ""
    return "not there yet" if shelf.missing else f"{counted(len(shelf.stock), 'family', 'families')} in it"


def store_wrong(design: Design, folder: Path) -> str:
    """Why the stock of a design's store file is not to be had, in a line; "" where it is, or none is named."""
    missing = design.store and (design.shelf is None or design.shelf.missing)
    return f"{design.store} is not in {folder.absolute()}: make it, or name another" if missing else ""


def with_store_made(design: Design, folder: Path) -> Design:
    """The design with its own stock written to its store file, a new one. Raises BadValue where there is one, or none can be written."""
    own = without_shelf(design)
    text = dumps_store(StoreFile(name=(design.store or "").partition(".")[0] or None, display=design.display, stock=own.stock))
    path = folder / (design.store or "")
    try:
        handle = new_file(path, _USUAL)
    except (OSError, ValueError) as error:
        raise BadValue(f"{design.store} is not made: {reason_of(error)}") from None
    try:
        fill(handle, text.encode("utf-8"))
    except OSError as error:
        path.unlink(missing_ok=True)
        raise BadValue(f"{design.store} is not made: {reason_of(error)}") from None
    finally:
        close(handle)
    return with_store(replace(own, stock=()), folder, design.store or "")
