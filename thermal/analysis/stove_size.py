"""The smallest stove that overwinters alone, and how long the water lasts once it is out."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from thermal.analysis.case import SimulationCase, network_of
from thermal.analysis.lighter_case import in_winters
from thermal.analysis.unpowered_plan import HORIZON_H
from thermal.climate.cold_spells import coldest_winters
from thermal.climate.heating_seasons import excerpt
from thermal.core.arrays import Array
from thermal.core.root_search import smallest_feasible
from thermal.network.model import Network
from thermal.plan.model import Plan
from thermal.plan.other_heat import Stove, stove_source
from thermal.solver.results import OutputRequest
from thermal.solver.simulate import simulate

TOLERANCE_W, MARGIN_K = 20.0, 0.01  # of the stove's power; above the minimum, so that no heater is needed beside it
LARGEST_W = 300e3  # of a stove that is looked for
POINTS = 9  # powers that are tried together first


def least_stove(case: SimulationCase, stove: Stove) -> float:
    """Smallest power in a stove's hours that keeps the minimum without a heater, infinite if none does. [W]

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    stove : Stove
        Its hours.

    Notes
    -----
    It is lit every day, with the same power in all its hours. It is looked for in the coldest winters and the rare cold
    spell that heaters are sized for, and again in all winters where it is too small for one.
    """
    cold = _size_in(case, stove, in_winters(case, coldest_winters(case.weather)), 0.0)
    if not np.isfinite(cold) or _margin(case, stove, [case], np.array([cold]))[0] >= 0.0:
        return cold
    return _size_in(case, stove, case, cold)


def _size_in(case: SimulationCase, stove: Stove, recorded: SimulationCase, low_w: float) -> float:
    """The stove for some winters and the rare cold spell, at least as large as `low_w`. [W]"""
    cases = [item for item in (recorded, case.in_rare_cold) if item is not None]

    def margin(index: Array, watts: Array) -> Array:
        return np.reshape(_margin(case, stove, cases, watts.ravel()), watts.shape)

    size_w = smallest_feasible(
        margin, np.array([low_w]), np.array([LARGEST_W]), TOLERANCE_W, False, (0.01, 0.15), POINTS
    )
    return float(size_w[0])


def _margin(case: SimulationCase, stove: Stove, cases: list[SimulationCase], watts: Array) -> Array:
    """Coldest water over all cases with stoves of some powers, less the minimum and a margin, (power,). [K]"""
    network = _with_stoves(case, stove, watts)
    off = case.heaters(np.zeros(len(watts)))
    coldest = [item.simulate(off, network=network).coldest_c.min(axis=1) for item in cases]
    return np.asarray(np.min(coldest, axis=0) - case.plan.keep.floor_c - MARGIN_K)


def _with_stoves(case: SimulationCase, stove: Stove, watts: Array) -> Network:
    """The plan's network with each of some stoves, one design for each power."""
    each = network_of(replace(case.plan, tried=stove_source(stove, 1.0)), case.weather)
    heat = each.source_w - case.network.source_w
    many = case.network.take(np.zeros(len(watts), dtype=int))
    return replace(many, source_w=many.source_w + heat * watts)


def hours_after(case: SimulationCase, plan: Plan, winters: Array) -> list[Array]:
    """Hours from a stove's going out until the water is at its minimum, if it is not lit again. [h]

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    plan : Plan
        The plan with the stove, which is lit on all days before, and no heater.
    winters : Array of int
        Winters whose days count.

    Returns
    -------
    list of Array, shape (day,)
        For each winter; infinite if longer than a week, 0 where the water is colder already.
    """
    assert plan.tried is not None
    running = np.flatnonzero(plan.tried.hours)
    out_h = running[-1] + plan.tried.hours[running[-1]]
    own = replace(in_winters(case, winters), plan=plan, network=network_of(plan, case.weather))
    wanted = OutputRequest(hourly=("mean_c", "water_c"))
    run = own.simulate(own.heaters(np.zeros(1)), hourly_output=True, request=wanted)
    assert run.hourly_output is not None
    begin = run.hourly_output.mean_c.copy()
    assert own.network.vessels is not None
    begin[:, list(own.network.vessels.water_nodes)] = run.hourly_output.water_c
    lasts = []
    for winter, season in enumerate(own.weather.winters):
        midnight = np.arange(24, season.hours, 24)
        forcing = excerpt(own.weather, np.full(len(midnight), winter), own.weather.spin_up_h + midnight, HORIZON_H)
        start_c = np.moveaxis(begin[midnight - 1, :, winter], 0, -1)[:, None]
        after = simulate(
            case.network, forcing, own.heaters(np.zeros(1)), plan.keep.floor_c, start_c=start_c,
            request=OutputRequest(first_below=True),
        )  # fmt: skip
        evenings = run.hourly_output.water_c[: season.hours, -1, winter].reshape(-1, 24)[: len(midnight)]
        lasts.append(_from_going_out(evenings < plan.keep.floor_c, out_h, after.first_below_h[0]))
    return lasts


def _from_going_out(too_cold: Array, out_h: float, after_midnight_h: Array) -> Array:
    """Hours from going out to the minimum, from the ends of each evening's hours and the time after midnight. [h]"""
    hours = 24.0 - out_h + after_midnight_h
    for hour in range(23, math.ceil(out_h) - 2, -1):
        hours = np.where(too_cold[:, hour], max(hour + 1.0 - out_h, 0.0), hours)
    return np.asarray(hours)
