"""Quantities as people write them ("250 gal", "R-10", "50 degF"), converted to SI.

The plan file and the logger's file are converted here; the rest of the package works in SI units.
"""

from __future__ import annotations

import math
import re
from contextlib import suppress
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import as_file, files
from typing import TYPE_CHECKING, Any, TypeVar

from thermal.core.arrays import Array

if TYPE_CHECKING:
    import pint

R_IMPERIAL = 0.1761101838  # m2K/W for one ft2 h degF/Btu (exact from the foot, pound and Btu_IT definitions)
N = TypeVar("N", float, Array)
LONGEST = 80  # characters; no real quantity is longer


@dataclass(frozen=True)
class Kind:
    """A kind of quantity, such as a length or a power.

    Attributes
    ----------
    noun : str
        Its name in a sentence, for example "a length".
    si : str
        Its SI unit as pint writes it; empty for a share of 1.
    example : str
        Two or three quantities that a user may write.
    """

    noun: str
    si: str
    example: str

    def bound(self, number: float) -> str:
        """A limit of the quantity, given in SI, as text with its unit; temperatures in degF too."""
        if self.si == "":
            return f"{100.0 * number:g} %"
        text = f"{round(number, 2):,.10g} {self.si.replace('**', '').replace('*', ' ')}"
        return f"{text} ({round(1.8 * number + 32.0, 2):,.10g} degF)" if self.si == "degC" else text


LENGTH = Kind("a length", "m", '"1.2 m" or "4 ft"')
AREA = Kind("an area", "m**2", '"38 m2" or "400 ft2"')
VOLUME_FLOW = Kind("a volume flow", "m**3/s", '"1500 L/h" or "400 gal/h"')
VOLUME = Kind("a volume", "m**3", '"1000 L" or "264 gal"')
POWER = Kind("a power", "W", '"300 W" or "1 kW"')
ENERGY = Kind("an energy", "kWh", '"500 kWh"')
TEMPERATURE = Kind("a temperature", "degC", '"10 degC" or "50 degF"')
SHARE = Kind("a share", "", '"60 %"')
RESISTANCE = Kind("a thermal resistance", "m**2*K/W", '"R-10" (US) or "RSI-1.8" (metric)')
AIR_FLOW = Kind("a volume flow", "m**3/s", '"60 m3/h" or "40 ft3/min"')
DRYING = Kind("an amount of water for each day", "m**3/s", '"12 L/day" or "25 pint/day"')
HEAP_HEAT = Kind("a heat for each cubic metre", "W/m**3", '"50 W/m3"')
SPEED = Kind("a speed", "m/s", '"3 m/s" or "7 mph"')

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_PAIR = re.compile(rf"\s*({_NUMBER})\s*([^\d\s+\-][^\d+\-]*(?:[23](?![\d.]))?[^\d+\-]*?)\s*(?={_NUMBER}|$)")
_DEGREES = {
    "C": "degC",
    "F": "degF",
    "K": "kelvin",
    "°C": "degC",
    "°F": "degF",
    "celsius": "degC",
    "fahrenheit": "degF",
}
_R_VALUE = re.compile(rf"\s*(RSI|R)\s*-?\s*({_NUMBER.replace('[-+]?', '', 1)})\s*", re.IGNORECASE)
UNIT_ALIASES = {
    "gph": "gal/h", "gpm": "gal/min", "lph": "L/h", "imp gal": "imperial_gallon", "uk gal": "imperial_gallon",
    '"': "inch", "'": "foot", "sq ft": "ft**2", "sqft": "ft**2", "cu ft": "ft**3", "ltr": "L", "litres": "L",
}  # fmt: skip

# The usual units of each kind by its SI unit: value of one, and of zero, in SI. They need no registry: a plan that has
# only these is read a fifth of a second sooner. tests/core/test_quantities.py holds them to pint.
USUAL: dict[str, dict[str, tuple[float, float]]] = {
    "m": {"m": (1.0, 0.0), "cm": (0.01, 0.0), "mm": (0.001, 0.0), "ft": (0.3048, 0.0), "in": (0.0254, 0.0)},
    "m**2": {"m2": (1.0, 0.0), "m²": (1.0, 0.0), "ft2": (0.09290304, 0.0), "ft**2": (0.09290304, 0.0)},
    "m**3": {"L": (1e-3, 0.0), "l": (1e-3, 0.0), "m3": (1.0, 0.0), "gal": (3.785411784e-3, 0.0)},
    "m**3/s": {"L/h": (1e-3 / 3600.0, 0.0), "gal/h": (3.785411784e-3 / 3600.0, 0.0), "L/day": (1e-3 / 86400.0, 0.0)},
    "W": {"W": (1.0, 0.0), "kW": (1000.0, 0.0)},
    "degC": {"degC": (1.0, 0.0), "degF": (5.0 / 9.0, -160.0 / 9.0)},
}


