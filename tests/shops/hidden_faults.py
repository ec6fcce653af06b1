"""Faults hidden in shops that differ a little from their designs. Invented data."""

from __future__ import annotations

from dataclasses import dataclass, replace
from random import Random

from engine.air.fan import filter_loss
from engine.design import Collector, CollectorLoss, Design, OwnLoss, Reading, Run, gate_sets_of
from engine.design.model import READ
from engine.field.built import as_built
from engine.field.causes import faults
from engine.field.causes.diagnosis import Cause, diagnoses
from engine.field.causes.faults import Condition, with_places_for_holes
from engine.field.causes.lineup import lineup_of, shown_by
from engine.field.causes.places import places
from engine.field.expected import Task, network_of
from engine.field.spots import Spot
from engine.units import Quantity, si_unit

NOISE, TAKEN, STATE = 0.02, 0.15, "used"
_MOST = {
    "clog": (0.3, 0.97), "choked port": (0.3, 0.97), "gate open": (0.15, 1.0), "gate shut": (0.3, 1.0), "leak": (0.02, 0.25),
    "open joint": (0.35, 1.0), "bin leak": (0.03, 0.4), "filter loaded": (1.5, 12.0), "filter torn": (0.7, 0.1), "weak collector": (0.9, 0.45),
}  # fmt: skip


@dataclass(frozen=True)
class Trial:
    """A hidden cause, and what was thought of it after each reading: the causes, most probable first."""

    cause: str
    place: str
    told: tuple[tuple[Cause, ...], ...]

    def rank(self, readings: int) -> int:
        """Where the hidden cause stands after so many readings, 0 for the first."""
        return next(
            (at for at, cause in enumerate(self.told[readings - 1]) if any(one[:2] == (self.cause, self.place) for one in cause.candidates)), 99
        )


def aged(design: Design, rng: Random) -> Design:
    """The shop as it stands: not quite its design in any run, in its collector, its filter, its tightness."""
    runs = tuple(replace(run, pieces=(*run.pieces, OwnLoss(loss=rng.uniform(0.0, 0.2), name="as hung"))) for run in design.runs)
    collector, factor = design.collector, rng.uniform(0.95, 1.03)
    curve = tuple(replace(point, pressure=_times(point.pressure, factor)) for point in collector.curve)
    loss = filter_loss(collector)
    collector = replace(collector, curve=curve)
    collector = _filter(collector, rng.uniform(0.8, 1.25)) if loss else _with_filter(collector, rng.uniform(0.05, 0.15))
    return replace(design, runs=runs, collector=collector, leakage=replace(design.leakage, tightness=rng.choice([None, "B", "C"])))


def _times(quantity: Quantity, factor: float) -> Quantity:
    return Quantity(quantity.si * factor, "")


def _with_filter(collector: Collector, share: float) -> Collector:
    """A collector whose curve holds its filter, with both told apart: at half of its flow it takes a share of the highest pressure."""
    drop, at = share * max(point.pressure.si for point in collector.curve), 0.5 * collector.curve[-1].flow.si
    curve = tuple(replace(point, pressure=Quantity(point.pressure.si + drop * point.flow.si / at, "")) for point in collector.curve)
    loss = CollectorLoss(name="bag", drop=Quantity(drop, ""), at=Quantity(at, ""), law="linear")
    return replace(collector, curve=curve, losses=(*collector.losses, loss))


def _filter(collector: Collector, times: float) -> Collector:
    loss = filter_loss(collector)
    assert loss is not None
    own = replace(loss, drop=_times(loss.drop, times), clean=loss.clean and _times(loss.clean, times), dirty=loss.dirty and _times(loss.dirty, times))
    return replace(collector, losses=tuple(own if each is loss else each for each in collector.losses))


def condition_of(design: Design) -> Condition:
    """A shop as it stands, with places for holes."""
    own, tree = network_of(as_built(design), STATE)
    return Condition(with_places_for_holes(tree), own.collector)


