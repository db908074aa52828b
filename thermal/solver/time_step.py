"""One step of the simulation, in reading order: the day's reference and inputs, the thermostat, the step itself.

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
from thermal.solver.linear_solve import substitute
from thermal.solver.outdoor_gains import gains_of_day
from thermal.solver.state import (
    Day,
    DayInputs,
    IntervalCoefficients,
    PreparedNetwork,
    Reference,
    Segment,
    State,
    ThermostatTarget,
)
from thermal.solver.transfer_coefficients import sum_rows
from thermal.solver.tuned_laws import freeze

NEAR_FREEZING_K = 1e-5  # above 0 degC: where freezing is looked into; beyond single precision's rounding


def bind_state(prepared: PreparedNetwork, state: State) -> None:
    """Step this state from now on, in the place where the steps are solved."""
    shift_reference(prepared, state)
    state.deviation_k = prepared.rhs
    state.deviation_k[:] = 0.0


def shift_reference(prepared: PreparedNetwork, state: State) -> None:
    """Count temperatures from where they are now."""
    room, exact = prepared.network.room_air, state.temperature_c
    t = exact.astype(prepared.precision)
    link_heat = np.zeros_like(t)
    for (i, j), conductance in zip(prepared.network.links, prepared.link_w_per_k, strict=True):
        heat = conductance * (t[i] - t[j])
        link_heat[i] -= heat
        link_heat[j] += heat
    water = t[prepared.water_nodes]
    above_air, above_surfaces, bed_above_tank = water, water, water[:0]
    if room is not None:
        above_air, above_surfaces = (
            (exact[prepared.water_nodes] - (room.given_c if node is None else exact[node])).astype(prepared.precision)
            for node in (room.node, room.radiant_node)
        )
        bed_above_tank = above_air[-2:][0] - above_air[-1]
    freezing = NEAR_FREEZING_K - float(water.min()) if water.size else -np.inf
    state.reference = Reference(exact, t, link_heat, above_air, above_surfaces, bed_above_tank, freezing)
    state.deviation_k[:] = 0.0
    state.water_k = state.deviation_k[prepared.water_nodes].copy()


def thermostat_target(
    prepared: PreparedNetwork,
    state: State,
    setpoint_c: Array,
    limits_w: tuple[Array, Array],
    cool_above_c: Array | None = None,
) -> ThermostatTarget:
    """The heater's target; a heater in water aims beyond the mean of a step, where the new value lies.

    Parameters
    ----------
    prepared : PreparedNetwork
        The network made ready for steps.
    state : State
        Now; updated where the summary says so.
    setpoint_c : Array, shape (column,)
        Thermostat setting [degC].
    limits_w : tuple of Array, shape (column,)
        Least and most heat [W].
    cool_above_c : Array, shape (column,), optional
        Setpoint of the cooler, where it has its own [degC].
    """
    weight, precision = prepared.new_weight, prepared.precision
    deviation_k = (setpoint_c - state.reference.temperature_c[-1]).astype(precision)
    band_k = None if cool_above_c is None else weight * (cool_above_c - setpoint_c).astype(precision)
    return ThermostatTarget(weight * deviation_k, *limits_w, band_k)


def day_inputs(
    prepared: PreparedNetwork, state: State, weather: Array, season: Array, columns: Array, leak: Array
) -> DayInputs:
    """What a day's weather and sources bring at the reference temperatures.

    Parameters
    ----------
    prepared : PreparedNetwork
        The network made ready for steps.
    state : State
        Now; updated where the summary says so.
    weather : Array, shape (24, channel, column)
    season : Array, shape (2, column)
        Cosine and sine of the time of year.
    columns : Array, shape (hour, used column, column)
        Those columns of the forcing that the network uses.
    leak : Array, shape (interval, channel, column)
        Weather behind the air that leaks in.
    """
    exact = prepared.first_source_w - prepared.outside_w_per_k * state.reference.temperature_c
    steady = exact.astype(prepared.precision) + state.reference.link_heat_w
    steady += prepared.season_w[0] * season[0] + prepared.season_w[1] * season[1]
    return DayInputs(weather, steady, gains_of_day(prepared, columns), leak)


def advance(
    prepared: PreparedNetwork,
    coefficients: IntervalCoefficients,
    segment: Segment,
    state: State,
    day: Day,
) -> None:
    """The steps of a segment, each booked as its own row of the day.

    Parameters
    ----------
    prepared : PreparedNetwork
        The network made ready for steps.
    coefficients : IntervalCoefficients
        That hold from the segment's first hour on.
    segment : Segment
        Which steps, what flows in, and what the heater is held to.
    state : State
        Before the first step; afterwards after the last.
    day : Day
        Receives a row for each step.
    """
    rhs, inverse_theta, factors = prepared.rhs, prepared.inverse_theta, coefficients.factorisation
    heated, water, fed = rhs[-1], rhs[prepared.water_nodes], rhs[prepared.fed_nodes]
    booked, mean_sum = rhs[prepared.booked_nodes], day.mean_sum
    steady_w = coefficients.steady_w
    if prepared.source_differs[segment.hour]:
        steady_w = steady_w + prepared.source_change_w[segment.hour]
    setpoint_w = factors.diagonal * segment.target.setpoint_k
    heat_w_per_k, gain_w_per_k = coefficients.heat_w_per_k, coefficients.gain_w_per_k
    target_w, band_k = np.empty_like(setpoint_w), segment.target.band_k
    limits = segment.target.min_w, segment.target.max_w, None if band_k is None else factors.diagonal * band_k
    before_k, freezing_k = state.water_k, state.reference.freezing_k
    has_water, keeps_every_step = coefficients.exchange is not None, day.keeps_every_step
    rows = slice(segment.steps.start, segment.steps.stop)
    by_step = zip(segment.steps, segment.inflow_w, day.watts[rows], day.water_k[rows], strict=True)
    for step, inflow_w, watts, after_k in by_step:
        np.multiply(gain_w_per_k, heated, target_w)
        target_w += setpoint_w  # diagonal (theta setpoint + (1 - theta) T)
        rhs *= heat_w_per_k  # right-hand side: C/(theta dt) T + sources
        rhs += steady_w
        fed += inflow_w
        substitute(factors, heated, target_w, limits, watts)  # now Tm
        mean_sum += booked
        if keeps_every_step:
            day.mean_k[step] = rhs
        if has_water:
            np.subtract(water, before_k, after_k)  # T' = T + (Tm - T)/theta
            after_k *= inverse_theta
            after_k += before_k
            if state.has_ice or after_k.item(after_k.argmin()) < freezing_k:
                _freeze(prepared, after_k, coefficients, state, day)
            if keeps_every_step:
                day.ice_j.append(state.ice_j)
            water[:] = before_k = after_k
    state.water_k = before_k


def _freeze(
    prepared: PreparedNetwork, water_k: Array, coefficients: IntervalCoefficients, state: State, day: Day
) -> None:
    """Hold freezing water at 0 degC, in place; book the ice and its heat."""
    reference_c, vessels = state.reference.temperature_c[prepared.water_nodes], prepared.network.vessels
    assert vessels is not None
    water_c = reference_c + water_k
    state.ice_j, given_j = freeze(water_c, state.ice_j, coefficients.water_j_per_k, vessels.ice_limit_j)
    state.has_ice = state.ice_j.item(state.ice_j.argmax()) > 0.0
    np.add(day.freezing_j, sum_rows(given_j), out=day.freezing_j)
    np.subtract(water_c, reference_c, out=water_k, casting="same_kind")
