"""The frozen parts of a design, by subject: what the design file says, in its own words.

Quantities keep the text they were typed as beside their SI value. A field
that is absent from the file is None here; what then holds is said once, by
`engine.design.defaults`, `engine.design.meaning` and `engine.catalog`.
"""

from engine.design.model.collector import FILTER_STATES, Collector, CollectorChoice, CollectorLoss, CurvePoint
from engine.design.model.design import Conveying, Design, Leakage
from engine.design.model.machines import Machine, Port
from engine.design.model.pieces import PIECE_KEYS, STATES, Cleanout, Elbow, Gate, Hose, OwnLoss, Piece, Straight
from engine.design.model.records import ANY_PLACE, READ, Accepted, GaugePoint, LeftOver, LogEntry, OwnLimit, Reading
from engine.design.model.runs import BLUNT, GateSet, Run, Throttle
from engine.design.model.site import COLLECTOR_PLACE, ZONE_KINDS, Body, Corner, Site, Zone, in_the_way
from engine.design.model.stock import FITTINGS, FittingLength, Shelf, Stock, StockSize, StoreFile
from engine.design.model.tuned import AS_DESIGNED, Tuned, TunedPort

__all__ = [
    "ANY_PLACE",
    "AS_DESIGNED",
    "BLUNT",
    "COLLECTOR_PLACE",
    "FILTER_STATES",
    "FITTINGS",
    "PIECE_KEYS",
    "READ",
    "STATES",
    "ZONE_KINDS",
    "Accepted",
    "Body",
    "Cleanout",
    "Collector",
    "CollectorChoice",
    "CollectorLoss",
    "Conveying",
    "Corner",
    "CurvePoint",
    "Design",
    "Elbow",
    "FittingLength",
    "Gate",
    "GateSet",
    "GaugePoint",
    "Hose",
    "Leakage",
    "LeftOver",
    "LogEntry",
    "Machine",
    "OwnLimit",
    "OwnLoss",
    "Piece",
    "Port",
    "Reading",
    "Run",
    "Shelf",
    "Site",
    "Stock",
    "StockSize",
    "StoreFile",
    "Straight",
    "Throttle",
    "Tuned",
    "TunedPort",
    "Zone",
    "in_the_way",
]  # fmt: skip
