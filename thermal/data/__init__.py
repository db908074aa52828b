"""The data tables beside this module, read once and checked row by row.

A conductivity that is wrong by a factor of a thousand would size every heater wrong. Each row must therefore lie
within bounds, and must name a source.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from thermal.core.distributions import TriangularRange
from thermal.data.species_table import Species as Species
from thermal.data.species_table import species_row

CONDUCTIVITY_BOUNDS = {
    "insulation": (0.015, 0.065),
    "gap": (0.02, 0.5),
    "solid": (0.1, 3.0),
    "metal": (10.0, 400.0),
}


@dataclass(frozen=True)
class Material:
    """A wall material.

    Attributes
    ----------
    name : str
        Its name in a plan.
    conductivity_w_per_mk : float
        Thermal conductivity [W/mK].
    source : str
        Key of the source.
    """

    name: str
    conductivity_w_per_mk: float
    source: str


@dataclass(frozen=True)
class Build:
    """Construction of a side of the room.

    Attributes
    ----------
    name : str
        Its name in a plan.
    u_w_per_m2k : TriangularRange
        Transmittance with films, low, likely and high [W/m2K].
    mass_j_per_m2k : float
        Heat capacity on the inside, for each area [J/m2K].
    source : str
        Key of the source.
    g : TriangularRange
        Share of the sun at right angles that it lets in, frame included, low, likely and high; 0 where opaque [-].
    """

    name: str
    u_w_per_m2k: TriangularRange
    mass_j_per_m2k: float
    source: str
    g: TriangularRange = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Colour:
    """Colour of an outer surface.

    Attributes
    ----------
    name : str
        Its name in a plan.
    absorptance : float
        Share of the sun on it that it takes up [-].
    source : str
        Key of the source.
    """

    name: str
    absorptance: float
    source: str


@dataclass(frozen=True)
class Top:
    """A cover of the water.

    Attributes
    ----------
    name : str
        Its name in a plan.
    evaporation : TriangularRange
        Factor on the evaporation of open water, low, likely and high [-].
    r_m2k_per_w : TriangularRange
        Resistance, in the order of low, likely and high heat loss [m2K/W].
    source : str
        Key of the source.
    """

    name: str
    evaporation: TriangularRange
    r_m2k_per_w: TriangularRange
    source: str


@dataclass(frozen=True)
class Fill:
    """Fill of a bed.

    Attributes
    ----------
    name : str
        Its name in a plan.
    porosity : float
        Share of the volume that water fills when flooded [-].
    retained : float
        Share of the volume that holds water after draining [-].
    solids_j_per_m3k : float
        Heat capacity of the solids, for each volume [J/m3K].
    wet : dict of str to TriangularRange
        Factor on the evaporation of open water by how the bed is flooded, low, likely and high [-].
    r_m2k_per_w : float
        Resistance between the water and the air above the bed [m2K/W].
    source : str
        Key of the source.
    """

    name: str
    porosity: float
    retained: float
    solids_j_per_m3k: float
    wet: dict[str, TriangularRange]
    r_m2k_per_w: float
    source: str


@dataclass(frozen=True)
class Floor:
    """Floor of a room.

    Attributes
    ----------
    name : str
        Its name in a plan.
    r_m2k_per_w : float
        Resistance [m2K/W].
    mass_j_per_m2k : float
        Heat capacity of the slab, for each area [J/m2K].
    source : str
        Key of the source.
    """

    name: str
    r_m2k_per_w: float
    mass_j_per_m2k: float
    source: str


@dataclass(frozen=True)
class Enclosure:
    """Construction of a hut.

    Attributes
    ----------
    name : str
        Its name in a plan.
    r_m2k_per_w : TriangularRange
        Resistance, in the order of low, likely and high heat loss [m2K/W].
    per_hour : TriangularRange
        Air changes with the room, low, likely and high [1/h].
    source : str
        Key of the source.
    """

    name: str
    r_m2k_per_w: TriangularRange
    per_hour: TriangularRange
    source: str


@cache
def raw_table(name: str) -> dict[str, Any]:
    """A table as read from its TOML file, by its name without ".toml"."""
    return tomllib.loads((files("thermal") / "data" / f"{name}.toml").read_text("utf-8"))


@cache
def foil_resistances() -> dict[str, float]:
    """Resistance of foil-faced sheets by published caps, by the words of a plan. [m2K/W]"""
    rows = {}
    for name, row in raw_table("foils").items():
        _source("foils", name, row)
        _require(0.0 < row["r"] <= 1.0, "foils", name, f"r = {row['r']} is outside 0-1 m2K/W")
        rows[name] = float(row["r"])
    return rows


@cache
def materials() -> dict[str, Material]:
    """Every material, by each of its names in lower case."""
    rows: dict[str, Material] = {}
    for name, row in raw_table("materials").items():
        low, high = CONDUCTIVITY_BOUNDS[row["class"]]
        _require(low <= row["k"] <= high, "materials", name, f"k = {row['k']} is outside {low}-{high} W/mK")
        material = Material(name, row["k"], _source("materials", name, row))
        rows |= {key.lower(): material for key in (name, *row.get("also", []))}
    return rows


@cache
def builds() -> dict[str, Build]:
    """Every construction of a side, by name."""
    rows = {}
    for name, row in raw_table("builds").items():
        u = _triangular("builds", name, row["u"], 0.05, 7.0)
        _require(0 <= row["mass"] <= 500, "builds", name, f"mass = {row['mass']} is outside 0-500 kJ/m2K")
        g = _triangular("builds", name, row.get("g", [0.0, 0.0, 0.0]), 0.0, 1.0)
        rows[name] = Build(name, u, row["mass"] * 1e3, _source("builds", name, row), g)
    return rows


@cache
def colours() -> dict[str, Colour]:
    """Every colour of an outer surface, by name."""
    rows = {}
    for name, row in raw_table("colours").items():
        _require(0.0 < row["absorptance"] < 1.0, "colours", name, f"absorptance {row['absorptance']} is not a share")
        rows[name] = Colour(name, row["absorptance"], _source("colours", name, row))
    return rows


@cache
def tops() -> dict[str, Top]:
    """Every water cover, by name."""
    rows = {}
    for name, row in raw_table("tops").items():
        evaporation = _triangular("tops", name, row["evaporation"], 0.0, 2.0)
        rows[name] = Top(name, evaporation, _falling("tops", name, row["r"], 5.0), _source("tops", name, row))
    return rows


@cache
def fills() -> dict[str, Fill]:
    """Every bed fill, by name."""
    rows = {}
    for name, row in raw_table("fills").items():
        _require(0 <= row["retained"] <= row["porosity"] <= 1, "fills", name, "water shares are not 0-1 in order")
        _require(0 <= row["solids"] <= 3e6, "fills", name, f"solids = {row['solids']} J/m3K is not plausible")
        wet = {key: _triangular("fills", name, value, 0.0, 2.0) for key, value in row["wet"].items()}
        rows[name] = Fill(
            name, row["porosity"], row["retained"], row["solids"], wet, row["r"], _source("fills", name, row)
        )
    return rows


@cache
def leakage() -> dict[str, TriangularRange]:
    """Air changes by how tight the room is, each low, likely and high. [1/h]"""
    return {
        name: _triangular("leakage", name, row["per_hour"], 0.0, 20.0)
        for name, row in raw_table("leakage").items()
        if _source("leakage", name, row)
    }


@cache
def floors() -> dict[str, Floor]:
    """Every room floor, by name."""
    rows = {}
    for name, row in raw_table("floors").items():
        _require(0 <= row["r"] <= 10, "floors", name, f"r = {row['r']} is outside 0-10 m2K/W")
        rows[name] = Floor(name, row["r"], row["mass"] * 1e3, _source("floors", name, row))
    return rows


@cache
def soils() -> dict[str, tuple[TriangularRange, float]]:
    """Conductivity, low, likely and high [W/mK], and heat capacity [J/m3K] of each ground, by name."""
    rows = {}
    for name, row in raw_table("soils").items():
        _require(1e6 <= row["capacity"] <= 5e6, "soils", name, "not a ground")
        rows[name] = (_triangular("soils", name, row["k"], 0.5, 5.0), row["capacity"])
        _source("soils", name, row)
    return rows


@cache
def huts() -> dict[str, Enclosure]:
    """Every construction of a hut, by name."""
    rows = {}
    for name, row in raw_table("huts").items():
        changes = _triangular("huts", name, row["per_hour"], 0.0, 20.0)
        rows[name] = Enclosure(name, _falling("huts", name, row["r"], 10.0), changes, _source("huts", name, row))
    return rows


@cache
def species() -> dict[str, Species]:
    """Every animal and plant, by each of its names in lower case."""
    rows: dict[str, Species] = {}
    for name, row in raw_table("species").items():
        for key in ("source", "lowest_water_source", *(["lowest_air_source"] if "lowest_air" in row else [])):
            _source("species", name, {"source": row.get(key)})
        try:
            item = species_row(name, row)
        except ValueError as fault:
            _require(False, "species", name, str(fault))
            raise
        rows |= {key.lower(): item for key in (name, *row.get("also", []))}
    return rows


@cache
def heater_sizes() -> tuple[float, ...]:
    """Rated powers of heaters on sale, rising. [W]"""
    return tuple(float(size) for size in raw_table("heaters")["sizes"])


@cache
def continuous_share() -> float:
    """Share of a circuit's rated power that a load of three hours or more may take. [-]"""
    return float(raw_table("heaters")["circuits"]["continuous_share"])


