"""The setting out as plain text that fits 80 columns, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.catalog.joining import assembly
from engine.design import Design, system
from engine.parts.chain import chains
from engine.parts.setting_out import Mark, RunMarks, SettingOut
from engine.parts.tape import LOAD_UNITS, load_text, tape_text
from engine.report.pen import json_text, paged, wrapped
from engine.space.walls import Wall
from engine.units import show

_WHAT = 18
_OFF = 19


def as_text(design: Design, found: SettingOut) -> str:
    """Run by run from the collector outward: every mark, from two walls and from the floor."""
    units = system(design)
    lines = [*paged(f"{design.name}: setting out"), "", *paged(measured_from(found))]
    for wall in found.walls:
        lines += paged(f"{_letter(wall.name):<3}{corners_text(wall, units)}", "  ")
    for number, run in enumerate(found.runs, 1):
        lines += ["", *paged(f"{number}. {run.run}, {run.size or show(run.bore, 'bore', units)}")]
        for mark in run.marks:
            lines += _mark_lines(mark, units)
        for remark in run.remarks:
            lines += paged(f"- {remark}", "   ")
    lines += ["", *paged("Putting it up, in the order of the list:")]
    if any(mark.load is not None for run in found.runs for mark in run.marks):
        lines += paged(f"- {LOAD_UNITS[units]}: what a hanger or strap carries of its straight, half full of chips.")
    for text in assembly(kinds_of(design)):
        lines += paged(f"- {text}")
    return "\n".join(lines)


def kinds_of(design: Design) -> frozenset[str]:
    """What kinds of pipe a design is made of: "crimped", "metal", "plastic"."""
    own = chains(design).values()
    crimped = {"crimped" for chain in own if chain.rule.slips_in == "inner"}
    return frozenset(crimped | {"metal" if chain.conducts else "plastic" for chain in own})


def measured_from(found: SettingOut) -> str:
    """What the distances are measured from."""
    if not found.placed:
        return "The collector has no place: all is measured from the centre of its inlet, E eastward, N northward, and upward."
    if not found.walls:
        return "The room has no walls: all is measured E eastward and N northward from where the design counts, and up from the floor."
    return "Centres, square off two walls that meet, and up from the floor. All walls, from corner to corner, east and north:"


def corners_text(wall: Wall, units: str) -> str:
    """A wall's name, and where it begins and ends."""
    ends = " to ".join(f"{tape_text(east, units)}, {tape_text(north, units)}" for east, north in (wall.start, wall.end))
    return f"{wall.name} wall, {ends}"


def _letter(name: str) -> str:
    """ "W1" of "west 1", "S" of "south"."""
    return name[0].upper() + name.partition(" ")[2]


def _mark_lines(mark: Mark, units: str) -> Iterator[str]:
    note = ""
    if mark.load is not None:
        note = f", {load_text(mark.load, units)}"
    elif mark.bore is not None:
        note = f", {show(mark.bore, 'bore', units)} wide"
    first, *rest = wrapped(f"{mark.what}{note}", width=_WHAT - 1)
    offs = "".join(f"{f'{_letter(reach.wall)} {tape_text(reach.distance, units)}':<{_OFF}}" for reach in mark.off)
    yield f"  {first:<{_WHAT}}{offs}up {tape_text(mark.centre[2], units)}"
    yield from (f"  {line}" for line in rest)


def as_json(design: Design, found: SettingOut) -> str:
    """The setting out as JSON text, lengths in m, loads in kg; the runs stand in the order of assembly."""
    return json_text(design, placed=found.placed, runs=[_run_json(run) for run in found.runs], assembly=list(assembly(kinds_of(design))))


def _run_json(run: RunMarks) -> dict[str, Any]:
    return {"run": run.run, "size": run.size, "bore": run.bore, "marks": [_mark_json(mark) for mark in run.marks], "remarks": list(run.remarks)}


def _mark_json(mark: Mark) -> dict[str, Any]:
    centre = {axis: round(value, 5) for axis, value in zip(("east", "north", "up"), mark.centre, strict=True)}
    off = [{"from": reach.wall, "distance": round(reach.distance, 5)} for reach in mark.off]
    optional = {"load": mark.load, "hole": mark.bore}
    return {"kind": mark.kind, "what": mark.what, **centre, "off": off} | {key: value for key, value in optional.items() if value is not None}
