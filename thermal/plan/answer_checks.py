"""One answer of `overwinter start`: understood in the forms people write, checked, and put as the plan writes it."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from thermal import data
from thermal.core import quantities
from thermal.core.suggest import nearest
from thermal.plan import answer_forms as forms
from thermal.plan import field_types
from thermal.plan.circuits import read_circuits
from thermal.plan.questions import place_for, room_templates
from thermal.plan.room_sides import door_area, known_words, shared_length, wording_of

LONGEST = 200  # characters of an answer
MOST_BEDS = 1000
DEAR = 3.0  # a price per kWh above which cents were meant, in the currencies below; common practice, no source
STRONG = ("USD", "EUR", "GBP", "CHF", "CAD", "AUD", "NZD", "$", "€", "£")
SUMP_DEPTH = {"metric": ("0.35 m", "m"), "us": ("14 in", "in")}
TOTE_LENGTHS = '"4 ft" (round) or "48 in x 40 in" (rectangular)'


@dataclass(frozen=True)
class Understood:
    """What an answer changes.

    Attributes
    ----------
    answers : dict of str to str
        The answers by key, as the plan writes them. Where the key of the question is not among them, it is asked again.
    notes : tuple of str
        What was worked out or assumed, for the person.
    """

    answers: dict[str, str]
    notes: tuple[str, ...] = ()


Answers = Mapping[str, str]
Reader = Callable[[str, Answers, str], Understood]


def understand(key: str, text: str, answers: Answers, system: str) -> Understood:
    """An answer to a question, as the plan writes it.

    Parameters
    ----------
    key : str
        Key of the question; not "climate", which needs the weather files.
    text : str
        What the person wrote.
    answers : mapping of str to str
        The answers before it, with the usual ones for the rest.
    system : str
        The unit system, "metric" or "us".

    Raises
    ------
    ValueError
        With the reason and an example, when the answer cannot be used.
    """
    if len(text) > LONGEST:
        raise ValueError(f"the answer is {len(text)} characters long; write at most {LONGEST}")
    return READERS[key](text, answers, system)


def _simple(key: str, read: Callable[[str], str]) -> Reader:
    """A reader of one answer that depends on no other."""
    return lambda text, answers, system: Understood({key: read(text)})


def _place(text: str) -> str:
    place = place_for(text)
    if place is None:
        raise ValueError(
            f"{text[: forms.SHOWN]!r} is not a kind of room; {nearest(text[: forms.SHOWN], room_templates())}"
        )
    return place


def _monthly_mean(text: str) -> str:
    if forms.is_nothing(text):
        return "none"
    parts = [part for part in re.split(r"\s*[,;]\s*|\s+(?=[-+]?\d)", forms.tidy(text)) if part]
    if len(parts) != 12:
        raise ValueError(
            f"12 temperatures are needed, not {len(parts)}, January to December; write with decimal points"
            ' and commas "-3.5, -1, 4, 10, 16, 21, 24, 23, 18, 12, 5, -1" (°C), or none'
        )
    degrees = [float(part) if re.fullmatch(r"[-+]?\d{1,3}(\.\d+)?", part) else _degrees(part) for part in parts]
    field_types.read_monthly_mean(degrees)
    return ", ".join(f"{round(degree, 2):g}" for degree in degrees)


def _degrees(text: str) -> float:
    return quantities.parse(forms.quantity_text(text, quantities.TEMPERATURE), quantities.TEMPERATURE)


def _record_low(text: str) -> str:
    if forms.is_nothing(text):
        return "none"
    field_types.read_coldest_night(forms.quantity_text(text, quantities.TEMPERATURE))
    return forms.quantity_text(text, quantities.TEMPERATURE)


def _room_size(text: str) -> str:
    sizes = forms.lengths(text, (3,), '"24 ft x 24 ft x 9 ft" or "6 m x 5 m x 2.6 m"')
    for size in sizes:
        metres = quantities.parse(size, quantities.LENGTH)
        if not 0.5 <= metres <= 100.0:
            raise ValueError(f"{size!r} is not a size of a room; write lengths between 0.5 m and 100 m")
    return " x ".join(sizes)


def _build(key: str) -> Reader:
    """A reader of what a side is built of: a lay person's word, a preset, layers or an R-value."""

    def read(text: str, answers: Answers, system: str) -> Understood:
        if key == "door" and forms.is_nothing(text) and forms.tidy(text).lower() != "no":
            return Understood({key: "none"})
        word = wording_of(key, text)
        if word is not None:
            return Understood({key: word})
        try:
            return Understood({key: field_types.read_build(forms.tidy(text))})
        except ValueError as fault:
            why = f" ({fault})" if re.search(r"\d", text) and "write one of" not in str(fault) else ""
            words = ", ".join(known_words(key))
            raise ValueError(f"{text[: forms.SHOWN]!r} is not understood{why}; write one of: {words}") from None

    return read


