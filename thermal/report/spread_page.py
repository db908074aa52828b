"""The HTML page of `spread`: the range of every figure, and what to measure first."""

from __future__ import annotations

from pathlib import Path

from thermal.analysis.case import SimulationCase
from thermal.analysis.comparison_results import Uncertainty
from thermal.core.atomic_write import write_atomically
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.report import sentences, uncertainty_text
from thermal.report.how_made import HowMade, facts
from thermal.report.html import render_page

SECTIONS = (
    ("measure", "What to measure first"),
    ("ranges", "Ranges"),
    ("inputs", "Uncertain inputs"),
    ("certainty", "How made"),
)


def write_spread(case: SimulationCase, uncertainty: Uncertainty, made: HowMade, plan_folder: Path) -> Path:
    """Write the page.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    uncertainty : Uncertainty
        Result of `spread`.
    made : HowMade
        What the page is made from.
    plan_folder : Path
        Folder of this report, as `report_folder` gives it.

    Returns
    -------
    Path
        The page.

    Raises
    ------
    OverwinterError
        When the file cannot be written.
    """
    return write_atomically(plan_folder / "spread.html", page(case, uncertainty, made))


def page(case: SimulationCase, uncertainty: Uncertainty, made: HowMade) -> str:
    """The HTML page; every text of the plan is escaped.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    uncertainty : Uncertainty
        Result of `spread`.
    made : HowMade
        What the page is made from.
    """
    plan, outdoors = case.plan, case.weather.sun_and_sky
    bands = uncertainty_text.bands_table(plan, uncertainty)
    content = {
        "title": plan.title,
        "samples": uncertainty.samples,
        "sureness": uncertainty_text.confidence_sentence(plan, uncertainty),
        "figures": [(label, middle, f"{low} to {high}") for label, _, low, middle, high in bands.cells],
        "bands": bands,
        "drivers": uncertainty_text.drivers_table(uncertainty),
        "fit_quality": uncertainty_text.fit_quality_sentence(uncertainty),
        "inputs": uncertainty_text.input_sentences(plan, outdoors),
        "presets": uncertainty_text.presets_table(plan, UNIT_SYSTEMS[plan.units], outdoors),
        "basis": sentences.basis(case),
        "made": made,
        "made_from": facts(made, case),
        "sections": SECTIONS,
    }
    return render_page("spread.html", content)
