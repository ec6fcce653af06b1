"""Findings about the shop as a whole, told at the gate set that moves the most air: its filter, the air it blows outside, every gate shut."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from math import ceil

from engine.air.gate_sets import SetResult
from engine.air.losses.leaks import opening, tested_suction
from engine.catalog.limits import over, under
from engine.checks.look import Look
from engine.checks.rules import Finding, finding, limit
from engine.checks.subjects.earthing import conducts
from engine.design import Gate, Hose, Run, defaults
from engine.design.places import COLLECTOR, SITE, Place

ShopCheck = Callable[[Look, Sequence[SetResult]], Iterator[Finding]]


def loaded_filter(look: Look, results: Sequence[SetResult]) -> Iterator[Finding]:
    """A filter too small for the air that it gives back to the room."""
    collector, most = look.design.collector, _most_air(results)
    if collector.filter_area is None or (collector.discharge or defaults.DISCHARGE) != "room" or most is None:
        return
    flow, name = most
    largest = limit(look.design, "loaded-filter", "speed") * collector.filter_area.si
    if over(flow, largest):
        measure, most_told = look.measure(flow, largest, "flow")
        text = f"{measure.told} through {look.show(collector.filter_area.si, 'area')} of filter, more than {most_told}"
        yield finding(look, "loaded-filter", "caution", COLLECTOR, text, gate_set=name, measure=measure)


def make_up_air(look: Look, results: Sequence[SetResult]) -> Iterator[Finding]:
    """Air blown outside that has no opening, or too small a one, to come in again."""
    most = _most_air(results)
    if look.design.collector.discharge != "outside" or most is None:
        return
    (flow, name), draught, given = most, limit(look.design, "make-up-air", "draught"), look.design.site.make_up_opening
    wanted = opening(flow, draught, look.tree.air.density)
    if given is None:
        measure, lets_in = None, "nothing is said of an opening that lets it in again: it wants "
    elif under(given.si, wanted):
        measure, _ = look.measure(given.si, wanted, "area")
        lets_in = f"{measure.told} let it in again: it wants "
    else:
        return
    wants = look.show(ceil(wanted * 100) / 100, "area")
    text = f"{look.show(flow, 'flow')} leave the building, and {lets_in}{wants} for a draught of {look.show(draught, 'pressure')}"
    yield finding(look, "make-up-air", "caution", SITE, text, gate_set=name, measure=measure)


def beyond_class(look: Look, results: Sequence[SetResult]) -> Iterator[Finding]:
    """Ducts of a class of tightness that work under more suction than their class is tested at."""
    tightness = look.design.leakage.tightness
    if tightness is None:
        return
    suctions = [
        (max(state.suction_near for state in result.balance.runs.values()), result) for result in results if result.balance and result.balance.runs
    ]
    if not suctions:
        return
    (suction, result), tested = max(suctions, key=lambda row: row[0]), tested_suction(tightness)
    if over(suction, tested):
        measure, most = look.measure(suction, tested, "pressure")
        tested_to = f"ducts of class {tightness} are tested up to {most} of static suction"
        text = f"{tested_to}, and work here under {measure.told}: how they leak is carried on"
        yield finding(look, "beyond-class", "note", SITE, text, gate_set=result.gate_set.name, measure=measure)


def all_shut(look: Look, _results: Sequence[SetResult]) -> Iterator[Finding]:
    """Hose or thin pipe between the collector and gates that can all be shut: the whole suction stands in it then."""
    ways = look.tree.gates_to
    if not ways or not all(ways.values()):
        return
    weak = list(_weak_parts(look))
    if weak:
        place, what = weak[0]
        text = f"{what}, where all {look.show(look.tree.fan.shut_off, 'pressure')} of static suction stand when every gate is shut: it may collapse"
        yield finding(look, "all-shut", "caution", place, text)


def _weak_parts(look: Look) -> Iterator[tuple[Place, str]]:
    """(place, what it is) of what may collapse between the collector and the first gates."""
    waiting = list(look.children["collector"])
    while waiting:
        run = waiting.pop(0)
        if _thin(look, run):
            yield look.runs_at[run.id], "thin pipe"
        for i, piece in enumerate(run.pieces):
            if isinstance(piece, Gate):
                break
            if isinstance(piece, Hose):
                yield look.piece_at(run.id, i), "hose"
        else:
            waiting += look.children[run.id]


def _thin(look: Look, run: Run) -> bool:
    """Whether a run's pipe is plastic with a thin wall, as far as its outside is known."""
    stock, size = look.sizes[run.size] if run.size else (None, None)
    if stock is None or size is None or size.outside is None or stock.kind == "hose" or conducts(stock.conducts, stock.material):
        return False
    return under((size.outside.si - size.bore.si) / 2, limit(look.design, "all-shut", "wall") * size.outside.si)


def _most_air(results: Sequence[SetResult]) -> tuple[float, str] | None:
    """(flow, gate set) of the set that moves the most air; None where none has an answer."""
    flows = [(result.balance.flow, result.gate_set.name) for result in results if result.balance]
    return max(flows, key=lambda row: row[0], default=None)


SHOP_CHECKS: tuple[ShopCheck, ...] = (loaded_filter, make_up_air, beyond_class, all_shut)
