"""Ducts that hang already, said on a walk from the collector outward.

A line is a piece or several with a comma between: "main 150, 3.1, elbow west",
"wye 125 to saw: gate, 1.5, elbow down, 1.2, hose 0.6". A wye stands where the
walk has come to; what follows goes straight on behind it, unless the line
goes on with the branch behind a colon, as "saw: 0.4" does later. What is not
said is taken as it usually is. All of it hangs, and searches leave it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import field, replace

from engine.design import Design, Run, ports_of, stock_sizes, system
from engine.design.names import fresh_name
from engine.design.typed import BadValue
from engine.search.layouts.shop_defaults import with_stock
from engine.survey.breath import is_figure, words_of
from engine.survey.drops import guessed_drop, way_to
from engine.survey.walked_pieces import Pipe, angle_of, direction_of, first_port, is_direction, machine_named, piece_of, pipe_of
from engine.units import parse, show
from engine.units.words import listed
from engine.values import dataclass

_ITEMS = re.compile(r"\s*;\s*|,(?=\s|[A-Za-z])\s*")
_TO = re.compile(r"\s+to(?:\s+|$)")
_JOINTS = {"wye": "45 deg", "tee": "90 deg"}
MAIN = "main"
GUESSED = "Drops guessed from where things stand, to be measured"
MOST_GUESSES = 20


@dataclass(frozen=True, slots=True)
class Walk:
    """Where the walk has come to.

    `ends` is the last run of the main and of every branch; `on` the one that
    is walked on; those that have come to their port are `closed`. `told` is
    how each line was understood, `wrong` why a line, by its index, will not
    do; `guessed` are the branches whose pieces were not said.
    """

    design: Design
    on: str = MAIN
    ends: Mapping[str, str] = field(default_factory=dict)
    closed: frozenset[str] = frozenset()
    told: tuple[str, ...] = ()
    wrong: Mapping[int, str] = field(default_factory=dict)
    guessed: tuple[str, ...] = ()

    @property
    def run(self) -> Run:
        """The run that the walk has come to."""
        return next(run for run in self.design.runs if run.id == self.ends[self.on])

    @property
    def joined(self) -> bool:
        """Whether another run joins at its end already."""
        return any(run.joins == self.ends[self.on] for run in self.design.runs)


def walked(design: Design, lines: Sequence[str]) -> Walk:
    """The design with the ducts that the lines say, in place of any it had. Lines that will not do are left out and told in `wrong`."""
    walk = Walk(with_stock(replace(design, runs=())))
    for i, line in enumerate(lines):
        try:
            walk = _line(walk, line)
        except BadValue as reason:
            walk = replace(walk, told=(*walk.told, ""), wrong={**walk.wrong, i: str(reason)})
    return _with_guesses(walk)


def _line(walk: Walk, line: str) -> Walk:
    head, colon, rest = line.partition(":")
    said: list[str] = []
    if colon and head.split()[:1] and head.split()[0].lower() in _JOINTS:
        walk, told = _joint(_begun(walk), head)
        said.append(told)
        branch = replace(walk, on=list(walk.ends)[-1])
        branch = _items(branch, rest, said)
        return replace(branch, on=walk.on, told=(*walk.told, ", ".join(said)))
    if colon:
        walk = replace(_begun(walk), on=_named(walk, head))
        said.append(walk.on)
    walk = _items(_begun(walk), rest if colon else line, said)
    return replace(walk, told=(*walk.told, ", ".join(said)))


def _items(walk: Walk, text: str, said: list[str]) -> Walk:
    for item in filter(None, (part.strip() for part in _ITEMS.split(text))):
        walk, told = _item(walk, item)
        said.append(told)
    return walk


def _named(walk: Walk, head: str) -> str:
    found = [name for name in walk.ends if name.casefold().startswith(head.strip().casefold())]
    if len(found) == 1 or head.strip() in found:
        return head.strip() if head.strip() in found else found[0]
    raise BadValue(f'"{head.strip()[:40]}": wanted one of {", ".join(walk.ends) or MAIN}')


def _begun(walk: Walk) -> Walk:
    """With the main begun, in the pipe that is nearest to the collector's inlet."""
    if walk.ends:
        return walk
    pipe = pipe_of(walk.design, "", walk.design.collector.inlet.si)
    return _with_run(walk, Run(id=MAIN, joins="collector"), pipe, MAIN)


def _with_run(walk: Walk, run: Run, pipe: Pipe, name: str) -> Walk:
    """With a run more, in a pipe; it hangs, and searches leave it."""
    hangs = pipe.laid(replace(run, state="hung", kept=True))
    return replace(walk, design=replace(walk.design, runs=(*walk.design.runs, hangs)), ends={**walk.ends, name: run.id})


