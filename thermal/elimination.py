"""Solving the implicit step: a symmetric network eliminated node by node.

Every entry is a vector over designs, so the order of nodes is the only loop. The factors last as long as the
conductances do; each step only substitutes, in place, through views made once with the factors.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from thermal.air import Array

Upper = tuple[Array, ...]  # row i: conductances to the nodes i + 1, i + 2, ..., shape (later node, design)


class Scratch(NamedTuple):
    """Arrays the substitution works in: heat in, temperatures out; and room for products. Shape (node, design)."""

    flux: Array
    product: Array


class Pivot(NamedTuple):
    """One eliminated node: 1/diagonal and its shares in later nodes, and the scratch rows they meet."""

    coefficient: Array  # (1 + later node, design): inverse, then share of each later node
    share: Array  # its rows but the first
    own: Array  # views of the scratch flux: the node's row,
    later: Array  # the rows after it that it is linked to,
    both: Array  # and the two together
    product_later: Array
    product_both: Array


class Factors(NamedTuple):
    """All pivots but the last node's, and the last node's diagonal."""

    pivots: tuple[Pivot, ...]
    diagonal: Array
    inverse: Array


def scratch(nodes: int, designs: int) -> Scratch:
    """Room to substitute in."""
    return Scratch(np.zeros((nodes, designs)), np.zeros((nodes, designs)))


def stops(pairs: Iterable[tuple[int, int]], nodes: int) -> tuple[int, ...]:
    """For each node one past the last node it is linked to when its turn comes, links made on the way included."""
    linked = {(min(pair), max(pair)) for pair in pairs}
    result = []
    for row in range(nodes):
        later = sorted(j for i, j in linked if i == row)
        linked |= {(j, k) for j in later for k in later if j < k}
        result.append(later[-1] + 1 if later else row + 1)
    return tuple(result)


def eliminated(
    diagonal: Array, upper: Upper, stop: tuple[int, ...], rows: range, work: Scratch, first: int = 0
) -> tuple[Pivot, ...]:
    """Eliminate some nodes in order, in place: later diagonals shrink, neighbours become linked.

    Parameters
    ----------
    diagonal : Array, shape (node, design)
        Heat capacity over the step plus all conductances, of the nodes from `first` on.
    upper : Upper
        Conductances between the nodes from `first` on.
    stop : tuple of int
        From `stops`, for all nodes.
    rows : range
        Nodes to eliminate.
    work : Scratch
        Where the pivots will be used.
    """
    pivots = []
    for row in rows:
        here, count = row - first, stop[row] - row - 1
        coefficient = np.empty((count + 1, diagonal.shape[1]))
        np.divide(1.0, diagonal[here], out=coefficient[0])
        to, share = upper[here][:count], coefficient[1:]
        np.multiply(to, coefficient[0], out=share)
        diagonal[here + 1 : here + 1 + count] -= share * to
        for k in range(count - 1):
            upper[here + 1 + k][: count - 1 - k] += share[k] * to[k + 1 :]
        both = work.flux[row : stop[row]]
        product = work.product[row : stop[row]]
        pivots.append(Pivot(coefficient, share, both[0], both[1:], both, product[1:], product))
    return tuple(pivots)


def substituted(factors: Factors, last: Array, target_w: Array, min_w: Array, max_w: Array, watts: Array) -> None:
    """Solve for the temperatures in the scratch flux, and the heater's watts.

    The last node comes out first, so that the least watts that reach its setpoint are known in closed form.

    Parameters
    ----------
    last : Array, shape (design,)
        The last node's row of the scratch flux.
    target_w : Array, shape (design,)
        Heat into the last node at which it reaches its setpoint: diagonal times setpoint.
    watts : Array, shape (design,)
        Receives the heater's power, between min_w and max_w.
    """
    for _, share, own, later, _, product, _ in factors.pivots:
        np.multiply(share, own, out=product)
        np.add(later, product, out=later)
    np.subtract(target_w, last, out=watts)
    np.maximum(watts, min_w, out=watts)
    np.minimum(watts, max_w, out=watts)
    np.add(last, watts, out=last)
    np.multiply(last, factors.inverse, out=last)
    for coefficient, _, own, _, both, _, product in reversed(factors.pivots):
        np.multiply(coefficient, both, out=product)
        np.add.reduce(product, axis=0, out=own)
