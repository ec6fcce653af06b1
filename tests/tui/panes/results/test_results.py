"""The tabs of the results pane: what they say, checked against what was solved."""

from __future__ import annotations

from math import floor

import pytest

from engine import load
from engine.air.curves import curves
from engine.air.one.balance import way
from engine.checks.assess import assess
from engine.checks.conditions import narrowed
from engine.design.places import COLLECTOR, EndOf, JointOf, MachineAt, PieceAt, PortAt, RunAt
from tests import SAVED_DESIGNS
from tests.shops import two_drops
from tui.draw.glyphs import ASCII, GLYPHS, LINE
from tui.draw.lines import text_of, width_of
from tui.panes.item import Fold
from tui.panes.results import curve, now, sets, where
from tui.panes.results.tabs import tabs
from tui.panes.results.view import View, figure


@pytest.fixture(scope="module")
def assessment():
    return two_drops.assessed()


SELECTED = RunAt(0)


def view(assessment, index=1, place=SELECTED, width=39, height=8, glyphs=LINE, **rest) -> View:
    return View(assessment, index, place, width, height, glyphs, **rest)


def texts(items) -> list[str]:
    return [text_of(line) for item in items for line in item.lines]


# now


def test_now_shows_speed_flow_and_suction_of_the_selected_run(assessment):
    state = assessment.sets[1].balance.runs["main"]
    text = " ".join(texts(now.items(view(assessment, place=PieceAt(0, 1)))))
    assert f"speed {state.velocity:.1f} m/s" in text and f"flow {state.flow * 3600:.0f} m3/h" in text
    assert f"static {state.suction_near:.0f} Pa near" in text and f"{state.suction_far:.0f} Pa far" in text


def test_now_sets_a_ports_flow_against_its_need(assessment):
    flow = assessment.sets[1].balance.ports["lathe/hood"].flow * 3600
    for place in (RunAt(3), EndOf(3), MachineAt(1), PortAt(1, 0)):
        assert f"flow {flow:.0f} m3/h, needs 500" in " ".join(texts(now.items(view(assessment, place=place))))


def test_the_ends_of_a_need_that_is_a_range_stand_beside_its_middle():
    text = two_drops.TEXT.replace('needs = "500 m3/h"', 'needs = "450 m3/h to 550 m3/h"')
    known = two_drops.assessed(text.replace('needs = "820 m3/h"', 'needs = "770 m3/h to 870 m3/h"'))
    assert "needs 500 (450-550)" in " ".join(texts(now.items(view(known, place=RunAt(3)))))
    told = " ".join(text_of(line).strip() for item in sets.items(view(known, width=80)) for line in item.more)
    assert "needs 820 m3/h (770-870)" in told


def test_now_says_that_a_run_is_shut(assessment):
    assert "no air: shut in this gate set" in texts(now.items(view(assessment, 0, RunAt(3))))


def test_now_shows_the_working_point_where_no_run_is_selected(assessment):
    balance = assessment.sets[0].balance
    text = " ".join(texts(now.items(view(assessment, 0, COLLECTOR))))
    assert f"flow {balance.flow * 3600:.0f} m3/h" in text and f"supplies {balance.collector_pressure:.0f} Pa" in text
    assert f"air {assessment.air.density:.3f}".rstrip("0") in text


def test_now_lists_every_condition_of_the_set_those_of_the_selection_first(assessment):
    found = [own for one in assessment.conditions if (own := narrowed(one, assessment.design, "both"))]
    assert len({one.where for one in found}) > 1
    for at, run in enumerate(assessment.design.runs):
        shown = view(assessment, place=RunAt(at))
        items = now.items(shown)[1:]
        assert len(items) == len(found)
        about = [one for one in found if any(now.concerns(shown, finding) for finding in one.findings)]
        firsts = [text_of(item.lines[0])[2:] for item in items[: len(about)]]
        assert all(first.startswith(one.where[:30]) for first, one in zip(firsts, about, strict=True))


def test_a_condition_unfolds_into_its_findings_of_every_set():
    assessment = assess(load(SAVED_DESIGNS / "signal_box.toml"))
    several = next(one for one in assessment.conditions if len(one.findings) > 1)
    folded = now.items(view(assessment))
    fold = next(item.leads for item in folded if isinstance(item.leads, Fold) and item.leads.of == (several.standing, several.about))
    unfolded = now.items(view(assessment, unfolded=frozenset({fold})))
    assert [item.leads for item in unfolded if item not in folded] == list(several.findings)


