"""What is sent to the terminal: no more than it must be, and in parts what a full repaint would show."""

from __future__ import annotations

from random import Random

import pytest

from tests.tui.terminal.demo import cells, open_demo, repainted, select_first_straight
from tests.tui.terminal.pty_session import SESSION

START, FIELD, TREE, RESULTS = 20_000, 300, 4_000, 2_500
BETWEEN = 0.1  # seconds of rest between two keys; bands that come later are counted with the next


def test_start_and_moves_stay_within_their_bytes(home):
    with open_demo(home, program=SESSION) as session:
        session.settle()
        assert session.received <= START
        moves = [(key, TREE) for key in "jjjkG"] + [("g", TREE), ("2", TREE), *[("down", FIELD)] * 3, ("up", FIELD), ("esc", TREE), ("s", RESULTS)]
        for key, budget in moves:
            assert session.sent_for(key, BETWEEN) <= budget, key


def test_a_digit_that_changes_every_result_stays_within_its_bytes(home):
    with open_demo(home) as session:
        select_first_straight(session)
        session.send("e")
        session.wait_for("accept")
        for key in ("3", "1", "4", "backspace"):
            speed = session.row(-2)
            assert 300 < session.sent_for(key, BETWEEN) <= RESULTS, key
            assert "->" in session.row(-2) != speed


def test_nothing_is_sent_while_nothing_happens(home):
    with open_demo(home) as session:
        session.settle(0.5)
        before = session.received
        session.settle(1.6)
        assert session.received == before


@pytest.mark.slow
def test_what_is_sent_in_parts_is_what_a_full_repaint_shows(home):
    rng = Random(11)
    # Walks, edits, questions and pages; nothing that leaves the session or opens another design.
    keys = [*"jjjjkkhlgGeeabidxuuUsSfFmz/tT123[]+- rJK?H:wy", "tab", "tab", "esc", "esc", "esc", "enter", "up", "down", "down", "backspace", *"1258m"]
    with open_demo(home) as session:
        for number in range(1, 151):
            session.send(rng.choice(keys))
            session.settle(0.01)
            if number % 50 == 0:
                session.send("esc", "esc")
                session.settle()
                in_parts = cells(session)
                assert repainted(session) == in_parts, number
