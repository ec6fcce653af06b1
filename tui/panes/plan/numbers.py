"""What a plan says in words of what is selected: bore, speed, height and length, or position, air and hose."""

from __future__ import annotations

from engine import edits
from engine.air.gate_sets import SetResult
from engine.air.one.network import gates_for
from engine.checks.assess import Assessment
from engine.design import Gate, Zone, bore_of, defaults, system
from engine.design.meaning import work_in_words, work_on
from engine.design.places import COLLECTOR, EndOf, JointOf, OfMachine, OfRun, PieceAt, Place, PortAt, RunAt, at
from engine.space.geometry import position_of
from engine.space.lay import length_of
from engine.units import number_text, show
from tui.draw.glyphs import Glyphs
from tui.panes.plan.scene import Scene
from tui.work.edits.positions import hose_text, position_text


def numbers(assessment: Assessment, result: SetResult, scene: Scene, place: Place, glyphs: Glyphs) -> str:
    """One line about what is at a place."""
    design = assessment.design
    match thing := at(design, place):
        case _ if place == COLLECTOR:
            parts = _collector(assessment, result)
        case _ if isinstance(place, OfMachine):
            parts = _machine(assessment, result, place)
        case _ if isinstance(place, OfRun):
            parts = _piece(assessment, result, scene, place)
        case Zone():
            parts = [f"{side} {show(getattr(thing, side).si, 'length', system(design))}" for side in ("west", "east", "south", "north")]
        case _:
            parts = ["has no place on the plan"]
    name = ("joint of " if isinstance(place, JointOf) else "end of " if isinstance(place, EndOf) else "") + edits.label(design, place)
    return f"{name}: {glyphs.divider.join(parts)}"


def _piece(assessment: Assessment, result: SetResult, scene: Scene, place: OfRun) -> list[str]:
    units, run = system(assessment.design), assessment.design.runs[place.run]
    piece = run.pieces[place.piece] if isinstance(place, PieceAt) else None
    bore = bore_of(run, assessment.look.sizes)
    parts = [show(bore, "bore", units)]
    state = result.balance.runs.get(run.id) if result.balance else None
    parts.append(show(state.velocity, "speed", units) if state and state.carries and state.flow > 0 else "no air")
    if isinstance(piece, Gate):
        parts.append("open" if piece.name in gates_for(assessment.tree, result.gate_set.open) else "shut")
    parts.append(_height(scene, place, units))
    stock = assessment.look.sizes[run.size][0] if run.size else None
    length = length_of(piece, bore, stock) if piece is not None else assessment.look.space.ways[run.id].length
    if length and isinstance(place, RunAt | PieceAt):
        parts.append(f"{show(length, 'length', units)} long")
    if (work := work_on(run, piece) if piece else work_in_words(run)) != defaults.STATE:
        parts.append(work)
    if isinstance(place, EndOf) and run.ends:
        parts.append(f"{run.ends}, {hose_text(assessment.look.space.gaps.get(run.ends), units)}")
    return parts


def _height(scene: Scene, place: Place, units: str) -> str:
    heights = [up for _, _, up in scene.points_of(place)]
    if not heights:
        return "no place"
    first, last = show(heights[0], "length", units), show(heights[-1], "length", units)
    return f"{first} up" if first == last else f"{first} to {last} up"


def _machine(assessment: Assessment, result: SetResult, place: OfMachine) -> list[str]:
    design = assessment.design
    units, machine = system(design), design.machines[place.machine]
    ports = (machine.ports[place.port],) if isinstance(place, PortAt) else machine.ports
    own = position_of(ports[0]) if isinstance(place, PortAt) else None
    position, parts = position_text(own or position_of(machine), units), []
    states = result.balance.ports if result.balance else {}
    for port in ports:
        name = f"{machine.id}/{port.id}"
        head = f"{port.id} " if len(ports) > 1 else ""
        needs = show(port.needs.si, "flow", units)
        air = f"{number_text(states[name].flow, 'flow', units)} of {needs}" if name in states else f"shut, needs {needs}"
        parts.append(f"{head}{air}, {hose_text(assessment.look.space.gaps.get(name), units)}")
    return [*parts, position]


def _collector(assessment: Assessment, result: SetResult) -> list[str]:
    units = system(assessment.design)
    parts = [position_text(position_of(assessment.design.collector), units)]
    if result.balance:
        parts += [show(result.balance.flow, "flow", units), f"{show(result.balance.collector_pressure, 'pressure', units)} total"]
    return parts
