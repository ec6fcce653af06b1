"""Findings about how the ducts are laid out and made, whatever gates are open."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import ceil, degrees

from engine.air.one.balance import velocity_pressure
from engine.air.one.duct_maker import guessed_port, port_loss, reducer_at_joint
from engine.air.one.ducts import area
from engine.catalog.limits import over, under
from engine.checks.look import Look
from engine.checks.one_run import Hung, Made, of_hung, of_made
from engine.checks.rules import Finding, Severity, finding, limit
from engine.checks.shop import Shop, of_shop
from engine.design import Elbow, Hose, OwnLoss, Straight, bore_of, defaults, gate_sets_of, joins_as, ports_of, tuning_of
from engine.design.meaning import branch_angle, elbow_shape, hose_bore, pipe_stock
from engine.design.places import COLLECTOR, Place
from engine.space.geometry import Gap
from engine.units import Quantity

DesignCheck = Callable[[Look], Iterator[Finding]]


@of_shop
def machines_without_duct(shop: Shop) -> Iterator[Finding]:
    """Ports no run ends at, of machines that no gate set has at work."""
    at_work = {name for gate_set in gate_sets_of(shop.design) for name in gate_set.open}
    for name, (machine, _) in ports_of(shop.design).items():
        if machine.id not in at_work and name not in shop.leaf_of:
            yield finding(shop, "no-duct", "note", shop.ports_at[name], "no duct reaches it, and no gate set has it at work")


def capped_end(look: Look) -> Iterator[Finding]:
    """Runs that end at nothing."""
    for run, joined in look.children.items():
        if run != "collector" and not joined and look.runs[run].ends is None:
            yield finding(look, "capped-end", "note", look.runs_at[run], "ends at no port and nothing joins it: taken as capped")


@of_hung
def long_hose(hung: Hung) -> Iterator[Finding]:
    """More hose in a run than a machine's movement needs, or than leads to its port."""
    made = hung.made
    if not made.hoses:
        return
    length = sum(hose.length.si for _, hose in made.hoses)
    is_long, enough = over(length, limit(made.ground, "long-hose", "good")), _enough_hose(made, hung.gap)
    if is_long or enough:
        by = "poor" if over(length, limit(made.ground, "long-hose", "poor")) else "good" if is_long else None
        measure, most = made.measure(length, limit(made.ground, "long-hose", by), "length") if by else (None, "")
        text = f"{measure.told if measure else made.show(length, 'length')} of hose" + (f", more than {most}" if by else "")
        text += f"; {enough} would do" if enough else ""
        yield finding(made, "long-hose", "caution" if by == "poor" else "note", made.place(made.hoses[0][0]), text, by=by, measure=measure)


def _enough_hose(made: Made, gap: Gap | None) -> str:
    """The length of hose that would reach a run's port with something over; "" where what it has is not far more.

    A machine that is moved about to work takes its hose along: what hangs over is for that.
    """
    if not gap or gap.hose <= gap.distance or (made.machine and made.machine.moves):
        return ""
    slack, share = limit(made.ground, "long-hose", "slack"), limit(made.ground, "long-hose", "share")
    return made.show(ceil(11 * gap.distance) / 10, "length") if gap.hose - gap.distance > max(slack, share * gap.distance) else ""


@of_made
def hard_elbow(made: Made) -> Iterator[Finding]:
    """Elbows that turn too sharply."""
    least, stock = limit(made.ground, "hard-elbow", "radius"), pipe_stock(made.run, made.ground.sizes)
    for i, piece in enumerate(made.run.pieces):
        if isinstance(piece, Elbow):
            (make, radius, _), place = elbow_shape(piece, stock), made.place(i)
            if make == "mitred" and over(piece.angle.si, limit(made.ground, "hard-elbow", "mitre")):
                yield finding(made, "hard-elbow", "caution", place, f"mitred elbow of {degrees(piece.angle.si):.0f} deg", by="mitre")
            elif make != "mitred" and under(radius, least):
                severity: Severity = "caution" if under(radius, limit(made.ground, "hard-elbow", "hard_radius")) else "note"
                text = f"elbow of centre-line radius {radius:g} bores, less than {least:g}"
                yield finding(made, "hard-elbow", severity, place, text, by="radius")


@of_made
def square_tee(made: Made) -> Iterator[Finding]:
    """Branches and legs that meet the air at a steep angle."""
    steep, square = limit(made.ground, "square-tee", "steep"), limit(made.ground, "square-tee", "square")
    angle = branch_angle(made.run)
    if joins_as(made.run) != "straight" and over(angle, steep):
        severity: Severity = "caution" if over(angle, square) else "note"
        measure, most = made.measure(angle, steep, "angle")
        text, by = f"joins at {measure.told}, steeper than {most}", "square" if severity == "caution" else "steep"
        yield finding(made, "square-tee", severity, made.place(), text, by=by, measure=measure)


