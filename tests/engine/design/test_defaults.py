"""Each default once: what the entries show, what the form shows and what is computed are one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.air.losses.gates import open_gate
from engine.air.properties import air_of
from engine.checks.assess import assess
from engine.design import Design, Gate, Site, defaults
from engine.design.entries import Entry, entries
from engine.units import Quantity, parse
from tests.shops import two_drops


def every_entry(cls: type = Design) -> list[tuple[type, str, Entry]]:
    found = []
    for name, entry in entries(cls).items():
        found.append((cls, name, entry))
        if entry.kind in ("list", "table") and hasattr(entry.item, "__dataclass_fields__"):
            found += every_entry(entry.item)
    return found


@pytest.mark.parametrize("name", [name for name, value in vars(defaults).items() if isinstance(value, Quantity)])
def test_a_default_s_text_and_value_are_one(name):
    value = getattr(defaults, name)
    dimension = next(entry.dimension for _, _, entry in every_entry() if entry.absent is value)
    assert parse(value.text, dimension) == value


def test_a_default_lies_within_its_entry_s_limits():
    for cls, name, entry in every_entry():
        absent = entry.absent() if callable(entry.absent) else entry.absent
        value = absent.si if isinstance(absent, Quantity) else absent
        if isinstance(value, float) and not isinstance(value, bool):
            assert entry.low <= value <= entry.high, (cls, name)
        if entry.kind == "choice" and isinstance(absent, str) and cls.__name__ not in ("Elbow", "Leakage"):
            assert absent in entry.choices, (cls, name)


def test_what_holds_when_nothing_is_said_is_what_is_computed():
    """A design that says every default has the findings and the flows of one that says none."""
    design = two_drops.design()
    said = replace(design, site=Site(altitude=defaults.ALTITUDE, temperature=defaults.TEMPERATURE, humidity=defaults.HUMIDITY))
    said = replace(said, collector=replace(design.collector, basis=defaults.BASIS, density=defaults.CURVE_DENSITY, filter=defaults.FILTER))
    runs = tuple(
        replace(
            run,
            angle=run.angle if run.as_ is None else defaults.BRANCH_ANGLE,
            taper=run.taper or (defaults.TAPER if run.as_ is None else None),
            pieces=tuple(
                replace(piece, loss=defaults.gate_loss()) if isinstance(piece, Gate) and piece.loss is None else piece for piece in run.pieces
            ),
        )
        for run in design.runs
    )
    said = replace(said, runs=runs)
    assert said != design
    for one, other in zip(assess(said).sets, assess(design).sets, strict=True):
        assert one.balance.flow == pytest.approx(other.balance.flow, rel=1e-12)
    assert air_of(Site()) == air_of(said.site) and open_gate() == defaults.gate_loss()
