"""Warnings about R-values that no material of that thickness has, or that say nothing of their thickness."""

from __future__ import annotations

from collections.abc import Iterator

from thermal import data
from thermal.data import constructions
from thermal.plan.model import Plan

BEST_W_PER_MK = 0.013  # aerogel blankets, the best insulation that is not a sealed vacuum panel; from memory
FOAM = "xps"


def thin_claims(plan: Plan) -> list[tuple[str, str, bool]]:
    """Code, text and whether it is advice, for each R-value beyond any material or round the water without thickness.

    Parameters
    ----------
    plan : Plan
        The plan.
    """
    foam = data.materials()[FOAM].conductivity_w_per_mk
    warnings: list[tuple[str, str, bool]] = []
    for place, text, of_water in _texts(plan):
        for written, r, metres in constructions.claims(text):
            best, usual = (_thickness(r * k, plan.units) for k in (BEST_W_PER_MK, foam))
            if metres is not None and r * BEST_W_PER_MK > metres:
                sentences = (
                    f"{place}: no material gives {written}. The best would have to be {best} thick, XPS foam {usual}."
                )
                sentences += " A value with an air space is one of a whole wall; write the layers that you have."
                warnings.append(("beyond-any-material", sentences, False))
            elif metres is None and of_water and r > 0:
                sentences = f"{place}: {written} takes {usual} of XPS foam. If what you have is thinner than {best}, no"
                sentences += f' material gives it. Write the thickness too, "{written} in 8 mm", and it is checked.'
                warnings.append(("r-without-thickness", sentences, True))
    return list(dict.fromkeys(warnings))


def _texts(plan: Plan) -> Iterator[tuple[str, str, bool]]:
    """Name, text, and whether it is round the water, of each construction that may hold an R-value."""
    for vessel in plan.tanks + plan.beds:
        yield f"{vessel.name}, insulation", vessel.insulation, True
        if vessel.top not in data.tops():
            yield f"{vessel.name}, top", vessel.top, True
    for side in plan.room.sides:
        if side.build not in data.builds():
            yield side.name, side.build, False
    if plan.hut is not None and plan.hut.build not in data.huts():
        yield "hut", plan.hut.build, False


def _thickness(metres: float, system: str) -> str:
    """A thickness in mm, or in inches."""
    return f"{1000.0 * metres:.0f} mm" if system == "metric" else f"{metres / 0.0254:.1f} in"
