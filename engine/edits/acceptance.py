"""Findings accepted as they are, and taken back: by their code and the place they are at."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from engine.design import Accepted, Design
from engine.design.names import places_by_name
from engine.design.places import Place, whole
from engine.edits.refusal import EditError

# The code of a finding, and where it is.
Told = tuple[str, Place]


def accept(design: Design, told: Iterable[Told], reason: str, day: date) -> Design:
    """The design with findings accepted for a reason, each at its place or, of a piece, at its run.

    Raises EditError where a finding is at no run, machine, port, gate or collector.
    """
    names = {place: name for name, place in places_by_name(design).items()}
    found: dict[tuple[str, str], Accepted] = {}
    for code, place in told:
        name = names.get(place) or names.get(whole(place))
        if name is None:
            raise EditError(f"{code} is about the design as a whole: only what is at a run, a machine or the collector is accepted")
        found[code, name] = Accepted(finding=code, at=name, reason=reason, date=day)
    return replace(design, accepted=(*design.accepted, *found.values()))


def take_back(design: Design, told: Iterable[Told]) -> Design:
    """The design with findings accepted no more."""
    places, gone = places_by_name(design), {(code, at) for code, place in told for at in (place, whole(place))}
    return replace(design, accepted=tuple(one for one in design.accepted if (one.finding, places.get(one.at)) not in gone))