@of_shop
def choked_port(shop: Shop) -> Iterator[Finding]:
    """Connected ports too small or too resistant for the flow they need."""
    density, tuned = shop.air.density, tuning_of(shop.design)
    for name, port in shop.connected.items():
        speed = port.needs.si / area(port.bore.si)
        suction = (1 + port_loss(name, port, density, tuned)) * velocity_pressure(port.needs.si, port.bore.si, density)
        fast, most = limit(shop.design, "choked-port", "speed"), limit(shop.design, "choked-port", "suction")
        if over(speed, fast):
            by, (measure, told) = "speed", shop.measure(speed, fast, "speed")
            text = f"needs {measure.told} through its own bore, faster than {told}"
        elif over(suction, most):
            by, (measure, told) = "suction", shop.measure(suction, most, "pressure")
            text = f"needs {measure.told} of static suction at the port itself, more than {told}"
        else:
            continue
        yield finding(shop, "choked-port", "caution", shop.ports_at[name], text, by=by, measure=measure)


@of_shop
def guessed_ports(shop: Shop) -> Iterator[Finding]:
    """Connected ports of whose loss nothing is known."""
    (low, high), tuned = defaults.PORT_LOSS_SPAN, tuning_of(shop.design)
    for name, port in shop.connected.items():
        if guessed_port(name, port, tuned):
            text = f"its loss is a guess: {defaults.PORT_LOSS:g} velocity pressures are taken, {low:g} to {high:g} are as likely"
            yield finding(shop, "guessed-port", "note", shop.ports_at[name], text)


@of_shop
def free_exit_twice(shop: Shop) -> Iterator[Finding]:
    """A loss at the end of the duct to the outside that seems to hold the free exit's own."""
    collector = shop.design.collector
    last = collector.outlet_pieces[-1] if collector.discharge == "outside" and collector.outlet_pieces else None
    if isinstance(last, OwnLoss) and last.loss >= 1.0:
        figures = {"given": f"{last.loss:g}", "beyond": f"{last.loss - 1.0:.4g}"}
        text = f"its duct to the outside ends in {last.name or 'a loss'} of {figures['given']}: the free exit's 1.0 may be counted twice"
        yield finding(shop, "free-exit-twice", "note", COLLECTOR, text, figures=figures)


@of_shop
def hand_tool_port(shop: Shop) -> Iterator[Finding]:
    """Connected ports so small that a chip collector cannot serve them; a blade guard shares the extraction of its saw."""
    smallest, guard = limit(shop.design, "hand-tool-port", "bore"), limit(shop.design, "hand-tool-port", "guard")
    served = {name.split("/")[0] for name, port in shop.connected.items() if not under(port.bore.si, smallest)}
    for name, port in shop.connected.items():
        if under(port.bore.si, guard if name.split("/")[0] in served else smallest):
            measure, least = shop.measure(port.bore.si, smallest, "bore")
            text = f"bore {measure.told}, under {least}: a port for hand tools"
            yield finding(shop, "hand-tool-port", "caution", shop.ports_at[name], text, measure=measure)


@of_made
def hose_mismatch(made: Made) -> Iterator[Finding]:
    """Hoses on ports of quite another bore, where nobody named the reducer that must be there."""
    run = made.run
    last = next((i for i in reversed(range(len(run.pieces))) if isinstance(run.pieces[i], Straight | Elbow | Hose)), None)
    piece = run.pieces[last] if last is not None else None
    if made.port and not run.port_taper and isinstance(piece, Hose):
        bore, port = hose_bore(piece, run, made.ground.sizes), made.port.bore.si
        if over(abs(bore - port) / port, limit(made.ground, "hose-mismatch", "alike")):
            text = f"of {made.show(bore, 'bore')} on a port of {made.show(port, 'bore')}, and no reducer named"
            yield finding(made, "hose-mismatch", "caution", made.place(last), text)


def wider_outward(look: Look) -> Iterator[Finding]:
    """Runs wider than the run they join."""
    for run in look.design.runs:
        if run.joins != "collector":
            bore, parent = bore_of(run, look.sizes), bore_of(look.runs[run.joins], look.sizes)
            if bore > parent:
                text = f"bore {look.show(bore, 'bore')} joins {run.joins} of {look.show(parent, 'bore')}"
                yield finding(look, "wider-outward", "caution", look.runs_at[run.id], text)


def blunt_taper(look: Look) -> Iterator[Finding]:
    """Changes of bore at joints and ports that are too abrupt."""
    steep = limit(look.design, "blunt-taper", "steep")
    for duct in look.tree.runs:
        run = look.runs[duct.run]
        parent_bore = look.tree.runs[duct.parent].bore if duct.parent >= 0 else look.design.collector.inlet.si
        changes: list[tuple[Place, str, Quantity | None]] = []
        if reducer_at_joint(run, duct.bore, parent_bore):
            changes.append((look.runs_at[run.id], "joint", run.taper))
        if run.ends and look.tree.ports[run.ends].bore.si != duct.far_bore:
            changes.append((look.ports_at[run.ends], "port", run.port_taper))
        for place, at, taper in changes:
            angle = (taper or defaults.TAPER).si
            if over(angle, steep):
                shape = "a flat reducer" if angle > 3.1 else f"a taper of {degrees(angle):.0f} deg"
                yield finding(look, "blunt-taper", "caution" if angle > 3.1 else "note", place, f"{shape} at its {at}")


LAYOUT_CHECKS: tuple[DesignCheck, ...] = (
    machines_without_duct, capped_end, long_hose, hard_elbow, square_tee,
    choked_port, guessed_ports, free_exit_twice, hand_tool_port, hose_mismatch, wider_outward, blunt_taper,
)  # fmt: skip
