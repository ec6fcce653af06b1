"""Shops measured as they would be: every stop of the test sheet read, with other figures than the design's a gauge a little off. Invented data."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from random import Random

from engine.design import AS_DESIGNED, READ, Design, Tuned, gate_sets_of
from engine.field.expected import foreseen
from engine.field.sheet import stops
from engine.field.taking import reading_at, with_point

DAY = date(2026, 3, 14)
_UNITS = {"pressure": "Pa", "flow": "m3/s", "speed": "m/s"}
_GIVE_OR_TAKE = 0.02


def measured(design: Design, truth: Tuned = AS_DESIGNED, *, noise: float = 0.0, seed: int = 1) -> Design:
    """The design with a baseline: what each stop of its test sheet shows with these factors, so far off, said to be within 2 %."""
    rng, readings = Random(seed), []
    for gate_set in gate_sets_of(design):
        for stop in stops(design, gate_set):
            design = with_point(design, stop)
            readings.append(reading_at(design, gate_set, stop, "1", DAY))
    (values,) = foreseen([replace(design, tuned=truth)], readings)
    taken = []
    for reading, value in zip(readings, values, strict=True):
        if value is not None:
            unit = _UNITS[READ[reading.what]]
            shown, spread = f"{value * (1 + rng.gauss(0.0, noise)):.7g} {unit}", f"{_GIVE_OR_TAKE * value:.3g} {unit}"
            taken.append(replace(reading, baseline=True, value=shown, give_or_take=spread))
    return replace(design, readings=tuple(taken))
