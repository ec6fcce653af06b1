"""What has been answered of a shop, and the design that it makes: everything but the ducts.

The answers are a design without ducts, however incomplete, so that a value
has its limits, its units and its text as everywhere else; what was said line
by line, of doors and posts and of ducts that hang, is kept as it was said and
read against the room as it is then.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from pathlib import Path

from engine import catalog, edits
from engine.design import Collector, Design, GateSet, Machine, Site, Stock, system
from engine.design.from_catalog import plain_name, stock_of
from engine.design.model import COLLECTOR_PLACE
from engine.design.places import MACHINES, MachineAt
from engine.design.rules.consistency import MOST_GATE_SETS, mistakes
from engine.search.layouts.shop_defaults import each_alone
from engine.survey.machines import of_kind, ports_in, read_machine
from engine.survey.room import READERS, Placed, placed, with_zones
from engine.survey.standing import met_by_machine, met_by_zones, standing_wrong
from engine.survey.store import store_wrong
from engine.survey.walk import Walk, walked
from engine.units import make, parse, unit_name
from engine.units.words import counted
from engine.values import dataclass

MOST_MACHINES = 60
NAME = "new design"
# The question that a part of the design belongs to, by the first keys of a mistake's path.
_ASKED_BY = {
    "collector": "curve",
    "collector_choice": "choices",
    "gate_set": "together",
    "machine": "machines",
    "stock": "store",
    "conveying": "conveyed",
}
_OF_SITE = {"room": "room", "zone": "doors"}


@dataclass(frozen=True, slots=True)
class Answers:
    """What has been answered so far.

    `shop` holds the answers, its gate sets those of machines that work
    together; `alone`: each machine works alone too; `folder` is where its
    store file is looked for. `kinds` are the names of
    the machines' kinds, "" for none of the catalog. `said` are lines, each
    with the question it answers. `given` are the questions answered, if only
    by taking what was offered; `at` is the present one.
    """

    shop: Design
    kinds: tuple[str, ...] = ()
    said: tuple[tuple[str, str], ...] = ()
    given: frozenset[str] = frozenset()
    alone: bool = True
    at: str = "units"
    folder: str = ""

    @property
    def units(self) -> str:
        """The units a plain number is in."""
        return system(self.shop)

    @property
    def metre(self) -> str:
        """The unit that a plain length is in."""
        return unit_name("length", self.units)

    def lines(self, question: str) -> tuple[str, ...]:
        """The lines said to a question."""
        return tuple(text for key, text in self.said if key == question)

    def with_lines(self, question: str, lines: tuple[str, ...]) -> Answers:
        """The answers with other lines said to a question."""
        others = tuple(pair for pair in self.said if pair[0] != question)
        return replace(self, said=(*others, *((question, text) for text in lines)))

    def with_shop(self, shop: Design) -> Answers:
        """The answers with another shop: its gate sets named by their machines, none without."""
        sets: list[GateSet] = []
        for members in (gate_set.open for gate_set in shop.gate_sets if gate_set.open):
            name = edits.fresh_name(" + ".join(members), {made.name for made in sets})
            sets.append(GateSet(name=name, open=members))
        return replace(self, shop=replace(shop, gate_sets=tuple(sets)))

    def with_given(self, key: str) -> Answers:
        """The answers with a question answered."""
        return replace(self, given=self.given | {key})


def blank(name: str = NAME, folder: str = "") -> Answers:
    """Nothing answered; `name` is offered as the design's name."""
    return Answers(Design(name=name, collector=Collector(inlet=parse("150 mm", "bore"))), folder=folder)


def untouched(answers: Answers) -> bool:
    """Whether nothing has been answered that would be worth keeping."""
    fresh = blank(answers.shop.name, answers.folder)
    return replace(answers, at=fresh.at) == fresh


# ---- what it comes to


def wanted(answers: Answers) -> dict[str, str]:
    """Question -> what is wanted of it before there can be a draft."""
    found: dict[str, str] = {}
    if not answers.shop.machines:
        found["machines"] = "none yet"
    if "inlet" not in answers.given:
        found["inlet"] = "its bore"
    for question, reading in placed(answers.shop.site, _of_room(answers), answers.units):
        if isinstance(reading, ValueError):
            found.setdefault(question, str(reading))
    if wrong := next(iter(hung(answers).wrong.values()), ""):
        found["hanging"] = wrong
    for i, machine in enumerate(answers.shop.machines):
        if wrong := standing_wrong(answers.shop, machine):
            found[f"machine {i}"] = wrong
    if wrong := store_wrong(answers.shop, Path(answers.folder)):
        found["store"] = wrong
    for mistake in mistakes(finished(answers)):
        root, *rest = (str(step) for step in mistake.path)
        question = _OF_SITE.get(rest[0] if rest else "", "ceiling") if root == "site" else _ASKED_BY.get(root, "draft")
        found.setdefault(question, _lacking(answers.shop.collector) if root == "collector" else f"{mistake.found}; {mistake.wanted}")
    if found:
        found.setdefault("draft", f"{counted(len(found), 'answer')} more")
    return found


def _lacking(collector: Collector) -> str:
    if collector.curve:
        return "one point more" if len(collector.curve) == 1 else "a pressure above 0"
    return "largest suction" if collector.free_air else "free air" if collector.max_suction else "no points yet"


def _of_room(answers: Answers) -> list[tuple[str, str]]:
    return [pair for pair in answers.said if pair[0] in READERS]


