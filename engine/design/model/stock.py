"""What the store has."""

from __future__ import annotations

from engine.design import defaults
from engine.design.entries import POSITIVE, choice, flag, number, quantity, reference, rows, text
from engine.units import Quantity
from engine.values import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class StockSize:
    """One size of a stock."""

    nominal: str = text("nominal", "the size as the store names it", required=True)
    bore: Quantity = quantity("bore", "bore", "inside diameter", required=True, low=0.01, high=2.0)
    outside: Quantity | None = quantity("outside", "bore", "outside diameter, for mating", low=0.01, high=2.0)
    price: float | None = number("price", "price of a length of it; see price_per of its stock", low=0.0, high=1e6)
    elbow_price: float | None = number("elbow_price", "price of an elbow", low=0.0, high=1e6, absent=defaults.as_pipe("elbow"))
    wye_price: float | None = number("wye_price", "price of a wye of this bore", low=0.0, high=1e6, absent=defaults.as_pipe("wye"))
    taper_price: float | None = number("taper_price", "price of a reducer down to this bore", low=0.0, high=1e6, absent=defaults.as_pipe("taper"))
    gate_price: float | None = number("gate_price", "price of a gate of this bore", low=0.0, high=1e6)
    insertion: Quantity | None = quantity("insertion", "length", "how far its pipe slips into a fitting", low=0.0, high=1.0, absent="the stock's")
    in_store: bool | None = flag("in_store", "whether the store has it", absent=True)


FITTINGS = ("elbow", "wye", "taper", "gate", "cleanout", "coupling", "adapter")


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingLength:
    """How long the body of a kind of fitting is along the duct, in all sizes of a stock."""

    of: str = choice("of", FITTINGS, "the fitting; an elbow's is the straight at either end of its bend", required=True)
    length: Quantity | None = quantity("length", "length", "the same in every size", low=0.0, high=10.0)
    bores: float | None = number("bores", "length in bores", low=0.0, high=20.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A family of pipe or hose the shop can buy."""

    id: str = text("id", 'short name used in size = "id/nominal"', required=True)
    kind: str = choice("kind", ("pipe", "hose"), "rigid pipe or flexible hose", required=True)
    material: str = reference("material", "pipe material", "what it is made of; sets the roughness", required=True)
    roughness: Quantity | None = quantity("roughness", "roughness", "replaces the catalog's roughness", low=0.0, high=0.02, absent="from the catalog")
    conducts: bool | None = flag("conducts", "whether it can be earthed", absent="from the catalog")
    price_per: str | None = choice("price_per", ("m", "ft"), "the length that price is of; a fitting's is of one", absent=defaults.PRICE_PER)
    stick: Quantity | None = quantity("stick", "length", "length it is sold in; absent: cut to length", high=100.0, **POSITIVE)
    elbow_radius: float | None = number(
        "elbow_radius", "centre-line radius of its elbows, in bores", low=0.5, high=10.0, absent=defaults.ELBOW_RADIUS
    )
    elbow_make: str | None = choice("elbow_make", ("smooth", "segmented", "mitred"), "how its elbows are made", absent=defaults.ELBOW_MAKE)
    shortest: Quantity | None = quantity(
        "shortest", "length", "shortest straight that can be cut and joined", low=0.0, high=10.0, absent="from the catalog"
    )
    insertion: Quantity | None = quantity("insertion", "length", "how far pipe slips into a fitting", low=0.0, high=1.0, absent="from the catalog")
    fitting_lengths: tuple[FittingLength, ...] = rows(
        "fitting_lengths", FittingLength, "lengths of fitting bodies where the catalog's do not fit", inline=True
    )
    sizes: tuple[StockSize, ...] = rows("size", StockSize, "the sizes it comes in")


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreFile:
    """What a store has, in a file of its own that several designs may name."""

    name: str | None = text("name", "what the store is called")
    display: str | None = choice("display", ("metric", "imperial"), "units of what is said about the file", absent=defaults.UNITS)
    stock: tuple[Stock, ...] = rows("stock", Stock, "pipe and hose it has")


@dataclass(frozen=True, slots=True)
class Shelf:
    """What the store file of a name beside a design lists; where that file is `missing`, what stands in for what runs name of it."""

    name: str
    stock: tuple[Stock, ...]
    missing: bool = False
