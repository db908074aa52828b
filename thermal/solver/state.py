"""Value types of the solver: the prepared network, the state, what holds for some hours, the buffers of a day.

Temperatures are kept in two parts: a reference, where each node stood when the day began, in double precision, and
the deviation from it, in the precision of the run. Single precision saves 51 % of 2,048 designs and
16 % of a `run`; it resolves a step of thousandths of a kelvin only when it counts from nearby.

Shapes name their axes: `node` all nodes of the network, `water node` one or two of them (bed, tank), `vessel` the
rows of `Vessels`, `column` one design in one winter.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from thermal.core.arrays import Array, Precision
from thermal.network.model import Network, RoomAir, Vessels

if TYPE_CHECKING:
    from thermal.solver.drying import Dryer

HOUR_S = 3600.0
Operation = Callable[[], Array]  # a ufunc with its operands and the array it writes to


class UpdateInterval(NamedTuple):
    """Hours of the day that share transfer coefficients."""

    hour: int  # the first
    hours: int
    number: int  # from 0, in the day
    extrapolation_factor: float  # interval's middle from its beginning, over the interval before


class System(NamedTuple):
    """A symmetric matrix of conductances [W/K] in one block of memory.

    `rows[i]` holds the conductances of node i to the nodes i + 1, i + 2, ..., shape (later node, column).
    """

    block: Array
    diagonal: Array  # (node, column)
    rows: tuple[Array, ...]


class Factorisation(NamedTuple):
    """The operations that eliminate all nodes but the last, and the two sweeps that substitute."""

    elimination: tuple[Operation, ...]
    diagonal: Array  # the last node's, (column,)
    inverse: Array  # of that
    forward: tuple[Operation, ...]
    backward: tuple[Operation, ...]


class CouplingViews(NamedTuple):
    """Entries of the matrix that change with the water's conductances, as views."""

    water_nodes: Array  # diagonals of the water nodes, (water node, column)
    pump: Array  # between bed and tank, (column,); empty without a bed
    room: tuple[tuple[Array, Array], ...]  # of air and surfaces: diagonal, links to the water; none where air is given
    leak: Array  # diagonal of the room's air where outside air leaks in, (column,); else empty


class Coefficients(NamedTuple):
    """Transfer coefficients of each vessel, shape (vessel, column)."""

    mass_kg_s: Array  # vapour for each unit of humidity ratio
    convection_w_per_k: Array  # open surface to air
    longwave_w_per_k: Array  # open surface to the room's surfaces
    wall_w_per_k: Array  # walls to air
    water_ratio: Array  # saturated humidity ratio at the water [kg/kg]
    wall_excess: Array  # (outer wall surface - air)/(water - air), carried to the next update


class VapourBalance(NamedTuple):
    """The vapour balance of the room's air, its coefficients fixed for some steps; shape (column,).

    evaporation - air change - condensation = change of what the air holds, implicit in the air's humidity. Solved
    for that with a dry coldest side, the new humidity ratio is a share of the old plus what the hour brings; a wet
    side leaves a share of that and feeds back what its own temperature keeps in the air.
    """

    dry_share: Array
    dry_gain: Array  # (hour, column)
    wet_share: Array
    wet_gain: Array
    saturation_ratio: Array  # humidity ratio at which the air itself is saturated
    demand_w: Array  # all that takes vapour, for each unit of the air's humidity ratio, as heat
    dryer: Dryer | None = None


class Exchange(NamedTuple):
    """What water and air exchange until the next update."""

    coefficients: Coefficients
    enthalpy_j_per_kg: Array  # (vessel, column)
    to_air_w_per_k: Array  # (water node, column): walls and open surface
    longwave_w_per_k: Array  # (water node, column)
    latent_w: Array  # (water node, column): heat of evaporation into bone-dry air
    latent_feedback_w: Array  # (water node, column): less of it for each unit of the air's humidity ratio
    vapour: VapourBalance | None  # None where the air's humidity is given
    leak_w_per_k: Array | None  # what cracks and a fan add to the room's air change, (column,); None without any
    fan_w: Array | None = None  # electric power of a fan by humidity, (column,)


