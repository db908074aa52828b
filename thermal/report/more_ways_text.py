"""All sentences on other ways that have more to say than their row of the table."""

from __future__ import annotations

from thermal.analysis.comparison_results import Comparison
from thermal.plan.model import Plan
from thermal.report.drying_text import damp_way_sentences
from thermal.report.hut_air_text import hut_air_sentences
from thermal.report.other_heat_text import other_heat_sentences


def more_way_sentences(plan: Plan, comparison: Comparison) -> list[str]:
    """What dries the air, where a hut takes its air from, and what other sources of heat bring.

    Parameters
    ----------
    plan : Plan
        The plan.
    comparison : Comparison
        Result of `compare`.
    """
    texts = damp_way_sentences, hut_air_sentences, other_heat_sentences
    return [sentence for text in texts for sentence in text(plan, comparison)]
