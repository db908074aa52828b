"""What a dehumidifier takes from the air hour by hour, and the outdoor air that a fan by humidity brings in.

Both follow the air's temperature of an update interval. A fan runs for that share of the interval that holds its
humidity in the steady state; a dehumidifier holds its own in every step, as far as its capacity goes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.network.drying_air import DryerRows, FanRows
from thermal.network.model import RoomAir
from thermal.physics import moist_air
from thermal.physics.constants import CONDENSATION_J_PER_KG
from thermal.physics.dehumidifier import removal_share, vapour_to_remove
from thermal.physics.humidity_fan import air_to_bring

if TYPE_CHECKING:
    from thermal.solver.state import VapourBalance


class Dryer(NamedTuple):
    """A dehumidifier for the steps of an interval, each of shape (column,)."""

    capacity_kg_s: Numbers  # at the air's temperature
    power_w: Numbers
    set_ratio: Numbers  # humidity ratio that it holds
    demand_kg_s: Numbers  # of the vapour balance
    condensing_kg_s: Numbers
    side_ratio: Numbers

    def vapour_kg_s(self, dry_ratio: Numbers) -> Array:
        """Vapour that it takes in a step whose air would end at some humidity ratio without condensation. [kg/s]"""
        balance = self.set_ratio, self.demand_kg_s, self.condensing_kg_s, self.side_ratio
        return np.asarray(np.clip(vapour_to_remove(dry_ratio, *balance), 0.0, self.capacity_kg_s))

    def electric_w(self, removed_kg_s: Array) -> Array:
        """Its electric power, by the share of the step that it runs. [W]"""
        most = np.asarray(self.capacity_kg_s)
        share = np.divide(removed_kg_s, most, out=np.zeros_like(removed_kg_s), where=most > 0.0)
        return np.asarray(share * self.power_w)


def set_humidity_ratio(humidity: Numbers, air_c: Numbers, pressure_pa: Numbers) -> Array:
    """Humidity ratio of air of some relative humidity. [kg/kg]

    Parameters
    ----------
    humidity : float or Array
        Relative humidity [-].
    air_c : float or Array
        Temperature [degC].
    pressure_pa : float or Array
        Air pressure [Pa].
    """
    return np.asarray(moist_air.humidity_ratio(humidity * moist_air.saturation_pressure(air_c), pressure_pa))


def dryer_of(
    room: RoomAir, air_c: Numbers, demand_kg_s: Numbers, side_ratio: Numbers, pressure_pa: Numbers
) -> Dryer | None:
    """The dehumidifier of a room's air; None without one.

    Parameters
    ----------
    room : RoomAir
        The air.
    air_c : float or Array, shape (column,)
        Its temperature [degC].
    demand_kg_s : float or Array, shape (column,)
        All that takes vapour from it, for each unit of its humidity ratio [kg/s].
    side_ratio : float or Array, shape (column,)
        Humidity ratio of air saturated at the coldest side [kg/kg].
    pressure_pa : float or Array
        Air pressure [Pa].
    """
    if room.dryer is None:
        return None
    rows = DryerRows(*room.dryer)
    capacity = rows.capacity_kg_s * removal_share(air_c, *rows[3:])
    set_ratio = set_humidity_ratio(rows.humidity, air_c, pressure_pa)
    return Dryer(capacity, rows.power_w, set_ratio, demand_kg_s, room.condensing_kg_s, side_ratio)


def fan_air(
    room: RoomAir,
    cold_c: tuple[Numbers, Numbers] | Array,
    vapour: tuple[Numbers, Numbers],
    change_kg_s: Numbers,
    outdoors: tuple[Numbers, Numbers],
    pressure_pa: Numbers,
) -> tuple[Array, Array]:
    """Dry outdoor air that the fan of a room brings in over an interval [kg/s], and its electric power [W].

    Parameters
    ----------
    room : RoomAir
        Air with a fan.
    cold_c : pair of float or Array, shape (column,)
        Temperatures of the coldest side and of the air [degC].
    vapour : pair of float or Array, shape (column,)
        What bone-dry air would take up [kg/s], and less of it for each unit of its humidity ratio [kg/s].
    change_kg_s : float or Array, shape (column,)
        Dry outdoor air that enters without the fan [kg/s].
    outdoors : pair of float or Array, shape (column,)
        Mean humidity ratio of the outdoor air [kg/kg], and its density [kg/m3].
    pressure_pa : float or Array
        Air pressure [Pa].
    """
    assert room.fan is not None
    fan, (outdoor_ratio, density), (taken_up, less) = FanRows(*room.fan), outdoors, vapour
    side_ratio = set_humidity_ratio(1.0, cold_c[0], pressure_pa)
    set_ratio = set_humidity_ratio(fan.humidity, cold_c[1], pressure_pa)
    gain = taken_up - less * set_ratio - room.condensing_kg_s * np.maximum(set_ratio - side_ratio, 0.0)
    most = fan.flow_m3_s * density
    air_kg_s = air_to_bring(gain, change_kg_s, set_ratio, outdoor_ratio, most)
    return air_kg_s, np.asarray(fan.power_w * air_kg_s / np.where(most > 0.0, most, 1.0))


def advance_with_dryer(
    vapour: VapourBalance, ratio: Array, hours: Sequence[int], new_ratios: Array, dry_ratios: Array
) -> tuple[Array, Array]:
    """Step the air's humidity through some steps with a dehumidifier in it.

    Parameters
    ----------
    vapour : VapourBalance
        The balance of the interval, with a dehumidifier.
    ratio : Array, shape (column,)
        Humidity ratio before the first step [kg/kg].
    hours : sequence of int
        Each step's hour, as row of `dry_gain`.
    new_ratios, dry_ratios : Array, shape (step, column)
        Receive the humidity ratio after each step, and what it would be without condensation on the coldest side.

    Returns
    -------
    removed_kg_s, electric_w : Array, shape (step, column)
        Vapour taken [kg/s], and electric power [W].
    """
    dryer = vapour.dryer
    assert dryer is not None
    removed, electric = np.empty_like(new_ratios), np.empty_like(new_ratios)
    for step, hour in enumerate(hours):
        dry = vapour.dry_share * ratio + vapour.dry_gain[hour]
        removed[step] = dryer.vapour_kg_s(dry)
        dry_ratios[step] = dry - removed[step] / dryer.demand_kg_s
        wet = vapour.wet_share * dry_ratios[step] + vapour.wet_gain
        new_ratios[step] = np.minimum(np.minimum(wet, vapour.saturation_ratio), dry_ratios[step])
        electric[step] = dryer.electric_w(removed[step])
        ratio = new_ratios[step]
    return removed, electric


def heat_of_drying(removed_kg_s: Numbers, electric_w: Numbers) -> Array:
    """Heat that a dehumidifier gives to the air: its electricity, and the latent heat of what it takes. [W]"""
    return np.asarray(np.multiply(CONDENSATION_J_PER_KG, removed_kg_s) + electric_w)
