"""An assessment without the remedies for plants, which take half of its time, for tests of all else."""

from __future__ import annotations

from thermal.analysis import assessment
from thermal.analysis.assessment import Assessment
from thermal.analysis.case import SimulationCase
from thermal.analysis.comparison_results import Uncertainty


def assess(case: SimulationCase, uncertainty: Uncertainty | None = None) -> Assessment:
    return assessment.assess(case, uncertainty, remedies=False)
