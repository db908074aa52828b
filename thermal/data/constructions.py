"""Wall build-ups as people write them: "polyethylene 6 mm", "XPS 50 mm + plywood 12 mm", "R-10", "none"."""

from __future__ import annotations

import re
from functools import lru_cache

from thermal import data
from thermal.core import quantities
from thermal.core.suggest import nearest
from thermal.physics.wall_resistance import layer_resistance


def resistance(text: str) -> float:
    """Surface-to-surface resistance of a written build-up. [m2K/W]

    Parameters
    ----------
    text : str
        "none", an R-value, or layers "material thickness" joined by "+" (or a comma).

    Raises
    ------
    ValueError
        With a sentence naming the layer that is not understood.
    """
    if not isinstance(text, str):
        raise ValueError(f'{text!r} is not a wall; write layers such as "XPS 50 mm" or a value such as "R-10"')
    if len(text) > 4 * quantities.LONGEST:
        raise ValueError(f"the build-up is {len(text)} characters long; name the layers only")
    return _through(text)


@lru_cache(maxsize=1024)  # variants of one plan repeat its walls
def _through(text: str) -> float:
    if text.strip().lower() in ("none", "no", "nothing", ""):
        return 0.0
    return sum(_layer(part.strip()) for part in re.split(r"\+|,(?!\d)", text))


def _layer(text: str) -> float:
    if re.match(r"(?i)(rsi|r)\s*-?\s*[\d.]", text):
        return quantities.parse(text, quantities.RESISTANCE)
    match = re.fullmatch(r"(.*?)\s+([-+]?[\d.].*)", text)
    if not match:
        raise ValueError(f'{text!r} is neither a preset nor a layer; write "XPS 50 mm", "R-10" or "none"')
    name, thickness = match.groups()
    material = data.materials().get(name.lower())
    if material is None:
        raise ValueError(f"the material {name!r} is not known; {nearest(name, data.materials())}")
    metres = quantities.parse(thickness, quantities.LENGTH)
    if not 0 < metres <= 2:
        raise ValueError(f"{text!r}: a layer is between 0 and 2 m thick")
    return float(layer_resistance(metres, material.conductivity_w_per_mk))