@cache
def assumed_circuit(units: str) -> str:
    """The circuit assumed where a plan gives none, "15 A 120 V", by the plan's units (metric, us or imperial)."""
    return str(raw_table("heaters")["circuits"]["assumed"][units])


@cache
def heat_pump() -> tuple[tuple[float, ...], tuple[float, ...], float]:
    """Performance of a heat pump.

    Returns
    -------
    outdoor_c : tuple of float
        Outdoor temperatures, rising [degC].
    cop : tuple of float
        Coefficient of performance at each [-].
    coldest_c : float
        Lowest outdoor temperature at which it works [degC].
    """
    table = raw_table("heat_pump")
    outdoor, cop = tuple(map(float, table["outdoor"])), tuple(map(float, table["cop"]))
    rising = list(outdoor) == sorted(outdoor) and list(cop) == sorted(cop) and len(outdoor) == len(cop)
    _require(rising and cop[0] >= 1.0 and cop[-1] <= 8.0, "heat_pump", "cop", "is not a rising curve of 1 to 8")
    _source("heat_pump", "cop", table)
    return outdoor, cop, float(table["coldest"])


@cache
def measurement(unknown: str) -> str:
    """The cheapest way to measure an uncertain input, chosen by the beginning of its name."""
    rows = raw_table("measurements")
    name = next((name for name in rows if unknown.startswith(name)), "other")
    _source("measurements", name, rows[name])
    return str(rows[name]["do"])


