"""What a first plan assumes and why, as lines for the head of the plan file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from thermal import data
from thermal.plan.answer_forms import is_nothing, names
from thermal.plan.questions import question_of


def assumed_lines(usual: Iterable[str], notes: Iterable[str], answers: Mapping[str, str]) -> list[str]:
    """Lines that say what was assumed, and why.

    Parameters
    ----------
    usual : iterable of str
        Keys of the questions whose usual answer was taken.
    notes : iterable of str
        What was worked out from the answers.
    answers : mapping of str to str
        All answers.
    """
    taken, named = [], names(answers["floor"])
    plants_named = any(data.species()[name.lower()].kind == "plant" for name in named if name.lower() in data.species())
    for key in usual:
        if key == "plants" and plants_named:  # beside the fish, in place of a minimum water temperature
            continue
        question = question_of(key)
        label = re.split(r"[:,;(]", question.asks)[0].strip()
        taken.append(f"{label}: {answers[key]} ({question.why})")
    return [*notes, *taken, *_fixed_lines(answers)]


def _fixed_lines(answers: Mapping[str, str]) -> list[str]:
    """What no question covers."""
    row = data.raw_table("places")[answers["place"]]
    lines = ["Tank: plastic of 6 mm, no insulation, on the slab (the usual tank)"]
    if not is_nothing(answers["beds"]):
        lines.append("Beds: gravel, flood and drain, on a frame (the usual bed)")
        lines.append("Pump: 1500 L/h, 25 W, always on (a usual size)")
    if "air_changes" in row:
        lines.append(f"Air changes: {row['air_changes']} (usual for this kind of room)")
        lines.append("Ground: clay or silt; slab without foam (the usual ground and slab)")
    else:
        lines.append("The heating of the house keeps the air of the room warm (a heated basement)")
    if "hut" in row:
        lines.append(f"Hut round the system: {row['hut']['build']} (part of this kind of room)")
    if not is_nothing(answers["sump"]):
        lines.append("Sump: a loose lid (the usual sump)")
    return lines
