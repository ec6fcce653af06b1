"""Sticks cut into what is wanted: the fewest of one length, or the cheapest of several lengths and of offcuts in hand.

Lengths are counted in eightieths of a millimetre, so that a millimetre and a
sixteenth of an inch are both whole numbers of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from functools import reduce
from math import gcd

from engine.parts.fewest import cheapest
from engine.parts.saw import Blank, Order
from engine.values import dataclass

_PER_METRE = 80_000
# A price is counted in ten-thousandths of its currency.
_PER_PRICE = 10_000
# How long a list may be thought about, s.
SECONDS = 2.0


class CuttingError(ValueError):
    """Cuts that no plan can hold; str() is one line that says which and what is wanted."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A length to be cut, m, and what it is called."""

    name: str
    length: float


@dataclass(frozen=True, slots=True)
class Stick:
    """A stick: its length, m; its price, None where not known; how many there are, None where as many as are wanted are sold."""

    length: float
    price: float | None = None
    most: int | None = None

    @property
    def in_hand(self) -> bool:
        """Whether it is an offcut that costs nothing any more."""
        return self.most is not None


@dataclass(frozen=True, slots=True)
class CutStick:
    """A stick and what is cut from it, in that order; `left` is what stays of it, m."""

    stick: Stick
    cuts: tuple[Cut, ...]
    left: float


@dataclass(frozen=True, slots=True)
class Cutting:
    """Every stick cut. `least` says what was to be least of the sticks bought: "sticks", "length" [m] or "price".

    `total` is what this cutting comes to, `bound` what none is below.
    """

    sticks: tuple[CutStick, ...]
    least: str
    total: float
    bound: float

    @property
    def proven(self) -> bool:
        """Whether there is no better one."""
        return self.total <= self.bound


def cutting(cuts: Sequence[Cut], sticks: Sequence[Stick], kerf: float, seconds: float = SECONDS) -> Cutting:
    """The best cutting of some cuts (any, lengths > 0, m) from sticks; the saw takes `kerf` (m, >= 0) between two cuts.

    Of one stick length the fewest are bought; of several the cheapest, or
    where prices are missing the least length. It is never worse than first
    fit decreasing. Up to about 60 cuts it is proven as a rule; where the time
    is up before, `bound` tells how much better there might be. Raises
    CuttingError where a cut is longer than every stick, or sticks in hand do
    not suffice.

    The method: P. C. Gilmore and R. E. Gomory, A linear programming approach
    to the cutting-stock problem, Operations Research 9 (1961) (from memory).
    """
    if not cuts:
        return Cutting((), _least(sticks), 0.0, 0.0)
    saw = _whole(kerf)
    named: dict[int, list[Cut]] = {}
    for cut in cuts:
        named.setdefault(_whole(cut.length) + saw, []).append(cut)
    sizes = tuple(sorted(named, reverse=True))
    least, unit = _least(sticks), _unit(sticks)
    prices = [_price(stick, least, unit) for stick in sticks]
    shared = reduce(gcd, sizes)
    order = Order(
        sizes=tuple(size // shared for size in sizes),
        wanted=tuple(len(named[size]) for size in sizes),
        blanks=tuple(Blank((_whole(stick.length) + saw) // shared, price, stick.most) for stick, price in zip(sticks, prices, strict=True)),
    )
    answer = cheapest(order, seconds)
    if answer is None:
        raise CuttingError(_too_long(cuts, sticks))
    sawn = []
    for blank, pattern in answer.plan:
        own = tuple(named[size].pop(0) for size, count in zip(sizes, pattern, strict=True) for _ in range(count))
        taken = sum(size * count for size, count in zip(sizes, pattern, strict=True))
        sawn.append(CutStick(sticks[blank], own, max(0, _whole(sticks[blank].length) - taken) / _PER_METRE))
    sawn.sort(key=lambda one: (one.stick.in_hand, -one.stick.length, one.left))
    return Cutting(tuple(sawn), least, order.price(answer.plan) / unit, answer.bound / unit)


def _least(sticks: Sequence[Stick]) -> str:
    """What of the sticks bought is to be least."""
    bought = [stick for stick in sticks if not stick.in_hand]
    if len(bought) < 2:
        return "sticks"
    return "length" if any(stick.price is None for stick in bought) else "price"


def _unit(sticks: Sequence[Stick]) -> int:
    """So many whole numbers make one of what is to be least."""
    return {"sticks": 1, "length": _PER_METRE, "price": _PER_PRICE}[_least(sticks)]


def _price(stick: Stick, least: str, unit: int) -> int:
    if stick.in_hand:
        return 0
    amount = {"sticks": 1.0, "length": stick.length, "price": stick.price or 0.0}[least]
    return max(1, round(Decimal(str(amount)) * unit))


def _whole(metres: float) -> int:
    return round(metres * _PER_METRE)


def _too_long(cuts: Sequence[Cut], sticks: Sequence[Stick]) -> str:
    longest = max(sticks, key=lambda stick: stick.length)
    over = [cut.name for cut in cuts if _whole(cut.length) > _whole(longest.length)]
    if over:
        return f"{over[0]} is longer than every stick; wanted: two pieces and a coupling, or longer sticks"
    return "the sticks in hand do not suffice; wanted: a length that is sold and has room for every cut"
