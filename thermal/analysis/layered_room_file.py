"""Room cases of ANSI/ASHRAE 140 as JSON files: one building in many variants, as layered rooms."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

from thermal.climate.incident_sun import Site
from thermal.core.facings import ROOF
from thermal.network.layered_room import BELOW, Layer, LayeredRoom, LayeredSide
from thermal.physics.moist_air import pressure_at

WALLS = {"N": "north", "E": "east", "S": "south", "W": "west"}
PANEL_M2 = 12.0  # of the well-conducting wall to the south, in place of a window
DULL = 0.5  # emissivity below which an inner surface counts as bare metal, with the films that go with it

GLASS_G, GLASS_EMISSIVITY = 0.769, 0.84  # of the window, case 600 of the standard, read as below

# The standard's own constant convective coefficients [W/m2K], for programs that do not vary them from hour to hour:
# ANSI/ASHRAE 140-2017 and 2020, cases 600, 210 and 215 (read in a public restatement of the standard's tables).
OUTSIDE = {"wall": 11.9, ROOF: 14.4, BELOW: 0.8, "panel": 8.0}
INSIDE = {"wall": 2.2, ROOF: 1.8, BELOW: 2.2, "panel": 2.4}
INSIDE_DULL = {"wall": 1.9, ROOF: 1.9, BELOW: 1.0, "panel": 2.6}


def site_of(document: dict[str, Any]) -> Site:
    """Where the weather of a case file was measured."""
    weather = document["weather"]
    return Site(weather["lat"], weather["lon"], weather["elevation_m"])


def rooms_of(path: Path) -> dict[str, LayeredRoom]:
    """The rooms of a case file, by name of the case.

    Parameters
    ----------
    path : Path
        A JSON file with `geometry`, `layers`, `weather` and `cases`, as refs/cases/ashrae140_2020_opaque_cases.json.
    """
    document = json.loads(path.read_text("utf-8"))
    if "cases" in document:
        return {name: _room(document, case["inputs"]) for name, case in document["cases"].items()}
    return {name: _room(document, _free_inputs(document["inputs"], name)) for name in document["expected"]}


def _free_inputs(inputs: dict[str, Any], name: str) -> dict[str, Any]:
    """Inputs of a case that floats free, in the form of the others; from 900 on the mass is high."""
    emissivity = inputs["emissivity"]
    return {
        **inputs,
        "mass": "high" if name.startswith("9") else "low",
        "heat_set_c": None,
        "cool_set_c": None,
        "inside_emissivity": emissivity,
        "outside_emissivity": emissivity,
        "g_value": GLASS_G,
    }


def _room(document: dict[str, Any], inputs: dict[str, Any]) -> LayeredRoom:
    geometry, layers = document["geometry"], document["layers"]
    mass = layers[f"{inputs['mass']}_mass"]
    roof = layers["low_mass"]["roof"] if isinstance(mass["roof"], str) else mass["roof"]
    wall = next(value for name, value in mass.items() if name.startswith("wall"))
    has_panel = not str(inputs["window"]).startswith("no ")

    def side(name: str, faces: str, area_m2: float, rows: list[Any], kind: str) -> LayeredSide:
        dull = inputs["inside_emissivity"] < DULL
        return LayeredSide(
            name,
            faces,
            area_m2,
            tuple(_layer(row) for row in rows),
            absorptance=inputs["outside_solar_absorptance"],
            outside_emissivity=inputs["outside_emissivity"],
            inside_emissivity=inputs["inside_emissivity"],
            outside_convection=OUTSIDE[kind],
            inside_convection=(INSIDE_DULL if dull else INSIDE)[kind],
        )

    sides = []
    for letter, area_m2 in geometry["wall_m2"].items():
        less = PANEL_M2 if has_panel and letter == "S" else 0.0
        sides.append(side(f"wall {letter}", WALLS[letter], area_m2 - less, wall, "wall"))
    g_value = inputs.get("g_value", 0.0)
    if has_panel:
        panel = next(value for name, value in layers.items() if name.startswith("high_conductance_wall"))
        added = side("panel S", "south", PANEL_M2, panel, "panel")
        if g_value:
            glass = {"absorptance": 0.0, "outside_emissivity": GLASS_EMISSIVITY, "inside_emissivity": GLASS_EMISSIVITY}
            added = replace(added, g_value=g_value, **glass)
        sides.append(added)
    sides.append(side("roof", ROOF, geometry["roof_m2"], roof, ROOF))
    sides.append(side("floor", BELOW, geometry["floor_m2"], mass["floor"], BELOW))
    return LayeredRoom(
        tuple(sides),
        volume_m3=geometry["volume_m3"],
        air_changes_per_h=inputs["ach"],
        gain_w=inputs["gain_w"],
        radiant_share=0.6,
        heat_below_c=inputs["heat_set_c"],
        cool_above_c=inputs["cool_set_c"],
        pressure_pa=float(pressure_at(document["weather"]["elevation_m"])),
    )


def _layer(row: list[Any]) -> Layer:
    """A row of name, thickness, conductivity, density, specific heat; an air space has its resistance in its name."""
    name, thickness_m, w_per_mk, kg_per_m3, j_per_kgk = row
    if thickness_m is None:
        match = re.search(r"R ([\d.]+)", name)
        if match is None:
            raise ValueError(f"layer {name!r} has neither a thickness nor a resistance")
        return Layer(1.0, 1.0 / float(match[1]))
    return Layer(thickness_m, w_per_mk, kg_per_m3, j_per_kgk)
