"""Air that leaks into the room by wind and stack effect, as the solver counts it: `leakage_flow` of `thermal.physics`.

What depends on the weather alone is worked out once, for winters and not for designs, and the heat that leaves is
booked once a day: both save a leaky room 15 % of its time in narrow batches.
"""

from __future__ import annotations

import numpy as np

from thermal.climate.forcing import OUTDOOR, Forcing
from thermal.core.arrays import Array
from thermal.physics.constants import CP_AIR
from thermal.physics.infiltration import SHELTER_CLASS, STACK_COEFFICIENT, WIND_COEFFICIENT
from thermal.physics.moist_air import dry_air_density
from thermal.solver.state import Day, DayInputs, PreparedNetwork, State, UpdateInterval
from thermal.solver.tuned_laws import constant

WIND_TERM, PER_CM2 = 1, 2  # channels of that weather, after the outdoor air
STACK = constant(STACK_COEFFICIENT[1])


def leak_channels(prepared: PreparedNetwork, forcing: Forcing) -> Array:
    """Outdoor air, C_w v^2 and density x c_p/1000, shape (hour, channel, winter); no channel where no air leaks in.

    Parameters
    ----------
    prepared : PreparedNetwork
        The network made ready for steps.
    forcing : Forcing
        Outdoor conditions of every winter.
    """
    if prepared.leak_row is None:
        return np.zeros((len(forcing.outdoor_c), 0, forcing.outdoor_c.shape[-1]), prepared.precision)
    wind = WIND_COEFFICIENT[1][SHELTER_CLASS - 1] * np.square(forcing.wind_m_s)
    heat = dry_air_density(forcing.outdoor_c, forcing.humidity_ratio, forcing.pressure_pa) * CP_AIR / 1000.0
    return np.stack([forcing.outdoor_c, wind, heat], axis=1).astype(prepared.precision)


def interval_means(hours: Array, schedule: dict[int, UpdateInterval]) -> Array:
    """Means over a day's update intervals, shape (interval, channel, winter).

    Parameters
    ----------
    hours : Array, shape (24, channel, winter)
        Channels of `leak_channels` on that day.
    schedule : dict of int to UpdateInterval
        The day's intervals by their first hour.
    """
    if not hours.shape[1]:
        return hours[: len(schedule)]
    lengths = np.array([interval.hours for interval in schedule.values()], hours.dtype)
    return np.asarray(np.add.reduceat(hours, list(schedule), axis=0) / lengths[:, None, None])


def leak_conductance(leak_cm2: Array, indoor_c: Array, mean: Array) -> Array:
    """Conductance of the air that leaks in over an interval. [W/K]

    Parameters
    ----------
    leak_cm2 : Array, shape (column,)
        Effective leakage area [cm2].
    indoor_c : Array, shape (column,)
        The room's air [degC].
    mean : Array, shape (channel, column)
        Channels of `leak_channels`, as means of its hours.
    """
    flow = np.abs(indoor_c - mean[OUTDOOR])
    flow *= STACK
    flow += mean[WIND_TERM]
    np.sqrt(flow, out=flow)
    flow *= mean[PER_CM2]
    flow *= leak_cm2
    return np.asarray(flow)


def book_leak(prepared: PreparedNetwork, state: State, inputs: DayInputs, day: Day) -> None:
    """Write to the day what heat the air that leaked in took out.

    Parameters
    ----------
    prepared : PreparedNetwork
        The network made ready for steps.
    state : State
        Temperatures still counted from the day's reference.
    inputs : DayInputs
        Weather of the day.
    day : Day
        Its update intervals' leaks, and the sum of temperatures before each.
    """
    room = prepared.network.room_air
    if prepared.leak_row is None or room is None or not day.leaks:
        return
    starts = [leak.hour for leak in day.leaks]
    sums = np.stack([*(leak.before_k for leak in day.leaks), day.mean_sum[prepared.leak_row]]).astype(float)
    steps = len(day.watts) // 24 * np.diff([*starts, 24])[:, None]
    warmer_k = np.diff(sums, axis=0)
    warmer_k += steps * (state.reference.temperature_c[room.leak_node] - inputs.leak[:, OUTDOOR])
    np.einsum("ij,ij->j", np.stack([leak.w_per_k for leak in day.leaks]), warmer_k, out=day.leak_w)
