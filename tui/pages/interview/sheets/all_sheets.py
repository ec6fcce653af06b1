"""What is shown of each question of the interview, and what can be typed or chosen there. Nothing is drawn here."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from engine import catalog
from engine.design import Design
from engine.design.places import DESIGN
from engine.search.layouts.proposing import drafts
from engine.survey.answers import Answers, finished, hung, wanted
from engine.survey.standing import met_by_collector, met_by_machine
from engine.units import show
from tui.pages.interview import questions
from tui.pages.interview.rows import NEXT, Row, radio, typed
from tui.pages.interview.sheets import choices, collector, hanging, machines, room, store
from tui.pages.interview.sheets.sheet import Sheet, chosen


def sheet(answers: Answers, key: str) -> Sheet:
    """The sheet of a question."""
    kind, _, row = key.partition(" ")
    return _SHEETS_OF_ROWS[kind](answers, int(row)) if row else _SHEETS[kind](answers)


def _units(answers: Answers) -> Sheet:
    rows = tuple(
        Row(name, radio(answers.units == name), remark, pick=partial(answers.with_shop, replace(answers.shop, display=name)), one_of=True)
        for name, remark in (("metric", "m, mm, m3/h, Pa"), ("imperial", "ft, in, cfm, inH2O"))
    )
    words = "In which units do you measure? A number typed without a unit takes these; 6in, 1'6 or 150 mm are understood anyway."
    return Sheet("units", words, rows, start=chosen(rows))


def _name(answers: Answers) -> Sheet:
    row = typed(answers, DESIGN, "name", "name", given="name")
    return Sheet("name", "What is the design called? A file name is asked for when you save it.", (row,))


def _conveyed(answers: Answers) -> Sheet:
    present = answers.shop.conveying.material or catalog.conveyed_materials()[0]

    def row(material: str) -> Row:
        known = catalog.conveyed(material)
        branch, main = (show(limit.value, "speed", answers.units) for limit in (known.slow_branch, known.slow_main))
        taken = replace(answers.shop, conveying=replace(answers.shop.conveying, material=material))
        about = f"Good from {branch} in a branch: {known.slow_branch.source}; {main} in a main: {known.slow_main.source}."
        return Row(material, radio(material == present), about=about, pick=lambda: answers.with_shop(taken), one_of=True)

    rows = tuple(map(row, catalog.conveyed_materials()))
    return Sheet("conveyed", "What do the ducts carry? It sets how fast the air must be.", rows, start=chosen(rows))


def _draft(answers: Answers) -> Sheet:
    lacking = wanted(answers)
    if lacking:
        asked = (one for one in questions.questions(answers) if one.key in lacking and one.key != "draft")
        rows = [Row(one.label, "!", one.answer, leads=one.key) for one in asked]
        return Sheet("first draft", "Before there can be a first draft this is wanted:", tuple(rows) or (NEXT,))
    if answers.lines("hanging"):
        return _hung(answers)
    words = (
        "A first draft, to be edited: the best of several layouts around what stands in the room; branches at 45 deg, each with a gate, "
        "an elbow down and a short hose. Measure before you buy or cut."
    )
    about = "The draft opens in the workbench; u takes it back there."
    shop = finished(answers)
    bodies = {shop.collector.name or "the collector": met_by_collector(shop)}
    bodies |= {machine.id: met_by_machine(shop, i) for i, machine in enumerate(shop.machines)}
    met = [f"{name}: {told}" for name, told in bodies.items() if told]
    return Sheet("first draft", words, (Row("make the first draft", ">", asks="draft", about=about),), "; ".join(met))


def _hung(answers: Answers) -> Sheet:
    design = hung(answers).design
    reached = {run.ends.split("/")[0] for run in design.runs if run.ends}
    lacking = [machine.id for machine in design.machines if machine.id not in reached]
    warning = f"No duct leads to {', '.join(lacking)} yet: branches are added in the workbench." if lacking else ""
    about = "The ducts open in the workbench, kept from every search; u takes them away again."
    made = (Row(text, about=about) for text in questions.made_of(design))
    rows = (Row("go to work on it", ">", asks="draft", about=about), *made)
    return Sheet("what hangs", "The ducts that hang, as you walked along them.", rows, warning)


def drafting(answers: Answers) -> Iterator[tuple[Design, str]]:
    """The ducts that hang, or where none do the best draft so far and how far drafting has come; only where nothing is wanted."""
    if answers.lines("hanging"):
        yield hung(answers).design, ""
        return
    shop = finished(answers)
    for step in drafts(shop):
        yield step.proposals[0].design if step.proposals else shop, f"{step.said}, {step.done} of {step.of}"


def drafted(answers: Answers) -> Design:
    """What `drafting` comes to."""
    *_, (design, _) = drafting(answers)
    return design


_SHEETS: dict[str, Callable[[Answers], Sheet]] = {
    "units": _units, "name": _name, "conveyed": _conveyed, "draft": _draft,
    **room.SHEETS, **machines.SHEETS, **store.SHEETS, **collector.SHEETS,
    **choices.SHEETS, **hanging.SHEETS,
}  # fmt: skip
_SHEETS_OF_ROWS: dict[str, Callable[[Answers, int], Sheet]] = {"machine": machines.machine, "stock": store.stock}
