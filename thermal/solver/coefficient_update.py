"""Coefficients that last for some hours: when they are updated, from what state, and the matrix they make.

Transfer coefficients depend on temperature but weakly, so they are updated a few times a day at the state expected
in the middle of the hours to come, and the matrix is factorised then. Within those hours no temperature enters the
vapour balance, so the humidity of all their steps is worked out at once, ahead of the temperatures
(saves 10 % of 2,048 designs, 20 % of a `run`'s load; all figures in reports/performance.md).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thermal.climate.forcing import HUMIDITY, OUTDOOR
from thermal.core.arrays import Array
from thermal.network.model import Network, RoomAir
from thermal.physics.constants import CP_AIR
from thermal.physics.flood_drain import moved_capacity, switched_temperatures
from thermal.physics.infiltration import flow_in_series
from thermal.solver.air_leakage import PER_CM2, leak_conductance
from thermal.solver.drying import advance_with_dryer, fan_air, heat_of_drying
from thermal.solver.linear_solve import eliminate
from thermal.solver.outdoor_gains import add_gains
from thermal.solver.state import (
    Coefficients,
    Day,
    DayInputs,
    Exchange,
    IntervalCoefficients,
    PreparedNetwork,
    Reference,
    State,
    UpdateInterval,
    VapourBalance,
)
from thermal.solver.transfer_coefficients import (
    advance_humidity,
    by_water_node,
    coefficients,
    sum_rows,
    vapour_balance,
)
from thermal.solver.tuned_laws import replaced_vapour_enthalpy

NIGHT = frozenset((*range(20, 24), *range(8)))  # hours a night cover is on; an interval begins at both ends
KG_S_PER_W_PER_K = 1.0 / CP_AIR
HOTTEST_C = 45.0  # coefficients go no further: only a heater stuck on gets there, and vapour would run away
COLDEST_C, HOTTEST_ROOM_C = -90.0, 75.0  # where lights of many kilowatts send the extrapolation


def update_intervals(starts: tuple[int, ...]) -> dict[int, UpdateInterval]:
    """A day's intervals by their first hour, from those hours."""
    lengths = [end - start for start, end in zip(starts, (*starts[1:], 24), strict=True)]
    before = (lengths[-1], *lengths[:-1])
    return {
        start: UpdateInterval(start, hours, number, 0.5 * hours / hours_before)
        for number, (start, hours, hours_before) in enumerate(zip(starts, lengths, before, strict=True))
    }


# Five updates a day save most of all (not measured alone).
# As good as every hour for the water, thanks to the extrapolation (tests/laws/test_accuracy.py). A simulation may
# begin out of balance, where nights are not yet as calm.
UPDATE_SCHEDULE = update_intervals((0, 8, 12, 16, 20))
UPDATE_SCHEDULE_FIRST_DAY = update_intervals((0, 4, 8, 12, 16, 20))
# The vapour of plants makes the day more humid; devices that dry the air follow its temperature of the day.
UPDATE_SCHEDULE_WITH_PLANTS = update_intervals((0, 4, 8, 11, 14, 17, 20))
LONGEST_INTERVAL_H = max(interval.hours for interval in UPDATE_SCHEDULE.values())


def update_schedule(network: Network, first_day: bool) -> dict[int, UpdateInterval]:
    """A day's intervals by their first hour.

    Parameters
    ----------
    network : Network
        Whose plants may give off vapour, or whose air is dried.
    first_day : bool
        Whether it is the first day of a simulation.
    """
    if first_day:
        return UPDATE_SCHEDULE_FIRST_DAY
    room = network.room_air
    varies = room is not None and (room.vapour_kg_s.any() or room.dryer is not None or room.fan is not None)
    return UPDATE_SCHEDULE_WITH_PLANTS if varies else UPDATE_SCHEDULE


