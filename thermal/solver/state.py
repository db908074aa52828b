"""What a step reads and writes: the state, what holds for some hours, the buffers of a day.

Temperatures are kept in two parts: where a node stood at the day's beginning, in double precision, and how far it
is above that now, in the precision of the march. Single precision is half the memory and so nearly twice as fast,
but a step moves water by thousandths of a kelvin: it resolves them only when it counts from nearby.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from thermal.core.aligned import aligned_zeros
from thermal.core.arrays import Array, Precision
from thermal.network.model import Network
from thermal.solver.linear_solve import Factors
from thermal.solver.transfer_coefficients import Coefficients, VapourBalance


class ThermostatTarget(NamedTuple):
    """What the heater in the last node is held to, (column,)."""

    setpoint_k: Array  # setpoint above the base, times the weight of the step's new value
    min_w: Array
    max_w: Array


class Reference(NamedTuple):
    """Where the temperatures stood when the day began, and what follows from it alone."""

    temperature_c: Array  # (node, column), double
    rounded_c: Array  # the same in the precision of the march
    reference_heat_w: Array  # (node, column): heat into every node at these temperatures, through constant links
    over_air_k: Array  # (lump, column): water above the air of the room,
    over_radiant_k: Array  # above its surfaces,
    over_tank_k: Array  # and the first lump above the last, (column,)
    to_freezing_k: float  # how far below the base any column's water might freeze, negative


@dataclass(slots=True)
class State:
    """Everything a step hands to the next, one column a design-winter; written to in place."""

    reference: Reference
    deviation_k: Array  # (node, column): above the base; the stepper's own flux once it has adopted the state
    water_k: Array  # its rows of water
    ratio: Array  # humidity ratio of the room's air, (column,)
    wall_excess: Array  # (vessel, column)
    ice_j: Array  # latent heat given up by freezing, (lump, column)
    icy: bool  # whether any column has ice
    running: Array  # whether the pump runs, (column,)
    updated_c: Array  # temperatures at the last renewal of coefficients, (node, column)

    @property
    def temperature_c(self) -> Array:
        """Temperatures now, (node, column), double."""
        return self.reference.temperature_c + self.deviation_k


class Exchange(NamedTuple):
    """What water and air exchange until the next renewal."""

    coefficients: Coefficients
    enthalpy_j_per_kg: Array  # (vessel, column)
    to_air_w_per_k: Array  # (lump, column): walls and open surface
    longwave_w_per_k: Array  # (lump, column)
    latent_w: Array  # (lump, column): heat of evaporation into bone-dry air
    latent_feedback_w: Array  # (lump, column): less of it for each unit of the air's humidity ratio
    vapour: VapourBalance | None  # None where the air's humidity is given
    leak_w_per_k: Array | None  # what cracks add to the room's air change, (column,)


class FrozenCoefficients(NamedTuple):
    """What holds until the next renewal."""

    factors: Factors
    heat_w_per_k: Array  # (node, column): capacity over step, over theta for water
    water_j_per_k: Array  # (lump, column), double
    water: Exchange | None  # None without water


class Day(NamedTuple):
    """What the steps of one day did, step by step; overwritten the next day. Flows in W.

    Every list holds one row for each step: views of one array, made once, because making a view in every step
    would cost as much as the arithmetic of a single design. The whole arrays stand beside them.
    """

    all_mean_k: Array  # (step, node, column); empty unless kept
    all_ratio: Array  # (step, column); of the longest period unless means are kept
    all_water_k: Array  # (step, lump, column)
    all_watts: Array  # (step, column)
    all_condensing_w: Array  # (step, column); as the ratio

    mean_k: list[Array] | None  # (node, column): temperatures at which heat flowed, above the base; if kept
    watts_sum: Array  # (column,), double: their sum over the day
    mean_sum: Array  # (booked node, column): their sum over the day
    water_k: list[Array]  # (lump, column): at the end of the step, above the base
    watts: list[Array]  # the heater
    ratio: list[Array]  # humidity ratio of the air at the end
    condensing_w: list[Array]
    vapour_w: Array  # (column,): heat of evaporation less that of condensation, summed over the day
    freezing_j: Array  # (column,): heat that freezing gave, all day
    ice_j: list[Array]  # (lump, column); if means are kept
    exchanges: list[Exchange]  # what held in each hour; none without water


class SourceTerms(NamedTuple):
    """Heat that depends on no coefficient of the water's: sources, the ground's season, loss to the outside."""

    kind: tuple[int, ...]  # of each hour of the day: which sources it has
    source_w: Array  # the first kind's, (node, column), double
    more_w: list[Array]  # what each other kind has more, (node, column)
    season_w: Array  # (2, node with a season, column)
    seasonal: slice  # those nodes
    beyond_w_per_k: Array  # (booked node, column), double: to outdoors and all that is constant
    booked: slice  # those nodes, whose conductances to the outside never change


class CouplingViews(NamedTuple):
    """Where the changing network holds the water's conductances: views of its rows."""

    water_nodes: Array  # the lumps' own diagonals
    pump: Array  # between bed and tank, (column,); nothing without a bed
    room: tuple[tuple[Array, Array], ...]  # for air and surfaces: diagonal, links to the lumps; none where air is given