class IntervalCoefficients(NamedTuple):
    """What holds until the next update of coefficients, or the next switch of a pump."""

    factorisation: Factorisation
    heat_w_per_k: Array  # (node, column): capacity over step, over theta for water
    water_j_per_k: Array  # (water node, column), double
    gain_w_per_k: Array  # the heater's target for each kelvin of the last node's deviation, (column,)
    steady_w: Array  # (node, column): heat at the reference, with the first hour's sources, were the air bone-dry
    exchange: Exchange | None  # None without water


class ThermostatTarget(NamedTuple):
    """What the heater in the last node is held to, (column,)."""

    setpoint_k: Array  # setpoint less reference, times the weight of the step's new value
    min_w: Array
    max_w: Array
    band_k: Array | None = None  # cooler's setpoint less the heater's, with the same weight; None for one setpoint


class Segment(NamedTuple):
    """Some steps that share coefficients, sources and target."""

    hour: int  # of the day in which they begin
    steps: range  # of the day
    inflow_w: Array  # (step, fed node, column): what weather and vapour bring in each
    target: ThermostatTarget


class Reference(NamedTuple):
    """Where the temperatures stood when the day began, and what follows from it alone."""

    temperature_c: Array  # (node, column), double
    rounded_c: Array  # the same in the precision of the run
    link_heat_w: Array  # (node, column): heat into every node at these temperatures, through constant links
    water_above_air_k: Array  # (water node, column)
    water_above_surfaces_k: Array  # (water node, column)
    bed_above_tank_k: Array  # (column,)
    freezing_k: float  # deviation, negative, below which some column's water might freeze


@dataclass(slots=True)
class State:
    """Everything a step hands to the next, written to in place."""

    reference: Reference
    deviation_k: Array  # (node, column); the prepared network's `rhs` itself once the state is bound to it
    water_k: Array  # (water node, column): the water's deviation at the end of the last step
    humidity_ratio: Array  # of the room's air, (column,)
    wall_excess: Array  # (vessel, column), as in `Coefficients`
    ice_j: Array  # latent heat given up by freezing, (water node, column)
    has_ice: bool  # in any column
    pump_runs: Array  # (column,), bool
    last_update_c: Array  # temperatures at the last update of coefficients, (node, column)

    @property
    def temperature_c(self) -> Array:
        """Temperatures now, shape (node, column), double."""
        return self.reference.temperature_c + self.deviation_k


class GainNode(NamedTuple):
    """A node that sun and sky bring heat to."""

    fed_row: int  # its place among the fed nodes
    is_fed: bool  # whether outdoor air or vapour bring heat to it as well
    terms: tuple[tuple[int, Array], ...]  # column, as index of `Gains.columns`, and heat for each unit of it, (column,)


class Gains(NamedTuple):
    """What sun and sky bring, by nodes."""

    columns: list[int]  # of the forcing, those that the network uses
    nodes: tuple[GainNode, ...]
    day_w: Array  # (gain node, hour, column): overwritten each day
    product_w: Array  # (hour, column): memory for one term


