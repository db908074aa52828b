"""The commands: parse, call the library, print. The only place that prints or ends the program."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from thermal.cli.climate_commands import climate_app
from thermal.cli.output import Json, progress, show
from thermal.errors import OverwinterError

if TYPE_CHECKING:
    from thermal.analysis.assessment import Answer
    from thermal.analysis.comparison import Options
    from thermal.plan.model import Plan

app = typer.Typer(
    no_args_is_help=True,
    add_completion=True,
    rich_markup_mode=None,  # its boxes cost every `--help` 0.15 s
    pretty_exceptions_enable=False,
    help="Plan the heat of fish and plants through the winter: will it hold, which heater, what it costs.",
)
app.add_typer(climate_app, name="climate")

PICTURES = "thermal.report.render_charts"
COLLECT_AFTER = 100_000  # new objects; after Python's own 700 its collector takes a twelfth of every command

PlanFile = Annotated[Path, typer.Argument(metavar="PLAN", help="The plan file (TOML).")]
Units = Annotated[str | None, typer.Option("--units", help="metric, us or imperial; for shown figures only.")]
Reports = Annotated[Path, typer.Option("--reports", metavar="FOLDER", help="Where reports go.")]


@app.command()
def demo(json: Json = None, units: Units = None, reports: Reports = Path("reports")) -> None:
    """Run the bundled plan: a workshop in central Illinois."""
    from importlib.resources import as_file, files

    with as_file(files("thermal") / "plan" / "examples" / "workshop.toml") as path:
        _answer(path, json, units, reports)


@app.command()
def start(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The plan file to write.")],
    place: Annotated[str, typer.Option("--place", help="garage, workshop, basement or shed.")] = "garage",
    units: Annotated[str, typer.Option("--units", help="metric or us.")] = "metric",
    yes: Annotated[bool, typer.Option("--yes", help="Take the usual answer to every question not given.")] = False,
    given: Annotated[
        list[str] | None, typer.Option("--answer", metavar="KEY=VALUE", help='Such as tank_across="5 ft"; may repeat.')
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
    json: Json = None,
) -> None:
    """Write a commented plan from about ten plain questions."""
    from thermal.core.atomic_write import write_whole
    from thermal.plan.constructions import nearest
    from thermal.plan.wizard import QUESTIONS, places, started, usual_answers

    if place not in places():
        raise OverwinterError(f"--place {place!r} is not a kind of room; {nearest(place, places())}")
    if units not in ("metric", "us"):
        raise OverwinterError(f"--units {units!r}: a plan is begun in metric or us units")
    if file.exists() and not force:
        raise OverwinterError(f"{file} is there already; choose another name, or --force")
    answers = {**usual_answers(place, units), **_pairs(given or [], [one.key for one in QUESTIONS])}
    for one in QUESTIONS:
        if not yes and not any(pair.startswith(f"{one.key}=") for pair in given or []):
            answers[one.key] = typer.prompt(one.asks, default=answers[one.key])
    write_whole(file, started(place, units, answers))
    then = f"Next: overwinter check {file}, then overwinter run {file}"
    show(
        json,
        lambda: {"file": str(file), "place": place, "units": units, "answers": answers},
        lambda console: typer.echo(f"Written: {file}, {places()[place]}. {then}"),
    )


def _pairs(given: list[str], known: list[str]) -> dict[str, str]:
    """Answers such as tank_across="5 ft"."""
    from thermal.plan.constructions import nearest

    found = {}
    for pair in given:
        key, equals, value = pair.partition("=")
        if not equals or key not in known:
            raise OverwinterError(f"--answer {pair!r}: {key!r} is not asked; {nearest(key, known)}")
        found[key] = value
    return found


@app.command()
def run(plan: PlanFile, json: Json = None, units: Units = None, reports: Reports = Path("reports")) -> None:
    """Give the whole answer to a plan and write its report."""
    _answer(plan, json, units, reports)


@app.command()
def heater(plan: PlanFile, json: Json = None, units: Units = None) -> None:
    """Size the heater: what to buy, one failed, one stuck on."""
    from thermal.report.json_csv import answer_json
    from thermal.report.terminal import print_heater

    answer = _answered(plan, units)
    wanted = ("heater", "circuit", "warnings", "closure")
    show(json, lambda: {key: answer_json(answer)[key] for key in wanted}, lambda console: print_heater(answer, console))


@app.command()
def outage(plan: PlanFile, json: Json = None, units: Units = None, reports: Reports = Path("reports")) -> None:
    """Say how long water lasts without power; write a wall card."""
    from thermal.core.atomic_write import slug, write_whole
    from thermal.report.json_csv import outage_json
    from thermal.report.outage_card import card
    from thermal.report.terminal import print_outage

    answer = _answered(plan, units)
    found, its_plan = answer.outage, answer.scene.plan
    path = write_whole(reports / slug(its_plan.title) / "outage-card.html", card(its_plan, found))
    show(json, lambda: outage_json(found), lambda console: print_outage(its_plan, found, console))
    typer.echo(f"Card: {path}", err=json == "-")


@app.command()
def compare(
    plan: PlanFile,
    json: Json = None,
    units: Units = None,
    reports: Reports = Path("reports"),
    budget: Annotated[float | None, typer.Option("--budget", min=0.0, help="Most money for measures.")] = None,
) -> None:
    """Weigh packages of measures, other floors and other ways."""
    from thermal.report.plot_worker import painter

    with painter(PICTURES) as draw:
        from thermal.analysis.case import scene_of
        from thermal.analysis.comparison import all_options
        from thermal.solver.parallel import processes

        def drawn(plan: Plan, found: Options) -> Callable[[], dict[str, bytes]]:
            begun = draw("option_pictures", plan, found)
            import_module("thermal.report.comparison_page")  # read while the other ways are marched
            return begun

        scene = scene_of(_read(plan, units), plan.parent)
        with processes() as pool:
            found, pictures = all_options(scene, drawn, budget, pool, progress("packages"))
        from thermal.report.comparison_page import compare_json, write_comparison
        from thermal.report.terminal import print_options

        page = write_comparison(scene, found, budget, pictures(), reports)
    show(json, lambda: compare_json(scene, found), lambda console: print_options(scene, found, budget, console))
    typer.echo(f"Report: {page}", err=json == "-")


@app.command()
def spread(
    plan: PlanFile,
    json: Json = None,
    units: Units = None,
    samples: Annotated[int, typer.Option("--samples", min=20, max=20000, help="Draws of what is not known.")] = 200,
    seed: Annotated[int, typer.Option("--seed", min=0, help="The same seed draws the same samples.")] = 0,
) -> None:
    """Say how sure the figures are, and what to measure first."""
    from thermal.analysis.case import scene_of
    from thermal.analysis.uncertainty import spread_of
    from thermal.report.terminal import print_spread
    from thermal.report.uncertainty_text import spread_json
    from thermal.solver.parallel import processes

    scene = scene_of(_read(plan, units), plan.parent)
    with processes() as pool:
        found = spread_of(scene, samples, seed, pool, progress("draws"))
    show(json, lambda: spread_json(found), lambda console: print_spread(scene.plan, found, console))


@app.command()
def fit(
    plan: PlanFile,
    log: Annotated[
        Path | None, typer.Argument(metavar="LOG", help="A logger's CSV: time, outdoor, room, water, watts.")
    ] = None,
    json: Json = None,
    units: Units = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="The fitted plan; PLAN-fitted.toml.")
    ] = None,
    hours: Annotated[Path | None, typer.Option("--hours", metavar="FILE", help="Measured v. modelled, as CSV.")] = None,
    steady: Annotated[
        str | None,
        typer.Option("--steady", help="Without a log: watts, water, air, held steady."),
    ] = None,
    cooled: Annotated[
        str | None,
        typer.Option("--cooled", help="Without a log: before, after, air, hours."),
    ] = None,
) -> None:
    """Fit the plan to a logger's file, or one figure by a clock."""
    from thermal.analysis.calibration import fitted
    from thermal.analysis.case import scene_of
    from thermal.climate.logger_csv import read_log
    from thermal.core.atomic_write import write_whole
    from thermal.report.calibration_text import fit_json, fitted_plan, hours_csv
    from thermal.report.cooldown_text import rule_json, rule_sentence, ruled
    from thermal.report.terminal import print_fit

    understood = _read(plan, units)
    if steady is not None or cooled is not None:
        rule = ruled(understood, steady, cooled)
        return show(json, lambda: rule_json(rule), lambda console: typer.echo(rule_sentence(understood, rule)))
    if log is None:
        raise OverwinterError("fit: name a logger's file, or give --steady or --cooled")
    logged = read_log(log)
    found = fitted(scene_of(understood, plan.parent), logged)
    text = fitted_plan(plan.read_text("utf-8-sig"), understood, found.factors)
    path = write_whole(out or plan.with_name(f"{plan.stem}-fitted.toml"), text)
    if hours is not None:
        write_whole(hours, hours_csv(found, logged))
    show(json, lambda: fit_json(found), lambda console: print_fit(found, console))
    typer.echo(f"Fitted plan: {path}", err=json == "-")


