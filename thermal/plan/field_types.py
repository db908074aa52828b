"""The values that a key of the plan file may have: readers for pydantic, from text with a unit to SI, or to a preset.

A reader raises ValueError with the value, the reason and an example; `reader.py` turns it into a PlanError.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Collection, Mapping
from typing import Annotated

from pydantic import BeforeValidator

from thermal import data
from thermal.core import quantities
from thermal.core.quantities import Kind
from thermal.core.schedule import ALWAYS, DailySchedule
from thermal.core.suggest import nearest
from thermal.data import constructions, small_losses

COLDEST_NIGHT_C = (-60.0, 50.0)  # bounds of a record low


def quantity(kind: Kind, low: float, high: float, above: bool = False) -> BeforeValidator:
    """A reader of a quantity within bounds, from text with a unit to SI.

    Parameters
    ----------
    kind : Kind
        The kind of quantity, with its SI unit.
    low, high : float
        Bounds in that unit.
    above : bool
        Whether the value must be above the lower bound; otherwise it may equal it.
    """

    def read(value: object) -> float:
        number = quantities.parse(value, kind)  # type: ignore[arg-type]
        if number < low or number > high or (above and number <= low):
            bounds = f"above {kind.bound(low)}, at most" if above else f"between {kind.bound(low)} and"
            raise ValueError(f"{value!r} is out of range; write {kind.noun} {bounds} {kind.bound(high)}")
        return number

    return BeforeValidator(read)


def number(low: float, high: float, what: str) -> BeforeValidator:
    """A reader of a plain number within bounds.

    Parameters
    ----------
    low, high : float
        Bounds.
    what : str
        The number's name in messages, with its article.
    """

    def read(value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            raise ValueError(f"{value!r} is not a plain number; write {what} without quotes")
        if not low <= value <= high:
            raise ValueError(f"{value!r} is out of range; write {what} between {low:g} and {high:g}")
        return float(value)

    return BeforeValidator(read)


def word(choices: Callable[[], Mapping[str, object]] | tuple[str, ...], what: str) -> BeforeValidator:
    """A reader of one of some words, in upper or lower case.

    Parameters
    ----------
    choices : callable or tuple of str
        The words, or a function that returns a mapping with them as keys.
    what : str
        Their name in messages, with its article.
    """

    def read(value: object) -> str:
        words = choices() if callable(choices) else choices
        if not isinstance(value, str) or value.strip().lower() not in {word.lower() for word in words}:
            raise ValueError(f"{value!r} is not {what}; {nearest(str(value)[:60], words)}")
        return next(word for word in words if word.lower() == value.strip().lower())

    return BeforeValidator(read)


def read_hours(value: object) -> DailySchedule:
    """Share of each hour of the day from "always", "never", "06:00-22:00" or a list of such ranges, (24,). [-]

    Raises
    ------
    ValueError
        When the text is none of these.
    """
    if value == "always":
        return ALWAYS
    if value in ("never", []):
        return (0.0,) * 24
    ranges = value if isinstance(value, list) else [value]
    minutes = [0] * 1440
    for range_ in ranges:
        match = re.fullmatch(r"\s*(\d{1,2}):(\d{2})\s*-\s*(\d{1,2}):(\d{2})\s*", str(range_))
        if not match or int(match[2]) > 59 or int(match[4]) > 59:
            raise ValueError(f'{range_!r} is not a time range; write "always", "never" or for example "06:00-22:00"')
        start, end = int(match[1]) * 60 + int(match[2]), int(match[3]) * 60 + int(match[4])
        if start > 1440 or end > 1440:
            raise ValueError(f'{range_!r} runs past 24:00; for a range past midnight write for example "22:00-06:00"')
        for minute in range(start, end if end > start else end + 1440):
            minutes[minute % 1440] = 1
    return tuple(sum(minutes[60 * h : 60 * h + 60]) / 60 for h in range(24))


def run_and_period(text: str) -> tuple[float, float]:
    """How long a pump runs and in which period, from "10 min every hour" or "15 min on, 45 min off". [s]

    Raises
    ------
    ValueError
        When the text is neither, or the pump would run longer than the period or less often than every 6 hours.
    """
    amount = r"(\d+(?:\.\d+)?)?\s*(s|sec|seconds?|min|minutes?|h|hours?)"
    match = re.fullmatch(rf"{amount}\s+every\s+{amount}|{amount}\s+on,?\s+{amount}\s+off", text.strip(), re.IGNORECASE)
    if not match:
        raise ValueError(f'{text!r} is not a duty; write for example "10 min every hour" or "15 min on, 45 min off"')
    pairs = match.groups()[:4] if match[2] else match.groups()[4:]
    seconds = {"s": 1.0, "m": 60.0, "h": 3600.0}
    first, second = (float(pairs[i] or 1.0) * seconds[pairs[i + 1][0].lower()] for i in (0, 2))
    period = second if match[2] else first + second
    if not 0.0 < first <= period:
        raise ValueError(f"{text!r} is out of range; write a run above 0 that is not longer than its period")
    if not 60.0 <= period <= 6.0 * 3600.0:
        raise ValueError(f"{text!r} is out of range; write a period between 1 min and 6 h, or the times as hours")
    return first, period


def read_duty(value: object) -> str:
    """Duty of a pump, checked and kept as written; ValueError for any other value."""
    run_and_period(str(value))
    return str(value)


def read_layers(value: object) -> str:
    """Layers of materials, checked and kept as written; ValueError for any other text."""
    constructions.resistance(value)  # type: ignore[arg-type]
    return str(value)


def read_base(value: object) -> str:
    """The base of a vessel: "slab", "frame", or layers on one of them; ValueError for any other text."""
    if isinstance(value, str) and value.strip().lower() in ("slab", "frame"):
        return value.strip().lower()
    match = re.fullmatch(r"(.+?)\s+on\s+(slab|frame)", str(value).strip(), re.IGNORECASE)
    if not match:
        raise ValueError(f'{value!r} is not a base; write "slab", "frame" or for example "XPS 25 mm on slab"')
    constructions.resistance(match[1])
    return str(value).strip()


def read_top(value: object) -> str:
    """Name of a cover preset, or layers that form a snug lid; ValueError for any other text."""
    return preset_or_layers(value, data.tops(), "a known cover")


def read_build(value: object) -> str:
    """Name of a preset for a side, or layers, or an R-value; ValueError for any other text."""
    return preset_or_layers(value, data.builds(), "a known build")


def read_hut_build(value: object) -> str:
    """Name of a hut preset, or layers, or an R-value; ValueError for any other text."""
    return preset_or_layers(value, data.huts(), "a known hut")


def read_floor_build(value: object) -> str:
    """Name of a floor preset, or an R-value for the whole slab; ValueError for any other text."""
    return preset_or_layers(value, data.floors(), "a known floor")


def preset_or_layers(value: object, presets: Mapping[str, object], what: str) -> str:
    """Name of a preset, or layers as written.

    Parameters
    ----------
    value : object
        The value in the plan file.
    presets : mapping
        Presets by name.
    what : str
        Their name in messages, with its article.

    Raises
    ------
    ValueError
        When the value is neither.
    """
    text = str(value).strip()
    if text.lower() in {name.lower() for name in presets}:
        return next(name for name in presets if name.lower() == text.lower())
    try:
        constructions.resistance(text)
    except ValueError as fault:
        if isinstance(value, str) and re.search(r"\d", text) and "is neither" not in str(fault):
            raise
        if text.lower() in data.materials():
            raise ValueError(f"{value!r} has no thickness; write for example {f'{text} 300 mm'!r}") from None
        raise ValueError(f"{value!r} is not {what}; {nearest(text[:60], presets, constructions.TYPING_SLIP)}") from None
    return text


def read_air_changes(value: object) -> float | str:
    """Air changes per hour, as a number [1/h] or the name of a preset; ValueError for any other value."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        if not (math.isfinite(value) and 0 <= value <= 50):
            raise ValueError(f"{value!r} is out of range; write a number of air changes per hour between 0 and 50")
        return float(value)
    words = data.leakage()
    if str(value).strip().lower() not in words:
        raise ValueError(
            f"{value!r} is neither a number of air changes per hour nor a preset; {nearest(str(value)[:60], words)}"
        )
    return str(value).strip().lower()


