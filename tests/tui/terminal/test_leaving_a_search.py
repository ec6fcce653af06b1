"""A session is left at once, whatever is computed beside it."""

from __future__ import annotations

import pytest

from tests.tui.terminal.demo import open_demo

NEVER = "import time, {0} as module; module.{1} = lambda *_, **__: time.sleep(3600)"
ELSEWHERE = "import tui.terminal.elsewhere as module; module._CODE = {!r} + '; ' + module._CODE"
SEARCHES = {
    "M": ("engine.search.together.companions", "together", "which gates may be open together"),
    "D": ("engine.search.sizing", "sizes", "sizes from what the store has"),
    "R": ("engine.search.remedies", "remedies", "what to change first"),
    "L": ("engine.search.layouts.proposing", "drafts", "drafted layouts"),
}


@pytest.mark.parametrize("keys", [("q",), ("esc", "q")])
@pytest.mark.parametrize("search", SEARCHES)
def test_q_ends_the_session_in_the_middle_of_a_step_that_never_ends(home, search, keys):
    module, function, title = SEARCHES[search]
    before = NEVER.format(module, function)
    with open_demo(home, before=before if search in "MR" else ELSEWHERE.format(before)) as session:
        session.send(search)
        session.wait_for(title)
        for key in keys:
            session.settle()
            session.send(key)
        assert session.wait_exit() == 0
        assert b"Traceback" not in session.raw and b"kerfdraft:" not in session.raw


def test_an_error_beside_the_session_ends_it_with_a_report(home):
    with open_demo(home, before="import engine.search.remedies as module; module.remedies = lambda *_, **__: 1 / 0") as session:
        session.send("R")
        assert session.wait_exit() == 1
        assert b"Traceback" not in session.raw and b"stopped by an error of its own; a report is in" in session.raw
