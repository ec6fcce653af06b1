"""The fan and the duct of Cengel and Cimbala, Fluid Mechanics, example 14-1: 650 cfm at 0.83 inH2O."""

from __future__ import annotations

from dataclasses import replace

from engine.air.properties import Air
from engine.design import Design, OwnLoss
from engine.units import Quantity
from tests.shops.small_shops import collector, machine, q, run, shop, si

AIR = Air(1.184, 1.184 * 1.562e-5)
CFM, IN_WATER = 4.719474e-4, 0.0254 * 998 * 9.81
FLOW, PRESSURE = 650 * CFM, 0.83 * IN_WATER
_CURVE = ((0, 0.90), (250, 0.95), (500, 0.90), (750, 0.75), (1000, 0.40), (1200, 0))


def fan_and_duct() -> Design:
    """Both as published, the hood needing the published flow."""
    fan = collector([(flow * CFM, pressure * IN_WATER) for flow, pressure in _CURVE], inlet=0.230, density=q("1.184 kg/m3", "density"))
    pieces = [13.4, OwnLoss(loss=1.8, name="damper"), OwnLoss(loss=5 * 0.21, name="elbows"), OwnLoss(loss=1.05, name="exit")]
    duct = run("duct", "collector", 230, *pieces, ends="hood/hood")
    design = shop(duct, machines=[machine("hood", 230, needs=FLOW, loss=1.3)], collector=fan)
    stock = replace(design.stock[0], roughness=si(0.15e-3))
    site = replace(design.site, altitude=Quantity(0.0, "0 m"), temperature=q("25 degC", "temperature"))
    return replace(design, stock=(stock, *design.stock[1:]), site=site)