def read_bridges(value: object) -> float | str:
    """Addition for thermal bridges, as a number [W/m2K] or the name of a preset; ValueError for any other value."""
    return _number_or_word(value, 0.5, small_losses.bridges(), "a number of W/m²K")


def read_transpiration(value: object) -> float | str:
    """Water that plants give off, as a number [kg/m2 day], "none" or "usual"; ValueError for any other value."""
    return _number_or_word(value, 10.0, ("none", "usual"), "a number of litres per m² and day")


def _number_or_word(value: object, high: float, words: Collection[str], what: str) -> float | str:
    """A number from 0 to a bound, or one of some words; ValueError for any other value."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        if not (math.isfinite(value) and 0 <= value <= high):
            raise ValueError(f"{value!r} is out of range; write {what} between 0 and {high:g}")
        return float(value)
    if str(value).strip().lower() not in words:
        raise ValueError(f"{value!r} is neither {what} nor a preset; {nearest(str(value)[:60], words)}")
    return str(value).strip().lower()


def read_part(value: object) -> float:
    """A share, as a number from 0 to 1 or as text, "60 %" [-]; ValueError for any other value."""
    if isinstance(value, str):
        value = quantities.parse(value, quantities.SHARE)
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 <= value <= 1.0:
        raise ValueError(f'{value!r} is out of range; write a share between 0 and 1, or for example "60 %"')
    return float(value)


def read_pipe_layers(value: object) -> str:
    """Insulation of a pipe as written, layers with a thickness each; ValueError for any other text."""
    constructions.layers(value)  # type: ignore[arg-type]
    return str(value)


def read_coldest_night(value: object) -> float | str:
    """A record low outdoors [degC], or "none"; ValueError for any other value."""
    if str(value).strip().lower() == "none":
        return "none"
    low, high = COLDEST_NIGHT_C
    number = quantities.parse(value, quantities.TEMPERATURE)  # type: ignore[arg-type]
    if not low <= number <= high:
        bound = quantities.TEMPERATURE.bound
        raise ValueError(f"{value!r} is out of range; write a temperature between {bound(low)} and {bound(high)}")
    return number


def read_monthly_mean(value: object) -> tuple[float, ...]:
    """Mean temperatures of January to December, numbers in degC or with a unit each; ValueError for others. [degC]"""
    if not isinstance(value, list) or len(value) != 12:
        raise ValueError("write 12 temperatures, the means of January to December, for example [-3, -1, 4, ...] in °C")
    means = tuple(
        float(mean) if isinstance(mean, int | float) else quantities.parse(mean, quantities.TEMPERATURE)
        for mean in value
    )
    if not all(-60.0 <= mean <= 50.0 for mean in means):
        raise ValueError("a monthly mean is out of range; write temperatures between -60 and 50 °C")
    return means


def read_winters(value: object) -> tuple[int, ...]:
    """Years in which the winters begin, rising; empty for "all"; ValueError for any other value."""
    if value == "all":
        return ()
    years = value if isinstance(value, list) else [value]
    if not years or len(years) > 100 or not all(type(year) is int and 1800 <= year <= 2200 for year in years):
        raise ValueError(
            f'{str(value)[:60]!r} is not a choice of winters; write "all" or the years they begin in, [2016, 2017]'
        )
    return tuple(sorted(set(years)))


Length = Annotated[float, quantity(quantities.LENGTH, 0.0, 200.0, above=True)]
Area = Annotated[float, quantity(quantities.AREA, 0.0, 1e4, above=True)]
Flow = Annotated[float, quantity(quantities.VOLUME_FLOW, 0.0, 0.1)]
Volume = Annotated[float, quantity(quantities.VOLUME, 0.0, 1e3)]
Energy = Annotated[float, quantity(quantities.ENERGY, 0.0, 1e6)]
Watts = Annotated[float, quantity(quantities.POWER, 0.0, 1e5)]
WaterTemperature = Annotated[float, quantity(quantities.TEMPERATURE, 0.0, 40.0)]
ColdestNight = Annotated[float | str, BeforeValidator(read_coldest_night)]
AirTemperature = Annotated[float, quantity(quantities.TEMPERATURE, -60.0, 50.0)]
Elevation = Annotated[float, quantity(quantities.LENGTH, -430.0, 6000.0)]
Share = Annotated[float, quantity(quantities.SHARE, 0.0, 1.0)]
Resistance = Annotated[float, quantity(quantities.RESISTANCE, 0.0, 20.0)]
HeapVolume = Annotated[float, quantity(quantities.VOLUME, 0.0, 1e3, above=True)]
HeapHeat = Annotated[float, quantity(quantities.HEAP_HEAT, 0.0, 1000.0, above=True)]
AirFlow = Annotated[float, quantity(quantities.AIR_FLOW, 0.0, 1.0, above=True)]
StovePower = Annotated[float, quantity(quantities.POWER, 0.0, 1e5, above=True)]
CollectorArea = Annotated[float, quantity(quantities.AREA, 0.0, 1000.0, above=True)]
Across = Annotated[float, quantity(quantities.LENGTH, 0.1, 200.0)]  # of a vessel; "1.2 mm" is an error
Depth = Annotated[float, quantity(quantities.LENGTH, 0.03, 20.0)]
LeakageArea = Annotated[float, quantity(quantities.AREA, 0.0, 2.0)]
Times = Annotated[DailySchedule, BeforeValidator(read_hours)]
Layers = Annotated[str, BeforeValidator(read_layers)]
StandsOn = Annotated[str, BeforeValidator(read_base)]
TopWord = Annotated[str, BeforeValidator(read_top)]
PipeLength = Annotated[float, quantity(quantities.LENGTH, 0.0, 1000.0, above=True)]
PipeDiameter = Annotated[float, quantity(quantities.LENGTH, 0.005, 0.5)]  # "40" without a unit is an error
Part = Annotated[float, BeforeValidator(read_part)]  # a share that may also be a number
PipeLayers = Annotated[str, BeforeValidator(read_pipe_layers)]
Price = Annotated[float, number(0.0, 1e4, "a price")]


def number_within(value: float | str) -> tuple[float, str]:
    """The one number in a text such as "16 degC", and the text with {} in its place.

    Parameters
    ----------
    value : float or str
        A number, or a text with one number.

    Returns
    -------
    number : float
        The number.
    form : str
        The text with {} for the number; empty where the value is a number.

    Raises
    ------
    ValueError
        When the text has no number, or more than one.
    """
    if not isinstance(value, str):
        return float(value), ""
    pattern = r"(?:^[-+])?\d+(?:\.\d+)?"
    numbers = re.findall(pattern, value.strip())
    if len(numbers) != 1:
        raise ValueError(f'{value!r} has {len(numbers) or "no"} numbers; write one number, for example "16 degC"')
    return float(numbers[0]), re.sub(pattern, "{}", value.strip())