def _door_size(text: str, answers: Answers, system: str) -> Understood:
    area = door_area(text)
    length, width, height = _room_m(answers)
    if not 0.2 <= area < 2.0 * (length + width) * height:
        raise ValueError(
            f"{text[: forms.SHOWN]!r} is {area:.1f} m2; write a door above 0.2 m2 that is smaller than the walls,"
            ' for example "16 ft x 7 ft" or "5.2 m2"'
        )
    try:
        return Understood({"door_size": forms.quantity_text(text, quantities.AREA)})
    except ValueError:
        return Understood({"door_size": " x ".join(forms.lengths(text, (2,), "16 ft x 7 ft"))})


def _house_sides(text: str, answers: Answers, system: str) -> Understood:
    length, width, _ = _room_m(answers)
    shared = shared_length(text, length, width)
    word = forms.tidy(text).lower()
    if shared == 0.0:
        return Understood({"house_sides": "none"})
    first = word.split(" ", 1)[0]
    if first in ("1", "2", "3"):
        word = first = forms.WORDS[int(first)]
    if first not in forms.WORDS:
        return Understood({"house_sides": forms.with_points(word)})
    which = {"one": "the longer wall", "two": "a longer and a shorter wall", "three": "two longer and a shorter wall"}
    note = (
        () if length == width else (f"walls shared with the house: {which[first]}, as the room's corner was not asked",)
    )
    return Understood({"house_sides": first}, note)


def _room_m(answers: Answers) -> tuple[float, ...]:
    """Length, width and height of the room. [m]"""
    return tuple(quantities.parse(part.strip(), quantities.LENGTH) for part in answers["room_size"].split(" x "))


def _floor(text: str) -> str:
    """The minimum water temperature, or species with commas between them."""
    word = forms.tidy(text)
    if re.search(r"\d", word):
        written = forms.quantity_text(word, quantities.TEMPERATURE)
        degrees = quantities.parse(written, quantities.TEMPERATURE)
        if not 0.0 <= degrees <= 40.0:
            raise ValueError(f"{text[: forms.SHOWN]!r} is out of range; write a water temperature of 0 to 40 degC")
        return written
    taken = [_species(name) for name in forms.names(word)]
    if not taken:
        raise ValueError('write a temperature, for example "10 degC" or "50 degF", or species, "goldfish, lettuce"')
    return ", ".join(dict.fromkeys(taken))


def _species(name: str) -> str:
    return forms.known_name(name, data.species(), "a known species")


def _plants(text: str) -> str:
    if forms.is_nothing(text) or forms.tidy(text).lower() == "not named":
        return "not named"
    return ", ".join(dict.fromkeys(_species(name) for name in forms.names(text)))


def _tank_shape(text: str, answers: Answers, system: str) -> Understood:
    word = forms.tidy(text).lower()
    if forms.is_volume(text):
        return _note_volume(text)
    box = ("rectangular", "rectangle", "square", "box", "tote", "ibc", "ibc tote", "oblong", "long", "r")
    circle = ("round", "circular", "circle", "barrel", "drum", "cylinder")
    if word not in (*box, *circle):
        raise ValueError(f"{text[: forms.SHOWN]!r} is not a shape; write round or rectangular")
    shape = "round" if word in circle else "rectangular"
    return Understood({"tank_shape": shape, "tank_across": usual_across(shape, system)})


