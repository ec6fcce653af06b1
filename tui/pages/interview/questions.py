"""A new design as an interview: the questions, what has been answered, and what is still wanted. Nothing is drawn here.

The answers are a design without ducts, however incomplete, so that a value
has its limits, its units and its text as everywhere else.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace

import tomli_w

from engine import catalog, edits
from engine.design import Collector, Design, Gate, GateSet, Hose, Machine, Stock, Straight, system
from engine.design.consistency import MOST_GATE_SETS, mistakes
from engine.design.from_catalog import plain_name, ports_of_kind, stock_of
from engine.design.places import MACHINES, MachineAt
from engine.files import design_file
from engine.files.design_reader import Reader, TypedNumber
from engine.search.layouts.drafting import draft
from engine.search.layouts.shop_defaults import USUAL_STOCK, each_alone, in_store
from engine.units import parse, show
from engine.units.words import counted

MOST_MACHINES = 60
NAME = "new design"
FORMAT = 1
# Rows of the design that the questions are about, by the first key of a mistake's path.
_ASKED_BY = {"collector": "curve", "gate_set": "together", "machine": "machines", "stock": "store", "conveying": "conveyed"}


@dataclass(frozen=True, slots=True)
class Answers:
    """What has been answered so far.

    `shop` holds the answers, its gate sets those of machines that work
    together; `alone`: each machine works alone too. `kinds` are the names of
    the machines' kinds, "" for none of the catalog. `given` are the questions
    answered, if only by taking what was offered; `at` is the present one.
    """

    shop: Design
    kinds: tuple[str, ...] = ()
    given: frozenset[str] = frozenset()
    alone: bool = True
    at: str = "units"

    @property
    def units(self) -> str:
        """The units a plain number is in."""
        return system(self.shop)

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


@dataclass(frozen=True, slots=True)
class Question:
    """A row of the list: what is asked and the answer so far. `state`: given, offered, or wanted before there can be a draft."""

    key: str
    label: str
    answer: str
    state: str = "offered"
    machine: int | None = None


def blank(name: str = NAME) -> Answers:
    """Nothing answered; `name` is offered as the design's name."""
    return Answers(Design(name=name, collector=Collector(inlet=parse("150 mm", "bore"))))


def untouched(answers: Answers) -> bool:
    """Whether nothing has been answered that would be worth keeping."""
    fresh = blank(answers.shop.name)
    return replace(answers, at=fresh.at) == fresh


def questions(answers: Answers) -> tuple[Question, ...]:
    """Every question in order, with the answer so far."""
    shop, lacking = answers.shop, wanted(answers)

    def asked(key: str, label: str, answer: str, offered: str = "") -> Question:
        state = "wanted" if key in lacking else "given" if answer or key in answers.given else "offered"
        return Question(key, label, lacking.get(key) or answer or offered, state)

    return (
        asked("units", "units", shop.display or "", "metric"),
        asked("name", "name", shop.name if "name" in answers.given else "", shop.name),
        asked("conveyed", "conveyed", shop.conveying.material or "", catalog.conveyed_materials()[0]),
        asked("machines", "machines", counted(len(shop.machines), "machine") if shop.machines else ""),
        *(
            Question(f"machine {i}", machine.id, _place(machine) or "along a wall", "given" if _place(machine) else "offered", i)
            for i, machine in enumerate(shop.machines)
        ),
        asked("curve", "curve", _curve(shop.collector)),
        asked("inlet", "inlet", shop.collector.inlet.text),
        asked("place", "collector", _place(shop.collector), "by the machines"),
        asked("store", "in store", _store(shop.stock), _usual_store(answers)),
        asked("together", "at once", _sets(answers), "each alone"),
        asked("draft", "first draft", "", "can be made"),
    )


def wanted(answers: Answers) -> dict[str, str]:
    """Question -> what is wanted of it before there can be a draft."""
    found: dict[str, str] = {}
    if not answers.shop.machines:
        found["machines"] = "none yet"
    if "inlet" not in answers.given:
        found["inlet"] = "its bore"
    for mistake in mistakes(finished(answers)):
        found.setdefault(
            _ASKED_BY.get(str(mistake.path[0]), "draft"), _lacking(answers, str(mistake.path[0])) or f"{mistake.found}; {mistake.wanted}"
        )
    if found:
        found.setdefault("draft", f"{counted(len(found), 'answer')} more")
    return found


def _lacking(answers: Answers, key: str) -> str:
    collector = answers.shop.collector
    if key != "collector":
        return ""
    if collector.curve:
        return "one point more" if len(collector.curve) == 1 else "a pressure above 0"
    return "largest suction" if collector.free_air else "free air" if collector.max_suction else "no points yet"


def finished(answers: Answers) -> Design:
    """The shop as it is drafted from: what has been answered, its gate sets complete, and no ducts."""
    alone = each_alone(answers.shop.machines) if answers.alone else ()
    sets = list(alone)
    for made in answers.shop.gate_sets:
        if made.open not in {known.open for known in sets}:
            sets.append(replace(made, name=edits.fresh_name(made.name, {known.name for known in sets})))
    return replace(answers.shop, gate_sets=tuple(sets))


def drafted(answers: Answers) -> Design:
    """The first draft; only where nothing is wanted."""
    return draft(finished(answers))


# ---- changes


