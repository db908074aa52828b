"""Solving the implicit step: Gaussian elimination of a symmetric network, node by node.

Every entry of the matrix is a vector over columns. The factors last as long as the conductances do; each step only
substitutes. Both are lists of elementary operations on views made once (saves 12 % of 2,048 designs, 11 % of a `run`).
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial

import numpy as np

from thermal.core.aligned import aligned_zeros
from thermal.core.arrays import Array, Precision
from thermal.solver.state import Factorisation, Operation, System

ROWWISE = 512  # columns from which a call for each row costs less than a broadcast: 12 % of 2,048 designs


def coupling_view(system: System, node: int, others: tuple[int, ...]) -> Array:
    """View of the conductances between a node and one or two others, shape (other, column).

    Parameters
    ----------
    system : System
        The matrix looked into.
    node : int
        Number of a node.
    others : tuple of int
        One or two other nodes.
    """
    nodes = len(system.diagonal)
    starts = np.cumsum([nodes, *range(nodes - 1, 0, -1)])
    pairs = [(min(node, other), max(node, other)) for other in others]
    indices = [int(starts[low]) + high - low - 1 for low, high in pairs]
    return system.block[rows_at(tuple(indices))]


def rows_at(indices: tuple[int, ...]) -> slice:
    """One or two rows, or three one after the other, as a slice, which unlike a list makes a view."""
    return slice(indices[0], indices[-1] + 1, max((indices[-1] - indices[0]) // max(len(indices) - 1, 1), 1))


def allocate(nodes: int, columns: int, precision: Precision = float) -> System:
    """A network of some nodes without conductances.

    Parameters
    ----------
    nodes : int
        How many nodes.
    columns : int
        How many columns.
    precision : type
        numpy.float32 or float.
    """
    block = aligned_zeros((nodes + nodes * (nodes - 1) // 2, columns), precision)
    starts = np.cumsum([nodes, *range(nodes - 1, 0, -1)])
    rows = tuple(block[start : start + nodes - 1 - i] for i, start in enumerate(starts[:nodes]))
    return System(block, block[:nodes], rows)


def trailing_submatrix(whole: System, first: int, precision: Precision) -> System:
    """A copy of the network from one node on.

    Parameters
    ----------
    whole : System
        The matrix copied from.
    first : int
        First node of the copy.
    precision : type
        numpy.float32 or float.
    """
    nodes, columns = whole.diagonal.shape
    rest = allocate(nodes - first, columns, precision)
    rest.diagonal[:] = whole.diagonal[first:]
    for index, row in enumerate(rest.rows):
        row[:] = whole.rows[first + index]
    return rest


def fill_pattern(pairs: Iterable[tuple[int, int]], nodes: int) -> tuple[range, ...]:
    """For each node the run of later nodes it is linked to when its turn comes.

    Parameters
    ----------
    pairs : iterable of (int, int)
        Linked nodes.
    nodes : int
        How many there are.

    Returns
    -------
    tuple of range
        One for each node, links made by the elimination included.
    """
    linked = {(min(pair), max(pair)) for pair in pairs}
    pattern = []
    for node in range(nodes):
        later = sorted(j for i, j in linked if i == node)
        linked |= {(j, k) for j in later for k in later if j < k}
        pattern.append(range(later[0], later[-1] + 1) if later else range(node + 1, node + 1))
    return tuple(pattern)


def factorisation(
    system: System,
    pattern: tuple[range, ...],
    first: int,
    rhs: Array,
    before: Factorisation | None = None,
    until: int | None = None,
) -> Factorisation:
    """The factors of a network, laid out but not yet worked out: `eliminate` does that.

    Parameters
    ----------
    system : System
        Overwritten by `eliminate`.
    pattern : tuple of range
        From `fill_pattern`, for all nodes.
    first, until : int
        Nodes to eliminate, numbered as in `pattern`; the system's own rows count from `first`. All but the last node
        when `until` is None.
    rhs : Array, shape (node, column)
        Where the substitution will happen.
    before : Factorisation, optional
        Of the nodes before `first`: its sweeps become part of this one's.
    """
    elimination: list[Operation] = []
    forward: list[Operation] = []
    backward: list[Operation] = []
    columns, precision = rhs.shape[-1], system.block.dtype.type
    for node in range(first, len(pattern) - 1 if until is None else until):
        neighbours, count = pattern[node], len(pattern[node])
        coupling = system.rows[node - first][neighbours.start - node - 1 : neighbours.stop - node - 1]
        factors, products = (aligned_zeros((count + 1, columns), precision) for _ in range(2))
        inverse, share, product = factors[0], factors[1:], products[1:]
        here, later = rhs[node], rhs[neighbours.start : neighbours.stop]
        elimination.append(partial(np.divide, np.ones((), precision), system.diagonal[node - first], inverse))
        if count:
            diagonals = system.diagonal[neighbours.start - first : neighbours.stop - first]
            elimination += _row_products(coupling, inverse, share)
            elimination.append(partial(np.multiply, share, coupling, product))
            elimination.append(partial(np.subtract, diagonals, product, diagonals))
            forward += [*_row_products(share, here, product), partial(np.add, later, product, later)]
        for k in range(count - 1):  # neighbours become linked to each other
            links, passed = system.rows[neighbours[k] - first][: count - 1 - k], product[: count - 1 - k]
            elimination += [*_row_products(coupling[k + 1 :], share[k], passed), partial(np.add, links, passed, links)]
        backward[:0] = _back_substitution(factors, rhs, node, neighbours, products)
    ahead, behind = (before.forward, before.backward) if before else ((), ())
    last = system.diagonal[-1]
    return Factorisation(
        elimination=tuple(elimination),
        diagonal=last,
        inverse=aligned_zeros(last.shape, precision),
        forward=(*ahead, *forward),
        backward=(*backward, *behind),
    )


def _back_substitution(factors: Array, rhs: Array, node: int, neighbours: range, products: Array) -> list[Operation]:
    """A node's temperature from its heat and the temperatures of its neighbours."""
    here, later = rhs[node], rhs[neighbours.start : neighbours.stop]
    if not neighbours:
        return [partial(np.multiply, here, factors[0], here)]
    if neighbours.start == node + 1:  # one product for both: 1 to 3 %, kept for the sum of them
        multiply = [partial(np.multiply, factors, rhs[node : neighbours.stop], products)]
    else:
        multiply = [
            partial(np.multiply, here, factors[0], products[0]),
            partial(np.multiply, later, factors[1:], products[1:]),
        ]
    sums = [partial(np.add, here, row, here) for row in products[2:]]
    return [*multiply, partial(np.add, products[0], products[1], here), *sums]


