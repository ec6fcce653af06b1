"""The rules of what is decided and measured: limits and readings that can be read, names of their own.

What a record points at may be gone: that is no mistake.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache

from engine.catalog.finding_limits import FindingLimit, finding_limits
from engine.design import Design, Reading
from engine.design.mistake import Breach, Breaches, nearest_word, quoted, unique
from engine.design.model import READ
from engine.units import Quantity, UnitError, parse, parse_number, wanted_text

# Earlier and later dates are slips of the hand.
FIRST_DAY, LAST_DAY = date(1900, 1, 1), date(2199, 12, 31)


@cache
def known_limits() -> Mapping[str, FindingLimit]:
    """Every limit of a finding by its reference, "long-hose.poor"."""
    return {f"{code}.{name}": limit for code, limits in finding_limits().items() for name, limit in limits.items()}


def reading_value(reading: Reading) -> Quantity:
    """What was read, SI. Raises UnitError where its text is none."""
    return parse(reading.value, READ[reading.what])


def accepted_findings(design: Design) -> Breaches:
    """Findings that may stay are findings there are."""
    for i, accepted in enumerate(design.accepted):
        if accepted.finding not in finding_limits():
            nearest = nearest_word(accepted.finding, finding_limits())
            yield Breach(("accepted", i, "finding"), f"{quoted(accepted.finding)}, which is not known", "the code of a finding", nearest)


def own_limits(design: Design) -> Breaches:
    """Limits set for the shop are limits there are, each once, and above 0."""
    limits = known_limits()
    yield from unique(("limit",), "of", (own.of for own in design.limits))
    for i, own in enumerate(design.limits):
        if own.of not in limits:
            found, wanted = f"{quoted(own.of)}, which is not known", 'a limit of a finding, "finding.limit"'
            yield Breach(("limit", i, "of"), found, wanted, nearest_word(own.of, limits))
            continue
        yield from _readable(("limit", i, "is"), own.is_, limits[own.of].dimension, least=0.0)


def readings(design: Design) -> Breaches:
    """What was read can be read again; it was taken in one place."""
    for i, reading in enumerate(design.readings):
        if reading.what not in READ:
            continue
        yield from _readable(("reading", i, "value"), reading.value, READ[reading.what])
        yield from _readable(("reading", i, "give_or_take"), reading.give_or_take, READ[reading.what], least=0.0)
        places = [key for key in ("at", "port", "test_point") if getattr(reading, key) is not None]
        if len(places) > 1:
            yield Breach(("reading", i, places[1]), f"{places[1]} beside {places[0]}", "one place: at, port or test_point")
        if reading.from_collector is not None and reading.at is None:
            yield Breach(("reading", i, "from_collector"), "from_collector without at", "the run it was taken in as at")


def _readable(path: tuple[str | int, ...], text: str | None, dimension: str, least: float | None = None) -> Breaches:
    """Whether a text is a value of a dimension, "" for a bare number, and more than the `least`."""
    if text is None:
        return
    try:
        value = parse(text, dimension).si if dimension else parse_number(text)
    except UnitError as error:
        yield Breach(path, f"{quoted(text)}, which {error.found}", wanted_text(dimension))
        return
    if least is not None and value <= least:
        yield Breach(path, quoted(text), f"more than {least:g}")


def record_names(design: Design) -> Breaches:
    """Test points and collectors to choose from have names of their own."""
    yield from unique(("test_point",), "id", (point.id for point in design.test_points))
    yield from unique(("collector_choice",), "id", (choice.id for choice in design.collector_choices))


def store(design: Design) -> Breaches:
    """The store file stands beside the design, its name without a way to it; what it lists is in the design."""
    name = design.store
    if name is not None and (name in (".", "..") or set(name) & set("/\\") or name.startswith("~")):
        yield Breach(("store",), quoted(name), "the name of a file beside the design, such as store.toml")
    held = {stock.id for stock in design.stock}
    for stock in design.shelf.stock if design.shelf and design.shelf.name == name else ():
        if stock.id not in held:
            yield Breach(("stock",), f"without {quoted(stock.id)}, which {name} lists", "all that the store file lists: take it out there")


def dates(design: Design) -> Breaches:
    """Dates are of days somebody worked on."""
    for path, day in _dates(design):
        if day is not None and not FIRST_DAY <= day <= LAST_DAY:
            yield Breach(path, day.isoformat(), f"a date from {FIRST_DAY.year} to {LAST_DAY.year}")


def _dates(design: Design) -> Iterator[tuple[tuple[str | int, ...], date | None]]:
    yield from ((("accepted", i, "date"), accepted.date) for i, accepted in enumerate(design.accepted))
    yield from ((("reading", i, "date"), reading.date) for i, reading in enumerate(design.readings))
    yield from ((("log", i, "date"), entry.date) for i, entry in enumerate(design.log))
    yield ("tuned", "date"), design.tuned.date
    yield ("tuned", "since"), design.tuned.since


def tuned_ports(design: Design) -> Breaches:
    """A port is tuned once."""
    yield from unique(("tuned", "port"), "port", (own.port for own in design.tuned.own_ports))
