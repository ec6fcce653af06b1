"""What pint said of units, kept from one run to the next: to load it takes longer than all else that a command does.

It is asked again as soon as it is another pint, or the list of units another
one; and what does not read back whole is nothing: no figure rests on it.
"""

from __future__ import annotations

import json
from contextlib import suppress
from hashlib import sha256
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from platformdirs import user_cache_path

from engine.files.safe_files import close
from engine.units import spellings
from engine.units.spellings import UNITS, Unit
from tui.keep import locked_files


def file() -> Path:
    """Where it is kept."""
    return user_cache_path("kerfdraft", appauthor=False) / "unit_worths"


def recall() -> None:
    """Take over what pint said in earlier runs."""
    with suppress(OSError, ValueError):
        digest, _, rows = locked_files.own_text(file()).partition("\n")
        if digest == _digest(rows):
            spellings.remember({_pairs(powers): Unit(scale, offset, _pairs(measures)) for powers, (scale, offset, measures) in json.loads(rows)})


def keep() -> None:
    """Keep what pint has said, where some of it is new."""
    if not spellings.is_news():
        return
    rows = json.dumps(list(spellings.said().items()))
    with suppress(OSError, ValueError):
        file().parent.mkdir(parents=True, exist_ok=True)
        close(locked_files.replaced(file(), f"{_digest(rows)}\n{rows}", None, lasting=False))
        spellings.remember(spellings.said())


def _digest(rows: str) -> str:
    """Of what is kept, together with the pint that said it and the units that it was asked of."""
    pint = find_spec("pint")
    of = Path(pint.origin).stat() if pint and pint.origin else None
    ground = (pint and pint.origin, of and of.st_mtime_ns, of and of.st_size, list(UNITS), rows)
    return sha256(repr(ground).encode()).hexdigest()


def _pairs(rows: list[list[Any]]) -> tuple[tuple[str, Any], ...]:
    return tuple((name, power) for name, power in rows)
