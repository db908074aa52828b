"""The command `start`: a first plan from questions, or a copy of an example."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Annotated, Any

import typer

from thermal.cli.output import Json, show
from thermal.errors import OverwinterError

NUMBERS = ("beds", "pump_share", "price")  # answers that stand in the plan without quotes


def start(
    file: Annotated[Path | None, typer.Argument(metavar="FILE", help="The plan file to write.")] = None,
    place: Annotated[
        str, typer.Option("--place", help="Kind of room: garage, workshop, basement, shed or lean-to.")
    ] = "garage",
    units: Annotated[str, typer.Option("--units", help="Units of the plan: metric or us.")] = "metric",
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
    """Write a plan with comments from about ten questions."""
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
        text, about, answers = _plan_from_questions(place, units, given or [], yes)
    else:
        text, about, answers = _ready_plan(plan, options_given=bool(given))
    write_atomically(file, text)
    then = f"Next: overwinter check {file}, then overwinter run {file}"
    show(
        json,
        lambda: {"file": str(file), **answers},
        lambda console: typer.echo(f"Plan written to {file} ({about}). {then}"),
    )


def _plan_from_questions(place: str, units: str, given: list[str], yes: bool) -> tuple[str, str, dict[str, Any]]:
    """Text of a plan from given and asked answers, the title of its room, and the answers."""
    from thermal.core.suggest import nearest
    from thermal.plan.reader import plan_of
    from thermal.plan.wizard import QUESTIONS, default_answers, render_plan, room_templates

    if place not in room_templates():
        raise OverwinterError(f"--place {place!r} is not a kind of room; {nearest(place, room_templates())}")
    if units not in ("metric", "us"):
        raise OverwinterError(f"--units {units!r}: must be metric or us")
    given_answers = _pairs(given, [question.key for question in QUESTIONS])
    answers = {**default_answers(place, units), **given_answers}
    for question in QUESTIONS:
        if not yes and question.key not in given_answers:
            answers[question.key] = typer.prompt(question.asks, default=answers[question.key])
    for question in QUESTIONS:
        if question.key in NUMBERS and not re.fullmatch(r"\d+(\.\d+)?|none", answers[question.key].strip()):
            raise OverwinterError(
                f"{question.asks}: {answers[question.key]!r} is not a number; write for example"
                f" {question.default(units)}"
            )
    text = render_plan(place, units, answers)
    plan_of(tomllib.loads(text), "answers")  # raises PlanError with every fault of the answers
    return text, room_templates()[place], {"place": place, "units": units, "answers": answers}


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
            raise OverwinterError(f"--answer {pair!r}: unknown answer {key!r}; {nearest(key, known)}")
        answers[key] = value
    return answers
