"""Findings about what the ducts are made of: whether the store has it, whether it fits together, whether it can be earthed."""

from __future__ import annotations

from collections.abc import Iterator

from engine.catalog.joining import practice
from engine.catalog.limits import under
from engine.checks.look import Look
from engine.checks.one_run import Made, of_made
from engine.checks.rules import Finding, Severity, finding, limit
from engine.checks.shop import Shop, of_shop
from engine.checks.subjects.earthing import insulating_pipes
from engine.design import Run, Stock, StockSize
from engine.design.kept import ROWS, kept
from engine.design.mistake import quoted
from engine.design.places import STOCK
from engine.space.fitted import Pipe, fitted_runs
from engine.units.words import listed

# So many sizes are named.
_MOST_SIZES = 4
_Size = tuple[Stock, StockSize]


@of_made
def not_in_store(made: Made) -> Iterator[Finding]:
    """Runs and hoses of a size that the store has not."""
    for name, piece in ((made.run.size, None), *((hose.size, i) for i, hose in made.hoses)):
        if name and made.ground.sizes[name][1].in_store is False:
            yield finding(made, "not-in-store", "note", made.place(piece), f"of {name}, which the store has not")


def does_not_mate(look: Look) -> Iterator[Finding]:
    """Pipes of about one bore that meet and of which neither goes into, over or end to end with the other; each two told once."""
    places: dict[tuple[str, str], list[tuple[Run, int | None]]] = {}
    for one, other, run, piece in _meetings(look):
        places.setdefault((one, other), []).append((run, piece))
    for (one, other), ((run, piece), *more) in places.items():
        a, b = look.sizes[one], look.sizes[other]
        if not _mate(look.shop, a, b):
            text = f"{_told(look, *a)} meets {_told(look, *b)}: neither goes into the other"
            yield finding(look, "does-not-mate", "note", look.piece_at(run.id, piece), text + (f"; in {len(more) + 1} places" if more else ""))


def _meetings(look: Look) -> Iterator[tuple[str, str, Run, int | None]]:
    """(size, size of what it meets, run, piece) of every hose on its pipe and of every run that joins another."""
    for made in look.made:
        run = made.run
        if run.size:
            yield from ((hose.size, run.size, run, i) for i, hose in made.hoses if hose.size)
            parent = look.runs[run.joins].size if run.joins in look.runs else None
            if parent and parent != run.size:
                yield run.size, parent, run, None


@kept(ROWS)
def _mate(shop: Shop, a: _Size, b: _Size) -> bool:
    """Whether two sizes fit each other, as far as their outsides are known; sizes of another bore want a reducer anyway."""
    (stock, one), (other_stock, other) = a, b
    tight, play, alike = (limit(shop.ground, "does-not-mate", name) for name in ("tight", "play", "alike"))
    if stock.id == other_stock.id or abs(one.bore.si - other.bore.si) > alike * max(one.bore.si, other.bore.si):
        return True
    rigid = "hose" not in (stock.kind, other_stock.kind)
    if rigid and one.outside and other.outside and abs(one.outside.si - other.outside.si) <= tight:
        return True
    sleeves = [(inner.outside.si, outer.bore.si) for inner, outer in ((one, other), (other, one)) if inner.outside]
    return not sleeves or any(-tight <= bore - outside <= play for outside, bore in sleeves)


def _told(look: Look, stock: Stock, made: StockSize) -> str:
    outside = f", outside {look.show(made.outside.si, 'bore')}" if made.outside else ""
    return f"{stock.id}/{made.nominal} (bore {look.show(made.bore.si, 'bore')}{outside})"


def unearthed_pipe(look: Look) -> Iterator[Finding]:
    """_Size and hose that cannot be earthed, each told once, at the first run of it."""
    for name in insulating_pipes(look.design):
        runs = [made for made in look.made if name in made.of]
        if runs:
            count = f"{len(runs)} runs" if len(runs) > 1 else "one run"
            yield finding(look, "unearthed-pipe", "note", runs[0].place(), f"{name}, in {count}, cannot be earthed")


@of_shop
def no_store(shop: Shop) -> Iterator[Finding]:
    """A store file that is not beside the design; bores then come from the names of sizes."""
    shelf = shop.design.shelf
    if shelf is None or not shelf.missing:
        return
    sizes = [f"{stock.id}/{size.nominal}" for stock in shelf.stock for size in stock.sizes]
    text = f"{quoted(shelf.name)} is not beside the design"
    guessed = f": bore and material of {listed(sizes, _MOST_SIZES)} are taken from the name alone" if sizes else ", and nothing of it is wanted"
    severity: Severity = "fault" if sizes else "note"
    yield finding(shop, "no-store", severity, STOCK, f"{text}{guessed}")


def short_straight(look: Look) -> Iterator[Finding]:
    """Pipe between fittings that is shorter than can be cut and joined, or for which their bodies leave nothing."""
    usual, fitted = practice().shortest, fitted_runs(look.design)
    for run in look.design.runs:
        stock = look.sizes[run.size][0] if run.size else None
        shortest = stock.shortest.si if stock and stock.shortest else usual
        for i, pipe in fitted[run.id].pipes.items():
            if under(pipe.seen, shortest):
                yield finding(look, "short-straight", "note", look.piece_at(run.id, i), _too_short(look, pipe, shortest))


def _too_short(look: Look, pipe: Pipe, shortest: float) -> str:
    if pipe.seen <= 0.0:
        taken, given = look.beside(pipe.inner + pipe.outer, pipe.given, "length")
        return f"the fittings at its ends want {taken} of the {given} between them"
    told, least = look.beside(pipe.seen, shortest, "length")
    if pipe.seen == pipe.given:
        return f"a straight of {told}, shorter than {least} that can be made"
    return f"fittings leave {told} of pipe of its {look.show(pipe.given, 'length')}, shorter than {least} that can be made"


STOCK_CHECKS = (no_store, short_straight, not_in_store, does_not_mate, unearthed_pipe)
