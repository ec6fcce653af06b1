"""The shop by itself, without its ducts, for the checks that look at nothing else."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import field, fields
from operator import attrgetter
from typing import Any

from engine.air.one.network import Supply, Tree
from engine.air.properties import Air
from engine.checks.alone import Found, OfDesign, OfLook, of_each
from engine.design import Design, Port, ports_of
from engine.design.kept import WHOLES, kept
from engine.design.names import label
from engine.design.places import Place, PortAt, ports_at
from engine.values import dataclass

_BESIDE_RUNS = tuple(one.name for one in fields(Design) if one.name != "runs")
_beside_runs = attrgetter(*_BESIDE_RUNS)


@dataclass(frozen=True)
class Shop(OfDesign):
    """A design without its runs, the air and the fan it is solved with, and the ports that have a duct.

    The same object for as long as all of it is the same. `found` is what checks have found of it.
    """

    design: Design
    air: Air
    fan: Supply
    leaf_of: Mapping[str, int]
    found: dict[object, tuple[Any, ...]] = field(default_factory=dict, compare=False, repr=False)

    def name_of(self, place: Place) -> str:
        """The name that a finding gives a place."""
        return label(self.design, place)

    @property
    def ports_at(self) -> Mapping[str, PortAt]:
        """The places of ports by their names."""
        return ports_at(self.design)

    @property
    def connected(self) -> dict[str, Port]:
        """The ports that have a duct, by their names."""
        return {name: port for name, (_, port) in ports_of(self.design).items() if name in self.leaf_of}


def shop_of(design: Design, tree: Tree) -> Shop:
    """The shop of a design and of its network."""
    return _shop(_without_runs(*_beside_runs(design)), tree.air, tree.fan, tree.leaf_of)


@kept(WHOLES)
def _without_runs(*parts: object) -> Design:
    return Design(**dict(zip(_BESIDE_RUNS, parts, strict=True)))  # type: ignore[arg-type]  # the fields of a design, each with its own name


@kept(WHOLES)
def _shop(design: Design, air: Air, fan: Supply, leaf_of: Mapping[str, int]) -> Shop:
    return Shop(design, air, fan, leaf_of)


def of_shop(check: Callable[[Shop], Iterator[Found]]) -> OfLook[Found]:
    """The check of a look that one of the shop alone makes. It does not look twice at what has stayed the same."""
    return of_each(check, lambda look: (look.shop,))
