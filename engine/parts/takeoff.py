"""The take-off: every part of a design, counted by kind, stock, bores, angle and make, with its price where there is one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import ceil, degrees, pi

from engine.catalog.joining import practice
from engine.design import STATES, Design, defaults, stock_sizes
from engine.design.meaning import Sizes
from engine.parts.chain import Chain, Part, chains
from engine.parts.cut_list import CutList, cut_list, size_name
from engine.parts.cutting import Cutting
from engine.parts.hangers import hangers
from engine.parts.price import part_price
from engine.units.words import listed
from engine.values import dataclass

# Kinds in the order they are told.
KINDS = (
    "straight", "elbow", "wye", "tee", "Y", "taper", "adapter", "coupling", "sleeve", "cap", "gate", "cleanout", "part", "hose",
    "clamp", "hanger", "screw", "tape", "earthing wire", "lug",
)  # fmt: skip
# Small parts are lost and spoilt: of these there are spares.
SMALL = ("clamp", "hanger", "screw", "tape", "earthing wire", "lug")
_BOUGHT = "bought"
# A fitting whose angle is within this of one that is made can be had, deg.
_ALIKE = 0.75


@dataclass(frozen=True, slots=True)
class Item:
    """A line of the list: what it is, as in a Part, and how many.

    `length` [m] of straights is what is seen between fittings, of hose, tape
    and wire what is wanted; `bought` [m] is what is paid for, whole `sticks`
    where pipe is sold so. `each` is the price of one, or of as long as `per`
    says ("m" or "ft") where there is a length; `price` that of the line, None
    where the stock does not give it; `estimate` stands for it then, as
    searches reckon, None where nothing can.
    """

    kind: str
    size: str | None
    bores: tuple[float, ...]
    angle: float | None
    make: str
    radius: float | None
    name: str
    count: int
    length: float | None = None
    bought: float | None = None
    sticks: int = 0
    each: float | None = None
    per: str = ""
    price: float | None = None
    estimate: float | None = None

    @property
    def key(self) -> tuple[object, ...]:
        """What makes two lines one."""
        bores = tuple(round(bore, 5) for bore in self.bores)
        return self.kind, self.size, bores, self.angle and round(self.angle, 4), self.make, self.radius, self.name


@dataclass(frozen=True, slots=True)
class TakeOff:
    """All parts of a design; `doubts` are what cannot be bought as it is drawn."""

    items: tuple[Item, ...]
    doubts: tuple[str, ...]

    @property
    def total(self) -> float:
        """The sum of the prices there are."""
        return round(sum(item.price or 0.0 for item in self.items), 2)

    @property
    def estimated(self) -> float:
        """The sum of the estimates for lines without a price."""
        return round(sum(item.estimate or 0.0 for item in self.items), 2)

    @property
    def unpriced(self) -> int:
        """How many lines have no price."""
        return sum(item.price is None for item in self.items)


def take_off(design: Design, *, spares: float = 0.0, kerf: float, to_buy: bool = False, cuts: CutList | None = None) -> TakeOff:
    """The take-off of a consistent design, with a share of `spares` (0 to 1) of the small parts; the saw takes `kerf` [m].

    With `to_buy`, of what is not bought yet alone. `cuts` is its cut list where that is known already.

    Rules of hangers, screws, tape and wire: `engine/catalog/data/joining.toml`.
    """
    found, sizes = chains(design), stock_sizes(design)
    cuts = cuts or cut_list(design, kerf=kerf, before=_BOUGHT if to_buy else None)
    far = STATES.index(_BOUGHT) if to_buy else len(STATES)
    counted: dict[tuple[object, ...], Item] = {}
    for item in _all_items(found, cuts, far):
        _add(counted, item)
    items = [_priced(_spared(item, spares), sizes) for item in counted.values()]
    return TakeOff(tuple(sorted(items, key=_order)), (*_not_made(found), *cuts.doubts))


def _all_items(found: Mapping[str, Chain], cuts: CutList, far: int) -> Iterator[Item]:
    """Every part on which the work is not `far` yet, pipe by its size; then what joins, hangs and bonds them."""
    for size, cutting in cuts.cuttings.items():
        own = [chain for chain in found.values() if size_name(chain) == size]
        yield _pipe(own, cutting, far)
        yield from _split(own[0], cuts.splits.get(size, 0))
    for chain in found.values():
        yield from (_item(part) for part in chain.parts if part.kind != "straight" and part.work < far)
        yield from _small(chain, far)


def _pipe(own: Sequence[Chain], cutting: Cutting, far: int) -> Item:
    """The straights of one size, and what is bought for them: whole sticks, or what is cut."""
    straights = [part.length or 0.0 for chain in own for part in chain.parts if part.kind == "straight" and part.length and part.work < far]
    item = _plain("straight", own[0].size, (own[0].bore,), len(straights), sum(straights))
    bought = sum(one.stick.length for one in cutting.sticks if not one.stick.in_hand)
    return replace(item, name="" if own[0].size else own[0].material, bought=bought, sticks=len(cutting.sticks))


def _item(part: Part) -> Item:
    name = part.name if part.kind == "part" else ""
    return Item(part.kind, part.size, part.bores, part.angle, part.make, part.radius, name, 1, part.length)


def _add(counted: dict[tuple[object, ...], Item], item: Item) -> None:
    if (had := counted.get(item.key)) is not None:
        length = None if item.length is None else (had.length or 0.0) + item.length
        item = replace(had, count=1 if item.kind == "tape" else had.count + item.count, length=length)
    counted[item.key] = item


def _plain(kind: str, size: str | None, bores: tuple[float, ...], count: int, length: float | None = None) -> Item:
    return Item(kind, size, bores, None, "", None, "", count, length)


def _small(chain: Chain, far: int) -> Iterator[Item]:
    """What joins, hangs and bonds a chain."""
    rules, parts = practice(), [part for part in chain.parts if part.work < far]
    yield from _jointed(chain, chain.joints if chain.work < far else 0)
    hung = sum(len(hangers(chain, part)) for part in parts)
    if hung:
        yield _plain("hanger", chain.size, (chain.bore,), hung)
    for part in parts:
        if part.kind == "hose":
            yield _plain("clamp", part.size, part.bores, rules.hose_clamps)
            if chain.conducts:
                yield _plain("earthing wire", None, (), 1, (part.length or 0.0) + rules.bond_slack)
                yield _plain("lug", None, (), rules.bond_lugs)


def _jointed(chain: Chain, joints: int) -> Iterator[Item]:
    """Screws and tape of some rigid joints of a chain."""
    if joints:
        yield _plain("screw", None, (), joints * practice().screws)
        yield _plain("tape", None, (), 1, joints * pi * chain.bore * (1 + practice().tape_lap))


def _split(chain: Chain, joints: int) -> Iterator[Item]:
    """What joins the pieces of straights longer than a stick."""
    link = chain.rule.between_pipes
    if link and joints:
        yield _plain(link, chain.size, (chain.bore,), joints)
    yield from _jointed(chain, joints * (2 if link else 1))


def _priced(item: Item, sizes: Sizes) -> Item:
    """A line with its price, to the hundredth, where its stock gives one; else with an estimate of it, where there is one."""
    if item.size is None:
        return item
    stock, size = sizes[item.size]
    each, guess = part_price(item.kind, sizes[item.size], len(item.bores), item.length if item.bought is None else item.bought)
    if each is None:
        return item
    if item.kind in ("straight", "hose"):
        return replace(item, each=size.price, per=stock.price_per or defaults.PRICE_PER, price=round(each, 2))
    line = round(each * item.count, 2)
    return replace(item, estimate=line) if guess else replace(item, each=each, price=line)


def _spared(item: Item, share: float) -> Item:
    """A line with its spares, if it is of small parts."""
    if item.kind not in SMALL or not share:
        return item
    if item.length is not None:
        return replace(item, length=item.length * (1 + share))
    return replace(item, count=ceil(item.count * (1 + share) - 1e-9))


def _order(item: Item) -> tuple[object, ...]:
    return KINDS.index(item.kind), item.size or "", tuple(-bore for bore in item.bores), item.angle or 0.0, item.name


def _not_made(found: Mapping[str, Chain]) -> Iterator[str]:
    """Elbows and branches at angles that no fittings of their material are made with, each angle once."""
    told = dict[str, list[str]]()
    for chain in found.values():
        for part in chain.parts:
            made = chain.rule.elbows if part.kind == "elbow" else chain.rule.branches if part.kind in ("wye", "tee", "Y") else ()
            angle = round(degrees(part.angle or 0.0), 1)
            free = part.kind == "elbow" and (part.make == "mitred" or angle <= chain.rule.adjustable)
            if made and not free and all(abs(angle - one) > _ALIKE for one in made):
                nearest = min(made, key=lambda one: abs(one - angle))
                told.setdefault(f"no {part.kind} of {angle:g} deg is usually made of {chain.material}, the nearest has {nearest:g} deg", []).append(
                    part.run
                )
    for what, runs in told.items():
        yield f"{what}: {listed(list(dict.fromkeys(runs)), 3)}"


def against(items: Sequence[Item], others: Sequence[Item]) -> list[tuple[Item, Item | None, Item | None]]:
    """Two lists line by line: the line, as it is in the one, as it is in the other."""
    ours, theirs = {item.key: item for item in items}, {item.key: item for item in others}
    lines = {**theirs, **ours}
    return [(item, ours.get(key), theirs.get(key)) for key, item in sorted(lines.items(), key=lambda line: _order(line[1]))]
