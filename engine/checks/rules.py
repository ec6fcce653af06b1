"""What a finding rests on: its limits, their source and what to do, from `catalog/data/findings.toml`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, Protocol

from engine.catalog.finding_limits import finding_limits
from engine.catalog.limits import Limit
from engine.catalog.tables import read
from engine.design import OwnLimit
from engine.design.places import PieceAt, Place
from engine.values import dataclass

if TYPE_CHECKING:  # the look loads the solver, which the words of a finding can do without
    from engine.checks.look import Look
    from engine.checks.one_run import Made
    from engine.checks.shop import Shop

Severity = Literal["fault", "caution", "note"]
SEVERITIES: tuple[Severity, ...] = ("fault", "caution", "note")
Concern = Literal["fit", "need", "settling", "harm", "comfort"]
CONCERNS: tuple[Concern, ...] = ("fit", "need", "settling", "harm", "comfort")
_SEVERITY, _CONCERN = ({name: at for at, name in enumerate(names)} for names in (SEVERITIES, CONCERNS))
NO_FIGURES: Mapping[str, str] = MappingProxyType({})


class Limited(Protocol):
    """What has limits of its own: a design, or what checks look at of it."""

    @property
    def limits(self) -> tuple[OwnLimit, ...]:
        """Each in place of a published one."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One finding's ground: its limits by name, SI. `source` is "" where each finding cites the limit that it applies.

    `remedies` are those for one limit or one case alone, by its name.
    """

    code: str
    concerns: Concern
    limits: Mapping[str, Limit]
    remedy: str
    source: str
    remedies: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Measure:
    """A value beside the limit that it is past, SI, of a dimension of `engine.units`; `told` is the value as the message has it.

    Two that are told alike are equal, whatever their last digits.
    """

    value: float = field(compare=False)
    limit: float = field(compare=False)
    dimension: str
    told: str


class Finding(NamedTuple):
    """One thing a check reports.

    `place` is that of a run, a piece, a port or the collector in the design
    that was checked, `where` its name there: a run id, "machine/port",
    "collector". `gate_set` is the set it happens in, None where it always
    holds. `message` is in the design's units. `accepted` is why the owner
    leaves it as it is, None where nobody accepted it. `concerns` is the class of
    condition: it cannot be built so, a machine goes short, chips stay behind,
    any other harm, comfort. `measure` is the figure that it is about, None
    where there is none.
    """

    code: str
    severity: Severity
    place: Place
    where: str
    message: str
    remedy: str
    source: str
    gate_set: str | None = None
    accepted: str | None = None
    measure: Measure | None = None

    @property
    def piece(self) -> int | None:
        """Index of the piece in its run, None where it is about no piece."""
        return self.place.piece if isinstance(self.place, PieceAt) else None

    @property
    def concerns(self) -> Concern:
        """Its class of condition."""
        return rules()[self.code].concerns

    @property
    def rank(self) -> tuple[int, int]:
        """Where it stands among others: the worst first, of one severity in the order of CONCERNS; what is accepted last."""
        return _rank(self.code, self.severity, bool(self.accepted))


@cache
def _rank(code: str, severity: Severity, accepted: bool) -> tuple[int, int]:
    return (len(SEVERITIES) if accepted else 0) + _SEVERITY[severity], _CONCERN[rules()[code].concerns]


@cache
def rules() -> Mapping[str, Rule]:
    """Every rule by its code."""
    return {code: _rule(code, row) for code, row in read("findings").items()}


def _rule(code: str, row: Mapping[str, Any]) -> Rule:
    source = row.get("source", "")
    return Rule(code, row["concerns"], finding_limits()[code], row["remedy"], source, row.get("remedies", {}))


def finding(
    look: Look | Made | Shop, code: str, severity: Severity, place: Place, message: str,
    *, by: str | Limit | None = None, gate_set: str | None = None, figures: Mapping[str, str] = NO_FIGURES, measure: Measure | None = None,
) -> Finding:  # fmt: skip
    """A finding with its rule's remedy. `by` is the limit that it applies, or its name in the rule: its source and remedy go before the rule's.

    `figures` are those that the remedy leaves open, by name.
    """
    rule = rules()[code]
    ground = limit_of(look.ground, code, by) if isinstance(by, str) else by
    remedy = rule.remedies.get(by, rule.remedy) if isinstance(by, str) else rule.remedy
    source = ground.source if ground else rule.source
    return Finding(
        code, severity, place, look.name_of(place), message, remedy.format(**figures) if figures else remedy, source, gate_set, None, measure
    )


def limit(design: Limited | None, code: str, name: str) -> float:
    """A limit of a rule in a design, the published one for None, SI or a bare number; KeyError where there is none."""
    return limit_of(design, code, name).value


def limit_of(design: Limited | None, code: str, name: str) -> Limit:
    """A limit of a rule in a design: its own with the reason for it, else the published one; KeyError where there is none."""
    known = finding_limits()[code][name]
    if design is None or not design.limits:
        return known
    own = next((own for own in design.limits if own.of == f"{code}.{name}"), None)
    return Limit(known.read(own.is_), f"the shop's own limit: {own.reason}") if own else known
