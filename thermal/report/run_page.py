"""The HTML page of `run`, and the files beside it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from thermal.analysis.assessment import Assessment, FullAssessment
from thermal.core.atomic_write import write_all_atomically
from thermal.report import comparison_text, inhabitants_text, json_csv, sentences, uncertainty_text, winters_text
from thermal.report.assessment_tables import headline, months_table, winters_table
from thermal.report.heating_dates_text import heating_dates_sentence
from thermal.report.html import embed, render
from thermal.report.json_csv import packages_csv
from thermal.report.outage_card import battery, card, endurance_table
from thermal.report.question_text import question_sentences
from thermal.report.table_data import moment, provenance, watts


def write_report(full: FullAssessment, pictures: dict[str, bytes], plan_folder: Path) -> Path:
    """Write the page, its charts, CSV and JSON files, and the outage card.

    Parameters
    ----------
    full : FullAssessment
        Result of `run`.
    pictures : dict of str to bytes
        Charts as PNG by name, as `thermal.report.render_charts` gives them.
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
        "outage-card.html": card(assessment.case.plan, assessment.outage),
        "report.html": page(full, pictures),
    }
    return write_all_atomically({plan_folder / name: content for name, content in contents.items()})


def page(full: FullAssessment, pictures: dict[str, bytes]) -> str:
    """The HTML page; every text of the plan is escaped.

    Parameters
    ----------
    full : FullAssessment
        Result of `run`.
    pictures : dict of str to bytes
        Charts as PNG by name.
    """
    content = {**_assessment_content(full.assessment), **_comparison_content(full), "charts": embed(pictures)}
    return render("run.html", {**content, "alts": _alts(full)})


def _assessment_content(assessment: Assessment) -> dict[str, Any]:
    """Values of the template that come from the assessment."""
    season, plan = assessment.season, assessment.case.plan
    return {
        "title": plan.title,
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
        "design_at": season.design_at[:16].replace("T", " "),
        "design_w": f"{watts(season.design_w)} W",
        "why_peak": sentences.why_peak_differs(assessment),
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
        "figures": headline(full),
        "samples": full.uncertainty.samples,
        "sureness": uncertainty_text.confidence_sentence(plan, full.uncertainty),
        "buy": sentences.buy_list(full),
        "floor_sentence": comparison_text.floor_sentence(plan, comparison),
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


def _alts(full: FullAssessment) -> dict[str, str]:
    """Alternative texts of the charts for readers who cannot see them."""
    assessment = full.assessment
    season, units = assessment.season, sentences.display_units(assessment)
    largest = max(season.design_paths_w, key=lambda name: season.design_paths_w[name])
    dearest = max(season.months, key=lambda month: month.kwh)
    curve = assessment.outage.curve_c
    return {
        "winters": winters_text.strip_alt(assessment),
        "winter": f"Temperatures outdoors, in the room and of the water through winter {assessment.coldest.label}. "
        + sentences.verdict(assessment),
        "months": f"Heat lost and gained by the water in each month. {dearest.month} needs most heating,"
        f" {dearest.kwh:,.0f} kWh.",
        "design": f"Heat lost and gained by the water at the hour of peak heat demand,"
        f" {season.design_at[:16].replace('T', ' ')}. The largest loss is {largest},"
        f" {watts(season.design_paths_w[largest])} W.",
        "outage": f"Tank temperature after a power cut at {moment(assessment.outage.worst_start)}. It goes from"
        f" {units.text('temperature', curve[0])} to {units.text('temperature', curve[24])} in 24 hours.",
        **comparison_text.alts(assessment.case.plan, full.comparison),
    }
