"""The design tuned to its baseline: the few unknowns of a shop put where its readings have them.

Method: least squares with priors. Of all factors those are taken at which
what readings miss, in their own spreads, and what factors move, in the
spreads of `engine.field.unknowns`, add up to the least sum of squares (the
likeliest ones, were all of these normal: A. Tarantola, Inverse Problem Theory,
SIAM 2005, chapter 3, from memory). How sure each then is comes from the slopes at the
answer. So a factor that no reading tells of stays where it is believed to be.
A port has a factor of its own where readings tell of it alone, else it goes
with all ports.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from engine.air.many.losses import Array
from engine.air.one.network import compile_tree, ports_for
from engine.design import AS_DESIGNED, Design, Reading, Tuned
from engine.design.rules.record import reading_value
from engine.field.built import as_built, mark_of_ducts
from engine.field.expected import Foreseen, expected, foreseen
from engine.field.spots import Unforeseen, gate_set_of
from engine.field.tuned import baseline, mark_of_baseline
from engine.field.unknowns import NINE_IN_TEN, Unknown, is_port, tuned_by, unknowns
from engine.field.verdicts import impossible, is_stale, own_doubt
from engine.values import dataclass

# What elbows and joints, which are not tuned, leave open of any reading: judgement, about a tenth of the loss of a duct by 30 %.
_MODEL = 0.03
_STEP = 0.05  # spreads, of slopes
# Readings tell of a factor where they take as much of its spread: judgement.
_TOLD = 0.2
# Spreads: within the first a factor is believable, within the second hard to believe. So far off, a reading does not fit.
_BELIEVABLE, _HARD = 2.0, 3.0
_FAR_OFF = 3.0
# What stands for a reading where factors have no answer, in spreads: they are not gone to.
_NO_ANSWER = 1e3
_NEAR, _MOST_STEPS = 1e-3, 30  # of least squares: a thousandth of a spread is nearer than anybody reads
_DIGITS = 3

NOT_TOLD, BELIEVABLE, HARD, NOT_BELIEVABLE = "not told by the readings", "believable", "hard to believe", "not believable"


class Untunable(ValueError):  # noqa: N818  # nothing has gone wrong: readings are wanted
    """There is nothing to tune to; str() is one line that says what is wanted."""


@dataclass(frozen=True, slots=True)
class Moved:
    """One unknown: its factor, between which it lies nine times in ten, and by how many spreads it moved from where it was believed to be.

    That of a port is what all ports have times its own; it moved from what all have.
    """

    of: str
    factor: float
    low: float
    high: float
    moved: float
    verdict: str


@dataclass(frozen=True, slots=True)
class Fit:
    """A design tuned and switched on, what moved, and how well the readings fit.

    `before` and `after` are how far readings were and are off, root mean square, in spreads of
    their own. `left_out` are readings of the baseline that could not serve, each with the reason; `far_off` are those that do not fit.
    """

    design: Design
    moved: tuple[Moved, ...]
    readings: tuple[Reading, ...]
    before: float
    after: float
    left_out: tuple[tuple[Reading, str], ...]
    far_off: tuple[Reading, ...]


def fit(design: Design) -> Fit:
    """A consistent design tuned to its baseline. Raises Untunable where it has none that can serve."""
    bare = replace(design, tuned=AS_DESIGNED)
    chosen, left_out = _serving(bare)
    if not chosen:
        raise Untunable(_nothing(left_out))
    readings = _Readings(bare, chosen)
    every = unknowns(as_built(bare), _open_ports(bare, chosen))
    whole = found = _solved(readings, every, [_STEP if one.from_nothing else 0.0 for one in every])
    # A port of which the readings do not tell alone goes with all of them.
    kept = {one: x for one, x, told in zip(every, found.x, found.told, strict=True) if told or not is_port(one.of)}
    if len(kept) < len(every):
        found = _solved(readings, tuple(kept), list(kept.values()))
    tuned = _written(bare, found, chosen)
    off = readings.off([tuned])[0]
    untold = [one for one in whole.moved if one.verdict == NOT_TOLD and is_port(one.of)]
    return Fit(
        replace(design, tuned=tuned), (*found.moved, *untold), chosen, _mean(readings.off([AS_DESIGNED])[0]), _mean(off), tuple(left_out),
        tuple(reading for reading, far in zip(chosen, off.tolist(), strict=True) if abs(far) > _FAR_OFF),
    )  # fmt: skip


# ---- readings


def _serving(design: Design) -> tuple[tuple[Reading, ...], list[tuple[Reading, str]]]:
    """The readings of the baseline that can serve, and those that cannot, each with the reason."""
    base = baseline(design.readings)
    chosen, left_out = list[Reading](), list[tuple[Reading, str]]()
    for reading, found in zip(base, expected(design, base), strict=True):
        if why := _why_not(design, reading, found):
            left_out.append((reading, why))
        else:
            chosen.append(reading)
    return tuple(chosen), left_out


def _why_not(design: Design, reading: Reading, found: Foreseen) -> str | None:
    """Why a reading cannot serve."""
    if isinstance(found, Unforeseen):
        return str(found)
    return "the ducts or gates were others when it was taken" if is_stale(design, reading) else impossible(design, reading)


def _nothing(left_out: Sequence[tuple[Reading, str]]) -> str:
    if left_out:
        return f"no reading of the baseline can serve; the first: {left_out[0][1]}"
    return "no baseline to tune to: take readings, and make those of a day the baseline"


def _open_ports(design: Design, readings: Sequence[Reading]) -> frozenset[str]:
    """The ports that are open at any of the readings."""
    tree = compile_tree(as_built(design))
    return frozenset(port for each in {gate_set_of(design, reading) for reading in readings} for port in ports_for(tree, each.open))


class _Readings:
    """The readings of a design, and how far off any factors leave them."""

    def __init__(self, design: Design, readings: Sequence[Reading]) -> None:
        self._design, self._readings = design, readings
        self._values = np.array([reading_value(reading).si for reading in readings])
        own = [own_doubt(reading, float(value)) / NINE_IN_TEN for reading, value in zip(readings, self._values, strict=True)]
        self._spreads = np.hypot(own, _MODEL * self._values)

    def off(self, every: Sequence[Tuned]) -> Array:
        """How much more than they should each reading shows, in its own spread, with each of these factors: (factors, readings)."""
        found = foreseen([replace(self._design, tuned=tuned) for tuned in every], self._readings)
        rows = np.array([[np.nan if value is None else value for value in row] for row in found], float)
        off: Array = np.nan_to_num((self._values - rows) / self._spreads, nan=_NO_ANSWER)
        return off


def _mean(off: Array) -> float:
    """Root mean square."""
    return float(np.sqrt(np.mean(off * off)))


# ---- least squares


@dataclass(frozen=True, slots=True)
class _Found:
    """Unknowns, where each is, and how sure that is, both in its spread."""

    every: tuple[Unknown, ...]
    x: tuple[float, ...]
    spread: tuple[float, ...]

    @property
    def told(self) -> tuple[bool, ...]:
        """Of which the readings tell."""
        return tuple(spread <= 1.0 - _TOLD for spread in self.spread)

    @property
    def moved(self) -> Iterator[Moved]:
        """What to think of each."""
        all_ports = next((unknown.factor(x) for unknown, x in zip(self.every, self.x, strict=True) if unknown.of == "ports"), 1.0)
        for unknown, x, spread, told in zip(self.every, self.x, self.spread, self.told, strict=True):
            times = all_ports if is_port(unknown.of) else 1.0
            low, middle, high = (times * unknown.factor(max(x + way * NINE_IN_TEN * spread, unknown.least)) for way in (-1.0, 0.0, 1.0))
            yield Moved(unknown.of, middle, low, high, x, _verdict(abs(x)) if told else NOT_TOLD)


def _verdict(spreads: float) -> str:
    return BELIEVABLE if spreads <= _BELIEVABLE else HARD if spreads <= _HARD else NOT_BELIEVABLE


def _solved(readings: _Readings, every: tuple[Unknown, ...], begin: Sequence[float]) -> _Found:
    """The likeliest factors, sought from where the unknowns are at first."""
    from scipy.optimize import least_squares  # slow to load: not before it is wanted

    def missed(x: Array) -> Array:
        return np.concatenate((readings.off([tuned_by(every, x.tolist())])[0], x))

    def slopes(x: Array) -> Array:
        beside = [x, *(x + _STEP * row for row in np.eye(len(x)))]
        off = readings.off([tuned_by(every, each.tolist()) for each in beside])
        return np.vstack(((off[1:] - off[0]).T / _STEP, np.eye(len(x))))

    bounds = ([unknown.least for unknown in every], [unknown.most for unknown in every])
    answer = least_squares(missed, np.array(begin), jac=slopes, bounds=bounds, xtol=_NEAR, ftol=_NEAR, gtol=_NEAR, max_nfev=_MOST_STEPS)
    sure = np.sqrt(np.diag(np.linalg.inv(answer.jac.T @ answer.jac)))
    return _Found(every, tuple(answer.x.tolist()), tuple(sure.tolist()))


# ---- what is written


def _written(design: Design, found: _Found, chosen: Sequence[Reading]) -> Tuned:
    """The factors as the design file has them: rounded, those left out that are as the design says."""
    tuned = tuned_by(found.every, found.x)
    days = sorted(reading.date for reading in chosen if reading.date)
    as_it_is = {"leakage": 1.0 if design.leakage.tightness else 0.0}
    factors: dict[str, Any] = {one.of: _rounded(getattr(tuned, one.of)) for one in found.every if not is_port(one.of)}
    return replace(
        tuned, own_ports=tuple(replace(own, loss=_rounded(own.loss)) for own in tuned.own_ports), readings=len(chosen),
        since=days[0] if days else None, date=days[-1] if days else None, ducts=mark_of_ducts(design), baseline=mark_of_baseline(design.readings),
        **{name: None if factor == as_it_is.get(name, 1.0) else factor for name, factor in factors.items()},
    )  # fmt: skip


def _rounded(factor: float) -> float:
    return float(f"{factor:.{_DIGITS}f}")
