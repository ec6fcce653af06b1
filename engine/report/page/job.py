"""A design with all that its sheets tell of it, each thing computed when it is first asked for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date as Date  # noqa: N812  # a field is called date
from functools import cached_property
from math import dist

from engine.air.band import Band
from engine.air.bands import bands
from engine.air.gate_sets import SetResult
from engine.air.one.network import gates_for
from engine.catalog.joining import kerf_text
from engine.checks.assess import Assessment, assess
from engine.checks.conditions import narrowed
from engine.design import Design, Gate, system
from engine.parts.cut_list import CutList, cut_list
from engine.parts.setting_out import SettingOut, setting_out
from engine.parts.takeoff import TakeOff, take_off
from engine.report.page.readings import ToRead, readings_of
from engine.search.together.helping import gate_that_helps
from engine.units import number_text, parse, show
from engine.values import dataclass

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

    def why_not(self, result: SetResult) -> Iterator[str]:
        """What is against working so, and the one gate more that would free it where there is one."""
        for condition in self.assessment.conditions:
            own = narrowed(condition, self.design, result.gate_set.name) if condition.severity == "fault" else None
            if own and (own.sets or own.code == "hose-short"):
                yield f"{own.where}: {own.message}"
        if helps := self._helps.get(result.gate_set.name):
            machine, may_work = helps
            yield f"To work so, open {machine} too{'' if may_work else ', and do not work there'}: then it passes."
        else:
            yield "No one gate opened besides frees it: the ducts want a change, or other machines with it."

    @cached_property
    def _helps(self) -> dict[str, tuple[str, bool] | None]:
        """The machine whose gates, open besides, make a gate set pass, of each set that does not."""
        failing = [result.gate_set for result in self.assessment.sets if not self.assessment.passes(result)]
        return {gate_set.name: gate_that_helps(self.assessment.look, gate_set) for gate_set in failing}

    @cached_property
    def readings(self) -> tuple[tuple[ToRead, ...], ...]:
        """What is to be read in each gate set."""
        return readings_of(self.design, [result.gate_set for result in self.assessment.sets])

    def height_in(self, run: str, along: float) -> float | None:
        """How high above the floor the middle of a run is, `along` it from its collector end, m; None where that has no place."""
        for line in self.assessment.look.space.ways[run].lines:
            reach = dist(line.start, line.end)
            if line.begins <= along <= line.begins + reach:
                share = (along - line.begins) / reach if reach else 0.0
                return line.start[2] + share * (line.end[2] - line.start[2])
        return None
