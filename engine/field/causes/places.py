"""What may be read of a design: the places of its baseline and of its test sheet, in every gate set that makes sense."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.design import Design, gate_sets_of
from engine.field.causes.lineup import Lineup, why_not
from engine.field.causes.weighing import Seen, same_reading
from engine.field.expected import Task
from engine.field.sheet import spot_of_stop, stops


def places(design: Design, lineup: Lineup, state: str, baseline: Sequence[Seen]) -> list[Task]:
    """What may be read and is foreseen: where the baseline was, then the test sheet of each gate set."""
    found: list[Task] = []
    for task in (*(Task(seen.task.what, seen.task.spot, seen.task.gate_set, state) for seen in baseline), *_sheet(design, lineup, state)):
        if not any(same_reading(task, other) for other in found) and why_not(lineup, task) is None:
            found.append(task)
    return found


def _sheet(design: Design, lineup: Lineup, state: str) -> Iterator[Task]:
    for gate_set in (each for each in gate_sets_of(design) if lineup.conditions[0].ask(each).open_ports):
        for stop in stops(design, gate_set):
            yield Task(stop.what, spot_of_stop(design, stop), gate_set, state)