def finished(answers: Answers) -> Design:
    """The shop as it is drafted from: what has been answered, the boxes in its room, its gate sets complete, and no ducts."""
    alone = each_alone(answers.shop.machines) if answers.alone else ()
    sets = list(alone)
    for made in answers.shop.gate_sets:
        if made.open not in {known.open for known in sets}:
            sets.append(replace(made, name=edits.fresh_name(made.name, {known.name for known in sets})))
    site = with_zones(answers.shop.site, _of_room(answers), answers.units)
    return replace(answers.shop, site=site, collector=_placed_in(site, answers), gate_sets=tuple(sets))


def _placed_in(site: Site, answers: Answers) -> Collector:
    """The collector; one without a place in the middle of the first place where it may stand."""
    collector, stand = answers.shop.collector, next((zone for zone in site.zones if zone.kind == COLLECTOR_PLACE), None)
    if stand is None or collector.east or collector.north:
        return collector
    east, north = ((low.si + high.si) / 2 for low, high in ((stand.west, stand.east), (stand.south, stand.north)))
    return replace(collector, east=make(east, "length", answers.units), north=make(north, "length", answers.units))


def zones_said(answers: Answers, question: str, index: int) -> frozenset[str]:
    """The names of the boxes in the room that one line of a question has made."""
    said = _of_room(answers)
    at = [i for i, pair in enumerate(said) if pair[0] == question][index : index + 1]
    readings = [reading for _, reading in placed(answers.shop.site, said, answers.units)]
    return frozenset(zone.name for i in at if isinstance(reading := readings[i], Placed) for zone in reading.zones)


def met_by_line(answers: Answers, question: str, index: int) -> str:
    """What the boxes of one line of a question reach into, in a line; "" for nothing."""
    return met_by_zones(finished(answers), zones_said(answers, question, index))


def hung(answers: Answers) -> Walk:
    """The ducts that hang already, in the shop as it is known."""
    return walked(finished(answers), answers.lines("hanging"))


# ---- changes


def with_machine(answers: Answers, text: str) -> tuple[Answers, str]:
    """A machine more, from a line, and how that was understood. Raises BadValue."""
    said = read_machine(answers.shop, answers.kinds, text)
    place = len(answers.shop.machines)
    shop = edits.insert(answers.shop, MachineAt(place), said.machine)
    after = replace(answers, kinds=(*answers.kinds, said.kind)).with_shop(shop)
    return after, "; ".join(filter(None, (met_by_machine(finished(after), place), said.told)))


def with_machines(answers: Answers, kind: catalog.MachineKind | None, count: int) -> Answers:
    """Some machines of a kind more, as many as there may be; None for one of the user's own figures."""
    shop, added = answers.shop, min(count, MOST_MACHINES - len(answers.shop.machines))
    for _ in range(added):
        place = MachineAt(len(shop.machines))
        if kind is None:
            made = edits.new_item(shop, place)
        else:
            name = edits.fresh_name(plain_name(kind), edits.names_taken(shop, MACHINES, Machine))
            made = of_kind(name, kind, answers.units)
        shop = edits.insert(shop, place, made)
    return replace(answers, kinds=(*answers.kinds, *[kind.name if kind else ""] * added)).with_shop(shop)


def as_kind(answers: Answers, index: int, kind: catalog.MachineKind) -> Answers:
    """With a machine of another kind: its ports and its body are that kind's, its name and its place stay."""
    before = answers.shop.machines[index]
    machine = replace(of_kind(before.id, kind, answers.units), east=before.east, north=before.north, moves=before.moves, hours=before.hours)
    machines = (*answers.shop.machines[:index], machine, *answers.shop.machines[index + 1 :])
    kinds = (*answers.kinds[:index], kind.name, *answers.kinds[index + 1 :])
    return replace(answers, kinds=kinds).with_shop(replace(answers.shop, machines=machines))


def without_machine(answers: Answers, index: int) -> Answers:
    """Without the machine at an index, and without it in what works together."""
    kinds = (*answers.kinds[:index], *answers.kinds[index + 1 :])
    return replace(answers, kinds=kinds).with_shop(edits.delete(answers.shop, MachineAt(index)))


def kind_of(answers: Answers, index: int) -> catalog.MachineKind | None:
    """The kind of the catalog that a machine still is; None where its figures are the user's own."""
    name, ports = answers.kinds[index], answers.shop.machines[index].ports
    return next((kind for kind in catalog.machine_kinds() if kind.name == name and ports_in(kind, answers.units) == ports), None)


def with_family(answers: Answers, family: str) -> Answers:
    """With a family of pipe or hose in the store, priced by the foot in imperial units, or, where it was, without.

    What the store file lists stays as it is.
    """
    if answers.shop.shelf and family in {stock.id for stock in answers.shop.shelf.stock}:
        return answers
    held = tuple(stock for stock in answers.shop.stock if stock.id != family)
    more = replace(stock_of(catalog.pipe_family(family)), price_per="ft" if answers.units == "imperial" else None)
    stock = held if len(held) < len(answers.shop.stock) else (*held, more)
    return answers.with_shop(replace(answers.shop, stock=stock))


def with_sizes(answers: Answers, family: str, nominals: Collection[str]) -> Answers:
    """With these sizes of a family in the store, and no others of it."""

    def held(stock: Stock) -> Stock:
        sizes = (replace(size, in_store=None if size.nominal in nominals else False) for size in stock.sizes)
        return replace(stock, sizes=tuple(sizes)) if stock.id == family else stock

    return answers.with_shop(replace(answers.shop, stock=tuple(map(held, answers.shop.stock))))


def room_for_sets(answers: Answers) -> int:
    """How many more gate sets there may be."""
    return MOST_GATE_SETS - len(finished(answers).gate_sets)
