"""The questions of `overwinter start`, and which of them a kind of room needs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from thermal import data
from thermal.plan.answer_forms import is_nothing


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
        The usual answer in each unit system.
    why : str
        Why that answer is assumed where none is given.
    """

    key: str
    asks: str
    metric: str
    us: str
    why: str

    def default(self, system: str) -> str:
        """The usual answer in a unit system, "metric" or "us"."""
        return self.metric if system == "metric" else self.us


USUAL = "a usual size"
OF_ROOM = "usual for this kind of room"
QUESTIONS = (
    Question(
        "place",
        "Kind of room: garage (attached, one car), two-car-garage, detached-garage, workshop, shed, basement (heated),"
        " cellar (unheated), lean-to",
        "garage", "garage", "the first in the list",
    ),
    Question(
        "climate",
        "Weather of your town: its name, a weather file, or latitude and longitude (for example 45.0, -93.3)",
        "springfield-il", "springfield-il", "comes with the program; it is not your town's",
    ),
    Question(
        "monthly_mean",
        "Mean temperatures of your town, January to December, 12 numbers with commas; or none",
        "none", "none", "the weather file stays as it is",
    ),
    Question("record_low", "Lowest temperature on record there; or none", "none", "none", "not given"),
    Question("room_size", "Size of the room, length x width x height", "", "", OF_ROOM),
    Question(
        "walls",
        "Outside walls: insulated, not insulated, brick, block, concrete, stone or sheet metal",
        "insulated", "insulated", OF_ROOM,
    ),
    Question(
        "ceiling",
        "Ceiling: insulated, not insulated, none (you see the roof), or heated room above",
        "insulated", "insulated", OF_ROOM,
    ),
    Question("door", "Largest outside door: insulated, not insulated, wood, or none", "", "", OF_ROOM),
    Question("door_size", "Size of that door, width x height, or its area", "", "", OF_ROOM),
    Question(
        "house_sides",
        "Walls shared with the heated house: none, one, two, three, or their length",
        "none", "none", OF_ROOM,
    ),
    Question(
        "floor",
        "Minimum water temperature, or the species you keep (for example yellow perch, lettuce)",
        "10 degC", "50 degF", "warm enough for most cold-water fish",
    ),
    Question(
        "plants", "Plants in the beds, for example lettuce, mint; or not named", "not named", "not named", "not given"
    ),
    Question("tank_shape", "Shape of the tank: round or rectangular", "round", "round", "the usual fish tank"),
    Question(
        "tank_across",
        "Size of the tank: diameter if round, length x width if rectangular, or its volume",
        "1.2 m", "4 ft", USUAL,
    ),
    Question("tank_depth", "Depth of the water in the tank, or its volume", "0.8 m", "2.5 ft", USUAL),
    Question(
        "lid", "Cover on the tank: open, bubbling, loose lid, snug foam lid or floating foam", "open", "open",
        "the most heat is lost so",
    ),
    Question(
        "sump", "Sump: length x width x depth of its water, or its volume; or none",
        "none", "none", "not every system has one",
    ),
    Question("beds", "Number of grow beds", "2", "2", "usual for such a tank"),
    Question("bed_size", "Size of each bed, length x width", "1.2 m x 0.8 m", "4 ft x 2.5 ft", USUAL),
    Question("bed_depth", "Depth of the water in a flooded bed", "0.22 m", "9 in", USUAL),
    Question(
        "pump_share",
        "Share of the pump's heat that goes to the water (1 in the water, 0.6 beside it)",
        "1", "1", "a pump in the water",
    ),
    Question(
        "lights", "Grow lights, watts and hours, for example 200 W 06:00-22:00; or none", "none", "none",
        "their heat is not relied on",
    ),
    Question("heaters", "Heaters you own, for example 300 W, 300 W; or none", "none", "none", "the heater is sized"),
    Question(
        "circuit", "Circuits for the heaters, for example 15 A 120 V; several with commas", "16 A 230 V", "15 A 120 V",
        "the usual household circuit; look at your breaker",
    ),
    Question("currency", "Currency", "EUR", "USD", "from the units"),
    Question("price", "Price of electricity per kWh", "0.25", "0.17", "look at your bill"),
)  # fmt: skip
OF_TOWN = ("monthly_mean", "record_low")  # asked only where the weather file is of another town
OF_SIDES = ("walls", "ceiling", "door", "house_sides")  # asked only where a side of the room depends on them
OF_BEDS = ("bed_size", "bed_depth", "pump_share")


def question_of(key: str) -> Question:
    """The question of a key."""
    return next(question for question in QUESTIONS if question.key == key)


def room_templates() -> dict[str, str]:
    """Each kind of room, with its description."""
    return {name: str(row["says"]) for name, row in data.raw_table("places").items()}


def ready_places() -> list[str]:
    """The kinds of room that have ready plans."""
    return [name for name, row in data.raw_table("places").items() if row.get("ready", True)]


def place_for(text: str) -> str | None:
    """The kind of room of a name in other words, such as "two car garage"; None where there is none."""
    word = " ".join(text.lower().replace("-", " ").replace("_", " ").split())
    for name, row in data.raw_table("places").items():
        if word in (name.replace("-", " "), str(row["says"]).replace("-", " "), *row.get("also", ())):
            return name
    return None


def default_answers(place: str, system: str) -> dict[str, str]:
    """The usual answer to every question.

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
    return {
        **answers,
        **row.get("answers", {}),
        **row.get(f"answers_{system}", {}),
        "place": place,
        "room_size": " x ".join(row[system]),
        "climate": row.get("climate", answers["climate"]),
    }


def applies(key: str, answers: Mapping[str, str], other_town: bool) -> bool:
    """Whether a question applies to the answers before it.

    Parameters
    ----------
    key : str
        Key of the question.
    answers : mapping of str to str
        The answers so far, with the usual ones for the rest.
    other_town : bool
        Whether the weather file is known to be of another town.
    """
    rows: list[dict[str, Any]] = data.raw_table("places")[answers["place"]].get("side", [])
    if key in OF_TOWN:
        return other_town and (key == "monthly_mean" or not is_nothing(answers["monthly_mean"]))
    if key == "door_size":
        return applies("door", answers, other_town) and not is_nothing(answers["door"])
    if key in OF_SIDES:
        return any(row.get("asks") == key for row in rows)
    return key not in OF_BEDS or not is_nothing(answers["beds"])
