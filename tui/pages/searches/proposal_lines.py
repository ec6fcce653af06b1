"""Proposals of a search as lines: a table of what was found so far, and one proposal beside the design as it is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from engine.design import Design
from engine.design.differences import changes
from engine.search.proposals import Proposal, Standing, Step
from engine.units.words import share_text, shares_beside
from engine.values import dataclass
from tui.draw.charts import Mark, Span, scatter
from tui.draw.glyphs import Glyphs
from tui.draw.lines import Line, line, shorten, text_of, wrapped
from tui.panes.item import Item

_NUMBER, _SHARE, _FAULTS, _CAUTIONS, _PRICE = 3, 9, 7, 9, 11
# A chart takes so many columns at most, and so many rows; it is drawn of two or more whose prices differ by so much.
_CHART, _FEWEST, _NO_MONEY = (60, 7), 2, 0.5
# Between the changes of a proposal that makes two.
_AND = ", and "
_FIGURES = _SHARE + _FAULTS + _CAUTIONS + _PRICE


@dataclass(frozen=True, slots=True)
class ProposalsView:
    """What the page shows: how the design stands, the search's last step if there is one, whether it goes on, and a caution about all.

    `chosen` is the proposal under the cursor, which the chart marks.
    """

    today: Standing
    step: Step | None
    working: bool
    width: int
    glyphs: Glyphs
    caution: str = ""
    charted: bool = False
    chosen: int | None = None


def items(view: ProposalsView) -> list[Item]:
    """The page; each proposal leads to its index. Where it is `charted`, their prices stand against what the neediest machine gets."""
    found = view.step.proposals if view.step else ()
    today, *shares = shares_beside(view.today.share, *(one.standing.share for one in found))
    rows = [
        _row(view, f"{at + 1:>2} ", one.title, one.standing, share, at, one.reason) for at, (one, share) in enumerate(zip(found, shares, strict=True))
    ]
    cautions = wrapped(view.caution, view.width, "caution")
    chart = [Item(tuple(_chart(view, found)))] if view.charted and found else []
    return [Item((*_progress(view), *cautions)), *chart, Item((_heading(view),)), _row(view, "   ", "as it is now", view.today, today), *rows]


def _chart(view: ProposalsView, found: Sequence[Proposal]) -> list[Line]:
    """Price against neediest: the proposals by their numbers, the chosen one in reverse, a ring for the design as it is; nothing for one alone."""
    told = [(f"{at + 1}", one.standing, "cursor" if at == view.chosen else "value") for at, one in enumerate(found)]
    told.sort(key=lambda of: of[2] != "cursor")
    if view.today.price:
        told.append((view.glyphs.marks["ring"], view.today, "dim"))
    marks = [Mark((one.price, one.share), text, role) for text, one, role in told if one.share is not None]
    prices, shares = ([mark.at[axis] for mark in marks] for axis in (0, 1))
    if len(marks) < _FEWEST or max(prices) - min(prices) < _NO_MONEY:
        return []
    price = Span(f"price, {len(found)} layouts", min(prices), max(prices), (f"{min(prices):.0f}", f"{max(prices):.0f}"))
    low, high = shares_beside(min(shares), max(shares))
    return scatter(marks, price, Span("neediest", min(shares), max(shares), (low, high)), min(view.width, _CHART[0]), _CHART[1], view.glyphs)


def _progress(view: ProposalsView) -> list[Line]:
    step = view.step
    if step is None:
        return wrapped("working; Esc leaves it", view.width, "dim")
    share = f" {share_text(step.done / step.of)}" if step.of else ""
    head = f"working{share}: " if view.working else ""
    tail = "; x stops here, Esc leaves it" if view.working else ""
    return [piece for text in f"{head}{step.said}{tail}".splitlines() for piece in wrapped(text, view.width, "text")]


def _heading(view: ProposalsView) -> Line:
    room = view.width - _NUMBER - _FIGURES
    heads = f"{'neediest':>{_SHARE}}{'faults':>{_FAULTS}}{'cautions':>{_CAUTIONS}}{'price':>{_PRICE}}"
    return line((f"{'':{_NUMBER}}{'change':<{room}}{heads}", "dim"))


def _row(view: ProposalsView, number: str, title: str, standing: Standing, share: str, leads: int | None = None, reason: str = "") -> Item:
    room = view.width - _NUMBER - _FIGURES
    title, *others = title.split(_AND)
    better = standing.share is not None and (view.today.share is None or standing.share > view.today.share + 5e-4)
    first, *rest = (text_of(piece) for piece in wrapped(title, room - 1))
    row = line(
        (number, "dim"), f"{first:<{room}}", (f"{share:>{_SHARE}}", "ok" if leads is not None and better else "value"),
        (f"{standing.faults:>{_FAULTS}}", "fault" if standing.faults else "text"), (f"{standing.cautions:>{_CAUTIONS}}", "text"),
        (f"{_price_text(view, standing, leads):>{_PRICE}}", "text"),
    )  # fmt: skip
    beside = [line(" " * _NUMBER, piece) for piece in rest]
    for other in others:
        beside += [line((f"{'':{_NUMBER}}and ", "dim"), *piece) for piece in wrapped(other, view.width - _NUMBER - 4)]
    return Item((row, *beside), leads, partial(_reason, view, reason))


def _reason(view: ProposalsView, reason: str) -> Iterator[Line]:
    return (line("    ", *piece) for piece in wrapped(reason, view.width - 4, "note"))


def _price_text(view: ProposalsView, standing: Standing, leads: int | None) -> str:
    if not view.today.price:
        return "none known" if leads is None else ""
    if leads is None:
        return f"{standing.price:.2f}"
    more = standing.price - view.today.price
    return f"{more:+.2f}" if abs(more) >= 0.005 else "="


def proposal_lines(design: Design, today: Standing, proposal: Proposal, width: int, glyphs: Glyphs, sets: Sequence[Line] = ()) -> list[Line]:
    """One proposal: the figures before and after, what is told of its gate `sets`, and what it changes."""
    after = proposal.standing
    lines = [*wrapped(proposal.title, width, "value"), *wrapped(proposal.reason, width, "text"), line(" ")]
    for name, before, later in _figures(today, after):
        values = ((before, "text"),) if before == later else ((f"{before} -> ", "text"), (later, "changed"))
        lines.append(shorten(line((f"{name:<18}", "dim"), *values), width, glyphs))
    lines += [*sets, line(" "), line(("what changes", "dim"))]
    names = zip(proposal.design.gate_sets, proposal.as_taken.gate_sets, strict=True)
    renamed = [f"gate set {old.name}: called {new.name} from then on" for old, new in names if old.name != new.name]
    for change in (*map(str, changes(design, proposal.design)), *renamed):
        first, *rest = wrapped(change, width - 4, "text") or [()]
        lines += [line("  ", *first), *(line("    ", *piece) for piece in rest)]
    return lines


def _figures(today: Standing, after: Standing) -> list[tuple[str, str, str]]:
    """Name, before and after of each figure."""
    share, later = shares_beside(today.share, after.share)
    return [
        ("neediest machine", share, later),
        ("which", today.port or "-", after.port or "-"),
        ("in gate set", today.gate_set or "-", after.gate_set or "-"),
        ("faults", str(today.faults), str(after.faults)),
        ("cautions", str(today.cautions), str(after.cautions)),
        ("price", today.price_text, after.price_text),
    ]
