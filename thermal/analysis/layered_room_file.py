"""Room cases of ANSI/ASHRAE 140 in JSON: one building in many variants, as layered rooms."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

from thermal.core.facings import ROOF
from thermal.network.layered_room import BELOW, Layer, LayeredRoom, LayeredSide

WALLS = {"N": "north", "E": "east", "S": "south", "W": "west"}
RADIANT_SHARE = 0.6  # of the interior gain, in every case
LOW_EMISSIVITY = 0.5  # below it an inner surface has the films of the cases with 0.1

# The standard's own constant convective coefficients [W/m2K] for programs that do not vary them from hour to hour, and
# its window's value for sun at right angles and emissivity of glass: ANSI/ASHRAE 140, cases 600, 220, 210, 215; read in
# a public restatement of its tables. "element" is window, or the well-conducting wall in its place.
OUTSIDE = {"wall": 11.9, ROOF: 14.4, BELOW: 0.8, "element": 8.0}
INSIDE = {"wall": 2.2, ROOF: 1.8, BELOW: 2.2, "element": 2.4}
INSIDE_LOW_EMISSIVITY = {"wall": 1.9, ROOF: 1.9, BELOW: 1.0, "element": 2.6}
GLASS_G, GLASS_EMISSIVITY = 0.769, 0.84


def layered_rooms_of(path: Path) -> dict[str, LayeredRoom]:
    """The rooms of a file of ASHRAE 140 cases.

    Parameters
    ----------
    path : Path
        A JSON file with `geometry`, `layers` and `weather`; and `cases`, each with `inputs`, or one `inputs` for all
        the names under `expected`, which then float free. See the files in tests/published/ashrae_140.

    Returns
    -------
    dict of LayeredRoom
        By name of the case, in the order of the file.
    """
    document = json.loads(path.read_text("utf-8"))
    if "cases" in document:
        return {name: _room(document, case["inputs"]) for name, case in document["cases"].items()}
    return {name: _room(document, _free_inputs(document["inputs"], name)) for name in document["expected"]}


def _free_inputs(inputs: dict[str, Any], name: str) -> dict[str, Any]:
    """Inputs of a case that floats free, in the form of the others; those of the 900s have the high mass."""
    emissivities = dict.fromkeys(("inside_emissivity", "outside_emissivity"), inputs["emissivity"])
    mass = "high" if name.startswith("9") else "low"
    return {**inputs, **emissivities, "mass": mass, "heat_set_c": None, "cool_set_c": None}


def _room(document: dict[str, Any], inputs: dict[str, Any]) -> LayeredRoom:
    """One case as a room."""
    geometry, layers = document["geometry"], document["layers"]
    mass = layers[f"{inputs['mass']}_mass"]
    roof = layers["low_mass"]["roof"] if isinstance(mass["roof"], str) else mass["roof"]
    element_m2 = 0.0 if str(inputs["window"]).startswith("no ") else _starting("windows_m2_S", geometry)
    wall_m2 = {letter: area - (element_m2 if letter == "S" else 0.0) for letter, area in geometry["wall_m2"].items()}
    wall = _starting("wall", mass)
    sides = [_side(f"wall {letter}", WALLS[letter], area, wall, inputs) for letter, area in wall_m2.items()]
    if element_m2:
        sides.append(_element(element_m2, _starting("high_conductance_wall", layers), inputs))
    sides.append(_side("roof", ROOF, geometry["roof_m2"], roof, inputs))
    sides.append(_side("floor", BELOW, geometry["floor_m2"], mass["floor"], inputs))
    return LayeredRoom(
        tuple(sides),
        volume_m3=geometry["volume_m3"],
        air_changes_per_h=inputs["ach"],
        gain_w=inputs["gain_w"],
        radiant_share=RADIANT_SHARE,
        heat_below_c=inputs["heat_set_c"],
        cool_above_c=inputs["cool_set_c"],
        pressure_pa=document["weather"]["station_pressure_pa_mean"],
    )


def _side(name: str, faces: str, area_m2: float, rows: list[Any], inputs: dict[str, Any]) -> LayeredSide:
    """An opaque side with the standard's films."""
    kind = faces if faces in OUTSIDE else "wall"
    inside = INSIDE_LOW_EMISSIVITY if inputs["inside_emissivity"] < LOW_EMISSIVITY else INSIDE
    return LayeredSide(
        name,
        faces,
        area_m2,
        tuple(_layer(row) for row in rows),
        absorptance=inputs["outside_solar_absorptance"],
        outside_emissivity=inputs["outside_emissivity"],
        inside_emissivity=inputs["inside_emissivity"],
        outside_convection=OUTSIDE[kind],
        inside_convection=inside[kind],
    )


def _element(area_m2: float, rows: list[Any], inputs: dict[str, Any]) -> LayeredSide:
    """The window to the south, or the wall in its place that conducts as well and lets no sun in."""
    wall = _side("element S", "south", area_m2, rows, inputs)
    inside = INSIDE_LOW_EMISSIVITY if inputs["inside_emissivity"] < LOW_EMISSIVITY else INSIDE
    element = replace(wall, outside_convection=OUTSIDE["element"], inside_convection=inside["element"])
    if str(inputs["window"]).startswith("high-conductance"):
        return element
    glass = replace(element, outside_emissivity=GLASS_EMISSIVITY, inside_emissivity=GLASS_EMISSIVITY)
    return replace(glass, g_value=GLASS_G, absorptance=0.0)


def _layer(row: list[Any]) -> Layer:
    """A row of name, thickness, conductivity, density, specific heat; an air space has its resistance in its name."""
    name, thickness_m, w_per_mk, kg_per_m3, j_per_kgk = row
    if thickness_m is None:
        match = re.search(r"R (\d+\.?\d*)", name)
        if match is None:
            raise ValueError(f"layer {name!r} has neither a thickness nor a resistance")
        return Layer(1.0, 1.0 / float(match[1]))
    return Layer(thickness_m, w_per_mk, kg_per_m3, j_per_kgk)


def _starting(word: str, table: dict[str, Any]) -> Any:
    """The value whose key begins with a word; a remark may follow in the key."""
    return next(value for key, value in table.items() if key.startswith(word))
