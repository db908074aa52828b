"""Warnings about values that are possible but rarely intended, such as a price in cents or a pump without flow."""

from __future__ import annotations

from thermal.analysis.results import PlanWarning
from thermal.analysis.thin_claims import thin_claims
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Plan

HIGH_PRICE = 2.0  # per kWh, in the currencies below; households pay 0.1 to 0.5, common practice, no source
DOLLAR_LIKE = frozenset({"USD", "EUR", "GBP", "CHF", "CAD", "AUD"})


def odd_values(plan: Plan) -> list[PlanWarning]:
    """A warning for each value of the plan that is probably a mistake."""
    return [warning for rule in (_claims, _price, _pump, _pipes, _frames, _temperatures) for warning in rule(plan)]


def _claims(plan: Plan) -> list[PlanWarning]:
    """Warnings about R-values that no material has."""
    return [PlanWarning(*warning) for warning in thin_claims(plan)]


def _price(plan: Plan) -> list[PlanWarning]:
    """Warnings about a price of zero, or of cents written as whole currency."""
    power = plan.power
    prices = [power.price, *(period.price for period in power.periods), *(price for _, price in power.tiers)]
    if max(prices) == 0.0:
        return [PlanWarning("price-zero", "The price of electricity is 0, so every cost is 0. Set [power] price.")]
    if power.currency.upper() in DOLLAR_LIKE and max(prices) > HIGH_PRICE:
        return [
            PlanWarning(
                "price-high",
                f"The price of {max(prices):g} {power.currency} per kWh is very high. If it is in cents, divide it by"
                " 100.",
            )
        ]
    return []


def _pump(plan: Plan) -> list[PlanWarning]:
    """A warning about beds without flow."""
    if not plan.beds or plan.pump.flow_m3_s > 0.0:
        return []
    return [
        PlanWarning(
            "no-flow",
            "The pump's flow is 0, so no heat of the tank reaches the beds. Set [pump] flow.",
        )
    ]


def _pipes(plan: Plan) -> list[PlanWarning]:
    """A warning about pipes through which no water runs."""
    if not plan.pipes or plan.pump.circulating_share > 0.0:
        return []
    return [
        PlanWarning(
            "pipe-no-flow",
            "No water runs through the pipes, so they lose no heat here. Set [pump] flow and hours.",
        )
    ]


def _frames(plan: Plan) -> list[PlanWarning]:
    """A warning about vessels on frames that need more floor than the room has."""
    units = UNIT_SYSTEMS[plan.units]
    on_frames = sum(vessel.bottom_m2 for vessel in plan.tanks + plan.beds if vessel.base == "frame")
    if on_frames <= plan.room.floor_m2:
        return []
    taken, floor = (units.text("area", area) for area in (on_frames, plan.room.floor_m2))
    return [
        PlanWarning(
            "frames-over-floor",
            f"Tanks and beds on frames take {taken}, more than the floor of the room ({floor}). Check sizes and count,"
            " unless they stand above one another.",
        )
    ]


def _temperatures(plan: Plan) -> list[PlanWarning]:
    """A warning about a minimum water temperature above the highest one."""
    keep, units = plan.keep, UNIT_SYSTEMS[plan.units]
    if keep.floor_c <= keep.upper_c:
        return []
    coldest, warmest = (units.text("temperature", celsius) for celsius in (keep.floor_c, keep.upper_c))
    return [
        PlanWarning(
            "minimum-above-warmest",
            f"The minimum water temperature of {coldest} is above the warmest water allowed, {warmest}. Lower [keep]"
            " floor, or raise upper.",
        )
    ]
