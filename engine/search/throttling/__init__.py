"""Balancing by gates left part open: which gate how far, so that every machine at work gets what it needs."""

from engine.search.throttling.division import Throttling, all_throttled, throttling, throttlings
from engine.search.throttling.gates import LEAST_OPEN, Opening, opening_of

__all__ = ["LEAST_OPEN", "Opening", "Throttling", "all_throttled", "opening_of", "throttling", "throttlings"]
