"""What a design means: what holds where it leaves something unsaid, what belongs to what, and the tree its runs make."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from engine.design import defaults
from engine.design.kept import ROWS, WHOLES, kept, same
from engine.design.model import (
    AS_DESIGNED,
    STATES,
    Design,
    Elbow,
    Gate,
    GateSet,
    Hose,
    Machine,
    OwnLoss,
    Piece,
    Port,
    Run,
    Stock,
    StockSize,
    Straight,
    Tuned,
)  # fmt: skip

Sizes = Mapping[str, tuple[Stock, StockSize]]

FOOT = 0.3048  # m, by definition (international yard and pound agreement of 1959)
EVERYTHING_OPEN = "everything open"
# Bores nearer to each other than this are one bore, m.
SAME_BORE = 1e-5


class Section(NamedTuple):
    """A bore [m] that the air of a run passes: that of its pipe, without a `piece`, or that of a hose by its index."""

    bore: float
    piece: int | None


def system(design: Design) -> str:
    """ "metric" or "imperial": the units the design is shown in."""
    return design.display or defaults.UNITS


def tuning_of(design: Design) -> Tuned:
    """The factors that all that is solved goes by; none where they are switched off."""
    return design.tuned if design.tuned.on else AS_DESIGNED


def joins_as(run: Run) -> str:
    """How a run joins: straight on unless it says otherwise."""
    return run.as_ or defaults.JOINS_AS


def takes_reducer(run: Run) -> bool:
    """Whether a change of bore where a run joins is a reducer of its own: a branch without a taper is made for both bores."""
    return joins_as(run) == "straight" or run.taper is not None


@kept(WHOLES)
def children_of(design: Design) -> Mapping[str, tuple[Run, ...]]:
    """The runs that join each run or the collector, in file order: "collector" or run id -> runs."""
    found: dict[str, list[Run]] = {"collector": [], **{run.id: [] for run in design.runs}}
    for run in design.runs:
        found[run.joins].append(run)
    return {name: same(*runs) if runs else () for name, runs in found.items()}


def stock_sizes(design: Design) -> Sizes:
    """Every stocked size by its reference "stock id/nominal"."""
    return _sizes_of(design.stock)


@kept(WHOLES)
def _sizes_of(stocks: tuple[Stock, ...]) -> Sizes:
    return {f"{stock.id}/{size.nominal}": (stock, size) for stock in stocks for size in stock.sizes}


def metre_price(stock: Stock, size: StockSize) -> float | None:
    """Price of a metre of a size; None where none is given. The stock says which length its prices are of."""
    per = FOOT if (stock.price_per or defaults.PRICE_PER) == "ft" else 1.0
    return None if size.price is None else size.price / per


def bore_of(run: Run, sizes: Sizes) -> float:
    """Bore of a run's pipe, m; `sizes` are `stock_sizes`. Raises ValueError where it has neither a size nor a bore."""
    if run.size is not None:
        return sizes[run.size][1].bore.si
    if run.bore is None:
        raise ValueError(f"run {run.id!r} has neither a size nor a bore")
    return run.bore.si


def ports_of(design: Design) -> Mapping[str, tuple[Machine, Port]]:
    """Every port by its reference "machine/port", in file order."""
    return _ports_of(design.machines)


@kept(WHOLES)
def _ports_of(machines: tuple[Machine, ...]) -> Mapping[str, tuple[Machine, Port]]:
    return {f"{machine.id}/{port.id}": (machine, port) for machine in machines for port in machine.ports}


def gate_sets_of(design: Design) -> tuple[GateSet, ...]:
    """The design's gate sets; none written means one set with every machine at work."""
    if design.gate_sets:
        return design.gate_sets
    return (GateSet(name=EVERYTHING_OPEN, open=tuple(machine.id for machine in design.machines)),)


def beyond(design: Design, run_id: str) -> tuple[Run, ...]:
    """Every run on the far side of a run."""
    children, found, waiting = children_of(design), list[Run](), [run_id]
    while waiting:
        joined = children[waiting.pop()]
        found.extend(joined)
        waiting.extend(run.id for run in joined)
    return tuple(found)


