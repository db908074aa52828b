"""Published heating design temperatures, from `design_temperatures.toml`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from thermal import data

EARTH_KM = 6371.0
NEAR_KM = 150.0  # a published place further away is another climate
NEAR_M = 300.0  # of height


@dataclass(frozen=True)
class PublishedDesign:
    """Published design temperatures of one place.

    Attributes
    ----------
    place : str
        Its name.
    at : tuple of float
        Latitude [degrees north], longitude [degrees east] and elevation [m].
    air_c : dict of str to float
        By "99.6 %" and "99 %" [degC].
    source : str
        Where they are from.
    """

    place: str
    at: tuple[float, float, float]
    air_c: dict[str, float]
    source: str

    def distance_km(self, latitude: float, longitude: float) -> float:
        """Distance along the ground from a point. [km]"""
        north, east, north_there, east_there = np.radians([latitude, longitude, *self.at[:2]])
        haversine = (
            np.sin((north_there - north) / 2) ** 2
            + np.cos(north) * np.cos(north_there) * np.sin((east_there - east) / 2) ** 2
        )
        return float(2 * EARTH_KM * np.arcsin(np.sqrt(haversine)))


@cache
def published_designs() -> tuple[PublishedDesign, ...]:
    """Every row of the table.

    Raises
    ------
    ValueError
        When a row's temperatures do not rise.
    """
    rows = []
    for place, row in data.raw_table("design_temperatures").items():
        colder, warmer = row["air"]
        if not colder < warmer:
            raise ValueError(f"data/design_temperatures.toml, row {place!r}: {row['air']} do not rise")
        latitude, longitude, elevation = map(float, row["at"])
        air_c = {"99.6 %": float(colder), "99 %": float(warmer)}
        rows.append(PublishedDesign(place, (latitude, longitude, elevation), air_c, data.citation(row["source"])))
    return tuple(rows)


def nearest_design_place(latitude: float, longitude: float, elevation_m: float) -> PublishedDesign | None:
    """The nearest published place; None where none is within 150 km and 300 m of height.

    Parameters
    ----------
    latitude, longitude : float
        Degrees north and east.
    elevation_m : float
        Height above sea level [m].
    """
    near = [
        row
        for row in published_designs()
        if row.distance_km(latitude, longitude) <= NEAR_KM and abs(row.at[2] - elevation_m) <= NEAR_M
    ]
    return min(near, key=lambda row: row.distance_km(latitude, longitude), default=None)
