"""What the ducts of a design cost in pipe, hose and fittings, in the currency of the stock's prices."""

from __future__ import annotations

from dataclasses import dataclass

from engine.design import Design, Hose, Straight, stock_sizes


@dataclass(frozen=True, slots=True)
class Price:
    """The sum, and what has no price in it."""

    total: float
    unpriced: tuple[str, ...]


def price_of(design: Design) -> Price:
    """The price of a design's ducts; what no stock size gives a price for counts nothing and is named."""
    sizes = stock_sizes(design)
    total, unpriced = 0.0, set()
    for run in design.runs:
        for piece in run.pieces:
            if not isinstance(piece, (Straight, Hose)):
                continue
            ref = (piece.size if isinstance(piece, Hose) else None) or run.size
            price = sizes[ref][1].price if ref else None
            total += piece.length.si * (price or 0.0)
            if price is None:
                unpriced.add(ref or run.id)
    return Price(total, tuple(sorted(unpriced)))
