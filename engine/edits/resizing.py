"""Runs in another stocked size: one, a whole main, or all of a size; hoses that fitted go along."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from engine.design import Design, Elbow, Hose, Run, Stock, StockSize, Straight, bore_of, children_of, joins_as, ports_of, stock_sizes
from engine.design.names import names_of
from engine.design.places import Place
from engine.units.words import listed

# A hose fits a bore within this share of it.
_FITS = 0.1


def resized(design: Design, run: Run, ref: str) -> Run:
    """The run of another stocked size; a hose that fitted it goes along, where its stock has one that fits.

    One that fits the port it is pulled on stays where the pipe gets wider: it
    would not fit there any more. In a narrower pipe's place chips would settle in it.
    """
    sizes, ends = stock_sizes(design), ports_of(design).get(run.ends or "")
    old, new, port = bore_of(run, sizes), sizes[ref][1].bore.si, ends[1].bore.si if ends else None
    last = max((i for i, piece in enumerate(run.pieces) if isinstance(piece, Straight | Elbow | Hose)), default=-1)
    pieces = tuple(
        _hose_for(piece, old, new, sizes, port if i == last else None) if isinstance(piece, Hose) else piece for i, piece in enumerate(run.pieces)
    )
    return replace(run, size=ref, pieces=pieces)


def _hose_for(hose: Hose, old: float, new: float, sizes: Mapping[str, tuple[Stock, StockSize]], port: float | None) -> Hose:
    if hose.size is None:
        return hose
    stock, size = sizes[hose.size]
    if not _fits(size, old) or (port is not None and _fits(size, port) and new > old):
        return hose
    fitting: list[StockSize] = [one for one in stock.sizes if one.in_store is not False and _fits(one, new)]
    best = min(fitting, key=lambda one: abs(one.bore.si - new), default=None)
    return hose if best is None else replace(hose, size=f"{stock.id}/{best.nominal}")


def _fits(hose: StockSize, bore: float) -> bool:
    return abs(hose.bore.si - bore) <= _FITS * bore


def with_size(design: Design, run_ids: Collection[str], ref: str) -> Design:
    """The design with these runs of that stocked size."""
    return replace(design, runs=tuple(resized(design, run, ref) if run.id in run_ids else run for run in design.runs))


def main_of(design: Design, run_id: str) -> tuple[str, ...]:
    """The runs that make one main with a run: of its size, each going straight on from the one before; from the collector outward."""
    runs, joining = {run.id: run for run in design.runs}, children_of(design)
    run = runs[run_id]
    found = [run.id]
    while joins_as(run) == "straight" and run.joins in runs and runs[run.joins].size == run.size:
        run = runs[run.joins]
        found.insert(0, run.id)
    run = runs[run_id]
    while onward := [other for other in joining[run.id] if joins_as(other) == "straight" and other.size == run.size]:
        run = onward[0]
        found.append(run.id)
    return tuple(found)


def all_of(design: Design, ref: str) -> tuple[str, ...]:
    """The runs of a stocked size."""
    return tuple(run.id for run in design.runs if run.size == ref)


def kept_bores(design: Design, place: Place) -> str:
    """What becomes of runs and hoses whose stock size is at `place`, or in the stock there: "main, saw drop keep bore 140 mm"."""
    lost = set(names_of(design, place).get("stock size", ()))
    bores = {stock_sizes(design)[run.size][1].bore.text: None for run in design.runs if run.size in lost}
    parts = []
    if runs := [run.id for run in design.runs if run.size in lost]:
        parts.append(f"{listed(runs, 2)} {'keeps' if len(runs) == 1 else 'keep'} {f'bore {next(iter(bores))}' if len(bores) == 1 else 'their bores'}")
    if hoses := [run.id for run in design.runs for piece in run.pieces if isinstance(piece, Hose) and piece.size in lost]:
        parts.append(f"hose of {listed(list(dict.fromkeys(hoses)), 2)} has its run's bore")
    return "; ".join(parts)
