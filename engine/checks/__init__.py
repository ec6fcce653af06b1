"""The checks: one small function for each finding, listed in SET_CHECKS and DESIGN_CHECKS."""

from engine.checks.air import SET_CHECKS
from engine.checks.fittings import FITTING_CHECKS
from engine.checks.layout import LAYOUT_CHECKS
from engine.checks.rules import SEVERITIES, Finding
from engine.checks.space import SPACE_CHECKS
from engine.checks.stock import STOCK_CHECKS

DESIGN_CHECKS = (*LAYOUT_CHECKS, *FITTING_CHECKS, *SPACE_CHECKS, *STOCK_CHECKS)

__all__ = ["DESIGN_CHECKS", "SET_CHECKS", "SEVERITIES", "Finding"]
