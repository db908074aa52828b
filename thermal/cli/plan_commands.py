"""The commands on a plan. Each reads the plan, calls the library, and prints."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from thermal.cli.file_options import Column, Dates, Unit, read_options
from thermal.cli.output import Json, Units, print_path, progress, show
from thermal.errors import OverwinterError

if TYPE_CHECKING:
    from thermal.analysis.assessment import Assessment
    from thermal.analysis.case import SimulationCase
    from thermal.analysis.comparison_results import Uncertainty
    from thermal.climate.dataset import Climate
    from thermal.climate.heating_seasons import Weather
    from thermal.plan.model import Plan

PlanFile = Annotated[Path, typer.Argument(metavar="PLAN", help="The plan file (TOML), or the name of a ready plan.")]
SAMPLES = 200  # two seeds then agree on the median within 2 %, on the heaters to buy within 4 %
Samples = Annotated[int, typer.Option("--samples", min=20, max=20000, help="Number of random samples.")]
Reports = Annotated[Path, typer.Option("--reports", metavar="FOLDER", help="Folder for the report.")]


def demo(
    json: Json = None, units: Units = None, reports: Reports = Path("reports"), samples: Samples = SAMPLES
) -> None:
    """Run the demo plan: a workshop in Lorraine through 22 winters."""
    from thermal.plan.example_plans import DEMO

    _run(Path(DEMO), json, units, reports, samples)


def run(
    plan: PlanFile,
    json: Json = None,
    units: Units = None,
    reports: Reports = Path("reports"),
    samples: Samples = SAMPLES,
) -> None:
    """Run the full analysis and write an HTML report."""
    _run(plan, json, units, reports, samples)


def heater(
    plan: PlanFile,
    json: Json = None,
    units: Units = None,
    samples: Annotated[
        int,
        typer.Option(
            "--samples", min=0, max=20000, help="Number of random samples. Without any, the reserve is approximate."
        ),
    ] = 0,
) -> None:
    """Size the heater; see what happens if one fails or sticks on."""
    from thermal.analysis.assessment import assess
    from thermal.report.json_csv import assessment_json
    from thermal.report.question_json import QUESTION_KEYS
    from thermal.report.terminal import print_heater

    case = _case(plan, units)
    assessment = assess(case, _uncertainty(case, samples) if samples else None)
    wanted = (
        "verdict", "remedies", "other_plants", "heater", "heating_dates", "circuit", "circuits", "warnings", "closure",
        *QUESTION_KEYS,
    )  # fmt: skip

    def content() -> dict[str, Any]:
        answer = assessment_json(assessment)
        return {key: answer[key] for key in wanted}

    show(json, content, lambda console: print_heater(assessment, console))


def outage(plan: PlanFile, json: Json = None, units: Units = None, reports: Reports = Path("reports")) -> None:
    """Show how long the water lasts in a power cut; write a wall card."""
    from thermal.core.atomic_write import write_atomically
    from thermal.report.how_made import how_made
    from thermal.report.json_csv import outage_json
    from thermal.report.outage_card import card
    from thermal.report.terminal import print_outage

    assessment = _assess(plan, units)
    result, plan_in_si = assessment.outage, assessment.case.plan
    sheet = card(plan_in_si, result, how_made("outage", plan))
    path = write_atomically(_folder(reports, plan, plan_in_si) / "outage-card.html", sheet)
    show(json, lambda: outage_json(result), lambda console: print_outage(plan_in_si, result, console))
    print_path("Card", path, json)


def compare(
    plan: PlanFile,
    json: Json = None,
    units: Units = None,
    reports: Reports = Path("reports"),
    budget: Annotated[float | None, typer.Option("--budget", min=0.0, help="Most to spend on measures.")] = None,
) -> None:
    """Compare insulation, minimum temperatures and ways to heat."""
    from dataclasses import replace

    from thermal.analysis.comparison_harms import harms_of_plan
    from thermal.analysis.damp_ways import damp_ways
    from thermal.analysis.design_study import collect_study, combined_study, comparison_of, design_study, submit_study
    from thermal.analysis.heater_choice import refuse_where_no_heater_is_enough
    from thermal.analysis.hut_air_ways import hut_air_ways
    from thermal.analysis.other_heat import other_heat_ways
    from thermal.analysis.required_insulation import needed_resistances
    from thermal.core.parallel import CORES, processes
    from thermal.report.comparison_page import write_comparison
    from thermal.report.how_made import how_made
    from thermal.report.json_csv import compare_json
    from thermal.report.render_charts import comparison_charts, import_ahead
    from thermal.report.terminal import print_comparison

    case = _case(plan, units)
    study = design_study(case, comparison=True, others=True)
    with processes() as pool:
        shares = submit_study(study, pool, CORES)
        insulation = pool.submit(needed_resistances, case)
        other_heat = pool.submit(other_heat_ways, case)
        import_ahead()
        results = collect_study(study, shares, progress("combinations"))
        refuse_where_no_heater_is_enough(case.plan, results)
        harms = pool.submit(harms_of_plan, case, results[0])
        drying = pool.submit(damp_ways, case, results[0])
        hut_air = pool.submit(hut_air_ways, case, results[0])
        both = combined_study(study, results)
        both_results = collect_study(both, submit_study(both, pool, CORES), progress("ways with measures"))
        comparison = comparison_of(study, results, budget, insulation.result(), (both, both_results))
        comparison = replace(
            comparison,
            alternatives=(*comparison.alternatives, *drying.result(), *hut_air.result(), *other_heat.result()),
        )
        charts = comparison_charts(case.plan, comparison)
        comparison = replace(comparison, warnings=harms.result())
    folder = _folder(reports, plan, case.plan)
    page = write_comparison(case, comparison, budget, charts, how_made("compare", plan), folder)
    show(
        json,
        lambda: compare_json(case, comparison),
        lambda console: print_comparison(case, comparison, budget, console),
    )
    print_path("Report", page, json)


def spread(
    plan: PlanFile,
    json: Json = None,
    units: Units = None,
    reports: Reports = Path("reports"),
    samples: Samples = SAMPLES,
    seed: Annotated[
        int, typer.Option("--seed", min=0, help="Seed of the random samples; the same seed gives the same samples.")
    ] = 0,
) -> None:
    """Estimate uncertainty, and which input is most worth measuring."""
    from thermal.report.how_made import how_made
    from thermal.report.spread_page import write_spread
    from thermal.report.terminal import print_spread
    from thermal.report.uncertainty_text import spread_json

    case = _case(plan, units)
    uncertainty = _uncertainty(case, samples, seed)
    page = write_spread(case, uncertainty, how_made("spread", plan), _folder(reports, plan, case.plan))
    show(json, lambda: spread_json(uncertainty), lambda console: print_spread(case.plan, uncertainty, console))
    print_path("Report", page, json)


def fit(
    plan: PlanFile,
    log: Annotated[
        Path | None, typer.Argument(metavar="LOG", help="A logger's CSV with time, outdoor, room, water and watts.")
    ] = None,
    water: Annotated[
        Path | None, typer.Option("--water", metavar="FILE", help="CSV of the water's sensor alone.")
    ] = None,
    room: Annotated[Path | None, typer.Option("--room", metavar="FILE", help="CSV of the room's sensor alone.")] = None,
    outdoor: Annotated[
        Path | None, typer.Option("--outdoor", metavar="FILE", help="CSV of the outdoor sensor alone.")
    ] = None,
    watts: Annotated[
        Path | None, typer.Option("--watts", metavar="FILE", help="CSV of the heater's watts alone.")
    ] = None,
    dates: Dates = None,
    column: Column = None,
    unit: Unit = None,
    json: Json = None,
    units: Units = None,
    reports: Reports = Path("reports"),
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="File for the calibrated plan. [default: PLAN-fitted.toml]"),
    ] = None,
    hours: Annotated[
        Path | None, typer.Option("--hours", metavar="FILE", help="Write measured and simulated hours as CSV.")
    ] = None,
    steady: Annotated[
        str | None,
        typer.Option(
            "--steady", help='Steady state as "heater watts, water, air", for example "25 W, 11 degC, 6 degC".'
        ),
    ] = None,
    cooled: Annotated[
        str | None,
        typer.Option(
            "--cooled", help='Cool-down as "before, after, air, hours", for example "12 degC, 9.5 degC, 2 degC, 8 h".'
        ),
    ] = None,
) -> None:
    """Calibrate the plan to a logger's file, or do a cool-down test."""
    from thermal.analysis.calibration import calibrate
    from thermal.analysis.cooldown_test import cooldown_test
    from thermal.analysis.plan_weather import scene_of
    from thermal.climate.logger_csv import ALL, read_logs
    from thermal.core.atomic_write import write_atomically
    from thermal.plan.example_plans import plan_file
    from thermal.plan.reader import read_plan
    from thermal.report.calibration_text import calibration_json, fitted_plan, hours_csv
    from thermal.report.cooldown_text import cooldown_json, cooldown_sentence
    from thermal.report.fit_page import Fitted, write_fit
    from thermal.report.how_made import how_made
    from thermal.report.terminal import print_fit

    plan_in_si = _in_units(read_plan(plan_file(plan)), units)
    if steady is not None or cooled is not None:
        rule = cooldown_test(plan_in_si, steady, cooled)
        return show(json, lambda: cooldown_json(rule), lambda console: typer.echo(cooldown_sentence(plan_in_si, rule)))
    files = {ALL: log, "water_c": water, "room_c": room, "outdoor_c": outdoor, "heater_w": watts}
    given = {role: path for role, path in files.items() if path is not None}
    if not given:
        raise OverwinterError("fit: give a logger's file, --water FILE or --room FILE, or --steady, or --cooled")
    case = scene_of(plan_in_si, plan.parent, as_dated=True)
    usual_unit = "degF" if plan_in_si.units == "us" else "degC"
    reading = read_logs(given, read_options(dates, column, unit), case.climate.header.timezone, usual_unit)
    for line in (*reading.columns, *reading.notes):
        typer.echo(f"  {line}", err=json == "-")
    logged = reading.log
    result = calibrate(case, logged)
    text = fitted_plan(plan_file(plan).read_text("utf-8-sig"), plan_in_si, result.factors, result.spread)
    path = write_atomically(out or plan.with_name(f"{plan.stem}-fitted.toml"), text)
    if hours is not None:
        write_atomically(hours, hours_csv(result, logged))
    fitted = Fitted(result, logged, (*reading.columns, *reading.notes), path.name, text)
    page = write_fit(case, fitted, how_made("fit", plan), _folder(reports, plan, case.plan))
    read = {"columns": reading.columns, "notes": reading.notes}
    show(json, lambda: {**calibration_json(result), **read}, lambda console: print_fit(plan_in_si, result, console))
    print_path("Calibrated plan", path, json)
    print_path("Report", page, json)


