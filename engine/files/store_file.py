"""The store file beside a design: `[[stock]]` tables that several designs share.

Stock of the design replaces that of the store by its id. Nothing is ever
written to a store file: what a design has otherwise stands in the design.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from engine.design import Collector, Design, Hose, Stock, StockSize, defaults, system
from engine.design.mistake import Mistake
from engine.design.model import Shelf, StoreFile
from engine.design.rules.consistency import mistakes
from engine.files.design_reader import Reader
from engine.files.toml_text import DesignFileError, in_order, parsed, text_in
from engine.units import Quantity, UnitError, parse


def shelf_in(folder: Path, name: str) -> Shelf | None:
    """What the store file of a name in a folder lists; None where there is no such file. Raises DesignFileError, its mistakes with the file."""
    path = folder / name
    if path.name != name or name == ".." or not path.exists():
        return None
    try:
        return Shelf(name, _stock(text_in(path)))
    except DesignFileError as error:
        raise DesignFileError(*(replace(mistake, file=name) for mistake in error.mistakes)) from None


def _stock(text: str) -> tuple[Stock, ...]:
    text = text.removeprefix("\ufeff")
    raw = parsed(text)
    raw.pop("format", None)
    reader = Reader(raw)
    store: StoreFile = reader.table(StoreFile)
    found = [*reader.found, *_mistakes(store.stock, reader.broken)]
    if found:
        raise DesignFileError(*in_order(found, text))
    return store.stock


def _mistakes(stock: tuple[Stock, ...], broken: set[str]) -> list[Mistake]:
    """The rules of a design that stock alone can break."""
    any_bore = Quantity(0.1, "100 mm")
    bare = Design(name="store", collector=Collector(inlet=any_bore), stock=stock)
    return [mistake for mistake in mistakes(bare, broken) if mistake.path[:1] == ("stock",)]


def with_shelf(design: Design, shelf: Shelf | None) -> Design:
    """A design read from its own file with what the store lists; without a store file, with what stands in for it.

    A size that runs name and nobody lists takes its bore from its name, where
    that is one; what is left is for the rules of the design to refuse.
    """
    if design.store is None:
        return design
    own = {stock.id for stock in design.stock}
    held = shelf or Shelf(design.store, tuple(stock for stock in _stand_ins(design) if stock.id not in own), missing=True)
    return replace(design, stock=(*design.stock, *(stock for stock in held.stock if stock.id not in own)), shelf=held)


def without_shelf(design: Design) -> Design:
    """The design with the stock of its own file alone: what is as the store it names has it is left out."""
    if (shelf := design.shelf) is None:
        return design
    theirs = shelf.stock if shelf.name == design.store else ()
    return replace(design, stock=tuple(stock for stock in design.stock if stock not in theirs), shelf=None)


def settled(design: Design) -> Design:
    """The design as it is read back: stock of its own first, then that of the store."""
    shelf = design.shelf if design.shelf and design.shelf.name == design.store else None
    return with_shelf(without_shelf(design), shelf)


def complete(design: Design) -> Design:
    """The design with all its stock its own, as a file without a store beside it gives it back."""
    return with_shelf(replace(design, shelf=None), None)


def moved(design: Design, before: Path | None, folder: Path) -> tuple[Design, str]:
    """A design on its way from one folder to another, and what is said of that.

    Where the store file that it names is not there, or is another one, its
    stock becomes its own: no bore and no price is lost or exchanged.
    """
    shelf = design.shelf
    if shelf is None or shelf.missing or shelf.name != design.store or (before is not None and before.resolve() == folder.resolve()):
        return design, ""
    try:
        there = shelf_in(folder, shelf.name)
        why = "is not there" if there is None else "is another one there"
    except DesignFileError:
        there, why = None, "cannot be read there"
    if there is not None and there.stock == shelf.stock:
        return design, ""
    return replace(design, store=None, shelf=None), f"{shelf.name} {why}: its stock is written into the design"


def _stand_ins(design: Design) -> list[Stock]:
    """Stock in the place of what runs and hoses name, its bores read from the names."""
    hoses = {piece.size for run in design.runs for piece in run.pieces if isinstance(piece, Hose) and piece.size}
    named = dict.fromkeys((*(run.size for run in design.runs if run.size), *sorted(hoses)))
    found: dict[str, Stock] = {}
    for name in named:
        stock_id, _, nominal = name.partition("/")
        bore = _bore(nominal, system(design))
        if bore is None:
            continue
        kind = "hose" if name in hoses else "pipe"
        material = "flexible hose" if kind == "hose" else defaults.PIPE_MATERIAL
        known = found.get(stock_id, Stock(id=stock_id, kind=kind, material=material))
        found[stock_id] = replace(known, sizes=(*known.sizes, StockSize(nominal=nominal, bore=bore)))
    return list(found.values())


def _bore(nominal: str, units: str) -> Quantity | None:
    """The bore that a size is named after; None where its name is none."""
    try:
        bore = parse(nominal, "bore", bare=units)
    except UnitError:
        return None
    return bore if 0.01 <= bore.si <= 2.0 else None
