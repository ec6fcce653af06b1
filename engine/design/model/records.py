"""What was decided, measured and done: kept with the design and read by nothing that computes air.

What a record points at may be gone from the design; the record stays.
"""

from __future__ import annotations

from datetime import date as Date  # noqa: N812  # a field of a record is called date

from engine.design.entries import POSITIVE, day, flag, number, quantity, reference, text
from engine.design.entries import choice as one_of
from engine.design.model.collector import FILTER_STATES
from engine.units import Quantity
from engine.values import dataclass

# What a reading may be of, with its dimension.
READ = {
    "suction": "pressure", "velocity pressure": "pressure", "speed": "speed", "flow": "flow", "filter drop": "pressure",
    "inlet suction": "pressure",
}  # fmt: skip
ANY_PLACE = "run, machine, port or gate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """A finding that the owner has looked at and leaves as it is."""

    finding: str = reference("finding", "finding", "the finding, by its code", required=True)
    at: str = reference("at", ANY_PLACE, "where it is: a run, a machine, a port, a gate, the collector", required=True, lasting=True)
    reason: str = text("reason", "why it may stay", required=True)
    date: Date | None = day("date", "when it was accepted")


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnLimit:
    """A limit of a finding that the owner sets for this shop."""

    of: str = reference("of", "limit", 'the finding and its limit, as "long-hose.poor"', required=True)
    is_: str = text("is", "the limit, with a unit where it has one", required=True)
    reason: str = text("reason", "why it is another here", required=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugePoint:
    """A place where a duct can be measured."""

    id: str = text("id", "short name", required=True)
    at: str = reference("at", "collector or run", "the run it is in", required=True, lasting=True)
    from_collector: Quantity | None = quantity(
        "from_collector", "length", "along the run, from its end towards the collector", low=0.0, high=1000.0, absent="its middle"
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One value measured in the shop."""

    date: Date | None = day("date", "when it was taken")
    gate_set: str | None = reference("gate_set", "gate set", "the gate set that was open", lasting=True)
    filter: str | None = one_of("filter", FILTER_STATES, "state of the filter then")
    what: str = one_of("what", tuple(READ), "what was measured", required=True)
    at: str | None = reference("at", "collector or run", "the run it was taken in, or the collector", lasting=True)
    port: str | None = reference("port", "port", "the port it was taken at", lasting=True)
    test_point: str | None = reference("test_point", "test point", "the test point it was taken at", lasting=True)
    from_collector: Quantity | None = quantity("from_collector", "length", "along the run, from its end towards the collector", low=0.0, high=1000.0)
    value: str = text("value", "what was read, with its unit", required=True)
    give_or_take: str | None = text("give_or_take", "how far it may be off, with its unit")
    instrument: str | None = text("instrument", "what it was measured with")
    baseline: bool | None = flag("baseline", "whether later readings are compared with it", absent=False)
    ducts: str | None = text("ducts", "mark of the ducts as they were then: another one now makes the reading stale")
    note: str | None = text("note", "anything worth knowing")


@dataclass(frozen=True, slots=True, kw_only=True)
class LogEntry:
    """Something that was done or seen."""

    date: Date = day("date", "when it was", required=True)
    text: str = text("text", "what was done or seen", required=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOver:
    """A part that was bought for a run, or hung in it, and that the run has no use for any more."""

    part: str = text("part", "what it is", required=True)
    size: str | None = reference("size", "stock size", "its stock size", lasting=True)
    length: Quantity | None = quantity("length", "length", "how long it is", high=1000.0, **POSITIVE)
    of: str = reference("of", "collector or run", "the run it was for", required=True, lasting=True)
    worth: float | None = number("worth", "its price, in the currency of the stock's", low=0.0, high=1e9)
