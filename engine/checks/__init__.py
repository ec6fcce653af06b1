"""The checks: one small function for each finding, in a module for each subject; `assess` runs them all."""

from engine.checks.rules import SEVERITIES, Finding, Severity

__all__ = ["SEVERITIES", "Finding", "Severity"]