def test_a_finding_leads_to_its_place_and_tells_its_source(assessment):
    slow = next(finding for finding in assessment.findings if finding.code == "slow-run" and finding.gate_set == "both")
    items = now.items(view(assessment))
    item = next(item for item in items if text_of(item.lines[0])[2:].startswith(f"{slow.where}: "))
    assert item.leads == slow
    assert slow.remedy.split()[0] in " ".join(map(text_of, item.more))
    assert text_of(item.lines[0])[0] in "!*"


def test_what_an_edit_moved_is_marked(assessment):
    before = two_drops.assessed(two_drops.TEXT.replace('"1.2 m"', '"9 m"'))
    old, new = (known.sets[1].balance.runs["main"].velocity for known in (before, assessment))
    items = now.items(view(assessment, before=before))
    assert f"speed {old:.1f} -> {new:.1f} m/s" in " ".join(texts(items))
    assert "->" not in " ".join(texts(now.items(view(assessment, before=assessment))))


# sets


def test_sets_has_a_row_for_every_gate_set(assessment):
    heading, *rows = sets.items(view(assessment))
    assert text_of(heading.lines[0]).split() == ["gate", "set", "m3/h", "m/s", "need"]
    assert [item.leads for item in rows] == [0, 1]
    for item, result in zip(rows, assessment.sets, strict=True):
        (_, slow), (_, share) = assessment.slowest(result), assessment.neediest(result)
        row = text_of(item.lines[0])
        assert row.split()[-4:-1] == [f"{result.balance.flow * 3600:.0f}", f"{slow:.1f}", f"{floor(100 * share)}%"]
        assert row.endswith({"fault": "!", "caution": "*"}.get(assessment.worst(result), "ok"))
        assert assessment.slowest(result)[0] in " ".join(map(text_of, item.more))
    assert texts(rows)[1].startswith("> both")


def test_a_set_without_an_answer_says_so(assessment):
    from dataclasses import replace

    failed = replace(assessment, sets=(replace(assessment.sets[0], balance=None, trouble="no answer: it wanders"), assessment.sets[1]))
    row = sets.items(view(failed))[1]
    assert text_of(row.lines[0]).endswith("!") and "it wanders" in " ".join(map(text_of, row.more))
    assert "it wanders" in " ".join(texts(now.items(view(failed, 0))))
    assert "it wanders" in " ".join(texts(curve.items(view(failed, 0), curve.KnownCurves().of(failed, 0))))
    assert "no open port" in texts(where.items(view(failed, 0)))[0]


# where


def test_where_adds_up_to_the_collectors_pressure(assessment):
    balance = assessment.sets[1].balance
    rows = where.gathered(way(assessment.tree, balance, "lathe/hood"))
    assert sum(drop for _, _, drop in rows) == pytest.approx(balance.collector_pressure, abs=0.02)
    assert [drop for _, _, drop in rows] == sorted((drop for _, _, drop in rows), reverse=True)


def test_where_shows_the_selected_port_else_the_neediest(assessment):
    assert where.port_shown(view(assessment, place=PieceAt(1, 0))) == "planer/hood"
    assert where.port_shown(view(assessment, place=MachineAt(1))) == "lathe/hood"
    neediest = assessment.neediest(assessment.sets[1])[0]
    assert where.port_shown(view(assessment, place=COLLECTOR)) == neediest
    assert where.port_shown(view(assessment, port="planer/hood")) == "planer/hood"
    assert where.port_shown(view(assessment, 0, port="lathe/hood")) == "planer/hood"  # the lathe is shut


def test_where_leads_to_the_parts(assessment):
    head, *rows = where.items(view(assessment, place=RunAt(1)))
    assert text_of(head.lines[0]).startswith("planer/hood: ") and "[ ] port" in text_of(head.lines[0])
    leads = {item.leads for item in rows}
    assert {JointOf(1), EndOf(1), PieceAt(1, 2), PieceAt(0, 1)} <= leads
    lengths = [text_of(item.lines[0]).count("█") for item in rows]
    assert lengths == sorted(lengths, reverse=True) and lengths[0] > lengths[-1]


# curve


