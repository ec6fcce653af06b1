"""Cleanouts along a main: at least every so many metres, at low points, at its end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

from engine.design import Cleanout, Elbow, Piece, Straight
from engine.search.quantities import STEP, round_length

# A cleanout goes beside a fitting rather than into a pipe where it is at least this far from the last, m: judgement.
_WORTH_ONE = 1.5
LID = Cleanout(name="lid")


def with_lids(
    made: Sequence[Straight | Elbow], since: float, bend: float, units: str, *, every: float, falls: bool = False
) -> tuple[tuple[Piece, ...], float]:  # fmt: skip
    """Pieces of a main with cleanouts at least `every` so many m, the last of which lies `since` m back, and how far back it lies at their end.

    One goes at either end of a low point, where the way comes down and where
    it goes up again; `falls` where it begins by going down. `bend` is the
    radius of its elbows, m.
    """
    found, fell = list[Piece](), False
    for piece in made:
        if isinstance(piece, Elbow):
            length = piece.angle.si * bend
            if since + length > every or (fell and piece.toward == "up" and since > 0.0):
                found.append(LID)
                since = 0.0
            found.append(piece)
            since += length
            if falls:
                found.append(LID)
                since, fell = 0.0, True
            falls = piece.toward == "down"
            continue
        if since + piece.length.si > every and since >= _WORTH_ONE:
            found.append(LID)
            since = 0.0
        *parts, last = _parts(piece.length.si, every - since, every, units)
        for part in parts:
            found += [part, LID]
        found.append(last)
        since = last.length.si + (0.0 if parts else since)
    return tuple(found), since


def _parts(length: float, first: float, every: float, units: str) -> Iterator[Straight]:
    """A straight in parts to put lids between: the first at most `first` m long, the others alike and at most `every`."""
    if length <= first:
        yield Straight(length=round_length(length, units))
        return
    step = STEP[units]
    begun = min(first, length / 2) // step * step
    if begun:
        yield Straight(length=round_length(begun, units))
        length -= begun
    count = ceil(length / every)
    each = round_length(length / count, units)
    yield from (Straight(length=each) for _ in range(count - 1))
    yield Straight(length=round_length(length - (count - 1) * each.si, units))
