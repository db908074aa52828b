"""Heat loss of the water for each degree, from one cool-down or steady state measured without a data logger."""

from __future__ import annotations

import re
from dataclasses import dataclass

from thermal.analysis.heat_loss_table import water_parts
from thermal.core import quantities
from thermal.errors import OverwinterError
from thermal.physics.lumped_cooling import steady_conductance, time_constant
from thermal.plan.model import Plan


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
    capacity = sum(vessel.capacity_j_per_k for vessel in plan.tanks + plan.beds)
    dry = sum(water_part.w_per_k for water_part in water_parts(plan))
    if steady is not None:
        watts, water, air = _read(
            "--steady", steady, '"25 W, 11 degC, 6 degC"', (quantities.POWER, *[quantities.TEMPERATURE] * 2)
        )
        if water <= air or watts <= 0:
            raise OverwinterError(f"--steady {steady!r}: needs watts above 0 and water warmer than the air")
        ua = float(steady_conductance(watts, water, air))
        return CooldownResult(ua, dry, capacity / ua / 3600.0)
    before, after, air, hours = _read(
        "--cooled", cooled or "", '"12 degC, 9.5 degC, 2 degC, 8 h"', (*[quantities.TEMPERATURE] * 3, None)
    )
    if not before > after > air or hours <= 0:
        raise OverwinterError(
            f"--cooled {cooled!r}: needs before warmer than after, after warmer than the air, and hours above 0"
        )
    tau = float(time_constant(hours, before, after, air))
    return CooldownResult(capacity / (tau * 3600.0), dry, tau)


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
    matches = re.fullmatch(r"(\d{1,4}(?:\.\d+)?)\s*(?:h|hours?)?", text)
    if not matches:
        raise ValueError(f"{text!r} is not a number of hours; write for example 8 h")
    return float(matches[1])
