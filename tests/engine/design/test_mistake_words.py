"""Mistakes in the words of the session. The designs are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine import edits
from engine.design import Design
from engine.design.mistake_words import in_words
from engine.design.places import COLLECTOR, CONVEYING, CurvePointAt, GateSetAt, PieceAt, PortAt, RunAt, SizeAt, ThrottleAt
from engine.design.rules.consistency import mistakes
from engine.units import parse
from tests.shops import two_drops


@pytest.fixture(scope="module")
def design() -> Design:
    return two_drops.design(two_drops.FULL)


def told(design: Design) -> str:
    return in_words(design, mistakes(design)[0])


def test_a_point_of_the_curve_is_counted_as_the_form_counts_it(design):
    wrong = edits.set_field(design, CurvePointAt(1), "flow", parse("0 m3/h", "flow"))
    assert "curve[1]" in str(mistakes(wrong)[0])
    assert told(wrong) == 'curve point 2, flow: "0 m3/h" after "0 m3/h"; wanted: flows that rise'


@pytest.mark.parametrize(
    ("place", "values", "words"),
    [
        (RunAt(1), {"size": "spiral/999"}, 'planer drop, size: "spiral/999", which is not known; wanted: a stock size'),
        (RunAt(1), {"size": None}, "planer drop: neither size nor bore; wanted: either size, or bore with material"),
        (COLLECTOR, {"curve": (), "free_air": parse("9 m3/h", "flow")}, "collector, free air: free air without max suction; wanted: max suction too"),
        (CONVEYING, {"slow_main": parse("99 m/s", "speed")}, 'conveying, slow main: "99 m/s"; wanted: at most fast'),
        (PortAt(0, 0), {"loss": 1.0, "suction": parse("9 Pa", "pressure")}, "planer/hood: both loss and suction"),
        (ThrottleAt(1, 0), {"gate": "no such gate"}, 'throttle of no such gate, gate: "no such gate", which is not known'),
        (GateSetAt(0), {"open": ("saw",)}, 'gate set planer alone, open: "saw", which is not known'),
        (SizeAt(0, 1), {"nominal": "100"}, 'spiral/100, nominal: "100", which an earlier size has already'),
        (PieceAt(1, 2), {"size": "spiral/125"}, 'hose of planer drop, size: "spiral/125", which is rigid pipe'),
    ],
)  # fmt: skip
def test_a_mistake_names_the_thing_and_its_field(design, place, values, words):
    wrong = edits.set_fields(design, place, values)
    assert words in told(wrong)
    assert "_" not in told(wrong).replace('"', "") and "[" not in told(wrong)


def test_the_design_itself_and_unknown_paths_have_words_too(design):
    wrong = replace(design, runs=tuple(replace(design.runs[0], id=f"r{i}") for i in range(600)))
    assert all(in_words(wrong, mistake).isprintable() for mistake in mistakes(wrong))
