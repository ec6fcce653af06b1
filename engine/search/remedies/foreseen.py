"""Which trials nobody would offer, told before they are assessed whole: most end here.

First by their air alone: what it makes worse by the limits of the findings,
all that is found beside it makes worse. Then by what is found of the ducts,
beside the least that will be found of the air: where that stands no better,
all that is found does not. What cannot be told so is assessed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from engine.air.many.losses import Array
from engine.air.many.shape import Bools
from engine.checks import Finding, Severity
from engine.checks.assess import Assessment, assessed, found_of_ducts
from engine.checks.conditions import mains
from engine.checks.look import Look, look_at
from engine.checks.rules import limit
from engine.design.from_catalog import speed_limits
from engine.design.places import Place
from engine.search.proposals import Standing
from engine.search.ranking import rank_of
from engine.search.remedies.airs import Airs, Made, airs_of, is_alike
from engine.search.remedies.effect import FIT, NO_LOSS, TOLD, count, cut_to_measure, grave, slowest_settling

# A share of a limit: what is nearer to it is left to the findings. Flows solved together and alone differ by less.
_SURE = 1e-6


class _Found(NamedTuple):
    """What the limits surely find in some air, of the shape of its arrays: of runs that chips settle in them or that they are fast, of ports
    that they lack a fault's worth of their need, or less than that, or that they are blown back."""  # fmt: skip

    settles: Bools
    fast: Bools
    starved: Bools
    short: Bools
    blown: Bools


class Foresight:
    """Trials on the design of the assessment `before`, whose standing `was` is."""

    def __init__(self, before: Assessment, was: Standing) -> None:
        self.before, self.was = before, was
        # Where chips settle and what is fast hangs on the load alone; where a run is slow, on what it leads to and whether it climbs.
        self._load = speed_limits(before.design.conveying)
        self._names = [result.gate_set.name for result in before.sets]
        self._runs, self._ports = [duct.run for duct in before.tree.runs], list(before.tree.leaf_of)
        self._faults, self._spread, self._settling = _faults(before.findings), before.spread("fault"), slowest_settling(before)
        bad, main = set(grave(before)), mains(before.design.runs)
        fast = {(found.where, found.gate_set) for found in before.findings if found.code == "fast-run"}
        self._bad = _Found(
            settles=self._table(self._runs, lambda run, name: (("slow-run", main[run]), name) in bad),
            fast=self._table(self._runs, lambda run, name: (run, name) in fast),
            starved=self._table(self._ports, lambda port, name: (("starved-machine", port), name) in bad),
            short=self._table(self._ports, lambda _port, _name: True),  # no fault: never worse by itself
            blown=self._table(self._ports, lambda port, name: (("blow-back", port), name) in bad),
        )

    def _table(self, rows: Iterable[str], holds: Callable[[str, str], bool]) -> Bools:
        return np.array([[holds(row, name) for name in self._names] for row in rows], bool).reshape(-1, len(self._names))

    def assessed(self, trials: Sequence[Made]) -> Iterator[Assessment | None]:
        """Each trial in turn, assessed; None where it neither helps nor half helps, whatever else is found."""
        alike = [at for at, made in enumerate(trials) if is_alike(made, self.before)]
        airs = airs_of([trials[at] for at in alike], self.before)
        out, row_of = self._out(airs), {at: row for row, at in enumerate(alike) if airs.balanced[:, row].all()}
        for at, made in enumerate(trials):
            row = row_of.get(at)
            if row is not None and out[row]:
                yield None
                continue
            look = look_at(made.design, made.tree)
            of_ducts = found_of_ducts(look)
            if row is not None and not self._may_help((*self._of_air(look, airs.of(row)), *of_ducts), look, airs.of(row)):
                yield None
            else:
                yield assessed(look, of_ducts, self.before)

    def _found(self, airs: Airs) -> _Found:
        slow, fast, share = (1.0 + _SURE) * airs.slowest, (1.0 - _SURE) * airs.fastest, (1.0 + _SURE) * airs.share
        starved = ~airs.blown & (share < limit(self.before.design, "starved-machine", "tolerance"))
        settles = slow < self._load.settles.least
        return _Found(settles, fast > self._load.fast.most, starved, ~airs.blown & ~starved & (share < 1.0), airs.blown)

    def _out(self, airs: Airs) -> Bools:
        """Of each trial, whether its air makes something worse that matters and leaves no fewer faults."""
        found = self._found(airs)
        faults = sum(rows.sum(axis=(0, 2)) for rows in (found.settles, found.starved, found.blown))
        worse = [(now & ~was[:, None]).any(axis=(0, 2)) for now, was in zip(found, self._bad, strict=True)]
        slowest = np.where(found.settles, airs.slowest, np.inf).min(axis=0, initial=np.inf) / self._load.settles.value
        was = np.array([self._settling.get(name, 0.0) for name in self._names])
        worse.append(((1.0 + _SURE) * slowest < (1.0 - TOLD) * was).any(axis=1))
        if self.was.share is not None:
            worse.append(_least(airs, axis=(0, 2)) < min(self.was.share, 1.0) - NO_LOSS)
        if not self.before.design.accepted:
            worse.append(faults > self._spread)
        out: Bools = (faults >= self._faults) & np.any(worse, axis=0)
        return out

    def _may_help(self, found: tuple[Finding, ...], look: Look, air: Airs) -> bool:
        """Whether a trial of which at least so much is found stands better, or leaves fewer faults."""
        rank = rank_of(Assessment(look.design, look, (), (), cut_to_measure(found, self.before)), float(_least(air)), 0.0)
        return rank.gains < self.was.rank.gains or _faults(found) < self._faults

    def _of_air(self, look: Look, air: Airs) -> Iterator[Finding]:
        """What is surely found of runs and ports, without words."""
        found = self._found(air)
        slow = (1.0 + _SURE) * air.slowest < np.array([[look.limits[run].slow.least] for run in self._runs])
        runs, ports = (self._runs, look.runs_at), (self._ports, look.ports_at)
        told: tuple[tuple[str, Severity, Bools, tuple[Sequence[str], Mapping[str, Place]]], ...] = (
            ("slow-run", "fault", found.settles, runs),
            ("slow-run", "caution", slow & ~found.settles, runs),
            ("fast-run", "caution", found.fast, runs),
            ("starved-machine", "fault", found.starved, ports),
            ("starved-machine", "caution", found.short, ports),
            ("blow-back", "fault", found.blown, ports),
        )
        for code, severity, rows, (names, places) in told:
            for row, which in np.argwhere(rows).tolist():
                yield Finding(code, severity, places[names[row]], names[row], "", "", "", self._names[which])


def _faults(findings: Iterable[Finding]) -> int:
    return count([found for found in findings if found.code not in FIT], "fault")


def _least(airs: Airs, axis: tuple[int, ...] | None = None) -> Array:
    """The least share of a need, at the most; infinite where no machine works."""
    least: Array = np.fmin.reduce((1.0 + _SURE) * airs.share, axis=axis, initial=np.inf)
    return least
