"""Which pipe and hose of a design cannot be earthed."""

from __future__ import annotations

from engine import catalog
from engine.design import Design, Hose, stock_sizes


def insulating_pipes(design: Design) -> tuple[str, ...]:
    """Pipes and hoses that runs are made of and that cannot be earthed, by stock id or material."""
    sizes = stock_sizes(design)
    used = [run.size for run in design.runs] + [piece.size for run in design.runs for piece in run.pieces if isinstance(piece, Hose)]
    stocks = [sizes[size][0] for size in dict.fromkeys(used) if size]
    found = [stock.id for stock in stocks if not conducts(stock.conducts, stock.material)]
    found += [run.material for run in design.runs if run.size is None and run.material and not conducts(None, run.material)]
    return tuple(dict.fromkeys(found))


def conducts(said: bool | None, material: str) -> bool:
    """Whether pipe of a material can be earthed: what its stock says, else the catalog."""
    return catalog.roughness(material).conducts if said is None else said
