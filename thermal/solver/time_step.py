"""One implicit step of a batch: the heat and vapour balance of every node.

Coefficients that depend on temperature are renewed at the start of every `UpdateInterval`, the matrix with them; a step
then only substitutes. Water nodes advance by the theta method fitted to the exponential (Liniger & Willoughby 1970), so
that an hour is not too long for them; light nodes by implicit Euler, which never rings. Temperatures are
kelvins above those of the day's beginning (`thermal.solver.state`), so that single precision will do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from thermal.core.arrays import Array, Precision
from thermal.network.model import Network, RoomAir, Vessels
from thermal.physics.constants import CP_AIR
from thermal.physics.flood_drain import moved_capacity, switched_temperatures
from thermal.physics.infiltration import leakage_flow
from thermal.solver.linear_solve import Factors, Scratch, System, eliminate, substitute
from thermal.solver.state import (
    CouplingViews,
    Day,
    DayInputs,
    Exchange,
    FrozenCoefficients,
    Inflow,
    Reference,
    SegmentCoefficients,
    SourceTerms,
    State,
    ThermostatTarget,
    Workspace,
)
from thermal.solver.transfer_coefficients import Coefficients, VapourBalance, coefficients, total, vapour_balance
from thermal.solver.tuned_laws import constant, dry_air_density, replaced_vapour_enthalpy

HOUR_S = 3600.0
NIGHT = frozenset((*range(20, 24), *range(8)))  # hours a night cover is on; a period begins at both ends
HOTTEST_C = constant(45.0)  # coefficients go no further: only a heater stuck on gets there, and vapour would run away
COLDEST_C, HOTTEST_ROOM_C = constant(-90.0), constant(75.0)  # where lights of many kilowatts send the lead of a period
NO_WATER_J_PER_K = 1e-6  # a drained bed's, so that nothing is divided by zero
NEAR_FREEZING_K = 1e-5  # above 0 degC: where freezing is looked into; beyond single precision's rounding
OUTDOOR, HUMIDITY, WIND, COSINE = range(4)  # channels of `Forcing`; from the last on, the season


class UpdateInterval(NamedTuple):
    """Hours of the day that share coefficients."""

    hour: int  # the first
    hours: int
    extrapolation_factor: (
        Array  # how much of the last period's change brings the temperatures to the middle of this one, no axes
    )


def update_intervals(starts: tuple[int, ...]) -> dict[int, UpdateInterval]:
    """A day's periods by their first hour."""
    ends = (*starts[1:], 24)
    hours = [end - start for start, end in zip(starts, ends, strict=True)]
    leads = [0.5 * own / before for own, before in zip(hours, (hours[-1], *hours), strict=False)]
    return {
        start: UpdateInterval(start, own, constant(extrapolation_factor))
        for start, own, extrapolation_factor in zip(starts, hours, leads, strict=True)
    }


# As good as every hour for the water, thanks to the lead (tests/laws/test_accuracy.py). A march may begin out of
# balance, where nights are not yet as calm. The rows of a period lie within one run of `LONGEST_INTERVAL_H`.
UPDATE_SCHEDULE, UPDATE_SCHEDULE_FIRST_DAY = (
    update_intervals((0, 8, 12, 16, 20)),
    update_intervals((0, 4, 8, 12, 16, 20)),
)
LONGEST_INTERVAL_H = max(interval.hours for interval in UPDATE_SCHEDULE.values())


