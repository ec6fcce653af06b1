"""A machine that gets 99.6 % of its need is told as short of it in every report."""

from __future__ import annotations

import pytest

from engine.report import assessment
from engine.report.searches import remedies, sizing, throttling
from engine.search.proposals import Proposal, Step, standing, standing_in_words
from engine.search.remedies import remedies as remedies_of
from engine.search.throttling import throttling as throttled
from tests.shops.short_of_need import short_of_need


@pytest.fixture(scope="module")
def texts():
    """What is said of that shop, by where it stands."""
    found = short_of_need()
    design, stands = found.design, standing(found)
    assert stands.share == pytest.approx(0.996, rel=1e-6)
    *_, remedied = remedies_of(design, found)
    step = Step(1, 1, "", (Proposal("as it is", "", design, stands),))
    return {
        "check": assessment.as_text(found),
        "finding": next(one.message for one in found.findings if one.code == "starved-machine"),
        "size": sizing.as_text(design, stands, step),
        "remedies": remedies.as_text(design, stands, remedied.proposals),
        "throttle": throttling.as_text(design, [throttled(design, found.sets[0].gate_set.name, found)]),
        "layout": standing_in_words(stands),
    }


@pytest.mark.parametrize("where", ["check", "finding", "size", "remedies", "throttle", "layout"])
def test_a_share_short_of_the_need_is_99_per_cent(texts, where):
    text = texts[where]
    assert any(share in text for share in ("99 %", "99%", "99>"))
    assert not any(share in text for share in ("100 %", " 100%", "99.6"))
