"""What many winters say of chances: a typical winter, one in ten, the worst on record, and how often heat is needed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal.analysis.results import UnheatedWinter, WinterEnergy

MANY = 5  # more winters than this are shown by four of them
ENOUGH = 10  # complete winters from which one in ten is read
IN_TEN = 0.9  # share of the winters that are milder than one in ten
COLDEST, TYPICAL, DEAREST, MILDEST = "coldest", "typical", "dearest", "mildest"


@dataclass(frozen=True)
class HardWinter:
    """Figures of a winter, each ranked on its own: one winter need not have them all.

    Attributes
    ----------
    coldest_outdoors_c, coldest_unheated_c : float
        Coldest hour outdoors, and coldest tank without a heater [degC].
    hours_below : float
        Hours with the tank below its minimum without a heater [h].
    kwh, cost : float
        The heater's energy [kWh] and its cost with the standing charge [currency].
    """

    coldest_outdoors_c: float
    coldest_unheated_c: float
    hours_below: float
    kwh: float
    cost: float


@dataclass(frozen=True)
class Chances:
    """What the complete winters of a weather file say of chances, at the likely values of the plan.

    Attributes
    ----------
    winters : int
        Number of complete winters.
    missed : int
        Number of those in which the tank falls below its minimum without a heater.
    typical, one_in_ten, worst : HardWinter
        Median of each figure, the value that one winter in ten exceeds, and the worst on record.
    worst_label : str
        The winter with the most heating.
    """

    winters: int
    missed: int
    typical: HardWinter
    one_in_ten: HardWinter
    worst: HardWinter
    worst_label: str


def chances(unheated: tuple[UnheatedWinter, ...], season: WinterEnergy) -> Chances | None:
    """Chances from the complete winters; None where there are fewer than ten.

    Parameters
    ----------
    unheated : tuple of UnheatedWinter
        Each winter without a heater.
    season : WinterEnergy
        Energy and cost of each winter.

    Notes
    -----
    The value that one winter in ten exceeds lies between those of two winters: at rank 1 + 0.9 (n - 1) of n, from the
    mildest.

    Source: sample quantile of definition 7 in R. J. Hyndman and Y. Fan, Sample Quantiles in Statistical Packages, The
    American Statistician 50 (1996) 361-365.
    """
    whole = [(cold, bill) for cold, bill in zip(unheated, season.winter_costs, strict=True) if bill.complete]
    if len(whole) < ENOUGH:
        return None
    figures = np.array(  # the larger, the harder
        [(-cold.coldest_outdoors_c, -cold.coldest_c, cold.hours_below, bill.kwh, bill.cost) for cold, bill in whole]
    )

    def winter_at(share: float) -> HardWinter:
        outdoors, water, hours, kwh, cost = np.quantile(figures, share, axis=0).tolist()
        return HardWinter(-outdoors, -water, hours, kwh, cost)

    missed = sum(cold.hours_below > 0 for cold, _ in whole)
    worst = season.winter_costs[season.worst].label
    return Chances(len(whole), missed, winter_at(0.5), winter_at(IN_TEN), winter_at(1.0), worst)


def shown_winters(unheated: tuple[UnheatedWinter, ...], season: WinterEnergy, coldest: int) -> dict[int, list[str]]:
    """The winters that a short table shows, with what each is: the coldest, typical, dearest and mildest one.

    Parameters
    ----------
    unheated : tuple of UnheatedWinter
        Each winter without a heater.
    season : WinterEnergy
        Energy and cost of each winter.
    coldest : int
        Index of the coldest winter.

    Returns
    -------
    dict of int to list of str
        By index of the winter. Only complete winters are typical, dearest or mildest.
    """
    whole = [winter for winter, bill in enumerate(season.winter_costs) if bill.complete]
    shown: dict[int, list[str]] = {coldest: [COLDEST]}
    if not whole:
        return shown
    bills = season.winter_costs
    dearest = max(whole, key=lambda winter: (bills[winter].cost, -unheated[winter].coldest_c))
    mildest = min(whole, key=lambda winter: (bills[winter].kwh, -unheated[winter].coldest_c))
    for winter, name in ((season.median, TYPICAL), (dearest, DEAREST), (mildest, MILDEST)):
        shown.setdefault(winter, []).append(name)
    return shown
