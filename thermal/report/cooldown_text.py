"""Result of a cool-down test as a sentence and as JSON."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from thermal.analysis.cooldown_test import CooldownResult
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Plan


def cooldown_sentence(plan: Plan, rule: CooldownResult) -> str:
    """Measured heat loss beside the plan's, and what to do about the difference.

    Parameters
    ----------
    plan : Plan
        The plan, for its units.
    rule : CooldownResult
        Result of the test.
    """
    units_of = UNIT_SYSTEMS[plan.units]
    measured, dry = (units_of.text("conductance", value) for value in (rule.measured_w_per_k, rule.plan_dry_w_per_k))
    text = (
        f"Measured heat loss of the water: {measured} (time constant {rule.time_constant_h:,.0f} h). The plan's,"
        f" without evaporation, is {dry}."
    )
    if rule.measured_w_per_k < rule.plan_dry_w_per_k:
        return (
            f"{text} The plan loses too much: check its wall insulation, its covers, what tanks and beds stand on, and"
            " how much water it has."
        )
    rest = units_of.text("conductance", rule.measured_w_per_k - rule.plan_dry_w_per_k)
    return (
        f"{text} Evaporation should account for the other {rest}. If the water was covered, the plan loses too little:"
        " check its walls and covers."
    )


def cooldown_json(rule: CooldownResult) -> dict[str, Any]:
    """Result of a cool-down test as plain values."""
    return asdict(rule)
