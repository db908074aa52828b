"""Solving the implicit step: a symmetric network eliminated node by node.

Every entry is a vector over designs, so the order of nodes is the only loop. The factors last as long as the
conductances do; each step only substitutes. Both are lists of elementary operations on views made once, each a partial
function of a ufunc: Python calls one sooner than it unpacks a tuple.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial

import numpy as np

from thermal.core.aligned import aligned_zeros
from thermal.core.arrays import Array, Precision
from thermal.solver.state import Factorisation, Operation, Scratch, System

ROWWISE = 512  # columns from which a call for each row costs less than a broadcast


def coupling_view(net: System, node: int, others: tuple[int, ...]) -> Array:
    """View of the conductances between a node and one or two others, shape (other, design)."""
    nodes = len(net.diagonal)
    starts = np.cumsum([nodes, *range(nodes - 1, 0, -1)])
    pairs = [(min(node, other), max(node, other)) for other in others]
    indices = [int(starts[low]) + high - low - 1 for low, high in pairs]
    return net.block[rows_at(tuple(indices))]


def rows_at(indices: tuple[int, ...]) -> slice:
    """One or two rows as a slice, which unlike a list makes a view."""
    return slice(indices[0], indices[-1] + 1, max(indices[-1] - indices[0], 1))


def scratch(nodes: int, designs: int, precision: Precision) -> Scratch:
    """Room to substitute in."""
    return Scratch(aligned_zeros((nodes, designs), precision), aligned_zeros((nodes, designs), precision))


def allocate(nodes: int, designs: int, precision: Precision = float) -> System:
    """An empty network of some nodes."""
    block = aligned_zeros((nodes + nodes * (nodes - 1) // 2, designs), precision)
    starts = np.cumsum([nodes, *range(nodes - 1, 0, -1)])
    rows = tuple(block[start : start + nodes - 1 - i] for i, start in enumerate(starts[:nodes]))
    return System(block, block[:nodes], rows)


def trailing_submatrix(whole: System, first: int, precision: Precision) -> System:
    """A copy of the network from one node on."""
    nodes, designs = whole.diagonal.shape
    rest = allocate(nodes - first, designs, precision)
    rest.diagonal[:] = whole.diagonal[first:]
    for row, own in enumerate(rest.rows):
        own[:] = whole.rows[first + row]
    return rest


def fill_pattern(pairs: Iterable[tuple[int, int]], nodes: int) -> tuple[range, ...]:
    """For each node the run of later nodes it is linked to when its turn comes, links made on the way included."""
    linked = {(min(pair), max(pair)) for pair in pairs}
    result = []
    for row in range(nodes):
        later = sorted(j for i, j in linked if i == row)
        linked |= {(j, k) for j in later for k in later if j < k}
        result.append(range(later[0], later[-1] + 1) if later else range(row + 1, row + 1))
    return tuple(result)


def factorisation(
    net: System,
    span: tuple[range, ...],
    first: int,
    work: Scratch,
    before: Factorisation | None = None,
    until: int | None = None,
) -> Factorisation:
    """The factors of a network, laid out but not yet worked out: `eliminate` does that.

    Parameters
    ----------
    span : tuple of range
        From `fill_pattern`, for all nodes.
    first, until : int
        Nodes to eliminate, numbered as in `span`; the network's own rows count from `first`. All but the last node
        when `until` is None.
    work : Scratch
        Where the substitution will happen.
    before : Factorisation, optional
        Of the nodes before `first`: their sweeps become part of these.
    """
    elimination: list[Operation] = []
    forward: list[Operation] = []
    backward: list[Operation] = []
    for row in range(first, len(span) - 1 if until is None else until):
        here, linked, count = row - first, span[row], len(span[row])
        coefficient = aligned_zeros((count + 1, net.block.shape[-1]), net.block.dtype.type)
        inverse, share = coefficient[0], coefficient[1:]  # 1/diagonal, the node's share in each node it is linked to
        to = net.rows[here][linked.start - row - 1 : linked.stop - row - 1]
        own, later = work.rhs[row], work.rhs[linked.start : linked.stop]
        product = work.product[: count + 1]  # the same rows for every node: they stay in the cache
        elimination.append(partial(np.divide, np.ones((), inverse.dtype), net.diagonal[here], inverse))
        if count:
            diagonal = net.diagonal[linked.start - first : linked.stop - first]
            elimination += _row_products(to, inverse, share)
            elimination.append(partial(np.multiply, share, to, product[1:]))
            elimination.append(partial(np.subtract, diagonal, product[1:], diagonal))
            forward += [*_row_products(share, own, product[1:]), partial(np.add, later, product[1:], later)]
        for k in range(count - 1):  # neighbours become linked
            gains, passed = net.rows[linked[k] - first][: count - 1 - k], product[: count - 1 - k]
            elimination += [*_row_products(to[k + 1 :], share[k], passed), partial(np.add, gains, passed, gains)]
        together = work.rhs[row : linked.stop] if linked.start == row + 1 else None
        backward[:0] = _back_substitution(coefficient, own, later, together, product)
    ahead, behind = (before.forward, before.backward) if before else ((), ())
    last = net.diagonal[-1]
    inverse = aligned_zeros(last.shape, last.dtype.type)
    return Factorisation(tuple(elimination), last, inverse, (*ahead, *forward), (*backward, *behind))


def _row_products(rows: Array, by: Array, out: Array) -> list[Operation]:
    """Rows times one row: a broadcast costs numpy twice the call, one over an array without axes does not."""
    if by.size == 1:
        return [partial(np.multiply, rows, by.reshape(()), out)]
    if len(rows) == 1 or rows.shape[-1] >= ROWWISE:
        return [partial(np.multiply, row, by, product) for row, product in zip(rows, out, strict=True)]
    return [partial(np.multiply, rows, by, out)]


def _back_substitution(
    coefficient: Array, own: Array, linked: Array, together: Array | None, product: Array
) -> list[Operation]:
    """A node's temperature from its flux and the temperatures it is linked to; `together` are both, if in one run."""
    if not len(linked):
        return [partial(np.multiply, coefficient[0], own, own)]
    if together is not None:
        products = [partial(np.multiply, coefficient, together, product)]
    else:
        products = [
            partial(np.multiply, coefficient[0], own, product[0]),
            partial(np.multiply, coefficient[1:], linked, product[1:]),
        ]
    return products + _row_sum(product, own)


def _row_sum(rows: Array, out: Array) -> list[Operation]:
    """The sum of two rows or more, which are overwritten: halves first, so that there are fewer operations."""
    folds = []
    while len(rows) > 3:
        half = len(rows) // 2
        folds.append(partial(np.add, rows[:half], rows[-half:], rows[:half]))
        rows = rows[: len(rows) - half]
    return [*folds, partial(np.add, rows[0], rows[1], out), *(partial(np.add, out, row, out) for row in rows[2:])]


def eliminate(factors: Factorisation) -> None:
    """Work the factors out, in place: later diagonals shrink, neighbours become linked."""
    for operation in factors.elimination:
        operation()
    np.divide(1.0, factors.diagonal, out=factors.inverse)


def substitute(factors: Factorisation, last: Array, target_w: Array, min_w: Array, max_w: Array, watts: Array) -> None:
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
    for operation in factors.forward:
        operation()
    np.subtract(target_w, last, watts)
    np.maximum(watts, min_w, out=watts)
    np.minimum(watts, max_w, out=watts)
    np.add(last, watts, last)
    np.multiply(last, factors.inverse, last)
    for operation in factors.backward:
        operation()
