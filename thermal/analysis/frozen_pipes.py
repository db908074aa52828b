"""Pipes that freeze while the pump is off, and the heat cable that keeps them from it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal.analysis.case import SimulationCase, WinterHours, hours_of
from thermal.core.arrays import Array
from thermal.network.pipes import air_around, linear_transmittance
from thermal.physics.bed_heat_capacity import water_capacity
from thermal.physics.constants import RHO_WATER
from thermal.physics.pipe_freezing import cooling_time, freezing_time
from thermal.plan.structure import Pipe
from thermal.solver.results import SimulationResult

CABLE_C = 5.0  # thermostat of a frost cable: common practice, no source


@dataclass(frozen=True)
class FrozenPipe:
    """One pipe with its water standing, in the air of the winter that is coldest for it, heaters as recommended.

    Attributes
    ----------
    name : str
        Its name.
    winter : str
        The winter.
    coldest_air_c : float
        Coldest hour of the air around it [degC].
    hours_frozen : float
        Hours of that winter in which water that stands in it all winter would be at 0 degC or below [h].
    hours_to_ice, hours_to_solid : float or None
        Hours from a stop of the pump until ice begins, and until it is frozen through, were the air to stay at its
        coldest [h]; None where that air is not below 0 degC.
    cable_w_per_m, cable_w : float
        Heat that holds it at 5 degC then, for each metre [W/m] and for all of it [W].
    """

    name: str
    winter: str
    coldest_air_c: float
    hours_frozen: float
    hours_to_ice: float | None
    hours_to_solid: float | None
    cable_w_per_m: float
    cable_w: float


def frozen_pipes(case: SimulationCase, shown: SimulationResult) -> tuple[FrozenPipe, ...]:
    """Every pipe of a plan; none where it has none.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    shown : SimulationResult
        Its simulation, hour by hour.
    """
    winters = range(len(case.weather.winters)) if case.plan.pipes else ()
    hours = [hours_of(case, shown, winter) for winter in winters]
    return tuple(_pipe(case, pipe, hours) for pipe in case.plan.pipes)


def _pipe(case: SimulationCase, pipe: Pipe, winters: list[WinterHours]) -> FrozenPipe:
    """One pipe in the winter whose air around it is coldest."""
    air = [_air(case, pipe, hours) for hours in winters]
    winter = int(np.argmin([one_air.min() for one_air in air]))
    coldest_c, water_m3 = float(air[winter].min()), pipe.water_m3 / pipe.length_m
    capacity, transmittance = float(water_capacity(water_m3)), linear_transmittance(pipe)
    to_ice_s = float(cooling_time(case.plan.keep.floor_c, coldest_c, capacity, transmittance))
    solid_s = float(freezing_time(coldest_c, RHO_WATER * water_m3, transmittance))
    freezes = coldest_c < 0.0
    cable = transmittance * max(CABLE_C - coldest_c, 0.0)
    return FrozenPipe(
        name=pipe.name,
        winter=case.weather.winters[winter].label,
        coldest_air_c=coldest_c,
        hours_frozen=float((_standing(air[winter], 3600.0 * transmittance / capacity) <= 0.0).sum()),
        hours_to_ice=to_ice_s / 3600.0 if freezes else None,
        hours_to_solid=(to_ice_s + solid_s) / 3600.0 if freezes else None,
        cable_w_per_m=cable,
        cable_w=cable * pipe.length_m,
    )


def _air(case: SimulationCase, pipe: Pipe, hours: WinterHours) -> Array:
    """Air around a pipe in each hour of a winter, (hour,). [degC]"""
    node, nodes = air_around(case.plan, pipe), case.network.nodes
    if node in nodes:
        return hours.mean(nodes.index(node))
    return np.array(case.plan.room.given_by_hour_c)[hours.hour_of_day]


def _standing(air_c: Array, rate_per_h: float) -> Array:
    """Temperature of standing water that follows the air, heat of freezing left out, (hour,). [degC]"""
    kept, water = float(np.exp(-rate_per_h)), float(air_c[0])
    water_c = np.empty(len(air_c))
    for hour, air in enumerate(air_c.tolist()):
        water = water_c[hour] = air + (water - air) * kept
    return water_c
