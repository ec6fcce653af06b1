"""Checks that look at one thing by itself, a run or the shop without its ducts: what they found of it stays with it while it is the same."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from functools import wraps
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from engine.checks.rules import Measure
from engine.design import Design, system
from engine.units import show, show_about, show_beside

if TYPE_CHECKING:
    from engine.checks.look import Look


class Alone(Protocol):
    """One thing by itself: the same object for as long as all of it is the same. `found` is what checks have found of it."""

    @property
    def found(self) -> dict[object, tuple[Any, ...]]:
        """What was found, by the check."""


_One = TypeVar("_One", bound=Alone)
Found = TypeVar("Found")
# What is found by a look at all of a design.
OfLook = Callable[["Look"], Iterator[Found]]


class Telling(ABC):
    """Values as they are told in the `units` of a design."""

    __slots__ = ()

    @property
    @abstractmethod
    def units(self) -> str:
        """ "metric" or "imperial"."""

    def show(self, value: float, dimension: str) -> str:
        """A value in the design's units."""
        return show(value, dimension, self.units)

    def beside(self, value: float, limit: float, dimension: str) -> tuple[str, str]:
        """A value and the limit that it is past, in the design's units."""
        return show_beside(value, limit, dimension, self.units)

    def measure(self, value: float, limit: float, dimension: str) -> tuple[Measure, str]:
        """A value that is past a limit, and the limit as it is told beside it."""
        told, limit_told = self.beside(value, limit, dimension)
        return Measure(value, limit, dimension, told), limit_told

    def about(self, limit: float, dimension: str, *, least: bool = False) -> str:
        """A limit in the design's units, rounded where nobody chose it in those: up for the `least` allowed."""
        return show_about(limit, dimension, self.units, least=least)


class OfDesign(Telling):
    """What tells of a whole `design`, in its units and by its own limits."""

    __slots__ = ()
    design: Design

    @property
    def units(self) -> str:
        """ "metric" or "imperial"."""
        return system(self.design)

    @property
    def ground(self) -> Design:
        """What holds the shop's own limits."""
        return self.design


def of_each(check: Callable[[_One], Iterator[Found]], every: Callable[[Look], tuple[_One, ...]]) -> OfLook[Found]:
    """The check of a look that one of each of its parts of a kind makes. It does not look twice at what has stayed the same."""

    @wraps(check)
    def of_all(look: Look) -> Iterator[Found]:
        for one in every(look):
            found = one.found.get(check)
            if found is None:
                found = one.found[check] = tuple(check(one))
            if found:
                yield from found

    return of_all
