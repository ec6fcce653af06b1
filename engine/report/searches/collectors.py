"""What a design asks of a collector, as plain text that fits 80 columns and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict
from typing import Any

from engine.air.bands import COLLECTOR
from engine.air.properties import air_of
from engine.catalog.tables import read
from engine.design import Design, defaults, system
from engine.report.pen import cell, headed, json_text, page, side_by_side, standing_text, wrapped
from engine.search.collectors import Choice, Duty, Least, Split, binding, duties, filter_known, worst
from engine.search.ranking import IN_WORDS
from engine.units import number_text, show, unit_name
from engine.units.words import counted, share_text
from engine.values import dataclass

_NAME, _FLOW, _PRESSURE, _PORT = 24, 7, 8, 18
_MOST_SPLITS = 3
_LAST_WORD = (
    "Estimates, no sign-off: local codes, your fire authority, your insurer and licensed practice have the last word. "
    "Above about 1500 cfm (2550 m3/h), or with a collector indoors near a way out, ask them before you buy."
)


@dataclass(frozen=True, slots=True)
class Answer:
    """All that is told of the collectors of a design; what was not asked for is None or empty."""

    design: Design
    margin: float
    duties: tuple[Duty, ...]
    sized: Least | None = None
    asked_for_sizes: bool = False
    splits: tuple[Split, ...] = ()
    choices: tuple[Choice, ...] = ()
    said: str = ""


def as_text(found: Answer) -> str:
    """What each gate set asks, what to take to a dealer, the choices there are, in the design's units."""
    blocks: list[Iterable[str]] = [_head(found), _table(found), _to_a_dealer(found)]
    blocks.append(_choices(found) if found.choices else wrapped(found.said))
    if found.asked_for_sizes:
        blocks.append(_sized(found))
    if found.splits:
        blocks.append(_second(found))
    blocks += [_sheet(), wrapped(_LAST_WORD)]
    return page(blocks)


def _head(found: Answer) -> list[str]:
    design, units = found.design, system(found.design)
    more = f" and {share_text(found.margin)} more" if found.margin else ""
    air = air_of(design.site)
    shop = f"Air of the shop {show(air.density, 'density', units)}; the figures are for a curve of {basis_in_words(design)}."
    ducts = f"The ducts as they are, each machine at work to get its need{more}."
    return [*headed(design, "what to ask of a collector"), "", *wrapped(ducts), *wrapped(shop)]


def basis_in_words(design: Design) -> str:
    """What the figures of a design's curve are, in words."""
    collector, units = design.collector, system(design)
    density = show((collector.density or defaults.CURVE_DENSITY).si, "density", units)
    match collector.basis or defaults.BASIS:
        case "inlet suction":
            bore = show((collector.test_duct or collector.inlet).si, "bore", units)
            what = f"static suction, measured in an inlet duct of {bore}"
        case "fan static":
            what = "fan static pressure"
        case _:
            what = "fan total pressure"
    return f"{what}, in air of {density}"


def _table(found: Answer) -> Iterator[str]:
    units = system(found.design)
    flow, pressure = unit_name("flow", units), unit_name("pressure", units)
    yield f"{'':{_NAME}}  {'':>{_FLOW}} {'asked, by filter':>{2 * _PRESSURE + 1}} {'your':>{_PRESSURE}}"
    yield f"{'gate set':{_NAME}}  {flow:>{_FLOW}} {'clean':>{_PRESSURE}} {'loaded':>{_PRESSURE}} {'curve':>{_PRESSURE}}  decided by ({pressure})"
    for duty in found.duties:
        if duty.trouble:
            yield f"{cell(duty.gate_set, _NAME)}  {duty.trouble}"
            continue
        numbers = " ".join(f"{number_text(value, 'pressure', units):>{_PRESSURE}}" for value in (duty.clean, duty.loaded, duty.has))
        middle = f"{number_text(duty.flow, 'flow', units):>{_FLOW}} {numbers}"
        yield from side_by_side((duty.gate_set, _NAME), (middle, len(middle)), (duty.port, _PORT))
    yield ""
    yield from wrapped(verdict(found.design, found.duties))