def update_coefficients(
    prepared: PreparedNetwork, state: State, day_inputs: DayInputs, interval: UpdateInterval
) -> IntervalCoefficients:
    """Coefficients and factorised matrix for an interval that begins now.

    Temperatures are extrapolated to the interval's middle by the change since the last update.

    Parameters
    ----------
    prepared : PreparedNetwork
        The network made ready for steps.
    interval : UpdateInterval
        Hours that the coefficients are for.
    state : State
        Now; its `wall_excess` and `last_update_c` are renewed.
    day_inputs : DayInputs
        Its weather at the interval's hours is read.

    Returns
    -------
    IntervalCoefficients
        Valid until the next call: the matrix is overwritten then.
    """
    room, hour = prepared.room_air, interval.hour
    if room is None or prepared.vessels is None:
        return factorise(prepared, None, state, day_inputs, hour)
    vessels = prepared.vessels[hour in NIGHT]
    now = state.reference.rounded_c + state.deviation_k
    t = now - state.last_update_c
    t *= interval.extrapolation_factor
    t += now
    for node in {room.node, room.beyond_node} - {None}:
        np.minimum(t[node], HOTTEST_ROOM_C, out=t[node])
        np.maximum(t[node], COLDEST_C, out=t[node])
    water = np.minimum(t[prepared.vessel_node], HOTTEST_C)
    air = room.given_mean_c(hour, interval.hours) if room.node is None else t[room.node]
    radiant = air if room.radiant_node is None else t[room.radiant_node]
    c = coefficients(vessels, water, air, radiant, state.humidity_ratio, state.wall_excess, prepared.pressure_pa)
    state.wall_excess, state.last_update_c = c.wall_excess, now
    enthalpy = replaced_vapour_enthalpy(water, vessels.tap_c)
    feedback = c.mass_kg_s * enthalpy
    vapour, leak, fan_w = None, None, None
    if room.node is not None:
        middle = day_inputs.weather[hour + interval.hours // 2, OUTDOOR]
        beyond = middle if room.beyond_node is None else t[room.beyond_node]
        vapour, leak, fan_w = _room_air(prepared, c, room, air, beyond, day_inputs, interval)
    exchange = Exchange(
        coefficients=c,
        enthalpy_j_per_kg=enthalpy,
        to_air_w_per_k=by_water_node(c.convection_w_per_k + c.wall_w_per_k, vessels),
        longwave_w_per_k=by_water_node(c.longwave_w_per_k, vessels),
        latent_w=by_water_node(feedback * c.water_ratio, vessels),
        latent_feedback_w=by_water_node(feedback, vessels),
        vapour=vapour,
        leak_w_per_k=leak,
        fan_w=fan_w,
    )
    return factorise(prepared, exchange, state, day_inputs, hour)


def _room_air(
    prepared: PreparedNetwork,
    c: Coefficients,
    room: RoomAir,
    air: Array,
    beyond: Array,
    day_inputs: DayInputs,
    interval: UpdateInterval,
) -> tuple[VapourBalance, Array | None, Array | None]:
    """The room's vapour balance, what cracks and a fan add to air change [W/K], and the fan's electric power [W]."""
    cold = np.empty((2, len(air)), prepared.precision)
    cold[0] = air - room.coldness * (air - beyond)
    cold[1] = air
    change, leak, fan_w = room.change_kg_s, None, None
    hours = slice(interval.hour, interval.hour + interval.hours)
    weather = day_inputs.weather[hours]
    if prepared.leak_row is not None:
        indoor = cold[1] if room.beyond_node is None else beyond
        leak = leak_conductance(room.leak_cm2, indoor, day_inputs.leak[interval.number])
        change = change + leak * KG_S_PER_W_PER_K
    if room.beyond_node is not None:
        change = flow_in_series(room.hut_change_kg_s, change)
        if room.direct_change_kg_s is not None:
            change = change + room.direct_change_kg_s
    humidity = weather[:, HUMIDITY]
    if prepared.humidity_differs:
        humidity = humidity * room.outdoor_humidity
    brought = humidity, room.vapour_kg_s[hours]
    if room.fan is not None and leak is not None:
        density = day_inputs.leak[interval.number][PER_CM2] * (1000.0 / CP_AIR)
        taken_up, less = sum_rows(c.mass_kg_s * c.water_ratio) + brought[1].mean(axis=0), sum_rows(c.mass_kg_s)
        outdoors = humidity.mean(axis=0), density
        air_kg_s, fan_w = fan_air(room, cold, (taken_up, less), change, outdoors, prepared.pressure_pa)
        change, leak = change + air_kg_s, leak + air_kg_s * CP_AIR
    return vapour_balance(room, c, cold, change, brought, prepared.held_kg_s, prepared.pressure_pa), leak, fan_w


def factorise(
    prepared: PreparedNetwork, exchange: Exchange | None, state: State, day_inputs: DayInputs, hour: int
) -> IntervalCoefficients:
    """The matrix with these conductances and the hour's pump flow, factorised; the one before is overwritten.

    Parameters
    ----------
    prepared : PreparedNetwork
        The network made ready for steps.
    exchange : Exchange or None
        What water and air exchange; None without water.
    state : State
        Now; updated where the summary says so.
    day_inputs : DayInputs
        Weather and sources of the day.
    hour : int
        Of the day.
    """
    np.copyto(prepared.system.block, prepared.constant_system.block)
    heat, water_j_per_k = prepared.heat_w_per_k, prepared.network.capacity_j_per_k[prepared.water_nodes]
    if prepared.drains:
        water_j_per_k = _water_capacity(prepared, state.pump_runs)
        heat = heat.copy()
        heat[prepared.water_nodes] = water_j_per_k * prepared.inverse_theta / prepared.dt_s
    if exchange is not None:
        given_off, coupling = exchange.to_air_w_per_k + exchange.longwave_w_per_k, prepared.coupling
        if prepared.circulates:
            given_off[-2:] += prepared.pump_w_per_k[hour]
            np.add(coupling.pump, prepared.pump_w_per_k[hour], coupling.pump)
        diagonals = coupling.water_nodes
        np.add(diagonals, given_off, diagonals)
        np.add(diagonals, heat[prepared.water_nodes], diagonals)  # the largest last, so that it is rounded once
        to_room = exchange.to_air_w_per_k, exchange.longwave_w_per_k
        for (diagonal, links), conductance in zip(coupling.room, to_room):  # noqa: B905
            np.add(diagonal, sum_rows(conductance), diagonal)
            np.add(links, conductance[-len(links) :], links)
        if exchange.leak_w_per_k is not None:
            np.add(coupling.leak, exchange.leak_w_per_k, coupling.leak)
    eliminate(prepared.factorisation)
    return IntervalCoefficients(
        factorisation=prepared.factorisation,
        heat_w_per_k=heat,
        water_j_per_k=water_j_per_k,
        gain_w_per_k=prepared.factorisation.diagonal * prepared.old_weight,
        steady_w=_steady_heat(prepared, exchange, day_inputs, state.reference, hour),
        exchange=exchange,
    )


def _steady_heat(
    prepared: PreparedNetwork, exchange: Exchange | None, day_inputs: DayInputs, reference: Reference, hour: int
) -> Array:
    """Heat into every node at the reference, were the air bone-dry. [W]"""
    room = prepared.room_air
    if exchange is None or room is None:
        return day_inputs.steady_w
    heat_w = day_inputs.steady_w.copy()
    convected = exchange.to_air_w_per_k * reference.water_above_air_k
    radiated = exchange.longwave_w_per_k * reference.water_above_surfaces_k
    given_off = convected + radiated
    given_off += exchange.latent_w
    if prepared.circulates:
        pumped = prepared.pump_w_per_k[hour] * reference.bed_above_tank_k
        given_off[-2] += pumped
        given_off[-1] -= pumped
    heat_w[prepared.water_nodes] -= given_off
    if room.node is not None:
        heat_w[room.node] += sum_rows(convected)
        heat_w[room.radiant_node] += sum_rows(radiated)
        if exchange.leak_w_per_k is not None:
            heat_w[room.leak_node] -= exchange.leak_w_per_k * reference.rounded_c[room.leak_node]
    return heat_w


def apply_pump_switch(prepared: PreparedNetwork, state: State, hour: int) -> None:
    """Set the pumps to this hour's flow: draining beds give their water to the tank, or take it back.

    Parameters
    ----------
    prepared : PreparedNetwork
        The network made ready for steps.
    state : State
        Now; updated where the summary says so.
    hour : int
        Of the day.
    """
    vessels = prepared.network.vessels
    assert vessels is not None
    bed, tank = vessels.in_circuit
    runs = vessels.flow_w_per_k[hour] > 0
    before, after = _water_capacity(prepared, state.pump_runs), _water_capacity(prepared, runs)
    t = state.temperature_c
    t[bed], t[tank] = switched_temperatures(t[bed], t[tank], before[-2], before[-1], before[-2] - after[-2])
    state.pump_runs = runs
    water = prepared.water_nodes
    state.deviation_k[water] = t[water] - state.reference.temperature_c[water]
    state.water_k = state.deviation_k[water].copy()


def _water_capacity(prepared: PreparedNetwork, pump_runs: Array) -> Array:
    """Heat capacity of bed and tank with the bed drained where the pump rests. [J/K]"""
    vessels = prepared.network.vessels
    assert vessels is not None
    moved = moved_capacity(pump_runs, vessels.drained_j_per_k)
    capacity = prepared.network.capacity_j_per_k[prepared.water_nodes].copy()
    capacity[-2] -= moved
    capacity[-1] += moved
    return capacity


def precompute_humidity(
    prepared: PreparedNetwork,
    exchange: Exchange | None,
    state: State,
    day_inputs: DayInputs,
    interval: UpdateInterval,
    day: Day,
    steps: range,
) -> Array:
    """The air's humidity in an interval's steps, written to `day`, and what vapour and weather bring in them.

    Parameters
    ----------
    prepared : PreparedNetwork
        The network made ready for steps.
    exchange : Exchange or None
        What water and air exchange; None without water.
    state : State
        Now; updated where the summary says so.
    day_inputs : DayInputs
        Weather and sources of the day.
    interval : UpdateInterval
        Hours that the coefficients are for.
    day : Day
        The buffers of the day.
    steps : range
        Of the day.

    Returns
    -------
    Array, shape (step, fed node, column)
        Heat that flows in [W]; overwritten by the next call.
    """
    inflow, rows, count = day.inflow, slice(steps.start, steps.stop), len(steps)
    hours: Sequence[int] = range(interval.hours)  # of each step
    outdoor = day_inputs.weather[interval.hour : interval.hour + interval.hours, OUTDOOR]
    if count != interval.hours:
        hours = [index * interval.hours // count for index in range(count)]
        outdoor = outdoor[hours]
    np.multiply(prepared.outdoor_w_per_k, outdoor[:, None], out=inflow.outdoors[:count])
    if exchange is None:
        add_gains(prepared, inflow, day_inputs, interval, hours)
        return inflow.fed_nodes[:count]
    if exchange.leak_w_per_k is not None:
        np.add(inflow.leak[:count], exchange.leak_w_per_k * outdoor, inflow.leak[:count])
    ratio, condensing = day.ratio[rows], day.condensing_w[rows]
    if exchange.vapour is None:
        ratio[:] = state.humidity_ratio
    else:
        if exchange.vapour.dryer is None:
            advance_humidity(exchange.vapour, state.humidity_ratio, hours, ratio, condensing)
        else:
            drying = advance_with_dryer(exchange.vapour, state.humidity_ratio, hours, ratio, condensing)
            _give_heat_of_drying(prepared, day, rows, drying)
        condensing -= ratio  # nothing at all where the dry balance holds
        condensing *= exchange.vapour.demand_w
        np.add(inflow.surfaces[:count], condensing, inflow.surfaces[:count])
        np.subtract(day.vapour_w, np.add.reduce(condensing, axis=0), day.vapour_w)
    if exchange.fan_w is not None:
        day.fan_w[rows] = exchange.fan_w
    vapour_w = inflow.water_nodes[:count]
    if prepared.water_meets_outdoors:  # `outdoors` holds these rows too, and its part is written
        np.add(vapour_w, exchange.latent_feedback_w * ratio[:, None], vapour_w)
    else:
        np.multiply(exchange.latent_feedback_w, ratio[:, None], out=vapour_w)
    if prepared.room_air is not None and prepared.room_air.given_change_k is not None:
        change_k = prepared.room_air.given_change_k[[interval.hour + hour for hour in hours]]
        inflow.water_nodes[:count] += (exchange.to_air_w_per_k + exchange.longwave_w_per_k) * change_k[:, None]
    evaporated = sum_rows(exchange.latent_feedback_w) * np.add.reduce(ratio, axis=0)
    np.add(day.vapour_w, count * sum_rows(exchange.latent_w) - evaporated, day.vapour_w)
    state.humidity_ratio = ratio[-1]
    add_gains(prepared, inflow, day_inputs, interval, hours)
    return inflow.fed_nodes[:count]


def _give_heat_of_drying(prepared: PreparedNetwork, day: Day, rows: slice, drying: tuple[Array, Array]) -> None:
    """Give the air what a dehumidifier gives off in an interval's steps, and keep what it took and used."""
    room = prepared.network.room_air
    assert room is not None
    assert room.node is not None
    removed_kg_s, electric_w = drying
    heat_w = heat_of_drying(removed_kg_s, electric_w)
    air = day.inflow.fed_nodes[: len(heat_w), room.node - prepared.fed_nodes.start]
    np.add(air, heat_w, air)
    np.subtract(day.vapour_w, np.add.reduce(heat_w, axis=0), day.vapour_w)
    day.removed_kg_s[rows], day.drying_w[rows] = removed_kg_s, electric_w
