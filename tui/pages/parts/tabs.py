"""The tabs of the parts page: what each says of a design, as text."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from engine.catalog.joining import keep_text, kerf_text
from engine.design import Design, system
from engine.parts.cut_list import CutList, cut_list
from engine.parts.setting_out import setting_out
from engine.parts.takeoff import take_off
from engine.report import cuts, parts
from engine.report import setting_out as places
from engine.units import parse


@dataclass(frozen=True, slots=True)
class Made:
    """A design and what it is cut from: both lists are of the same sticks."""

    design: Design
    cuts: CutList


@dataclass(frozen=True, slots=True)
class Tab:
    """A tab: its name, and what it says."""

    name: str
    text: Callable[[Made], str]


def made(design: Design) -> Made:
    """What the tabs are of."""
    return Made(design, cut_list(design, kerf=parse(kerf_text(system(design)), "length").si))


def _parts(of: Made) -> str:
    return parts.as_text(of.design, take_off(of.design, cuts=of.cuts))


def _cuts(of: Made) -> str:
    units = system(of.design)
    return cuts.as_text(of.design.name, of.cuts.cuttings, units, keep=parse(keep_text(units), "length").si, notes=of.cuts.doubts)


def _setting_out(of: Made) -> str:
    return places.as_text(of.design, setting_out(of.design))


TABS = (Tab("parts", _parts), Tab("cuts", _cuts), Tab("setting out", _setting_out))
