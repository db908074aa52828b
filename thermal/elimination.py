"""Solving the implicit step: a symmetric network eliminated node by node.

Nodes whose links never change are eliminated once; what is left each hour is a handful of rows. Every entry
is a vector over designs, so the order of nodes is the only loop.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from thermal.air import Array
from thermal.network import Network


class Hold(NamedTuple):
    """Setpoint [degC] and limits [W] of the heater in the last node."""

    setpoint_c: Array
    min_w: Array
    max_w: Array


class Pivot(NamedTuple):
    """One eliminated node: what it passes on to later rows."""

    row: int
    rows: slice  # later rows it is linked to
    share: Array  # conductance over diagonal, shape (linked row, design)
    inverse: Array  # 1/diagonal


class Reduced(NamedTuple):
    """The network after elimination of its constant nodes.

    diagonal and between cover the rows from `first` on; `between[i, j]` holds the conductance of i < j.
    """

    first: int
    pivots: tuple[Pivot, ...]
    diagonal: Array
    between: Array


def reduced(network: Network, dt_s: float, constant: int) -> Reduced:
    """Eliminate the first `constant` nodes of a network for a step of dt_s."""
    n = len(network.nodes)
    between = np.zeros((n, n, network.designs))
    diagonal = network.capacity_j_per_k / dt_s + network.outdoor_w_per_k + network.fixed_w_per_k
    for (i, j), conductance in zip(network.links, network.link_w_per_k, strict=True):
        between[min(i, j), max(i, j)] += conductance
        diagonal[i] += conductance
        diagonal[j] += conductance
    pivots = [pivot(row, diagonal, between) for row in range(constant)]
    return Reduced(constant, tuple(pivots), diagonal[constant:].copy(), between[constant:, constant:].copy())


def pivot(row: int, diagonal: Array, between: Array) -> Pivot:
    """Eliminate one row in place: later diagonals shrink, its neighbours become linked."""
    linked = np.flatnonzero(between[row].any(axis=-1))
    inverse = 1.0 / diagonal[row]
    if linked.size == 0:
        return Pivot(row, slice(row, row), between[row, row:row], inverse)
    rows = slice(int(linked[0]), int(linked[-1]) + 1)
    return Pivot(row, rows, _spread(row, rows, inverse, diagonal, between), inverse)


def _spread(row: int, rows: slice, inverse: Array, diagonal: Array, between: Array) -> Array:
    """Share of each linked row in the pivot, after passing the pivot on to them."""
    to = between[row, rows]
    share = to * inverse
    diagonal[rows] -= share * to
    for k in range(rows.start, rows.stop - 1):
        between[k, k + 1 : rows.stop] += share[k - rows.start] * to[k - rows.start + 1 :]
    return share


def solve(reduced_: Reduced, diagonal: Array, between: Array, flux: Array, hold: Hold, temperature: Array) -> Array:
    """New temperatures of all nodes, written into `temperature`; the heater's watts are returned.

    Parameters
    ----------
    diagonal, between : Array
        The hour's rows from `reduced_.first` on; overwritten.
    flux : Array, shape (node, design)
        Right-hand side [W]; overwritten.
    hold : Hold
        What the last node's heater wants and may.
    """
    for one in reduced_.pivots:
        flux[one.rows] += one.share * flux[one.row]
    first, last = reduced_.first, len(flux) - 1
    pivots = []
    for row in range(last - first):
        rows = slice(row + 1, last - first + 1)
        inverse = 1.0 / diagonal[row]
        share = _spread(row, rows, inverse, diagonal, between)
        flux[first + row + 1 :] += share * flux[first + row]
        pivots.append(Pivot(first + row, slice(first + row + 1, last + 1), share, inverse))
    watts = np.minimum(np.maximum(diagonal[-1] * hold.setpoint_c - flux[-1], hold.min_w), hold.max_w)
    temperature[-1] = (flux[-1] + watts) / diagonal[-1]
    for one in (*reversed(pivots), *reversed(reduced_.pivots)):
        linked = (one.share * temperature[one.rows]).sum(axis=0)
        temperature[one.row] = flux[one.row] * one.inverse + linked
    return watts
