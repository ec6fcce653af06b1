"""Changes where runs meet: angles, tapers, and who joins where."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from math import pi, radians

from engine.air.one.duct_maker import reducer_at_joint
from engine.checks.look import Look
from engine.checks.rules import limit
from engine.design import BLUNT, Design, Elbow, Piece, Run, Straight, children_of, defaults, joins_as, system
from engine.design.meaning import branch_angle
from engine.edits import EditError
from engine.search.quantities import round_angle, round_length
from engine.search.remedies.change import IN_FRONT, Change, Edit, change, in_degrees, on_run, touches_of, with_pieces, with_room
from engine.search.remedies.pieces import first_elbow, fittings_apart
from engine.search.remedies.weights import work

_LEANS = (radians(45.0), radians(30.0))
# Less than this between two angles is no change, rad.
_SAME_ANGLE = radians(0.5)
# A branch needs this much more than another before they are worth changing places: judgement.
_CLEARLY_MORE = 1.1


def angles(look: Look) -> Iterator[Change]:
    """A branch or leg that leans more with the air: a tee to 45 deg, and any to 30 deg."""
    for run in look.design.runs:
        if joins_as(run) == "straight" or run.loss is not None:
            continue
        now = branch_angle(run)
        for lean in _LEANS:
            if now > lean + _SAME_ANGLE:
                yield _lean_more(look, run, now, lean)


def _lean_more(look: Look, run: Run, now: float, lean: float) -> Change:
    """The branch at another angle, and an elbow that turns by the rest, so that the run goes on as it did."""
    turn, new_angle = now - lean, round_angle(lean)
    at_elbow, elbow = first_elbow(run) or (IN_FRONT, None)
    new: dict[int, tuple[Piece, ...]]
    if elbow and run.toward and elbow.toward == run.toward and elbow.angle.si + turn < pi / 2 + _SAME_ANGLE:
        new = {at_elbow: (replace(elbow, angle=round_angle(elbow.angle.si + turn)),)}
        more = f"elbow {in_degrees(elbow.angle.si)} -> {in_degrees(elbow.angle.si + turn)}"
    else:
        apart = Straight(length=round_length(fittings_apart(look, run), system(look.design)))
        new = {IN_FRONT: (apart, Elbow(angle=round_angle(turn), toward=run.toward))}
        more = f"an elbow of {in_degrees(turn)} after it"
    kind = "square tee" if now > limit(look.design, "square-tee", "square") else f"{in_degrees(now)} {joins_as(run)}"
    return change(
        f"{run.id}: {kind} -> {in_degrees(lean)}", touches_of(run, "joint", *new), work("branch_at_another_angle"),
        on_run(run.id, lambda one: replace(one, angle=new_angle)), with_pieces(run, new), with_room(look, run), note=f"with {more}",
    )  # fmt: skip


def tapers(look: Look) -> Iterator[Change]:
    """A steep change of bore at a joint or a port made gradual."""
    for duct in look.tree.runs:
        run = look.runs[duct.run]
        parent_bore = look.tree.runs[duct.parent].bore if duct.parent >= 0 else look.design.collector.inlet.si
        if run.taper and _is_steep(run.taper.si) and reducer_at_joint(run, duct.bore, parent_bore):
            title = f"{run.id}: {_taper_name(run.taper.si)} -> 15 deg taper"
            yield change(title, touches_of(run, "taper"), work("taper_exchanged"), on_run(run.id, _with_gradual_taper), with_room(look, run))
        if run.ends and run.port_taper and _is_steep(run.port_taper.si) and look.tree.ports[run.ends].bore.si != duct.far_bore:
            title = f"{run.id}: {_taper_name(run.port_taper.si)} at the port -> 15 deg taper"
            yield change(title, touches_of(run, "port taper"), work("taper_exchanged"), on_run(run.id, _with_gradual_port_taper))


def _is_steep(taper: float) -> bool:
    return taper > defaults.TAPER.si + _SAME_ANGLE


def _with_gradual_taper(run: Run) -> Run:
    return replace(run, taper=round_angle(defaults.TAPER.si))


def _with_gradual_port_taper(run: Run) -> Run:
    return replace(run, port_taper=round_angle(defaults.TAPER.si))


def _taper_name(taper: float) -> str:
    return "flat reducer" if taper > BLUNT - _SAME_ANGLE else f"{in_degrees(taper)} taper"


def order(look: Look) -> Iterator[Change]:
    """Two branches of one main change places, so that the one that needs more comes nearer the collector.

    Neighbours along the main, and the largest with the first. Only branches
    of one angle that leave to the same side: each goes over as it is.
    """
    needs, joined = _needs_beyond(look), children_of(look.design)
    for main in _mains(look):
        branches = [run for parent in main for run in joined[parent] if joins_as(run) == "branch"]
        if len(branches) < 2:
            continue
        largest = max(branches, key=lambda run: needs[run.id])
        pairs = dict.fromkeys([(a.id, b.id) for a, b in pairwise(branches)] + [(branches[0].id, largest.id)])
        for inner, outer in pairs:
            a, b = look.runs[inner], look.runs[outer]
            alike = (a.toward, a.angle and a.angle.si) == (b.toward, b.angle and b.angle.si)
            if alike and a.joins != b.joins and needs[outer] > _CLEARLY_MORE * needs[inner]:
                title = f"{outer} joins {a.joins}, {inner} {b.joins}"
                note = "the machines change places, each takes its duct along"
                yield change(title, {(inner, "joint"), (outer, "joint")}, work("branches_swapped"), _swap_joins(a, b), note=note)


def _swap_joins(a: Run, b: Run) -> Edit:
    joins = {a.id: b.joins, b.id: a.joins}

    def edit(design: Design) -> Design:
        now = {run.id: run.joins for run in design.runs}
        if (now.get(a.id), now.get(b.id)) != (a.joins, b.joins):
            raise EditError(f"{a.id} and {b.id} join elsewhere now")
        return replace(design, runs=tuple(replace(run, joins=joins[run.id]) if run.id in joins else run for run in design.runs))

    return edit


def _mains(look: Look) -> Iterator[list[str]]:
    """Every stretch of runs that go straight on from each other, from the collector outward."""
    onward = {run.joins: run.id for run in look.design.runs if joins_as(run) == "straight" and run.joins != "collector"}
    for run in look.design.runs:
        if run.joins == "collector" or joins_as(run) != "straight":
            main = [run.id]
            while main[-1] in onward:
                main.append(onward[main[-1]])
            yield main


def _needs_beyond(look: Look) -> dict[str, float]:
    """What the ports beyond each run need together, m3/s."""
    needs = [look.tree.ports[duct.port].needs.si if duct.port else 0.0 for duct in look.tree.runs]
    for i in range(len(needs) - 1, 0, -1):
        needs[look.tree.ducts[i].parent] += needs[i]
    return {duct.run: need for duct, need in zip(look.tree.runs, needs, strict=True)}
