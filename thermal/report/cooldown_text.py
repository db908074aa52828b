"""Heat loss of the water for each degree, from one cool-down measurement without a data logger."""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass
from typing import Any

from thermal.analysis.calibration import steady_conductance, time_constant
from thermal.core import quantities
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.errors import OverwinterError
from thermal.plan.model import Plan
from thermal.report.plan_summary import water_parts


@dataclass(frozen=True)
class CooldownResult:
    """Heat loss measured in a simple test beside the plan's own, which leaves out evaporation."""

    measured_w_per_k: float
    plan_dry_w_per_k: float
    time_constant_h: float


def cooldown_test(plan: Plan, steady: str | None, cooled: str | None) -> CooldownResult:
    """The rule for "watts, water, air" or "before, after, air, hours"; the first when both are given.

    Raises
    ------
    OverwinterError
        When the text is not that, or its temperatures are in no such order.
    """
    capacity = sum(one.capacity_j_per_k for one in plan.tanks + plan.beds)
    dry = sum(one.w_per_k for one in water_parts(plan))
    if steady is not None:
        watts, water, air = _read(
            "--steady", steady, '"25 W, 11 degC, 6 degC"', (quantities.POWER, *[quantities.TEMPERATURE] * 2)
        )
        if water <= air or watts <= 0:
            raise OverwinterError(f"--steady {steady!r}: needs watts above 0 and water warmer than the air")
        ua = steady_conductance(watts, water, air)
        return CooldownResult(ua, dry, capacity / ua / 3600.0)
    before, after, air, hours = _read(
        "--cooled", cooled or "", '"12 degC, 9.5 degC, 2 degC, 8 h"', (*[quantities.TEMPERATURE] * 3, None)
    )
    if not before > after > air or hours <= 0:
        raise OverwinterError(
            f"--cooled {cooled!r}: needs before warmer than after, after warmer than the air, and hours above 0"
        )
    tau = time_constant(hours, before, after, air)
    return CooldownResult(capacity / (tau * 3600.0), dry, tau)


def cooldown_sentence(plan: Plan, rule: CooldownResult) -> str:
    """The measured heat loss beside the plan's, and what to do about the difference."""
    units_of = UNIT_SYSTEMS[plan.units]
    measured, dry = (units_of.text("conductance", one) for one in (rule.measured_w_per_k, rule.plan_dry_w_per_k))
    said = (
        f"Measured heat loss of the water: {measured} (time constant {rule.time_constant_h:,.0f} h). The plan's,"
        f" without evaporation, is {dry}."
    )
    if rule.measured_w_per_k < rule.plan_dry_w_per_k:
        return (
            f"{said} The plan loses too much: check its wall insulation, its covers, what tanks and beds stand on, and"
            " how much water it has."
        )
    rest = units_of.text("conductance", rule.measured_w_per_k - rule.plan_dry_w_per_k)
    return (
        f"{said} Evaporation should account for the other {rest}. If the water was covered, the plan loses too little:"
        " check its walls and covers."
    )


def cooldown_json(rule: CooldownResult) -> dict[str, Any]:
    """For scripts."""
    return asdict(rule)


def _read(option: str, text: str, example: str, kinds: tuple[quantities.Kind | None, ...]) -> list[float]:
    """Comma-separated quantities of given kinds; None stands for hours."""
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != len(kinds):
        raise OverwinterError(f"{option} {text!r} is not {len(kinds)} values; write for example {example}")
    try:
        return [
            _hours(part) if kind is None else quantities.parse(part, kind)
            for part, kind in zip(parts, kinds, strict=True)
        ]
    except ValueError as fault:
        raise OverwinterError(f"{option}: {fault}") from fault


def _hours(text: str) -> float:
    found = re.fullmatch(r"(\d{1,4}(?:\.\d+)?)\s*(?:h|hours?)?", text)
    if not found:
        raise ValueError(f"{text!r} is not a number of hours; write for example 8 h")
    return float(found[1])
