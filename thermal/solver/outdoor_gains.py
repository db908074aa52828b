"""Heat that sun and sky bring to nodes: in proportion to columns of the forcing, worked out a day at a time."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thermal.core.aligned import aligned_copy, aligned_zeros
from thermal.core.arrays import Array, Precision
from thermal.network.model import Network
from thermal.solver.state import DayInputs, GainNode, Gains, Inflow, PreparedNetwork, UpdateInterval


def prepare_gains(network: Network, fed: slice, written: tuple[slice, slice], precision: Precision) -> Gains:
    """Every node with a gain from sun or sky, and its gains.

    Parameters
    ----------
    network : Network
        One column a design-winter.
    fed : slice
        The nodes that weather and vapour bring heat to, these among them.
    written : tuple of slice
        Those of them whose heat is written before, which these gains then add to.
    precision : type
        `numpy.float32` or `float`: of the steps.
    """
    columns = sorted({column for _, column in network.gains})
    rows = {row for part in written for row in range(len(network.nodes))[part]}
    by_node: dict[int, list[tuple[int, Array]]] = {}
    for index, (node, column) in enumerate(network.gains):
        assert network.gain_w is not None
        by_node.setdefault(node, []).append((columns.index(column), aligned_copy(network.gain_w[index], precision)))
    nodes = tuple(GainNode(node - fed.start, node in rows, tuple(terms)) for node, terms in by_node.items())
    shape = 24, network.designs if nodes else 0
    return Gains(columns, nodes, aligned_zeros((len(nodes), *shape), precision), aligned_zeros(shape, precision))


def gains_of_day(prepared: PreparedNetwork, columns: Array) -> Array:
    """What sun and sky bring to each gain node in the hours of a day, shape (gain node, hour, column). [W]

    Parameters
    ----------
    prepared : PreparedNetwork
        The network made ready for steps.
    columns : Array, shape (hour, used column, column)
        Those columns of the forcing that the network uses.
    """
    hours = len(columns)
    gain_w, product_w = prepared.gains.day_w[:, :hours], prepared.gains.product_w[:hours]
    for total_w, node in zip(gain_w, prepared.gains.nodes, strict=True):
        (first, per_unit), *others = node.terms
        np.multiply(columns[:, first], per_unit, out=total_w)
        for column, per_unit in others:
            np.multiply(columns[:, column], per_unit, out=product_w)
            np.add(total_w, product_w, total_w)
    return gain_w


def add_gains(
    prepared: PreparedNetwork, inflow: Inflow, day_inputs: DayInputs, interval: UpdateInterval, hours: Sequence[int]
) -> None:
    """Add what sun and sky bring in an interval's steps.

    Parameters
    ----------
    prepared : PreparedNetwork
        The network made ready for steps.
    inflow : Inflow
        Heat that flows in, the weather's and the vapour's already written.
    day_inputs : DayInputs
        Weather and sources of the day.
    interval : UpdateInterval
        Hours that the steps are of.
    hours : sequence of int
        Hour of each step, counted from the interval's first.
    """
    count = len(hours)
    for gain_w, node in zip(day_inputs.gain_w, prepared.gains.nodes, strict=True):
        own = gain_w[interval.hour : interval.hour + interval.hours]
        own = own if count == interval.hours else own[hours]
        row = inflow.fed_nodes[:count, node.fed_row]
        if node.is_fed:
            np.add(row, own, row)
        else:
            np.copyto(row, own)
