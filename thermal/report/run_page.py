"""The HTML page of `run`, and the files beside it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from thermal.analysis.assessment import Assessment, FullAssessment
from thermal.core.atomic_write import write_all_atomically
from thermal.report import comparison_text, inhabitants_text, json_csv, sentences, uncertainty_text, winters_text
from thermal.report.assessment_tables import headline, marked_winters, months_table, winters_table
from thermal.report.choices import choices_content
from thermal.report.first_screen import first_figures, verdict_lines
from thermal.report.heat_paths_text import paths_table
from thermal.report.heating_dates_text import heating_dates_sentence
from thermal.report.how_made import HowMade, facts
from thermal.report.html import render_page, script
from thermal.report.json_csv import packages_csv
from thermal.report.outage_card import battery, card, endurance_table
from thermal.report.page_drawings import assessment_drawings, comparison_drawings
from thermal.report.question_text import question_sentences
from thermal.report.table_data import provenance, watts

SECTIONS = (
    ("warnings", "Warnings"),
    ("inhabitants", "Fish and plants"),
    ("buy", "What to buy"),
    ("winter", "Winters and heat"),
    ("costs", "Costs"),
    ("power-cut", "Power cut"),
    ("certainty", "How certain, how made"),
)


def write_report(full: FullAssessment, pictures: dict[str, bytes], made: HowMade, plan_folder: Path) -> Path:
    """Write the page, its charts, CSV and JSON files, and the outage card.

    Parameters
    ----------
    full : FullAssessment
        Result of `run`.
    pictures : dict of str to bytes
        Charts as PNG by name, as `thermal.report.render_charts` gives them.
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
    ClosureError
        When the paths of heat do not add up to the heater's heat.
    """
    assessment = full.assessment
    contents = {f"{name}.png": picture for name, picture in pictures.items()} | {
        "hourly.csv": json_csv.hourly_csv(assessment),
        "paths.csv": json_csv.paths_csv(assessment),
        "monthly.csv": json_csv.monthly_csv(assessment),
        "packages.csv": packages_csv(full.comparison),
        "answer.json": json_csv.to_json(json_csv.full_assessment_json(full)),
        "outage-card.html": card(assessment.case.plan, assessment.outage, made),
        "report.html": page(full, made),
    }
    return write_all_atomically({plan_folder / name: content for name, content in contents.items()})


def page(full: FullAssessment, made: HowMade) -> str:
    """The HTML page; every text of the plan is escaped.

    Parameters
    ----------
    full : FullAssessment
        Result of `run`.
    made : HowMade
        What the page is made from.
    """
    assessment, plan = full.assessment, full.assessment.case.plan
    chart = {
        **assessment_drawings(assessment, winters_text.strip_alt(assessment), marked_winters(assessment)),
        **comparison_drawings(plan, full.comparison, comparison_text.alts(plan, full.comparison)),
    }
    content = {**_assessment_content(full.assessment), **_comparison_content(full), "chart": chart}
    content |= {"made": made, "made_from": facts(made, assessment.case)}
    return render_page(
        "run.html", {**content, "sections": _sections(content)}, (script("hover.js"), script("choices.js"))
    )


def _sections(content: dict[str, Any]) -> list[tuple[str, str]]:
    """Anchor and name of each section that the page has, for its contents line."""
    return [section for section in SECTIONS if section[0] != "inhabitants" or content["inhabitants"].cells]


def _assessment_content(assessment: Assessment) -> dict[str, Any]:
    """Values of the template that come from the assessment."""
    season, plan = assessment.season, assessment.case.plan
    return {
        "title": plan.title,
        "verdict_lines": verdict_lines(assessment),
        "verdict": sentences.verdict(assessment),
        "basis": sentences.basis(assessment.case),
        "inhabitants": inhabitants_text.inhabitants_table(assessment),
        "inhabitants_basis": inhabitants_text.basis_of_verdict(assessment),
        "remedies": inhabitants_text.remedies_sentence(assessment),
        "remedies_rows": inhabitants_text.remedies_table(assessment),
        "harms": [warning.text for warning in assessment.warnings if warning.harm],
        "stops": [warning.text for warning in assessment.warnings if not warning.harm and not warning.belief],
        "beliefs": [
            *question_sentences(assessment),
            *(warning.text for warning in assessment.warnings if warning.belief),
        ],
        "winters": winters_table(assessment),
        "often": winters_text.chances_sentence(assessment),
        "chances": winters_text.chances_table(assessment),
        "chosen": winters_text.chosen_sentence(assessment),
        "coldest_winter": sentences.coldest_winter(assessment),
        "when_to_heat": heating_dates_sentence(assessment),
        "season_winter": sentences.season_winter(assessment),
        "months": months_table(assessment),
        "design_at": sentences.display_units(assessment).moment(season.design_at),
        "design_w": f"{watts(season.design_w)} W",
        "why_peak": sentences.why_peak_differs(assessment),
        "water_paths": paths_table(assessment, "water"),
        "room_paths": paths_table(assessment, "room"),
        "outage": assessment.outage,
        "outage_rows": endurance_table(plan, assessment.outage),
        "battery": battery(assessment.outage),
        "damp": sentences.damp(assessment),
        "cautions": sentences.cautions(assessment),
        "assumptions": sentences.assumptions(assessment),
        "climate_source": _climate_source(assessment),
        "closure": f"{assessment.closure:.0e}",
    }


def _comparison_content(full: FullAssessment) -> dict[str, Any]:
    """Values of the template that come from packages, minimum temperatures and samples."""
    plan, comparison = full.assessment.case.plan, full.comparison
    outdoors = full.assessment.case.weather.sun_and_sky
    return {
        "figures": first_figures(full, headline(full)),
        "samples": full.uncertainty.samples,
        "sureness": uncertainty_text.confidence_sentence(plan, full.uncertainty),
        "buy": sentences.buy_list(full),
        "floor_sentence": comparison_text.floor_sentence(plan, comparison),
        "live": choices_content(plan, comparison, by_winter=True),
        "advice": comparison_text.advice(plan, comparison),
        "count": len(comparison.package_comparison.packages),
        "ladder": comparison_text.ranking_table(plan, comparison),
        "packages": comparison_text.packages_table(plan, comparison),
        "bands": uncertainty_text.bands_table(plan, full.uncertainty),
        "drivers": uncertainty_text.brief_drivers(full.uncertainty),
        "fit_quality": uncertainty_text.fit_quality_sentence(full.uncertainty),
        "inputs": uncertainty_text.input_sentences(plan, outdoors),
        "presets": uncertainty_text.presets_table(plan, sentences.display_units(full.assessment), outdoors),
    }


def _climate_source(assessment: Assessment) -> str:
    """Where the weather comes from, in one line."""
    header = assessment.case.climate.header
    parts = (
        f"Weather: {header.place or header.name}", f"source: {header.source}" if header.source else "",
        f"licence: {header.licence}" if header.licence else "", header.processing,
    )  # fmt: skip
    return provenance("; ".join(part for part in parts if part) + ".")
