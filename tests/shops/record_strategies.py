"""What is decided and measured in a design, for hypothesis; what it points at may be gone. Invented data."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from engine.design import (
    READ,
    Accepted,
    CollectorChoice,
    CollectorLoss,
    CurvePoint,
    GaugePoint,
    LeftOver,
    LogEntry,
    OwnLimit,
    Reading,
    Tuned,
    TunedPort,
)
from engine.design.entries import Entry
from engine.design.rules.record import known_limits
from engine.units import parse, unit_list
from tests.shops.value_strategies import NAMES, items, quantities

_PLACES = ({}, {"at": "main"}, {"at": "main", "from_collector": parse("1 m", "length")}, {"port": "saw/hood"}, {"test_point": "A"})
_STILL, _FREE = (("0 cfm", "2 kPa"), ("1 m3/s", "0 Pa"))
_CURVE = tuple(CurvePoint(flow=parse(flow, "flow"), pressure=parse(pressure, "pressure")) for flow, pressure in (_STILL, _FREE))


@st.composite
def _readings(draw: st.DrawFn) -> Reading:
    what = draw(st.sampled_from(tuple(READ)))
    value, spread = (draw(quantities(Entry("value", "quantity", "", dimension=READ[what], low=low, high=5.0))).text for low in (-1.0, 0.5))
    place = draw(st.sampled_from(_PLACES))
    return draw(items(Reading, what=what, value=value, give_or_take=draw(st.sampled_from([None, spread])), **place))


@st.composite
def _own_limits(draw: st.DrawFn, of: str) -> OwnLimit:
    dimension = known_limits()[of].dimension
    return draw(items(OwnLimit, of=of, is_=f"2.5 {unit_list(dimension).split(', ')[0]}" if dimension else "1.5"))


@st.composite
def _choices(draw: st.DrawFn, name: str) -> CollectorChoice:
    losses = tuple(draw(st.lists(items(CollectorLoss), max_size=1)))
    return draw(items(CollectorChoice, id=name, curve=draw(st.sampled_from([(), _CURVE])), losses=losses))


@st.composite
def records(draw: st.DrawFn) -> dict[str, Any]:
    """What was decided and measured; what it points at may be gone."""
    limits = draw(st.lists(st.sampled_from(tuple(known_limits())), max_size=2, unique=True))
    return {
        "collector_choices": tuple(draw(_choices(name)) for name in draw(st.lists(NAMES, max_size=1))),
        "accepted": tuple(draw(st.lists(items(Accepted), max_size=2))),
        "limits": tuple(draw(_own_limits(of)) for of in limits),
        "test_points": tuple(draw(st.lists(items(GaugePoint), max_size=2, unique_by=lambda point: point.id))),
        "readings": tuple(draw(st.lists(_readings(), max_size=2))),
        "tuned": draw(items(Tuned, own_ports=tuple(draw(st.lists(items(TunedPort), max_size=2, unique_by=lambda own: own.port))))),
        "left_over": tuple(draw(st.lists(items(LeftOver), max_size=2))),
        "log": tuple(draw(st.lists(items(LogEntry), max_size=2))),
    }
