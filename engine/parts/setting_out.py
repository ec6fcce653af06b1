"""The setting out: where every fitting, gate and hanger goes, measured from walls and floor; and the order to put them up in."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, dist

from engine.design import Design, children_of, system
from engine.parts.chain import Chain, Part, chains
from engine.parts.hangers import hangers, load
from engine.parts.tape import tape_text
from engine.parts.walls import Reach, reaches
from engine.shapes.clearance import crossing
from engine.shapes.vectors import Point, heading, moved
from engine.space.fitted import TAPER, Fitted, fitted_runs
from engine.space.geometry import Way, space_of
from engine.space.lay import Stretch
from engine.space.room import room_of
from engine.space.walls import Wall, walls_of
from engine.values import dataclass

# A straight that rises less than this to a metre is level, one that rises all but so much is plumb.
_LEVEL = 0.002
# A hole is so much wider than its pipe, m: judgement.
_CLEAR = 0.02


@dataclass(frozen=True, slots=True)
class Mark:
    """A place to measure out: what is there, its centre (east, north, up; m), how far that is from two walls, m.

    Of an elbow the centre is where its two lines meet. `load` [kg] is what a
    hanger carries, `bore` [m] the width of a hole.
    """

    kind: str
    run: str
    what: str
    centre: Point
    off: tuple[Reach, ...]
    load: float | None = None
    bore: float | None = None


@dataclass(frozen=True, slots=True)
class RunMarks:
    """A run's marks from the collector outward, how its straights lie, what to mind about it."""

    run: str
    size: str | None
    bore: float
    marks: tuple[Mark, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SettingOut:
    """Every run in the order of assembly, collector first; the walls measured from, none where the design has no room."""

    runs: tuple[RunMarks, ...]
    walls: tuple[Wall, ...]
    placed: bool


def setting_out(design: Design) -> SettingOut:
    """The setting out of a consistent design. Where the collector has no place, all is measured from its inlet."""
    space, walls = space_of(design), walls_of(room_of(design.site).corners)
    if not space.placed:
        walls = ()
    joined, fitted = children_of(design), fitted_runs(design)
    runs = []
    for chain in chains(design).values():
        if (way := space.ways.get(chain.run)) is not None:
            names = ", ".join(child.id for child in joined[chain.run])
            marks = tuple(_marks(chain, way, fitted[chain.run], walls, names))
            runs.append(RunMarks(chain.run, chain.size, chain.bore, marks, tuple(_remarks(chain, way, design))))
    return SettingOut(tuple(runs), walls, space.placed)


def _marks(chain: Chain, way: Way, fitted: Fitted, walls: tuple[Wall, ...], joined: str) -> Iterator[Mark]:
    """The marks of a run as far as it has a place."""
    stretches = {stretch.piece: stretch for stretch in way.stretches}
    for part in chain.parts:
        if part.piece is None:
            if part.kind in ("wye", "tee", "Y") and way.end:
                yield _mark(part.kind, chain, f"{part.kind} to {joined}", way.end, walls)
            elif part is chain.parts[0] and part.kind in ("taper", "adapter") and way.start and way.heading:
                yield _mark(part.kind, chain, part.kind, moved(way.start, way.heading, fitted.shifts.get(TAPER, 0.0)), walls)
        elif (stretch := stretches.get(part.piece)) is not None:
            yield from _piece_marks(chain, part, stretch, fitted.shifts.get(part.piece, 0.0), walls)


def _piece_marks(chain: Chain, part: Part, stretch: Stretch, shift: float, walls: tuple[Wall, ...]) -> Iterator[Mark]:
    match part.kind:
        case "straight":
            yield from _holes(chain, stretch, walls)
            yield from _hangers(chain, part, stretch, walls)
        case "elbow":
            yield _mark("elbow", chain, f"elbow {degrees(part.angle or 0.0):.3g} deg", stretch.corner or stretch.start, walls)
        case "gate" | "cleanout" | "part":
            what = part.name if part.kind == "part" else f"{part.kind} {part.name}"
            yield _mark(part.kind, chain, what, moved(stretch.start, stretch.before, shift), walls)


def _mark(kind: str, chain: Chain, what: str, centre: Point, walls: tuple[Wall, ...]) -> Mark:
    return Mark(kind, chain.run, what, centre, reaches(walls, centre))


def _hangers(chain: Chain, part: Part, stretch: Stretch, walls: tuple[Wall, ...]) -> Iterator[Mark]:
    """The hangers of a straight, straps where it is not level, each with what it carries of it."""
    at, length = hangers(chain, part), part.length or 0.0
    kind, places = "hanger" if _lies(stretch) == "level" else "strap", [moved(stretch.start, stretch.before, part.inner + along) for along in at]
    for i, (along, centre) in enumerate(zip(at, places, strict=True)):
        begins = (at[i - 1] + along) / 2 if i else 0.0
        ends = (at[i + 1] + along) / 2 if i + 1 < len(at) else length
        yield Mark(kind, chain.run, f"{kind}, straight {part.number}", centre, reaches(walls, centre, places), load=(ends - begins) * load(chain))


def _holes(chain: Chain, stretch: Stretch, walls: tuple[Wall, ...]) -> Iterator[Mark]:
    """Where a straight goes through a wall."""
    for wall in walls:
        share = crossing(stretch.start, stretch.end, wall.start, wall.end)
        if share is not None:
            centre = moved(stretch.start, stretch.before, share * stretch.length)
            yield Mark("hole", chain.run, f"hole in the {wall.name} wall", centre, reaches(walls, centre), bore=chain.outside + _CLEAR)


def _lies(stretch: Stretch) -> str:
    """ "level", "plumb", or the rise to a metre."""
    rise = abs(heading(stretch.start, stretch.end)[2]) if dist(stretch.start, stretch.end) else 0.0
    return "level" if rise < _LEVEL else "plumb" if rise > 1 - _LEVEL else "sloping"


def _remarks(chain: Chain, way: Way, design: Design) -> Iterator[str]:
    """What the marks of a run do not say: slopes, joists, and where its places end."""
    stretches = {stretch.piece: stretch for stretch in way.stretches}
    straights = [(part, stretches[part.piece]) for part in chain.parts if part.kind == "straight" and part.piece in stretches]
    for part, stretch in straights:
        if _lies(stretch) == "sloping":
            rise = stretch.end[2] - stretch.start[2]
            by = tape_text(abs(rise), system(design))
            yield f"straight {part.number} {'rises' if rise > 0 else 'falls'} {by} over its length, going outward"
    if (joists := design.site.joists) is not None:
        hung = [(part.number, _along(stretch, joists)) for part, stretch in straights if _lies(stretch) == "level" and hangers(chain, part)]
        if along := [str(number) for number, runs_along in hung if runs_along]:
            yield f"straight {', '.join(along)}: along the joists; hang from cross-pieces between two of them"
        if across := [str(number) for number, runs_along in hung if not runs_along]:
            yield f"straight {', '.join(across)}: across the joists; move each hanger to the nearest"
    if way.start is None or way.heading is None:
        yield "it has no place: it or what it joins does not say which way it leads"
    elif way.lost is not None:
        yield "beyond its last mark it has no place: an elbow does not say which way it turns"


def _along(stretch: Stretch, joists: str) -> bool:
    """Whether a straight runs with joists, "east-west" or "north-south", rather than across them."""
    east, north, _ = heading(stretch.start, stretch.end)
    return (abs(east) > abs(north)) == (joists == "east-west")
