"""The tabs of the parts page: what each says of a design, as text."""

from __future__ import annotations

from collections.abc import Callable

from engine.catalog.joining import keep_text, kerf_text
from engine.design import Design, system
from engine.parts.cut_list import cut_list
from engine.parts.setting_out import setting_out
from engine.parts.stages import stages
from engine.parts.takeoff import take_off
from engine.report import cuts, parts
from engine.report import setting_out as places
from engine.report.stages import stages_text
from engine.units import parse
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class Tab:
    """A tab: its name, and what it says of a design, of stages with a budget if there is one."""

    name: str
    text: Callable[[Design, float | None], str]


def _kerf(design: Design) -> float:
    return parse(kerf_text(system(design)), "length").si


def _parts(design: Design, _budget: float | None) -> str:
    kerf = _kerf(design)
    return parts.as_text(design, take_off(design, kerf=kerf), take_off(design, kerf=kerf, to_buy=True))


def _cuts(design: Design, _budget: float | None) -> str:
    units, found = system(design), cut_list(design, kerf=_kerf(design), before="cut")
    return cuts.as_text(design.name, found.cuttings, units, keep=parse(keep_text(units), "length").si, notes=found.doubts)


def _setting_out(design: Design, _budget: float | None) -> str:
    return places.as_text(design, setting_out(design))


def _stages(design: Design, budget: float | None) -> str:
    return stages_text(design, budget, stages(design, budget))


TABS = (Tab("parts", _parts), Tab("cuts", _cuts), Tab("setting out", _setting_out), Tab("stages", _stages))
STAGES = [tab.name for tab in TABS].index("stages")