def check(
    plan: Annotated[Path | None, typer.Argument(metavar="PLAN", help="The plan file (TOML).")] = None,
    json: Json = None,
    units: Units = None,
    schema: Annotated[
        bool, typer.Option("--schema", help="Print a JSON Schema; editors use it to complete and check keys.")
    ] = False,
) -> None:
    """Show how a plan was read, or every fault in it, its weather file included."""
    from dataclasses import asdict

    if schema:
        from thermal.plan import reader

        return show(json or "-", reader.schema, lambda console: None)
    if plan is None:
        raise OverwinterError("check: give a plan file, or --schema")
    from thermal.report.plan_summary import plan_figures, print_plan

    plan_in_si, _, _ = _with_weather(plan, units)
    figures = {key: value for key, value in asdict(plan_in_si).items() if key != "source"}
    show(json, lambda: {**figures, **plan_figures(plan_in_si)}, lambda console: print_plan(plan_in_si, console))


def _run(path: Path, json: str | None, units: str | None, reports: Path, samples: int) -> None:
    """Run the full analysis of a plan, its samples and variants on other processes, and write its report."""
    from thermal.analysis.assessment import FullAssessment, assess
    from thermal.analysis.design_study import collect_study, comparison_of, design_study, submit_study, uncertainty_of
    from thermal.core.parallel import CORES, processes

    case = _case(path, units)
    sampled, variants = design_study(case, samples=samples), design_study(case, comparison=True)
    with processes() as pool:
        sample_shares = submit_study(sampled, pool, CORES)
        variant_shares = submit_study(variants, pool, max(CORES - 1, 1))  # one core is left for the assessment
        from thermal.report.how_made import how_made  # these while the other processes simulate
        from thermal.report.json_csv import full_assessment_json
        from thermal.report.render_charts import assessment_charts, comparison_charts, import_ahead, outage_charts
        from thermal.report.run_page import write_report
        from thermal.report.terminal import print_full_assessment

        import_ahead()
        uncertainty = uncertainty_of(sampled, collect_study(sampled, sample_shares, progress("samples")))
        assessment = assess(case, uncertainty, executor=pool)
        charts = assessment_charts(assessment)
        results = collect_study(variants, variant_shares, progress("combinations"), assessment.heater.margin)
        full = FullAssessment(assessment, comparison_of(variants, results))
        charts |= comparison_charts(case.plan, full.comparison)
        charts |= outage_charts(assessment)
    page = write_report(full, charts, how_made("run", path), _folder(reports, path, case.plan))
    show(json, lambda: full_assessment_json(full), lambda console: print_full_assessment(full, console))
    print_path("Report", page, json)
    typer.echo(f"Next: {_next_step(path, case.plan)}", err=json == "-")


