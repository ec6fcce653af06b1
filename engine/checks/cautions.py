"""Health and safety cautions: which hold for a design, and their words. Shown by the session and by reports."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from engine.air.losses.leaks import opening
from engine.air.properties import air_of
from engine.catalog.tables import read
from engine.checks.rules import limit
from engine.checks.subjects.earthing import insulating_pipes
from engine.design import Design, system
from engine.units import parse, show
from engine.values import dataclass

PREFACE = (
    "What no figure about air covers. Figures here are estimates, no sign-off: local codes, your fire authority, "
    "your insurer and licensed practice have the last word."
)
_REGULATED = "1500 cfm"


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution. `applies` tells for which designs it holds; `text` is its words for one of them."""

    id: str
    title: str
    words: str
    source: str
    applies: Callable[[Design], bool]

    def text(self, design: Design) -> str:
        """The caution's words, with the design's own figures in its own units."""
        return self.words.format(**_figures(design)) if "{" in self.words else self.words


@cache
def cautions() -> tuple[Caution, ...]:
    """Every caution, in the order to show them."""
    return tuple(Caution(row["id"], row["title"], row["text"], row["source"], _WHEN[row["when"]]) for row in read("cautions")["caution"])


def caution(name: str) -> Caution:
    """The caution of an id; KeyError for another."""
    return {each.id: each for each in cautions()}[name]


def applying(design: Design) -> tuple[Caution, ...]:
    """The cautions that hold for a design."""
    return tuple(caution for caution in cautions() if caution.applies(design))


def largest_flow(design: Design) -> float:
    """The most the collector can move, m3/s: the end of its curve, or its free air."""
    collector = design.collector
    ends = [point.flow.si for point in collector.curve] + ([collector.free_air.si] if collector.free_air else [])
    return max(ends, default=0.0)


def _figures(design: Design) -> dict[str, str]:
    shown = system(design)
    flow = largest_flow(design)
    return {
        "flow": show(flow, "flow", shown),
        "opening": show(opening(flow, limit(design, "make-up-air", "draught"), air_of(design.site).density), "area", shown),
        "pipes": ", ".join(insulating_pipes(design)),
    }


_WHEN: dict[str, Callable[[Design], bool]] = {
    "always": lambda _design: True,
    "large collector": lambda design: largest_flow(design) > parse(_REGULATED, "flow").si,
    "discharges outside": lambda design: design.collector.discharge == "outside",
    "discharges inside": lambda design: design.collector.discharge != "outside",
    "plastic pipe": lambda design: bool(insulating_pipes(design)),
}
