"""Ways to keep the air around plants warm enough, each simulated with the heater that it needs, and priced.

Heat in the room's air instead of the water, a hut round the system, both together, or a cover over the beds at night.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thermal.analysis.alternatives import Way, hut_round
from thermal.analysis.case import INSTALLED, SimulationCase, hours_of, network_of
from thermal.analysis.results import HeaterChoice, WinterEnergy
from thermal.analysis.verdict import air_around, water_around
from thermal.analysis.verdict_results import InhabitantVerdict, Remedy
from thermal.core.arrays import Array
from thermal.network.build import plan_envelope
from thermal.physics.night_cover import covered_air_share
from thermal.plan.model import Plan
from thermal.plan.reader import variant
from thermal.solver.results import SimulationResult

NIGHT_HOURS = (*range(20, 24), *range(8))  # the cover is on, as the solver's night covers are
COVER = "loose lid"  # the preset of the water's covers that stands for a sheet of bubble wrap over the plants
TENT, FOAM_HUT = "bubble-wrap tent", "foam hut"
MOST_REMEDIES = 4  # shown, the cheapest in a typical winter first
COVERED = "night cover over the plants"


def remedy_ways(plan: Plan) -> list[Way]:
    """Ways to try for a plan whose plants are too cold: name, explanation, and settings; none in air as given."""
    if plan.room.temperature_c is not None:
        return []
    in_air: dict[str, object] = {"heater.where": "room", "heater.units": []}
    heats_water = plan.heater.where == "water" and plan.keep.cheap_c is None
    ways: list[Way] = []
    if plan.hut is None:
        if heats_water:
            ways.append(("heat the room instead", "a heater in the room's air keeps water and air warm", in_air))
        if not plan.room.leakage_area_cm2:
            huts = [(build, {**hut_round(plan), "build": build}) for build in (TENT, FOAM_HUT)]
            ways += [(f"{build} round the system", "the water's heat warms its air", {"hut": hut}) for build, hut in huts]
            tent, heated = huts[0]
            if heats_water:
                meaning = f"a heater in the air of the {tent} keeps water and air warm"
                ways.append((f"{tent}, and heat its air", meaning, {"hut": heated, **in_air}))
    else:
        if heats_water:
            ways.append(("heat the hut's air instead", "a heater in its air keeps water and air warm", in_air))
        if plan.hut.build != FOAM_HUT:
            ways.append((f"{FOAM_HUT} round the system", "in place of the hut", {"hut.build": FOAM_HUT}))
    if plan.beds:
        ways.append((COVERED, "bubble wrap on hoops over the beds 20:00-8:00", {"bed.night_top": COVER}))
    return ways


def remedied_case(case: SimulationCase, way: Way) -> SimulationCase:
    """The plan with a way's settings, in the same weather.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    way : Way
        Of `remedy_ways`.
    """
    plan = variant(case.plan, way[2])
    envelope = plan_envelope(plan, case.weather.pressure_pa)
    return replace(case, plan=plan, network=network_of(plan, case.weather), envelope=envelope)


def remedy_of(
    way: Way, changed: SimulationCase, heater: HeaterChoice, shown: SimulationResult, season: WinterEnergy, median: int
) -> Remedy:
    """What a way needs and costs, and how cold the air around the plants then gets.

    Parameters
    ----------
    way : Way
        Of `remedy_ways`.
    changed : SimulationCase
        Of `remedied_case`.
    heater : HeaterChoice
        Its heater.
    shown : SimulationResult
        Hourly simulation of its designs (unheated, installed, ...).
    season : WinterEnergy
        Its energy and cost.
    median : int
        Index of the typical winter of the plan as written.
    """
    winters = range(len(changed.weather.winters))
    coldest = min(float(_air_of(way, changed, shown, winter).min()) for winter in winters)
    bill = season.winter_costs[median]
    return Remedy(way[0], way[1], heater.needed_w, bill.kwh, bill.cost, coldest)


def helpful(remedies: list[Remedy], cold: tuple[InhabitantVerdict, ...]) -> tuple[Remedy, ...]:
    """The remedies with which no plant's air is too cold, the cheapest first.

    Parameters
    ----------
    remedies : list of Remedy
        All that were simulated.
    cold : tuple of InhabitantVerdict
        The plants whose air is too cold.
    """
    lowest_c = max(item.lowest_air_c for item in cold if item.lowest_air_c is not None)
    good = [remedy for remedy in remedies if remedy.coldest_air_c >= lowest_c]
    return tuple(sorted(good, key=lambda remedy: remedy.cost)[:MOST_REMEDIES])


def _air_of(way: Way, changed: SimulationCase, shown: SimulationResult, winter: int) -> Array:
    """Air around the plants in each hour of a winter: at night that under their cover, if they have one. [degC]"""
    hours = hours_of(changed, shown, winter, INSTALLED)
    air = air_around(changed, hours)
    if way[0] != COVERED:
        return air
    # The resistance of the bed's surface is that by day: at night the cover is part of `night_lid_r_m2k_per_w`.
    beds = changed.plan.beds
    fill_r = max(bed.lid_r_m2k_per_w for bed in beds)
    cover_r = min(bed.night_lid_r_m2k_per_w - bed.lid_r_m2k_per_w for bed in beds)
    share = float(covered_air_share(fill_r, max(cover_r, 0.0)))
    under = air + share * (water_around(changed, hours, "plant") - air)
    return np.where(np.isin(hours.hour_of_day, NIGHT_HOURS), under, air)
