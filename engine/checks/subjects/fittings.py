"""Findings about what follows what on the way along the ducts, across joints and runs."""

from __future__ import annotations

from collections.abc import Iterator

from engine.catalog.limits import over, under
from engine.checks.look import Look
from engine.checks.one_run import Made
from engine.checks.rules import Finding, Severity, finding, limit
from engine.design import Cleanout, Elbow, Gate, Hose, Run, Straight, bore_of, gate_sets_of, joins_as
from engine.design.kept import ROWS, kept
from engine.design.meaning import upstream
from engine.shapes.vectors import WAYS, Point, across, dot
from engine.space.fitted import Fitted, fitted_runs
from engine.space.geometry import Way
from engine.space.lay import Stretch

# A piece steeper than this, as the sine of its slope, is no level one.
_LEVEL = 0.5
# Two branches whose ways out differ by more than about 135 deg face each other.
_FACING = -0.7


def straight_on(look: Look, run: Run) -> Run | None:
    """The run that goes straight on from a run."""
    return next((child for child in look.children[run.id] if joins_as(child) == "straight"), None)


def is_joint(look: Look, parent: str) -> bool:
    """Whether air comes together, or turns, where runs join this one."""
    joined = look.children[parent]
    return len(joined) > 1 or (len(joined) == 1 and joins_as(joined[0]) != "straight")


def inlet_elbow(look: Look) -> Iterator[Finding]:
    """An elbow so near the collector that the air swirls into it, and the curve does not allow for that."""
    run = None if look.design.collector.swirl else next(iter(look.children["collector"]), None)
    straight = 0.0
    wanted = limit(look.design, "inlet-elbow", "bores") * bore_of(run, look.sizes) if run else 0.0
    while run and under(straight, wanted):
        for i, piece in enumerate(run.pieces):
            if isinstance(piece, Elbow) and under(straight, wanted):
                measure, least = look.measure(straight, wanted, "length")
                text = f"elbow {measure.told} before the inlet, less than {least}"
                yield finding(look, "inlet-elbow", "caution", look.piece_at(run.id, i), text, measure=measure)
                return
            straight += piece.length.si if isinstance(piece, Straight) else 0.0
        run = straight_on(look, run)


def crowded_fittings(look: Look) -> Iterator[Finding]:
    """Elbows and joints with too little straight between them, on the way across runs; a plain change of size is none of them.

    Bodies are straight duct to the air: the way goes from bend to bend, through them.
    """
    fitted, made = fitted_runs(look.design), {one.run.id: one for one in look.made}
    waiting: list[tuple[Run, float | None]] = [(run, None) for run in look.children["collector"]]
    while waiting:
        run, straight = waiting.pop()
        found, behind = _crowded(made[run.id], fitted[run.id], straight, is_joint(look, run.id))
        yield from found
        waiting += [(child, behind) for child in look.children[run.id]]


@kept(ROWS)
def _crowded(made: Made, fitted: Fitted, straight: float | None, ends_at_joint: bool) -> tuple[tuple[Finding, ...], float | None]:
    """What is crowded in a run that so much straight leads to from the last fitting, m, and as much at its end; None where there was none yet."""
    found = list[Finding]()
    for i, piece in enumerate(made.run.pieces):
        if isinstance(piece, Elbow):
            found += _too_near(made, fitted, i, straight)
            straight = 0.0
        elif isinstance(piece, (Straight, Hose)) and straight is not None:
            straight += piece.length.si
    if ends_at_joint:
        found += _too_near(made, fitted, len(made.run.pieces), straight)
        straight = 0.0
    return tuple(found), straight


def _too_near(made: Made, fitted: Fitted, at: int, straight: float | None) -> Iterator[Finding]:
    """The finding of the fitting at a piece, one behind the last of which is the joint, where too little straight leads to it, m."""
    apart, bores = limit(made.ground, "crowded-fittings", "apart"), limit(made.ground, "crowded-fittings", "bores")
    wanted = max(apart, bores * bore_of(made.run, made.ground.sizes))
    if straight is not None and under(straight, wanted):
        severity: Severity = "caution" if under(straight, apart) else "note"
        measure, least = made.measure(straight, wanted, "length")
        text = f"{measure.told} between two fittings, less than {least}"
        if room := fitted.wanting.get(at):
            text += f"; their bodies alone want {made.about(room, 'length', least=True)}"
        piece = min(at, len(made.run.pieces) - 1) if made.run.pieces else None
        yield finding(made, "crowded-fittings", severity, made.place(piece), text, measure=measure)


def gate_after_elbow(look: Look) -> Iterator[Finding]:
    """Gates that the air comes to out of an elbow close by."""
    bores = limit(look.design, "gate-after-elbow", "bores")
    for made in look.made:
        for i in made.gates:
            straight, wanted = straight_from_elbow(look, made.run, i), bores * bore_of(made.run, look.sizes)
            if straight is not None and under(straight, wanted):
                measure, least = look.measure(straight, wanted, "length")
                text = f"gate {measure.told} after an elbow, less than {least}"
                yield finding(look, "gate-after-elbow", "note", made.place(i), text, measure=measure)


def straight_from_elbow(look: Look, run: Run, piece: int) -> float | None:
    """Straight pipe between a piece and the elbow that the air comes to it from; None where it comes from something else."""
    straight, passed, further = 0.0, upstream(run, piece), run
    while True:
        for part in passed:
            match part:
                case Elbow():
                    return straight
                case Straight():
                    straight += part.length.si
                case Hose():
                    return None
        onward = None if is_joint(look, further.id) else straight_on(look, further)
        if onward is None:
            return None
        further, passed = onward, onward.pieces


