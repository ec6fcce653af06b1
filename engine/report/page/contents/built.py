"""Sheets to build by: plan, parts, cuts, setting out, order of assembly."""

from __future__ import annotations

from collections.abc import Iterator

from engine.catalog.joining import assembly, keep_text
from engine.parts.cutting import CutStick, Cutting
from engine.parts.setting_out import Mark, RunMarks
from engine.parts.stages import stages
from engine.parts.tape import load_text, tape_text
from engine.report.cuts import alike, bought_text, proof_text
from engine.report.page.blocks import Block, Card, Drawing, Points, Table, Words
from engine.report.page.charts import bars
from engine.report.page.job import Job
from engine.report.parts import SMALL_PRINT, each_text, item_text, price_text, totals
from engine.report.setting_out import corners_text, kinds_of, measured_from
from engine.units import parse, show
from engine.units.words import counted

_NO_RUNS = "No run yet: nothing to buy, to cut or to hang."


def parts(job: Job) -> Iterator[Block]:
    """What to buy."""
    found = job.takeoff
    if not job.design.runs:
        yield Words(_NO_RUNS)
        return
    rows = tuple((f"{item.count}", item_text(item, job.design), each_text(item), price_text(item)) for item in found.items)
    yield Table("", ("count", "what", "each", "price"), rows)
    yield Points(tuple(totals(job.design, found)))
    yield from _in_stages(job)
    yield Points((*found.doubts, *SMALL_PRINT))


def _in_stages(job: Job) -> Iterator[Block]:
    """Which runs to buy and hang first, so that machines work soonest for the money."""
    found = stages(job.design)
    if len(found) < 2:
        return
    paid, rows = 0.0, []
    for number, one in enumerate(found, 1):
        paid += one.price
        rows.append((f"{number}", ", ".join(one.runs), f"{one.price:.2f}", f"{paid:.2f}", ", ".join(one.machines) or "--"))
    yield Table("If not all is bought at once: in this order", ("", "runs", "about", "in all", "then work"), tuple(rows))


def cuts(job: Job) -> Iterator[Block]:
    """How sticks are cut, as bars."""
    if not job.cuts.cuttings:
        yield Words("No straight pipe: nothing to cut.")
        return
    kerf = tape_text(job.kerf, job.units)
    yield Words(f"Measure every length at its place before it is cut. Of several cuts the longest comes first; between two a saw takes {kerf}.")
    if job.cuts.doubts:
        yield Points(job.cuts.doubts)
    for size, found in job.cuts.cuttings.items():
        count = sum(len(one.cuts) for one in found.sticks)
        told = Words(f"{counted(count, 'cut')} from {bought_text(found, job.units)}; {proof_text(found, job.units)}")
        yield Card(size, (told, *_sticks(job, size, found)))


def _sticks(job: Job, size: str, found: Cutting) -> Iterator[Block]:
    keep = parse(keep_text(job.units), "length").si
    sticks, rows = [], []
    for number, (one, times) in enumerate(alike(found.sticks), 1):
        lengths = [tape_text(cut.length, job.units) for cut in one.cuts]
        sticks.append((f"{number}", one, lengths))
        named = ", ".join(f"{cut.name}: {length}" if " / " in cut.name else length for cut, length in zip(one.cuts, lengths, strict=True))
        rows.append((f"{number}", f"{times}", tape_text(one.stick.length, job.units), named, _left(one, keep, job.units)))
    yield Drawing("", bars(f"cuts of {size}", sticks))
    yield Table("", ("", "sticks", "length", "cuts, in this order", "left"), tuple(rows))


def _left(one: CutStick, keep: float, units: str) -> str:
    return f"{tape_text(one.left, units)}, {'keep' if one.left >= keep else 'waste'}" if one.left else ""


def marks(job: Job) -> Iterator[Block]:
    """Where everything goes."""
    found = job.setting_out
    if not found.runs:
        yield Words("No run has a place: there is nothing to set out.")
        return
    yield Words(measured_from(found))
    if found.walls:
        yield Points(tuple(corners_text(wall, job.units) for wall in found.walls))
    for number, run in enumerate(found.runs, 1):
        yield Card(f"{number}. {run.run}, {run.size or job.show(run.bore, 'bore')}", tuple(_run(job, number, run)))


def _run(job: Job, number: int, run: RunMarks) -> Iterator[Block]:
    """The marks of a run; its name is a head, since heads stand again where a table goes on over the page."""
    if run.marks:
        heads = (f"{number}. {run.run}", "from wall", "and from wall", "above floor", "")
        yield Table("", heads, tuple(_mark(mark, job.units) for mark in run.marks))
    if run.remarks:
        yield Points(run.remarks)


def _mark(mark: Mark, units: str) -> tuple[str, ...]:
    note = ""
    if mark.load is not None:
        note = f"carries {load_text(mark.load, units)}"
    elif mark.bore is not None:
        note = f"{show(mark.bore, 'bore', units)} wide"
    one, other = (f"{tape_text(reach.distance, units)} {reach.wall}" for reach in mark.off)
    return mark.what, one, other, tape_text(mark.centre[2], units), note


def order(job: Job) -> Iterator[Block]:
    """Which run is hung first, and what to mind."""
    if not job.design.runs:
        yield Words(_NO_RUNS)
        return
    yield Words("Hang the runs in this order, from the collector outward, each beginning at the end that is nearer the collector; tick what hangs.")
    rows = tuple((f"{number}", run.run, run.size or job.show(run.bore, "bore"), "[  ]") for number, run in enumerate(job.setting_out.runs, 1))
    yield Table("", ("", "run", "pipe", "hangs"), rows)
    yield Points(assembly(kinds_of(job.design)))
