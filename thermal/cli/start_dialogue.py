"""The questions of `start`, one after the other: each answer is checked as it is given, and asked again if need be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import typer

from thermal.errors import OverwinterError, PlanError

if TYPE_CHECKING:
    from thermal.plan.answer_checks import Understood

NEUTRAL = {"tank_depth": "0.03 m", "beds": "0", "sump": "none"}  # of what was not asked yet, so that it fits any room
SHOWN = 60  # characters of an answer in a message


@dataclass
class Dialogue:
    """The state of the questions.

    Attributes
    ----------
    system : str
        The unit system, "metric" or "us".
    answers : dict of str to str
        Answers as the plan writes them, usual ones where not yet given.
    given : dict of str to str
        Answers of the person as written, by options, from a draft or typed.
    settled : list of str
        Keys whose answer is decided.
    usual : list of str
        Keys whose usual answer was taken.
    notes : list of str
        What was worked out from the answers.
    other_town : bool
        Whether the weather file is known to be of another town.
    """

    system: str
    answers: dict[str, str]
    given: dict[str, str]
    settled: list[str] = field(default_factory=list)
    usual: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    other_town: bool = False


def settle_all(state: Dialogue, yes: bool, keep: Callable[[], None]) -> None:
    """Settle every question: by the given answer, by asking, or by the usual answer.

    Parameters
    ----------
    state : Dialogue
        Changed in place.
    yes : bool
        Whether to take the usual answers without asking.
    keep : callable
        Called after each typed answer; keeps the draft.

    Raises
    ------
    OverwinterError
        Without questions: with the reason and an example for each given answer that cannot be used.
    """
    from thermal.plan.questions import QUESTIONS, applies

    faults: list[str] = []
    for question in QUESTIONS:
        key = question.key
        if key in state.given:
            _settle_given(state, key, faults)
            if faults and not yes:
                typer.echo(f"  {faults.pop()}")
        while key not in state.settled and applies(key, state.answers, state.other_town):
            if yes:
                _settle_usual(state, key, faults)
            else:
                _ask(state, key, question.asks)
                keep()
    if faults and yes:
        raise OverwinterError("\n".join(faults))


def _settle_given(state: Dialogue, key: str, faults: list[str]) -> None:
    """Take a given answer; where it cannot be used, say why and leave the question open."""
    try:
        _settle(state, key, state.given[key])
    except ValueError as fault:
        faults.append(f"--answer {key}={state.given[key][:SHOWN]!r}: {fault}")
    if key not in state.settled:
        del state.given[key]


def _settle_usual(state: Dialogue, key: str, faults: list[str]) -> None:
    """Take the usual answer."""
    usual = state.answers[key]
    try:
        _settle(state, key, usual)
    except ValueError as fault:
        faults.append(
            f"{key}: the usual answer, {usual!r}, does not go with the others: {fault}; add --answer {key}=..."
        )
        state.settled.append(key)


def _ask(state: Dialogue, key: str, asks: str) -> None:
    """Ask one question; where the answer cannot be used, say why."""
    text = str(typer.prompt(asks, default=state.answers[key]))
    notes_before = len(state.notes)
    try:
        _settle(state, key, text)
    except ValueError as fault:
        typer.echo(f"  {fault}")
        return
    for note in state.notes[notes_before:]:
        typer.echo(f"  {note}")
    if key in state.settled and key not in state.usual:
        state.given[key] = text


def _settle(state: Dialogue, key: str, text: str) -> None:
    """Take one answer into the state; ValueError with the reason where it cannot be used."""
    from thermal.plan.answer_forms import is_unsure
    from thermal.plan.questions import default_answers

    as_usual = is_unsure(text) or text == state.answers[key]
    text = state.answers[key] if as_usual else text
    taken, other_town = _understood(state, key, text, as_usual)
    changed = dict(taken.answers)
    if "currency" in state.given and key != "currency":
        changed.pop("currency", None)
    if key == "place":
        changed = default_answers(changed["place"], state.system)
    answers = {**state.answers, **changed}
    settled = [*state.settled, *([key] if key in changed else [])]
    if faults := faults_so_far(answers, settled, state.system):
        raise ValueError("; ".join(faults[:3]))
    state.answers, state.settled, state.other_town = answers, settled, other_town
    state.notes += taken.notes
    state.usual = [other for other in state.usual if other not in changed]
    if key not in changed and "tank_volume" in changed:
        state.given["tank_depth"] = changed["tank_volume"]
    if as_usual and key not in state.given:
        state.usual.append(key)


def _understood(state: Dialogue, key: str, text: str, as_usual: bool) -> tuple[Understood, bool]:
    """What an answer changes, and whether the weather file is then of another town."""
    from thermal.cli.start_climate import weather_file
    from thermal.plan.answer_checks import Understood, understand

    if key != "climate":
        return understand(key, text, state.answers, state.system), state.other_town
    if as_usual:
        return Understood({key: text}), False
    name, note, other_town = weather_file(text)
    return Understood({key: name}, (note,) if note else ()), other_town


def faults_so_far(answers: dict[str, str], settled: list[str], system: str) -> list[str]:
    """Faults of the plan of the answers so far, with nothing in the room that was not asked yet.

    Parameters
    ----------
    answers : dict of str to str
        All answers, usual ones where not yet given.
    settled : list of str
        Keys of the answers that are decided.
    system : str
        The unit system, "metric" or "us".
    """
    import tomllib

    from thermal.plan.reader import plan_of
    from thermal.plan.wizard import render_plan

    neutral = {key: value for key, value in NEUTRAL.items() if key not in settled}
    if "tank_across" not in settled:
        neutral["tank_across"] = "0.1 m" if answers["tank_shape"] == "round" else "0.1 m x 0.1 m"
    if "bed_size" not in settled:
        neutral["bed_size"] = "0.1 m x 0.1 m"
    document = tomllib.loads(render_plan(answers["place"], system, {**answers, **neutral}))
    try:
        plan_of({**document, "measure": []}, "plan")
    except PlanError as fault:
        return fault.faults
    return []
