"""The HTML page of `compare`, and the files beside it."""

from __future__ import annotations

from pathlib import Path

from thermal import data
from thermal.analysis.case import SimulationCase
from thermal.analysis.comparison_results import Comparison
from thermal.core.atomic_write import write_all_atomically
from thermal.report import comparison_text, sentences
from thermal.report.choices import choices_content
from thermal.report.comparison_screen import comparison_figures
from thermal.report.how_made import HowMade, facts
from thermal.report.html import render_page, script
from thermal.report.json_csv import packages_csv
from thermal.report.more_ways_text import more_way_sentences
from thermal.report.page_drawings import comparison_drawings
from thermal.report.table_data import provenance

SECTIONS = (
    ("warnings", "Warnings"),
    ("measures", "Measures"),
    ("minimum", "Other minimums"),
    ("ways", "Other ways"),
    ("parts", "One part alone"),
    ("certainty", "Cautions, how made"),
)


def write_comparison(
    case: SimulationCase,
    comparison: Comparison,
    budget: float | None,
    pictures: dict[str, bytes],
    made: HowMade,
    plan_folder: Path,
) -> Path:
    """Write the page, its charts and the table of all packages.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    comparison : Comparison
        Result of `compare`.
    budget : float or None
        Most to spend on measures, in the plan's currency.
    pictures : dict of str to bytes
        Charts as PNG by name, as `thermal.report.render_charts.comparison_charts` gives them.
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
        When a file cannot be written.
    """
    contents = {f"{name}.png": picture for name, picture in pictures.items()} | {
        "packages.csv": packages_csv(comparison),
        "compare.html": page(case, comparison, budget, made),
    }
    return write_all_atomically({plan_folder / name: content for name, content in contents.items()})


def page(case: SimulationCase, comparison: Comparison, budget: float | None, made: HowMade) -> str:
    """The HTML page.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    comparison : Comparison
        Result of `compare`.
    budget : float or None
        Most to spend on measures, in the plan's currency.
    made : HowMade
        What the page is made from.
    """
    plan = case.plan
    present = {"warnings": bool(comparison.warnings), "measures": bool(plan.measures)}
    content = {
        "title": plan.title,
        "figures": comparison_figures(plan, comparison),
        "advice": comparison_text.advice(plan, comparison),
        "harms": [warning.text for warning in comparison.warnings],
        "basis": sentences.basis(case),
        "season": case.season.phrase,
        "count": len(comparison.package_comparison.packages),
        "packages": comparison_text.packages_table(plan, comparison),
        "live": choices_content(plan, comparison),
        "choices": comparison_text.choices(plan, comparison, budget),
        "ladder": comparison_text.ranking_table(plan, comparison),
        "floors": comparison_text.floors_table(plan, comparison),
        "floor_sentence": comparison_text.floor_sentence(plan, comparison),
        "ways": comparison_text.ways_table(plan, comparison),
        "way_reasons": comparison_text.way_reasons(comparison),
        "other_heat": more_way_sentences(plan, comparison),
        "way_prices": provenance(comparison_text.way_prices_sentence(plan, comparison)),
        "pump_source": provenance(f"Heat pump: {data.citation('heat_pump')}."),
        "insulating": comparison_text.insulating_table(plan, comparison),
        "insulating_sentence": comparison_text.insulating_sentence(plan, comparison),
        "made": made,
        "made_from": facts(made, case),
        "cautions": sentences.CAUTIONS,
        "chart": comparison_drawings(plan, comparison, comparison_text.alts(plan, comparison)),
        "sections": [section for section in SECTIONS if present.get(section[0], True)],
    }
    return render_page("compare.html", content, (script("choices.js"),))
