"""Stocked bores side by side: the flows at which each is neither slow nor fast, and the friction of a metre of it."""

from __future__ import annotations

from engine.air.losses.friction import colebrook
from engine.air.one.duct_maker import Lean, stock_roughness
from engine.air.one.ducts import area, reynolds_per_flow
from engine.air.properties import Air
from engine.checks.assess import Assessment
from engine.checks.look import Limits
from engine.design import Stock, StockSize, tuning_of
from engine.values import dataclass

# Flows beside the bands that are still on the chart.
_MARGIN = 1.05


@dataclass(frozen=True, slots=True)
class Bore:
    """A stocked size, `in_store` or not: from `settles` over `slow` to `fast` the flows (m3/s) at those limits of its speed."""

    ref: str
    bore: float
    roughness: float
    in_store: bool
    settles: float
    slow: float
    fast: float

    def speed(self, flow: float) -> float:
        """Speed in it, m/s."""
        return flow / area(self.bore)

    def pressure(self, flow: float, air: Air) -> float:
        """Friction of a metre of it, Pa, by Colebrook."""
        if flow <= 0:
            return 0.0
        factor, _ = colebrook(flow * reynolds_per_flow(self.bore, air), self.roughness / self.bore)
        return factor / self.bore * air.density / 2 * self.speed(flow) ** 2


@dataclass(frozen=True, slots=True)
class Chart:
    """The bores that a run could have, from the narrowest that is to be had to the widest, `present` its own; `flows` by gate set, m3/s."""

    run: str
    present: str | None
    limits: Limits
    air: Air
    bores: tuple[Bore, ...]
    flows: tuple[tuple[str, float], ...]

    @property
    def end(self) -> float:
        """The largest flow worth showing, m3/s."""
        return _MARGIN * max([*(bore.fast for bore in self.bores), *(flow for _, flow in self.flows)])

    def steps(self, most: int) -> tuple[float, ...]:
        """At most so many flows to tabulate at, m3/s: those through it where they are few, else evenly from the least to the largest."""
        flows = sorted({round(flow, 4) for _, flow in self.flows})
        if 0 < len(flows) <= most:
            return tuple(flows)
        low, high = (flows[0], flows[-1]) if flows else (self.end / most, self.end)
        return tuple(low + (high - low) * step / max(most - 1, 1) for step in range(most))


def chart(assessment: Assessment, run: str) -> Chart | None:
    """The chart of a run; None where it is of no stocked size and the design has no pipe to compare with."""
    look = assessment.look
    size = look.runs[run].size
    stock = look.sizes[size][0] if size else next((stock for stock in assessment.design.stock if stock.kind == "pipe"), None)
    if stock is None or not stock.sizes:
        return None
    limits = assessment.limits(run)
    lean = Lean(tuned=tuning_of(assessment.design))
    bores = sorted((_bore(stock, one, limits, lean) for one in stock.sizes), key=lambda bore: bore.bore)
    to_be_had = [at for at, bore in enumerate(bores) if bore.in_store or bore.ref == size]
    if to_be_had:
        bores = bores[to_be_had[0] : to_be_had[-1] + 1]
    flows = tuple(
        (result.gate_set.name, result.balance.runs[run].flow)
        for result in assessment.sets if result.balance and result.balance.runs[run].carries
    )  # fmt: skip
    return Chart(run, size, limits, assessment.air, tuple(bores), flows)


def _bore(stock: Stock, size: StockSize, limits: Limits, lean: Lean) -> Bore:
    across = area(size.bore.si)
    return Bore(
        f"{stock.id}/{size.nominal}", size.bore.si, stock_roughness(stock, lean), size.in_store is not False,
        limits.settles.value * across, limits.slow.value * across, limits.fast.value * across,
    )  # fmt: skip