@dataclass(frozen=True)
class TimeStepper:
    """A network made ready for steps of one length; in the precision of the march but for `network`."""

    network: Network
    dt_s: float
    precision: Precision
    pressure_pa: Array  # without axes
    held_kg_s: Array  # dry air in the room over a step's length, (column,)
    vessel_node: slice | list[int]  # node of each vessel row
    water_nodes: slice  # water nodes; empty for a bare room
    covered: tuple[Vessels, Vessels] | None  # by day and by night, for the coefficients
    room_air: RoomAir | None
    source_terms: SourceTerms
    link_w_per_k: Array  # (link, column)
    pump_w_per_k: Array  # circulation between bed and tank, (hour, column)
    switching: tuple[bool, ...]  # for each hour of the day: whether any pump changes then
    leaky: bool
    constant: int  # nodes that are eliminated once: no link of theirs ever changes
    reduced: System  # what is left after that
    changing: System  # the same with the hour's conductances, overwritten
    ties: CouplingViews  # where in it the water's conductances stand
    factors: Factors
    heat_w_per_k: Array  # (node, column), as in `FrozenCoefficients` while the pump runs
    inverse_theta: Array  # (lump, column)
    new_weight: Array  # theta of the heated node: how much its new value counts in a step's mean, (column,)
    old_weight: Array
    workspace: Workspace
    drains: bool  # whether any bed ever drains
    work: Scratch
    outdoor_w_per_k: Array  # (row linked to outdoors, column)
    inflow: Inflow
    flux_fed: Array  # views of the scratch flux: the rows of the inflow,
    flux_last: Array  # the heated node,
    flux_water: Array  # the water,
    flux_booked: Array  # and the rows whose conductances to the outside never change

    @property
    def wants_means(self) -> bool:
        """Whether the ledger needs every step's temperatures: conductances to the outside change."""
        room = self.network.room_air
        return room is None or room.node is None or self.leaky

    @property
    def hourly(self) -> slice:
        """The channels of the weather that are read every hour; the season is read once a day."""
        return slice(COSINE if self.leaky else WIND)

    def day_inputs(self, state: State, weather: Array, season: Array) -> DayInputs:
        """A day's weather, shape (24, channel, column), its season, (2, column), and what follows with the base."""
        source_terms = self.source_terms
        exact = source_terms.source_w.copy()
        booked = exact[source_terms.booked]
        booked -= source_terms.beyond_w_per_k * state.reference.temperature_c[source_terms.booked]
        steady = exact.astype(self.precision)
        steady += state.reference.reference_heat_w
        seasonal = steady[source_terms.seasonal]
        seasonal += source_terms.season_w[0] * season[0] + source_terms.season_w[1] * season[1]
        return DayInputs(weather, [steady, *(steady + more for more in source_terms.more_w)])

    def bind_state(self, state: State) -> None:
        """Step this state from now on, in the place where the steps are solved."""
        self.shift_reference(state)
        state.deviation_k = self.work.flux
        state.deviation_k[:] = 0.0

    def shift_reference(self, state: State) -> None:
        """Count temperatures from where they are now."""
        room, exact = self.network.room_air, state.temperature_c
        t = exact.astype(self.precision)
        still = np.zeros_like(t)
        at, into = list(t), list(still)  # rows: `+=` on an index of the array would copy the sum onto itself
        for (i, j), conductance in zip(self.network.links, self.link_w_per_k, strict=True):
            heat = at[i] - at[j]
            heat *= conductance
            into[i] -= heat
            into[j] += heat
        water = t[self.water_nodes]
        over_air, over_radiant, over_tank = water, water, water[:0]
        if room is not None:
            over_air, over_radiant = (
                (exact[self.water_nodes] - (room.given_c if node is None else exact[node])).astype(self.precision)
                for node in (room.node, room.radiant_node)
            )
            over_tank = over_air[0] - over_air[-1]
        freezing = NEAR_FREEZING_K - float(water.min()) if water.size else -np.inf
        state.reference = Reference(exact, t, still, over_air, over_radiant, over_tank, freezing)
        state.deviation_k[:] = 0.0
        state.water_k = state.deviation_k[self.water_nodes].copy()

    def update_coefficients(self, state: State, day_inputs: DayInputs, interval: UpdateInterval) -> FrozenCoefficients:
        """Coefficients and factors for the state now."""
        room, hour = self.room_air, interval.hour
        if room is None or self.covered is None:
            return self.factored(None, state, hour)
        vessels = self.covered[hour in NIGHT]
        now = state.reference.rounded_c + state.deviation_k
        t = now - state.updated_c
        t *= interval.extrapolation_factor
        t += now
        for node in {room.node, room.beyond_node} - {None}:
            np.minimum(t[node], HOTTEST_ROOM_C, out=t[node])
            np.maximum(t[node], COLDEST_C, out=t[node])
        water = np.minimum(t[self.vessel_node], HOTTEST_C)
        air = room.given_c if room.node is None else t[room.node]
        radiant = air if room.radiant_node is None else t[room.radiant_node]
        c = coefficients(vessels, water, air, radiant, state.ratio, state.wall_excess, self.pressure_pa)
        state.wall_excess, state.updated_c = c.wall_excess, now
        enthalpy = replaced_vapour_enthalpy(water, vessels.tap_c)
        feedback = c.mass_kg_s * enthalpy
        vapour, leak = None, None
        if room.node is not None:
            beyond = (
                day_inputs.weather[hour + interval.hours // 2, OUTDOOR]
                if room.beyond_node is None
                else t[room.beyond_node]
            )
            vapour, leak = self._room_air(c, room, air, beyond, day_inputs, interval)
        water_side = Exchange(
            coefficients=c,
            enthalpy_j_per_kg=enthalpy,
            to_air_w_per_k=by_water_node(c.convection_w_per_k + c.wall_w_per_k, vessels),
            longwave_w_per_k=by_water_node(c.longwave_w_per_k, vessels),
            latent_w=by_water_node(feedback * c.water_ratio, vessels),
            latent_feedback_w=by_water_node(feedback, vessels),
            vapour=vapour,
            leak_w_per_k=leak,
        )
        return self.factored(water_side, state, hour)

    def _room_air(
        self, c: Coefficients, room: RoomAir, air: Array, beyond: Array, day_inputs: DayInputs, interval: UpdateInterval
    ) -> tuple[VapourBalance, Array | None]:
        """The room's vapour balance, and what its cracks add to air change [W/K]."""
        cold = np.empty((2, len(air)), self.precision)
        cold[0] = air - room.coldness * (air - beyond)
        cold[1] = air
        change, leak = room.change_kg_s, None
        if self.leaky:
            weather = day_inputs.weather[interval.hour : interval.hour + interval.hours].mean(axis=0)
            density = dry_air_density(weather[OUTDOOR], weather[HUMIDITY], self.pressure_pa)
            kg_s = density * leakage_flow(room.leak_cm2, cold[1] - weather[OUTDOOR], weather[WIND])
            change, leak = change + kg_s, kg_s * CP_AIR
        brought = day_inputs.weather[interval.hour : interval.hour + interval.hours, HUMIDITY]
        return vapour_balance(room, c, cold, change, brought, self.held_kg_s, self.pressure_pa), leak

    def factored(self, water: Exchange | None, state: State, hour: int) -> FrozenCoefficients:
        """These coefficients with the matrix of the hour's pump flow; the stepper's factors are overwritten."""
        np.copyto(self.changing.block, self.reduced.block)
        heat, water_j_per_k = self.heat_w_per_k, self.network.capacity_j_per_k[self.water_nodes]
        if self.drains:
            water_j_per_k = self._water_capacity(state.running)
            heat = heat.copy()
            heat[self.water_nodes] = water_j_per_k * self.inverse_theta / self.dt_s
        if water is not None:
            own, ties = water.to_air_w_per_k + water.longwave_w_per_k, self.ties
            if ties.pump.size:
                own += self.pump_w_per_k[hour]
                np.add(ties.pump, self.pump_w_per_k[hour], ties.pump)
            np.add(ties.water_nodes, own, ties.water_nodes)
            np.add(
                ties.water_nodes, heat[self.water_nodes], ties.water_nodes
            )  # the largest last, so that it is rounded once
            for (node, links), conductance in zip(ties.room, (water.to_air_w_per_k, water.longwave_w_per_k)):  # noqa: B905
                np.add(node, total(conductance), node)
                np.add(links, conductance, links)
            if water.leak_w_per_k is not None:
                air = ties.room[0][0]
                np.add(air, water.leak_w_per_k, air)
        eliminate(self.factors)
        return FrozenCoefficients(self.factors, heat, water_j_per_k, water)

    def apply_pump_switch(self, state: State, hour: int) -> None:
        """The pumps as they are from this hour on: draining beds give their water to the tank, or take it back."""
        vessels = self.network.vessels
        assert vessels is not None
        bed, tank = vessels.water_nodes
        runs = vessels.flow_w_per_k[hour] > 0
        before, after = self._water_capacity(state.running), self._water_capacity(runs)
        t = state.temperature_c
        t[bed], t[tank] = switched_temperatures(t[bed], t[tank], before[0], before[1], before[0] - after[0])
        state.running = runs
        state.deviation_k[self.water_nodes] = t[self.water_nodes] - state.reference.temperature_c[self.water_nodes]
        state.water_k = state.deviation_k[self.water_nodes].copy()

    def _water_capacity(self, running: Array) -> Array:
        """Heat capacity of bed and tank with the bed drained where the pump rests. [J/K]"""
        vessels = self.network.vessels
        assert vessels is not None
        moved = moved_capacity(running, vessels.drained_j_per_k)
        capacity = self.network.capacity_j_per_k[self.water_nodes].copy()
        capacity[0] -= moved
        capacity[1] += moved
        return capacity

    def precompute_humidity(
        self,
        water: Exchange | None,
        state: State,
        day_inputs: DayInputs,
        interval: UpdateInterval,
        day: Day,
        first: int,
    ) -> None:
        """The humidity of the steps from row `first` of the day on, and what vapour and weather bring in them.

        Within a period the air's humidity depends on no temperature, so it runs ahead of them.
        """
        inflow, count = self.inflow, max(1, round(interval.hours * HOUR_S / self.dt_s))
        hours: Sequence[int] = range(count)  # of each step
        outdoor = day_inputs.weather[interval.hour : interval.hour + interval.hours, OUTDOOR]
        if count != interval.hours:
            hours = [step * interval.hours // count for step in range(count)]
            outdoor = outdoor[hours]
        rows = slice(first % len(inflow.each), first % len(inflow.each) + count)
        np.multiply(self.outdoor_w_per_k, outdoor[:, None], out=inflow.outdoors[rows])
        if water is None:
            return
        if water.leak_w_per_k is not None:
            np.add(inflow.air[rows], water.leak_w_per_k * outdoor, inflow.air[rows])
        steps = slice(first % len(day.ratio), first % len(day.ratio) + count)
        ratio = day.all_ratio[steps]
        if water.vapour is None:
            ratio[:] = state.ratio
        else:
            condensing = day.all_condensing_w[steps]
            water.vapour.advance(state.ratio, hours, day.ratio[steps], day.condensing_w[steps])
            condensing -= ratio  # nothing at all where the dry balance holds
            condensing *= water.vapour.demand_w
            np.add(inflow.surfaces[rows], condensing, inflow.surfaces[rows])
            np.subtract(day.vapour_w, np.add.reduce(condensing, axis=0), day.vapour_w)
        np.multiply(water.latent_feedback_w, ratio[:, None], out=inflow.water_nodes[rows])
        evaporated = total(water.latent_feedback_w) * np.add.reduce(ratio, axis=0)
        np.add(day.vapour_w, count * total(water.latent_w) - evaporated, day.vapour_w)
        state.ratio = day.ratio[steps][-1]

    def thermostat_target(self, state: State, setpoint_c: Array, min_w: Array, max_w: Array) -> ThermostatTarget:
        """A thermostat's orders. A heater in water aims beyond the mean of a step, where the new value lies."""
        deviation_k = (setpoint_c - state.reference.temperature_c[-1]).astype(self.precision)
        return ThermostatTarget(self.new_weight * deviation_k, min_w, max_w)

    def segment_coefficients(
        self,
        fixed: FrozenCoefficients,
        state: State,
        day_inputs: DayInputs,
        hour: int,
        thermostat_target: ThermostatTarget,
    ) -> SegmentCoefficients:
        """What stays the same from this hour on: heat into every node, and the setpoint as heat."""
        steady = day_inputs.steady_w[self.source_terms.kind[hour]]
        if fixed.water is not None and self.room_air is not None:
            np.copyto(self.workspace.steady_w, steady)
            steady = self.workspace.steady_w
            self._lose(steady, fixed.water, self.room_air, state.reference, hour)
        diagonal = fixed.factors.diagonal
        return SegmentCoefficients(
            fixed,
            steady,
            np.multiply(diagonal, self.old_weight, self.workspace.gain_w_per_k),
            np.multiply(diagonal, thermostat_target.setpoint_k, self.workspace.setpoint_w),
            thermostat_target.min_w,
            thermostat_target.max_w,
        )

    def _lose(self, heat_w: Array, water: Exchange, room: RoomAir, reference: Reference, hour: int) -> None:
        """Let the water lose heat to air, surfaces and dry evaporation at the base temperatures, in place."""
        lost = water.to_air_w_per_k * reference.over_air_k
        radiated = water.longwave_w_per_k * reference.over_radiant_k
        if room.node is not None:
            air, surfaces = heat_w[room.node], heat_w[room.radiant_node]
            air += total(lost)
            surfaces += total(radiated)
            if water.leak_w_per_k is not None:
                air -= water.leak_w_per_k * reference.rounded_c[room.node]
        lost += radiated
        lost += water.latent_w
        if self.ties.pump.size:
            pumped = self.pump_w_per_k[hour] * reference.over_tank_k
            bed, tank = lost
            bed += pumped
            tank -= pumped
        water_nodes = heat_w[self.water_nodes]
        water_nodes -= lost

    def advance(self, segment_coefficients: SegmentCoefficients, state: State, day: Day, steps: range) -> None:
        """Steps that share a term, each booked as its own row of the day."""
        fixed, steady, reach, aim, low, high = segment_coefficients
        multiply, add, subtract, copy = np.multiply, np.add, np.subtract, np.copyto
        flux, last, water_nodes, booked = self.work.flux, self.flux_last, self.flux_water, self.flux_booked
        fed, each, target = self.flux_fed, self.inflow.each, self.workspace.target_w
        heat, inverse_theta, to_freezing_k = fixed.heat_w_per_k, self.inverse_theta, state.reference.to_freezing_k
        means, mean_sum, before = day.mean_k, day.mean_sum, state.water_k
        for step in steps:
            multiply(reach, last, target)
            add(target, aim, target)
            multiply(heat, flux, flux)
            add(flux, steady, flux)
            add(fed, each[step % len(each)], fed)
            substitute(fixed.factors, last, target, low, high, day.watts[step])
            add(mean_sum, booked, mean_sum)
            if means is not None:
                copy(means[step], flux)
            if fixed.water is None:
                continue
            water = day.water_k[step]
            subtract(water_nodes, before, water)
            multiply(water, inverse_theta, water)
            add(water, before, water)
            if state.icy or water.item(water.argmin()) < to_freezing_k:  # quicker than a minimum
                self._freeze(water, fixed, state, day)
            if means is not None:
                day.ice_j.append(state.ice_j)
            copy(water_nodes, water)
            before = water
        state.water_k = before

    def _freeze(self, water_k: Array, fixed: FrozenCoefficients, state: State, day: Day) -> None:
        """Hold freezing water at 0 degC, in place."""
        base_c, vessels = state.reference.temperature_c[self.water_nodes], self.network.vessels
        assert vessels is not None
        water_c = base_c + water_k
        state.ice_j, given = frozen(water_c, state.ice_j, fixed.water_j_per_k, vessels.ice_limit_j)
        state.icy = state.ice_j.item(state.ice_j.argmax()) > 0.0
        np.add(day.freezing_j, total(given), out=day.freezing_j)
        np.subtract(water_c, base_c, out=water_k, casting="same_kind")


def frozen(water_c: Array, ice_j: Array, capacity_j_per_k: Array, limit_j: Array) -> tuple[Array, Array]:
    """Hold freezing water at 0 degC, in place: its deficit becomes ice, and ice melts before water warms.

    The enthalpy method split from the step (Voller & Cross 1981, Int. J. Heat Mass Transfer 24:545); energy is
    conserved exactly. Returns the ice and what freezing gave [J], shape (lump, column) as all of it.
    """
    given = capacity_j_per_k * water_c
    ice = ice_j - given
    np.maximum(ice, 0.0, out=ice)
    np.minimum(ice, limit_j, out=ice)
    np.subtract(ice, ice_j, given)
    water_c += given / np.maximum(capacity_j_per_k, NO_WATER_J_PER_K)
    return ice, given


def by_water_node(rows: Array, vessels: Vessels) -> Array:
    """Sum of vessel rows for each lump; the rows themselves where every lump has one vessel."""
    if len(rows) == len(vessels.water_nodes):
        return rows
    bounds = (*vessels.first_rows, len(rows))
    return np.stack([total(rows[first:stop]) for first, stop in pairwise(bounds)])
