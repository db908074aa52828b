"""Solving the implicit step: a symmetric network eliminated node by node.

Every entry is a vector over designs, so the order of nodes is the only loop. The factors last as long as the
conductances do; each step only substitutes, in place, through views made once with the factors.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from thermal.air import Array, Precision


class Scratch(NamedTuple):
    """Arrays the substitution works in: heat in, temperatures out; and room for products. Shape (node, design)."""

    flux: Array
    product: Array


class Pivot(NamedTuple):
    """One eliminated node: views made once of everything its elimination and substitution touch."""

    coefficient: Array  # (1 + later node, design): 1/diagonal, then the node's share in each later node
    inverse: Array  # its first row
    share: Array  # its other rows
    to: Array  # conductances to the later nodes, (later node, design)
    own_diagonal: Array
    later_diagonal: Array
    cross: tuple[tuple[Array, Array, Array, Array], ...]  # for each later node but the last: links it gains
    own: Array  # of the scratch flux: the node's row,
    later: Array  # the rows after it that it is linked to,
    both: Array  # and the two together
    product_later: Array
    product_both: Array


class System(NamedTuple):
    """A symmetric network as rows: diagonals, and conductances to later nodes, in one block of memory.

    `rows[i]` holds the conductances of node i to the nodes i + 1, i + 2, ..., shape (later node, design).
    """

    block: Array
    diagonal: Array
    rows: tuple[Array, ...]


class Factors(NamedTuple):
    """The pivots of all nodes but the last, the last node's diagonal, and the two sweeps over the scratch flux."""

    pivots: tuple[Pivot, ...]
    diagonal: Array
    inverse: Array
    forward: tuple[tuple[Array, Array, Array, Array], ...]  # share, own, product, later
    backward: tuple[tuple[Array, Array, Array, Array, tuple[Array, ...]], ...]  # coefficient, both, product, own, rows


def scratch(nodes: int, designs: int, precision: Precision) -> Scratch:
    """Room to substitute in."""
    return Scratch(np.zeros((nodes, designs), precision), np.zeros((nodes, designs), precision))


def system(nodes: int, designs: int, precision: Precision = float) -> System:
    """An empty network of some nodes."""
    block = np.zeros((nodes + nodes * (nodes - 1) // 2, designs), precision)
    starts = np.cumsum([nodes, *range(nodes - 1, 0, -1)])
    rows = tuple(block[start : start + nodes - 1 - i] for i, start in enumerate(starts[:nodes]))
    return System(block, block[:nodes], rows)


def part(whole: System, first: int, precision: Precision) -> System:
    """A copy of the network from one node on."""
    nodes, designs = whole.diagonal.shape
    rest = system(nodes - first, designs, precision)
    rest.diagonal[:] = whole.diagonal[first:]
    for row, own in enumerate(rest.rows):
        own[:] = whole.rows[first + row]
    return rest


def stops(pairs: Iterable[tuple[int, int]], nodes: int) -> tuple[int, ...]:
    """For each node one past the last node it is linked to when its turn comes, links made on the way included."""
    linked = {(min(pair), max(pair)) for pair in pairs}
    result = []
    for row in range(nodes):
        later = sorted(j for i, j in linked if i == row)
        linked |= {(j, k) for j in later for k in later if j < k}
        result.append(later[-1] + 1 if later else row + 1)
    return tuple(result)


def pivots_of(net: System, stop: tuple[int, ...], rows: range, work: Scratch, first: int = 0) -> tuple[Pivot, ...]:
    """The pivots of some nodes of a network, not yet worked out.

    Parameters
    ----------
    stop : tuple of int
        From `stops`, for all nodes.
    rows : range
        Nodes to eliminate, numbered as in `stop`; the network's own rows count from `first`.
    work : Scratch
        Where the substitution will happen.
    """
    pivots = []
    for row in rows:
        here, count = row - first, stop[row] - row - 1
        coefficient = np.zeros_like(net.block[: count + 1])
        share, to = coefficient[1:], net.rows[here][:count]
        product = work.product[row : stop[row]]
        cross = tuple(
            (share[k], to[k + 1 :], net.rows[here + 1 + k][: count - 1 - k], work.product[: count - 1 - k])
            for k in range(count - 1)
        )
        both = work.flux[row : stop[row]]
        pivots.append(
            Pivot(
                coefficient, coefficient[0], share, to, net.diagonal[here], net.diagonal[here + 1 : here + 1 + count],
                cross, both[0], both[1:], both, product[1:], product,
            )
        )  # fmt: skip
    return tuple(pivots)


def factors_of(pivots: tuple[Pivot, ...], diagonal: Array) -> Factors:
    """Factors with their sweeps; diagonal is the last node's."""
    linked = [one for one in pivots if len(one.share)]
    return Factors(
        pivots,
        diagonal,
        np.zeros_like(diagonal),
        tuple((one.share, one.own, one.product_later, one.later) for one in linked),
        tuple(
            (one.coefficient, one.both, one.product_both, one.own, tuple(one.product_both)) for one in reversed(pivots)
        ),
    )


def eliminate(pivots: tuple[Pivot, ...]) -> None:
    """Work the pivots out in order, in place: later diagonals shrink, neighbours become linked."""
    for one in pivots:
        np.divide(1.0, one.own_diagonal, out=one.inverse)
        np.multiply(one.to, one.inverse, out=one.share)
        np.multiply(one.share, one.to, out=one.product_later)
        np.subtract(one.later_diagonal, one.product_later, out=one.later_diagonal)
        for share, to, gains, product in one.cross:
            np.multiply(share, to, out=product)
            np.add(gains, product, out=gains)


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
    multiply, add = np.multiply, np.add
    for share, own, product, later in factors.forward:
        multiply(share, own, product)
        add(later, product, later)
    np.subtract(target_w, last, watts)
    np.maximum(watts, min_w, out=watts)
    np.minimum(watts, max_w, out=watts)
    add(last, watts, last)
    multiply(last, factors.inverse, last)
    for coefficient, both, product, own, rows in factors.backward:
        multiply(coefficient, both, product)
        if len(rows) > 1:
            add(rows[0], rows[1], own)  # plain sums are quicker than a reduction
            for row in rows[2:]:
                add(own, row, own)
        else:
            np.copyto(own, rows[0])