def spoiled(shop: Design, cause: str, place: str, severity: float, rng: Random) -> Condition:
    """A shop with something wrong in it: by its design where that has a word for it, in the middle of a run where a clog is."""
    sound = condition_of(shop)
    match cause:
        case "clog":
            run = next(run for run in shop.runs if run.id == place)
            at = rng.randint(0, len(run.pieces))
            lump = OwnLoss(loss=faults.coefficient_of(severity), name="chips")
            changed: Run = replace(run, pieces=(*run.pieces[:at], lump, *run.pieces[at:]))
            return condition_of(replace(shop, runs=tuple(changed if each is run else each for each in shop.runs)))
        case "filter loaded" | "filter torn":
            return condition_of(replace(shop, collector=_filter(shop.collector, severity)))
        case "weak collector":
            curve = tuple(
                replace(point, flow=_times(point.flow, severity), pressure=_times(point.pressure, severity**2)) for point in shop.collector.curve
            )
            return condition_of(replace(shop, collector=replace(shop.collector, curve=curve)))
    change = {"choked port": faults.choked, "gate open": faults.left_open, "gate shut": faults.left_shut}.get(cause, faults.holed)
    return change(sound, place or None, severity)


def fault(design: Design, shop: Design, cause: str, rng: Random) -> tuple[str, Condition] | None:
    """A fault of a kind that takes enough from some port, or from the filter's drop where one is torn; None where chance brings none."""
    suspects = [one for one in lineup_of(as_built(design), STATE).suspects if one.cause == cause]
    sets = gate_sets_of(shop)
    sound = condition_of(shop)
    ports = [Task("flow", Spot(port=port), each, STATE) for each in sets for port in sound.ask(each).open_ports]
    wanted = [Task("filter drop", Spot(), each, STATE) for each in sets] if cause == "filter torn" else ports
    before = shown_by([sound], wanted)[0]
    for _ in range(30):
        if not suspects:
            return None
        place = rng.choice(suspects).where
        low, high = _MOST[cause]
        severity = 1.0 if cause.startswith("gate") and rng.random() < 0.5 else rng.uniform(low, high)
        condition = spoiled(shop, cause, place, severity, rng)
        if (shown_by([condition], wanted)[0] < (1.0 - TAKEN) * before).any():
            return place, condition
    return None


def reading_of(task: Task, condition: Condition, rng: Random, *, baseline: bool = False) -> Reading:
    """What a gauge shows."""
    true = float(shown_by([condition], [task])[0, 0])
    value, unit = max(true * (1.0 + rng.gauss(0.0, NOISE)), 0.0), si_unit(READ[task.what])
    spot = {"port": task.spot.port} if task.spot.port else {"at": task.spot.run or "collector"}
    if task.spot.distance is not None:
        spot["from_collector"] = Quantity(task.spot.distance, f"{task.spot.distance} m")
    return Reading(
        gate_set=task.gate_set.name, filter=STATE, what=task.what, value=f"{value:.6g} {unit}", baseline=baseline,
        give_or_take=f"{max(NOISE * value, 1e-6):.6g} {unit}", **spot,
    )  # fmt: skip


def with_baseline(design: Design, shop: Design, rng: Random) -> Design:
    """A design with every reading of its test sheet taken while nothing was wrong."""
    sound = condition_of(shop)
    return replace(
        design, readings=tuple(reading_of(task, sound, rng, baseline=True) for task in places(design, lineup_of(as_built(design), STATE), STATE, ()))
    )


def trial(design: Design, condition: Condition, cause: str, place: str, rng: Random, readings: int) -> Trial:
    """A hidden cause looked for."""
    told = []
    found = next(diagnoses(design))
    for _ in range(readings):
        if found.following is not None:
            design = replace(design, readings=(*design.readings, reading_of(found.following.task, condition, rng)))
            found = next(diagnoses(design))
        told.append(found.causes)
    return Trial(cause, place, tuple(told))
