"""Findings about what was given and cannot be, each at its limit. Designs are invented."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians

import pytest

from engine.air.one.balance import velocity_pressure
from engine.air.properties import air_of
from engine.checks.assess import assess
from engine.design import Corner, Elbow, Machine, Port, Site
from engine.design.places import COLLECTOR
from engine.edits import set_field
from tests.shops.small_shops import collector, machine, q, run, shop, si


def told(design, code):
    """(severity, where, piece) of a design's findings of one code."""
    return [(f.severity, f.where, f.piece) for f in assess(design).findings if f.code == code]


def plain(**rest):
    return shop(run("main", "collector", 160, 4.0, ends="saw/hood"), machines=[machine("saw", 160)], **rest)


# ---- curves


def vp_at_end(share, bore=0.16, flow=0.5, density=1.2):
    """A share of the velocity pressure in a bore: density / 2 (q / A)^2, Bernoulli."""
    return share * density / 2 * (flow / (pi * bore**2 / 4)) ** 2


@pytest.mark.parametrize(("share", "found"), [(0.0, True), (0.985, True), (0.995, False), (1.0, False)])
@pytest.mark.parametrize("given", [{}, {"test_duct": si(0.2)}, {"density": si(1.1)}])
def test_an_inlet_suction_below_the_velocity_pressure(share, found, given):
    bore, density = (given.get(key, si(usual)).si for key, usual in (("test_duct", 0.16), ("density", 1.2)))
    curve = ((0.0, 2400.0), (0.25, 2000.0), (0.5, vp_at_end(share, bore, density=density)))
    own = collector(curve, basis="inlet suction", **given)
    assert told(plain(collector=own), "impossible-curve") == ([("caution", "collector", None)] if found else [])


def test_static_pressure_of_a_fan_may_end_at_nothing_and_its_total_pressure_may_not():
    ends_at_nothing = ((0.0, 2400.0), (0.5, 0.0))
    assert told(plain(collector=collector(ends_at_nothing)), "impossible-curve") == []
    total = collector(ends_at_nothing, basis="fan total", outlet=si(0.16))
    assert told(plain(collector=total), "impossible-curve") == [("caution", "collector", None)]


# ---- measured suctions


def measured(suction, site):
    """The audit's port: 244 Pa of velocity pressure at 1343 m3/h or so in 160 mm."""
    port = Port(id="hood", bore=si(0.15), needs=si(0.356), suction=si(suction))
    return shop(run("main", "collector", 160, 4.0, ends="saw/hood"), machines=[Machine(id="saw", ports=(port,))], site=site)


@pytest.mark.parametrize(("share", "found"), [(0.41, True), (0.985, True), (0.995, False), (2.5, False)])
@pytest.mark.parametrize("site", [Site(), Site(altitude=q("3000 m"))])
def test_a_suction_below_one_velocity_pressure_cannot_be_measured(share, found, site):
    """Hood suction SPh = (1 + C) VP, and C is 0 at least: ventilation practice."""
    least = velocity_pressure(0.356, 0.15, air_of(site).density)
    assert told(measured(share * least, site), "impossible-suction") == ([("fault", "saw/hood", None)] if found else [])


# ---- ways

ROOM = tuple(Corner(east=q(f"{east} m"), north=q(f"{north} m")) for east, north in ((0, 0), (9, 0), (9, 9), (0, 9)))


def bent(toward, faces="north", angle=90.0):
    own = replace(collector(), east=q("4 m"), north=q("1 m"), up=q("2 m"), faces=faces)
    elbow = Elbow(angle=si(radians(angle)), toward=toward)
    main = run("main", "collector", 160, 2.0, elbow, 8.0, ends="saw/hood")
    return shop(main, machines=[machine("saw", 160)], collector=own, site=Site(room=ROOM))


@pytest.mark.parametrize(
    ("toward", "found"), [("north", True), ("south", True), ("east", False), ("up", False)],
)  # fmt: skip
@pytest.mark.parametrize("angle", [90.0, 180.0])
def test_an_elbow_cannot_turn_along_the_way_it_comes(toward, found, angle):
    assert told(bent(toward, angle=angle), "lost-way") == ([("fault", "main", 1)] if found else [])


@pytest.mark.parametrize(("toward", "words"), [("north", ", along the way it comes"), ("south", ", back along the way it comes")])
def test_an_elbow_is_told_whether_it_turns_on_or_back(toward, words):
    """The collector faces north: so does the way out to the elbow."""
    [lost] = [found for found in assess(bent(toward)).findings if found.code == "lost-way"]
    assert words in lost.message


def test_a_way_that_is_lost_hides_no_fault_unsaid():
    """The run leaves the room: turned where no elbow leads, it is not seen to, and that is a fault of its own."""
    through = bent("east")
    assert told(through, "through-wall") and not told(bent("north"), "through-wall")
    assert told(bent("north"), "lost-way")
    assert told(set_field(through, COLLECTOR, "faces", "east"), "lost-way") == [("fault", "main", 1)]


def test_a_branch_cannot_leave_along_its_main():
    def made(toward):
        runs = run("main", "collector", 160, 2.0), run("on", "main", 160, 1.0), run("off", "main", 100, 1.0, as_="branch", toward=toward)
        return shop(*runs, collector=replace(collector(), faces="north"))

    assert told(made("south"), "lost-way") == [("fault", "off", None)]
    assert told(made("east"), "lost-way") == told(made(None), "lost-way") == []
