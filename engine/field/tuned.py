"""Whether a design goes by readings it was tuned to, in a few words for every screen and report; and the switch."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from engine.design import AS_DESIGNED, Design, Reading, Tuned, tuning_of
from engine.design.kept import WHOLES, kept


def baseline(readings: Iterable[Reading]) -> tuple[Reading, ...]:
    """The readings that later ones are held against, and that a design is tuned to."""
    return tuple(reading for reading in readings if reading.baseline)


@kept(WHOLES)
def mark_of_baseline(readings: tuple[Reading, ...]) -> str:
    """A mark of the baseline among all readings of a design."""
    from engine.field.built import mark_of_readings

    return mark_of_readings(baseline(readings))


def tuned_note(design: Design) -> str:
    """ "tuned to readings of 2026-03-01", and what has changed since; "" where a design goes by its own figures."""
    tuned = tuning_of(design)
    if tuned is AS_DESIGNED:
        return ""
    stale = why_stale(design)
    return f"tuned to readings of {_day(tuned)}" + (f", {stale}" if stale else "")


def tuned_briefly(design: Design) -> str:
    """The same in as few words as there can be."""
    tuned = tuning_of(design)
    if tuned is AS_DESIGNED:
        return ""
    return f"tuned {_day(tuned)}" + (" (stale)" if why_stale(design) else "")


def _day(tuned: Tuned) -> str:
    return tuned.date.isoformat() if tuned.date else "no date"


def why_stale(design: Design) -> str:
    """What is another thing now than when a design was tuned; "" where nothing is, or it never was tuned."""
    tuned = design.tuned
    if tuned.ducts is tuned.baseline is None:
        return ""
    from engine.field.built import mark_of_ducts  # with OpenSSL: most designs have nothing to mark

    if tuned.ducts is not None and tuned.ducts != mark_of_ducts(design):
        return "before the ducts changed"
    if tuned.baseline is not None and tuned.baseline != mark_of_baseline(design.readings):
        return "before the baseline changed"
    return ""


def is_tuned(design: Design) -> bool:
    """Whether there is anything to switch on."""
    return replace(design.tuned, on=None) != AS_DESIGNED


def switched(design: Design, *, on: bool) -> Design:
    """A design that goes by its readings, or by its own figures."""
    return replace(design, tuned=replace(design.tuned, on=on))
