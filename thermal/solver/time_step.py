"""One step of the simulation, in reading order: the day's reference, the segment's coefficients, the step itself.

A step is implicit. The balance of node i over a step of length dt is

    C_i (T_i' - T_i)/dt = sum_j K_ij (Tm_j - Tm_i) + sources_i + heater_i,    Tm = theta T' + (1 - theta) T,

solved for the mean Tm at which heat flows: (C/(theta dt) + K) Tm = C/(theta dt) T + sources + heater. Water takes the
theta that is fitted to the exponential, so that an hour is not too long for it; light nodes take theta = 1, implicit
Euler, which never rings. Water's new temperature is T + (Tm - T)/theta; elsewhere it is Tm. The thermostat asks for
the watts that bring the heated node to its setpoint, within the heater's limits. Water that would fall below 0 degC
is held there, its deficit becomes ice (the enthalpy method, split from the step).

All temperatures below are deviations from where they stood at the day's beginning (`thermal.solver.state`).
"""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array
from thermal.network.model import RoomAir
from thermal.solver.linear_solve import substitute
from thermal.solver.state import (
    Day,
    DayInputs,
    Exchange,
    IntervalCoefficients,
    PreparedNetwork,
    Reference,
    SegmentCoefficients,
    State,
    ThermostatTarget,
)
from thermal.solver.transfer_coefficients import sum_rows
from thermal.solver.tuned_laws import freeze

NEAR_FREEZING_K = 1e-5  # above 0 degC: where freezing is looked into; beyond single precision's rounding


def bind_state(prepared: PreparedNetwork, state: State) -> None:
    """Step this state from now on, in the place where the steps are solved."""
    shift_reference(prepared, state)
    state.deviation_k = prepared.scratch.rhs
    state.deviation_k[:] = 0.0


def shift_reference(prepared: PreparedNetwork, state: State) -> None:
    """Count temperatures from where they are now."""
    room, exact = prepared.network.room_air, state.temperature_c
    t = exact.astype(prepared.precision)
    link_heat = np.zeros_like(t)
    temperature_of, heat_into = list(t), list(link_heat)  # rows: `+=` on an index would copy the sum onto itself
    for (i, j), conductance in zip(prepared.network.links, prepared.link_w_per_k, strict=True):
        heat = temperature_of[i] - temperature_of[j]
        heat *= conductance
        heat_into[i] -= heat
        heat_into[j] += heat
    water = t[prepared.water_nodes]
    above_air, above_surfaces, bed_above_tank = water, water, water[:0]
    if room is not None:
        above_air, above_surfaces = (
            (exact[prepared.water_nodes] - (room.given_c if node is None else exact[node])).astype(prepared.precision)
            for node in (room.node, room.radiant_node)
        )
        bed_above_tank = above_air[0] - above_air[-1]
    freezing = NEAR_FREEZING_K - float(water.min()) if water.size else -np.inf
    state.reference = Reference(exact, t, link_heat, above_air, above_surfaces, bed_above_tank, freezing)
    state.deviation_k[:] = 0.0
    state.water_k = state.deviation_k[prepared.water_nodes].copy()


def day_inputs(prepared: PreparedNetwork, state: State, weather: Array, season: Array) -> DayInputs:
    """What a day's weather and sources bring at the reference temperatures.

    Parameters
    ----------
    weather : Array, shape (24, channel, column)
    season : Array, shape (2, column)
        Cosine and sine of the time of year.
    """
    terms, reference = prepared.source_terms, state.reference
    exact = terms.source_w.copy()
    booked = exact[terms.booked]
    booked -= terms.outside_w_per_k * reference.temperature_c[terms.booked]
    steady = exact.astype(prepared.precision)
    steady += reference.link_heat_w
    seasonal = steady[terms.seasonal]
    seasonal += terms.season_w[0] * season[0] + terms.season_w[1] * season[1]
    return DayInputs(weather, [steady, *(steady + more for more in terms.more_w)])


def thermostat_target(
    prepared: PreparedNetwork, state: State, setpoint_c: Array, min_w: Array, max_w: Array
) -> ThermostatTarget:
    """The heater's target; a heater in water aims beyond the mean of a step, where the new value lies."""
    deviation_k = (setpoint_c - state.reference.temperature_c[-1]).astype(prepared.precision)
    return ThermostatTarget(prepared.new_weight * deviation_k, min_w, max_w)