def citation(key: str) -> str:
    """Full text of the source with a key."""
    return str(raw_table("sources")[key])


def _source(table: str, name: str, row: dict[str, Any]) -> str:
    """Source key of a row; it must be in `sources.toml`."""
    _require(
        row.get("source") in raw_table("sources"),
        table,
        name,
        f"source {row.get('source')!r} is not in sources.toml",
    )
    return str(row["source"])


def _triangular(table: str, name: str, values: list[float], low: float, high: float) -> TriangularRange:
    """Low, likely and high value of a row, in order and within bounds."""
    ordered = len(values) == 3 and low <= values[0] <= values[1] <= values[2] <= high
    _require(ordered, table, name, f"{values} is not low, likely, high within {low}-{high}")
    return (float(values[0]), float(values[1]), float(values[2]))


def _falling(table: str, name: str, values: list[float], high: float) -> TriangularRange:
    """Resistances from the largest (least heat loss) to the smallest, within bounds."""
    low, nominal, most = _triangular(table, name, [-value for value in values], -high, 0.0)
    return (-low, -nominal, -most)


def _require(holds: bool, table: str, name: str, why: str) -> None:
    """Raise a ValueError that names table and row unless a condition holds."""
    if not holds:
        raise ValueError(f"data/{table}.toml, row {name!r}: {why}")
