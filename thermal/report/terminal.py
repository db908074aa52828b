"""Results in the terminal: a sentence, then small tables."""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console
from rich.markup import escape

from thermal.analysis.assessment import Assessment, FullAssessment
from thermal.analysis.calibration import Calibration
from thermal.analysis.case import SimulationCase
from thermal.analysis.comparison_results import Comparison, Uncertainty
from thermal.analysis.results import Outage, PlanWarning
from thermal.climate.dataset import Climate
from thermal.core.display_units import heater_list, percent_text
from thermal.plan.model import Plan
from thermal.report import comparison_text, inhabitants_text, sentences, uncertainty_text, winters_text
from thermal.report.assessment_tables import headline, months_table, winters_table
from thermal.report.calibration_text import combined_text, correlated_pairs_text, fit_sentence, fit_table
from thermal.report.circuit_text import assumed_sentence, circuit_rows, circuits_sentence
from thermal.report.heating_dates_text import heating_dates_sentence
from thermal.report.more_ways_text import more_way_sentences
from thermal.report.outage_card import NO_BURNER, endurance_table
from thermal.report.question_text import question_sentences
from thermal.report.table_data import Rows, watts
from thermal.report.terminal_tables import pairs, rows, table

OF_THE_HEATER = ("older-plan", "high-duty", "one-failed", "heater-too-small", "cold-beds")  # codes of warnings


def print_full_assessment(full: FullAssessment, console: Console) -> None:
    """Print the result of `run` on one screen.

    Parameters
    ----------
    full : FullAssessment
        Result of `run`.
    console : Console
        Where to print.
    """
    assessment = full.assessment
    plan = assessment.case.plan
    console.print(f"[bold]{escape(sentences.verdict(assessment))}[/]")
    _print_warnings(console, [warning for warning in assessment.warnings if warning.harm])
    _print_inhabitants(assessment, console)
    console.print(escape(uncertainty_text.confidence_sentence(plan, full.uncertainty)))
    console.print(escape(sentences.basis(assessment.case)), style="dim")
    figures = [(label, value, f"({band})" if band else "") for label, value, band in headline(full)]
    console.print(pairs(figures))
    console.print(escape(uncertainty_text.two_figures_sentence(full.uncertainty)), style="dim")
    for sentence in (winters_text.chances_sentence(assessment), winters_text.chosen_sentence(assessment)):
        if sentence:
            console.print(escape(sentence))
    console.print(rows(winters_table(assessment)))
    if assessment.season.months:
        console.print(rows(months_table(assessment)))
    console.print(escape(circuits_sentence(assessment)))
    _print_heating_dates(assessment, console)
    console.print(escape(sentences.where_heat_goes(assessment)))
    if plan.measures:
        console.print(escape(comparison_text.advice(plan, full.comparison)))
    console.print(escape(comparison_text.floor_sentence(plan, full.comparison)))
    console.print(escape(f"Power cut. {assessment.outage.first}"))
    console.print(rows(Rows(*_first_and_last_row(endurance_table(plan, assessment.outage)))))
    _print_warnings(console, [warning for warning in assessment.warnings if not warning.harm and not warning.belief])
    console.print(escape(sentences.CAUTIONS[0]), style="dim")


def _print_warnings(console: Console, warnings: Iterable[PlanWarning]) -> None:
    """Print each warning behind an exclamation mark."""
    for warning in warnings:
        console.print(f"[bold]![/] {escape(warning.text)}")


def _print_inhabitants(assessment: Assessment, console: Console) -> None:
    """Print a line for each animal and plant, and what helps plants whose air is too cold."""
    if not assessment.verdict.inhabitants:
        return
    console.print(rows(inhabitants_text.inhabitants_table(assessment)))
    if remedies := inhabitants_text.remedies_sentence(assessment):
        console.print(escape(remedies))
    if assessment.verdict.remedies:
        console.print(rows(inhabitants_text.remedies_table(assessment)))
    console.print(escape(inhabitants_text.basis_of_verdict(assessment)), style="dim")


def _print_heating_dates(assessment: Assessment, console: Console, about_heaters: bool = False) -> None:
    """Print when heat is needed, unless none is, and the answers to what the plan's own keys ask."""
    sentence = heating_dates_sentence(assessment)
    for line in (sentence, *question_sentences(assessment, about_heaters)):
        if line:
            console.print(escape(line))


