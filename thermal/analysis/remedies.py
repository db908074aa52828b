"""Ways to keep the air around plants warm enough, each simulated with the heater that it needs, and price_text.

Heat in the room's air instead of the water, a hut round the system, both together, or a cover over the beds at night.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thermal.analysis.case import INSTALLED, SimulationCase, group_by_topology, hours_of, network_of
from thermal.analysis.heater_sizing import ROUNDING_K, size_heaters, verify_on_winters
from thermal.analysis.heater_units import installed_heaters, watts_to_buy
from thermal.analysis.hut_around import HUT_BUILD, Way, hut_round, hut_size
from thermal.analysis.results import WinterEnergy
from thermal.analysis.verdict import air_at_plants, has_night_cover
from thermal.analysis.verdict_results import InhabitantVerdict, Remedy
from thermal.network.build import plan_envelope
from thermal.network.model import Control
from thermal.plan.model import Plan
from thermal.plan.reader import variant
from thermal.solver.results import SimulationResult

COVER = "loose lid"  # the preset of the water's covers that stands for a sheet of bubble wrap over the plants
FOAM_HUT = "foam hut"
NEEDED = 0  # index of the design with the heater needed, before INSTALLED, in the simulation of a remedy
COVERED = "night cover over the plants"


def remedy_ladders(plan: Plan) -> list[list[Way]]:
    """Ways to try for a plan whose plants are too cold, in ladders of which only the first that helps is wanted.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    list of list of Way
        Name, explanation and settings of each; none where the room's air temperature is given.
    """
    if plan.room.temperature_c is not None:
        return []
    heats_water = plan.heater.where == "water" and plan.keep.cheap_c is None
    in_air: dict[str, object] = {"heater.where": "room", "heater.units": []}
    ladders: list[list[Way]] = []
    if heats_water:
        place = "room" if plan.hut is None else "hut"
        ladders.append([(f"heat the {place}'s air instead of the water", "", in_air)])
    ladders.append(_huts(plan, in_air if heats_water else {}))
    if plan.beds and not has_night_cover(plan):
        ladders.append([(COVERED, "bubble wrap on hoops, 20:00 to 8:00", {"bed.night_top": COVER})])
    return ladders


def _huts(plan: Plan, in_air: dict[str, object]) -> list[Way]:
    """Huts round the system, the simplest first; last a tent with its air heated, where the plan heats the water."""
    if plan.hut is not None:
        better: Way = (f"{FOAM_HUT} in place of the hut", "", {"hut.build": FOAM_HUT})
        return [] if plan.hut.build in (FOAM_HUT, "insulated closet") else [better]
    tent, foam = hut_round(plan, HUT_BUILD), hut_round(plan, FOAM_HUT)
    size = hut_size(plan, tent)
    ways: list[Way] = [
        (f"{HUT_BUILD} round the system", size, {"hut": tent}),
        (f"{FOAM_HUT} round the system", size, {"hut": foam}),
    ]
    if in_air:
        ways.append((f"{HUT_BUILD} with a heater in its air", size, {"hut": tent, **in_air}))
    return ways


def remedied_case(case: SimulationCase, way: Way) -> SimulationCase:
    """The plan with a way's settings, in the same weather.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    way : Way
        Of `remedy_ladders`.
    """
    plan = variant(case.plan, way[2])
    envelope = plan_envelope(plan, case.weather.pressure_pa)
    return replace(case, plan=plan, network=network_of(plan, case.weather), envelope=envelope)


def simulate_remedy(changed: SimulationCase) -> tuple[float, SimulationResult] | None:
    """The heater that a changed plan needs, and its hourly simulation.

    Parameters
    ----------
    changed : SimulationCase
        Of `remedied_case`.

    Returns
    -------
    (float, SimulationResult) or None
        Power of the heater needed [W], and the simulation of the designs (needed, installed); None where no heater
        keeps the water at its minimum.
    """
    batch = group_by_topology([changed.plan], changed.weather)[0]
    sizing = size_heaters(batch, changed.design)
    for _ in range(2):
        needed_w = float(sizing.needed_w[0])
        if not np.isfinite(needed_w):
            return None
        watts = np.array([needed_w, sum(installed_heaters(changed.plan, watts_to_buy(changed.plan, needed_w)))])
        setpoint_c = np.repeat(sizing.setpoint_c, len(watts), axis=1)
        run = changed.simulate(Control(setpoint_c, watts, np.zeros(len(watts))), hourly_output=True)
        margins = run.coldest_c[NEEDED : NEEDED + 1] - changed.plan.keep.floor_c + ROUNDING_K
        if (margins >= 0).all():
            break
        sizing = verify_on_winters(batch, sizing, margins)
    return needed_w, run


def remedy_of(
    way: Way, changed: SimulationCase, needed_w: float, run: SimulationResult, season: WinterEnergy, median: int
) -> Remedy:
    """What a way needs and costs, and how cold the air around the plants then gets.

    Parameters
    ----------
    way : Way
        Of `remedy_ladders`.
    changed : SimulationCase
        Of `remedied_case`.
    needed_w, run : float, SimulationResult
        Of `simulate_remedy`.
    season : WinterEnergy
        Its energy and cost.
    median : int
        Index of the typical winter of the plan as written.
    """
    winters = range(len(changed.weather.winters))
    coldest = min(float(air_at_plants(changed, hours_of(changed, run, winter, INSTALLED)).min()) for winter in winters)
    bill = season.winter_costs[median]
    return Remedy(way[0], way[1], needed_w, bill.kwh, bill.cost, coldest)


def helps(remedy: Remedy, cold: tuple[InhabitantVerdict, ...]) -> bool:
    """Whether the air is warm enough with a remedy, for every plant for which it was too cold.

    Parameters
    ----------
    remedy : Remedy
        The remedy.
    cold : tuple of InhabitantVerdict
        The plants whose air is too cold.
    """
    return all(item.lowest_air_c is None or remedy.coldest_air_c >= item.lowest_air_c for item in cold)
