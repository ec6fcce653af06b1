"""A placement study in rows: the best spots and today's with their numbers, the reasons of the one under the cursor, the two middles."""

from __future__ import annotations

from itertools import zip_longest

from engine.checks.rules import limit
from engine.design import Design, system
from engine.search.floor import Middle
from engine.search.placement import Spot, Study, in_words, where
from engine.units import number_text, show, unit_name
from engine.units.words import share_text
from engine.values import dataclass
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line, fit, line, restyle, wrapped, wrapped_to
from tui.pages.searches.placement_map import TODAY, At, best, places, spot_at

# Cells of the table, and with the price too.
TABLE, WITH_PRICE = 36, 42
_LEAST_OF_REASONS = 2
# Cells that the middles take beside the table, in full and without their places; rows from which both ways to measure them have room.
_ASIDE, _SHORT_ASIDE, _TALL = 36, 16, 20


@dataclass(frozen=True, slots=True)
class ListView:
    """What the list shows, and the room there is."""

    design: Design
    study: Study
    cursor: At
    width: int
    height: int
    glyphs: Glyphs

    @property
    def units(self) -> str:
        """ "metric" or "imperial"."""
        return system(self.design)


def list_lines(view: ListView) -> list[Line]:
    """At most `height` lines: the table and the reasons always, the middles and the other reasons where there is room."""
    table, remarks = list(_table(view)), _remarks(view)
    middles = _middles(view)
    if view.width >= WITH_PRICE + _SHORT_ASIDE:  # beside the table
        table = [(*fit(row, WITH_PRICE), *told) for row, told in zip_longest(table, middles, fillvalue=())]
        middles = []
    if view.height - len(table) - len(middles) < _LEAST_OF_REASONS:
        middles = []
    room = max(view.height - len(table) - len(middles), 1)
    lines = table + wrapped_to(reasons_of(view, view.cursor), view.width, room, view.glyphs) + middles
    for more in (remarks, *_others(view)):
        if more and len(lines) + 1 + len(more) <= view.height:
            lines += [line(" "), *more]
    return lines[: view.height]


# ---- the table


def _table(view: ListView) -> list[Line]:
    study, unit = view.study, unit_name("length", view.units)
    price = view.width >= WITH_PRICE
    heads = f"{unit:<2}{'east':>6}{'north':>6} {'faces':<5}{'air':>6}{'duct':>6}{'!':>4}" + (f"{'price':>6}" if price else "")
    marked = [(str(number), at) for number, at in enumerate(best(study), 1)] + ([("T", TODAY)] if study.today else [])
    rows = [_row(view, mark, at, spot, price) for mark, at in marked if (spot := spot_at(study, at))]
    return [line((heads, "dim")), *rows]


def _row(view: ListView, mark: str, at: At, spot: Spot, price: bool) -> Line:
    east, north, duct = (number_text(length, "length", view.units, digits=1) for length in (spot.east, spot.north, spot.length))
    share, faults = spot.standing.share, spot.standing.faults
    air = "none" if share is None else share_text(share)
    role = "fault" if share is None or share < limit(None, "starved-machine", "tolerance") else "caution" if share < 1.0 else "ok"
    row = line(
        (f"{mark:<2}", "value"), f"{east:>6}{north:>6} {spot.faces:<5}", (f"{air:>6}", role), f"{duct:>6}",
        (f"{faults:>4}", "fault" if faults else "text"), f"{spot.standing.price:>6.0f}" if price else "",
    )  # fmt: skip
    return restyle(row, "cursor") if at == view.cursor else row


# ---- reasons


def reasons_of(view: ListView, at: At) -> str:
    """What there is to say of a place."""
    study, spot = view.study, spot_at(view.study, at)
    first = best(study)
    if at in first:
        one = study.proposals[first.index(at)]
        return f"{first.index(at) + 1}. {one.reason}"
    if spot is None:
        east, north = places(study)[at]
        return f"{show(east, 'length', view.units)} east and {show(north, 'length', view.units)} north: not tried yet"
    name = "today's spot, drafted anew" if at == TODAY else f"collector at {where(spot, view.units)}"
    return f"{name}, facing {spot.faces}: {in_words(spot, study.today, study.longest.way, view.units)}"


def _others(view: ListView) -> list[list[Line]]:
    return [wrapped(reasons_of(view, at), view.width, "text") for at in best(view.study) if at != view.cursor]


def _middles(view: ListView) -> list[Line]:
    """The two spots that need no draft: as the crow flies, and where there is room along the walls too."""
    study = view.study
    pairs = (("+ least total way", study.total, study.total_along), ("x least longest way", study.longest, study.longest_along))
    if view.width >= WITH_PRICE + _ASIDE:
        return [line((f"   {text}", "note")) for name, crow, _ in pairs for text in (f"{name} to machines", f"  {_middle(view, crow)}")]
    if view.width >= WITH_PRICE + _SHORT_ASIDE:
        ways = (show(crow.way, "length", view.units, digits=1) for _, crow, _ in pairs)
        return [
            line((f" {text}", "note")) for sign, way in zip(("+ least total", "x least longest"), ways, strict=True) for text in (sign, f"  {way}")
        ]
    if view.height > _TALL:
        both = [(f"{name} to the machines:", _middle(view, crow), _middle(view, along)) for name, crow, along in pairs]
        texts = [f"{name} {crow} as the crow flies, {along} along the walls" for name, crow, along in both]
        return [spans for text in texts for spans in (line(" "), *wrapped(text, view.width, "note"))]
    return [spans for name, crow, _ in pairs for spans in wrapped(f"{name} {_middle(view, crow)}", view.width, "note")]


def _middle(view: ListView, middle: Middle) -> str:
    east, north = (number_text(part, "length", view.units, digits=1) for part in middle.at)
    return f"{show(middle.way, 'length', view.units, digits=1)} ({east}, {north})"


def _remarks(view: ListView) -> list[Line]:
    """Machines that the study had to put somewhere itself."""
    nowhere = [machine.id for machine in view.design.machines if machine.ports and None in (machine.east, machine.north)]
    text = f"{', '.join(nowhere)}: no position; taken to stand along a wall" if nowhere else ""
    return wrapped(text, view.width, "caution") if text else []
