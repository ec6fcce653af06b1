"""The tangent network: where all losses go on as they do at the flows of a state, and what steps would balance it."""

from __future__ import annotations

from engine.air.one.live import Live, State


def newton_step(live: Live, state: State) -> list[float] | None:
    """The Newton step of every flow [m3/s], or None where the tangent network has no answer.

    Going inward each reach becomes ds = a + b dq for the suction s at its inner
    end, before the joint; going outward the steps dq follow from the fan's.
    """
    a, b = state.h[:], state.g[:]
    met: list[tuple[list[float], list[float]]] = []
    for i, kids in reversed(live.inner):
        shared = _shared_suction(kids, a, b, state.j, state.dj[i])
        if shared is None or not (whole := sum(shared[0])):
            return None
        a[i] += sum(shared[1]) / whole
        b[i] += 1.0 / whole
        met.append(shared)
    rise = b[0] - state.fan_slope
    if rise == 0.0:
        return None
    dq = [0.0] * len(a)
    dq[0] = (state.fan - a[0]) / rise
    for (i, kids), (u, w) in zip(live.inner, reversed(met), strict=True):
        ds = (dq[i] + sum(w)) / sum(u)
        for k, uk, wk in zip(kids, u, w, strict=True):
            dq[k] = uk * ds - wk
    return dq


def _shared_suction(
    kids: tuple[int, ...], a: list[float], b: list[float], j: list[float], dj: list[list[float]] | None
) -> tuple[list[float], list[float]] | None:
    """Reaches that meet share one suction S: M dq = S 1 - r; returns u = M^-1 1 and w = M^-1 r."""
    if len(kids) == 2 and dj:
        k, other = kids
        m00, m01, m10, m11 = b[k] + dj[0][0], dj[0][1], dj[1][0], b[other] + dj[1][1]
        r0, r1, det = a[k] + j[k], a[other] + j[other], m00 * m11 - m01 * m10
        if det == 0.0:
            return None
        return [(m11 - m01) / det, (m00 - m10) / det], [(m11 * r0 - m01 * r1) / det, (m00 * r1 - m10 * r0) / det]
    rows = [[*row, 1.0, a[k] + j[k]] for k, row in zip(kids, dj or [[0.0] * len(kids)] * len(kids), strict=True)]
    for r, k in enumerate(kids):
        rows[r][r] += b[k]
    return _eliminate(rows)


def _eliminate(rows: list[list[float]]) -> tuple[list[float], list[float]] | None:
    """Gauss-Jordan with row exchange on a few rows with two right-hand sides."""
    n = len(rows)
    for c in range(n):
        pivot = max(range(c, n), key=lambda r: abs(rows[r][c]))
        if rows[pivot][c] == 0.0:
            return None
        rows[c], rows[pivot] = rows[pivot], rows[c]
        scale = rows[c][c]
        rows[c] = [value / scale for value in rows[c]]
        for r in range(n):
            if r != c and rows[r][c]:
                factor = rows[r][c]
                rows[r] = [value - factor * top for value, top in zip(rows[r], rows[c], strict=True)]
    return [row[n] for row in rows], [row[n + 1] for row in rows]