def usual_across(shape: str, system: str) -> str:
    """The usual size of a tank of a shape, as an answer."""
    metric, us = {"round": ("1.2 m", "4 ft"), "rectangular": ("1.2 m x 1 m", "48 in x 40 in")}[shape]
    return metric if system == "metric" else us


def _note_volume(text: str) -> Understood:
    volume = forms.quantity_text(text, quantities.VOLUME)
    return Understood(
        {"tank_volume": volume}, (f"volume of the tank: {volume}; the depth of its water follows from its size",)
    )


def _tank_across(text: str, answers: Answers, system: str) -> Understood:
    if forms.is_volume(text):
        return _note_volume(text)
    sizes = forms.lengths(text, (1, 2), TOTE_LENGTHS)
    for size in sizes:
        if not 0.1 <= quantities.parse(size, quantities.LENGTH) <= 200.0:
            raise ValueError(
                f"{size!r} is out of range; write lengths between 0.1 m and 200 m, for example {TOTE_LENGTHS}"
            )
    shape = "round" if len(sizes) == 1 else "rectangular"
    if shape == "round" and answers["tank_shape"] == "rectangular":
        raise ValueError(f'{text[: forms.SHOWN]!r} is one length; write length x width, for example "48 in x 40 in"')
    taken = {"tank_shape": shape, "tank_across": " x ".join(sizes)}
    note = () if shape == answers["tank_shape"] else ("tank: rectangular, as it has a length and a width",)
    return Understood(taken, note)


def _tank_depth(text: str, answers: Answers, system: str) -> Understood:
    if forms.is_volume(text):
        volume = forms.quantity_text(text, quantities.VOLUME)
        depth = forms.depth_of(volume, answers["tank_across"], system)
        return Understood({"tank_depth": depth}, (f"depth of the water: {depth}, from its volume, {volume}",))
    depth = forms.quantity_text(text, quantities.LENGTH)
    if not 0.03 <= quantities.parse(depth, quantities.LENGTH) <= 20.0:
        raise ValueError(f"{text[: forms.SHOWN]!r} is out of range; write a depth between 0.03 m and 20 m")
    return Understood({"tank_depth": depth})


def _lid(text: str) -> str:
    word = forms.tidy(text)
    same = {
        "none": "open",
        "no": "open",
        "no lid": "open",
        "yes": "loose lid",
        "lid": "loose lid",
        "foam": "snug foam lid",
    }
    return field_types.read_top(same.get(word.lower(), word))


def _sump(text: str, answers: Answers, system: str) -> Understood:
    if forms.is_nothing(text):
        return Understood({"sump": "none"})
    if forms.is_volume(text):
        volume = forms.quantity_text(text, quantities.VOLUME)
        depth, unit = SUMP_DEPTH[system]
        area = quantities.parse(volume, quantities.VOLUME) / quantities.parse(depth, quantities.LENGTH)
        side = math.sqrt(area) / quantities.parse(f"1 {unit}", quantities.LENGTH)
        size = f"{side:.3g} {unit}"
        return Understood({"sump": f"{size} x {size} x {depth}"}, (f"sump of {volume}: square, with {depth} of water",))
    sizes = forms.lengths(text, (3,), '"24 in x 20 in x 14 in", "40 gal" or none')
    return Understood({"sump": " x ".join(sizes)})


def _bed_size(text: str) -> str:
    return " x ".join(forms.lengths(text, (2,), '"4 ft x 8 ft" or "1.2 m x 0.8 m"'))


def _pump_share(text: str) -> str:
    if forms.is_nothing(text) and forms.tidy(text) != "0":
        return "1"
    word = forms.with_points(forms.tidy(text))
    if word.endswith("%"):
        return f"{field_types.read_part(word):g}"
    return f"{field_types.read_part(forms.plain_number(word, '1 or 0.6')):g}"