@app.command()
def check(
    plan: Annotated[Path | None, typer.Argument(metavar="PLAN", help="The plan file (TOML).")] = None,
    json: Json = None,
    units: Units = None,
    schema: Annotated[bool, typer.Option("--schema", help="Print the JSON Schema of plan files, for editors.")] = False,
) -> None:
    """Print what was understood of a plan, or every fault in it."""
    from dataclasses import asdict

    from thermal.plan import reader
    from thermal.report.plan_summary import plan_figures, print_plan

    if schema:
        return show(json or "-", reader.schema, lambda console: None)
    if plan is None:
        raise OverwinterError("check: name a plan file, or ask for --schema")
    understood = _read(plan, units)
    figures = {key: value for key, value in asdict(understood).items() if key != "source"}
    show(json, lambda: {**figures, **plan_figures(understood)}, lambda console: print_plan(understood, console))


def _answer(path: Path, json: str | None, units: str | None, reports: Path) -> None:
    """Answer a plan, write its report, print or save it."""
    from thermal.report.plot_worker import painter

    with painter(PICTURES) as draw:
        from thermal.analysis.case import scene_of
        from thermal.analysis.full_assessment import whole_answer
        from thermal.solver.parallel import processes

        def drawn(answer: Answer) -> Callable[[], dict[str, bytes]]:
            begun = draw("answer_pictures", answer)
            import_module("thermal.report.run_page")  # read while the packages are marched
            return begun

        scene = scene_of(_read(path, units), path.parent)
        with processes() as pool:
            whole, pictures = whole_answer(scene, drawn, pool, progress("packages and draws"))
        more = draw("option_pictures", scene.plan, whole.options)
        from thermal.report.json_csv import whole_json
        from thermal.report.run_page import write_report
        from thermal.report.terminal import print_whole

        page = write_report(whole, pictures() | more(), reports)
    show(json, lambda: whole_json(whole), lambda console: print_whole(whole, console))
    typer.echo(f"Report: {page}", err=json == "-")


def _answered(path: Path, units: str | None) -> Answer:
    """The whole answer to a plan file."""
    from thermal.analysis.assessment import answer_of
    from thermal.analysis.case import scene_of

    return answer_of(scene_of(_read(path, units), path.parent))


def _read(path: Path, units: str | None) -> Plan:
    """A plan file with the units option applied."""
    from dataclasses import replace

    from thermal.plan.constructions import nearest
    from thermal.plan.quantities import SHOWN
    from thermal.plan.reader import read_plan

    if units is not None and units not in SHOWN:
        raise OverwinterError(f"--units {units!r} is not a unit system; {nearest(units, SHOWN)}")
    plan = read_plan(path)
    return replace(plan, units=units) if units else plan


def main() -> None:
    """Run the command line; exit 0 when fine, 2 on bad input, 1 on a fault of the tool."""
    gc.set_threshold(COLLECT_AFTER)
    try:
        app()
    except OverwinterError as fault:
        typer.echo(str(fault), err=True)
        sys.exit(1 if type(fault).__name__ == "ClosureError" else 2)
    except KeyboardInterrupt:
        sys.exit(130)
