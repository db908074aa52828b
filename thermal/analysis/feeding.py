"""When heated water is too cold for the bacteria of the filter, and for animals to be fed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal.analysis.case import SimulationCase, hours_of
from thermal.climate.heating_seasons import month_of_hours
from thermal.core.arrays import Array
from thermal.physics.nitrification import nitrification_share
from thermal.solver.results import SimulationResult

HALF, QUARTER = 0.5, 0.25


@dataclass(frozen=True)
class FeedingStop:
    """When one animal is not to be fed.

    Attributes
    ----------
    species : str
        Its name.
    stop_below_c : float
        Water below which it no longer feeds and grows, `working` of the species table [degC].
    hours : float
        Hours of the typical winter below that [h].
    months : tuple of str
        Months whose mean is below that.
    """

    species: str
    stop_below_c: float
    hours: float
    months: tuple[str, ...]


@dataclass(frozen=True)
class MonthOfWater:
    """The tank in one month, with the installed heaters on.

    Attributes
    ----------
    month : str
        Year and month.
    mean_c : float
        Its mean temperature [degC].
    nitrification : float
        Mean rate of the bacteria, as a share of that at 25 degC [-].
    hours_below_half, hours_below_quarter : float
        Hours in which they have less than a half, and less than a quarter, of it [h].
    """

    month: str
    mean_c: float
    nitrification: float
    hours_below_half: float
    hours_below_quarter: float


@dataclass(frozen=True)
class Feeding:
    """Bacteria and feeding in the typical winter, with the installed heaters on.

    Attributes
    ----------
    months : tuple of MonthOfWater
        Each month.
    hours_below_half, hours_below_quarter : float
        Hours with less than a half, and a quarter, of the nitrification at 25 degC [h].
    animals : tuple of FeedingStop
        Each animal that the plan names.
    """

    months: tuple[MonthOfWater, ...]
    hours_below_half: float
    hours_below_quarter: float
    animals: tuple[FeedingStop, ...]


def feeding(case: SimulationCase, shown: SimulationResult, winter: int) -> Feeding:
    """Bacteria and feeding through one winter.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    shown : SimulationResult
        Its simulation, hour by hour.
    winter : int
        Index of the winter.
    """
    nodes = case.network.vessels.water_nodes if case.network.vessels else ()
    tank_c = hours_of(case, shown, winter).end(nodes[-1], nodes)
    label = np.array(month_of_hours(case.weather.winters[winter].times()))
    months = tuple(_month(name, tank_c[label == name]) for name in dict.fromkeys(label.tolist()))
    animals = tuple(
        FeedingStop(
            species.name,
            species.working_c,
            float((tank_c < species.working_c).sum()),
            tuple(month.month for month in months if month.mean_c < species.working_c),
        )
        for species in case.plan.keep.limits
        if species.lowest_air_c is None
    )
    half = sum(month.hours_below_half for month in months)
    return Feeding(months, half, sum(month.hours_below_quarter for month in months), animals)


def _month(name: str, tank_c: Array) -> MonthOfWater:
    """One month from the tank at the end of its hours."""
    share = nitrification_share(tank_c)
    below = [float(np.count_nonzero(share < limit)) for limit in (HALF, QUARTER)]
    return MonthOfWater(name, float(tank_c.mean()), float(share.mean()), *below)