def verdict(design: Design, found: Sequence[Duty] | None = None) -> str:
    """Whether the collector of a design is enough for its duties, in words."""
    units, duties_of_sets = system(design), tuple(duties(design) if found is None else found)
    hardest = worst(duties_of_sets)
    if hardest is None:
        return "No gate set has a duty: no machine at work needs air, or none can get it."
    asked, has = show(hardest.loaded, "pressure", units), show(hardest.has, "pressure", units)
    filter_told = "with a loaded filter" if filter_known(design) else "before a loaded filter, whose drop is not told"
    at = f"{hardest.gate_set} at {show(hardest.flow, 'flow', units)}: {asked} asked {filter_told}, {has} by the curve of your collector"
    if hardest.lacks <= 1.0:
        spare = 1.0 / hardest.lacks - 1.0
        doubt = f" A curve may be off by {COLLECTOR:.0%}: this may be too little.".replace("%", " %") if spare < COLLECTOR else ""
        return (
            f"Your collector gives every machine at work its need. Hardest is {at}, {share_text(spare)} more than that.{doubt} "
            "Whether all chips are carried then, check tells under what may come."
        )  # fmt: skip
    return f"Your collector is too weak. Hardest is {at}: it wants {hardest.lacks:.2f} times the pressure."


def _to_a_dealer(found: Answer) -> Iterator[str]:
    units = system(found.design)
    points = binding(found.duties)
    if not points:
        return
    loaded = "with the filter loaded" if filter_known(found.design) else "and above it by what the filter takes when loaded"
    yield from wrapped(f"To take to a dealer. The curve must lie above, {loaded}:")
    for duty in points:
        yield f"  {show(duty.flow, 'flow', units)} at {show(duty.loaded, 'pressure', units)}  ({cell(duty.gate_set, 40).rstrip()})"
    yield from wrapped(f"as {basis_in_words(found.design)}. The other gate sets ask for less.")


def _choices(found: Answer) -> Iterator[str]:
    yield from wrapped(f"Your choices, as each would serve with its filter loaded. {IN_WORDS}")
    for number, one in enumerate(found.choices, 1):
        yield from wrapped(f"{number}. {one.title}: {one.reason}", "  ")
        yield from wrapped(standing_text(one.standing), "     ")
    yield from wrapped(found.said)


def _sized(found: Answer) -> list[str]:
    if found.sized is None:
        return wrapped("No sizes of the store were found with which any collector would do.")
    changed = sum(old.size != new.size for old, new in zip(found.design.runs, found.sized.design.runs, strict=True))
    hardest = worst(found.sized.duties)
    needs = f" The needs alone ask for {hardest.lacks:.2f} times, {hardest.gate_set} the most." if hardest else ""
    text = (
        f"With {counted(changed, 'run')} in another size a collector of {found.sized.factor:.2f} times your curve's pressures would do, "
        f"nothing settling, its filter loaded; none weaker was found.{needs}"
    )
    return wrapped(text)


def _second(found: Answer) -> Iterator[str]:
    units = system(found.design)
    yield from wrapped("A second, smaller collector on some of the machines would help most so:")
    for one in found.splits[:_MOST_SPLITS]:
        does = f"{show(one.second.flow, 'flow', units)} at {show(one.second.pressure, 'pressure', units)} of total pressure at its inlet"
        left = "enough for the rest" if one.lacks <= 1.0 else f"{one.lacks:.2f} times too weak for the rest"
        yield from wrapped(f"- on {', '.join(one.machines)}, at {one.run}: it must do {does}; the first is then {left}", "  ")


def _sheet() -> Iterator[str]:
    yield "What a data sheet can and cannot tell"
    for row in read("data_sheet")["sheet"]:
        yield from wrapped(f"- {row['text']} ({row['source'] or row['provenance']})")


def as_json(found: Answer) -> str:
    """The same as JSON text: flows m3/s, pressures Pa, `lacks` and `factor` as ratios."""
    asked = [{**asdict(duty), "lacks": None if duty.trouble else duty.lacks} for duty in found.duties]
    return json_text(
        found.design, basis=found.design.collector.basis or defaults.BASIS, margin=found.margin, duties=asked,
        binding=[duty.gate_set for duty in binding(found.duties)], choices=_choices_json(found.choices),
        sized={"factor": found.sized.factor, "sizes": {run.id: run.size for run in found.sized.design.runs}} if found.sized else None,
        second=[_split_json(one) for one in found.splits],
    )  # fmt: skip


def _choices_json(choices: Sequence[Choice]) -> list[dict[str, Any]]:
    return [
        {"choice": one.id, "title": one.title, "reason": one.reason, "passed": one.passed, "of": one.of, "loaded": one.loaded,
         "slowest_main": one.slowest_main, "price": one.cost, "standing": asdict(one.standing)}
        for one in choices
    ]  # fmt: skip


def _split_json(one: Split) -> dict[str, Any]:
    return {"run": one.run, "machines": list(one.machines), "flow": one.second.flow, "pressure": one.second.pressure, "lacks": one.lacks}
