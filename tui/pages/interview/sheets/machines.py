"""The machines in the interview: a line each, a page for who wants to say more of one, and which work at once."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import partial

from engine import catalog
from engine.design import GateSet
from engine.design.entries import Entry
from engine.design.names import LONGEST_NAME
from engine.design.places import DESIGN, MachineAt
from engine.survey import machines as survey
from engine.survey import ports as of_ports
from engine.survey.answers import MOST_MACHINES, Answers, finished, kind_of, room_for_sets, with_machine
from engine.survey.standing import met_by_machine
from tui.pages.interview.rows import NEXT, Row, Taken, box, breath, pasted, set_fields, typed
from tui.pages.interview.sheets.room import body_row, place_row
from tui.pages.interview.sheets.sheet import Sheet
from tui.work.fields.fields import Field
from tui.work.fields.points import printable_lines
from tui.work.fields.values import BadValue, read

# A machine, the same again, one of one's own, and what else a line may say.
_EXAMPLES = {
    "metric": ("planer 2.4, 3.1", "= 5, 3.1", "kiln fan 2, 3 125 600", "820 m3/h, 1.2 x 0.7, up 0.9"),
    "imperial": ("planer 8, 10", "= 16, 10", "kiln fan 6, 9 5 600", "350-450 cfm, 4 x 2, up 3"),
}
_BETWEEN_NAMES = re.compile(r"\s*[+,;&\t|]\s*")


def _machines(answers: Answers) -> Sheet:
    machines = answers.shop.machines
    rows = [
        Row(machine.id, remark=of_ports.ports_in_short(machine), about=_about(answers, i), leads=f"machine {i}", marks=f"machine {i}")
        for i, machine in enumerate(machines)
    ]
    if len(machines) < MOST_MACHINES:
        first, again, own, also = _EXAMPLES[answers.units]
        about = (
            f"In {answers.metre}, as {first}; {again}: the one before once more; one of your own: {own}. Also {also}, faces east; "
            "+ and a second port; moves (on castors); shared (one drop for its ports, behind one gate)."
        )
        rows.append(breath("one more", "", about, partial(with_machine, answers), ends=bool(machines), marks=f"machine {len(machines)}"))
        rows.append(Row("from the catalog", "+", about="Pick a kind, then say how many.", asks="catalog"))
    words = (
        "Which machines are sucked, and where does each stand? Printed flows are mostly a port's area at one speed: put your maker's first. "
        "Enter on one above changes it, x takes it away."
    )
    paste = partial(pasted_machines, answers)
    return Sheet("machines", words, (*rows, NEXT), start=len(machines), paste=paste)


def pasted_machines(answers: Answers, text: str) -> Taken:
    """The answers with every line of a text as a machine more, and what was left out."""
    return pasted(answers, printable_lines(text), lambda now, line: with_machine(now, line)[0])


def machine(answers: Answers, index: int) -> Sheet:
    """The page of one machine."""
    place, shown = MachineAt(index), answers.shop.machines[index]
    kind = kind_of(answers, index)
    rows = [
        typed(answers, place, "id", "name"),
        Row("kind", remark=kind.name if kind else "your own figures", about="Another kind brings its own ports.", asks=f"kind {index}"),
        place_row(answers, place, "along a wall", "Of its first port, east and north; a third figure is its height. Empty: along a wall."),
        typed(answers, place, "up", "up", offered="a usual height", about="Of its first port above the floor."),
        body_row(answers, place, "Its middle is its place."),
        *(_port(answers, index, i) for i in range(len(shown.ports) + 1)),
        typed(answers, place, "moves", "moves"),
        typed(answers, place, "shared_drop", "shared", about="Whether its ports meet at the machine, in one drop behind one gate: yes or no."),
    ]
    words = "What its kind brings is a guess until you have measured it. Page Down takes it and leads on."
    met = met_by_machine(finished(answers), index)
    warnings = [f"{met[:1].upper()}{met[1:]}."] if met else []
    warnings += [f"Uncertain: {kind.source}."] if kind and kind.uncertain else []
    as_high = " and ".join(port.id for port in of_ports.at_first_height(shown))
    warnings += [f"{as_high}: as high as the first port, unless you say up and a height."] if as_high else []
    return Sheet(shown.id, words, tuple(rows), " ".join(warnings))


def _port(answers: Answers, index: int, at: int) -> Row:
    ports = answers.shop.machines[index].ports
    example = "63 180-220 up 1.3 faces east" if answers.units == "metric" else "2 90-110 up 4 faces east"
    about = (
        f"Bore and flow, then up and its height where it is another, and the way it opens, as {example}: of a range the middle is taken, "
        "the rest is its band. Emptied, the port is gone."
    )

    def take(text: str) -> Taken:
        made = of_ports.read_port(answers.shop.machines[index], at, text, answers.units)
        told = ", ".join(f"{port.id} {of_ports.port_text(port)}" for port in made.ports[at : at + 1])
        return set_fields(answers, MachineAt(index), {"ports": made.ports}), told

    label, text = (ports[at].id, of_ports.port_text(ports[at])) if at < len(ports) else ("one more port", "")
    return breath(label, text, about, take)


def _about(answers: Answers, index: int) -> str:
    told = survey.told(answers.shop.machines[index], answers.kinds[index])
    met = met_by_machine(finished(answers), index)
    told = f"{met[:1].upper()}{met[1:]}. {told}" if met else told
    kind = kind_of(answers, index)
    if kind is None:
        return f"{told}. Your own figures."
    note = f" {kind.note[:1].upper()}{kind.note[1:]}." if kind.note else ""
    return f"{told}. {'Uncertain. ' if kind.uncertain else ''}{source_of(kind)}{note}"


def source_of(row: catalog.MachineKind | catalog.PipeFamily) -> str:
    """Where a row of the catalog comes from, as a sentence."""
    return f"{row.source[:1].upper()}{row.source[1:]} ({row.provenance})."


# ---- which work at once


def _together(answers: Answers) -> Sheet:
    sets = answers.shop.gate_sets
    alone = Row("each machine alone", box(answers.alone), pick=lambda: replace(answers, alone=not answers.alone))
    rows = (alone, *(_set(answers, i) for i in range(len(sets) + 1)))
    words = "Which machines work at once? A line for each set, names or numbers with a comma or + between; a name may be shortened: "
    numbered = ", ".join(f"{i} {machine.id}" for i, machine in enumerate(answers.shop.machines, 1)) or "no machines yet"
    return Sheet("at once", f"{words}{numbered}.", rows, start=len(rows) - 1, paste=partial(pasted_sets, answers))


def _set(answers: Answers, index: int) -> Row:
    sets = answers.shop.gate_sets
    text = sets[index].name if index < len(sets) else ""
    about = "Machines that work at once, as planer, saw or 1+3. Enter on an empty line goes on."
    return breath(f"set {index + 1}", text, about, partial(_with_set, answers, index))


def _with_set(answers: Answers, index: int, typed: str) -> Taken:
    """With a set at an index; one after the last is added, without text it goes."""
    sets = answers.shop.gate_sets
    before, after = sets[:index], sets[index + 1 :]
    if not typed.strip():
        return _with_sets(answers, (*before, *after)), ""
    made = parse_set(typed, answers)
    if any(set(made.open) == set(other.open) for other in (*before, *after)):
        raise BadValue("these machines are in a line of their own already")
    if index == len(sets) and room_for_sets(answers) < 1:
        raise BadValue("there are as many sets as there may be")
    return _with_sets(answers, (*before, made, *after)), made.name


def _with_sets(answers: Answers, sets: tuple[GateSet, ...]) -> Answers:
    return answers.with_shop(replace(answers.shop, gate_sets=sets))


def parse_set(text: str, answers: Answers) -> GateSet:
    """Machines that work at once from "saw, planer" or "1 + 3". Raises BadValue."""
    names = tuple(machine.id for machine in answers.shop.machines)
    field = Field(DESIGN, "open", "machine", Entry("machine", "choice", "a machine", required=True), "", choices=names)
    found: list[str] = []
    for part in filter(None, _BETWEEN_NAMES.split(text.strip())):
        numbered = part.isascii() and part.isdigit() and len(part) < 4 and part not in names and 0 < int(part) <= len(names)
        name = names[int(part) - 1] if numbered else read(field, part, answers.units)
        if name in found:
            raise BadValue(f"{name} is named twice")
        found.append(name)
    if not found:
        raise BadValue("wanted the names of machines")
    return GateSet(name=" + ".join(found)[:LONGEST_NAME], open=tuple(found))


def pasted_sets(answers: Answers, text: str) -> Taken:
    """The answers with every line of a text as a set of machines, and what was left out."""
    return pasted(answers, printable_lines(text), lambda now, line: _with_set(now, len(now.shop.gate_sets), line)[0])


SHEETS: dict[str, Callable[[Answers], Sheet]] = {"machines": _machines, "together": _together}