def dead_leg(look: Look) -> Iterator[Finding]:
    """Gates with much level pipe to the joint with what still draws when they are shut; a drop straight down to one is as good as none."""
    longest = limit(look.design, "dead-leg", "length")
    for made in look.made:
        length = _leg(look, made.run, made.gates[0]) if made.gates else None
        if length is not None and over(length, longest):
            measure, most = look.measure(length, longest, "length")
            text = f"gate {measure.told} of level pipe from the joint it shuts off, more than {most}"
            yield finding(look, "dead-leg", "note", made.place(made.gates[0]), text, measure=measure)


def _leg(look: Look, run: Run, until: int) -> float | None:
    """Length of level pipe inward from a piece to the next joint of several ways; None where a gate or the collector comes first."""
    length = sum(_level_lengths(look.space.ways[run.id], until))
    while len(look.children[run.joins]) == 1:
        if run.joins == "collector":
            return None
        run = look.runs[run.joins]
        if any(isinstance(piece, Gate) for piece in run.pieces):
            return None
        length += sum(_level_lengths(look.space.ways[run.id]))
    return length


def no_gate(look: Look) -> Iterator[Finding]:
    """Ports that always draw, in a shop where other machines work too."""
    ways = look.tree.gates_to
    if len({port.split("/")[0] for port in ways}) < 2:
        return
    for port, gates in ways.items():
        if not gates:
            idle = next((made.name for made in gate_sets_of(look.design) if port.split("/")[0] not in made.open), None)
            text = "no gate on its way: it always draws" + (f', with "{idle}" too' if idle else "")
            yield finding(look, "no-gate", "caution" if idle else "note", look.ports_at[port], text)


def facing_branches(look: Look) -> Iterator[Finding]:
    """Two branches that leave one joint toward opposite sides."""
    for parent in look.design.runs:
        branches = [run for run in look.children[parent.id] if joins_as(run) == "branch"]
        sides = [(run, side) for run in branches if (side := _side(look, parent, run))] if len(branches) > 1 else []
        for i, (run, side) in enumerate(sides):
            facing = next((other for other, its in sides[:i] if dot(side, its) < _FACING), None)
            if facing:
                yield finding(look, "facing-branches", "caution", look.runs_at[run.id], f"faces {facing.id} at one joint: the two flows meet head on")


def _side(look: Look, parent: Run, run: Run) -> Point | None:
    """The way a branch leaves, across its parent; as it says where its parent has no place."""
    if run.toward is None:
        return None
    along = look.space.ways[parent.id].leaves
    return across(along, WAYS[run.toward]) if along else WAYS[run.toward]


# ---- lids to clean the ducts through


def no_cleanout(look: Look) -> Iterator[Finding]:
    """Mains with long level stretches, or a dead end, and no lid to clean them through."""
    for main in _mains(look):
        yield from _stretches_without_lid(look, main)


def _mains(look: Look) -> Iterator[list[Run]]:
    """Runs that serve several ports, in rows that go straight on, each up to where it ends or leads to a port."""
    for run in look.design.runs:
        if look.served[run.id] < 2 or (joins_as(run) == "straight" and run.joins != "collector" and look.served[run.joins] > 1):
            continue
        main, further = [run], straight_on(look, run)
        while further and (look.served[further.id] > 1 or not further.ends):
            main.append(further)
            further = straight_on(look, further)
        yield main


def _stretches_without_lid(look: Look, main: list[Run]) -> Iterator[Finding]:
    longest = limit(look.design, "no-cleanout", "spacing")
    level, found = 0.0, None
    for run in main:
        for i, (piece, length) in enumerate(zip(run.pieces, _level_lengths(look.space.ways[run.id]), strict=True)):
            if isinstance(piece, Cleanout):
                if found:
                    yield _far_from_lid(look, *found, level)
                level, found = 0.0, None
            else:
                level += length
                found = found or ((run, i) if over(level, longest) else None)
    if found:
        yield _far_from_lid(look, *found, level)
    elif over(level, limit(look.design, "no-cleanout", "end")) and all(joins_as(run) == "branch" for run in look.children[main[-1].id]):
        yield finding(look, "no-cleanout", "note", look.runs_at[main[-1].id], "the far end of a main, without a cleanout", by="end")


def _far_from_lid(look: Look, run: Run, piece: int, level: float) -> Finding:
    measure, longest = look.measure(level, limit(look.design, "no-cleanout", "spacing"), "length")
    text = f"{measure.told} of level main without a cleanout, more than {longest}"
    return finding(look, "no-cleanout", "note", look.piece_at(run.id, piece), text, by="spacing", measure=measure)


def _level_lengths(way: Way, until: int | None = None) -> list[float]:
    """Lengths of a run's pieces, m, all or those before one; none of those that lead up or down."""
    turns = way.turns
    return [0.0 if i < len(turns) and _is_steep(turns[i]) else length for i, length in enumerate(way.lay.lengths[:until])]


def _is_steep(stretch: Stretch) -> bool:
    return abs(stretch.before[2]) >= _LEVEL or abs(stretch.after[2]) >= _LEVEL


FITTING_CHECKS = (inlet_elbow, crowded_fittings, gate_after_elbow, dead_leg, no_gate, facing_branches, no_cleanout)
