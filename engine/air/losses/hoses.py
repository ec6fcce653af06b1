"""Flexible hose: what its bends and its slack add to the friction of its stretched length."""

from __future__ import annotations

from math import exp, pi

from engine.air.losses import elbows

_BEND_RADIUS = 1.0  # centre-line radius in bores that a hose takes where it is let to: judgement, no source
_RIGHT_ANGLE = pi / 2
_MOST_COMPRESSED = 0.5


def bend(angle: float) -> float:
    """Coefficient of a hose bent by a total `angle` [rad, 0 or more], on the velocity pressure of its bore.

    Raises ValueError for a negative angle.

    As a smooth elbow of centre-line radius 1.0 bore; more than 90 deg counts
    as one right angle after another: judgement, no source.
    """
    if not angle >= 0.0:
        raise ValueError(f"a hose bent by {angle:g} rad; wanted 0 or more")
    whole, rest = divmod(angle, _RIGHT_ANGLE)
    return whole * elbows.smooth(_RIGHT_ANGLE, _BEND_RADIUS) + elbows.smooth(rest, _BEND_RADIUS)


def compression_factor(compressed_share: float, bore: float) -> float:
    """Factor on the friction of a hose left compressed by a share of its stretched length, 0 or more; `bore` [m, 0 or more].

    Raises ValueError for a negative share or bore.

    1 + 0.58 r exp(-0.00496 D), r in per cent and D in mm: published for
    flexible duct, from memory; of the order of 4 at moderate compression,
    towards 10 beyond. Measured up to about 0.3 and 250 mm; followed beyond,
    held from a share of 0.5 up.
    """
    if not (compressed_share >= 0.0 and bore >= 0.0):
        raise ValueError(f"a hose of bore {bore:g} m compressed by {compressed_share:g}; wanted neither below 0")
    return 1.0 + 58.0 * min(compressed_share, _MOST_COMPRESSED) * exp(-4.96 * bore)
