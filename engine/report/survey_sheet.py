"""A blank sheet to take into the shop: what to measure, in the order in which the interview asks for it, with a grid to sketch on."""

from __future__ import annotations

from collections.abc import Mapping

from engine.report.pen import WIDTH, wrapped

LINES = 60  # a page of 66 lines with its margins
_MACHINES = 9
_SQUARES = (19, 8)
_RULE = "_" * WIDTH
_Words = Mapping[str, str]
# How lengths, bores, flows and pressures are written down, what a square of the grid is, examples.
_WORDS: Mapping[str, _Words] = {
    "metric": {
        "length": "m",
        "bore": "mm",
        "flow": "m3/h",
        "pressure": "Pa",
        "square": "0.5 m",
        "floor": "7 x 4",
        "door": "south 1.2 0.9",
        "straight": "3.1",
    },
    "imperial": {
        "length": "ft",
        "bore": "in",
        "flow": "cfm",
        "pressure": "inH2O",
        "square": "2 ft",
        "floor": "24 x 16",
        "door": "south 4 3",
        "straight": "10",
    },
}
_COLUMNS = ((22, "machine, its kind"), (17, "east, north, up"), (10, "port, {bore}"), (13, "wants, {flow}"), (19, "size; does it move"))


def blank_sheet(units: str) -> str:
    """The sheet in "metric" or "imperial" units, at most LINES lines of WIDTH characters."""
    words = _WORDS[units]
    lines = (*_top(words), *_grid(words), *_room(words), *_machines(words), *_rest(words))
    return "\n".join(line.rstrip() for line in lines)


def _blank(*labels: str) -> str:
    """Labels beside each other, each with a line to write on."""
    line = (WIDTH - sum(map(len, labels)) - 2 * len(labels) + 1) // len(labels)
    return " ".join(f"{label} {'_' * line}" for label in labels)


def _top(words: _Words) -> list[str]:
    told = (
        f"Choose a corner of the shop: it is 0, 0, one wall runs east from it, and all is measured from it in {words['length']}: east, north, "
        "then up. Bores are inside. Put ? behind a guess."
    )
    return [_blank("Shop", "Date and by whom"), *wrapped(told)]


def _grid(words: _Words) -> list[str]:
    across, down = _SQUARES
    crossings = "   ".join("+" * (across + 1))
    body = [line for _ in range(down) for line in (crossings, "")]
    return ["", f"1 SKETCH, north is up; a square is {words['square']}, or ______", *body, f"0{crossings[1:]}"]


def _room(words: _Words) -> list[str]:
    return [
        "", "2 ROOM",
        _blank(f"floor, as {words['floor']}, or its corners", "ceiling, to its joists"),
        "joists run [ ] east-west [ ] north-south   mains [ ] overhead [ ] under benches",
        _blank(f"doors: wall, along, width, height, way it opens, as {words['door']}"),
        _blank("posts: middle, thickness"),
        _blank("windows: wall, along, width, sill, head; what else stays free"),
        _blank("collector: where it may stand, size", "inlet faces, up"),
    ]  # fmt: skip


def _machines(words: _Words) -> list[str]:
    heads = " ".join(f"{head.format(**words):<{width - 1}}" for width, head in _COLUMNS)
    rule = " ".join("_" * (width - 1) for width, _ in _COLUMNS)
    return ["", "3 MACHINES, each port a line", heads, *[rule] * _MACHINES, _blank("at work at once")]


def _rest(words: _Words) -> list[str]:
    bore, flow, pressure = words["bore"], words["flow"], words["pressure"]
    cautions = "Switch off and lock off before you open or measure inside a machine or the collector; stand on a ladder, not on machines."
    return [
        "", f"4 STORE: sizes, true bore, stick; price a {words['length']}, elbow, wye, reducer, gate", _RULE, _RULE,
        "", "5 COLLECTOR, from its sheet",
        _blank(f"inlet, {bore}", f"outlet, {bore}", f"free air, {flow}"),
        _blank(f"largest suction, {pressure}", f"points between, {flow} at {pressure}"),
        "pressures are [ ] suction at its inlet [ ] fan static [ ] fan total",
        _blank(f"filter: {pressure} at {flow}, clean, dirty", "others to choose from"),
        "", f"6 WHAT HANGS, from the collector outward: {words['straight']}, elbow west, wye to saw ...", _RULE,
        "", *wrapped(cautions),
    ]  # fmt: skip
