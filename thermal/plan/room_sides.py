"""The sides of a room for a first plan: areas from its size, builds from answers in a lay person's words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from thermal import data
from thermal.core import quantities
from thermal.plan.answer_forms import SHOWN, WORDS, is_nothing, lengths, tidy, with_points

FOOT_M = 0.3048
LEAST_M2 = 0.5  # of a wall whose doors take all of it


def wording_of(key: str, text: str) -> str | None:
    """The word of a table of wordings that an answer stands for, such as "not insulated" for "no".

    Parameters
    ----------
    key : str
        "walls", "ceiling" or "door".
    text : str
        The answer.

    Returns
    -------
    str or None
        A key of the section `key` of wordings.toml; None where the answer is none of its words.
    """
    table = data.raw_table("wordings")
    word = tidy(text).lower()
    if key == "ceiling" and word == "none":
        return "none"
    word = table["same"].get(word, word)
    return word if word in table[key] else None


def known_words(key: str) -> list[str]:
    """The words that an answer may have."""
    return [*data.raw_table("wordings")[key], *(["none"] if key == "door" else [])]


def door_area(text: str) -> float:
    """Area of a door from "16 ft x 7 ft" or "5.2 m2". [m2]

    Raises
    ------
    ValueError
        When the text is neither.
    """
    try:
        return quantities.parse(with_points(tidy(text)), quantities.AREA)
    except ValueError:
        width, height = lengths(text, (2,), '"16 ft x 7 ft" or "5.2 m2"')
    return quantities.parse(width, quantities.LENGTH) * quantities.parse(height, quantities.LENGTH)


def shared_length(text: str, length_m: float, width_m: float) -> float:
    """Length of the walls shared with the house, from "one", "2" or a length. [m]

    One wall is the longer one, two are a longer and a shorter one, three are two longer ones and a shorter one.

    Parameters
    ----------
    text : str
        The answer.
    length_m, width_m : float
        Of the room [m].

    Raises
    ------
    ValueError
        When the text is neither a count to three nor a length that the room has.
    """
    word = tidy(text).lower().removesuffix(" walls").removesuffix(" wall").removesuffix(" sides").removesuffix(" side")
    long, short = max(length_m, width_m), min(length_m, width_m)
    by_count = (0.0, long, long + short, 2.0 * long + short)
    if is_nothing(word):
        return 0.0
    count = WORDS.index(word) if word in WORDS else int(word) if word in ("1", "2", "3", "4") else None
    if count is not None and count < len(by_count):
        return by_count[count]
    if count is not None:
        raise ValueError("a room whose four walls all face the house is a heated room; write none, one, two or three")
    try:
        metres = quantities.parse(with_points(word), quantities.LENGTH)
    except ValueError:
        raise ValueError(
            f"{text[:SHOWN]!r} is neither a count of walls nor a length; write one, two, three, none or 24 ft"
        ) from None
    if not 0.0 <= metres < 2.0 * (length_m + width_m):
        raise ValueError(
            f"{text[:SHOWN]!r} is not shorter than all walls together ({2.0 * (length_m + width_m):.1f} m);"
            " write for example one"
        )
    return metres


def room_sides(
    place: str, answers: Mapping[str, str], usual: Mapping[str, str], room: list[str], system: str
) -> list[dict[str, Any]]:
    """The sides of the room with their areas; doors are taken out of the wall that they are in.

    Parameters
    ----------
    place : str
        The kind of room, a key of `room_templates`.
    answers, usual : mapping of str to str
        The answers, and the usual ones of this kind of room, by the keys of `QUESTIONS`.
    room : list of str
        Length, width and height as written.
    system : str
        The unit system, "metric" or "us".
    """
    rows = [row for row in data.raw_table("places")[place].get("side", []) if _is_there(row, answers)]
    try:
        length, width, height = (quantities.parse(item, quantities.LENGTH) for item in room)
    except ValueError:  # the message about the size of the room comes first
        return [{"facing": "", **row, "area": "1 m2"} for row in rows]
    shares = _wall_shares(rows, answers, usual, (length, width))
    doors = [_door_m2(row, answers, usual) for row in rows]
    sides = []
    for row, share in zip(rows, shares, strict=True):
        in_it = sum(door for other, door in zip(rows, doors, strict=True) if other["faces"] == row["faces"])
        wall = share * 2.0 * (length + width) * height - (in_it if row.get("less_door") else 0.0)
        area = (
            max(wall, LEAST_M2) if "walls" in row else _door_m2(row, answers, usual) or row["ceiling"] * length * width
        )
        shown = f"{area:.1f} m2" if system == "metric" else f"{area / FOOT_M**2:.0f} ft2"
        sides.append({"facing": "", **row, **_built(row, answers, usual), "area": shown})
    return sides


def _is_there(row: dict[str, Any], answers: Mapping[str, str]) -> bool:
    """Whether the room has a side: no door where there is none, nothing to the house where no wall is shared."""
    if row.get("asks") == "door":
        return not is_nothing(answers["door"])
    return not (_to_house(row) and is_nothing(answers["house_sides"]))


def _to_house(row: dict[str, Any]) -> bool:
    """Whether a side is a shared wall that `start` asks about, or the door in it."""
    return bool(row.get("asks") == "house_sides" or row["name"] == "door to the house")


def _wall_shares(
    rows: list[dict[str, Any]], answers: Mapping[str, str], usual: Mapping[str, str], size_m: tuple[float, float]
) -> list[float]:
    """Share of the room's perimeter that each side takes."""
    shares = [float(row.get("walls", 0.0)) for row in rows]
    text, asked = answers["house_sides"], any(row.get("asks") == "house_sides" for row in rows)
    if asked and (text != usual["house_sides"] or text in WORDS):
        shared = shared_length(text, *size_m) / (2.0 * sum(size_m))
        return [
            shared if row.get("asks") == "house_sides" else 1.0 - shared if row.get("asks") == "walls" else share
            for row, share in zip(rows, shares, strict=True)
        ]
    whole = sum(shares)
    return [share / whole if not asked and 0.0 < whole < 0.99 else share for share in shares]


def _door_m2(row: dict[str, Any], answers: Mapping[str, str], usual: Mapping[str, str]) -> float:
    """Area of a side that is a door, 0 of any other. [m2]"""
    asked = row.get("asks") == "door" and answers["door_size"] != usual["door_size"]
    return door_area(answers["door_size"]) if asked else float(row.get("door", 0.0))


def _built(row: dict[str, Any], answers: Mapping[str, str], usual: Mapping[str, str]) -> dict[str, str]:
    """What an answer changes of a side: its build, and what it faces."""
    key = row.get("asks")
    if key not in ("walls", "ceiling", "door") or answers[key] == usual[key]:
        return {}
    section = row.get("words", key)
    word = wording_of(key, answers[key])
    entry = data.raw_table("wordings")[section].get(word)
    if entry is not None:
        return dict(entry)
    return {} if section == "buried walls" or word is not None else {"build": answers[key]}