def _next_step(path: Path, plan: Plan) -> str:
    """The one command to try after `run`."""
    from thermal.plan.example_plans import DEMO

    if path.stem == DEMO and not path.exists():
        return "overwinter start my.toml, a plan of your own"
    if plan.measures:
        return f"overwinter compare {path} --budget 300, what to do first with a sum of money"
    return f"write what you could insulate as [[measure]] in {path}, then overwinter compare {path}"


def _folder(reports: Path, path: Path, plan: Plan) -> Path:
    """The folder of a plan's report."""
    from thermal.plan.example_plans import plan_file
    from thermal.report.report_folder import report_folder

    return report_folder(reports, plan_file(path), plan.climate.series or plan.climate.file)


def _uncertainty(case: SimulationCase, samples: int, seed: int = 0) -> Uncertainty:
    """Samples of a plan, simulated on other processes."""
    from thermal.analysis.design_study import collect_study, design_study, submit_study, uncertainty_of
    from thermal.analysis.heater_choice import refuse_where_no_heater_is_enough
    from thermal.core.parallel import CORES, processes

    study = design_study(case, samples=samples, seed=seed)
    with processes() as pool:
        results = collect_study(study, submit_study(study, pool, CORES), progress("samples"))
    refuse_where_no_heater_is_enough(case.plan, results[:1])
    return uncertainty_of(study, results)


def _assess(path: Path, units: str | None) -> Assessment:
    """Assessment of a plan file, without what would keep its plants warm."""
    from thermal.analysis.assessment import assess

    return assess(_case(path, units), remedies=False)


def _case(path: Path, units: str | None) -> SimulationCase:
    """A plan file in its climate. A relative weather file is looked for in the folder of the plan."""
    from thermal.analysis.case import case_in

    return case_in(*_with_weather(path, units))


def _with_weather(path: Path, units: str | None) -> tuple[Plan, Climate, Weather]:
    """A plan file in the units of the option, where that is given, with its climate and winters."""
    from thermal.analysis.plan_check import read_with_weather
    from thermal.plan.example_plans import plan_file

    plan, climate, weather = read_with_weather(plan_file(path))
    return _in_units(plan, units), climate, weather


def _in_units(plan: Plan, units: str | None) -> Plan:
    """The plan shown in the units of the option, where that is given."""
    from dataclasses import replace

    return replace(plan, units=units) if units else plan
