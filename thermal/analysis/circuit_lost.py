"""The plan when the breaker of one circuit stays off: with the first circuit pump, lights and other loads stop too."""

from __future__ import annotations

from dataclasses import replace

from thermal.core.schedule import NEVER
from thermal.plan.model import Plan


def without_pump_and_lights(plan: Plan) -> Plan:
    """The plan with pump, lights, other loads, a dehumidifier and a fan off."""
    return replace(
        plan,
        pump=replace(plan.pump, power_w=0.0, hours=NEVER),
        loads=tuple(replace(load, power_w=0.0) if load.electric else load for load in plan.loads),
        dehumidifier=plan.dehumidifier and replace(plan.dehumidifier, capacity_kg_s=0.0, power_w=0.0),
        fan=plan.fan and replace(plan.fan, flow_m3_s=0.0, power_w=0.0),
    )
