"""Findings about the air of one gate set: speeds, needs, the collector's working point."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from engine.air.gate_sets import SetResult, working_ports
from engine.air.one.ducts import area
from engine.catalog.limits import over, under
from engine.checks.look import Look
from engine.checks.rules import Finding, Measure, Severity, finding, limit
from engine.design import system
from engine.design.places import COLLECTOR
from engine.units.ranges import Range, range_text
from engine.units.words import share_text

SetCheck = Callable[[Look, SetResult], Iterator[Finding]]


def no_balance(look: Look, result: SetResult) -> Iterator[Finding]:
    """The solver found no answer: every figure of this set is missing."""
    if result.balance is None:
        yield finding(look, "no-balance", "fault", COLLECTOR, result.trouble, gate_set=result.gate_set.name)


def slow_run(look: Look, result: SetResult) -> Iterator[Finding]:
    """A run that draws air slower than its load needs, judged where it is widest: in its pipe or in a hose."""
    for run, flow in _carried(result):
        band, section = look.limits[run], look.widest[run]
        speed = flow / area(section.bore)
        if not under(speed, band.slow.value):
            continue
        place, inside = look.piece_at(run, section.piece), "" if section.piece is None else " in its hose"
        slow = f"{look.beside(speed, band.slow.value, 'speed')[1]} of a {band.kind}"
        if under(speed, band.settles.value):
            measure, settles = look.measure(speed, band.settles.value, "speed")
            text = f"{measure.told}{inside}, slower than {settles}: chips settle (good from {slow})"
            yield finding(look, "slow-run", "fault", place, text, by=band.settles, gate_set=result.gate_set.name, measure=measure)
        else:
            measure, _ = look.measure(speed, band.slow.value, "speed")
            text = f"{measure.told}{inside}, slower than {slow}: large chips may hang"
            yield finding(look, "slow-run", "caution", place, text, by=band.slow, gate_set=result.gate_set.name, measure=measure)


def fast_run(look: Look, result: SetResult) -> Iterator[Finding]:
    """A run faster than is sensible, judged where it is narrowest."""
    for run, flow in _carried(result):
        fast, section = look.limits[run].fast, look.narrowest[run]
        speed = flow / area(section.bore)
        if over(speed, fast.value):
            measure, most = look.measure(speed, fast.value, "speed")
            text = f"{measure.told}{'' if section.piece is None else ' in its hose'}, faster than {most}: noise, wear and suction spent"
            place = look.piece_at(run, section.piece)
            yield finding(look, "fast-run", "caution", place, text, by=fast, gate_set=result.gate_set.name, measure=measure)


def machine_without_duct(look: Look, result: SetResult) -> Iterator[Finding]:
    """A port of a machine at work that no run ends at."""
    for name in result.gate_set.open:
        for port in look.ports_of_machine.get(name, ()):
            if port not in look.tree.leaf_of:
                yield finding(look, "no-duct", "fault", look.ports_at[port], "at work, but no duct reaches it", gate_set=result.gate_set.name)


def starved_machine(look: Look, result: SetResult) -> Iterator[Finding]:
    """A port of a machine at work that gets less than it needs; of a range, less than its middle."""
    for port, state in working_ports(result):
        if state.flow >= state.needs or (result.balance and port in result.balance.blown_back):
            continue
        failed = state.flow < limit(look.design, "starved-machine", "tolerance") * state.needs
        told = look.show(state.flow, "flow")
        text = f"{told} of {look.show(state.needs, 'flow')} needed ({share_text(state.flow / state.needs)})"
        needs = look.tree.ports[port].needs
        if isinstance(needs, Range):
            text += f", the middle of {range_text(needs, 'flow', system(look.design))}"
        severity: Severity = "fault" if failed else "caution"
        measure, by = Measure(state.flow, state.needs, "flow", told), "tolerance" if failed else None
        yield finding(look, "starved-machine", severity, look.ports_at[port], text, by=by, gate_set=result.gate_set.name, measure=measure)


def blow_back(look: Look, result: SetResult) -> Iterator[Finding]:
    """An open port that draws no air."""
    for port in result.balance.blown_back if result.balance else ():
        text = "open, but draws no air: it would blow dust back into the room"
        yield finding(look, "blow-back", "fault", look.ports_at[port], text, gate_set=result.gate_set.name)


def too_weak(look: Look, result: SetResult) -> Iterator[Finding]:
    """A collector that moves next to nothing."""
    if result.balance and result.open_ports and result.balance.flow < limit(look.design, "too-weak", "flow"):
        yield finding(look, "too-weak", "fault", COLLECTOR, "draws no air through these ducts", gate_set=result.gate_set.name)


def rising_curve(look: Look, result: SetResult) -> Iterator[Finding]:
    """A working point where the collector's curve rises."""
    if result.balance and result.open_ports and result.balance.rising:
        text = f"works at {look.show(result.balance.flow, 'flow')}, where its curve rises: it may surge between flows"
        yield finding(look, "rising-curve", "caution", COLLECTOR, text, gate_set=result.gate_set.name)


def past_curve(look: Look, result: SetResult) -> Iterator[Finding]:
    """A working point outside the curve that was given."""
    fan = look.tree.fan
    if result.balance is None or not result.open_ports or fan.low <= result.balance.flow <= fan.high:
        return
    low, high = look.show(fan.low, "flow"), look.show(fan.high, "flow")
    text = f"works at {look.show(result.balance.flow, 'flow')}, outside its curve of {low} to {high}: an estimate"
    yield finding(look, "past-curve", "caution", COLLECTOR, text, gate_set=result.gate_set.name)


def _carried(result: SetResult) -> Iterable[tuple[str, float]]:
    """Flow of every run that leads to an open port that draws, m3/s."""
    return result.balance.carried.items() if result.balance else ()


SET_CHECKS: tuple[SetCheck, ...] = (
    no_balance,
    slow_run,
    fast_run,
    machine_without_duct,
    starved_machine,
    blow_back,
    too_weak,
    rising_curve,
    past_curve,
)
