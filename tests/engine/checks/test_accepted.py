"""Findings the owner accepts, limits of the shop's own, and records that point at nothing. Invented shops."""

from __future__ import annotations

from dataclasses import replace

from engine.checks.assess import assess
from engine.design import Accepted, GaugePoint, OwnLimit
from engine.report.assessment import as_text
from engine.search.remedies.trials import changes
from engine.search.sizing.plant.choices import choices_of
from tests.shops.remedied import drop, hosed

LONG = hosed(3.0)


def found(design, code):
    return [one for one in assess(design).findings if one.code == code]


def test_an_accepted_finding_is_told_as_such_and_counted_apart():
    (before,) = found(LONG, "long-hose")
    design = replace(LONG, accepted=(Accepted(finding="long-hose", at=before.where, reason="the planer is rolled out"),))
    after = assess(design)
    (one,) = (one for one in after.findings if one.code == "long-hose")
    assert one.accepted == "the planer is rolled out" and one.message == f"{before.message}; accepted: the planer is rolled out"
    assert after.count(one.severity) == assess(LONG).count(one.severity) - 1 and after.accepted == 1
    assert "1 accepted" in as_text(after) and f"accepted {one.severity}: long-hose" in as_text(after)
    elsewhere = replace(design, accepted=(replace(design.accepted[0], at="collector"),))
    assert found(elsewhere, "long-hose") == [before]


def test_an_accepted_fault_is_a_fault_still():
    design = drop(2.0, needs=0.6)
    fault = next(one for one in assess(design).findings if one.severity == "fault")
    after = assess(replace(design, accepted=(Accepted(finding=fault.code, at=fault.where, reason="seldom used"),)))
    assert after.accepted and after.has_faults and after.count("fault") < assess(design).count("fault")
    assert [after.passes(result) for result in after.sets] == [assess(design).passes(result) for result in after.sets]


def test_a_limit_of_the_shop_s_own_takes_the_place_of_the_published_one():
    (before,) = found(LONG, "long-hose")
    wider = replace(
        LONG, limits=(OwnLimit(of="long-hose.poor", is_="4 m", reason="smooth inside"), OwnLimit(of="long-hose.good", is_="3.5 m", reason="x"))
    )
    assert found(wider, "long-hose") == []
    tighter = replace(LONG, limits=(OwnLimit(of="long-hose.poor", is_="2.5 m", reason="smooth inside"),))
    (after,) = found(tighter, "long-hose")
    assert after.source == "the shop's own limit: smooth inside" and before.source != after.source


def test_what_records_point_at_in_vain_is_told():
    design = replace(LONG, test_points=(GaugePoint(id="A", at="long gone"),))
    (one,) = found(design, "lost-record")
    assert one.severity == "note" and '"long gone"' in one.message
    assert found(replace(design, test_points=(GaugePoint(id="A", at=LONG.runs[0].id),)), "lost-record") == []


def test_a_kept_run_is_left_alone_by_searches():
    design = replace(LONG, runs=tuple(replace(one, kept=True) for one in LONG.runs))
    ids = {one.id for one in design.runs}
    assert any(ids & {touched for touched, _ in one.touches} for one in changes(assess(LONG)))
    assert not any(ids & {touched for touched, _ in one.touches} for one in changes(assess(design)))
    assert all(len(options) == 1 for options in choices_of(design).options)
