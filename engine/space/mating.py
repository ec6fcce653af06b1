"""What fits into what where runs of two stocks meet, and where an adapter must stand between them."""

from __future__ import annotations

from engine.design import Run, bore_of
from engine.design.meaning import SAME_BORE, Sizes, pipe_stock, takes_reducer

# Diameters nearer to each other than this slip into each other, m: judgement.
_MATES = 0.002


def outlet_of(run: Run, parent: Run | None, inlet: float, sizes: Sizes) -> float:
    """Bore of the outlet that a run joins, m: of its parent or the collector's `inlet`, or its own where the fitting there has that."""
    inner = inlet if parent is None else bore_of(parent, sizes)
    return inner if takes_reducer(run) else bore_of(run, sizes)


def wants_adapter(run: Run, parent: Run | None, sizes: Sizes) -> bool:
    """Whether a run begins with an adapter: its pipe is of another stock than what it joins, and of another bore or of one that does not fit."""
    if parent is None or pipe_stock(run, sizes) == pipe_stock(parent, sizes):
        return False
    outlet = outlet_of(run, parent, 0.0, sizes)
    return abs(bore_of(run, sizes) - outlet) > SAME_BORE or not _mates(run, parent, outlet, sizes)


def outside_of(size: str | None, bore: float, sizes: Sizes) -> float:
    """Outside diameter of pipe, m: that of its size, else its bore."""
    given = sizes[size][1].outside if size else None
    return given.si if given else bore


def _mates(run: Run, parent: Run, outlet: float, sizes: Sizes) -> bool:
    """Whether a run's pipe fits an outlet of its parent's stock: one slips into the other, or both into one coupling."""
    around, bore = _outlet_outside(parent, outlet, sizes), bore_of(run, sizes)
    outside = outside_of(run.size, bore, sizes)
    return around is not None and any(abs(one - other) < _MATES for one, other in ((outside, around), (outside, outlet), (bore, around)))


def _outlet_outside(parent: Run, outlet: float, sizes: Sizes) -> float | None:
    """Outside diameter of an outlet in a parent's stock, m; None where the stock has no pipe of that bore to fit it."""
    stock = pipe_stock(parent, sizes)
    if stock is None:
        return outlet
    like = next((size for size in stock.sizes if abs(size.bore.si - outlet) < _MATES), None)
    return (like.outside or like.bore).si if like else None
