"""Wall constructions as people write them: "polyethylene 6 mm", "XPS 50 mm + plywood 12 mm", "R-10", "none"."""

from __future__ import annotations

import re
from functools import lru_cache

from thermal import data
from thermal.core import quantities
from thermal.core.suggest import nearest
from thermal.physics.wall_resistance import layer_resistance


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


@lru_cache(maxsize=1024)  # variants of one plan repeat its walls
def _through(text: str) -> float:
    """Sum of the layers of a text. [m2K/W]"""
    if text.strip().lower() in ("none", "no", "nothing", ""):
        return 0.0
    return sum(_layer(part.strip()) for part in re.split(r"\+|,(?!\d)", text))


def _layer(text: str) -> float:
    """Resistance of one layer or R-value. [m2K/W]"""
    if re.match(r"(?i)(rsi|r)\s*-?\s*[\d.]", text):
        return quantities.parse(text, quantities.RESISTANCE)
    match = re.fullmatch(r"(.*?)\s+([-+]?[\d.].*)", text)
    if not match:
        raise ValueError(f'{text!r} is neither a preset nor a layer; write for example "XPS 50 mm", "R-10" or "none"')
    name, thickness = match.groups()
    material = data.materials().get(name.lower())
    if material is None:
        raise ValueError(f"{name!r} is an unknown material; {nearest(name, data.raw_table('materials'))}")
    metres = quantities.parse(thickness, quantities.LENGTH)
    if not 0 < metres <= 2:
        raise ValueError(f"{text!r} is out of range; write a layer between 0 and 2 m thick")
    return float(layer_resistance(metres, material.conductivity_w_per_mk))
