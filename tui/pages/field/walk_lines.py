"""The test sheet as lines: the stop, what is expected there large, the box to type in, the verdict."""

from __future__ import annotations

from engine.checks.cautions import caution
from engine.design import READ, defaults, system
from engine.design.rules.record import reading_value
from engine.field.built import cut_off, to_hang
from engine.field.sheet import Drill, Stop
from engine.field.verdicts import AS_EXPECTED, LOOK, WRONG, Verdict, usual_doubt
from engine.units import show, unit_name
from tui.draw.big import big
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line, line, shorten, spread, wrapped_to
from tui.pages.field.gate_lines import gate_lines
from tui.pages.field.walk import Walk

_TYPED = 14
_ROOM_FOR_LARGE = 12  # rows
_LABEL = "expected"
_ROLES = {AS_EXPECTED: "ok", LOOK: "caution", WRONG: "fault"}


def walk_lines(walk: Walk, width: int, height: int, glyphs: Glyphs) -> list[Line]:
    """The page of a walk, in so many columns and rows; 40 by 12 hold what matters, and 40 by 7 without large figures."""
    stop = walk.stop
    if stop is None:
        hung = "nothing that hangs has a way to the collector yet" if cut_off(walk.design) else "nothing hangs yet"
        return wrapped_to(f"{hung}: mark what hangs with I in the ducts", width, height, glyphs, "dim")
    count = " asked for" if walk.why else f"{walk.at + 1}/{len(walk.stops)}, {walk.taken_so_far()} read "
    state = walk.design.collector.filter or defaults.FILTER
    head = spread(line(" ", (walk.gate_set.name, "title-focus"), (f"  filter {state}", "dim")), line((count, "dim")), width, glyphs)
    if walk.at_gates:
        return [head, *gate_lines(walk, width, height - 1, glyphs)]
    return [head, *_stop(walk, stop, width, height - 1, glyphs)]


def _stop(walk: Walk, stop: Stop, width: int, height: int, glyphs: Glyphs) -> list[Line]:
    """The stop at hand; once there is a verdict, whose reason tells between what the reading should be, it has the room of the rest."""
    units, missing = system(walk.design), to_hang(walk.design)
    found = None if walk.why and not walk.edit.text else walk.verdict(stop)
    capped = line((f"{len(missing)} not hung ", "note")) if missing else ()
    rows = [spread(line(" ", (stop.what, "label"), "  ", (_place(stop, walk), "value")), capped, width, glyphs)]
    roomy, judged = height >= _ROOM_FOR_LARGE - 1, isinstance(found, Verdict)
    if stop.drill and not judged:
        rows += [line(" ", *row) for row in wrapped_to(drill_text(stop.drill, units), width - 2, 3, glyphs, "note")]
    rows += _expected(walk, stop, width, glyphs, large=roomy, span=not judged)
    rows.append(line(">", *walk.edit.shown(_TYPED), (f" {unit_name(READ[stop.what], units)}", "dim"), *_earlier(walk, stop)))
    return [*rows, *_told(walk, found, width, max(height - len(rows) - roomy, 1), glyphs)]


def _place(stop: Stop, walk: Walk) -> str:
    """Where a stop is, in words."""
    return stop.place if stop.distance is None else f"{stop.place}, {show(stop.distance, 'length', system(walk.design))} out"


def drill_text(drill: Drill, units: str) -> str:
    """Where to drill, in words."""
    out, behind = (show(value, "length", units) for value in (drill.distance, drill.behind))
    short = "" if drill.enough else f"; only {drill.bores:.1f} bores: doubt it"
    return f"drill in straight {drill.straight}, {out} out, {behind} of straight before it{short}"


def _expected(walk: Walk, stop: Stop, width: int, glyphs: Glyphs, *, large: bool, span: bool) -> list[Line]:
    """What is expected, `large` where there is room, and between what: its `span`."""
    found = walk.foreseen(stop)
    if found.expected is None or found.low is None or found.high is None:
        return wrapped_to(f"nothing is expected: {found.reason}", width - 1, 2, glyphs, "caution")
    dimension, told = READ[stop.what], walk.told(found.expected, stop)
    between = f"{walk.told(max(found.low, 0.0), stop)} to {walk.told(found.high, stop)}"
    if not large:
        return [shorten(line(f" {_LABEL} ", (told, "value"), (f" by the {found.by}: {between}", "dim")), width, glyphs)]
    own = dict(walk.instrument.give_or_take).get(dimension)
    gauge = f"{walk.instrument.name or 'gauge'} +-{own or f'{usual_doubt(dimension):.0%}'} counted"
    first, *others = big(told)
    figures = [line((f" {_LABEL} ", "label"), (first, "value")), *(line(" " * (len(_LABEL) + 2), (row, "value")) for row in others)]
    below = wrapped_to(f"by the {found.by}: {between}, {gauge}", width - 2, 2, glyphs, "dim") if span else []
    return [*figures, *(line(" ", *row) for row in below)]


def _earlier(walk: Walk, stop: Stop) -> Line:
    earlier = walk.earlier(stop)
    if earlier is None or walk.edit.text:
        return ()
    mark = " base" if earlier.baseline else ""
    return line((f" {walk.told(reading_value(earlier).si, stop)}", "value"), (f"{mark} {earlier.date or ''}", "dim"))


def _told(walk: Walk, found: Verdict | str | None, width: int, room: int, glyphs: Glyphs) -> list[Line]:
    """The verdict over the whole width, and its reason; before there is one why the reading is asked for, and what to mind."""
    mind = caution("leak-test" if walk.closed else "ladder").text(walk.design)
    if found is None:
        told, role = (f"{walk.why}. {mind}", "text") if walk.why else (mind, "dim")
        return wrapped_to(told, width - 1, room, glyphs, role)
    if isinstance(found, str):
        return wrapped_to(found, width - 1, room, glyphs, "caution")
    return [_banner(walk, found, width), *wrapped_to(found.reason, width - 1, room, glyphs)]


def _banner(walk: Walk, found: Verdict, width: int) -> Line:
    """The verdict; under an empty blank with the reading that it is of."""
    reading, stop = found.reading, walk.stop
    on = f"{f' on {reading.date}' if reading.date else ''}: "
    before = f"{walk.told(found.value, stop)}{on}" if stop and not walk.edit.text else ""
    words = f" {before}{found.verdict.upper()}{' (STALE)' if found.stale else ''} "
    return line((f"{words:^{width}}", f"{_ROLES[found.verdict]} cursor"))
