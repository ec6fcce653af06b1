"""The take-off: the boat shed counted by hand from its drawing, and every kind of part in a small shop. Designs are invented."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from math import pi, radians

import pytest

from engine import load
from engine.catalog.joining import practice
from engine.design import Design
from engine.files.design_file import loads
from engine.parts.takeoff import Item, TakeOff, against, take_off
from engine.report.parts import against_json, against_text, as_json, as_text
from tests import SAVED_DESIGNS
from tests.shops.parts_shop import TEXT, canoe_loft

FOOT, INCH = 0.3048, 0.0254
KERF = 0.003


def listed(design: Design) -> TakeOff:
    return take_off(design, kerf=KERF)


def flat(design: Design) -> Design:
    """The design with bodies that take no length."""
    none = loads(TEXT).stock[0].fitting_lengths
    return replace(design, stock=tuple(replace(stock, fitting_lengths=none) for stock in design.stock))


def counts(found: TakeOff, kind: str) -> Counter[tuple[float, ...]]:
    """How many of a kind there are, by their bores in mm."""
    told: Counter[tuple[float, ...]] = Counter()
    for item in found.items:
        if item.kind == kind:
            told[tuple(round(1000 * bore, 1) for bore in item.bores)] += item.count
    return told


def one(found: TakeOff, kind: str, size: str | None = None) -> Item:
    [item] = [item for item in found.items if item.kind == kind and item.size == size]
    return item


def inches(told: dict[tuple[int, ...], int]) -> Counter[tuple[float, ...]]:
    return Counter({tuple(round(25.4 * bore, 1) for bore in bores): count for bores, count in told.items()})


def test_the_boat_shed_by_hand():
    """Counted from its file, run by run, with a pencil."""
    found = listed(flat(load(SAVED_DESIGNS / "boat_shed.toml")))
    # Riser 2 + 2 ft; two mains 1ft 9in + 1ft 9in, 1ft 9in + 2ft 8in and the 4 ft of east main 2; planer drop 11 ft with the
    # mains of 4, 4, 4.5 and 4 ft; and so on.
    straights = {item.size: (item.count, round((item.length or 0) / INCH, 3)) for item in found.items if item.kind == "straight"}
    assert straights == {"duct/8": (2, 48), "duct/7": (5, 143), "duct/6": (7, 330), "duct/5": (28, 1239), "duct/4": (20, 885)}
    assert counts(found, "wye") == inches({(7, 7, 6): 1, (7, 7, 5): 2, (6, 6, 5): 1, (6, 6, 4): 3, (5, 5, 5): 3, (5, 5, 4): 3})
    assert counts(found, "Y") == inches({(8, 7, 7): 1}) and not counts(found, "tee")
    assert counts(found, "taper") == inches({(7, 6): 2, (6, 5): 2, (5, 4): 2})
    elbows = {(item.size, round((item.angle or 0) * 180 / pi)): item.count for item in found.items if item.kind == "elbow"}
    assert elbows == {
        ("duct/8", 90): 1, ("duct/7", 45): 2, ("duct/6", 45): 1, ("duct/6", 90): 1,
        ("duct/5", 45): 6, ("duct/5", 90): 8, ("duct/4", 45): 5, ("duct/4", 90): 7,
    }  # fmt: skip
    assert counts(found, "gate") == inches({(6,): 1, (5,): 7, (4,): 6})
    hoses = {item.size: (item.count, round((item.length or 0) / FOOT, 3)) for item in found.items if item.kind == "hose"}
    assert hoses == {"flex/6": (1, 3), "flex/5": (6, 16.5), "flex/4": (7, 17.5), "flex/3": (1, 5)}
    assert counts(found, "clamp") == inches({(6,): 2, (5,): 12, (4,): 14, (3,): 2})
    assert counts(found, "cleanout") == inches({(8,): 1, (6,): 2, (5,): 2})
    # The guard's hose of 3 in on a run of 4 in.
    assert counts(found, "adapter") == inches({(4, 3): 1})


def test_every_part_of_a_small_shop():
    found = listed(canoe_loft())
    kinds = Counter()
    for item in found.items:
        kinds[item.kind] += item.count
    assert {kind: kinds[kind] for kind in ("straight", "elbow", "gate", "hose", "cleanout", "clamp")} == {
        "straight": 6, "elbow": 2, "gate": 1, "hose": 1, "cleanout": 1, "clamp": 2,
    }  # fmt: skip
    assert counts(found, "wye") == {(160.0, 160.0, 100.0): 1} and counts(found, "taper") == {(160.0, 100.0): 1}
    # The lathe's port is narrower than its run; the straight of 4 m is longer than a stick.
    assert counts(found, "adapter") == {(100.0, 80.0): 1} and counts(found, "coupling") == {(160.0,): 1}
    # Collars of spiral fittings are both to go into pipe: gate on wye, elbow on nothing, taper on wye.
    assert counts(found, "sleeve") == {(100.0,): 2}


def test_joints_are_screwed_taped_and_bonded():
    found = listed(canoe_loft())
    # main: inlet, two at the elbow, one at the wye, two of the coupling; saw drop: wye-sleeve-gate-pipe-elbow-pipe are five;
    # lathe drop: wye-sleeve-taper-pipe-lid-pipe-adapter-port are seven.
    assert one(found, "screw").count == practice().screws * (4 + 2 + 5 + 7)
    assert one(found, "tape").length == pytest.approx((6 * 0.160 + 12 * 0.100) * pi * (1 + practice().tape_lap))
    assert one(found, "earthing wire").length == pytest.approx(1.5 + practice().bond_slack) and one(found, "lug").count == 2


def test_pipe_is_priced_by_the_stick_and_what_has_no_price_is_counted_apart():
    found = listed(canoe_loft())
    pipe = one(found, "straight", "spiral/160")
    # 3 m, and 1 m and 2 m, which no stick of 3 m holds beside the kerf.
    assert (pipe.sticks, pipe.bought, pipe.price) == (3, pytest.approx(9.0), 90.0)
    assert one(found, "wye", "spiral/160").price == 30.0 and one(found, "gate", "spiral/100").price is None
    assert found.total == pytest.approx(sum(item.price for item in found.items if item.price is not None))
    assert found.unpriced == sum(item.price is None for item in found.items) > 0


def test_a_gate_costs_what_its_size_says():
    design = canoe_loft()
    assert all(item.price is None for item in listed(design).items if item.kind == "gate")
    sizes = tuple(replace(size, gate_price=25.0) for size in design.stock[0].sizes)
    gates = [item for item in listed(replace(design, stock=(replace(design.stock[0], sizes=sizes), *design.stock[1:]))).items if item.kind == "gate"]
    assert gates and all(item.price == 25.0 * item.count for item in gates)


def test_families_that_do_not_mate_want_an_adapter_and_those_that_do_none():
    plastic = '[[stock]]\nid = "sewer"\nkind = "pipe"\nmaterial = "PVC"\nsize = [{ nominal = "110", bore = "103.6 mm", outside = "110 mm" }]\n'
    mixed = TEXT.replace('[[machine]]\nid = "saw"', plastic + '[[machine]]\nid = "saw"', 1)
    mixed = mixed.replace('toward = "south"\nsize = "spiral/100"', 'toward = "south"\nsize = "sewer/110"')
    found = listed(canoe_loft(mixed))
    # No spiral fitting has an outlet of 103.6 mm; hose of 100 mm is not drawn over 110 mm.
    assert counts(found, "adapter") == {(103.6, 103.6): 1, (103.6, 100.0): 1, (100.0, 80.0): 1}
    same = TEXT.replace("galvanised spiral", "PVC").replace('bore = "100 mm", price = 6.0', 'bore = "96 mm", outside = "104 mm", price = 6.0')
    assert (96.0, 100.0) not in counts(listed(canoe_loft(same)), "adapter")


def test_the_duct_that_leads_outside_is_bought_too_whatever_runs_are_called():
    outside = 'inlet = "160 mm"\noutlet = "200 mm"\ndischarge = "outside"\noutlet_pieces = [{ straight = "2.4 m" }, { elbow = "90 deg" }]'
    design = canoe_loft(TEXT.replace('inlet = "160 mm"', outside).replace('"lathe drop"', '"outlet"'))
    found = listed(design)
    [pipe] = [item for item in found.items if item.kind == "straight" and item.size is None]
    assert (pipe.count, pipe.length, pipe.bores, pipe.price) == (1, 2.4, (0.2,), None)
    assert counts(found, "straight")[100.0,] == 4 and counts(found, "elbow")[200.0,] == 1


def test_a_branch_end_without_a_way_straight_on_wants_a_cap():
    alone = TEXT[: TEXT.index('[[run]]\nid = "lathe drop"')].replace('[[machine]]\nid = "lathe"', '[[machine]]\nid = "lathe"')
    assert counts(listed(canoe_loft(alone)), "cap") == {(160.0,): 1}


@pytest.mark.parametrize(("angle", "kind", "told"), [(45, "wye", False), (52, "wye", True), (90, "tee", False)])
def test_a_branch_that_no_family_makes_is_told_with_the_nearest(angle, kind, told):
    found = listed(canoe_loft(TEXT.replace('angle = "45 deg"', f'angle = "{angle} deg"')))
    item = next(item for item in found.items if item.kind == kind)
    assert item.angle == pytest.approx(radians(angle))
    assert any("no wye of 52 deg" in doubt and "nearest has 45 deg" in doubt for doubt in found.doubts) == told


def test_an_elbow_that_no_family_makes_is_told_but_not_where_elbows_are_adjustable():
    text = TEXT.replace('elbow = "45 deg"', 'elbow = "37 deg"')
    assert any("no elbow of 37 deg" in doubt and "30 deg" in doubt for doubt in listed(canoe_loft(text)).doubts)
    sheet = text.replace("galvanised spiral", "galvanised, longitudinal seam")
    assert not any("no elbow" in doubt for doubt in listed(canoe_loft(sheet)).doubts)


def test_spares_are_of_small_parts_and_rounded_up():
    plain, spared = listed(canoe_loft()), take_off(canoe_loft(), spares=0.1, kerf=KERF)
    assert one(spared, "clamp", "hose/100").count == 3 and one(plain, "clamp", "hose/100").count == 2
    assert one(spared, "wye", "spiral/160").count == 1


def test_prices_of_a_foot_and_their_currency_are_said():
    by_foot = TEXT.replace('stick = "3 m"', 'stick = "3 m"\nprice_per = "ft"').replace('name = "canoe loft"', 'name = "canoe loft"\ncurrency = "EUR"')
    found = listed(canoe_loft(by_foot))
    pipe = one(found, "straight", "spiral/160")
    assert pipe.price == pytest.approx(10.0 * 9.0 / FOOT, abs=0.01)
    printed = as_text(canoe_loft(by_foot), found)
    assert "10.00/ft" in printed and "12.00/m" in printed and f"{found.total:.2f} EUR" in printed


def test_what_is_bought_is_left_out_of_what_is_to_buy():
    bought = canoe_loft(
        TEXT.replace('id = "main"\n', 'id = "main"\nstate = "bought"\n').replace('gate = "saw gate"', 'gate = "saw gate", state = "hung"')
    )
    left = take_off(bought, kerf=KERF, to_buy=True)
    assert not [item for item in left.items if item.size == "spiral/160"] and not counts(left, "gate")
    assert counts(left, "hose") == {(100.0,): 1} and left.total < listed(bought).total == listed(canoe_loft()).total
    assert "of that still to buy" in as_text(bought, listed(bought), left)


def test_two_designs_line_by_line():
    shorter = canoe_loft(TEXT.replace('{ straight = "1.5 m" }', '{ straight = "1.5 m" }, { elbow = "90 deg", toward = "down" }'))
    lines = against(listed(shorter).items, listed(canoe_loft()).items)
    more = Counter[str]()
    for item, ours, theirs in lines:
        more[item.kind] += (ours.count if ours else 0) - (theirs.count if theirs else 0)
    assert more["elbow"] == 1 and more["wye"] == 0 and more["screw"] > 0
    printed = against_text(shorter, listed(shorter), canoe_loft(), listed(canoe_loft()))
    assert max(map(len, printed.splitlines())) <= 80 and "+1" in printed
    told = json.loads(against_json(shorter, listed(shorter), canoe_loft(), listed(canoe_loft())))
    assert any(item["kind"] == "elbow" and item["other"] is None for item in told["items"])


def test_it_reads_in_80_columns_and_says_no_price():
    printed = as_text(canoe_loft(), listed(canoe_loft()))
    assert max(map(len, printed.splitlines())) <= 80 and "no price" in printed and "wye 45 deg, spiral/160, 160 x 160 x 100 mm" in printed


def test_json_has_one_line_for_every_item_in_si_units():
    found = listed(canoe_loft())
    told = json.loads(as_json(canoe_loft(), found))
    wye = next(item for item in told["items"] if item["kind"] == "wye")
    assert wye == {
        "kind": "wye", "stock": "spiral", "size": "spiral/160", "bores": [0.16, 0.16, 0.1], "count": 1, "angle": pytest.approx(pi / 4), "price": 30.0,
    }  # fmt: skip
    assert told["total"] == found.total and told["unpriced"] == found.unpriced == sum(item["price"] is None for item in told["items"])
