"""Ways to keep the air around plants warm enough, each simulated with the heater that it needs, and price_text.

Heat in the room's air instead of the water, a hut round the system, both together, or a cover over the beds at night.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

import numpy as np

from thermal.analysis.case import Batch, SimulationCase, group_by_topology, network_of, topology_key, winter_hours
from thermal.analysis.heater_sizing import ROUNDING_K, Sizing, size_heaters, verify_on_winters
from thermal.analysis.heater_units import installed_heaters, watts_to_buy
from thermal.analysis.hut_around import HUT_BUILD, Way, hut_round, hut_size, with_hut
from thermal.analysis.verdict import air_at_plants, has_night_cover
from thermal.analysis.verdict_results import InhabitantVerdict, Remedy
from thermal.analysis.winter_pieces import simulate_in_pieces
from thermal.analysis.winter_totals import heater_months
from thermal.core.arrays import Array
from thermal.network.build import plan_envelope
from thermal.network.model import Control
from thermal.plan.model import Plan
from thermal.plan.reader import variant
from thermal.solver.results import HourlyOutput

COVER = "loose lid"  # the preset of the water's covers that stands for a sheet of bubble wrap over the plants
FOAM_HUT = "foam hut"
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
    size = hut_size(plan, tent) + (", without the fan" if plan.fan else "")
    ways: list[Way] = [
        (f"{HUT_BUILD} round the system", size, with_hut(plan, tent)),
        (f"{FOAM_HUT} round the system", size, with_hut(plan, foam)),
    ]
    if in_air:
        ways.append((f"{HUT_BUILD} with a heater in its air", size, {**with_hut(plan, tent), **in_air}))
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


def first_that_helps(
    case: SimulationCase, ladder: Sequence[Way], cold: tuple[InhabitantVerdict, ...], median: int
) -> Remedy | None:
    """The first way of a ladder that keeps the air warm enough; None where none does.

    Ways that follow one another and have the same network topology are simulated together.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate, in the winters that remedies are found in.
    ladder : sequence of (str, str, dict)
        Of `remedy_ladders`.
    cold : tuple of InhabitantVerdict
        The plants whose air is too cold.
    median : int
        Index of the typical winter of the plan as written.
    """
    changed = [remedied_case(case, way) for way in ladder]
    topologies = [(own.plan.heater.where, topology_key(own.network)) for own in changed]
    for _, numbers in groupby(range(len(ladder)), key=topologies.__getitem__):
        chosen = list(numbers)
        remedies = _remedies([ladder[i] for i in chosen], [changed[i] for i in chosen], median)
        helpful = next((remedy for remedy in remedies if remedy and helps(remedy, cold)), None)
        if helpful:
            return helpful
    return None


def _remedies(ways: Sequence[Way], changed: Sequence[SimulationCase], median: int) -> list[Remedy | None]:
    """Ways of one network topology, simulated together; None where no heater keeps the water at its minimum."""
    batch = group_by_topology([case.plan for case in changed], changed[0].weather)[0]
    sizing = size_heaters(batch, changed[0].design)
    hourly, margins = _simulate(batch, sizing, changed)
    if (margins < 0).any():
        sizing = verify_on_winters(batch, sizing, margins)
        hourly, _ = _simulate(batch, sizing, changed)
    winters, remedies = range(len(batch.weather.winters)), list[Remedy | None]()
    for i, (way, case, needed_w) in enumerate(zip(ways, changed, sizing.needed_w, strict=True)):
        hours = [winter_hours(case, hourly, winter, len(ways) + i) for winter in winters]
        heat_w = hours[median].hourly_output.heater_w[:, hours[median].column]
        kwh, cost = (float(by_month.sum()) for by_month in heater_months(case, heat_w, median))
        coldest_c = min(float(air_at_plants(case, winter).min()) for winter in hours)
        known = np.isfinite(needed_w)
        remedies.append(Remedy(way[0], way[1], float(needed_w), kwh, cost, coldest_c) if known else None)
    return remedies


def _simulate(batch: Batch, sizing: Sizing, changed: Sequence[SimulationCase]) -> tuple[HourlyOutput, Array]:
    """Hours of all designs with the heater needed, then with those installed, and the margins of the first.

    The margins, shape (design, winter), are those of the coldest water above the minimum; 0 where no heater is enough
    [K].
    """
    known = np.isfinite(sizing.needed_w)
    needed = np.where(known, sizing.needed_w, 0.0)
    bought = [
        sum(installed_heaters(plan, watts_to_buy(plan, float(watts))))
        for plan, watts in zip(batch.plans, needed, strict=True)
    ]
    both = np.tile(np.arange(len(needed)), 2)
    control = Control(sizing.setpoint_c[:, both], np.append(needed, bought), np.zeros(len(both)))
    (hourly,) = simulate_in_pieces(batch.network.take(both), [batch.weather], control, batch.floor_c[both])
    coldest_c = [
        [winter_hours(case, hourly, winter, i).tank_c.min() for winter in range(len(batch.weather.winters))]
        for i, case in enumerate(changed)
    ]
    margins = np.array(coldest_c) - batch.floor_c[:, None] + ROUNDING_K
    return hourly, np.where(known[:, None], margins, 0.0)


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
