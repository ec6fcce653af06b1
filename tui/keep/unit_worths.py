"""What pint said of units, kept from one run to the next: to load it takes longer than all else that a command does.

It is asked again as soon as it is another pint, or the list of units another
one; and what does not read back whole is nothing: no figure rests on it.
"""

from __future__ import annotations

from ast import literal_eval
from binascii import crc32
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path

from engine.files.safe_files import close
from engine.units import spellings
from engine.units.spellings import UNITS, Unit
from tui.keep import locked_files


def file() -> Path:
    """Where it is kept."""
    return locked_files.cache_folder() / "unit_worths"


def recall() -> None:
    """Take over what pint said in earlier runs."""
    with suppress(OSError, ValueError):
        ground, _, rows = locked_files.own_text(file()).partition("\n")
        if ground == _ground(rows):
            spellings.remember({powers: Unit(*worth) for powers, worth in literal_eval(rows).items()})


def keep() -> None:
    """Keep what pint has said, where some of it is new."""
    if not spellings.is_news():
        return
    rows = repr({powers: tuple(unit) for powers, unit in spellings.said().items()})
    with suppress(OSError, ValueError):
        file().parent.mkdir(parents=True, exist_ok=True)
        close(locked_files.replaced(file(), f"{_ground(rows)}\n{rows}", None, lasting=False))
        spellings.remember(spellings.said())


def _ground(rows: str) -> str:
    """What it rests on: the pint that said it, the units that it was asked of; and a sum that tells whether it is whole."""
    pint = find_spec("pint")
    of = Path(pint.origin).stat() if pint and pint.origin else None
    return repr((pint and pint.origin, of and of.st_mtime_ns, of and of.st_size, list(UNITS), crc32(rows.encode())))
