"""Findings accepted with a reason, and taken back, on a shop that has some."""

from __future__ import annotations

from datetime import date

import pytest

from engine.checks.assess import assess
from engine.design.places import DESIGN
from engine.edits.acceptance import accept
from engine.edits.refusal import EditError
from tests.shops import two_drops
from tui.work.document import Document
from tui.work.edits.accepting import accept_findings, take_findings_back, why_bad_reason


def test_an_accepted_finding_counts_no_more_until_it_is_taken_back():
    document = Document(two_drops.assessed().design)
    before = assess(document.design)
    chosen = next(one for one in before.conditions if one.code == "crowded-fittings")
    accept_findings(document, chosen.findings, " the wall is there ")
    after = assess(document.design)
    again = next(one for one in after.conditions if one.code == "crowded-fittings")
    assert again.accepted and again.worst.accepted == "the wall is there"
    assert after.count(chosen.severity) == before.count(chosen.severity) - 1 and after.accepted == 1
    take_findings_back(document, again.findings)
    assert assess(document.design).conditions == before.conditions and not document.design.accepted
    document.undo()
    assert document.design.accepted[0].at == "main"


def test_a_reason_is_wanted_and_a_place():
    assert why_bad_reason("  ") and why_bad_reason("it is rolled out to work") is None
    design = two_drops.assessed().design
    with pytest.raises(EditError, match="about the design as a whole"):
        accept(design, [("no-store", DESIGN)], "why not", date(2026, 3, 1))
