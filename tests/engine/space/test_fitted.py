"""The room of fittings along runs: published lengths, and runs counted by hand. Shops are invented."""

from __future__ import annotations

from dataclasses import replace
from math import radians, sqrt, tan

import pytest

from engine.catalog.fitting_bodies import bodies, taper_body, wye_body, y_body
from engine.catalog.joining import joining
from engine.design import Design, FittingLength
from engine.space.fitted import TAPER, Fitted, fitted_runs
from engine.units import parse
from tests.shops.parts_shop import FLAT, TEXT, canoe_loft

SPIRAL = bodies("galvanised spiral")
DEEP = TEXT.replace(FLAT, "")


def fitted(text: str = DEEP) -> dict[str, Fitted]:
    return dict(fitted_runs(canoe_loft(text)))


def with_lengths(design: Design, **metres: float) -> Design:
    lengths = tuple(FittingLength(of=of, length=parse(f"{value} m", "length")) for of, value in metres.items())
    return replace(design, stock=tuple(replace(stock, fitting_lengths=lengths) for stock in design.stock))


@pytest.mark.parametrize(
    ("main", "branch", "angle", "z1", "z2", "z3"),
    [(110, 110, 45, 25, 134, 134), (125, 125, 45, 28, 152, 152), (160, 160, 45, 36, 194, 194), (160, 110, 45, 2, 168, 159)],
)  # fmt: skip
def test_branches_are_as_long_as_those_of_sewer_pipe(main, branch, angle, z1, z2, z3):
    """z-lengths of 45 deg branches for EN 1401-1 pipe, as makers print them, in mm by outside diameters: from memory; within 4 mm."""
    body = wye_body(main, branch, radians(angle), 0.0)
    assert (body.inner, body.side, body.outer) == (pytest.approx(z1, abs=4), pytest.approx(z2, abs=4), pytest.approx(z3, abs=4))


def test_a_square_tee_reaches_to_the_walls_of_its_branch():
    body = wye_body(0.2, 0.1, radians(90), 0.02)
    assert (body.inner, body.outer, body.side) == (pytest.approx(0.07), pytest.approx(0.07), pytest.approx(0.12))


def test_a_taper_of_one_in_eight_is_eight_times_as_long_as_diameters_differ():
    """One of diameter to eight of length: UFGS 15940A."""
    assert taper_body(0.2, 0.1, 2 * radians(3.5763)) == pytest.approx(8 * 0.1, rel=1e-4)
    assert taper_body(0.2, 0.1, radians(180)) < 1e-9


def test_legs_of_a_y_part_where_their_walls_do():
    assert y_body(0.2, 0.15, radians(30), 0.0).side == pytest.approx(0.075 / tan(radians(30)))


def test_every_material_of_pipe_has_a_row():
    for material in ("galvanised spiral", "galvanised, longitudinal seam", "steel", "aluminium", "PVC", "flexible hose"):
        assert joining(material) and bodies(material).length("gate", 0.1) > 0


def test_a_run_counted_by_hand():
    """A main of 160 mm: elbow without tangents, then the inner end of a wye for 100 mm at 45 deg, whose walls meet at its point: the neck."""
    main, drop = fitted()["main"].pipes, fitted()["saw drop"]
    assert main[0].seen == pytest.approx(4.0)
    assert main[2].outer == pytest.approx(0.02) and main[2].seen == pytest.approx(2.0 - 0.02)
    # The branch: side of the wye, a sleeve of 80 mm, the gate of 60 mm; then pipe up to the bend, and up to the hose.
    side = (0.16 * sqrt(2) + 0.1) / 2 + 0.02
    assert drop.pipes[1].inner == pytest.approx(side + 0.08 + 0.06) and drop.pipes[1].outer == 0.0
    assert drop.shifts[0] == pytest.approx(side + 0.08 + 0.03)
    assert drop.pipes[3].seen == pytest.approx(1.0) and not drop.wanting


def test_a_taper_stands_behind_the_wye_and_a_lid_between_two_pipes_takes_of_both():
    drop = fitted()["lathe drop"]
    outer = (0.1 * sqrt(2) + 0.16) / 2 + 0.02
    taper = taper_body(0.16, 0.1, radians(15))
    lid = 1.2 * 0.1
    assert drop.pipes[0].inner == pytest.approx(outer + 0.08 + taper) and drop.pipes[0].outer == pytest.approx(lid / 2)
    assert drop.shifts[TAPER] == pytest.approx(outer + 0.08 + taper / 2)


def test_a_stock_says_its_own_lengths():
    design = with_lengths(canoe_loft(), wye=0.4, gate=0.1, coupling=0.0, taper=0.0)
    found = fitted_runs(design)
    assert found["main"].pipes[2].outer + found["lathe drop"].pipes[0].inner == pytest.approx(0.4)
    usual = wye_body(0.16, 0.1, radians(45), 0.02)
    side = usual.side * 0.4 / (usual.inner + usual.outer)
    assert found["saw drop"].pipes[1].inner == pytest.approx(side + 0.1)


def test_fittings_without_a_straight_between_them_want_their_room():
    bare = fitted(DEEP.replace('{ gate = "saw gate" }, { straight = "800 mm" }, ', ""))["saw drop"]
    assert bare.wanting == {0: pytest.approx((0.16 * sqrt(2) + 0.1) / 2 + 0.02 + 0.08)}
    with_hose = fitted(DEEP.replace('{ elbow = "45 deg", toward = "down" }, { straight = "1 m" },', ""))["saw drop"]
    assert not with_hose.wanting


def test_bodies_without_length_leave_every_straight_as_it_is_given():
    assert all(pipe.seen == pytest.approx(pipe.given) for run in fitted(TEXT).values() for pipe in run.pipes.values())
