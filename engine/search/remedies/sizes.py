"""The next stocked bore above or below a size."""

from __future__ import annotations

from engine.checks.look import Look
from engine.design import Run
from engine.design.meaning import SAME_BORE, stays


def larger(look: Look, size: str) -> str | None:
    """The next larger size of the same stock that the store has."""
    return _next(look, size, +1)


def _next(look: Look, size: str, way: int) -> str | None:
    stock, now = look.sizes[size]
    beyond = {
        f"{stock.id}/{other.nominal}": other.bore.si for other in stock.sizes
        if other.in_store is not False and way * (other.bore.si - now.bore.si) > SAME_BORE
    }  # fmt: skip
    return min(beyond, key=lambda name: way * beyond[name], default=None)


def next_size(look: Look, run: Run, way: int) -> str | None:
    """The next size, larger (+1) or smaller (-1), that a run could be made of; None where it is kept, or of no stocked size."""
    return _next(look, run.size, way) if run.size and not stays(run) else None


def next_bore(look: Look, bore: float) -> float | None:
    """The smallest stocked bore above a bore, m."""
    bores = (size.bore.si for _, size in look.sizes.values() if size.in_store is not False)
    return min((other for other in bores if other > bore + SAME_BORE), default=None)