def gates_to(design: Design) -> dict[str, tuple[str, ...]]:
    """The gates on the way to each port that a run ends at, both from the collector outward."""
    joined, found = children_of(design), dict[str, tuple[str, ...]]()
    waiting: list[tuple[Run, tuple[str, ...]]] = [(run, ()) for run in reversed(joined["collector"])]
    while waiting:
        run, before = waiting.pop()
        gates = (*before, *(piece.name for piece in run.pieces if isinstance(piece, Gate)))
        if run.ends:
            found[run.ends] = gates
        waiting += [(child, gates) for child in reversed(joined[run.id])]
    return found


def hose_bore(hose: Hose, run: Run, sizes: Sizes) -> float:
    """Bore of a hose of a run, m: its own, else the run's. `sizes` are `stock_sizes`."""
    return sizes[hose.size][1].bore.si if hose.size else bore_of(run, sizes)


@kept(ROWS)
def sections_of(run: Run, sizes: Sizes) -> tuple[Section, ...]:
    """The bores that the air of a run passes; that of its pipe first, unless it is made of hose alone. `sizes` are `stock_sizes`."""
    hoses = [Section(hose_bore(piece, run, sizes), i) for i, piece in enumerate(run.pieces) if isinstance(piece, Hose)]
    rigid = not hoses or any(isinstance(piece, (Straight, Elbow, OwnLoss)) for piece in run.pieces)
    return (*((Section(bore_of(run, sizes), None),) if rigid else ()), *hoses)


def upstream(run: Run, piece: int) -> tuple[Piece, ...]:
    """The pieces of a run that the air has passed when it comes to one of them, the nearest first.

    Air goes from the ports to the collector, and pieces are listed from the
    collector outward: what stands later in the list, the air passes earlier.
    """
    return run.pieces[piece + 1 :]


def downstream(run: Run, piece: int) -> tuple[Piece, ...]:
    """The pieces of a run that the air has yet to pass beyond one of them, the nearest first."""
    return run.pieces[:piece][::-1]


def work_on(run: Run, piece: Piece | None = None) -> str:
    """How far the work on a run, or on one of its pieces, has come, one of STATES: on a piece that does not say, as far as on its run."""
    return (piece.state if piece else None) or run.state or defaults.STATE


def works_on(run: Run) -> frozenset[str]:
    """How far the work on a run and on its pieces has come, each state once."""
    return frozenset((work_on(run), *(work_on(run, piece) for piece in run.pieces)))


def work_in_words(run: Run) -> str:
    """How far the work on a run has come: one of STATES, "hung in part" where not all of it has come so far."""
    found = works_on(run)
    farthest = max(found, key=STATES.index)
    return farthest if len(found) == 1 else f"{farthest} in part"


def stays(run: Run) -> bool:
    """Whether searches leave a run as it is: it says so, or is bought, cut or hung, if only in part, and says nothing."""
    return works_on(run) != {defaults.STATE} if run.kept is None else run.kept


def branch_angle(run: Run) -> float:
    """Angle of a branch or leg to the way of the air, rad."""
    return (run.angle or defaults.BRANCH_ANGLE).si


def pipe_stock(run: Run, sizes: Sizes) -> Stock | None:
    """The stock of a run's pipe; None where the run names a bore and a material. `sizes` are `stock_sizes`."""
    return sizes[run.size][0] if run.size else None


def elbow_shape(elbow: Elbow, stock: Stock | None) -> tuple[str, float, int]:
    """Make, centre-line radius in bores and gores of an elbow: its own, else those of its stock, else the usual ones."""
    make = elbow.make or (stock and stock.elbow_make) or defaults.ELBOW_MAKE
    radius = elbow.radius or (stock and stock.elbow_radius) or defaults.ELBOW_RADIUS
    return make, radius, elbow.gores or defaults.ELBOW_GORES