def _first_and_last_row(table: Rows) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The first row of the endurance table, without covers, and the last, with all covers."""
    return table.heads, (table.cells[0], table.cells[-1])


def print_outage(plan: Plan, outage: Outage, console: Console) -> None:
    """Print the result of `outage`: what to do first, then the hours until each limit.

    Parameters
    ----------
    plan : Plan
        The plan, for its limits and units.
    outage : Outage
        Result of `outage`.
    console : Console
        Where to print.
    """
    console.print(f"[bold]Power cut.[/] {escape(outage.first)}")
    _print_warnings(console, outage.warnings)
    if all(warning.code != "unvented" for warning in outage.warnings):
        console.print(f"[bold]![/] {escape(NO_BURNER)}")
    console.print(rows(endurance_table(plan, outage)))


def print_spread(plan: Plan, uncertainty: Uncertainty, console: Console) -> None:
    """Print the result of `spread`: ranges, and what to measure first.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    uncertainty : Uncertainty
        Result of `spread`.
    console : Console
        Where to print.
    """
    console.print(f"[bold]{escape(uncertainty_text.confidence_sentence(plan, uncertainty))}[/]")
    console.print(rows(uncertainty_text.bands_table(plan, uncertainty)))
    console.print(rows(uncertainty_text.drivers_table(uncertainty)))
    console.print(escape(uncertainty_text.fit_quality_sentence(uncertainty)), style="dim")


def print_heater(assessment: Assessment, console: Console) -> None:
    """Print the result of `heater`.

    Parameters
    ----------
    assessment : Assessment
        Result of the analysis of a plan.
    console : Console
        Where to print.
    """
    heater, units = assessment.heater, sentences.display_units(assessment)
    console.print(f"[bold]{escape(sentences.verdict(assessment))}[/]")
    _print_warnings(console, [warning for warning in assessment.warnings if warning.harm])
    _print_inhabitants(assessment, console)
    minimum = assessment.case.plan.keep.floor_c
    whose = "your" if assessment.case.plan.heater.units_w else "these"
    facts = [
        ("heater needed", f"{watts(heater.needed_w)} W" if heater.needed_w > 0 else "none"),
        ("heaters to buy", heater_list(heater.buy_w) if heater.buy_w else "none"),
        ("thermostat setting", units.text("temperature", heater.setpoint_c)),
        (f"coldest water with {whose} heaters", units.below(heater.coldest_c, minimum)),
        ("coldest water, one heater failed", units.below(heater.one_failed_c, minimum)),
        ("coldest water, one circuit lost", units.below(heater.one_circuit_lost_c, minimum)),
        ("warmest water, one heater stuck on", units.text("temperature", heater.stuck_on_c)),
        ("power in reserve", f"{percent_text(max(0.0, heater.reserve or 0.0))} of the heater needed"),
    ]
    rare = assessment.case.rare_cold
    if rare is not None:
        facts.append(("sized for outdoors down to", units.text("temperature", rare.outdoor_c)))
    if not heater.installed_w:
        facts = [*facts[:2], ("coldest water", units.text("temperature", heater.coldest_c))]
    console.print(pairs([*facts, *circuit_rows(assessment)]))
    _print_heating_dates(assessment, console, about_heaters=True)
    if assessment.circuit.assumed:
        console.print(escape(assumed_sentence(assessment)))
    _print_warnings(console, [warning for warning in assessment.warnings if warning.code in OF_THE_HEATER])
    console.print(escape(sentences.cautions(assessment)[0]), style="dim")


def print_comparison(case: SimulationCase, comparison: Comparison, budget: float | None, console: Console) -> None:
    """Print the result of `compare`.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    comparison : Comparison
        Result of `compare`.
    budget : float or None
        Most to spend on measures, in the plan's currency.
    console : Console
        Where to print.
    """
    plan = case.plan
    _print_warnings(console, comparison.warnings)
    console.print(f"[bold]{escape(comparison_text.advice(plan, comparison))}[/]")
    console.print(escape(sentences.basis(case)), style="dim")
    if plan.measures:
        console.print(rows(comparison_text.ranking_table(plan, comparison)))
    if len(comparison.package_comparison.packages) > 1:
        console.print(rows(comparison_text.packages_table(plan, comparison)))
        console.print(pairs(comparison_text.choices(plan, comparison, budget)))
    console.print(escape(comparison_text.floor_sentence(plan, comparison)))
    console.print(rows(comparison_text.floors_table(plan, comparison)))
    console.print(rows(comparison_text.ways_table(plan, comparison, explained=False)))
    for reason in comparison_text.way_reasons(comparison):
        console.print(escape(reason))
    for sentence in more_way_sentences(plan, comparison):
        console.print(escape(sentence))
    console.print(escape(comparison_text.way_prices_sentence(plan, comparison)), style="dim")
    console.print(escape(comparison_text.insulating_sentence(plan, comparison)))
    console.print(pairs(list(comparison_text.insulating_table(plan, comparison).cells)))
    console.print(escape(sentences.CAUTIONS[0]), style="dim")


def print_fit(plan: Plan, calibration: Calibration, console: Console) -> None:
    """Print the result of `fit`: how well the plan follows the log, and the factors.

    Parameters
    ----------
    plan : Plan
        The plan, for its units.
    calibration : Calibration
        Result of the calibration.
    console : Console
        Where to print.
    """
    console.print(f"[bold]{escape(fit_sentence(plan, calibration))}[/]")
    console.print(rows(fit_table(calibration)))
    for item in [*combined_text(plan, calibration), *correlated_pairs_text(calibration)]:
        console.print(f"[bold]![/] {escape(item)}")


def print_climates(climates: list[Climate], console: Console) -> None:
    """Print one row for each weather file.

    Parameters
    ----------
    climates : list of Climate
        The weather files.
    console : Console
        Where to print.
    """
    rows: list[tuple[str, ...]] = []
    for climate in climates:
        hours, header = climate.hours, climate.header
        span = f"{hours.index[0]:%Y-%m-%d} – {hours.index[-1]:%Y-%m-%d}"
        rows.append((header.name, header.place, header.kind, span, percent_text(climate.filled_share, 1)))
    console.print(table(["name", "place", "kind", "first and last day", "hours filled in"], rows, left=4))
