"""Several plans in one climate, grouped by the shape of their networks so that each group is one batch."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from thermal.analysis.case import network_of, setpoint_profile
from thermal.climate.heating_seasons import Weather
from thermal.core.arrays import Array
from thermal.network.model import Network, join_networks
from thermal.plan.model import Plan


@dataclass(frozen=True)
class Batch:
    """Designs of one shape; `positions` says where each stands in the list of plans they came from."""

    plans: tuple[Plan, ...]
    positions: Array
    network: Network
    weather: Weather

    @property
    def floor_c(self) -> Array:
        """Coldest water each design allows, shape (design,)."""
        return np.array([plan.keep.floor_c for plan in self.plans])

    @property
    def setpoint_c(self) -> Array:
        """Each design's thermostat by local hour, shape (24, design)."""
        return np.stack([setpoint_profile(plan) for plan in self.plans], axis=1)

    @property
    def heats_room(self) -> bool:
        """Whether the heater works on the air; the same for all, since it makes the shape."""
        return self.plans[0].heater.where == "room"

    def part(self, index: Array) -> Batch:
        """Some of the designs."""
        plans = tuple(self.plans[i] for i in index)
        return Batch(plans, self.positions[index], self.network.take(index), self.weather)


def group_by_topology(
    plans: Sequence[Plan], weather: Weather, change: Callable[[Plan], Plan] = lambda plan: plan
) -> list[Batch]:
    """The plans, each changed first, in as few batches as their shapes allow."""
    groups: dict[tuple[object, ...], list[tuple[int, Plan, Network]]] = {}
    for place, plan in enumerate(map(change, plans)):
        network = network_of(plan, weather)
        shape = (plan.heater.where, *topology_key(network))
        groups.setdefault(shape, []).append((place, plan, network))
    return [
        Batch(
            plans=tuple(plan for _, plan, _ in group),
            positions=np.array([place for place, _, _ in group]),
            network=join_networks([network for _, _, network in group]),
            weather=weather,
        )
        for group in groups.values()
    ]


def topology_key(network: Network) -> tuple[object, ...]:
    """What networks must share to be one batch."""
    vessels = network.vessels
    return (
        network.nodes,
        network.links,
        vessels and (vessels.water_nodes, vessels.first_rows, len(vessels.surface_m2)),
    )
