"""Other ways to heat or run a system: what each costs to set up, and why its result may surprise."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from thermal import data

AREAS = ("hut", "water")


@dataclass(frozen=True)
class OtherWay:
    """Another way to heat or run a system.

    Attributes
    ----------
    name : str
        Its name in the table of `compare` and in a plan.
    fixed : float
        Price of what every system needs [currency].
    per_kw : float
        Price for each kilowatt of the heater needed [currency/kW].
    per_m2 : float
        Price for each square metre of `area` [currency/m2].
    area : str
        What is measured: hut (walls and roof of the hut), water (surface of the tanks), or empty.
    more_heater, more_energy, more_mould : str
        Why the heater needed, the energy or the hours of mould risk rise, where they do.
    source : str
        Key of the source.
    """

    name: str
    fixed: float
    per_kw: float
    per_m2: float
    area: str
    more_heater: str
    more_energy: str
    more_mould: str
    source: str


@cache
def other_ways() -> dict[str, OtherWay]:
    """Every other way, by name.

    Raises
    ------
    ValueError
        When a price is out of bounds, an area is unknown, or a reason or a source is missing.
    """
    rows = {}
    for name, row in data.raw_table("other_ways").items():
        prices = {key: float(row.get(key, 0.0)) for key in ("fixed", "per_kw", "per_m2")}
        reasons = {key: str(row.get(key, "")) for key in ("more_heater", "more_energy", "more_mould")}
        area = str(row.get("area", ""))
        if not all(0.0 <= price <= 5000.0 for price in prices.values()) or (prices["per_m2"] > 0.0) != (area in AREAS):
            raise ValueError(
                f"data/other_ways.toml, row {name!r}: prices {prices} with area {area!r} are not plausible"
            )
        if not all(reasons.values()) or row.get("source") not in data.raw_table("sources"):
            raise ValueError(f"data/other_ways.toml, row {name!r}: a reason, or a source of sources.toml, is missing")
        rows[name] = OtherWay(
            name, prices["fixed"], prices["per_kw"], prices["per_m2"], area, **reasons, source=row["source"]
        )
    return rows


@cache
def price_currencies() -> tuple[str, ...]:
    """Currencies in which the prices of `other_ways` hold."""
    return tuple(data.raw_table("currencies")["like_a_dollar"]["names"])
