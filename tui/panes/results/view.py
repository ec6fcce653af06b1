"""What the tabs of the results pane share: what they are told, and figures that show how they moved."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import field
from functools import cached_property
from typing import TYPE_CHECKING

from engine.air.gate_sets import SetResult
from engine.checks.assess import Assessment
from engine.checks.conditions import About
from engine.design import Design, Run, system
from engine.design.places import COLLECTOR, OfMachine, OfRun, Place, PortAt
from engine.units import number_text, unit_name
from engine.values import dataclass
from tui.draw.charts import Axis
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line
from tui.panes.item import Fold

if TYPE_CHECKING:
    from tui.work.known_bands import Bands


@dataclass(frozen=True)
class View:
    """What the results pane shows: the assessment, the gate set at `index`, what is selected, and how much room there is.

    `before` is the assessment from before the last edit while what it
    changed is marked, else None. `port` is one asked for in the tab "where".
    `bands` are those known so far, `unfolded` what is shown with its rows.
    `told` is the condition that was last gone to.
    """

    assessment: Assessment
    index: int
    place: Place
    width: int
    height: int
    glyphs: Glyphs
    before: Assessment | None = None
    port: str = ""
    bands: Bands = field(default_factory=dict)
    unfolded: frozenset[Fold] = frozenset()
    told: tuple[str, About] | None = None

    @property
    def design(self) -> Design:
        """The design that was assessed."""
        return self.assessment.design

    @property
    def units(self) -> str:
        """ "metric" or "imperial"."""
        return system(self.design)

    @property
    def result(self) -> SetResult:
        """The gate set shown, solved."""
        return self.assessment.sets[self.index]

    @cached_property
    def old(self) -> SetResult | None:
        """The same gate set before the last edit, while that is marked."""
        sets = self.before.sets if self.before else ()
        return next((result for result in sets if result.gate_set.name == self.result.gate_set.name), None)

    @cached_property
    def run(self) -> Run | None:
        """The run that is or holds what is selected, or ends at the port that is."""
        if isinstance(self.place, OfRun):
            return self.design.runs[self.place.run]
        ports = self.selected_ports
        return next((run for run in self.design.runs if run.ends in ports), None)

    @cached_property
    def concerned(self) -> Collection[Place]:
        """The places whose findings are about what is selected: the collector; else the ports, and the run with the port that it ends at."""
        if self.place == COLLECTOR:
            return (COLLECTOR,)
        look, run = self.assessment.look, self.run
        ports = (*self.selected_ports, run.ends) if run and run.ends else self.selected_ports
        return {*(look.ports_at[port] for port in ports), *((look.runs_at[run.id],) if run else ())}

    def band(self, index: int, port: str) -> str:
        """ " +48 -1" of a port in the gate set at `index`, in the units shown; "" while it is not known."""
        balance, band = self.assessment.sets[index].balance, self.bands.get(index, {}).get(port)
        return f" {band.text(balance.ports[port].flow, self.units)}" if balance and band else ""

    @cached_property
    def selected_ports(self) -> tuple[str, ...]:
        """Names of the ports that are selected, or belong to the machine that is."""
        if not isinstance(self.place, OfMachine):
            return ()
        machine = self.design.machines[self.place.machine]
        ports = (machine.ports[self.place.port],) if isinstance(self.place, PortAt) else machine.ports
        return tuple(f"{machine.id}/{port.id}" for port in ports)


def figure(label: str, dimension: str, units: str, new: float, old: float | None = None, band: str = "") -> Line:
    """ "label value unit", and "old -> new" where the last edit moved it; `band` stands behind the new value."""
    text = number_text(new, dimension, units)
    before = text if old is None else number_text(old, dimension, units)
    unit = f"{band} {unit_name(dimension, units)}"
    head = (f"{label} ", "text")
    if before == text:
        return head, (text + unit, "value")
    return head, (f"{before} -> ", "dim"), (text + unit, "changed")


def axis_of(view: View, dimension: str, end: float) -> Axis:
    """An axis from nothing to `end`, SI, in the units shown."""
    one = end / float(number_text(end, dimension, view.units, digits=6))
    return Axis(end, number_text(end, dimension, view.units), unit_name(dimension, view.units), one)