def test_the_curves_meet_in_the_working_point(assessment):
    balance, known = assessment.sets[1].balance, curves(assessment.tree, assessment.sets[1])
    assert known.point == (balance.flow, balance.collector_pressure)
    below = max(point for point in known.demand if point[1] <= balance.collector_pressure)
    above = min(point for point in known.demand if point[1] >= balance.collector_pressure)
    assert below[0] <= balance.flow <= above[0]
    flows = [flow for flow, _ in known.supply]
    assert flows == sorted(flows) and flows[-1] >= assessment.tree.fan.high


@pytest.mark.parametrize("glyphs", GLYPHS.values(), ids=GLYPHS)
@pytest.mark.parametrize(("width", "height"), [(39, 8), (76, 20), (24, 6)])
def test_the_chart_fills_its_room_and_prints_its_numbers(assessment, glyphs, width, height):
    (item,) = curve.items(view(assessment, width=width, height=height, glyphs=glyphs), curve.KnownCurves().of(assessment, 1))
    lines = [text_of(line) for line in item.lines]
    assert len(lines) <= height and all(width_of(line) <= width for line in item.lines)
    balance = assessment.sets[1].balance
    at = next(i for i, line in enumerate(lines) if line.startswith("meet at"))
    assert f"{balance.flow * 3600:.0f} m3/h" in lines[at] and "collector" in " ".join(lines)
    assert any(glyphs.marks["ring"] in line for line in lines[:at])
    if glyphs is ASCII:
        assert "".join(lines).isascii()


def test_the_chart_marks_what_every_set_asks_and_the_hardest(assessment):
    known = curve.KnownCurves().of(assessment, 1)
    assert [duty.gate_set for duty in known.duties] == [result.gate_set.name for result in assessment.sets]
    assert known.hardest.lacks == max(duty.lacks for duty in known.duties)
    (item,) = curve.items(view(assessment, width=76, height=24, glyphs=ASCII), known)
    *chart, meet, told = [text_of(line) for line in item.lines]
    assert meet.startswith("meet at") and f"X hardest, {known.hardest.gate_set}: {known.hardest.flow * 3600:.0f} m3/h" in told
    assert sum(line.count("X") for line in chart) == 1
    named = {row[0] for row in curve.table(view(assessment), known)}
    assert {f"asked by {duty.gate_set}" for duty in known.duties} < named


def test_another_set_takes_the_duties_over(assessment):
    known = curve.KnownCurves()
    assert known.of(assessment, 1).duties is known.of(assessment, 0).duties


def test_a_chart_without_room_leaves_the_numbers(assessment):
    (item,) = curve.items(view(assessment, width=39, height=3), curve.KnownCurves().of(assessment, 1))
    assert "meet at" in text_of(item.lines[0]) and len(item.lines) == 1


# what they share


@pytest.mark.parametrize("tab", [now, sets, where])
@pytest.mark.parametrize("width", [27, 39, 80])
def test_no_line_is_wider_than_the_pane(assessment, tab, width):
    for item in tab.items(view(assessment, width=width, before=two_drops.assessed(two_drops.TEXT.replace("0.8 m", "9 m")))):
        assert all(width_of(line) <= width for line in (*item.lines, *item.more))


def test_a_figure_that_rounds_to_the_same_is_not_marked():
    assert text_of(figure("speed", "speed", "metric", 12.11, 12.12)) == "speed 12.1 m/s"
    assert text_of(figure("speed", "speed", "metric", 12.1, 11.4)) == "speed 11.4 -> 12.1 m/s"


@pytest.mark.parametrize("tab", tabs(), ids=[tab.name for tab in tabs()])
def test_what_an_item_says_to_copy_is_a_row_of_the_table_of_its_tab(assessment, tab):
    shown = view(assessment, width=60, height=20)
    table, told = tab.table(shown), [item.cells for item in tab.items(shown) if item.leads is not None]
    assert all(len(row) == len(table[0]) for row in table)
    assert [row for row in table if row in told] == told


def test_the_profile_of_a_way_ends_with_all_that_the_collector_gives_and_all_the_duct_there_is():
    assessment = two_drops.assessed()
    balance = assessment.sets[1].balance
    for port in balance.ports:
        points, fittings = where.profile(assessment, balance, port)
        assert points[-1][1] == pytest.approx(balance.collector_pressure, abs=0.02)
        assert [across for across, _ in points] == sorted(across for across, _ in points)
        assert 0 < len(fittings) < len(points) and set(fittings) <= set(points)
