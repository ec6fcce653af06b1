"""Unsaved work: kept beside the design while there is some, offered when the design is opened again."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from platformdirs import user_state_path

from engine import design_file
from engine.design import Design
from tui.document import Document

UNNAMED = "new design.toml"


@dataclass(frozen=True, slots=True)
class Recovered:
    """Work that was not saved: the design, the file it is kept in and when it was written."""

    design: Design
    path: Path
    when: datetime


def state_folder() -> Path:
    """The folder for unsaved designs without a file, and for crash reports."""
    return user_state_path("kerfdraft", appauthor=False)


def place_of(path: Path | None) -> Path:
    """The file that keeps the unsaved work on the design file `path`; None: on one without a file."""
    where = path if path is not None else state_folder() / UNNAMED
    return where.with_name(f".{where.name}.unsaved")


def keep(document: Document) -> Path | None:
    """Write what is unsaved to its recovery file, or remove that file when nothing is; the file, or None.

    Raises OSError when it can be written neither beside the design nor in the state folder.
    """
    if not document.unsaved:
        forget(document)
        return None
    beside = place_of(document.path)
    text = design_file.dumps(document.design)
    if document.path is not None:
        try:
            return _write(beside, text)
        except OSError:
            pass
    return _write(state_folder() / beside.name, text)


def forget(document: Document) -> None:
    """Remove the recovery file of a document, where there is one."""
    for folder in (place_of(document.path).parent, state_folder()):
        try:
            (folder / place_of(document.path).name).unlink(missing_ok=True)
        except OSError:
            pass


def set_aside(found: Recovered) -> Path:
    """Keep found work under a name that later unsaved work does not take; its new path. Raises OSError."""
    aside = found.path.with_name(found.path.name + "~")
    os.replace(found.path, aside)
    return aside


def find(path: Path | None) -> Recovered | None:
    """The unsaved work on a design file (None: on one without a file), where there is any that can be read."""
    name = place_of(path).name
    for file in dict.fromkeys((place_of(path), state_folder() / name)):
        try:
            return Recovered(design_file.load(file), file, datetime.fromtimestamp(file.stat().st_mtime))
        except (OSError, design_file.DesignFileError):
            continue
    return None


def _write(path: Path, text: str) -> Path:
    """Write a file so that a reader finds the old text or the new one, never a part."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=path.name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.replace(name, path)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
    return path
