"""How long the bodies of fittings are along the ducts: as the stock says, else as the catalog has them for its material."""

from __future__ import annotations

from engine.catalog.fitting_bodies import Wye, bodies, taper_body, wye_body, y_body
from engine.design import Run, Stock, defaults


def body_length(of: str, bore: float, stock: Stock | None, material: str) -> float:
    """Length of a "gate", "cleanout", "elbow", "coupling" or "adapter" of a bore along the duct, m.

    An elbow's is the straight at either end of its bend, a coupling's what parts two fittings joined by one.
    """
    own = _own(of, bore, stock)
    return bodies(material).length(of, bore) if own is None else own


def joint_body(main: float, branch: float, angle: float, stock: Stock | None, material: str, *, leg: bool = False) -> Wye:
    """The body of a wye, a tee, or a Y for a `leg`, in pipe of the main's stock: bores in m, the angle to the way of the air in rad."""
    body = (y_body if leg else wye_body)(main, branch, angle, bodies(material).neck)
    own = _own("wye", main, stock)
    return body if own is None else body.scaled(own)


def taper_length(one: float, other: float, angle: float, stock: Stock | None) -> float:
    """Length of a change between two bores [m] of an included angle [rad], m."""
    own = _own("taper", max(one, other), stock)
    return taper_body(one, other, angle) if own is None else own


def material_of(run: Run, stock: Stock | None) -> str:
    """What the pipe of a run is made of."""
    return stock.material if stock else run.material or defaults.PIPE_MATERIAL


def _own(of: str, bore: float, stock: Stock | None) -> float | None:
    """What a stock says of the length of its fittings of a kind, m; None where it says nothing."""
    row = next((row for row in stock.fitting_lengths if row.of == of), None) if stock else None
    if row is None:
        return None
    return row.length.si if row.length else (row.bores or 0.0) * bore