def with_machines(answers: Answers, kind: catalog.MachineKind | None, count: int) -> Answers:
    """Some machines of a kind more, as many as there may be; None for one of the user's own figures."""
    shop, added = answers.shop, min(count, MOST_MACHINES - len(answers.shop.machines))
    for _ in range(added):
        place = MachineAt(len(shop.machines))
        if kind is None:
            made = edits.new_item(shop, place)
        else:
            name = edits.fresh_name(plain_name(kind), edits.names_taken(shop, MACHINES, Machine))
            made = Machine(id=name, ports=ports_of_kind(kind))
        shop = edits.insert(shop, place, made)
    return replace(answers, kinds=(*answers.kinds, *[kind.name if kind else ""] * added)).with_shop(shop)


def without_machine(answers: Answers, index: int) -> Answers:
    """Without the machine at an index, and without it in what works together."""
    kinds = (*answers.kinds[:index], *answers.kinds[index + 1 :])
    return replace(answers, kinds=kinds).with_shop(edits.delete(answers.shop, MachineAt(index)))


def with_family(answers: Answers, family: str) -> Answers:
    """With a family of pipe or hose in the store or, where it was, without."""
    held = tuple(stock for stock in answers.shop.stock if stock.id != family)
    stock = held if len(held) < len(answers.shop.stock) else (*held, stock_of(catalog.pipe_family(family)))
    return answers.with_shop(replace(answers.shop, stock=stock))


def with_size(answers: Answers, family: str, nominal: str) -> Answers:
    """With a size of a family in the store or, where it was, without."""

    def other(stock: Stock) -> Stock:
        sizes = (replace(size, in_store=False if size.in_store is not False else None) if size.nominal == nominal else size for size in stock.sizes)
        return replace(stock, sizes=tuple(sizes)) if stock.id == family else stock

    return answers.with_shop(replace(answers.shop, stock=tuple(map(other, answers.shop.stock))))


def room_for_sets(answers: Answers) -> int:
    """How many more gate sets there may be."""
    return MOST_GATE_SETS - len(finished(answers).gate_sets)


def kind_of(answers: Answers, index: int) -> catalog.MachineKind | None:
    """The kind of the catalog that a machine still is; None where its figures are the user's own."""
    name, ports = answers.kinds[index], answers.shop.machines[index].ports
    return next((kind for kind in catalog.machine_kinds() if kind.name == name and ports_of_kind(kind) == ports), None)


# ---- in a file


def dumps(answers: Answers) -> str:
    """The answers as TOML."""
    head = {"interview": FORMAT, "at": answers.at, "given": sorted(answers.given), "alone": answers.alone, "kinds": list(answers.kinds)}
    return tomli_w.dumps(head) + design_file.dumps(answers.shop)


def loads(text: str) -> Answers | None:
    """The answers in a text; None where it holds none that can be read."""
    try:
        raw = tomllib.loads(text, parse_float=TypedNumber)
    except (ValueError, RecursionError):
        return None
    head = {key: raw.pop(key, None) for key in ("interview", "at", "given", "alone", "kinds")}
    if head["interview"] != FORMAT or not isinstance(head["at"], str):
        return None
    reader = Reader(raw)
    shop = reader.design()
    if reader.found or shop is None or shop.runs:
        return None
    given, kinds = (list(map(str, head[key])) if isinstance(head[key], list) else [] for key in ("given", "kinds"))
    kinds = [*kinds, *[""] * len(shop.machines)][: len(shop.machines)]
    known = {question.key for question in questions(blank())}
    return Answers(shop, tuple(kinds), frozenset(known.intersection(given)), head["alone"] is not False, head["at"])


# ---- answers in short


def _place(item: Collector | Machine) -> str:
    ways = (getattr(item, way) for way in ("east", "north", "up"))
    place = ", ".join(value.text if value else "-" for value in ways)
    return "" if place == "-, -, -" else place


def _curve(collector: Collector) -> str:
    if collector.curve:
        return f"{counted(len(collector.curve), 'point')} to {collector.curve[-1].flow.text}"
    return f"a guess from {collector.free_air.text}" if collector.free_air else ""


def _store(stock: tuple[Stock, ...]) -> str:
    shop = in_store(Design(name=NAME, collector=blank().shop.collector, stock=stock))
    return "; ".join(f"{held.id} {' '.join(size.nominal for size in held.sizes)}" for held in shop.stock)


def _usual_store(answers: Answers) -> str:
    return ", ".join(USUAL_STOCK[answers.units])


def _sets(answers: Answers) -> str:
    sets = [gate_set.name for gate_set in answers.shop.gate_sets]
    if answers.alone and not sets:
        return ""
    return ", ".join([*(["each alone"] if answers.alone else []), *sets])


def made_of(design: Design) -> tuple[str, ...]:
    """What a draft is made of, a line each: its branches, and the lengths of pipe and hose by size."""
    lengths: dict[str, float] = {}
    branches = 0
    for run in design.runs:
        for piece in run.pieces:
            branches += isinstance(piece, Gate)
            if isinstance(piece, (Straight, Hose)):
                size = (None if isinstance(piece, Straight) else piece.size) or run.size or ""
                lengths[size] = lengths.get(size, 0.0) + piece.length.si
    pipe = (f"{show(metres, 'length', system(design), digits=1)} of {size}" for size, metres in sorted(lengths.items()))
    return (counted(branches, "gated branch", "gated branches"), *pipe)
