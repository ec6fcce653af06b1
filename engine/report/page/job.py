"""A design with all that its sheets tell of it, each thing computed when it is first asked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date as Date  # noqa: N812  # a field is called date
from functools import cached_property

from engine.air.band import Band
from engine.air.bands import bands
from engine.air.gate_sets import SetResult
from engine.air.one.network import gates_for
from engine.catalog.joining import kerf_text
from engine.checks.assess import Assessment, assess
from engine.design import Design, Gate, system
from engine.parts.cut_list import CutList, cut_list
from engine.parts.setting_out import SettingOut, setting_out
from engine.parts.takeoff import TakeOff, take_off
from engine.units import number_text, parse, show

_FINE = 6


@dataclass(frozen=True)
class Job:
    """A design to make sheets of; `source` is the file it is in, `date` the day they are made, both as they are to be told."""

    design: Design
    source: str = ""
    date: Date | None = None

    @property
    def units(self) -> str:
        """ "metric" or "imperial"."""
        return system(self.design)

    def show(self, value: float, dimension: str) -> str:
        """A value with its unit."""
        return show(value, dimension, self.units)

    def number(self, value: float, dimension: str) -> str:
        """A value without its unit."""
        return number_text(value, dimension, self.units)

    def fine(self, value: float, dimension: str) -> float:
        """A value in the unit shown, as a figure to draw with."""
        return float(number_text(value, dimension, self.units, digits=_FINE))

    @cached_property
    def assessment(self) -> Assessment:
        """Every gate set solved, and what is wrong."""
        return assess(self.design)

    @cached_property
    def bands(self) -> list[dict[str, Band]]:
        """The bands of the flows of every gate set."""
        return bands(self.design, self.assessment.tree, self.assessment.sets)

    @cached_property
    def takeoff(self) -> TakeOff:
        """What is to be bought."""
        return take_off(self.design, kerf=self.kerf, cuts=self.cuts)

    @cached_property
    def cuts(self) -> CutList:
        """How it is cut."""
        return cut_list(self.design, kerf=self.kerf)

    @cached_property
    def setting_out(self) -> SettingOut:
        """Where it goes."""
        return setting_out(self.design)

    @property
    def kerf(self) -> float:
        """What the saw takes, m."""
        return parse(kerf_text(self.units), "length").si

    @cached_property
    def gates(self) -> tuple[str, ...]:
        """Every gate, run after run."""
        return tuple(piece.name for run in self.design.runs for piece in run.pieces if isinstance(piece, Gate))

    @cached_property
    def gate_bores(self) -> Mapping[str, float]:
        """The bore of the duct that each gate stands in, m."""
        return {gate: duct.bore for duct in self.assessment.tree.runs for gate in duct.gates}

    def open_gates(self, result: SetResult) -> tuple[str, ...]:
        """The gates that stand open in a gate set."""
        found = gates_for(self.assessment.tree, result.gate_set.open)
        return tuple(gate for gate in self.gates if gate in found)

    def verdict(self, result: SetResult) -> str:
        """Whether machines may work so."""
        if result.balance is None:
            return "no answer: do not work so"
        verdicts = {"fault": "does not pass: do not work so", "caution": "passes, with cautions"}
        return verdicts.get(self.assessment.worst(result), "passes")
