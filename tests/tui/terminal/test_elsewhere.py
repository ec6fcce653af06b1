"""A search in a process of its own answers as in this one, and leaves no process behind, however it ends."""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
from itertools import repeat
from pathlib import Path

import pytest

from engine.search.proposals import Step
from tests import ROOT
from tests.shops.sizing_shops import small_shop
from tests.waiting import no_block, wait_until
from tui.terminal import elsewhere as module
from tui.terminal.elsewhere import elsewhere
from tui.work import searches

COUNTS_FOR_EVER = """
import subprocess
from itertools import repeat
from tui.terminal import elsewhere as module
made = []
module.Popen = lambda *a, **k: made.append(subprocess.Popen(*a, **k)) or made[-1]
steps = module.elsewhere(sum, repeat(1))
next(steps)
print(made[0].pid, flush=True)
next(step for step in steps if step)
"""


@pytest.fixture
def made(monkeypatch):
    """The processes that were made."""
    found = []
    monkeypatch.setattr(module, "Popen", lambda *given, **named: found.append(subprocess.Popen(*given, **named)) or found[-1])
    return found


def test_the_answers_are_those_of_one_process(made):
    design = small_shop(3)
    here = [*searches.sizes(design, False)]
    there = [step for step in elsewhere(searches.sizes, design, False) if step is not None]
    assert there[-1] == here[-1] and here[-1].proposals
    rest = iter(here)
    assert all(step in rest for step in there), "steps in another order"
    assert made[0].wait() is not None


def test_to_close_it_ends_the_process(made):
    with no_block():
        steps = elsewhere(repeat, Step(1, 2, "on its way", ()))
        assert next(step for step in steps if step) == Step(1, 2, "on its way", ())
        steps.close()
        assert made[0].wait() == -signal.SIGKILL


def test_a_process_ended_from_outside_is_told_with_what_it_had_found(made):
    with no_block():
        steps = elsewhere(repeat, Step(1, 2, "on its way", ()))
        next(step for step in steps if step)
        made[0].kill()
        *_, last = steps
        assert last == Step(1, 2, "its process was ended from outside: this is what it had found", ())


def test_an_error_of_the_search_is_raised_here_with_its_way(made):
    with no_block(), pytest.raises(AttributeError) as raised:
        list(elsewhere(searches.sizes, None, False))
    assert "engine/search/sizing" in "".join(raised.value.__notes__)


def test_what_was_sent_is_the_same_object_when_it_is_named_again_and_what_fails_or_is_much_confuses_nothing(monkeypatch):
    reads, writes = os.pipe()
    sender, receiver = module._Sender(writes), module._Receiver(reads)
    design = small_shop(3)

    def come(what):
        sender.send(what)
        return receiver.received()

    first, again = come(Step(1, 3, "one", (design,))), come(Step(2, 3, "two", (design, design.machines)))
    assert first.proposals[0] == design
    assert again.proposals[0] is first.proposals[0] and again.proposals[1] is first.proposals[0].machines
    with pytest.raises((AttributeError, pickle.PicklingError)):
        sender.send((design.collector, [design.name], lambda: None))
    anew = come(Step(3, 3, "three", (design, (design.name, design.collector))))
    assert anew.proposals == (design, (design.name, design.collector)) and anew.proposals[0] is not first.proposals[0]
    monkeypatch.setattr(module, "_MOST_HELD", 0)
    assert come((design, "four")) == (design, "four") == come((design, "four"))


def test_where_no_process_is_to_be_had_it_is_searched_here(monkeypatch):
    def none_left(*_, **__):
        raise BlockingIOError(11, "no more processes")

    monkeypatch.setattr(module, "Popen", none_left)
    assert list(elsewhere(searches.sizes, small_shop(3), False))[-1].proposals


def test_it_ends_with_a_session_that_is_killed_whatever_it_is_at():
    with no_block(), subprocess.Popen([sys.executable, "-c", COUNTS_FOR_EVER], stdout=subprocess.PIPE, text=True, cwd=ROOT) as session:
        worker = int(session.stdout.readline())
        assert _is_alive(worker)
        session.kill()
        wait_until(lambda: not _is_alive(worker))


def _is_alive(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    except OSError:
        return False
