"""Another source of heat in the network of a plan that has one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thermal.network.model import Network
from thermal.plan.other_heat import TriedHeat


def with_tried_heat(network: Network, tried: TriedHeat | None) -> Network:
    """A network of one design with the heat of another source.

    Parameters
    ----------
    network : Network
        The network without it, as a batch of one design.
    tried : TriedHeat or None
        The source; None for none.
    """
    if tried is None:
        return network
    source_w, node = network.source_w.copy(), network.nodes.index(tried.to_node)
    source_w[:, node, 0] += tried.watts * np.array(tried.hours)
    return replace(network, source_w=source_w)