def _item(walk: Walk, item: str) -> tuple[Walk, str]:
    words = words_of(item)
    first = words[0].lower()
    if first in _JOINTS:
        return _joint(walk, item)
    if first in (MAIN, "pipe", "size"):
        return _sized(replace(walk, on=MAIN) if first == MAIN else walk, " ".join(words[1:]))
    if first == "to":
        return _ended(walk, " ".join(words[1:]))
    walk = _onward(walk)
    piece, told = piece_of(walk.design, walk.on, item)
    run = replace(walk.run, pieces=(*walk.run.pieces, piece))
    return _put(walk, run), told


def _put(walk: Walk, run: Run) -> Walk:
    runs = tuple(run if other.id == run.id else other for other in walk.design.runs)
    return replace(walk, design=replace(walk.design, runs=runs))


def _onward(walk: Walk, pipe: Pipe | None = None) -> Walk:
    """Straight on behind what joins where the walk has come to, or in another pipe; as it is where the run still goes on.

    The port that a branch leads to goes along with it.
    """
    run = walk.run
    if walk.on in walk.closed:
        raise BadValue(f"{walk.on} ends at {run.ends}: name another way first, as main: 2")
    if not walk.joined and pipe is None:
        return walk
    name = fresh_name(run.id, {other.id for other in walk.design.runs} | {"collector"})
    walk = _put(walk, replace(run, ends=None))
    return _with_run(walk, Run(id=name, joins=run.id, ends=run.ends), pipe or Pipe.of(run), walk.on)


def _sized(walk: Walk, text: str) -> tuple[Walk, str]:
    """The pipe from here on."""
    pipe = pipe_of(walk.design, text)
    told = f"in {pipe.text}"
    if not walk.run.pieces and not walk.joined:
        return _put(walk, pipe.laid(walk.run)), told
    return _onward(walk, pipe), told


def _ended(walk: Walk, text: str) -> tuple[Walk, str]:
    """The way walked on leads to a machine, and ends there."""
    walk = _onward(walk)
    if walk.run.ends:
        raise BadValue(f"{walk.on} leads to {walk.run.ends} already")
    port = first_port(walk.design, machine_named(walk.design, text))
    return replace(_put(walk, replace(walk.run, ends=port)), closed=walk.closed | {walk.on}), f"to {port}"


def _joint(walk: Walk, item: str) -> tuple[Walk, str]:
    """A wye or a tee, and the branch that begins there."""
    said, *targets = _TO.split(item, maxsplit=1)
    kind, *words = words_of(said)
    ways = [direction_of(word) for word in words if is_direction(word)]
    figures = [word for word in words if is_figure(word)]
    if len(ways) > 1 or len(figures) > 2 or len(words) > len(ways) + len(figures) or targets == [""]:
        raise BadValue(f"wanted {kind}, its size, the way it leaves and where it leads, as {kind} 125 north to saw")
    port = first_port(walk.design, machine_named(walk.design, targets[0])) if targets else None
    walk = _onward(walk)
    angle = angle_of(figures[1]) if len(figures) > 1 else parse(_JOINTS[kind.lower()], "angle")
    pipe = pipe_of(walk.design, figures[0] if figures else "", ports_of(walk.design)[port][1].bore.si if port else _bore(walk))
    toward = ways[0] if ways else way_to(walk.design, walk.run.id, port)
    name = fresh_name(port.split("/")[0] if port else "branch", set(walk.ends))
    taken = {run.id for run in walk.design.runs} | {"collector"}
    run = Run(id=fresh_name(f"{name} drop" if port else name, taken), joins=walk.run.id, as_="branch", angle=angle, toward=toward, ends=port)
    where = f" to {port}" if port else f", {name}"
    guess = "" if ways and figures else " (guessed where not said)"
    told = f"{kind} {show(angle.si, 'angle', system(walk.design))}{f' {toward}' if toward else ''} in {pipe.text}{where}{guess}"
    leads = walk.run.ends is not None
    walk = _with_run(walk, run, pipe, name)
    return (_onward(walk) if leads else walk), told


def _bore(walk: Walk) -> float:
    run = walk.run
    return stock_sizes(walk.design)[run.size][1].bore.si if run.size else run.bore.si if run.bore else 0.0


def _with_guesses(walk: Walk) -> Walk:
    """With the pieces of every branch to a machine of which none were said, where positions tell them; the design notes which."""
    for name, run_id in walk.ends.items():
        run = next(run for run in walk.design.runs if run.id == run_id)
        if run.ends and not run.pieces and run.as_ == "branch" and not any(other.joins == run_id for other in walk.design.runs):
            pieces = guessed_drop(walk.design, run)
            if pieces:
                walk = replace(_put(walk, replace(run, pieces=pieces)), guessed=(*walk.guessed, name))
    if not walk.guessed:
        return walk
    note = f"{GUESSED}: {listed(walk.guessed, MOST_GUESSES)}."
    return replace(walk, design=replace(walk.design, notes=f"{walk.design.notes}\n{note}" if walk.design.notes else note))
