"""What is wrong by readings, as plain text that fits 80 columns, and as JSON in SI base units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from engine.catalog.causes import cause_kinds
from engine.checks.cautions import caution
from engine.design import READ, Design, Reading, system
from engine.design.rules.record import reading_value
from engine.field.built import mark_of_ducts
from engine.field.causes.diagnosis import Candidate, Cause, Diagnosis
from engine.field.causes.next_reading import NextReading
from engine.field.causes.suspects import NOTHING
from engine.field.expected import Task
from engine.field.spots import place_text
from engine.field.tuned import tuned_note
from engine.report.pen import PAGE, headed, json_text, paged, wrapped
from engine.units import show
from engine.units.words import counted, listed

# Of so many causes at most it is told what to look at; of each, and of what cannot be told apart, at most so many places.
_LOOKS, _PLACES = 5, 12
_LEAST_REST = 0.01
NO_PLACE = "no place of the test sheet would tell more"
_SAY = "If it was {} when it was read, say so (y on the test sheet, filter in a reading), and read it again"
_LEADING = 2  # causes that are asked about
_NAMES = {
    "clog": "clog in {}", "leak": "leak in {}, where it joins", "choked port": "choked port {}", "gate open": "gate {} left open",
    "gate shut": "gate {} left shut", "open joint": "joint of {} come apart",
}  # fmt: skip
_HOLE, _SHUT = "a hole of {} % of its section", "{} % of its bore shut"
_SEVERITIES = {
    "clog": _SHUT, "choked port": _SHUT, "leak": _HOLE, "open joint": _HOLE,
    "gate open": "open by {} % where it should be shut", "gate shut": "shut by {} %",
    "bin leak": "a hole of {} % of the inlet's section", "filter torn": "it takes {} % of its drop", "filter loaded": "it takes {} % of its drop",
    "weak collector": "at {} % of its speed",
}  # fmt: skip


def as_text(design: Design, found: Diagnosis) -> str:
    """The causes, most probable first, what they rest on, what to look at first, and where to read next."""
    blocks = [headed(design, "what is wrong", PAGE), [line for note in notes(design, found) for line in paged(note)], list(_causes(found))]
    blocks.append([line for text in rests_on(design, found) for line in paged(text)])
    blocks += [list(_looks(found)), list(_next(design, found)), list(_cautions(design, found))]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def notes(design: Design, found: Diagnosis) -> Iterator[str]:
    """What the causes stand on and what speaks against them, a line each."""
    evidence = found.evidence
    since = f" since {evidence.since.isoformat()}" if evidence.since else ""
    yield f"{counted(len(evidence.readings), 'reading')}{since}, {counted(len(evidence.baseline), 'reading')} of the baseline"
    if not evidence.readings:
        yield "nothing was read: this is how often things go wrong, and no finding"
    elif len(evidence.readings) == 1:
        yield (
            "one reading alone fits several causes: take the next one before you believe any" if found.following
            else "one reading alone, and a slip in reading would tell the same: read it again before you believe it"
        )  # fmt: skip
    if not evidence.baseline:
        yield "there is no baseline: the design stands for it, and all that is doubtful about it makes the causes less sure"
    if evidence.readings and not found.fits:
        best = cause_text(found.causes[0])
        yield "no single cause fits: " + (
            f"two together do, or a reading is a slip; best {best}. Read again what fits least before you act" if found.together
            else f"best {best}; at odds with it: {'; '.join(reading_text(design, each) for each in found.odd)}. Read these again before you act"
        )  # fmt: skip
    yield from _of_filter(found)
    for unused in evidence.unused:
        yield f"not used, {reading_text(design, unused.reading)}: {unused.why}"


def reading_text(design: Design, reading: Reading) -> str:
    """What was read where, in words."""
    opened = f", {reading.gate_set}" if reading.gate_set else ""
    return f"{reading.what} {show(reading_value(reading).si, READ[reading.what], system(design))} at {place_text(reading, system(design))}{opened}"


def _of_filter(found: Diagnosis) -> Iterator[str]:
    """What is to be asked before a filter is blamed that may only be in another state than the design says."""
    state = found.evidence.state
    told = {side.cause for cause in found.causes[:_LEADING] for side in (cause, cause.beside) if side}
    if "filter torn" in told and state != "clean":
        yield f"filter torn, or it was shaken since and the design does not say so: it says {state}. {_SAY.format('clean')}"
    if "filter loaded" in told and state != "dirty":
        yield f"filter loaded: the design says it is {state}. {_SAY.format('dirty')}"


def cause_text(cause: Cause) -> str:
    """A cause at its place, or how many places of what cannot be told apart; with the second one where two act together."""
    text, several = _group(cause.candidates), len(cause.candidates) > 1
    return f"{text}{';' if several else ''} and {cause_text(cause.beside)}" if cause.beside else text


def _group(candidates: Sequence[Candidate]) -> str:
    """Causes that no reading tells apart as one: "clog, one of 3 places: main, saw drop, planer drop"."""
    if len(candidates) == 1:
        return _at(candidates[0])
    kinds = dict.fromkeys(one.cause for one in candidates)
    if len(kinds) == 1:
        return f"{cause_kinds()[candidates[0].cause].title}, one of {len(candidates)} places: {listed([one.place for one in candidates], _PLACES)}"
    return f"one of {len(candidates)}: {listed([_at(one) for one in candidates], _PLACES)}"


def _likeliest(cause: Cause) -> str:
    """The first of what cannot be told apart, at its place; with the second one where two act together."""
    text = _at(cause.candidates[0])
    return f"{text} and {_likeliest(cause.beside)}" if cause.beside else text


def _at(one: Candidate) -> str:
    return name_of(one.cause, one.place)


def name_of(cause: str, place: str) -> str:
    """A cause at a run, a gate, a port or, "", the collector, in words."""
    if cause == NOTHING:
        return NOTHING
    return _NAMES[cause].format(place) if cause in _NAMES else cause_kinds()[cause].title


def severity_text(cause: Cause) -> str | None:
    """How far a cause goes, in words; None where nothing is wrong."""
    if cause.severity is None:
        return None
    low, high = sorted(round(100.0 * each) for each in cause.severity)
    return _SEVERITIES[cause.cause].format(low if low == high else f"{low} to {high}")


def _causes(found: Diagnosis) -> Iterator[str]:
    """The causes with how probable they are, and what is left for all others."""
    for cause in found.causes:
        yield from wrapped(f"{probability_text(cause.probability):>6}  {cause_text(cause)}", "  ", PAGE)
        for text in severities(cause):
            yield from paged(text, "          ")
    rest = 1.0 - sum(cause.probability for cause in found.causes)
    if rest >= _LEAST_REST:
        yield f"  {probability_text(rest):>6}  others, each less probable than these"


def severities(cause: Cause, *, beside: bool = True) -> Iterator[str]:
    """How far a cause goes, and the one beside it; of what no reading tells apart the likeliest, by name."""
    for side in filter(None, (cause, cause.beside if beside else None)):
        several = len(side.candidates) > 1
        if severity := severity_text(side):
            yield f"{_at(side.candidates[0])}: {severity}" if several or cause.beside else severity
        if several:
            yield "no reading so far tells these apart"


def probability_text(share: float) -> str:
    """A probability in per cent."""
    return "> 99 %" if share > 0.99 else "< 1 %" if share < 0.01 else f"{100.0 * share:.0f} %"


def rests_on(design: Design, found: Diagnosis) -> Iterator[str]:
    """Each reading beside what it should be with nothing wrong and, where that is another, with the best cause."""
    if not found.evidence.readings:
        return
    best = _likeliest(found.causes[0])
    yield f"What it rests on: read, with nothing wrong{'' if best == NOTHING else f', with {best}'}"
    for reading, sound, so in zip(found.evidence.readings, found.sound, found.so, strict=True):
        told = (reading_value(reading).si, sound, *(() if best == NOTHING else (so,)))
        values = (show(value, READ[reading.what], system(design)) for value in told)
        opened = f", {reading.gate_set}" if reading.gate_set else ""
        yield "".join(f"{value:>11}" for value in values) + f"  {reading.what} at {place_text(reading, system(design))}{opened}"


def _looks(found: Diagnosis) -> Iterator[str]:
    """What to look at, the likeliest for the least work first."""
    kinds = cause_kinds()
    places: dict[str, dict[str, float]] = {}
    for one in _candidates(found):
        own = places.setdefault(one.cause, {})
        own[one.place] = own.get(one.place, 0.0) + one.probability
    order = sorted(places, key=lambda cause: -sum(places[cause].values()) / kinds[cause].minutes)
    if order:
        yield "What to look at, the likeliest for the least work first"
    for number, cause in enumerate(order[:_LOOKS], 1):
        kind, named = kinds[cause], [place for place in places[cause] if place]
        before = "; ".join(caution(name).title for name in kind.cautions)
        at = f" ({listed(named, _PLACES)})" if named else ""
        yield from paged(f"{number}. {kind.title}{at}, {kind.minutes:g} min. {f'Before: {before}. ' if before else ''}{kind.look}", "  ")


def _candidates(found: Diagnosis) -> Iterator[Candidate]:
    for cause in found.causes:
        for one in (*cause.candidates, *(cause.beside.candidates if cause.beside else ())):
            if one.cause != NOTHING:
                yield one


def _next(design: Design, found: Diagnosis) -> Iterator[str]:
    following = found.following
    if following is None:
        yield f"Where to read next: {NO_PLACE}"
        return
    yield from paged(f"Where to read next: {task_text(following.task, system(design))}: {why(design, found, following)}")


def task_text(task: Task, units: str) -> str:
    """A reading to take, in words."""
    return f"{task.what} at {_place(task, units)}, {task.gate_set.name}"


def _place(task: Task, units: str) -> str:
    spot = task.spot
    if spot.run is None:
        return spot.port or "collector"
    return spot.run if spot.distance is None else f"{spot.run}, {show(spot.distance, 'length', units)} out"


def why(design: Design, found: Diagnosis, following: NextReading) -> str:
    """What the two leading causes would show there."""
    suspects = found.evidence.lineup.suspects
    told = []
    for suspect, value in following.leading:
        name = NOTHING if suspect < 0 else name_of(suspects[suspect].cause, suspects[suspect].where)
        told.append(f"with {name} about {show(value, READ[following.task.what], system(design))}")
    return f"it leaves the least doubt; {', '.join(told)}"


def _cautions(design: Design, found: Diagnosis) -> Iterator[str]:
    """What to heed before any of it."""
    kinds = cause_kinds()
    names = ["ladder", *(name for one in _candidates(found) for name in kinds[one.cause].cautions)]
    for name in dict.fromkeys(names):
        one = caution(name)
        yield from paged(f"{one.title}: {one.text(design)}")


def as_json(design: Design, found: Diagnosis) -> str:
    """The causes as JSON text: `where` any of the runs, gates or ports that cannot be told apart; `notes` what speaks against them."""
    said = [*notes(design, found), *filter(None, [tuned_note(design)])]
    return json_text(
        None, causes=[_cause_json(cause) for cause in found.causes], next=_next_json(design, found), design=mark_of_ducts(design), notes=said
    )  # fmt: skip


def _cause_json(cause: Cause) -> dict[str, Any]:
    beside = cause.beside and {"cause": cause.beside.cause, "where": list(cause.beside.where), "severity": severity_text(cause.beside)}
    share = round(cause.probability, 6)
    return {"cause": cause.cause, "where": list(cause.where), "severity": severity_text(cause), "probability": share, "with": beside}


def _next_json(design: Design, found: Diagnosis) -> dict[str, Any] | None:
    following = found.following
    if following is None:
        return None
    spot = following.task.spot
    return {
        "gate_set": following.task.gate_set.name, "what": following.task.what, "at": spot.port or spot.run or "collector",
        "from_collector": spot.distance, "why": why(design, found, following),
    }  # fmt: skip