class Inflow(NamedTuple):
    """Heat that weather and vapour bring, for the steps of a period: views of one array, overwritten by later ones."""

    rows: slice  # the nodes it goes to
    each: list[Array]  # (node, column), for each step
    outdoors: Array  # (step, node linked to outdoors, column)
    water_nodes: Array  # (step, lump, column)
    air: Array  # (step, column): the room's air; nothing where that is given
    surfaces: Array  # and its surfaces


class DayInputs(NamedTuple):
    """What is known of a day before it is marched; by hour. One column where all share a winter."""

    weather: Array  # (hour, channel, column)
    steady_w: list[Array]  # (node, column): heat at the base temperatures but for the water's, by kind of hour


class Workspace(NamedTuple):
    """Memory for what a term and a step are given, overwritten by the next."""

    steady_w: Array  # (node, column)
    gain_w_per_k: Array  # (column,), as the next two
    setpoint_w: Array
    target_w: Array


class SegmentCoefficients(NamedTuple):
    """What holds for some hours: coefficients, and the heat and setpoint that go with them."""

    fixed: FrozenCoefficients
    steady_w: Array  # (node, column): heat at the base temperatures, were outdoors at 0 degC and the air bone-dry
    gain_w_per_k: Array  # the heater's target for each degree the last node is above its base, (column,)
    target_w: Array  # and the rest of it
    min_w: Array
    max_w: Array


def blank_day(network: Network, steps: int, longest: int, keep: bool, booked: slice, precision: Precision) -> Day:
    """Room for the steps of a day; `keep` for those of every node and the air, `booked` the rows whose sum is wanted.

    Without `keep` the air's rows are those of the longest period, overwritten by later ones: less memory to go through.
    """
    n, nodes = network.designs, len(network.nodes)
    water_nodes = len(network.vessels.water_nodes) if network.vessels else 0

    def rows(*shape: int) -> Array:
        return aligned_zeros((*shape, n), precision)

    means, water = rows(steps if keep else 0, nodes), rows(steps, water_nodes)
    in_air = steps if keep else longest
    watts, condensing, ratio = rows(steps), rows(in_air), rows(in_air)
    return Day(
        all_mean_k=means,
        all_ratio=ratio,
        all_water_k=water,
        all_watts=watts,
        all_condensing_w=condensing,
        mean_k=list(means) if keep else None,
        watts_sum=aligned_zeros((n,), float),
        mean_sum=rows(len(range(nodes)[booked])),
        water_k=list(water),
        watts=list(watts),
        ratio=list(ratio),
        condensing_w=list(condensing),
        vapour_w=rows(),
        freezing_j=np.zeros(n),
        ice_j=[],
        exchanges=[],
    )
