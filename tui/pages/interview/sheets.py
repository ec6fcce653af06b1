"""What is shown of each question of the interview, and what can be typed or chosen there. Nothing is drawn here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from engine import catalog
from engine.checks.rules import rules
from engine.design import Machine, Port
from engine.design.places import COLLECTOR, DESIGN, MachineAt, PortAt
from engine.units import show
from tui.pages.interview import questions
from tui.pages.interview.questions import Answers
from tui.pages.interview.rows import Row, example, machine_set, pasted_points, pasted_sets, point, typed
from tui.work.additions import usual_first


@dataclass(frozen=True, slots=True)
class Sheet:
    """A question in full: what is asked, a warning where there is one, and its rows; `start` is the row to begin at.

    `paste` takes several lines at once, where the rows are lines.
    """

    title: str
    words: str
    rows: tuple[Row, ...]
    warning: str = ""
    start: int = 0
    paste: Callable[[str], tuple[Answers, str]] | None = None


def sheet(answers: Answers, key: str) -> Sheet:
    """The sheet of a question."""
    kind, _, index = key.partition(" ")
    return _machine(answers, int(index)) if index else _SHEETS[kind](answers)


NEXT = Row("go on", asks="next")
_WAYS = {
    "east": "How far east of a corner of the shop: one corner for everything, and one wall taken as running east.",
    "north": "How far north of that corner.",
    "up": "How high above the floor.",
}


def _units(answers: Answers) -> Sheet:
    rows = tuple(
        Row(name, _radio(answers.units == name), remark, pick=partial(answers.with_shop, replace(answers.shop, display=name)), onward=True)
        for name, remark in (("metric", "m, mm, m3/h, Pa"), ("imperial", "ft, in, cfm, inH2O"))
    )
    words = "In which units do you measure? A number typed without a unit takes these; 6in, 1'6 or 150 mm are understood anyway."
    return Sheet("units", words, rows, start=_chosen(rows))


def _name(answers: Answers) -> Sheet:
    row = typed(answers, DESIGN, "name", "name", given="name")
    return Sheet("name", "What is the design called? A file name is asked for when you save it.", (row,))


def _conveyed(answers: Answers) -> Sheet:
    present = answers.shop.conveying.material or catalog.conveyed_materials()[0]

    def row(material: str) -> Row:
        known = catalog.conveyed(material)
        branch, main = (show(limit.value, "speed", answers.units) for limit in (known.slow_branch, known.slow_main))
        chosen = replace(answers.shop, conveying=replace(answers.shop.conveying, material=material))
        about = f"Good from {branch} in a branch: {known.slow_branch.source}; {main} in a main: {known.slow_main.source}."
        return Row(material, _radio(material == present), about=about, pick=lambda: answers.with_shop(chosen), onward=True)

    rows = tuple(map(row, catalog.conveyed_materials()))
    return Sheet("conveyed", "What do the ducts carry? It sets how fast the air must be.", rows, start=_chosen(rows))


def _machines(answers: Answers) -> Sheet:
    machines = answers.shop.machines
    rows = [Row(machine.id, remark=_ports(machine), about=_about_machine(answers, i), leads=f"machine {i}") for i, machine in enumerate(machines)]
    if len(machines) < questions.MOST_MACHINES:
        rows.append(Row("add from the catalog", "+", about="Pick a kind, then say how many.", asks="catalog"))
    words = (
        "Which machines are sucked? Printed flows are mostly a port's area at one speed: put your maker's figures, or measured ones, first. "
        "x takes one away."
    )
    return Sheet("machines", words, (*rows, NEXT), start=len(machines))


def _machine(answers: Answers, index: int) -> Sheet:
    place, machine = MachineAt(index), answers.shop.machines[index]
    rows = [typed(answers, place, "id", "name")]
    offers = (("east", "along a wall"), ("north", "along a wall"), ("up", "a usual height"))
    rows += [typed(answers, place, way, way, offered=offered, about=_WAYS[way]) for way, offered in offers]
    for i, port in enumerate(machine.ports):
        rows += [typed(answers, PortAt(index, i), name, f"{port.id} {name}") for name in ("bore", "needs")]
    words = "Where is its first port, and what does it need? Leave a position empty to have it spaced along a wall."
    kind = questions.kind_of(answers, index)
    warning = f"Uncertain: {kind.source}." if kind and kind.uncertain else ""
    return Sheet(machine.id, words, tuple(rows), warning)


# Of a collector of about 1 kW of which only the free air is known: common practice, no source.
_USUAL_SUCTION = {"metric": "2000 Pa", "imperial": "8 inH2O"}


def _curve(answers: Answers) -> Sheet:
    points = answers.shop.collector.curve
    rows = [point(answers, i) for i in range(len(points) + 1)]
    rows += [typed(answers, COLLECTOR, name, name.replace("_", " ")) for name in ("free_air", "max_suction", "basis")]
    collector, warning = answers.shop.collector, ""
    if collector.free_air or collector.max_suction:
        rule, usual = rules()["free-air-only"], _USUAL_SUCTION[answers.units]
        known = f"{rule.remedy}. Source: {rule.source}." if collector.max_suction else (
            f"Where nobody tells the largest suction: {usual}, as small single-stage collectors have (common practice, no source)."
        )  # fmt: skip
        warning = f"Free air and largest suction alone: every flow is a guess. {known}"
    words = (
        f"The collector's curve: a line a point, flow then pressure, as {example(answers)}; typed or pasted. "
        "Without one: free air and largest suction."
    )
    return Sheet("curve of the collector", words, tuple(rows), warning, len(points), lambda text: pasted_points(answers, text))


def _inlet(answers: Answers) -> Sheet:
    row = typed(answers, COLLECTOR, "inlet", "inlet", given="inlet", shown="inlet" in answers.given)
    return Sheet("inlet of the collector", "How wide is the collector's inlet, inside?", (row,))


def _collector_place(answers: Answers) -> Sheet:
    place = COLLECTOR
    rows = [typed(answers, place, way, way, offered="by the machines", about=_WAYS[way]) for way in ("east", "north")]
    rows += [
        typed(answers, place, "up", "up", offered="a usual height", about=_WAYS["up"]),
        typed(answers, place, "faces", "faces", offered="as the main asks"),
    ]
    rows.append(typed(answers, place, "name", "name"))
    words = "Where is the middle of its inlet, and which way does the first duct leave it?"
    return Sheet("place of the collector", words, tuple(rows))


def _store(answers: Answers) -> Sheet:
    rows: list[Row] = []
    for family in usual_first(catalog.pipe_families(), answers.units):
        held = next((stock for stock in answers.shop.stock if stock.id == family.id), None)
        note = f" {family.note[:1].upper()}{family.note[1:]}." if family.note else ""
        rows.append(
            Row(family.name, _box(held is not None), about=f"{_source(family)}{note}", pick=partial(questions.with_family, answers, family.id))
        )
        for size in held.sizes if held else ():
            bore = f"{show(size.bore.si, 'bore', answers.units)} inside"
            pick = partial(questions.with_size, answers, family.id, size.nominal)
            rows.append(Row(f"  {size.nominal}", _box(size.in_store is not False), bore, "The draft takes what the store has.", pick=pick))
    words = (
        "Which pipe and hose does your store have, and which of their sizes? "
        "The draft takes the first pipe marked: families seldom mate. None: the usual one."
    )
    return Sheet("in store", words, (*rows, NEXT))


def _together(answers: Answers) -> Sheet:
    sets = answers.shop.gate_sets
    alone = Row("each machine alone", _box(answers.alone), pick=lambda: replace(answers, alone=not answers.alone))
    rows = (alone, *(machine_set(answers, i) for i in range(len(sets) + 1)))
    words = "Which machines work at once? A line for each set, names or numbers with + between; a name may be shortened: "
    numbered = ", ".join(f"{i} {machine.id}" for i, machine in enumerate(answers.shop.machines, 1)) or "no machines yet"
    return Sheet("at once", f"{words}{numbered}.", rows, start=len(rows) - 1, paste=lambda text: pasted_sets(answers, text))


def _draft(answers: Answers) -> Sheet:
    lacking = questions.wanted(answers)
    if lacking:
        rows = [Row(question.label, "!", question.answer, leads=question.key) for question in questions.questions(answers) if question.key in lacking]
        return Sheet(
            "first draft", "Before there can be a first draft this is wanted:", tuple(row for row in rows if row.leads != "draft") or (NEXT,)
        )
    words = (
        "A first draft, to be edited: the best of several layouts, one main or two; branches at 45 deg, each with a gate, an elbow down "
        "and a short hose. It knows no walls, joists or doors yet: add walls and doors under site, then L drafts anew. Measure before you buy or cut."
    )
    about = "The draft opens in the workbench; u takes it back there."
    made = (Row(text, about=about) for text in questions.made_of(questions.drafted(answers)))
    return Sheet("first draft", words, (Row("make the first draft", ">", asks="draft", about=about), *made))


_SHEETS: dict[str, Callable[[Answers], Sheet]] = {
    "units": _units, "name": _name, "conveyed": _conveyed, "machines": _machines, "curve": _curve, "inlet": _inlet,
    "place": _collector_place, "store": _store, "together": _together, "draft": _draft,
}  # fmt: skip


# ---- in words


def _radio(chosen: bool) -> str:
    return "(x)" if chosen else "( )"


def _box(on: bool) -> str:
    return "[x]" if on else "[ ]"


def _chosen(rows: tuple[Row, ...]) -> int:
    return next((i for i, row in enumerate(rows) if row.mark == _radio(True)), 0)


def _ports(machine: Machine) -> str:
    return ", ".join(_port(port) for port in machine.ports)


def _port(port: Port) -> str:
    return f"{port.bore.text} {port.needs.text}"


def _about_machine(answers: Answers, index: int) -> str:
    kind = questions.kind_of(answers, index)
    if kind is None:
        return "Your own figures."
    note = f" {kind.note[:1].upper()}{kind.note[1:]}." if kind.note else ""
    return f"{'Uncertain. ' if kind.uncertain else ''}{_source(kind)}{note}"


def _source(row: catalog.MachineKind | catalog.PipeFamily) -> str:
    source = row.source[:1].upper() + row.source[1:]
    return f"{source} ({row.provenance})."
