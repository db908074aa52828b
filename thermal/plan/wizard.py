"""A first plan from about ten answers: the text of a plan file that can be run at once."""

from __future__ import annotations

import json
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

import jinja2

from thermal import data
from thermal.core import quantities
from thermal.plan.written_for import FIGURES_SINCE

FOOT_M = 0.3048


@dataclass(frozen=True)
class Question:
    """One question of the wizard.

    Attributes
    ----------
    key : str
        Its key in the answers, and the name of its option.
    asks : str
        The question.
    metric, us : str
        The default answer in each unit system.
    """

    key: str
    asks: str
    metric: str
    us: str

    def default(self, system: str) -> str:
        """The default answer in a unit system, "metric" or "us"."""
        return self.metric if system == "metric" else self.us


QUESTIONS = (
    Question(
        "climate",
        "Weather file (`overwinter climate list`; `climate adapt` moves one to your town)",
        "springfield-il",
        "springfield-il",
    ),
    Question(
        "floor",
        "Minimum water temperature, or the species you keep (for example yellow perch, lettuce)",
        "10 degC",
        "50 degF",
    ),
    Question("tank_across", "Diameter of the round tank", "1.2 m", "4 ft"),
    Question("tank_depth", "Depth of its water", "0.8 m", "2.5 ft"),
    Question("beds", "Number of grow beds", "2", "2"),
    Question("bed_size", "Size of each bed, length x width", "1.2 m x 0.8 m", "4 ft x 2.5 ft"),
    Question("plants", "Plants in the beds, for example lettuce, mint; or not named", "not named", "not named"),
    Question("pump_share", "Share of the pump's heat that goes to the water (1 in the water, 0.6 beside it)", "1", "1"),
    Question("room_size", "Size of the room, length x width x height", "", ""),  # from the kind of room
    Question("heaters", "Heaters you own, for example 300 W, 300 W; or none", "none", "none"),
    Question("price", "Price of electricity per kWh", "0.25", "0.17"),
    Question("currency", "Currency of that price", "EUR", "USD"),
)


def room_templates() -> dict[str, str]:
    """Each kind of room, with its description."""
    return {name: str(row["says"]) for name, row in data.raw_table("places").items()}


def default_answers(place: str, system: str) -> dict[str, str]:
    """The default answer to every question.

    Parameters
    ----------
    place : str
        The kind of room, a key of `room_templates`.
    system : str
        The unit system, "metric" or "us".

    Returns
    -------
    dict of str to str
        By the keys of `QUESTIONS`.
    """
    row = data.raw_table("places")[place]
    answers = {question.key: question.default(system) for question in QUESTIONS}
    return {**answers, "room_size": " x ".join(row[system]), "climate": row.get("climate", answers["climate"])}


def render_plan(place: str, system: str, answers: dict[str, str]) -> str:
    """The text of a plan file. The answers are checked only when the plan is read.

    Parameters
    ----------
    place : str
        The kind of room, a key of `room_templates`.
    system : str
        The unit system, "metric" or "us".
    answers : dict of str to str
        By the keys of `QUESTIONS`.
    """
    environment = jinja2.Environment(undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    environment.filters["toml"] = _toml_string
    environment.filters["toml_list"] = lambda items: "[" + ", ".join(map(_toml_string, items)) + "]"
    template = environment.from_string((files("thermal") / "plan" / "examples" / "start.toml.jinja").read_text("utf-8"))
    return template.render(**_template_values(place, system, answers)) + "\n"


def _toml_string(value: str) -> str:
    """A TOML basic string; JSON's escapes are a subset of TOML's."""
    return json.dumps(value, ensure_ascii=False)


def _template_values(place: str, system: str, answers: dict[str, str]) -> dict[str, Any]:
    """The values of the template."""
    row = data.raw_table("places")[place]
    room, bed = _sizes(answers["room_size"], 3), _sizes(answers["bed_size"], 2)
    named = [name.strip() for name in answers["floor"].split(",")]
    species = all(name.lower() in data.species() for name in named)
    plants = _plants(answers) if not species else [plant for plant in _plants(answers) if plant not in named]
    heaters = [] if answers["heaters"].strip().lower() in ("none", "") else answers["heaters"].split(",")
    return {
        **answers,
        "says": row["says"],
        "title": row["title"],
        "units": system,
        "written_for": FIGURES_SINCE,
        "floor_is_species": species,
        "floor": [*named, *plants] if species else answers["floor"],
        "plants": plants,
        "beds": 0 if answers["beds"].strip() in ("0", "none") else answers["beds"],
        "bed_length": bed[0],
        "bed_width": bed[1],
        "bed_depth": "0.22 m" if system == "metric" else "9 in",
        "stands_on": "slab",
        "pump_share": "1" if answers["pump_share"].strip().lower() == "none" else answers["pump_share"],
        "sump": ("0.6 m", "0.5 m", "0.35 m") if system == "metric" else ("24 in", "20 in", "14 in"),
        "pipe": ("10 m", "40 mm") if system == "metric" else ("30 ft", "1.5 in"),
        "room_length": room[0],
        "room_width": room[1],
        "room_height": room[2],
        "temperature": row.get("temperature", {}).get(system),
        "air_changes": row.get("air_changes", ""),
        "slab": row.get("floor", ""),
        "sides": _sides(row.get("side", []), room, system),
        "hut": row.get("hut", {}).get(system),
        "hut_build": row.get("hut", {}).get("build", ""),
        "heaters": [heater.strip() for heater in heaters],
        "circuit": "16 A 230 V" if system == "metric" else "15 A 120 V",
    }


def _plants(answers: dict[str, str]) -> list[str]:
    """The plants named; an unknown one is left for the plan file's message."""
    named = [name.strip() for name in answers["plants"].split(",")]
    return [name for name in named if name.lower() not in ("", "none", "not named")]


def _sizes(text: str, count: int) -> list[str]:
    """Lengths from "6 m x 5 m"; missing ones repeat the last, so that the plan file's message explains the fault."""
    parts = [part.strip() for part in text.lower().replace("×", "x").split("x") if part.strip()] or [""]
    return (parts + [parts[-1]] * count)[:count]


def _sides(rows: list[dict[str, Any]], room: list[str], system: str) -> list[dict[str, Any]]:
    """The sides of the room with their areas; doors are taken out of the wall that they are in."""
    try:
        length, width, height = (quantities.parse(item, quantities.LENGTH) for item in room)
    except ValueError:
        return [
            {"facing": "", **row, "area": "1 m2"} for row in rows
        ]  # the message about the size of the room comes first
    sides = []
    for row in rows:
        doors = sum(other.get("door", 0.0) for other in rows if other["faces"] == row["faces"])
        wall = row.get("walls", 0.0) * 2.0 * (length + width) * height - (doors if row.get("less_door") else 0.0)
        area = max(wall, 0.5) if "walls" in row else row["door"] if "door" in row else row["ceiling"] * length * width
        shown = f"{area:.1f} m2" if system == "metric" else f"{area / FOOT_M**2:.0f} ft2"
        sides.append({"facing": "", **row, "area": shown})
    return sides
