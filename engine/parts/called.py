"""What the bores of a part are called: as the store calls its sizes, so that it can be asked for."""

from __future__ import annotations

from collections.abc import Sequence

from engine.design.meaning import SAME_BORE, Sizes
from engine.units import number_text, unit_name


def bores_in_words(bores: Sequence[float], size: str | None, sizes: Sizes, units: str) -> str:
    """Bores [m] of a part of a stock size: "160 x 160 x 125 mm", in inches "160 x 160 x 125" where the store's sizes are called so.

    A bore that the stock has no size of is told as a bore.
    """
    stock, unit = sizes[size][0] if size and size in sizes else None, unit_name("bore", units)
    numbers = [number_text(bore, "bore", units) for bore in bores]
    names = [next((one.nominal for one in stock.sizes if abs(one.bore.si - bore) < SAME_BORE), None) if stock else None for bore in bores]
    if all(name in (number, None) for name, number in zip(names, numbers, strict=True)):
        return f"{' x '.join(numbers)} {unit}"
    return " x ".join(name or f"{number} {unit}" for name, number in zip(names, numbers, strict=True))
