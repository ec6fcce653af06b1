"""What the ducts of a design cost in pipe, hose and fittings, in the currency of the stock's prices.

A fitting whose size gives it no price counts as so many metres of its pipe
(`catalog/data/prices.toml`). Gates count where they have a price;
cleanouts and other parts count nothing.
What is left over of the work was paid for, and counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import pi

from engine.design import (
    Design,
    Elbow,
    Gate,
    Hose,
    Run,
    Stock,
    StockSize,
    Straight,
    bore_of,
    children_of,
    defaults,
    joins_as,
    stock_sizes,
)  # fmt: skip
from engine.design.kept import ROWS, kept
from engine.design.meaning import SAME_BORE, metre_price, takes_reducer
from engine.values import dataclass

Sizes = Mapping[str, tuple[Stock, StockSize]]

# The price that a kind of fitting has; a wye's is that of one branch, and so many bores.
_PRICED = {"elbow": "elbow", "taper": "taper", "wye": "wye", "tee": "wye", "Y": "wye"}
_ONE_BRANCH = 3


@dataclass(frozen=True, slots=True)
class Price:
    """The sum; what has no price in it, by size or run; and how much of it is estimated."""

    total: float
    unpriced: tuple[str, ...]
    estimated: float


@dataclass(frozen=True, slots=True)
class RunPrice:
    """A run's own `pipe`, hose, gates and elbows; the `joints` at its outer end; a `reducer` at its inner end, if it wants one.

    `estimated` is how much of pipe and joints is, `unpriced` the sizes, or the
    run itself, that nothing gives a price for.
    """

    pipe: float
    joints: float
    reducer: float
    estimated: float
    estimated_reducer: float
    unpriced: tuple[str, ...]


def price_of(design: Design) -> Price:
    """The price of a consistent design's ducts, with what is left over of them; what no stock size gives a price for counts nothing and is named."""
    sizes, joining, runs = stock_sizes(design), children_of(design), {run.id: run for run in design.runs}
    total, estimated = 0.0, 0.0
    unpriced: set[str] = set()
    for run in design.runs:
        own = run_price(run, joining[run.id], sizes)
        inner = design.collector.inlet.si if run.joins == "collector" else bore_of(runs[run.joins], sizes)
        reduced = wants_reducer(run, bore_of(run, sizes), inner)
        total += own.pipe + own.joints + (own.reducer if reduced else 0.0)
        estimated += own.estimated + (own.estimated_reducer if reduced else 0.0)
        unpriced.update(own.unpriced)
    total += sum(one.worth or 0.0 for one in design.left_over)
    return Price(total, tuple(sorted(unpriced)), estimated)


@kept(ROWS)
def run_price(run: Run, joining: tuple[Run, ...], sizes: Sizes) -> RunPrice:
    """What one run costs; `joining` are the runs that join it, `sizes` as `stock_sizes` gives them.

    Straights and hoses cost by the metre, compressed or not; each branch that
    joins wants a wye, the two legs of a Y one together.
    """
    own = sizes[run.size] if run.size else None
    straight = sum(piece.length.si for piece in run.pieces if isinstance(piece, Straight))
    pipe, unpriced = straight * _metre(own), [run.size or run.id] if straight and not _metre(own) else []
    for piece in run.pieces:
        if isinstance(piece, Hose):
            size = sizes[piece.size] if piece.size else own
            pipe += piece.length.si * _metre(size)
            unpriced += [] if _metre(size) else [piece.size or run.id]
    gates = sum(isinstance(piece, Gate) for piece in run.pieces) * ((own[1].gate_price if own else None) or 0.0)
    elbows = sum(isinstance(piece, Elbow) for piece in run.pieces)
    wyes = sum(joins_as(other) == "branch" for other in joining) + (1 if any(joins_as(other) == "leg" for other in joining) else 0)
    (elbow, elbow_guess), (wye, wye_guess), (taper, taper_guess) = (fitting_price(own, kind) for kind in ("elbow", "wye", "taper"))
    guess = elbows * elbow * elbow_guess + wyes * wye * wye_guess
    return RunPrice(
        pipe=pipe + gates + elbows * elbow, joints=wyes * wye, reducer=taper,
        estimated=guess, estimated_reducer=taper * taper_guess, unpriced=tuple(unpriced),
    )  # fmt: skip


def part_price(kind: str, size: tuple[Stock, StockSize] | None, bores: int, length: float | None) -> tuple[float | None, bool]:
    """Price of a part with so many `bores`, or of as much of it as is `length` m long, and whether it is estimated; None where nothing gives it.

    A wye or tee of more than three bores counts as one for each branch, which
    is an estimate.
    """
    if kind in ("straight", "hose"):
        metre = metre_price(*size) if size else None
        return (None if metre is None else metre * (length or 0.0)), False
    if kind == "gate":
        return (size[1].gate_price if size else None), False
    if kind not in _PRICED:
        return None, False
    each, guess = fitting_price(size, _PRICED[kind])
    branches = max(bores - _ONE_BRANCH + 1, 1) if kind in ("wye", "tee") else 1
    return (each * branches if each or not guess else None), guess or branches > 1


def fitting_price(size: tuple[Stock, StockSize] | None, kind: str) -> tuple[float, bool]:
    """Price of an "elbow", "wye" or "taper" of a size, and whether it is estimated; nothing where its pipe has no price either."""
    given = getattr(size[1], f"{kind}_price") if size else None
    return (given, False) if given is not None else (defaults.fitting_length(kind) * _metre(size), True)


def wants_reducer(run: Run, bore: float, inner: float) -> bool:
    """Whether a reducer stands where a run of a bore joins pipe of the `inner` one, both in m."""
    return takes_reducer(run) and abs(bore - inner) > SAME_BORE


def by_surface(sizes: Sizes) -> Sizes:
    """The sizes with the surface of a metre of their pipe, m2, for a price."""
    return {
        name: (
            replace(stock, price_per="m"),
            replace(size, price=pi * size.bore.si, elbow_price=None, wye_price=None, taper_price=None, gate_price=None),
        )
        for name, (stock, size) in sizes.items()
    }


def in_currency(figure: str, currency: str) -> str:
    """A price as it is shown: "12.50 EUR", "12.50" where no currency is named."""
    return f"{figure} {currency}".rstrip()


def _metre(size: tuple[Stock, StockSize] | None) -> float:
    return (metre_price(*size) or 0.0) if size else 0.0
