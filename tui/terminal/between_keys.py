"""What Python does of its own accord at any moment, moved to where no key waits for it: the search for garbage, and the turns of threads."""

from __future__ import annotations

import gc
import sys

from engine.design import kept

# Things made until they are looked through: an edit makes a fifth of as many. What is not asked for in time comes by itself, twenty times later.
_NEW_THINGS, _BY_ITSELF = 10_000, 200_000
_ROUNDS = 10  # looks at what is new to one at what is older
_TURN = 0.001  # seconds until a thread with bytes for the terminal has its turn; 0.005 is usual


def prepare() -> None:
    """At the start of a session: what there is already stays, and is not looked through."""
    gc.freeze()
    gc.set_threshold(_BY_ITSELF, _ROUNDS, _ROUNDS)
    gc.enable()
    sys.setswitchinterval(_TURN)


def collect_due() -> None:
    """Between two keys: look for garbage among the new things once there are many, now and then among older ones.

    Many of the new things are answers about designs that are gone: these grow older with every look.
    """
    new, *older = gc.get_count()
    if new > _NEW_THINGS:
        kept.age()
        gc.collect(max((age for age, looks in enumerate(older, 1) if looks > _ROUNDS), default=0))
