"""Sheets about the job: what it is, what is dangerous, what is wrong with it."""

from __future__ import annotations

from collections.abc import Iterator

from engine.checks import SEVERITIES, cautions
from engine.checks.conditions import Condition, place_of
from engine.design import Machine, Port, defaults
from engine.field.tuned import tuned_note
from engine.report.page.blocks import Block, Card, Heading, Table, Words
from engine.report.page.job import Job
from engine.space.geometry import position_of
from engine.units.ranges import Range, range_text
from engine.units.words import counted, listed

_LAST_WORD = "Estimates, no sign-off: local codes, your fire authority, your insurer and licensed practice have the last word."
_MOST_NAMED = 5


def head(job: Job) -> Iterator[Block]:
    """What stands over all sheets: faults, how far to trust it, where it comes from."""
    assessment = job.assessment
    faults = [one for one in assessment.conditions if one.severity == "fault"]
    if faults:
        told = listed([f"{one.code} at {one.where}" for one in faults], _MOST_NAMED)
        count = counted(len(faults), "fault")
        yield Words(f"This design has {count}. Do not build it or work by it before they are mended: {told}.", "warning")
    if note := tuned_note(job.design):
        yield Words(f"All figures are {note}.")
    if not job.design.runs:
        yield Words("This design has no ducts yet.", "warning")
    yield Words(_LAST_WORD, "warning")
    made = [f"made of {job.source}" if job.source else "", f"on {job.date:%d %B %Y}" if job.date else ""]
    if text := " ".join(filter(None, made)):
        yield Words(f"Sheets {text}. A design that was changed since wants new ones.", "small")


def danger(job: Job) -> Iterator[Block]:
    """The cautions that hold for the design."""
    yield Words(cautions.PREFACE)
    for caution in cautions.applying(job.design):
        yield Card(caution.title, (Words(caution.text(job.design)), Words(f"source: {caution.source}", "small")))


def summary(job: Job) -> Iterator[Block]:
    """Air, collector, machines."""
    design, site = job.design, job.design.site
    collector = design.collector
    known = f"curve of {counted(len(collector.curve), 'point')}" if collector.curve else "known by its free-air flow only: an estimate"
    facts = [
        ("air", f"{job.show(job.assessment.air.density, 'density')}, at {site.altitude.text if site.altitude else 'sea level'}"),
        ("carries", design.conveying.material or str(defaults.LOAD)),
        ("collector", f"{collector.name or 'no name'}, inlet {job.show(collector.inlet.si, 'bore')}, {known}"),
        ("filter", f"reckoned {collector.filter or defaults.FILTER}"),
        ("blows into", "the open, outside" if collector.discharge == "outside" else "the room"),
    ]
    if design.notes:
        facts.append(("notes", " ".join(design.notes.split())))
    yield Table("", ("", design.name), tuple(facts))
    rows = []
    for machine in design.machines:
        rows += [(machine.id, port.id, job.show(port.bore.si, "bore"), _needs(job, port), _place(job, port, machine)) for port in machine.ports]
    if rows:
        yield Table("Machines", ("machine", "port", "bore", "needs", "east, north, up"), tuple(rows))


def _place(job: Job, port: Port, machine: Machine) -> str:
    """Where a port is, east, north and up."""
    place = position_of(port, machine)
    return ", ".join(job.show(part, "length") for part in place) if place else "no place"


def _needs(job: Job, port: Port) -> str:
    """What a port needs; of a range both ends, and the middle that it is judged by."""
    middle = job.show(port.needs.si, "flow")
    return f"{middle}, the middle of {range_text(port.needs, 'flow', job.units)}" if isinstance(port.needs, Range) else middle


def findings(job: Job) -> Iterator[Block]:
    """What is wrong, by what it is, with all places where it shows."""
    assessment = job.assessment
    if not assessment.findings:
        yield Words("No findings.")
        return
    counts = [counted(assessment.count(severity), severity) for severity in SEVERITIES]
    if assessment.accepted:
        counts.append(f"{assessment.accepted} accepted")
    yield Words(f"{', '.join(counts)}. A condition counts once along a main, however many of its runs and gate sets show it.")
    groups: dict[tuple[str, str, str], list[Condition]] = {}
    for one in assessment.conditions:
        groups.setdefault((one.standing, one.code, one.worst.remedy), []).append(one)
    standing = ""
    for (told, code, remedy), found in groups.items():
        if told != standing:
            standing = told
            yield Heading(f"{told}s")
        yield Card(code if len(found) == 1 else f"{code}, {counted(len(found), 'condition')}", tuple(_told(job, found, remedy)))


def _told(job: Job, conditions: list[Condition], remedy: str) -> Iterator[Block]:
    found = [finding for one in conditions for finding in one.findings]
    yield Table("", ("where", "gate set", "what"), tuple((place_of(one, job.design), one.gate_set or "any", one.message) for one in found))
    for reason in dict.fromkeys(one.accepted for one in found if one.accepted):
        yield Words(f"accepted: {reason}")
    yield Words(f"do: {remedy}")
    for source in dict.fromkeys(one.source for one in found):
        yield Words(f"source: {source}", "small")
