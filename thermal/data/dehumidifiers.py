"""Kinds of dehumidifier, and the sizes that `compare` tries of it and of a fan by humidity, read once and checked."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from thermal.data import _require, _source, raw_table

TABLE, SIZES, FANS = "dehumidifiers", "dehumidifier_sizes", "humidity_fans"


@dataclass(frozen=True)
class DehumidifierKind:
    """How the capacity of a kind of dehumidifier depends on the air.

    Attributes
    ----------
    removal : tuple of float
        c0 to c5 of the share of the rated capacity at t [degC] and h [%]: c0 + c1 t + c2 t2 + c3 h + c4 h2 + c5 t h.
    stops_c, full_c : float
        Temperatures at which frost stops it, and from which it need not pause for frost [degC].
    """

    removal: tuple[float, ...]
    stops_c: float
    full_c: float

    def at_humidity(self, humidity: float) -> tuple[float, float, float]:
        """Coefficients of a + b t + c t2 at one relative humidity [-]: a [-], b [1/K], c [1/K2]."""
        c0, c1, c2, c3, c4, c5 = self.removal
        percent = 100.0 * humidity
        return c0 + c3 * percent + c4 * percent**2, c1 + c5 * percent, c2


@dataclass(frozen=True)
class DehumidifierSize:
    """A dehumidifier that `compare` tries.

    Attributes
    ----------
    kind : str
        Its kind.
    l_per_day, watts, price : float
        Rated capacity [L/day], power while it runs [W], and price [currency].
    """

    kind: str
    l_per_day: float
    watts: float
    price: float


@dataclass(frozen=True)
class FanSize:
    """A fan by humidity that `compare` tries.

    Attributes
    ----------
    m3_per_h, watts, price : float
        Flow [m3/h], power while it runs [W], and price [currency].
    """

    m3_per_h: float
    watts: float
    price: float


@cache
def dehumidifier_kinds() -> dict[str, DehumidifierKind]:
    """Each kind by its name."""
    rows = {}
    for name, row in raw_table(TABLE).items():
        assert _source(TABLE, name, row)
        kind = DehumidifierKind(tuple(map(float, row["removal"])), float(row["stops_c"]), float(row["full_c"]))
        _require(len(kind.removal) == 6, TABLE, name, "removal needs six coefficients")
        _require(-10.0 <= kind.stops_c < kind.full_c <= 20.0, TABLE, name, "its temperatures are not plausible")
        rows[name] = kind
    return rows


@cache
def dehumidifier_sizes() -> dict[str, DehumidifierSize]:
    """Each size by its name, the smallest power first among those of a kind."""
    rows = {}
    for name, row in raw_table(SIZES).items():
        assert _source(SIZES, name, row)
        _require(row["kind"] in dehumidifier_kinds(), SIZES, name, f"kind = {row['kind']!r} is unknown")
        figures = [float(row[key]) for key in ("l_per_day", "watts", "price")]
        _require(all(0.0 < figure <= 5000.0 for figure in figures), SIZES, name, "its figures are not plausible")
        rows[name] = DehumidifierSize(row["kind"], *figures)
    return rows


@cache
def fan_sizes() -> dict[str, FanSize]:
    """Each size of a fan by its name."""
    rows = {}
    for name, row in raw_table(FANS).items():
        assert _source(FANS, name, row)
        figures = [float(row[key]) for key in ("m3_per_h", "watts", "price")]
        _require(all(0.0 < figure <= 5000.0 for figure in figures), FANS, name, "its figures are not plausible")
        rows[name] = FanSize(*figures)
    return rows
