"""The cost of each degree of minimum water temperature, and the species for which each is warm enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from thermal import data
from thermal.analysis.comparison_results import DesignResult, FloorStep
from thermal.plan.model import Plan

FLOORS_C = tuple(float(celsius) for celsius in range(2, 31))


def swept_floors(plan: Plan) -> tuple[float, ...]:
    """Minimum water temperatures to simulate: 2 to 30 degC, the plan's own, and 1 K more than that. [degC]"""
    floor_c = plan.keep.floor_c
    return tuple(sorted({*FLOORS_C, floor_c, floor_c + 1.0}))


def floor_plans(plan: Plan) -> list[Plan]:
    """The plan at each of `swept_floors`, with its thermostats as far above the minimum as in the plan."""
    return [with_floor(plan, floor_c) for floor_c in swept_floors(plan)]


def with_floor(plan: Plan, floor_c: float) -> Plan:
    """The plan at a minimum water temperature [degC], with its thermostats as far above it as in the plan."""
    keep = plan.keep
    shift = floor_c - keep.floor_c
    cheap = None if keep.cheap_c is None else keep.cheap_c + shift
    return replace(plan, keep=replace(keep, floor_c=floor_c, thermostat_c=keep.thermostat_c + shift, cheap_c=cheap))


def floor_steps(plan: Plan, results: Sequence[DesignResult]) -> tuple[FloorStep, ...]:
    """The result at each minimum water temperature, with the species for which it is warm enough.

    Parameters
    ----------
    plan : Plan
        The plan.
    results : sequence of DesignResult
        Results of `floor_plans`, in order.
    """
    floors = swept_floors(plan)
    return tuple(
        FloorStep(floor, result, working_between(below, floor))
        for floor, below, result in zip(floors, (-99.0, *floors), results, strict=False)
    )


def working_between(above_c: float, upto_c: float) -> tuple[str, ...]:
    """Names of the species that feed or grow from some temperature between two limits.

    Parameters
    ----------
    above_c, upto_c : float
        Limits of the coldest temperature at which a species feeds or grows: above the first, at most the second [degC].
    """
    rows = {value.name: value for value in data.species().values()}
    return tuple(sorted(name for name, row in rows.items() if above_c < row.working_c <= upto_c))


def next_kelvin(steps: Sequence[FloorStep], floor_c: float) -> float | None:
    """Cost of one more degree of minimum water temperature in a typical winter. [currency]

    Parameters
    ----------
    steps : sequence of FloorStep
        From `floor_steps`.
    floor_c : float
        Minimum water temperature of the plan [degC].

    Returns
    -------
    float or None
        None where no heater is enough.
    """
    current, warmer = (next(step.result for step in steps if step.floor_c == c) for c in (floor_c, floor_c + 1.0))
    return None if current.needed_w is None or warmer.needed_w is None else warmer.cost - current.cost
