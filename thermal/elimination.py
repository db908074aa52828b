"""Solving the implicit step: a symmetric network eliminated node by node.

Every entry is a vector over designs, so the order of nodes is the only loop. The factors last as long as the
conductances do; each step only substitutes.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from thermal.air import Array


class Hold(NamedTuple):
    """Setpoint [degC] and limits [W] of the heater in the last node."""

    setpoint_c: Array
    min_w: Array
    max_w: Array


class Pivot(NamedTuple):
    """One eliminated node: its share in each later row it is linked to, and 1/diagonal."""

    row: int
    rows: slice
    share: Array  # (linked row, design)
    inverse: Array


class Factors(NamedTuple):
    """All pivots but the last node's, and the last node's diagonal."""

    pivots: tuple[Pivot, ...]
    diagonal: Array
    inverse: Array


Upper = tuple[Array, ...]  # row i: conductances to the nodes i + 1, i + 2, ..., shape (later node, design)


def reaches(pairs: Iterable[tuple[int, int]], nodes: int) -> tuple[slice, ...]:
    """For each node the run of later nodes it is linked to when its turn comes, links made on the way included."""
    linked = {(min(pair), max(pair)) for pair in pairs}
    result = []
    for row in range(nodes):
        later = sorted(j for i, j in linked if i == row)
        linked |= {(j, k) for j in later for k in later if j < k}
        result.append(slice(later[0], later[-1] + 1) if later else slice(row + 1, row + 1))
    return tuple(result)


def eliminated(
    diagonal: Array, upper: Upper, reach: tuple[slice, ...], rows: range, first: int = 0
) -> tuple[Pivot, ...]:
    """Eliminate some nodes in order, in place: later diagonals shrink, neighbours become linked.

    Parameters
    ----------
    diagonal : Array, shape (node, design)
        Heat capacity over the step plus all conductances, of the nodes from `first` on.
    upper : Upper
        Conductances between the nodes from `first` on.
    reach : tuple of slice
        From `reaches`, for all nodes.
    rows : range
        Nodes to eliminate.
    """
    pivots = []
    for row in rows:
        here, rest = row - first, reach[row]
        start, stop = rest.start - first, rest.stop - first
        inverse = 1.0 / diagonal[here]
        to = upper[here][start - here - 1 : stop - here - 1]
        share = to * inverse
        diagonal[start:stop] -= share * to
        for k in range(start, stop - 1):
            upper[k][: stop - k - 1] += share[k - start] * to[k - start + 1 :]
        pivots.append(Pivot(row, rest, share, inverse))
    return tuple(pivots)


def substituted(factors: Factors, flux: Array, hold: Hold, watts: Array) -> None:
    """Solve for the temperatures, written over `flux`, and the heater's watts.

    The last node comes out first, so that the least watts that reach the setpoint are known in closed form.

    Parameters
    ----------
    flux : Array, shape (node, design)
        Heat into each node from its own past and from outside [W]; becomes the temperatures [degC].
    watts : Array, shape (design,)
        Receives the heater's power.
    """
    for row, rows, share, _ in factors.pivots:
        flux[rows] += share * flux[row]
    last = flux[-1]
    np.multiply(factors.diagonal, hold.setpoint_c, out=watts)
    watts -= last
    np.maximum(watts, hold.min_w, out=watts)
    np.minimum(watts, hold.max_w, out=watts)
    last += watts
    last *= factors.inverse
    for row, rows, share, inverse in reversed(factors.pivots):
        here = flux[row]
        here *= inverse
        if len(share) == 1:
            here += share[0] * flux[rows.start]
        else:
            here += np.add.reduce(share * flux[rows], axis=0)
