"""A shop to lay ducts in: its design without any, the sizes of its pipe, and the branches that its machines want."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import hypot, inf

from engine.design import Design, Machine, Port, Stock, joins_as
from engine.design.meaning import stays
from engine.design.rules.consistency import MOST_RUNS
from engine.search.layouts.ports import Outlet, outlets
from engine.search.layouts.shop_defaults import in_store, with_gate_sets, with_places, with_stock
from engine.search.layouts.sizes.draft_sizes import Size, branch_size, main_size, pipe_sizes, widest
from engine.search.layouts.sizes.pipes import Pipe, Stop
from engine.search.layouts.ways.routes import HOSE_RISE, NEAR_FOOT, WORTH_PIPE, reach_of
from engine.shapes.clearance import Box
from engine.shapes.vectors import Point
from engine.space.geometry import port_places
from engine.space.on_floor import body_of
from engine.units.words import listed
from engine.values import dataclass

# Ports of one machine this near to each other, level and in height, share a drop, m: judgement.
_ONE_DROP, _ONE_HEIGHT = 1.0, 1.5
# How far below the ceiling the uppermost of them leaves the drop at least, m: room for a main and an elbow.
_BELOW_CEILING = 0.8
# A port takes two runs or so, and a design holds so many of them only.
MOST_PORTS = MOST_RUNS * 2 // 5


@dataclass(frozen=True)
class Branch:
    """One branch off the main: to ports of a machine that lie together, the size of its pipe, and how they hang on it."""

    machine: Machine
    ports: tuple[Port, ...]
    size: Size
    outlets: tuple[Outlet, ...]
    foot: Point

    def stop(self, main: Pipe, *, gated: bool) -> Stop:
        """Where its first outlet, or its only port, wants the pipe to end: as far above as a hose hangs; off a main, `gated` where it leaves that."""
        at, pipe = (*self.foot[:2], self.outlets[0].leaves - HOSE_RISE), self.size.pipe
        near, drop = (reach_of(pipe), WORTH_PIPE) if len(self.outlets) == 1 else (NEAR_FOOT, pipe.apart)
        return Stop(at, pipe, near, drop, pipe.spur_off(main, gated=gated), self._body_in_the_way)

    @property
    def _body_in_the_way(self) -> Box | None:
        """What its machine takes of the room, where a pipe that comes down over its lowest port would come down into that."""
        body = body_of(self.machine) if self.machine.size.up else None
        return body if body and all(low < at < high for low, at, high in zip(body.low, self.foot, body.high, strict=True)) else None

    @property
    def needs(self) -> float:
        """Flow of its ports, m3/s."""
        return sum(port.needs.si for port in self.ports)


def _branches_of(design: Design, sizes: Sequence[Size]) -> tuple[Branch, ...]:
    """The branches a placed design wants: one for each machine, more where its ports lie apart."""
    places = port_places(design)
    highest = design.site.height.si - _BELOW_CEILING if design.site.height else inf
    found = []
    for machine in design.machines:
        at = {port.id: places[f"{machine.id}/{port.id}"] for port in machine.ports}
        for ports in _groups(machine, at):
            found += _branches(design, machine, ports, at, sizes, highest)
    return tuple(found)


def _branches(
    design: Design, machine: Machine, ports: Sequence[Port], at: Mapping[str, Point], sizes: Sequence[Size], highest: float
) -> list[Branch]:  # fmt: skip
    """One branch for ports that lie together; one for each where the ceiling leaves no room for that."""
    size = branch_size(design, ports, sizes)
    made = outlets(ports, [at[port.id] for port in ports], size.pipe)
    if len(ports) > 1 and made[0].leaves > highest:
        return [branch for port in ports for branch in _branches(design, machine, (port,), at, sizes, highest)]
    return [Branch(machine, tuple(ports), size, made, at[made[-1].port.id])]


def _groups(machine: Machine, at: Mapping[str, Point]) -> Iterator[tuple[Port, ...]]:
    """Groups of ports near each other, or as their machine says, each with its neediest first."""
    if machine.shared_drop is not None and machine.ports:
        yield from [machine.ports] if machine.shared_drop else [(port,) for port in machine.ports]
        return
    groups: list[list[Port]] = []
    for port in sorted(machine.ports, key=lambda port: -port.needs.si):
        here = at[port.id]
        for group in groups:
            others = [at[other.id] for other in group]
            if all(hypot(here[0] - x, here[1] - y) <= _ONE_DROP and abs(here[2] - z) <= _ONE_HEIGHT for x, y, z in others):
                group.append(port)
                break
        else:
            groups.append([port])
    yield from (tuple(group) for group in groups)


def needs_of(branches: Sequence[Branch]) -> dict[str, float]:
    """Machine -> flow (m3/s) at its ports on these branches."""
    needs: dict[str, float] = {}
    for branch in branches:
        needs[branch.machine.id] = needs.get(branch.machine.id, 0.0) + branch.needs
    return needs


@dataclass(frozen=True)
class Shop:
    """A design that has all a layout needs and no ducts; the pipe to lay, its sizes, that of mains; branches, none where no machine has a port.

    A main narrows by `step` m at one joint at most.
    """

    design: Design
    stock: Stock
    sizes: tuple[Size, ...]
    main: Size
    branches: tuple[Branch, ...]
    step: float

    def with_sizes_of(self, made: Design) -> Shop:
        """The shop with main and branches of the sizes they have in a design that was made from it."""
        by_ref, runs = {size.ref: size for size in self.sizes}, {run.id: run for run in made.runs}
        to_port = {run.ends: run for run in made.runs if run.ends}

        def size_of(branch: Branch) -> Size:
            run = to_port[f"{branch.machine.id}/{branch.outlets[0].port.id}"]
            drop = run if len(branch.outlets) == 1 else runs[run.joins]
            return by_ref.get(drop.size or "", branch.size)

        bore = {run: by_ref.get(size or "", self.main).bore for run, size in ((run.id, run.size) for run in made.runs)}
        return replace(
            self, main=widest([by_ref.get(run.size or "", self.main) for run in made.runs]),
            branches=tuple(replace(branch, size=size_of(branch)) for branch in self.branches),
            step=max((bore[run.joins] - bore[run.id] for run in made.runs if run.joins in bore and joins_as(run) == "straight"), default=0.0),
        )  # fmt: skip


def why_no_ducts(design: Design) -> str | None:
    """Why no ducts can be drafted for a design, in one line, or None."""
    if kept := [run.id for run in design.runs if stays(run)]:
        return f"kept as they hang: {listed(kept, 3)}; a layout begins without ducts (kept = no frees a run)"
    ports = sum(len(machine.ports) for machine in design.machines)
    if not ports:
        return "no machine has a port: there is nothing to lay out"
    return f"{ports} ports: ducts are drafted for at most {MOST_PORTS}" if ports > MOST_PORTS else None


def shops_of(design: Design) -> tuple[Shop, ...]:
    """The shop of a design, whatever ducts it has, with each pipe that the store has; at least one."""
    made = ready(design)
    return tuple(_shop_with(made, stock) for stock in in_store(made).stock if stock.kind == "pipe")


def _shop_with(made: Design, stock: Stock) -> Shop:
    sizes = pipe_sizes(stock, made)
    branches = _branches_of(made, sizes)
    main = main_size(made, needs_of(branches), [branch.size for branch in branches], sizes) if branches else sizes[0]
    step = main.bore - max((size.bore for size in sizes if size.bore < main.bore), default=main.bore)
    return Shop(made, stock, sizes, main, branches, step)


def ready(design: Design) -> Design:
    """The design without ducts, with what a layout needs: positions, a store, gate sets."""
    return with_gate_sets(with_stock(with_places(replace(design, runs=()))))
