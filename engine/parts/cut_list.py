"""The cut list of a design: every straight in the length it is cut to, and the sticks these are cut from.

A straight of a chain is the pipe that is seen between two fittings. Cut, it
is longer by what slips into what it meets; where fittings leave nothing of
it, there is nothing to cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import floor, inf
from string import ascii_lowercase

from engine.catalog.joining import practice
from engine.design import STATES, Design, stock_sizes, system
from engine.parts.chain import Chain, chains
from engine.parts.cutting import SECONDS, Cut, CutStick, Cutting, Stick, cutting
from engine.parts.slipped import cut_length
from engine.parts.tape import STEP, on_tape, tape_text
from engine.space.fitted import fitted_runs
from engine.values import dataclass

_MEASURE = (
    "what bodies of fittings take of the way is the catalog's judgement: before the first cut measure one of each, "
    "and give them as fitting_lengths of the stock"
)


@dataclass(frozen=True, slots=True)
class CutList:
    """The cutting of every size; `doubts` are what to look at before sawing.

    A size is "stock id/nominal", else bore and material. `splits` counts the
    joints by size that come of sticks too short.
    """

    cuttings: Mapping[str, Cutting]
    splits: Mapping[str, int]
    doubts: tuple[str, ...]


def size_name(chain: Chain) -> str:
    """What a chain's pipe is called: its stock size, else its bore and material."""
    return chain.size or f"{chain.bore * 1000:g} mm {chain.material}"


def cut_list(design: Design, *, sticks: Sequence[Stick] = (), kerf: float, before: str | None = None, seconds: float = SECONDS) -> CutList:
    """The cut list of a consistent design; `sticks` stand for those of its stocks, `kerf` is in m, `seconds` are for each size.

    With `before`, one of STATES, of those straights alone on which the work
    has not come so far.

    Pipe whose stock names no length of a stick is cut to length where it is
    bought. A straight longer than every stick that is sold is joined from
    several.
    """
    units, own_chains = system(design), chains(design).values()
    sold = _sold(design, sticks)
    stubs = {size_name(chain) for chain in own_chains if _too_short(sold.get(size_name(chain), ()), chain)}
    sold = {size: each for size, each in sold.items() if size not in stubs}
    far = STATES.index(before) if before else len(STATES)
    cuts, splits = dict[str, list[Cut]](), dict[str, int]()
    short, joined, crowded = list[str](), list[str](), list[str]()
    for chain in own_chains:
        size = size_name(chain)
        for index, part in enumerate(chain.parts):
            if part.kind != "straight" or part.work >= far:
                continue
            name = f"{part.run} / {part.number}"
            if not part.length:
                crowded.append(name)
                continue
            length = on_tape(cut_length(chain, index), units)
            longest = max((stick.length for stick in sold.get(size, ()) if not stick.in_hand), default=inf)
            pieces = _pieces(length, longest, chain, units)
            cuts.setdefault(size, []).extend(_named(name, pieces))
            if len(pieces) > 1:
                joined.append(name)
                splits[size] = splits.get(size, 0) + len(pieces) - 1
            if length < chain.shortest:
                short.append(f"{name} ({tape_text(length, units)}, not {tape_text(chain.shortest, units)})")
    found = {size: cutting(own, sold[size], kerf, seconds) if size in sold else _to_length(own) for size, own in sorted(cuts.items())}
    measured = [_MEASURE] if cuts and _guessed(design) else []
    return CutList(found, splits, (*_doubts(short, joined, crowded, sorted(stubs)), *measured))


def _sold(design: Design, sticks: Sequence[Stick]) -> dict[str, Sequence[Stick]]:
    """The sticks that every size is sold in; sizes sold by any length are left out."""
    if sticks:
        return {size_name(chain): sticks for chain in chains(design).values()}
    return {name: [Stick(stock.stick.si)] for name, (stock, _) in stock_sizes(design).items() if stock.stick}


def _too_short(sticks: Sequence[Stick], chain: Chain) -> bool:
    """Whether a straight is longer than every new stick, and these so short that joining them makes nothing longer."""
    longest = max((stick.length for stick in sticks if not stick.in_hand), default=inf)
    joined = any(part.kind == "straight" and cut_length(chain, index) > longest for index, part in enumerate(chain.parts))
    return joined and longest - max(STEP.values()) <= _lap(chain) + chain.shortest


def _lap(chain: Chain) -> float:
    """How far one piece of pipe slips into the next, m."""
    return chain.rule.insertion if chain.rule.slips_in == "inner" else 0.0


def _pieces(length: float, longest: float, chain: Chain, units: str) -> list[float]:
    """A cut as pieces none of which is longer than a stick, m: whole sticks, and a last one that is no stub; the one before is shorter for it."""
    lap = _lap(chain)
    least = max(chain.shortest, min(practice().piece, longest / 2))
    longest = floor(longest / STEP[units] + 1e-6) * STEP[units] if longest < inf else inf
    pieces, left = list[float](), length
    while left > longest + STEP[units] / 2:
        piece = min(longest, on_tape(left + lap - least, units))
        pieces.append(piece)
        left = on_tape(left + lap - piece, units)
    return [*pieces, left]


def _named(name: str, pieces: Sequence[float]) -> Iterator[Cut]:
    """Cuts by the name of their straight, "main / 2"; several pieces of one have letters."""
    for number, length in enumerate(pieces):
        yield Cut(name if len(pieces) == 1 else f"{name} {ascii_lowercase[number % 26]}", length)


def _guessed(design: Design) -> bool:
    """Whether bodies of fittings are taken as long as the catalog has them."""
    sizes = stock_sizes(design)
    return any(
        pipe.inner + pipe.outer and not (run.size and sizes[run.size][0].fitting_lengths)
        for run in design.runs
        for pipe in fitted_runs(design)[run.id].pipes.values()
    )


def _doubts(short: Sequence[str], joined: Sequence[str], crowded: Sequence[str], stubs: Sequence[str]) -> Iterator[str]:
    if crowded:
        yield f"fittings at both ends leave no pipe of them, so nothing is cut: {', '.join(crowded)}"
    if stubs:
        yield f"the sticks are too short to join pipe from, so it is reckoned by its length: {', '.join(stubs)}"
    if short:
        yield f"too short to be cut and joined, so make them longer or leave them out: {', '.join(short)}"
    if joined:
        yield f"longer than a stick, so cut as pieces a, b ... with a joint between two of them: {', '.join(joined)}"


def _to_length(cuts: Sequence[Cut]) -> Cutting:
    """Every cut from a length of its own."""
    return Cutting(tuple(CutStick(Stick(cut.length), (cut,), 0.0) for cut in cuts), "sticks", float(len(cuts)), float(len(cuts)))