def _lights(text: str) -> str:
    if forms.is_nothing(text):
        return "none"
    word = forms.tidy(text).replace("–", "-")
    match = re.fullmatch(r"([^:]*?)(?:\s+(?:from\s+)?(\d{1,2}:\d{2})\s*(?:-|to)\s*(\d{1,2}:\d{2}))?", word)
    if not match:
        raise ValueError(
            f"{text[: forms.SHOWN]!r} is not understood; write watts and hours, for example 200 W 06:00-22:00"
        )
    power = _watts(match[1])
    if not match[2]:
        return power
    field_types.read_hours(f"{match[2]}-{match[3]}")
    return f"{power} {match[2]}-{match[3]}"


def _watts(text: str) -> str:
    power = forms.quantity_text(text, quantities.POWER)
    if not 0.0 <= quantities.parse(power, quantities.POWER) <= 1e5:
        raise ValueError(f"{text[: forms.SHOWN]!r} is out of range; write a power up to 100 kW, for example 300 W")
    return power


def _heaters(text: str) -> str:
    if forms.is_nothing(text):
        return "none"
    taken = []
    for part in re.split(r"\s*(?:(?<!\d),|,(?!\d)|;|&|\+|\band\b)\s*", forms.tidy(text)):
        match = re.fullmatch(r"(\d{1,2})\s*(?:x|×|\*)\s*(.+)", part or "")
        taken += [_watts(match[2])] * int(match[1]) if match else [_watts(part)] if part else []
    if not 1 <= len(taken) <= 20:
        raise ValueError(f"{len(taken)} heaters are out of range; write 1 to 20, for example 300 W, 300 W, or none")
    return ", ".join(taken)


def _circuit(text: str) -> str:
    return ", ".join(read_circuits(forms.circuits(text)))


def _currency(text: str) -> str:
    word = forms.tidy(text)
    if not 1 <= len(word) <= 8 or re.search(r"\d", word):
        raise ValueError(
            f"{text[: forms.SHOWN]!r} is not a currency; write at most 8 letters, for example USD, EUR or $"
        )
    return word


def _price(text: str, answers: Answers, system: str) -> Understood:
    number, currency = forms.price_and_currency(text)
    money = currency or answers["currency"]
    if number > DEAR and money.upper() in STRONG:
        raise ValueError(
            f'{text[: forms.SHOWN]!r} would be {number:g} {money} a kWh; for cents write "{number:g} cents", in another'
            " currency its name too"
        )
    if number > 1e4:
        raise ValueError(f"{text[: forms.SHOWN]!r} is out of range; write a price up to 10000")
    taken = {"price": f"{number:.10g}"}
    return Understood({**taken, "currency": currency} if currency else taken)


READERS: dict[str, Reader] = {
    "place": _simple("place", _place),
    "monthly_mean": _simple("monthly_mean", _monthly_mean),
    "record_low": _simple("record_low", _record_low),
    "room_size": _simple("room_size", _room_size),
    "walls": _build("walls"),
    "ceiling": _build("ceiling"),
    "door": _build("door"),
    "door_size": _door_size,
    "house_sides": _house_sides,
    "floor": _simple("floor", _floor),
    "plants": _simple("plants", _plants),
    "tank_shape": _tank_shape,
    "tank_across": _tank_across,
    "tank_depth": _tank_depth,
    "lid": _simple("lid", _lid),
    "sump": _sump,
    "beds": _simple("beds", lambda text: str(forms.whole_number(text, MOST_BEDS))),
    "bed_size": _simple("bed_size", _bed_size),
    "bed_depth": _simple("bed_depth", lambda text: forms.quantity_text(text, quantities.LENGTH)),
    "pump_share": _simple("pump_share", _pump_share),
    "lights": _simple("lights", _lights),
    "heaters": _simple("heaters", _heaters),
    "circuit": _simple("circuit", _circuit),
    "currency": _simple("currency", _currency),
    "price": _price,
}
