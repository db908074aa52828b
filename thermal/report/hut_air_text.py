"""Sentences on where a hut takes its air from."""

from __future__ import annotations

from thermal.analysis.comparison_results import Comparison
from thermal.analysis.hut_air_ways import HUT_AIR, house_is_known
from thermal.plan.model import Plan
from thermal.report.table_data import energy

LOW_OR_HIGH = (
    "Low or high in the room makes no difference here, because the air of the room has one temperature. In a real"
    " room the air under the ceiling is warmer, so a hut that takes it there needs somewhat less heat (common practice,"
    " no source)."
)


def hut_air_sentences(plan: Plan, comparison: Comparison) -> list[str]:
    """Where a hut may take its air from, and what that changes; none without a hut.

    Parameters
    ----------
    plan : Plan
        The plan.
    comparison : Comparison
        Result of `compare`.
    """
    ways = [way for way in comparison.alternatives if way.name in HUT_AIR.values()]
    if plan.hut is None or not ways:
        return []
    own = {"room": "the room", "house": "the house"}.get(plan.hut.air_from, plan.hut.air_from)
    changes = f"{plan.hut.air_changes_per_h:g} air changes an hour"
    sentence = (
        f"Air of the hut: the plan takes it from {own}, {changes}; the table has it from elsewhere. {LOW_OR_HIGH}"
    )
    if not comparison.season.complete:
        return [sentence]
    for way in ways:
        if way.house_kwh:
            span = comparison.season.span
            sentence += (
                f" From the house comes {energy(way.house_kwh)} kWh of the house's heat {span}, which the cost of this"
                " way includes at the price of electricity."
            )
    if not house_is_known(plan):
        sentence += " From the house: not calculated; write house_temperature in [room] to see it."
    return [sentence]
