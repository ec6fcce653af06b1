"""How much duct mains along many lines take, over arrays: what `routes.ways_along` lays for each, measured without laying it.

Arrays have a row for every main; their columns are the stops in the order in
which it comes past them. Lengths in m.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import NamedTuple

import numpy as np

from engine.search.layouts.sizes.pipes import Stop
from engine.search.layouts.ways.routes import BACK, BESIDE_BODY, CORNER, HOSE_RISE, NEAR_FOOT, NEARLY, Line, reach_of
from engine.shapes.clearance import NEAR
from engine.shapes.many import Array, Bools, Positions

# What a metre out of a hose's reach counts in metres of duct, and how far back beside the main a way may lead for nothing: judgement.
_OUT_OF_REACH, _BESIDE = 100.0, 1.0

Main = tuple[Line, tuple[int, ...]]


def efforts_along(mains: Sequence[Main], stops: Sequence[Stop]) -> Array:
    """Metres of duct that each main and its ways take, (mains,): along a line, and those it turns into, to stops of these indices.

    What is out of a hose's reach, ways back beside the main and corners count
    extra; inf where no way leaves one of the lines.
    """
    chains = [_chain(line) for line, _ in mains]
    left = np.zeros((len(mains), len(stops)), bool)
    for row, (_, these) in enumerate(mains):
        left[row, list(these)] = True
    of_stops = _of_stops(stops)
    levels = []
    for depth in range(max(map(len, chains), default=0)):
        rows = np.array([row for row, chain in enumerate(chains) if len(chain) > depth])
        levels.append((rows, _seen([chains[row][depth] for row in rows], of_stops)))
    # Each stop hangs on the line where its way is shorter; of equals on the first.
    beyond = [np.full(left.shape, inf)]
    for rows, seen in reversed(levels):
        nearest = beyond[-1].copy()
        nearest[rows] = np.minimum(seen.in_file_order(seen.toward), nearest[rows])
        beyond.append(nearest)
    efforts = np.zeros(len(mains))
    for depth, (rows, seen) in enumerate(levels):
        here = left[rows] & (seen.in_file_order(seen.toward) <= beyond[len(levels) - depth - 1][rows])
        left[rows] &= ~here
        mine: Bools = np.take_along_axis(here, seen.order, axis=1)
        ahead = np.array([chains[row][depth].mark(chains[row][depth + 1].corner) if len(chains[row]) > depth + 1 else inf for row in rows])
        efforts[rows] += np.where(mine.any(axis=1), _effort(seen, mine, ahead), inf)
    return efforts


def _chain(line: Line | None) -> list[Line]:
    """A line and those it turns into, one after the other."""
    return [line, *_chain(line.onward)] if line else []


class _Stops(NamedTuple):
    """Stops side by side: where they are and where their hoses go, (stops, 3); their pipe, (stops,); what their machines take, (2, stops, 3)."""

    at: Array
    port: Array
    spur: Array
    leg: Array
    bend: Array
    bore: Array
    drop: Array
    reach: Array
    of_hose: Array
    body: Array


def _of_stops(stops: Sequence[Stop]) -> _Stops:
    nowhere = ((inf,) * 3,) * 2
    rows = [(stop.spur, stop.pipe.leg, stop.pipe.bend, stop.pipe.bore, stop.drop, stop.reach, reach_of(stop.pipe)) for stop in stops]
    at, ports, bodies = ([stop.at for stop in stops], [stop.port or stop.at for stop in stops], [stop.body or nowhere for stop in stops])
    return _Stops._make([np.array(at), np.array(ports), *np.array(rows).T, np.array(bodies).transpose(1, 0, 2)])


class _Seen(NamedTuple):
    """Stops as lines see them, (lines, stops), each in the order in which its main comes past.

    `mark` is how far along, `across` how far beside, `up` how high a way had
    best end: `moved` beside its machine where it would come down through that.
    `ports` are where hoses go, seen so, (lines, 3, stops); `end` is how high a way ends. The
    lines' own are (lines, 1).
    """

    order: Positions
    least: Array
    most: Array
    apart: Array
    height: Array
    mark: Array
    across: Array
    end: Array
    up: Array
    moved: Bools
    reach: Array
    spur: Array
    leg: Array
    bend: Array
    own_reach: Array
    ports: Array
    toward: Array

    @property
    def away(self) -> Array:
        """How far beside its line each lies, m."""
        return np.abs(self.across)

    def in_file_order(self, values: Array) -> Array:
        """Values of these columns by the index of their stops."""
        found = np.empty_like(values)
        np.put_along_axis(found, self.order, values, axis=1)
        return found

    def of(self, rows: Bools) -> _Seen:
        """Some of the lines."""
        return _Seen._make(value[rows] for value in self)


def _seen(lines: Sequence[Line], stops: _Stops) -> _Seen:
    along = np.array([line.along for line in lines])
    row = np.arange(len(lines))
    side, least, most, apart = np.array([(line.side, line.least, line.most, line.apart) for line in lines]).T[:, :, None]
    corner = np.array([line.corner for line in lines])
    height, here, begun = corner[:, 2:], corner[row, 1 - along][:, None], corner[row, along][:, None]
    order = np.argsort(side * stops.at[:, along].T, axis=1, kind="stable")

    def seen(points: Array) -> tuple[Array, Array, Array]:
        at = points[order]
        return side * (at[row, :, along] - begun), at[row, :, 1 - along], at[:, :, 2]

    mark, across, up = seen(stops.at)
    spur, leg, bend, bore, reach, of_hose = (values[order] for values in (stops.spur, stops.leg, stops.bend, stops.bore, stops.reach, stops.of_hose))
    toward_mark = mark - spur
    toward = np.abs(across - here) + BACK * (np.maximum(least - toward_mark, 0.0) + np.maximum(toward_mark - most, 0.0))
    # As `routes._beside` does.
    low, high = (side_of[order][row, :, 1 - along] + way * (BESIDE_BODY + bore / 2) for side_of, way in zip(stops.body, (-1, 1), strict=True))
    longest = NEARLY * of_hose
    by = np.where(here <= low, low, high) - across
    moved = ((here <= low) | (here >= high)) & (np.abs(by) <= longest)
    by = np.where(moved, by, 0.0)
    port_mark, port_across, port_up = seen(stops.port)
    across, own_reach = across + by - here, reach
    up = np.where(moved, up + np.minimum(HOSE_RISE, np.sqrt(np.maximum(longest**2 - by**2, 0.0))) - HOSE_RISE, up)
    reach = np.where(moved, np.maximum(reach, longest), reach)
    above, room = up + HOSE_RISE, bend + stops.drop[order]
    from_below = np.where(up - height <= of_hose, height, up - HOSE_RISE)
    end = np.where(height < up, from_below, np.where(height - above >= room, above, height))
    ports = np.stack([port_mark, port_across - here, port_up], axis=1)
    return _Seen(order, least, most, apart, height, mark, across, end, up, moved, reach, spur, leg, bend, own_reach, ports, toward)


def _effort(seen: _Seen, mine: Bools, ahead: Array) -> Array:
    """Of one line each with the ways that leave it, (lines,): to the corner so far `ahead`, (lines,), or to its end where that is inf."""
    last = mine.shape[1] - 1 - np.argmax(mine[:, ::-1], axis=1)
    before = mine.copy()
    before[np.arange(len(mine)), last] = False
    is_end, is_joined = np.isinf(ahead), np.any(before, axis=1, keepdims=True)[:, 0]
    ways, begun = _branches(seen, np.where(is_end[:, None], before, mine))
    end, fits = _end_way(seen, last, begun, is_joined)
    found: Array = np.where(is_end, ways + end, ways + np.abs(np.where(is_end, 0.0, ahead) - begun) + CORNER)
    if (branched := is_end & ~fits).any():
        found[branched] = _branches(seen.of(branched), mine[branched])[0]
    return found


def _branches(seen: _Seen, mine: Bools) -> tuple[Array, Array]:
    """The ways to some stops, with the main as far as the last of their joints; and where that is, both (lines,)."""
    away, legs = seen.away, seen.away >= seen.spur + seen.leg - NEAR
    count, place = mine.sum(axis=1, keepdims=True), np.cumsum(mine, axis=1) - 1
    wanted = seen.mark - np.where(legs, seen.spur, np.maximum(away, seen.spur))
    marks = np.maximum(_rising(wanted - place * seen.apart, mine), seen.least) + place * seen.apart
    marks = np.minimum(marks, seen.most - (count - 1 - place) * seen.apart)
    ahead = seen.mark - marks
    spur = np.maximum(np.where(legs, np.minimum(ahead, away - seen.leg), (ahead + away) / 2), seen.spur)
    over = ahead - spur  # how far beyond the end of its spur a stop lies
    turned = legs & (np.hypot(over, seen.up - seen.end) > seen.reach) & (np.abs(over) >= seen.leg)
    length = np.hypot(spur, spur) + np.where(legs, np.abs(away - spur), 0.0) + np.where(turned, np.abs(over), 0.0) + np.abs(seen.end - seen.height)
    ended = np.stack([marks + spur + np.where(turned, over, 0.0), np.where(seen.across >= 0, 1, -1) * np.where(legs, away, spur), seen.end], axis=1)
    gap = np.linalg.norm(ended - seen.ports, axis=1)
    ways = length + _OUT_OF_REACH * np.maximum(gap - seen.own_reach, 0.0) + BACK * np.maximum(-over - _BESIDE, 0.0)
    some = mine.any(axis=1)
    first, begun = (np.where(some, end, 0.0) for end in (np.where(mine, marks, inf).min(axis=1), np.where(mine, marks, -inf).max(axis=1)))
    return np.where(mine, ways, 0.0).sum(axis=1) + np.abs(first) + begun - first, begun


def _end_way(seen: _Seen, last: Positions, begun: Array, is_joined: Bools) -> tuple[Array, Bools]:
    """The end of each main, from its last joint on to the stop in a column; and whether there is room for it, both (lines,)."""
    row = np.arange(len(last))
    mark, across, end = seen.mark[row, last], seen.across[row, last], seen.end[row, last]
    leg, bend, own_reach = seen.leg[row, last], seen.bend[row, last], seen.own_reach[row, last]
    at = np.maximum(mark, np.where(is_joined, begun + seen.apart[:, 0], seen.least[:, 0]) + bend)
    led = np.where(np.abs(across) >= leg, across, 0.0)
    gap = np.linalg.norm(np.stack([at, led, end], axis=1) - seen.ports[row, :, last], axis=1)
    length = np.abs(at - begun) + np.abs(led) + np.abs(end - seen.height[:, 0])
    fits = (gap <= np.where(seen.moved[row, last], seen.reach[row, last], NEAR_FOOT) + NEAR) & (at <= seen.most[:, 0])
    return length + _OUT_OF_REACH * np.maximum(gap - own_reach, 0.0) + BACK * np.maximum(at - mark - _BESIDE, 0.0), fits


def _rising(values: Array, mine: Bools) -> Array:
    """Some values of each row brought to rise with the least sum of squared shifts: the largest, from any on, of the least means up to any beyond.

    This min-max formula of isotonic regression (Robertson, Wright and
    Dykstra, Order restricted statistical inference, 1988, 1.4) gives what
    `routes.space_out` comes to by pooling neighbours.
    """
    found = np.full(values.shape, -inf)
    own, counted = np.where(mine, values, 0.0), mine.astype(float)
    for first in range(values.shape[1]):
        sums, counts = np.cumsum(own[:, first:], axis=1), np.cumsum(counted[:, first:], axis=1)
        means = np.where(counts > 0, sums / np.maximum(counts, 1.0), inf)
        least = np.minimum.accumulate(means[:, ::-1], axis=1)[:, ::-1]
        found[:, first:] = np.where(mine[:, first : first + 1], np.maximum(found[:, first:], least), found[:, first:])
    return found
