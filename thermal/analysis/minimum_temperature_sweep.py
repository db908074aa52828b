"""What each degree of minimum water temperature costs, and which species it is warm enough for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from thermal import data
from thermal.analysis.results import DesignResult, FloorStep
from thermal.plan.model import Plan

FLOORS_C = tuple(float(c) for c in range(2, 31))


def swept_floors(plan: Plan) -> tuple[float, ...]:
    """Minimum water temperatures to try: every degree, the plan's own, and one degree more. [degC]"""
    own = plan.keep.floor_c
    return tuple(sorted({*FLOORS_C, own, own + 1.0}))


def floor_plans(plan: Plan) -> list[Plan]:
    """The plan at each minimum water temperature, its thermostats as far above the minimum as they are now."""
    keep = plan.keep
    moved = []
    for floor in swept_floors(plan):
        shift = floor - keep.floor_c
        cheap = None if keep.cheap_c is None else keep.cheap_c + shift
        raised = replace(keep, floor_c=floor, thermostat_c=keep.thermostat_c + shift, cheap_c=cheap)
        moved.append(replace(plan, keep=raised))
    return moved


def floor_steps(plan: Plan, results: Sequence[DesignResult]) -> tuple[FloorStep, ...]:
    """The results of `floor_plans`, with the species that each minimum is warm enough for."""
    floors = swept_floors(plan)
    return tuple(
        FloorStep(floor, result, working_between(below, floor))
        for floor, below, result in zip(floors, (-99.0, *floors), results, strict=False)
    )


def working_between(above_c: float, upto_c: float) -> tuple[str, ...]:
    """Species whose coldest working temperature lies in (above, upto], by name."""
    rows = {value.name: value for value in data.species().values()}
    return tuple(sorted(name for name, row in rows.items() if above_c < row.working_c <= upto_c))


def next_kelvin(steps: Sequence[FloorStep], floor_c: float) -> float | None:
    """Cost per typical winter of one more degree of minimum water temperature; None where no heater is enough."""
    here, there = (next(step.result for step in steps if step.floor_c == c) for c in (floor_c, floor_c + 1.0))
    return None if here.needed_w is None or there.needed_w is None else there.cost - here.cost
