"""The fan laws: what a fan does at another speed, in another size, in other air."""

from __future__ import annotations


def scaled(
    flow: float, pressure: float, power: float, *, diameter: float = 1.0, speed: float = 1.0, density: float = 1.0
) -> tuple[float, float, float]:
    """Flow [m3/s], pressure [Pa] and power [W] of a similar fan at the similar point, from those of a known one.

    `diameter`, `speed` and `density` are ratios, new over known, above 0:
    Q ~ N D^3, p ~ density N^2 D^2, P ~ density N^3 D^5 (Fox and McDonald,
    Introduction to Fluid Mechanics, chapter 10).
    """
    return (
        flow * speed * diameter**3,
        pressure * density * (speed * diameter) ** 2,
        power * density * speed**3 * diameter**5,
    )
