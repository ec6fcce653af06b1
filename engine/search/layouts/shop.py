"""A shop to lay ducts in: its design without any, the sizes of its pipe, and the branches that its machines want."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot

from engine.design import Design, Machine, Port
from engine.design.consistency import MOST_RUNS
from engine.search.layouts.draft_sizes import Size, branch_size, pipe_sizes
from engine.search.layouts.routes import Stop
from engine.search.layouts.shop_defaults import with_gate_sets, with_places, with_stock
from engine.shapes.vectors import Point
from engine.space.geometry import port_places
from engine.units.words import listed

# Ports of one machine this near to each other, level and in height, share a branch, m: judgement.
_ONE_BRANCH, _ONE_HEIGHT = 1.0, 0.3
# A port takes two runs or so, and a design holds so many of them only.
MOST_PORTS = MOST_RUNS * 2 // 5


@dataclass(frozen=True)
class Branch:
    """One branch off the main: to ports of a machine that lie together, the neediest first, and the size of its pipe."""

    machine: Machine
    ports: tuple[Port, ...]
    size: Size
    stop: Stop

    @property
    def needs(self) -> float:
        """Flow of its ports, m3/s."""
        return sum(port.needs.si for port in self.ports)


def _branches_of(design: Design, sizes: Sequence[Size]) -> tuple[Branch, ...]:
    """The branches a placed design wants: one for each machine, more where its ports lie apart."""
    places = port_places(design)
    found = []
    for machine in design.machines:
        at = {port.id: places[f"{machine.id}/{port.id}"] for port in machine.ports}
        for ports in _groups(machine, at):
            size, spots = branch_size(design, ports, sizes), [at[port.id] for port in ports]
            easts, norths, ups = zip(*spots, strict=True)
            middle = (_middle(easts), _middle(norths), max(ups))
            found.append(Branch(machine, ports, size, Stop(middle, size.pipe)))
    return tuple(found)


def _middle(values: Sequence[float]) -> float:
    return (min(values) + max(values)) / 2


def _groups(machine: Machine, at: Mapping[str, Point]) -> Iterator[tuple[Port, ...]]:
    """Groups of ports near each other, each with its neediest first."""
    groups: list[list[Port]] = []
    for port in sorted(machine.ports, key=lambda port: -port.needs.si):
        here = at[port.id]
        for group in groups:
            others = [at[other.id] for other in group]
            if all(hypot(here[0] - x, here[1] - y) <= _ONE_BRANCH and abs(here[2] - z) <= _ONE_HEIGHT for x, y, z in others):
                group.append(port)
                break
        else:
            groups.append([port])
    return (tuple(group) for group in groups)


def needs_of(branches: Sequence[Branch]) -> dict[str, float]:
    """Machine -> flow (m3/s) at its ports on these branches."""
    needs: dict[str, float] = {}
    for branch in branches:
        needs[branch.machine.id] = needs.get(branch.machine.id, 0.0) + branch.needs
    return needs


@dataclass(frozen=True)
class Shop:
    """A design that has all a layout needs and no ducts; the sizes of pipe to lay; the branches, none where no machine has a port."""

    design: Design
    sizes: tuple[Size, ...]
    branches: tuple[Branch, ...]


def why_no_ducts(design: Design) -> str | None:
    """Why no ducts can be drafted for a design, in one line, or None."""
    if kept := [run.id for run in design.runs if run.kept]:
        return f"kept as they hang: {listed(kept, 3)}; a layout begins without ducts"
    ports = sum(len(machine.ports) for machine in design.machines)
    if not ports:
        return "no machine has a port: there is nothing to lay out"
    return f"{ports} ports: ducts are drafted for at most {MOST_PORTS}" if ports > MOST_PORTS else None


def shop_of(design: Design) -> Shop:
    """The shop of a design, whatever ducts it has."""
    made = ready(design)
    sizes = pipe_sizes(made)
    return Shop(made, sizes, _branches_of(made, sizes))


def ready(design: Design) -> Design:
    """The design without ducts, with what a layout needs: positions, a store, gate sets."""
    return with_gate_sets(with_stock(with_places(replace(design, runs=()))))
