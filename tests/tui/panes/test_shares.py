"""A machine that gets 99.6 % of its need is told as short of it in every pane and page."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.design.places import RunAt
from engine.files import design_file
from engine.search.placement import placements
from engine.search.proposals import Proposal, Step, standing
from engine.search.together.companions import together
from tests.shops import placed_drops
from tests.shops.short_of_need import short_of_need
from tui.draw.glyphs import LINE
from tui.draw.lines import text_of
from tui.pages.searches.placement_list import ListView, list_lines
from tui.pages.searches.placement_map import best, grades
from tui.pages.searches.proposal_lines import ProposalsView, items, proposal_lines
from tui.pages.searches.together_lines import remark_on
from tui.panes.results import sets
from tui.panes.results.view import View
from tui.work.fields.size_preview import preview


@pytest.fixture(scope="module")
def texts():
    """What is said of that shop, by where it stands."""
    found = short_of_need()
    design, stands = found.design, standing(found)
    proposal, every = Proposal("as it is", "", design, stands), together(found.look)
    both = next(row for row in every.largest if len(row.machines) == 2)
    return {
        "sets": " ".join(sets.figures(View(found, 0, RunAt(0), 60, 20, LINE), found.sets[0])),
        "proposals": "\n".join(
            text_of(line) for item in items(ProposalsView(stands, Step(1, 1, "", (proposal,)), False, 78, LINE)) for line in item.lines
        ),
        "proposal": "\n".join(map(text_of, proposal_lines(design, stands, proposal, 78, LINE))),
        "together": remark_on(design, both),
        "another size": preview(design, found, 0, RunAt(0), "pipe/140").outcome,
    }


@pytest.mark.parametrize("where", ["sets", "proposals", "proposal", "together", "another size"])
def test_a_share_short_of_the_need_is_99_per_cent(texts, where):
    assert "99 %" in texts[where] or "99%" in texts[where]
    assert not any(share in texts[where] for share in ("100", "99.6"))


def test_spots_short_of_the_need_are_not_shaded_as_if_they_met_it():
    design = design_file.loads(placed_drops.TEXT)
    *_, study = placements(design, spacing=2.0)
    rows = [[one and replace(one, standing=replace(one.standing, share=0.996)) for one in row] for row in study.grid.spots]
    study = replace(study, grid=replace(study.grid, spots=tuple(map(tuple, rows))))
    assert set(grades(study, "air").values()) == {1}
    first = list_lines(ListView(design, study, best(study)[0], 78, 20, LINE))[1]
    assert [role.split()[0] for text, role in first if text == "  99 %"] == ["caution"]
