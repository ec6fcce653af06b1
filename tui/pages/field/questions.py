"""What the field page asks: which readings become the baseline, what is measured with, how far that may be off."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date

from engine.design import Reading
from engine.field.taking import Candidates, Instrument, candidates, with_baseline
from engine.field.verdicts import WRONG
from engine.units import UnitError, unit_name
from engine.units.arithmetic import calculate
from engine.units.words import counted
from tui.work.asking import Prompt, Question
from tui.work.session import Session


def baseline_question(session: Session, day: date) -> None:
    """Ask which of the readings of a day become the baseline, and mark them."""
    document = session.document
    found = candidates(document.design, day)
    fit, every = list(found.fit), [*found.fit, *(one.reading for one in found.doubtful)]
    if not every:
        left = f": {_left_out(found)}" if found.unfit else ""
        session.flash(f"no reading of today that could be a baseline{left}", trouble=True)
        return

    def mark(key: str) -> None:
        chosen: Sequence[Reading] = {"y": fit, "a": every}.get(key, ())
        if chosen and session.attempt(lambda: document.apply("baseline", with_baseline(document.design, chosen))):
            session.flash(f"baseline: {counted(len(chosen), 'reading')} of today; later ones are held against it")

    choices = [("y", f"the {len(fit)}")] * bool(fit) + [("a", f"all {len(every)}")] * bool(found.doubtful) + [("n", "none")]
    session.ask(Question(f"baseline of today? {_told(found)}", mark, tuple(choices)))


def _told(found: Candidates) -> str:
    """How many are as expected, and how many are not."""
    wrong = sum(one.verdict == WRONG for one in found.doubtful)
    counts = [
        f"{len(found.fit)} as expected",
        f"{wrong} WRONG" if wrong else "",
        f"{look} to look at" if (look := len(found.doubtful) - wrong) else "",
    ]
    return ", ".join([*filter(None, counts), *([_left_out(found)] if found.unfit else [])])


def _left_out(found: Candidates) -> str:
    stale = sum(one.stale for one in found.unfit)
    counts = [f"{stale} stale" if stale else "", f"{len(found.unfit) - stale} impossible" if len(found.unfit) > stale else ""]
    return f"{' and '.join(filter(None, counts))} left out"


def instrument_prompt(instrument: Instrument, said: Callable[[Instrument], object]) -> Prompt:
    """Ask what is measured with."""
    return Prompt("measured with", instrument.name or "", lambda text: said(replace(instrument, name=text.strip() or None)))


def give_or_take_prompt(instrument: Instrument, dimension: str, units: str, said: Callable[[Instrument], object]) -> Prompt:
    """Ask how far readings of a dimension may be off."""
    known = dict(instrument.give_or_take)

    def why_not(text: str) -> str | None:
        if "%" in text:
            return f"per cent of what? a gauge's are of its full scale, as a rule: type what that is, in {unit_name(dimension, units)}"
        try:
            return None if not text.strip() or calculate(text, dimension, units).si > 0 else "wanted more than 0"
        except UnitError as reason:
            return str(reason)

    def take(text: str) -> None:
        others = {name: told for name, told in known.items() if name != dimension}
        own = {dimension: calculate(text, dimension, units).text} if text.strip() else {}
        said(replace(instrument, give_or_take=tuple((others | own).items())))

    return Prompt(f"{dimension}: give or take", known.get(dimension, ""), take, why_not)
