"""Heat loss of the water, from one cool-down or one steady state measured without a data logger."""

from __future__ import annotations

import re
from dataclasses import dataclass

from thermal.analysis.heat_loss_table import water_parts
from thermal.core import quantities
from thermal.errors import OverwinterError
from thermal.physics.bed_heat_capacity import water_capacity
from thermal.physics.lumped_cooling import steady_conductance, time_constant
from thermal.plan.model import Plan


@dataclass(frozen=True)
class CooldownResult:
    """Heat loss measured in a simple test, beside that of the plan.

    Attributes
    ----------
    measured_w_per_k : float
        Measured heat loss for each degree between water and air [W/K].
    plan_dry_w_per_k : float
        The plan's, without evaporation [W/K].
    time_constant_h : float
        Time in which the water's excess over the air falls to 37 % [h].
    """

    measured_w_per_k: float
    plan_dry_w_per_k: float
    time_constant_h: float


def cooldown_test(plan: Plan, steady: str | None, cooled: str | None) -> CooldownResult:
    """Heat loss measured in one simple test, beside that of the plan.

    Parameters
    ----------
    plan : Plan
        The plan of the water tested.
    steady : str or None
        Heater power, water and air in a steady state: "watts, water, air". Used where both are given.
    cooled : str or None
        Water before and after, air, and hours between: "before, after, air, hours".

    Raises
    ------
    OverwinterError
        When the text is not of that form, or the temperatures are not in the order that a cool-down has.
    """
    capacity = sum(vessel.capacity_j_per_k for vessel in plan.tanks + plan.beds)
    capacity += sum(float(water_capacity(pipe.water_m3)) for pipe in plan.pipes)
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
    """Quantities from a text with commas; None stands for hours."""
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
    """Hours from a text such as "8 h". [h]"""
    matches = re.fullmatch(r"(\d{1,4}(?:\.\d+)?)\s*(?:h|hours?)?", text)
    if not matches:
        raise ValueError(f"{text!r} is not a number of hours; write for example 8 h")
    return float(matches[1])
