"""Price of another way to heat or run a system."""

from __future__ import annotations

from thermal.data.other_ways import other_ways, price_currencies
from thermal.plan.model import Plan


def price_of_way(plan: Plan, name: str, needed_w: float | None) -> float | None:
    """Price of another way: the plan's own, or else the usual one for its size. [currency]

    Parameters
    ----------
    plan : Plan
        The plan changed to that way, for its hut, its tanks and its own prices.
    name : str
        Name of the way.
    needed_w : float or None
        Heater needed that way [W]; None where no heater is enough.

    Returns
    -------
    float or None
        None where the plan gives no price and no usual price is known: an unknown way, or a currency whose unit buys
        more or less than a dollar.
    """
    own = dict(plan.way_costs)
    if name in own:
        return own[name]
    row = other_ways().get(name)
    if row is None or plan.power.currency.upper() not in price_currencies():
        return None
    return row.fixed + row.per_kw * (needed_w or 0.0) / 1000.0 + row.per_m2 * _area_m2(plan, row.area)


def _area_m2(plan: Plan, area: str) -> float:
    """Walls and roof of the hut, or the surface of the tanks; 0 for neither. [m2]"""
    if area == "hut" and plan.hut is not None:
        return plan.hut.skin_m2
    return sum(tank.surface_m2 for tank in plan.tanks) if area == "water" else 0.0
