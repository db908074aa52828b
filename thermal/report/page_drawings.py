"""All charts of a page as SVG by name, with their words for readers who cannot see them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from markupsafe import Markup

from thermal.analysis.assessment import Assessment
from thermal.analysis.comparison_results import Comparison
from thermal.analysis.many_winters import MANY
from thermal.plan.model import Plan
from thermal.report.drawings.minimums_drawing import minimums_figure
from thermal.report.drawings.months_drawing import months_figure
from thermal.report.drawings.outage_drawing import outage_figure
from thermal.report.drawings.packages_drawing import packages_figure
from thermal.report.drawings.room_drawing import room_figure
from thermal.report.drawings.winter_drawing import week_figure, winter_figure
from thermal.report.drawings.winters_drawing import winters_figure


def assessment_drawings(
    assessment: Assessment, winters_alt: str, marks: Mapping[int, Sequence[str]]
) -> dict[str, Markup]:
    """Charts of an assessment: the coldest winter and week, the months, the peak hour, a power cut, many winters.

    Parameters
    ----------
    assessment : Assessment
        Result of `assess`.
    winters_alt : str
        The chart of all winters in words.
    marks : dict of int to sequence of str
        What to say of some winters, by index, as `assessment_tables.marked_winters` gives it.
    """
    many = len(assessment.unheated) > MANY
    return {
        **({"winters": winters_figure(assessment, marks, winters_alt)} if many else {}),
        "winter": winter_figure(assessment),
        "week": week_figure(assessment),
        "months": months_figure(assessment),
        "room": room_figure(assessment),
        "outage": outage_figure(assessment),
    }


def comparison_drawings(plan: Plan, comparison: Comparison, alts: Mapping[str, str]) -> dict[str, Markup]:
    """Charts of the packages and of the minimum temperatures.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    alts : dict of str to str
        The charts "packages" and "floors" in words, as `comparison_text.alts` gives them.
    """
    return {
        "packages": packages_figure(plan, comparison, alts["packages"]),
        "floors": minimums_figure(plan, comparison, alts["floors"]),
    }
