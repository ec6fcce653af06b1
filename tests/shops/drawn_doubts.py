"""What is doubtful about a design drawn at random: the share of draws that a band covers."""

from __future__ import annotations

from random import Random

from engine.air.bands import band, doubts, moved
from engine.air.gate_sets import SetResult
from engine.air.one.balance import solve
from engine.checks.assess import Assessment


def coverage(assessment: Assessment, result: SetResult, draws: int, seed: int = 1) -> dict[str, float]:
    """The share of `draws` in which the flow of each open port of a gate set lies in its band, every doubt drawn evenly from its span."""
    about = doubts(assessment.design, assessment.tree)
    found, rng, inside = band(about, result), Random(seed), dict.fromkeys(result.open_ports, 0)
    kinds = [doubt.of for doubt in about if "/" not in doubt.of or doubt.of in result.open_ports]
    for _ in range(draws):
        drawn = moved(assessment.design, assessment.tree, {kind: rng.random() for kind in kinds})
        for port, state in solve(drawn, result.open_ports, throttled=result.throttled, near=result.balance).ports.items():
            inside[port] += found[port].low <= state.flow <= found[port].high
    return {port: hits / draws for port, hits in inside.items()}
