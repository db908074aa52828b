"""Wall constructions as people write them: "polyethylene 6 mm", "XPS 50 mm + plywood 12 mm", "R-10", "none"."""

from __future__ import annotations

import re
from functools import lru_cache

from thermal import data
from thermal.core import quantities
from thermal.core.suggest import nearest
from thermal.physics.wall_resistance import layer_resistance

TYPING_SLIP = 0.8  # likeness of a mistyped word to the right one; steel for stone has 0.6, wood for wool 0.75
RVALUE = re.compile(r"(?i)(rsi|r)\s*-?\s*[\d.]")
CLAIM = re.compile(r"(?i)((?:rsi|r)\s*-?\s*[\d.]+)\s+(?:in\s+)?([\d.]+\s*[a-z\"'].*)")  # "R-8 in 8 mm"
BUBBLE_FOIL = "bubble foil"


def resistance(text: str) -> float:
    """Resistance of a written construction, surface to surface. [m2K/W]

    Parameters
    ----------
    text : str
        "none", an R-value, or layers of "material thickness" joined by "+" (or a comma).

    Raises
    ------
    ValueError
        With a sentence that names the layer that cannot be read.
    """
    if not isinstance(text, str):
        raise ValueError(f'{text!r} is neither layers nor an R-value; write for example "XPS 50 mm" or "R-10"')
    if len(text) > 4 * quantities.LONGEST:
        raise ValueError(f'the text is {len(text)} characters long; write only the layers, for example "XPS 50 mm"')
    return _through(text)


def layers(text: str) -> tuple[tuple[float, float], ...]:
    """Thickness [m] and conductivity [W/mK] of each layer of the insulation of a pipe, from the inside.

    Parameters
    ----------
    text : str
        "none", or layers of "material thickness" joined by "+" (or a comma).

    Raises
    ------
    ValueError
        With a sentence that names the layer that cannot be read; an R-value has no thickness.
    """
    resistance(text)
    parts = _parts(text)
    if any(RVALUE.match(part) for part in parts):
        raise ValueError(f'{text!r} has no thickness; write the layers round the pipe, for example "pipe foam 13 mm"')
    return tuple(_thickness_and_conductivity(part) for part in parts)


@lru_cache(maxsize=1024)  # variants of one plan repeat its walls
def _through(text: str) -> float:
    """Sum of the layers of a text. [m2K/W]"""
    return float(sum(_layer(part) for part in _parts(text)))


def _parts(text: str) -> list[str]:
    """The layers of a text, each as written; empty for none."""
    if text.strip().lower() in ("none", "no", "nothing", ""):
        return []
    return [part.strip() for part in re.split(r"\+|,(?!\d)", text)]


def _layer(text: str) -> float:
    """Resistance of one layer or R-value. [m2K/W]"""
    if text.lower() in data.foil_resistances():
        return data.foil_resistances()[text.lower()]
    if RVALUE.match(text):
        return claim(text)[0]
    r = float(layer_resistance(*_thickness_and_conductivity(text)))
    most = data.foil_resistances()[f"{BUBBLE_FOIL} without air space"]
    return min(r, most) if text.lower().startswith(BUBBLE_FOIL) else r


def claim(text: str) -> tuple[float, float | None]:
    """Resistance [m2K/W] and thickness [m] of "R-8 in 8 mm"; no thickness where none is written.

    Raises
    ------
    ValueError
        When either cannot be read, or the layer is not between 0 and 2 m thick.
    """
    match = CLAIM.fullmatch(text.strip())
    if not match:
        return quantities.parse(text, quantities.RESISTANCE), None
    metres = quantities.parse(match[2], quantities.LENGTH)
    if not 0 < metres <= 2:
        raise ValueError(f"{text!r} is out of range; write a layer between 0 and 2 m thick")
    return quantities.parse(match[1], quantities.RESISTANCE), metres


def claims(text: str) -> list[tuple[str, float, float | None]]:
    """Each R-value among the layers of a text, as written, with what `claim` reads."""
    return [(part, *claim(part)) for part in _parts(text) if RVALUE.match(part)]


def _thickness_and_conductivity(text: str) -> tuple[float, float]:
    """Thickness [m] and conductivity [W/mK] of one layer."""
    match = re.fullmatch(r"(.*?)\s+([-+]?[\d.].*)", text)
    if not match:
        raise ValueError(f'{text!r} is neither a preset nor a layer; write for example "XPS 50 mm", "R-10" or "none"')
    name, thickness = match.groups()
    material = data.materials().get(name.lower())
    if material is None:
        raise ValueError(f"{name!r} is an unknown material; {nearest(name, data.raw_table('materials'), TYPING_SLIP)}")
    metres = quantities.parse(thickness, quantities.LENGTH)
    if not 0 < metres <= 2:
        raise ValueError(f"{text!r} is out of range; write a layer between 0 and 2 m thick")
    return metres, material.conductivity_w_per_mk
