"""One row of `species.toml`: the temperatures of an animal or a plant, checked for order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

PLANT = "plant"


@dataclass(frozen=True)
class Species:
    """Temperatures of an animal or a plant.

    Attributes
    ----------
    name : str
        Its name in a plan.
    kind : str
        "fish", "crustacean" or "plant".
    low_c : float
        Water temperature below which it dies [degC].
    working_c : float
        Lowest water temperature at which it still feeds and grows [degC].
    good_c : tuple of float
        Lower and upper end of its preferred range of the water [degC].
    high_c : float
        Water temperature above which it dies [degC].
    source : str
        Key of the source of these.
    lowest_water_c : float
        Lowest water temperature that it stands for a season: between the one where it dies and the one from which it
        works [degC].
    lowest_water_source : str
        Key of its source.
    lowest_air_c : float or None
        Lowest air temperature that a plant's leaves stand [degC]; None for animals.
    lowest_air_source : str
        Key of its source; empty for animals.
    """

    name: str
    kind: str
    low_c: float
    working_c: float
    good_c: tuple[float, float]
    high_c: float
    source: str
    lowest_water_c: float
    lowest_water_source: str
    lowest_air_c: float | None
    lowest_air_source: str


def species_row(name: str, row: dict[str, Any]) -> Species:
    """The species of one row.

    Parameters
    ----------
    name : str
        Its name.
    row : dict
        Its keys and values.

    Raises
    ------
    ValueError
        When the temperatures do not rise, a plant has no lowest air temperature, or an animal has one.
    """
    temperatures = [row["low"], row["lowest_water"], row["working"], *row["good"], row["high"]]
    if temperatures != sorted(temperatures):
        raise ValueError(f"temperatures {temperatures} do not rise")
    if (row["kind"] == PLANT) != ("lowest_air" in row):
        raise ValueError("plants have a lowest_air, animals have none")
    air_c = row.get("lowest_air")
    if air_c is not None and not -15.0 <= air_c <= row["good"][0]:
        raise ValueError(f"lowest_air = {air_c} is not between -15 degC and the water that it likes")
    return Species(
        name=name,
        kind=row["kind"],
        low_c=row["low"],
        working_c=row["working"],
        good_c=(row["good"][0], row["good"][1]),
        high_c=row["high"],
        source=row["source"],
        lowest_water_c=row["lowest_water"],
        lowest_water_source=row["lowest_water_source"],
        lowest_air_c=air_c,
        lowest_air_source=row.get("lowest_air_source", ""),
    )