@cache
def registry(whole: bool) -> pint.UnitRegistry[Any]:
    """The units that pint knows, read once.

    Parameters
    ----------
    whole : bool
        True for all of pint's units, which take a third of a second to read; False for those of `data/units.txt`.

    Returns
    -------
    UnitRegistry
        The units, and the conversions between them.
    """
    import pint

    with as_file(files("thermal") / "data" / "units.txt") as ours:
        return pint.UnitRegistry() if whole else pint.UnitRegistry(ours)


def parse(text: str, kind: Kind) -> float:
    """Number of a written quantity in the SI unit of its kind.

    Parameters
    ----------
    text : str
        For example "250 gal", "4 ft 6 in", "R-10", "50 degF", "60 %".
    kind : Kind
        The kind it must be of.

    Returns
    -------
    float
        In `kind.si` (temperatures in degC, shares 0-1, resistances in m2K/W).

    Raises
    ------
    ValueError
        With a sentence that names the value, the fault and what to write instead.
    """
    if not isinstance(text, str):
        raise ValueError(f"{text!r} has no unit; write {kind.noun}, for example {kind.example}, with quotes")
    if len(text) > LONGEST:
        raise ValueError(f"the text is {len(text)} characters long; write {kind.noun}, for example {kind.example}")
    return _parse(text, kind)


@lru_cache(maxsize=4096)  # variants of one plan repeat its quantities
def _parse(text: str, kind: Kind) -> float:
    """`parse` without its checks of type and length."""
    if kind is RESISTANCE and (match := _R_VALUE.fullmatch(text)):
        return float(match[2]) * (R_IMPERIAL if match[1].upper() == "R" else 1.0)
    if re.search(r"\d,\d", text):
        raise ValueError(f"{text!r} has a comma; write a decimal point, as in {kind.example}")
    if re.fullmatch(rf"\s*{_NUMBER}\s*", text) and kind is not SHARE:
        raise ValueError(f"{text!r} has no unit; write {kind.noun}, for example {kind.example}")
    if kind is SHARE:
        return _share(text)
    pairs, end = [], 0
    while match := _PAIR.match(text, end):
        pairs.append((float(match[1]), match[2].strip()))
        end = match.end()
    if not pairs or end != len(text):
        raise ValueError(f"{text!r} is not a quantity; write {kind.noun}, for example {kind.example}")
    value = sum(_to_si(number, unit, kind, text) for number, unit in pairs)
    if not math.isfinite(value):
        raise ValueError(f"{text!r} is not a finite number; write {kind.noun}, for example {kind.example}")
    return value


def _share(text: str) -> float:
    """A share of 1 written as a number or as per cent."""
    match = re.fullmatch(rf"\s*({_NUMBER})\s*(%?)\s*", text)
    if not match:
        raise ValueError(f"{text!r} is not a share; write per cent, for example {SHARE.example}")
    return float(match[1]) / (100.0 if match[2] else 1.0)


def _to_si(number: float, unit: str, kind: Kind, text: str) -> float:
    """A number with a unit in the SI unit of its kind; ValueError where the unit is unknown or of another kind."""
    unit = UNIT_ALIASES.get(unit.lower(), unit)
    if kind is TEMPERATURE:
        unit = _DEGREES.get(unit, unit)
    if unit in USUAL.get(kind.si, {}):
        scale, zero = USUAL[kind.si][unit]
        return number * scale + zero
    import pint

    spelled = re.sub(r"([a-zA-Z])\s*([23])(?!\d)", r"\1**\2", unit).replace("²", "**2").replace("³", "**3")
    quantity = _quantity(number, spelled)
    if quantity is None:
        raise ValueError(f"{text!r} has an unknown unit, {unit!r}; write {kind.noun}, for example {kind.example}")
    try:
        return float(quantity.to(kind.si).magnitude)
    except pint.DimensionalityError as fault:
        raise ValueError(
            f"{text!r} is {_noun(quantity)}, but {kind.noun} is needed here; write for example {kind.example}"
        ) from fault


def _quantity(number: float, unit: str) -> pint.Quantity[Any] | None:
    """The quantity with the unit that our list or pint knows; None where neither does."""
    for whole in (False, True):
        with suppress(Exception):  # pint raises a dozen unrelated types, tokenizer errors included
            return registry(whole).Quantity(number, registry(whole).Unit(unit))
    return None


def _noun(quantity: pint.Quantity[Any]) -> str:
    """Name in a sentence of a quantity of an unexpected kind."""
    for kind in (LENGTH, AREA, VOLUME, VOLUME_FLOW, POWER, TEMPERATURE, SPEED):
        if quantity.is_compatible_with(kind.si):
            return kind.noun
    return f"a quantity in {quantity.units}"
