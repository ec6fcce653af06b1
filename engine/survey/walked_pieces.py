"""The pieces of a walk along ducts that hang: what a word or two say of a straight, an elbow, a hose, a gate."""

from __future__ import annotations

from dataclasses import replace

from engine.design import Cleanout, Design, Elbow, Gate, Hose, OwnLoss, Piece, Run, Straight, ports_of, stock_sizes, system
from engine.design.entries import entries
from engine.design.names import fresh_name
from engine.design.typed import BadValue, read_figure
from engine.shapes.vectors import DIRECTIONS
from engine.survey.breath import is_figure, words_of
from engine.units import Quantity, make, parse, show
from engine.values import dataclass

_RIGHT_ANGLE = parse("90 deg", "angle")
_ALIKE = 0.0015  # m: a bore this near to a stocked one is that one
_KINDS = ("straight", "elbow", "hose", "gate", "cleanout", "hatch", "loss")


@dataclass(frozen=True, slots=True)
class Pipe:
    """The pipe of a run: a stocked size, or a bore with a material."""

    size: str | None
    bore: Quantity | None = None
    material: str | None = None

    @classmethod
    def of(cls, run: Run) -> Pipe:
        """That of a run."""
        return cls(run.size, run.bore, run.material)

    @property
    def text(self) -> str:
        """What it is called."""
        return self.size or (self.bore.text if self.bore else "")

    def laid(self, run: Run) -> Run:
        """A run in this pipe."""
        return replace(run, size=self.size, bore=self.bore, material=self.material)


def pipe_of(design: Design, said: str, near: float = 0.0) -> Pipe:
    """The stocked pipe of a nominal size or a bore, else pipe of that bore; where nothing is said, the one nearest to a bore [m].

    Raises BadValue.
    """
    pipes = {name: pair for name, pair in stock_sizes(design).items() if pair[0].kind == "pipe"}
    if not said.strip():
        return Pipe(min(pipes, key=lambda name: abs(pipes[name][1].bore.si - near)))
    text = said.strip()
    exact = [name for name, (_, size) in pipes.items() if text in (name, size.nominal)]
    exact = exact or [name for name, (_, size) in pipes.items() if size.nominal.split()[0] == text]
    if exact:
        return Pipe(exact[0])
    bore = read_figure(entries(Run)["bore"], text, system(design))
    alike = [name for name, (_, size) in pipes.items() if abs(size.bore.si - bore.si) < _ALIKE]
    return Pipe(alike[0]) if alike else Pipe(None, bore, next(iter(pipes.values()))[0].material)


def machine_named(design: Design, text: str) -> str:
    """The machine, or its port, that a text names: "saw", "saw/guard" or by its number "2". Raises BadValue."""
    name, _, port = text.strip().partition("/")
    found = [machine.id for i, machine in enumerate(design.machines, 1) if machine.id.casefold() == name.casefold() or str(i) == name]
    found = found or [machine.id for machine in design.machines if machine.id.casefold().startswith(name.casefold())]
    found = found or [machine.id for machine in design.machines if name.casefold() in machine.id.casefold()]
    if len(found) != 1 or not name:
        known = ", ".join(machine.id for machine in design.machines) or "no machine yet"
        raise BadValue(f'"{name[:40]}": wanted {"one of " if found else "a machine: "}{", ".join(found) or known}')
    return f"{found[0]}/{port}" if port else found[0]


def first_port(design: Design, name: str) -> str:
    """The port that is named, or the first of a machine that no duct leads to yet. Raises BadValue."""
    taken = {run.ends for run in design.runs}
    ports = [port for port in ports_of(design) if port == name or port.split("/")[0] == name]
    free = [port for port in ports if port not in taken]
    if not free:
        raise BadValue(f"{name}: {'a duct leads there already' if ports else 'there is no such port'}")
    return free[0]


def is_direction(word: str) -> bool:
    """Whether a word is one of the six ways, or begins one."""
    return any(way.startswith(word.lower()) for way in DIRECTIONS)


def direction_of(word: str) -> str:
    """The way that a word begins. Raises BadValue."""
    found = next((way for way in DIRECTIONS if way.startswith(word.lower())), None)
    if found is None:
        raise BadValue(f"{word!r}: wanted one of {', '.join(DIRECTIONS)}")
    return found


def angle_of(text: str) -> Quantity:
    """An angle from "45" or "45 deg". Raises BadValue."""
    found: Quantity = read_figure(entries(Elbow)["angle"], text, "metric")
    return found


def piece_of(design: Design, on: str, item: str) -> tuple[Piece, str]:
    """A piece of the way `on` from what is said of it, and how it was understood. Raises BadValue."""
    words = words_of(item)
    first, rest, units = words[0].lower(), words[1:], system(design)
    if is_figure(words[0]):
        first, rest = "straight", words
    kind = next((known for known in _KINDS if len(first) > 1 and known.startswith(first)), "")
    match kind:
        case "straight" if len(rest) == 1:
            length = read_figure(entries(Straight)["length"], rest[0], units)
            return Straight(length=length), length.text
        case "elbow":
            return _elbow(rest, units)
        case "hose" if rest:
            return _hose(design, rest, units)
        case "gate" | "cleanout" | "hatch":
            name = fresh_name(" ".join(rest) or f"{on} {kind}", _names(design))
            return (Gate(name=name) if kind == "gate" else Cleanout(name=name)), name
        case "loss" if rest:
            return OwnLoss(loss=read_figure(entries(OwnLoss)["loss"], rest[0], units), name=" ".join(rest[1:]) or None), item
    raise BadValue(f'"{item[:40]}": wanted a length, as 3.1, or elbow west, wye 125 to saw, gate, hose 0.6, cleanout, pipe 125, to saw')


def _names(design: Design) -> set[str]:
    return {piece.name for run in design.runs for piece in run.pieces if isinstance(piece, (Gate, Cleanout))}


def _elbow(words: list[str], units: str) -> tuple[Elbow, str]:
    figures = [word for word in words if is_figure(word)]
    ways = [direction_of(word) for word in words if not is_figure(word)]
    if len(figures) > 1 or len(ways) != 1:
        raise BadValue(f"wanted the way it turns to, as elbow west or elbow 45 down: one of {', '.join(DIRECTIONS)}")
    angle = angle_of(figures[0]) if figures else _RIGHT_ANGLE
    guess = "" if figures else " (a guess)"
    return Elbow(angle=angle, toward=ways[0]), f"elbow {show(angle.si, 'angle', units)}{guess} {ways[0]}"


def _hose(design: Design, words: list[str], units: str) -> tuple[Hose, str]:
    table = entries(Hose)
    bend = read_figure(table["bend"], words[words.index("bend") + 1], units) if "bend" in words[:-1] else None
    plain = words[: words.index("bend")] if "bend" in words else words
    length = read_figure(table["length"], plain[0], units)
    size = None
    if len(plain) > 1:
        hoses = {name: pair[1] for name, pair in stock_sizes(design).items() if pair[0].kind == "hose"}
        size = next((name for name, known in hoses.items() if plain[1] in (name, known.nominal)), None)
        if size is None or len(plain) > 2:
            raise BadValue(f"wanted a hose in store: {', '.join(hoses)}")
    return Hose(length=length, size=size, bend=bend), f"hose {length.text}{f' of {size}' if size else ''}"


def straight_of(metres: float, units: str) -> Straight:
    """A straight of a length that can be measured, to a centimetre."""
    return Straight(length=make(round(metres, 2), "length", units))
