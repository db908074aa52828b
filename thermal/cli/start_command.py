"""The command `start`: a first plan from questions, or a copy of an example."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from thermal.cli.output import Json, show
from thermal.errors import OverwinterError

if TYPE_CHECKING:
    from thermal.cli.start_dialogue import Dialogue


def start(
    file: Annotated[Path | None, typer.Argument(metavar="FILE", help="The plan file to write.")] = None,
    place: Annotated[
        str | None,
        typer.Option(
            "--place",
            help="Kind of room: garage, two-car-garage, detached-garage, workshop, shed, basement, cellar or lean-to.",
        ),
    ] = None,
    units: Annotated[
        str | None, typer.Option("--units", help="Units of the plan: metric or us.", show_default="metric")
    ] = None,
    yes: Annotated[bool, typer.Option("--yes", help="Use the default for every question you did not answer.")] = False,
    given: Annotated[
        list[str] | None,
        typer.Option(
            "--answer",
            metavar="KEY=VALUE",
            help='Answer one question, for example tank_across="5 ft"; may be repeated.',
        ),
    ] = None,
    plan: Annotated[
        str | None, typer.Option("--plan", metavar="NAME", help="Copy a ready plan instead of asking questions.")
    ] = None,
    list_plans: Annotated[bool, typer.Option("--list-plans", help="List the ready plans and stop.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Overwrite an existing file.")] = False,
    json: Json = None,
) -> None:
    """Write a plan with comments from some twenty questions, each checked as you answer it."""
    from thermal.cli.start_draft import delete_draft
    from thermal.core.atomic_write import write_atomically
    from thermal.plan.example_plans import example_plans

    if list_plans:
        plans = example_plans()
        lines = "\n".join(f"{name:16s} {title}" for name, title in plans.items())
        return show(json, lambda: plans, lambda console: typer.echo(lines))
    if file is None:
        raise OverwinterError("start: name the plan file to write, for example my.toml, or add --list-plans")
    if file.exists() and not force:
        raise OverwinterError(f"{file} already exists; choose another name, or add --force")
    if plan is None:
        text, about, answers = _plan_from_questions(file, (place, units), given or [], yes)
    else:
        text, about, answers = _ready_plan(plan, options_given=bool(given))
    write_atomically(file, text)
    if plan is None:
        delete_draft(file)
    then = f"Next: overwinter check {file}, then overwinter run {file}"
    show(
        json,
        lambda: {"file": str(file), **answers},
        lambda console: typer.echo(f"Plan written to {file} ({about}). {then}"),
    )


def _plan_from_questions(
    file: Path, options: tuple[str | None, str | None], given: list[str], yes: bool
) -> tuple[str, str, dict[str, Any]]:
    """Text of a plan from given and asked answers, the title of its room, and the answers."""
    from thermal.cli.start_dialogue import Dialogue, settle_all
    from thermal.cli.start_draft import read_draft
    from thermal.plan.assumptions import assumed_lines
    from thermal.plan.questions import QUESTIONS, default_answers, room_templates
    from thermal.plan.wizard import render_plan

    keys = [question.key for question in QUESTIONS]
    draft = read_draft(file, ["units", *keys])
    place, system = _checked_options(*options, draft.pop("units", "metric"))
    answers = {**draft, **_pairs(given, keys), **({"place": place} if place else {})}
    if draft:
        typer.echo(f"Going on with {len(draft)} answers of {file}.draft; delete it to begin again.", err=True)
    state = Dialogue(system, default_answers("garage", system), answers)
    try:
        settle_all(state, yes, lambda: _keep(file, state))
    except typer.Abort:
        _keep(file, state)
        again = f"`overwinter start {file}` goes on with them"
        typer.echo(f"\nStopped. Your answers so far are kept in {file}.draft; {again}.", err=True)
        raise typer.Exit(130) from None
    place = state.answers["place"]
    assumed = assumed_lines(state.usual, state.notes, state.answers)
    text = render_plan(place, system, state.answers, assumed)
    about = f"{room_templates()[place]}; what was assumed, and why, stands at its head"
    return text, about, {"place": place, "units": system, "answers": state.answers, "assumed": assumed}


def _checked_options(place: str | None, units: str | None, draft_units: str) -> tuple[str | None, str]:
    """The kind of room, None where it is not given, and the unit system."""
    from thermal.core.suggest import nearest
    from thermal.plan.questions import place_for, room_templates

    if place is not None and place_for(place) is None:
        raise OverwinterError(f"--place {place[:60]!r} is not a kind of room; {nearest(place[:60], room_templates())}")
    system = units or (draft_units if draft_units in ("metric", "us") else "metric")
    if system not in ("metric", "us"):
        raise OverwinterError(f"--units {system[:60]!r}: must be metric or us")
    return (None if place is None else place_for(place)), system


def _keep(file: Path, state: Dialogue) -> None:
    """Keep the answers so far as a draft, where there are any."""
    from thermal.cli.start_draft import write_draft

    if state.given:
        write_draft(file, state.system, state.given)


def _ready_plan(name: str, options_given: bool) -> tuple[str, str, dict[str, Any]]:
    """Text of a ready plan, its title, and its name."""
    from thermal.core.suggest import nearest
    from thermal.plan.example_plans import example_path, example_plans

    plans = example_plans()
    if name not in plans:
        raise OverwinterError(f"--plan {name!r} is not a ready plan; {nearest(name, plans)}")
    if options_given:
        raise OverwinterError("--plan copies a ready plan as it is: leave out --answer, or leave out --plan")
    return example_path(name).read_text("utf-8"), plans[name], {"plan": name}


def _pairs(given: list[str], known: list[str]) -> dict[str, str]:
    """Answers given as options, such as tank_across="5 ft"."""
    from thermal.core.suggest import nearest

    answers = {}
    for pair in given:
        key, equals, value = pair.partition("=")
        if not equals or key not in known:
            shown = f"--answer {pair[:60]!r}: unknown answer {key[:60]!r}"
            raise OverwinterError(f"{shown}; {nearest(key[:60], known)}")
        answers[key] = value
    return answers
