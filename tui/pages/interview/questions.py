"""The questions of the interview in the order they are met in the shop, each with its answer so far. Nothing is drawn here."""

from __future__ import annotations

from engine import catalog
from engine.design import Collector, Design, Gate, Hose, Machine, Stock, Straight, system
from engine.search.layouts.shop_defaults import USUAL_STOCK, in_store
from engine.survey.answers import Answers, blank, wanted
from engine.survey.floor import floor_text
from engine.units import show
from engine.units.words import counted
from engine.values import dataclass


@dataclass(frozen=True, slots=True)
class Question:
    """A row of the list: what is asked and the answer so far. `state`: given, offered, or wanted before there can be a draft.

    `row`: which machine or which stock of the store it is about.
    """

    key: str
    label: str
    answer: str
    state: str = "offered"
    row: int | None = None


def questions(answers: Answers) -> tuple[Question, ...]:
    """Every question in order, with the answer so far."""
    shop, lacking = answers.shop, wanted(answers)

    def asked(key: str, label: str, answer: str, offered: str = "", row: int | None = None) -> Question:
        state = "wanted" if key in lacking else "given" if answer or key in answers.given else "offered"
        return Question(key, label, lacking.get(key) or answer or offered, state, row)

    def said(key: str, one: str) -> str:
        count = len(answers.lines(key))
        return counted(count, one) if count else ""

    site = shop.site
    return (
        asked("units", "units", shop.display or "", "metric"),
        asked("name", "name", shop.name if "name" in answers.given else "", shop.name),
        asked("room", "room", _room(site.room), "no walls known"),
        asked("ceiling", "ceiling", site.height.text if site.height else "", "not known"),
        asked("doors", "doors", said("doors", "door"), "none"),
        asked("posts", "posts", said("posts", "post"), "none"),
        asked("free", "keep free", said("free", "place"), "nothing"),
        asked("place", "collector", "; ".join(filter(None, (_place(shop.collector), said("place", "place")))), "by the machines"),
        asked("conveyed", "conveyed", shop.conveying.material or "", catalog.conveyed_materials()[0]),
        asked("machines", "machines", counted(len(shop.machines), "machine") if shop.machines else ""),
        *(asked(f"machine {i}", machine.id, _place(machine), "along a wall", i) for i, machine in enumerate(shop.machines)),
        asked("together", "at once", _sets(answers), "each alone"),
        asked("store", "in store", _store(shop.stock), ", ".join(USUAL_STOCK[answers.units])),
        *(asked(f"stock {i}", stock.id, _prices(stock), "no prices", i) for i, stock in enumerate(shop.stock)),
        asked("curve", "curve", _curve(shop.collector)),
        asked("inlet", "inlet", shop.collector.inlet.text),
        asked("choices", "choose from", ", ".join(one.id for one in shop.collector_choices), "no other"),
        asked("hanging", "hangs", said("hanging", "line"), "nothing yet"),
        asked("draft", "first draft", "", "can be made"),
    )


def progress(asked: tuple[Question, ...]) -> str:
    """How many are answered; the pages of single machines and of stock belong to their lists."""
    whole = [question for question in asked if question.row is None]
    return f"{sum(question.state == 'given' for question in whole)} of {len(whole)} answered"


def following(answers: Answers, key: str) -> str:
    """The question after one."""
    keys = [question.key for question in questions(answers)]
    return keys[min(keys.index(key) + 1, len(keys) - 1)]


def before(answers: Answers, key: str) -> str:
    """The question before one."""
    keys = [question.key for question in questions(answers)]
    return keys[max(keys.index(key) - 1, 0)]


# ---- answers in short


def _room(room: tuple[object, ...]) -> str:
    return floor_text(room) if len(room) in (0, 4) else counted(len(room), "corner")  # type: ignore[arg-type]


def _place(item: Collector | Machine) -> str:
    ways = (getattr(item, way) for way in ("east", "north", "up"))
    if item.east is None and item.north is None:
        return ""
    return ", ".join(value.text if value else "-" for value in ways)


def _curve(collector: Collector) -> str:
    if collector.curve:
        return f"{counted(len(collector.curve), 'point')} to {collector.curve[-1].flow.text}"
    return f"a guess from {collector.free_air.text}" if collector.free_air else ""


def _store(stock: tuple[Stock, ...]) -> str:
    shop = in_store(Design(name="store", collector=blank().shop.collector, stock=stock))
    return "; ".join(f"{held.id} {' '.join(size.nominal for size in held.sizes)}" for held in shop.stock)


def _prices(stock: Stock) -> str:
    count = sum(size.price is not None for size in stock.sizes)
    return counted(count, "price") if count else ""


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
