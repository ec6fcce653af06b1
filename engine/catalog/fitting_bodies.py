"""How much room the bodies of fittings take along the duct: the rows of `fitting_bodies.toml`, SI."""

from __future__ import annotations

from functools import cache
from math import sin, tan

from engine.catalog.tables import read
from engine.units import parse
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class Bodies:
    """Bodies in pipe of a material: the `neck` of a branch, m; of other fittings a length [m] and a length in bores, to be added."""

    neck: float
    fittings: dict[str, tuple[float, float]]

    def length(self, fitting: str, bore: float) -> float:
        """Length of a "gate", "cleanout", "elbow", "coupling" or "adapter" of a bore, m; of an elbow at either end of its bend."""
        metres, bores = self.fittings[fitting]
        return metres + bores * bore


@dataclass(frozen=True, slots=True)
class Wye:
    """What a fitting where ducts meet takes from the point where their middle lines meet, m.

    `inner` toward the collector, `outer` straight on, `side` along the branch or leg.
    """

    inner: float
    outer: float
    side: float

    def scaled(self, length: float) -> Wye:
        """The fitting made as long as `length` [m] from its inner to its outer end."""
        times = length / (self.inner + self.outer)
        return Wye(self.inner * times, self.outer * times, self.side * times)


def wye_body(main: float, branch: float, angle: float, neck: float) -> Wye:
    """The body of a wye or tee: its branch of a bore leaves the main's bore at an angle [rad] to the way of the air; all m.

    Either wall of the branch meets a wall of the main; past that stands the
    neck. Measured to no less than the angle `flattest` of the catalog.
    """
    angle = max(angle, _flattest())
    across, along = 1 / sin(angle), 1 / tan(angle)
    return Wye(
        inner=max((branch * across - main * along) / 2, 0.0) + neck,
        outer=(branch * across + main * along) / 2 + neck,
        side=(main * across + branch * along) / 2 + neck,
    )


def y_body(main: float, leg: float, angle: float, neck: float) -> Wye:
    """The body of a Y: its legs of a bore part at an angle [rad] to either side; all m. Nothing goes straight on."""
    trunk: float = read("fitting_bodies")["branches"]["trunk"]
    return Wye(inner=trunk * main + neck, outer=neck, side=leg / tan(max(angle, _flattest())) / 2 + neck)


def taper_body(one: float, other: float, angle: float) -> float:
    """Length of a change of bore of an included angle [rad], m; a blunt one has none."""
    return max(abs(one - other) / (2 * tan(angle / 2)), 0.0)


@cache
def _flattest() -> float:
    return parse(read("fitting_bodies")["branches"]["flattest"], "angle").si


def bodies(material: str) -> Bodies:
    """The row of a pipe material. Raises KeyError where there is none."""
    return _bodies()[material]


@cache
def _bodies() -> dict[str, Bodies]:
    kinds = ("gate", "cleanout", "elbow", "coupling", "adapter")
    return {
        material: Bodies(
            neck=parse(row["neck"], "length").si,
            fittings={kind: (parse(row[kind].get("length", "0 m"), "length").si, row[kind].get("bores", 0.0)) for kind in kinds},
        )
        for row in read("fitting_bodies")["material"]
        for material in row["materials"]
    }
