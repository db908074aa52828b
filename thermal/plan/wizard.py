"""A first plan from some twenty answers: the text of a plan file that can be run at once."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from thermal import data
from thermal.core import quantities
from thermal.core.quantities import LENGTH
from thermal.plan.answer_forms import circuits, is_nothing, names, plain_number
from thermal.plan.questions import QUESTIONS, default_answers, ready_places, room_templates
from thermal.plan.room_sides import room_sides
from thermal.plan.written_for import FIGURES_SINCE

if TYPE_CHECKING:
    import jinja2

__all__ = ["QUESTIONS", "default_answers", "ready_places", "render_plan", "room_templates"]
LIGHTS_HOURS = "06:00-22:00"  # common practice for greens, no source


def render_plan(place: str, system: str, answers: dict[str, str], assumed: Sequence[str] = ()) -> str:
    """The text of a plan file. The answers are checked only when the plan is read.

    Parameters
    ----------
    place : str
        The kind of room, a key of `room_templates`.
    system : str
        The unit system, "metric" or "us".
    answers : dict of str to str
        By the keys of `QUESTIONS`.
    assumed : sequence of str
        What was assumed and why, one line each, for the head of the file.
    """
    return _template().render(**_template_values(place, system, answers), assumed=assumed) + "\n"


@cache
def _template() -> jinja2.Template:
    """The template of a plan, read once."""
    import jinja2

    environment = jinja2.Environment(undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    environment.filters["toml"] = _toml_string
    environment.filters["toml_list"] = lambda items: "[" + ", ".join(map(_toml_string, items)) + "]"
    return environment.from_string((files("thermal") / "plan" / "examples" / "start.toml.jinja").read_text("utf-8"))


def _toml_string(value: str) -> str:
    """A TOML basic string; JSON's escapes are a subset of TOML's."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _template_values(place: str, system: str, answers: dict[str, str]) -> dict[str, Any]:
    """The values of the template."""
    row, usual = data.raw_table("places")[place], default_answers(place, system)
    answers = {**usual, **answers}
    room = _sizes(answers["room_size"], 3)
    named = names(answers["floor"])
    species = bool(named) and all(name.lower() in data.species() for name in named)
    plants = [plant for plant in _plants(answers) if not species or plant not in named]
    return {
        **answers,
        **_system_values(system, answers),
        "says": row["says"],
        "title": row["title"],
        "units": system,
        "written_for": FIGURES_SINCE,
        "monthly_means": [] if is_nothing(answers["monthly_mean"]) else answers["monthly_mean"].split(","),
        "record": "" if is_nothing(answers["record_low"]) else answers["record_low"],
        "floor_is_species": species,
        "floor": [*named, *plants] if species else answers["floor"],
        "plants": plants,
        "room_length": room[0],
        "room_width": room[1],
        "room_height": room[2],
        "temperature": row.get("temperature", {}).get(system),
        "air_changes": row.get("air_changes", ""),
        "slab": row.get("floor", ""),
        "sides": room_sides(place, answers, usual, room, system),
        "hut": _hut_within(row["hut"][system], room) if "hut" in row else None,
        "hut_build": row.get("hut", {}).get("build", ""),
    }


def _system_values(system: str, answers: dict[str, str]) -> dict[str, Any]:
    """The values of tanks, beds, pump, lights, heaters and power."""
    bed, across = _sizes(answers["bed_size"], 2), _sizes(answers["tank_across"], 2)
    sump = [] if is_nothing(answers["sump"]) else _sizes(answers["sump"], 3)
    lamp, _, hours = answers["lights"].rpartition(" ") if ":" in answers["lights"] else (answers["lights"], "", "")
    heaters = [] if is_nothing(answers["heaters"]) else answers["heaters"].split(",")
    wires = circuits(answers["circuit"])
    return {
        "round": answers["tank_shape"] == "round",
        "tank_length": across[0],
        "tank_width": across[1],
        "sump_given": bool(sump),
        "sump": sump or (("0.6 m", "0.5 m", "0.35 m") if system == "metric" else ("24 in", "20 in", "14 in")),
        "beds": 0 if is_nothing(answers["beds"]) else _toml_number(answers["beds"]),
        "bed_length": bed[0],
        "bed_width": bed[1],
        "stands_on": "slab",
        "pump_share": "1" if is_nothing(answers["pump_share"]) else _toml_number(answers["pump_share"]),
        "pipe": ("10 m", "40 mm") if system == "metric" else ("30 ft", "1.5 in"),
        "lamp": "" if is_nothing(answers["lights"]) else lamp,
        "lamp_hours": hours or LIGHTS_HOURS,
        "heaters": [heater.strip() for heater in heaters],
        "circuit": wires[0] if len(wires) == 1 else wires,
        "price": _toml_number(answers["price"]),
    }


def _hut_within(hut: list[str], room: list[str]) -> list[str]:
    """The sides of a hut, cut to those of a small room."""
    try:
        return [min(pair, key=lambda text: quantities.parse(text, LENGTH)) for pair in zip(hut, room, strict=True)]
    except ValueError:
        return hut


def _toml_number(text: str) -> str:
    """A number as text of a plan; any other answer in quotes, for the plan file's message."""
    try:
        return f"{plain_number(text, '1'):.10g}"
    except ValueError:
        return _toml_string(text)


def _plants(answers: dict[str, str]) -> list[str]:
    """The plants named; an unknown one is left for the plan file's message."""
    return [name for name in names(answers["plants"]) if name.lower() not in ("none", "not named")]


def _sizes(text: str, count: int) -> list[str]:
    """Lengths from "6 m x 5 m"; missing ones repeat the last, so that the plan file's message explains the fault."""
    parts = [part.strip() for part in text.lower().replace("×", "x").split("x") if part.strip()] or [""]
    return (parts + [parts[-1]] * count)[:count]
