"""A little SVG: elements as text, everything that comes from outside escaped; and names placed beside what they name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape
from itertools import pairwise
from math import hypot, inf

from engine.units.printable import printable
from engine.values import dataclass

Spot = tuple[float, float]
# The letters of a drawing: height, and mean width as a share of it, with some to spare.
LETTER = 11.0
_WIDE = 0.56
_NEAR, _FAR, _STEP = 5.0, 75.0, 10.0
_OVER_LINE, _LED, _ANOTHERS = 14.0, 6.0, 80.0


def tag(name: str, *inside: str, **attributes: object) -> str:
    """An element with what is inside it, SVG text already; of an attribute's name "_" becomes "-"."""
    told = "".join(f' {key.rstrip("_").replace("_", "-")}="{escape(_text(value))}"' for key, value in attributes.items())
    return f"<{name}{told}>{''.join(inside)}</{name}>"


def _text(value: object) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


def words(text: str, at: Spot, **attributes: object) -> str:
    """Text that begins at a spot, or as `text_anchor` says."""
    return tag("text", escape(printable(text)), x=at[0], y=at[1], **attributes)


def line(points: Iterable[Spot], **attributes: object) -> str:
    """A line through points."""
    return tag("polyline", points=" ".join(f"{_text(x)},{_text(y)}" for x, y in points), fill="none", **attributes)


def drawing(width: float, height: float, title: str, *inside: str) -> str:
    """A whole drawing, with what it is called for who cannot see it."""
    head = tag("title", escape(printable(title)))
    return tag("svg", head, *inside, viewBox=f"0 0 {_text(width)} {_text(height)}", role="img", font_size=LETTER)


@dataclass(frozen=True, slots=True)
class Name:
    """A text that wants to stand beside one of some spots, the first ones first, so far off as what is drawn there is wide.

    Spots that are `marked` show something, and so does the `way` that is named, a line through points: no other name should stand nearer to
    one of them than to its own.
    """

    text: str
    beside: tuple[Spot, ...]
    class_: str = ""
    off: float = 0.0
    marked: bool = False
    way: tuple[Spot, ...] = ()


@dataclass(frozen=True, slots=True)
class Box:
    """A part of a drawing."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether both have some ground together."""
        return self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom

    def held(self, left: float, wide: float) -> float:
        """Where something so wide begins that would begin at `left`, moved into it."""
        return max(min(left, self.right - wide), self.left)

    def dropped(self, top: float, high: float) -> float:
        """The same from above."""
        return max(min(top, self.bottom - high), self.top)

    def off(self, spot: Spot) -> float:
        """How far a spot is from it."""
        near = min(max(spot[0], self.left), self.right), min(max(spot[1], self.top), self.bottom)
        return hypot(near[0] - spot[0], near[1] - spot[1])

    def crossed(self, a: Spot, b: Spot) -> bool:
        """Whether a straight line goes through it, to a point every few units."""
        if max(a[0], b[0]) < self.left or min(a[0], b[0]) > self.right or max(a[1], b[1]) < self.top or min(a[1], b[1]) > self.bottom:
            return False
        return any(self.left < x < self.right and self.top < y < self.bottom for x, y in _along(a, b))

    def nears(self, way: Sequence[Spot], than: float) -> bool:
        """Whether a line through points comes nearer to it than so far, to a point every few units."""
        wider = Box(self.left - than, self.top - than, self.right + than, self.bottom + than)
        return any(wider.crossed(a, b) and any(self.off(spot) < than for spot in _along(a, b)) for a, b in pairwise(way))

    def off_way(self, way: Sequence[Spot]) -> float:
        """How far a line through points is from it."""
        return min(self.off(spot) for a, b in pairwise(way) for spot in _along(a, b))


def _along(a: Spot, b: Spot) -> Iterator[Spot]:
    """A point every few units from one to another."""
    steps = max(int(hypot(b[0] - a[0], b[1] - a[1]) / 4.0), 1)
    return ((a[0] + (b[0] - a[0]) * i / steps, a[1] + (b[1] - a[1]) * i / steps) for i in range(steps + 1))


def names(wanted: Sequence[Name], lines: Sequence[Sequence[Spot]], within: Box) -> Iterator[str]:
    """Names placed one after the other, each where it covers no other, if it can off every line; with a thin line to its spot if far from it.

    One that finds no room beside its spots is told over whatever is there: none is left out.
    """
    held: list[Box] = []
    drawn = [pair for line in lines for pair in pairwise(line)]
    for name in wanted:
        others = [other for other in wanted if other is not name and (other.marked or other.way)]
        spot, box = _place(name, within, held, drawn, others) or _place(name, within, (), drawn, others) or (name.beside[0], within)
        held.append(box)
        baseline = box.left + 1.0, box.bottom - LETTER * 0.25
        near = min(max(spot[0], box.left), box.right), min(max(spot[1], box.top), box.bottom)
        if box.off(spot) > 2 * _NEAR + name.off or _is_anothers(name, spot, box, others):
            yield line((spot, near), class_="leader")
        yield words(name.text, baseline, class_=name.class_)


def _place(
    name: Name, within: Box, held: Sequence[Box], drawn: Sequence[tuple[Spot, Spot]], others: Sequence[Name]
) -> tuple[Spot, Box] | None:  # fmt: skip
    """The spot that a name stands at and its box, where least speaks against it; None where all places are held by other names."""
    best, found = inf, None
    for cost, spot, box in _places(name, within):
        if cost < best and not any(box.meets(other) for other in held):
            whole = cost + _OVER_LINE * sum(box.crossed(*pair) for pair in drawn)
            if whole < best:
                whole += _ANOTHERS * _is_anothers(name, spot, box, others)
            if whole < best:
                best, found = whole, (spot, box)
    return found


def _is_anothers(name: Name, spot: Spot, box: Box, others: Sequence[Name]) -> bool:
    """Whether what others name is nearer to a name's box than its own spot or way, or a mark of theirs lies under it."""
    own = min(box.off(spot), box.off_way(name.way)) if len(name.way) > 1 else box.off(spot)
    covered = any(box.off(mark) < max(own, _NEAR) for other in others if other.marked for mark in other.beside)
    return covered or (own > 0.0 and any(box.nears(other.way, own) for other in others))


def _places(name: Name, within: Box) -> Iterator[tuple[float, Spot, Box]]:
    """(cost, spot, box) of every place a name may have, whatever else is drawn."""
    wide, high = len(name.text) * LETTER * _WIDE + 2.0, LETTER * 1.05
    for number, spot in enumerate(name.beside):
        away = _NEAR + name.off
        while away < _FAR:
            for across, up in _AROUND:
                left = spot[0] + across * away - (wide if across < 0 else wide / 2 if across == 0 else 0.0)
                top = spot[1] + up * away - (high if up < 0 else high / 2 if up == 0 else 0.0)
                x, y = within.held(left, wide), within.dropped(top, high)
                led = _LED if away > _NEAR + name.off else 0.0
                yield number + away + led + abs(x - left) + abs(y - top), spot, Box(x, y, x + wide, y + high)
            away += _STEP


_AROUND = ((1.0, 0.0), (-1.0, 0.0), (0.0, -1.0), (0.0, 1.0), (1.0, -1.0), (-1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
