"""The room in the interview: its floor, its ceiling, what stands in it, and where the collector does."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from engine import edits
from engine.design.places import COLLECTOR, SITE, MachineAt, Place
from engine.space.on_floor import body_of
from engine.survey.answers import Answers, finished, met_by_line
from engine.survey.floor import crossing, floor_text, is_rectangle, outside, read_body, read_corner, read_floor, read_place, spot_example
from engine.survey.room import READERS
from engine.survey.standing import met_by_collector, met_by_machine, standing_wrong
from engine.units import show
from tui.pages.interview.rows import Row, Taken, breath, nothing, pasted, set_fields, typed
from tui.pages.interview.sheets.sheet import Sheet
from tui.work.fields.points import printable_lines
from tui.work.fields.values import BadValue


def _room(answers: Answers) -> Sheet:
    room = answers.shop.site.room
    example = "7 x 4" if answers.units == "metric" else "24 x 16"
    text, about = floor_text(room) if is_rectangle(room) else "", f"In {answers.metre}, as {example}: eastward, northward."
    floor = breath("floor", text, about, partial(_floor, answers))
    corners = [_corner(answers, i) for i in range(len(room) + 1)] if not is_rectangle(room) else []
    words = (
        "Choose a corner of the shop: it is 0, 0, marked 0 in the plan, and all is measured from it; one wall runs east. "
        "How large is the floor? If it is no rectangle: corner after corner, below."
    )
    none = () if room else (nothing(answers, "room", "no walls known"),)
    return Sheet("room", words, (floor, *corners, *none), start=len(corners) if room and corners else 0, paste=partial(_corners, answers))


def _floor(answers: Answers, text: str) -> Taken:
    corners = read_floor(text, answers.units) if text.strip() else ()
    after = set_fields(answers, SITE, {"room": corners})
    if not is_rectangle(corners):
        return after, f"{len(corners)} corners" if corners else ""
    return after, f"{show(corners[2].east.si * corners[2].north.si, 'area', answers.units)} of floor"


def _corner(answers: Answers, index: int) -> Row:
    room = answers.shop.site.room
    text = f"{room[index].east.text}, {room[index].north.text}" if index < len(room) else ""
    about = f"East and north of 0, 0 in {answers.metre}, as {spot_example(answers.units)}. Enter on an empty line goes on."
    return breath(f"corner {index + 1}", text, about, partial(_with_corner, answers, index), marks=f"corner {index}")


def _with_corner(answers: Answers, index: int, text: str) -> Taken:
    """With a corner at an index; one after the last is added, an empty line takes it away. The last wall may still cross others."""
    room = answers.shop.site.room
    new = (read_corner(text, answers.units),) if text.strip() else ()
    corners = (*room[:index], *new, *room[index + 1 :])
    if new and (wrong := crossing(corners)):
        raise BadValue(wrong)
    after = answers.with_shop(edits.set_fields(answers.shop, SITE, {"room": corners}))
    return after, f"{new[0].east.text} east, {new[0].north.text} north" if new else ""


def _corners(answers: Answers, text: str) -> Taken:
    return pasted(answers, printable_lines(text), lambda now, line: _with_corner(now, len(now.shop.site.room), line)[0])


_HEIGHT = (
    "From the floor to the lowest of the ceiling: where joists are open to their underside, not to the boards above them. "
    "Pipes hang below that; none is led between joists."
)


def _ceiling(answers: Answers) -> Sheet:
    rows = (
        typed(answers, SITE, "height", "height", offered="not known", about=_HEIGHT),
        typed(answers, SITE, "joists", "joists", about="The way the joists run: east-west or north-south; e or n will do."),
        typed(answers, SITE, "mains", "mains"),
        typed(answers, SITE, "main_lowest", "mains from"),
        typed(answers, SITE, "main_highest", "mains to"),
        typed(answers, SITE, "headroom", "headroom"),
    )
    words = "How high is the ceiling, down to the underside of its joists, and which way do they run? Below: where mains may hang."
    return Sheet("ceiling", words, rows)


_DOORS = (
    "Which doors are there? The wall, how far along from its west or south end, how wide; then how high, if it is known. "
    "swing is meant, or overhead, outward, sliding. Shut and open both keep ducts away."
)
_POSTS = "Which posts stand in the room? East and north of the middle of each; then how thick it is."
_FREE = "What must stay free? A window as a door: wall, along, width, sill and head. Another place by name, middle and size."
# Question -> what a line is, the answer that there is none, what is asked, examples.
_SAID = {
    "doors": ("door", "no doors", _DOORS, {"metric": "south 1.2 0.9, or east 0.5 2.4 2.1 overhead", "imperial": "south 4 3, or east 2 8 7 overhead"}),
    "posts": ("post", "no posts", _POSTS, {"metric": "4.5, 3, or 4.5, 3 0.2 x 0.3", "imperial": "15, 10, or 15, 10 6in x 8in"}),
    "free": ("place", "nothing else", _FREE, {
        "metric": "north 3 1.2, stairs 5, 2 1 x 2, bench 3, 0.4 2 x 0.7 x 0.9", "imperial": "north 10 4, stairs 16, 6 3 x 6",
    }),
}  # fmt: skip


def _said(question: str) -> Callable[[Answers], Sheet]:
    one, none, words, examples = _SAID[question]

    def sheet(answers: Answers) -> Sheet:
        lines = answers.lines(question)
        about = f"In {answers.metre}, as {examples[answers.units]}. Enter on an empty line goes on."
        rows = []
        for i in range(len(lines) + 1):
            met = met_by_line(answers, question, i)
            rows.append(breath(
                f"{one} {i + 1}", (*lines, "")[i], f"It {met}. {about}" if met else about,
                partial(_with_line, answers, question, i), marks=f"{question} {i}",
            ))  # fmt: skip
        rows += [] if lines else [nothing(answers, question, none)]
        title = "keep free" if question == "free" else question
        return Sheet(title, words, tuple(rows), start=len(lines), paste=partial(pasted_lines, answers, question))

    return sheet


def _with_line(answers: Answers, question: str, index: int, text: str) -> Taken:
    lines = answers.lines(question)
    if not text.strip():
        return answers.with_lines(question, (*lines[:index], *lines[index + 1 :])), ""
    told = READERS[question](answers.shop.site, text, answers.units).told
    after = answers.with_lines(question, (*lines[:index], " ".join(text.split()), *lines[index + 1 :]))
    return after, "; ".join(filter(None, (told, met_by_line(after, question, index))))


def pasted_lines(answers: Answers, question: str, text: str) -> Taken:
    """The answers with every line of a text said to a question, and what was left out."""
    return pasted(answers, printable_lines(text), lambda now, line: _with_line(now, question, len(now.lines(question)), line)[0])


def _place(answers: Answers) -> Sheet:
    about = (
        f"The middle of its inlet, where the first pipe begins: east and north in {answers.metre}, as {spot_example(answers.units)}; "
        "then how high. Empty: by the machines."
    )
    lines = answers.lines("place")
    also = (
        f"Where else its inlet may be: the middle and the size of the place, as {spot_example(answers.units)} "
        f"{'2 x 1' if answers.units == 'metric' else '6 x 3'}. Placement (P) tries these places alone; yours above should be among them."
    )
    offered = "in the first place below" if lines else "by the machines"
    rows = (
        place_row(answers, COLLECTOR, offered, about),
        typed(answers, COLLECTOR, "up", "up", offered="a usual height"),
        typed(answers, COLLECTOR, "faces", "faces", offered="as the main asks", marks="here"),
        body_row(answers, COLLECTOR, "The inlet is in the middle of the side that faces the first pipe; the body lies behind it."),
        typed(answers, COLLECTOR, "name", "name"),
        *(
            breath(f"or at {i + 1}", (*lines, "")[i], also, partial(_with_line, answers, "place", i), marks=f"place {i}")
            for i in range(len(lines) + 1)
        ),
    )
    words = "Where may the collector stand? Below: the way its inlet faces, and the room it takes; in the plan ^ v < or > stands before the inlet."
    met = met_by_collector(finished(answers))
    return Sheet("place of the collector", words, rows, f"{met[:1].upper()}{met[1:]}." if met else "")


def place_row(answers: Answers, place: Place, offered: str, about: str) -> Row:
    """Where collector or machine stands, in one line."""
    item = edits.at(answers.shop, place)
    text = ", ".join(value.text for value in (item.east, item.north) if value) if item.east and item.north else ""
    return breath("place", text, about, partial(_put, answers, place), offered=offered, marks="here")


def _put(answers: Answers, place: Place, text: str) -> Taken:
    if not text.strip():
        return set_fields(answers, place, {"east": None, "north": None}), ""
    east, north, up = read_place(text, answers.units)
    if outside(answers.shop.site, (east.si, north.si)):
        raise BadValue(f"{east.text}, {north.text} is outside the walls")
    after = set_fields(answers, place, {"east": east, "north": north, **({"up": up} if up else {})})
    if place != COLLECTOR and (wrong := standing_wrong(after.shop, edits.at(after.shop, place))):
        raise BadValue(wrong)
    return after, f"{east.text} east, {north.text} north" + (f", {up.text} up" if up else "")


def body_row(answers: Answers, place: Place, where: str) -> Row:
    """The room that collector or machine takes, in one line; `where` it is told by its place."""
    size = edits.at(answers.shop, place).size
    text = " x ".join(side.text for side in (size.east, size.north, size.up) if side)
    example = "1.1 x 0.6 x 0.9" if answers.units == "metric" else "4 x 2 x 3"

    def take(typed: str) -> Taken:
        after = set_fields(answers, place, {"size": read_body(typed, answers.units)})
        thing = edits.at(after.shop, place)
        box = None if place == COLLECTOR and not thing.faces else body_of(thing)
        met = met_by_machine(finished(after), place.index) if isinstance(place, MachineAt) else met_by_collector(finished(after))
        spans = [f"{_span(low, high, answers.units)} {way}" for low, high, way in zip(*box, ("east", "north"), strict=False)] if box else []
        return after, "; ".join(filter(None, (", ".join(spans), met)))

    return breath("size", text, f"East, north and height of its body in {answers.metre}, as {example}. {where}", take, marks="here")


def _span(low: float, high: float, units: str) -> str:
    return f"{show(low, 'length', units)} to {show(high, 'length', units)}"


SHEETS: dict[str, Callable[[Answers], Sheet]] = {
    "room": _room, "ceiling": _ceiling, "place": _place, **{question: _said(question) for question in _SAID},
}  # fmt: skip
