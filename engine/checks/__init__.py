"""The checks: one small function for each finding, listed in SET_CHECKS and DESIGN_CHECKS."""

from engine.checks.air_checks import SET_CHECKS
from engine.checks.layout_checks import DESIGN_CHECKS
from engine.checks.rules import SEVERITIES, Finding

__all__ = ["DESIGN_CHECKS", "SET_CHECKS", "SEVERITIES", "Finding"]