@dataclass(frozen=True)
class PreparedNetwork:
    """A network made ready for steps of one length; in the precision of the run but for `network`."""

    network: Network
    dt_s: float
    precision: Precision
    pressure_pa: float
    held_kg_s: Array  # dry air in the room over a step's length, (column,)
    vessel_node: slice | list[int]  # node of each vessel row
    water_nodes: slice  # empty for a bare room
    booked_nodes: slice  # linked to the outside by conductances that never change
    fed_nodes: slice  # that weather and vapour bring heat to
    outdoor_nodes: slice  # linked to outdoors, the room's air and surfaces among them
    vessels: tuple[Vessels, Vessels] | None  # covered as by day and by night
    room_air: RoomAir | None
    first_source_w: Array  # sources of the day's first hour, (node, column), double
    source_change_w: Array  # what the sources of each hour have more than that, (hour, node, column)
    source_changes: tuple[bool, ...]  # for each hour of the day: whether they differ from the hour before
    source_differs: tuple[bool, ...]  # and whether they differ from the day's first hour
    season_w: Array  # (2, node, column): heat from the ground's yearly swing
    gains: Gains  # from sun and sky
    outside_w_per_k: Array  # (node, column), double: to outdoors and all that is constant
    link_w_per_k: Array  # (link, column)
    outdoor_w_per_k: Array  # (node linked to outdoors, column)
    pump_w_per_k: Array  # circulation between bed and tank, (hour, column)
    circulates: bool  # whether there are a bed and a tank
    pump_switches: tuple[bool, ...]  # for each hour of the day: whether any pump changes then
    drains: bool  # whether any bed ever drains
    humidity_differs: bool  # whether any design takes another humidity outdoors than the weather file's
    leak_row: int | None  # among the booked nodes: the room's air, which outside air leaks into; None without leaks
    heat_w_per_k: Array  # (node, column), as in `IntervalCoefficients` while the pump runs
    inverse_theta: Array  # (water node, column)
    new_weight: Array  # theta of the heated node: how much its new value counts in a step's mean, (column,)
    old_weight: Array  # and its old
    constant_system: System  # what is left once the nodes whose links never change are eliminated
    system: System  # the same with the hour's conductances, overwritten by its factors
    coupling: CouplingViews  # into `system`
    factorisation: Factorisation  # of `system`
    rhs: Array  # right-hand side of a step [W], overwritten by its solution [K], (node, column)

    @cached_property
    def water_meets_outdoors(self) -> bool:
        """Whether any water is linked to outdoor air."""
        return bool(self.network.outdoor_w_per_k[self.water_nodes].any())

    @property
    def needs_every_step(self) -> bool:
        """Whether the energy balance needs every step's temperatures: conductances to the outside change."""
        room = self.network.room_air
        return room is None or room.node is None


class DayInputs(NamedTuple):
    """What is known of a day before it is simulated; one column where all share a winter."""

    weather: Array  # (hour, channel, column)
    steady_w: Array  # (node, column): heat at the reference but for the water's, with the first hour's sources
    gain_w: Array  # (gain node, hour, column): what sun and sky bring; overwritten by the next day's
    leak: Array  # (interval, channel, column): weather behind the air that leaks in; without channels if none does


class Inflow(NamedTuple):
    """Heat that weather and vapour bring in the steps of one update interval [W]: views of one array.

    An interval's steps only: a whole day of 2,048 designs does not fit the second cache.
    """

    fed_nodes: Array  # (step, fed node, column): all of it
    outdoors: Array  # (step, node linked to outdoors, column)
    water_nodes: Array  # (step, water node, column)
    surfaces: Array  # (step, column): the room's surfaces; empty where its air is given
    leak: Array  # (step, column): the room's air where outside air leaks in; else empty


class Leak(NamedTuple):
    """Air that leaks into the room in an update interval."""

    hour: int  # of the day, in which the interval begins
    before_k: Array  # the day's sum of the room air's temperatures before, (column,)
    w_per_k: Array  # (column,)


class Day(NamedTuple):
    """What the steps of one day did; overwritten the next day. Flows in W, temperatures from the day's reference."""

    keeps_every_step: bool  # whether `mean_k` and `ice_j` are wanted
    inflow: Inflow
    mean_k: Array  # (step, node, column): at which heat flowed; empty unless kept
    water_k: Array  # (step, water node, column): at the end of the step
    ratio: Array  # (step, column): humidity ratio of the air at the end of the step
    watts: Array  # (step, column): the heater
    condensing_w: Array  # (step, column)
    watts_sum: Array  # (column,), double: over the day
    mean_sum: Array  # (booked node, column): of the temperatures at which heat flowed
    leak_w: Array  # (column,), double: heat that leaking air took out, summed over the day
    leaks: list[Leak]  # of each update interval, where air leaks in
    vapour_w: Array  # (column,): heat of evaporation less that of condensation, summed over the day
    freezing_j: Array  # (column,): heat that freezing gave, all day
    ice_j: list[Array]  # (water node, column), for each step; if kept
    exchanges: list[Exchange]  # what held in each hour; none without water
    removed_kg_s: Array  # (step, column): vapour that a dehumidifier took; empty without one
    drying_w: Array  # (step, column): its electric power; empty without one
    fan_w: Array  # (step, column): electric power of a fan by humidity; empty without one
