"""What a place in a design is: the way of fields and indices to it. The kinds of rows are in `engine.design.places`."""

from __future__ import annotations

from collections.abc import Callable
from types import EllipsisType
from typing import ClassVar

from engine.design.entries import entries
from engine.design.model import Design
from engine.values import dataclass

Steps = tuple[str | int, ...]


class Place:
    """Where something stands; `steps` are the fields and indices that lead there from the design."""

    __slots__ = ()

    @property
    def steps(self) -> Steps:
        """Field names and indices from the design to the place, none for the design itself."""
        raise NotImplementedError

    @property
    def holder(self) -> Place:
        """What it is part of: the list of a row, the run of a joint; the design's own is the design."""
        return place_at(*self.steps[:-1])


@dataclass(frozen=True, slots=True)
class Table(Place):
    """A thing of which a design has one, by the name of its field; "" for the design itself."""

    field: str = ""

    @property
    def steps(self) -> Steps:
        """The field, if any."""
        return (self.field,) if self.field else ()


@dataclass(frozen=True, slots=True)
class Within(Place):
    """A small table within a thing, such as the size of a machine: part of its form, never selected alone."""

    of: Place
    field: str

    @property
    def steps(self) -> Steps:
        """The way to the thing, and the field."""
        return (*self.of.steps, self.field)

    @property
    def holder(self) -> Place:
        """The thing it is part of."""
        return self.of


@dataclass(frozen=True, slots=True)
class Rows(Place):
    """A whole list: what holds it and the name of its field."""

    of: Place
    field: str

    @property
    def steps(self) -> Steps:
        """The way to what holds the list, and its field."""
        return (*self.of.steps, self.field)

    def row(self, index: int) -> Row:
        """The place of a row of this list."""
        fields = tuple(step for step in self.steps if isinstance(step, str))
        return _KINDS[fields](*(step for step in self.steps if isinstance(step, int)), index)


_KINDS: dict[tuple[str, ...], Callable[..., Row]] = {}


class Row(Place):
    """A row of a list. `way` says how its numbers, the last of them its index in the list, lead there."""

    __slots__ = ()
    way: ClassVar[tuple[str | EllipsisType, ...]] = ()
    __match_args__: ClassVar[tuple[str, ...]] = ()

    def __init_subclass__(cls) -> None:
        """The kind of row is known by the fields on its way."""
        _KINDS[tuple(step for step in cls.way if isinstance(step, str))] = cls

    @property
    def steps(self) -> Steps:
        """The way with its numbers filled in."""
        numbers = iter(self.__match_args__)
        return tuple(step if isinstance(step, str) else getattr(self, next(numbers)) for step in self.way)

    @property
    def index(self) -> int:
        """Its index in its list."""
        return int(getattr(self, self.__match_args__[-1]))

    @property
    def rows(self) -> Rows:
        """The list it is in."""
        *holder, field, _ = self.steps
        return Rows(place_at(*holder), str(field))

    def beside(self, by: int) -> Row:
        """The row `by` rows further on in the same list."""
        return self.rows.row(self.index + by)


def place_at(*steps: str | int) -> Place:
    """The place these fields and indices lead to. Raises KeyError where a design has no such list."""
    match steps:
        case ():
            return Table()
        case (str(field),) if entries(Design)[field].kind == "table":
            return Table(field)
        case (*holder, rows, int(index)):
            return Rows(place_at(*holder), str(rows)).row(index)
    return Rows(place_at(*steps[:-1]), str(steps[-1]))