def _row_products(rows: Array, factor: Array, out: Array) -> list[Operation]:
    """Rows times one row: a broadcast costs numpy twice the call, one over an array without axes does not."""
    if factor.size == 1:
        return [partial(np.multiply, rows, factor.reshape(()), out)]
    if len(rows) == 1 or rows.shape[-1] >= ROWWISE:
        return [partial(np.multiply, row, factor, product) for row, product in zip(rows, out, strict=True)]
    return [partial(np.multiply, rows, factor, out)]


def eliminate(factors: Factorisation) -> None:
    """Work the factors out, in place: later diagonals shrink, neighbours become linked."""
    for operation in factors.elimination:
        operation()
    np.divide(1.0, factors.diagonal, out=factors.inverse)


def substitute(
    factors: Factorisation,
    last: Array,
    target_w: Array,
    limits: tuple[Array, Array, Array | None],
    watts: Array,
) -> None:
    """Solve for the temperatures in place of the right-hand side, and the heater's watts.

    The last node comes out first, so that the least watts that reach its setpoint are known in closed form.

    Parameters
    ----------
    factors : Factorisation
        Its right-hand side holds heat [W] before, temperatures [K] after.
    last : Array, shape (column,)
        The last node's row of the right-hand side.
    target_w : Array, shape (column,)
        Heat into the last node at which it reaches its setpoint: diagonal times setpoint.
    limits : tuple of Array, shape (column,)
        Least and most power; and, where a cooler has its own setpoint, by how much more heat the node reaches that.
    watts : Array, shape (column,)
        Receives the heater's power.
    """
    min_w, max_w, band_w = limits
    for operation in factors.forward:
        operation()
    np.subtract(target_w, last, watts)
    if band_w is None:
        np.maximum(watts, min_w, out=watts)
        np.minimum(watts, max_w, out=watts)
    else:
        taken_w = np.maximum(np.minimum(watts + band_w, 0.0), min_w)
        np.add(np.minimum(np.maximum(watts, 0.0), max_w), taken_w, watts)
    np.add(last, watts, last)
    np.multiply(last, factors.inverse, last)
    for operation in factors.backward:
        operation()
