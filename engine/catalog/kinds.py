"""Kinds of machines as one looks for them: in which order, and the room they take."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol, TypeVar

from engine.catalog.tables import read
from engine.units import Quantity, make
from engine.values import dataclass

_INCHES = 3 * 0.0254  # m: an imperial guess is of whole quarters of a foot


class _Measured(Protocol):
    @property
    def system(self) -> str: ...


_Row = TypeVar("_Row", bound=_Measured)


@dataclass(frozen=True, slots=True)
class UsualBody:
    """The room a kind of machine takes, from west to east, from south to north and above the floor, and how high its port is."""

    east: Quantity
    north: Quantity
    up: Quantity
    port_up: Quantity


def usual_first(rows: Sequence[_Row], units: str) -> list[_Row]:
    """Rows of the catalog, families of pipe or kinds of machine: those that measure as the user does first."""
    return sorted(rows, key=lambda row: row.system != units)


def usual_body(kind: str, units: str) -> UsualBody | None:
    """The room a kind usually takes, by its name; None where nothing is known."""
    rows: dict[str, dict[str, float]] = read("bodies")["body"]
    name = kind.removeprefix("small ").removeprefix("spindle ")
    word = max((word for word in rows if name.lower().startswith(word.lower())), key=len, default="")
    return UsualBody(**{key: _length(value, units) for key, value in rows[word].items()}) if word else None


def words_of_kinds(words: Sequence[str]) -> list[str]:
    """Words that somebody calls a machine by, as the kinds are called: "thicknesser" -> "planer"."""
    also: dict[str, str] = read("bodies")["also"]
    return [part for word in words for part in also.get(word.lower(), word).split()]


def _length(metres: float, units: str) -> Quantity:
    metres = metres if units == "metric" else max(round(metres / _INCHES), 1) * _INCHES
    return make(metres, "length", units)
