"""The verdict on each inhabitant: whether water and air are warm enough for it, for how many hours not, and since when.

An animal, or a plant's roots, are judged at the lowest water that they stand for a season, as a grower does who only
wants them alive in spring; the minimum water temperature of the plan decides whether they feed and grow. A plant's
leaves are judged at the lowest air that they stand. A limit is not met from the first hour below it.
"""

from __future__ import annotations

import numpy as np

from thermal import data
from thermal.analysis.case import SimulationCase, WinterHours
from thermal.analysis.verdict_results import InhabitantVerdict, Verdict
from thermal.core.arrays import Array
from thermal.data import Species
from thermal.physics.night_cover import covered_air_share
from thermal.plan.model import Plan

PLANT = "plant"
NIGHT_HOURS = (*range(20, 24), *range(8))  # a cover of the night is on, as in the solver
ROUNDING_K = 1e-6  # a thermostat at the limit keeps the water at it to rounding only
NOT_NAMED = "plants (not named)"
NOT_NAMED_C = 0.0  # water and air at which plants without a name are judged: they are not to freeze


def inhabitants(plan: Plan) -> list[Species]:
    """Animals and plants of a plan: those it names, and plants without a name where it has beds but names no plant."""
    named = list({species.name: species for species in plan.keep.limits}.values())
    if plan.beds and not any(species.kind == PLANT for species in named):
        limit = NOT_NAMED_C
        named.append(
            Species(NOT_NAMED, PLANT, limit, limit, (limit, limit), plan.keep.upper_c, "", limit, "", limit, "")
        )
    return named


def judge_inhabitants(case: SimulationCase, hours: WinterHours, winter: int) -> Verdict:
    """The verdict on every inhabitant in one winter.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    hours : WinterHours
        The winter hour by hour, with the recommended heaters on.
    winter : int
        Its index.

    Returns
    -------
    Verdict
        Without remedies and other plants.
    """
    season, air = case.weather.winters[winter], air_at_plants(case, hours)
    times = season.times()

    def first(below: Array) -> str | None:
        """The first hour of some, as text."""
        return times[int(np.argmax(below))].isoformat() if below.any() else None

    rows = []
    for species in inhabitants(case.plan):
        water = water_around(case, hours, species.kind)
        cold_water = water < species.lowest_water_c - ROUNDING_K
        cold_air = air < (-np.inf if species.lowest_air_c is None else species.lowest_air_c)
        is_plant = species.lowest_air_c is not None
        rows.append(
            InhabitantVerdict(
                name=species.name,
                kind=species.kind,
                water_ok=not cold_water.any(),
                air_ok=not cold_air.any() if is_plant else None,
                hours_water=float(cold_water.sum()),
                hours_air=float(cold_air.sum()) if is_plant else None,
                coldest_air_c=float(air.min()),
                coldest_water_c=float(water.min()),
                lowest_water_c=float(species.lowest_water_c),
                lowest_air_c=species.lowest_air_c,
                water_below_at=first(cold_water),
                air_below_at=first(cold_air),
                frost_hours=float((air < 0.0).sum()),
                winter=season.label,
            )
        )
    return Verdict(tuple(rows))


def air_around(case: SimulationCase, hours: WinterHours) -> Array:
    """Mean air temperature of each hour around tanks and beds: of the hut, the room, or as given, (hour,). [degC]"""
    air = case.network.room_air
    if air is None or air.node is None:
        return np.array(case.plan.room.given_by_hour_c)[hours.hour_of_day]
    return hours.mean(air.node)


def air_at_plants(case: SimulationCase, hours: WinterHours) -> Array:
    """Air around the plants in each hour: at night that under their cover, where every bed has one, (hour,). [degC]

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    hours : WinterHours
        The winter hour by hour.
    """
    air, beds = air_around(case, hours), case.plan.beds
    if not has_night_cover(case.plan):
        return air
    # The resistance of the bed's surface is that by day: at night the cover is part of `night_lid_r_m2k_per_w`.
    fill_r = max(bed.lid_r_m2k_per_w for bed in beds)
    cover_r = min(bed.night_lid_r_m2k_per_w - bed.lid_r_m2k_per_w for bed in beds)
    under = air + float(covered_air_share(fill_r, cover_r)) * (water_around(case, hours, PLANT) - air)
    return np.where(np.isin(hours.hour_of_day, NIGHT_HOURS), under, air)


def has_night_cover(plan: Plan) -> bool:
    """Whether every bed has a cover that is on at night only."""
    return bool(plan.beds) and all(bed.night_lid_r_m2k_per_w > bed.lid_r_m2k_per_w for bed in plan.beds)


def water_around(case: SimulationCase, hours: WinterHours, kind: str) -> Array:
    """Water at the end of each hour: of the beds for plants where there are beds, or else of the tank, (hour,). [degC]

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    hours : WinterHours
        The winter hour by hour.
    kind : str
        "plant", or an animal.
    """
    vessels = case.network.vessels
    assert vessels is not None
    return hours.end(vessels.in_circuit[0 if kind == PLANT else -1], vessels.water_nodes)


def plants_that_stand(case: SimulationCase, verdict: Verdict) -> tuple[str, ...]:
    """Plants of `species.toml`, other than those kept, that stand the air and the bed water of a verdict.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    verdict : Verdict
        Of its inhabitants, one plant at least.

    Returns
    -------
    tuple of str
        The most cold-hardy first.
    """
    plant = next(item for item in verdict.inhabitants if item.kind == PLANT)
    kept = {item.name for item in verdict.inhabitants}
    rows = {species.name: species for species in data.species().values() if species.kind == PLANT}
    standing = [
        (species.lowest_air_c, name)
        for name, species in rows.items()
        if species.lowest_air_c is not None
        and species.lowest_air_c <= plant.coldest_air_c
        and species.lowest_water_c <= plant.coldest_water_c
        and name not in kept
    ]
    return tuple(name for _, name in sorted(standing))