def segment_coefficients(
    prepared: PreparedNetwork,
    coefficients: IntervalCoefficients,
    state: State,
    inputs: DayInputs,
    hour: int,
    target: ThermostatTarget,
) -> SegmentCoefficients:
    """What stays the same from this hour on: heat into every node, and the setpoint as heat."""
    steady = inputs.steady_w[prepared.source_terms.profile[hour]]
    if coefficients.exchange is not None and prepared.room_air is not None:
        np.copyto(prepared.workspace.steady_w, steady)
        steady = prepared.workspace.steady_w
        _subtract_water_loss(prepared, steady, coefficients.exchange, prepared.room_air, state.reference, hour)
    diagonal = coefficients.factorisation.diagonal
    return SegmentCoefficients(
        coefficients,
        steady,
        np.multiply(diagonal, prepared.old_weight, prepared.workspace.gain_w_per_k),
        np.multiply(diagonal, target.setpoint_k, prepared.workspace.setpoint_w),
        target.min_w,
        target.max_w,
    )


def _subtract_water_loss(
    prepared: PreparedNetwork, heat_w: Array, exchange: Exchange, room: RoomAir, reference: Reference, hour: int
) -> None:
    """Let the water lose heat to air, surfaces and dry evaporation at the reference temperatures, in place."""
    lost = exchange.to_air_w_per_k * reference.water_above_air_k
    radiated = exchange.longwave_w_per_k * reference.water_above_surfaces_k
    if room.node is not None:
        air, surfaces = heat_w[room.node], heat_w[room.radiant_node]
        air += sum_rows(lost)
        surfaces += sum_rows(radiated)
        if exchange.leak_w_per_k is not None:
            air -= exchange.leak_w_per_k * reference.rounded_c[room.node]
    lost += radiated
    lost += exchange.latent_w
    if prepared.circulates:
        pumped = prepared.pump_w_per_k[hour] * reference.bed_above_tank_k
        bed, tank = lost
        bed += pumped
        tank -= pumped
    water_nodes = heat_w[prepared.water_nodes]
    water_nodes -= lost


def advance(prepared: PreparedNetwork, segment: SegmentCoefficients, state: State, day: Day, steps: range) -> None:
    """The steps of one segment, each booked as its own row of the day.

    Parameters
    ----------
    segment : SegmentCoefficients
        What the steps share.
    state : State
        Before the first step; afterwards after the last.
    day : Day
        Its inflow is read, its other rows are written.
    steps : range
        Of the day.
    """
    coefficients, steady, gain, setpoint, low, high = segment
    multiply, add, subtract, copy = np.multiply, np.add, np.subtract, np.copyto
    rhs, target = prepared.scratch.rhs, prepared.workspace.target_w
    heated, water_nodes, fed = rhs[-1], rhs[prepared.water_nodes], rhs[prepared.fed_nodes]
    booked = rhs[prepared.source_terms.booked]
    heat, inverse_theta, freezing_k = coefficients.heat_w_per_k, prepared.inverse_theta, state.reference.freezing_k
    before = state.water_k
    for step in steps:
        multiply(gain, heated, target)  # target = diagonal (theta setpoint + (1 - theta) T)
        add(target, setpoint, target)
        multiply(heat, rhs, rhs)  # right-hand side = C/(theta dt) T + sources
        add(rhs, steady, rhs)
        add(fed, day.inflow.steps[step], fed)
        substitute(coefficients.factorisation, heated, target, low, high, day.watts[step])  # rhs is now Tm
        add(day.mean_sum, booked, day.mean_sum)
        if day.keeps_every_step:
            copy(day.mean_k[step], rhs)
        if coefficients.exchange is not None:
            water = day.water_k[step]
            subtract(water_nodes, before, water)  # T' = T + (Tm - T)/theta
            multiply(water, inverse_theta, water)
            add(water, before, water)
            if state.has_ice or water.item(water.argmin()) < freezing_k:  # argmin is quicker than min
                _freeze(prepared, water, coefficients, state, day)
            if day.keeps_every_step:
                day.ice_j.append(state.ice_j)
            copy(water_nodes, water)
            before = water
    state.water_k = before


def _freeze(
    prepared: PreparedNetwork, water_k: Array, coefficients: IntervalCoefficients, state: State, day: Day
) -> None:
    """Hold freezing water at 0 degC, in place."""
    reference_c, vessels = state.reference.temperature_c[prepared.water_nodes], prepared.network.vessels
    assert vessels is not None
    water_c = reference_c + water_k
    state.ice_j, given_j = freeze(water_c, state.ice_j, coefficients.water_j_per_k, vessels.ice_limit_j)
    state.has_ice = state.ice_j.item(state.ice_j.argmax()) > 0.0
    np.add(day.freezing_j, sum_rows(given_j), out=day.freezing_j)
    np.subtract(water_c, reference_c, out=water_k, casting="same_kind")
