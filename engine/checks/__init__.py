"""The checks: one small function for each finding, in a module for each subject; `assess` runs them all."""

from engine.checks.rules import CONCERNS, SEVERITIES, Concern, Finding, Severity

__all__ = ["CONCERNS", "SEVERITIES", "Concern", "Finding", "Severity"]
