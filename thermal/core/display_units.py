"""Figures in the units of the reader: metric, US or imperial."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

from thermal.core.quantities import R_IMPERIAL, N

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")  # fmt: skip
ROUNDING = 1e-6  # so that 1,000 W with an error of rounding stays 1,000 W


def watts_number(power_w: float) -> str:
    """A power [W] as text without its unit, in steps of 10 W because the model is not more exact than that.

    It is rounded up, never down, so that a heater of the power shown is enough.
    """
    return f"{math.ceil(power_w / 10.0 - ROUNDING) * 10:,}"


def watts_text(power_w: float) -> str:
    """A power [W] as text with its unit, rounded like `watts_number`."""
    return f"{watts_number(power_w)} W"


def limit_text(power_w: float) -> str:
    """A limit [W] as text with its unit, in whole watts, rounded down so that it is never exceeded."""
    return f"{math.floor(power_w + ROUNDING):,} W"


def percent_text(share: float, decimals: int = 0) -> str:
    """A share of 1 as text: 0.2 gives "20 %"."""
    return f"{100.0 * share:.{decimals}f} %"


def heater_list(powers_w: tuple[float, ...]) -> str:
    """Heaters as text, by number and rated power [W]."""
    if not powers_w:
        return "no heater"
    if len(set(powers_w)) == 1:
        count = f"{len(powers_w)} × " if len(powers_w) > 1 else ""
        return f"{count}{powers_w[0]:,.0f} W"
    return " + ".join(f"{power:,.0f} W" for power in powers_w)


@dataclass(frozen=True)
class DisplayUnits:
    """A system of units in which figures are shown.

    Attributes
    ----------
    name : str
        "metric", "us" or "imperial".
    table : dict of str to (str, float, float)
        For each quantity its unit label, the factor from SI and the offset added after it.
    """

    name: str
    table: dict[str, tuple[str, float, float]]

    def value(self, quantity: str, si: N) -> N:
        """A number in the shown unit.

        Parameters
        ----------
        quantity : str
            Key of `table`, for example "temperature" or "volume".
        si : float or Array
            Number in the SI unit of that quantity.

        Returns
        -------
        float or Array
            The same amount in the shown unit.
        """
        _, factor, offset = self.table[quantity]
        return si * factor + offset

    def unit(self, quantity: str) -> str:
        """Label of the shown unit of a quantity such as "temperature" or "volume"."""
        return self.table[quantity][0]

    def text(self, quantity: str, si: float | None, decimals: int = 1) -> str:
        """A number as text with its unit.

        Parameters
        ----------
        quantity : str
            Key of `table`, for example "temperature" or "volume".
        si : float or None
            Number in the SI unit of that quantity.
        decimals : int
            Decimals shown.

        Returns
        -------
        str
            For example "10.0 °C", or "R-13" whatever the decimals; an em dash where the number is None or not finite.
        """
        if si is None or not math.isfinite(si):
            return "—"
        if self.unit(quantity) == "R-value":
            return f"R-{round(self.value(quantity, si), 1):,.10g}"
        shown = round(self.value(quantity, si), decimals) + 0.0  # turns -0.0 into 0.0
        return f"{shown:,.{decimals}f} {self.unit(quantity)}"

    def below(self, si_c: float, minimum_c: float) -> str:
        """A temperature as text; "just below" the minimum where it is lower but would be shown as the minimum.

        Parameters
        ----------
        si_c, minimum_c : float
            The temperature, and the minimum water temperature [degC].
        """
        shown = self.text("temperature", si_c)
        just_below = si_c < minimum_c and shown == self.text("temperature", minimum_c)
        return f"just below {shown}" if just_below else shown

    def difference(self, si_k: float, decimals: int = 1) -> str:
        """A temperature difference as text, in degrees of the shown temperature unit.

        Parameters
        ----------
        si_k : float
            Difference [K].
        decimals : int
            Decimals shown.

        Returns
        -------
        str
            For example "1.8 °F" for 1 K in US units.
        """
        unit, factor, _ = self.table["temperature"]
        return f"{si_k * factor:.{decimals}f} {unit}"

    def day(self, time: str) -> str:
        """The day of a time given as ISO 8601, in the reader's order: "7 Feb 2012", in US units "Feb 7, 2012"."""
        date = datetime.fromisoformat(time)
        month = MONTHS[date.month - 1][:3]
        return f"{month} {date.day}, {date.year}" if self.name == "us" else f"{date.day} {month} {date.year}"

    def moment(self, time: str) -> str:
        """A time given as ISO 8601, to the minute: "7 Feb 2012 07:00", in US units "Feb 7, 2012 07:00"."""
        return f"{self.day(time)} {datetime.fromisoformat(time):%H:%M}"

    def day_of_year(self, time: str) -> str:
        """The day of a date given as ISO 8601, without its year: "12 October", in US units "October 12"."""
        date = datetime.fromisoformat(time)
        month = MONTHS[date.month - 1]
        return f"{month} {date.day}" if self.name == "us" else f"{date.day} {month}"


M_S_PER_MPH = 0.44704
US_GALLON_M3, IMPERIAL_GALLON_M3 = 3.785411784e-3, 4.54609e-3
_US = {
    "temperature": ("°F", 1.8, 32.0),
    "difference": ("°F", 1.8, 0.0),
    "length": ("ft", 1 / 0.3048, 0.0),
    "area": ("ft²", 1 / 0.3048**2, 0.0),
    "volume": ("gal", 1 / US_GALLON_M3, 0.0),
    "resistance": ("R-value", 1 / R_IMPERIAL, 0.0),
    "power": ("W", 1.0, 0.0),
    "conductance": ("BTU/h°F", 1.8956, 0.0),
    "transmittance": ("BTU/h ft²°F", 1.8956 * 0.3048**2, 0.0),
    "conductivity": ("BTU/h ft°F", 1.8956 * 0.3048, 0.0),
    "energy": ("kWh", 1.0, 0.0),
    "distance": ("miles", 1 / 1609.344, 0.0),
    "air_flow": ("ft³/min", 60.0 / 0.3048**3, 0.0),
    "transpiration": ("gal/ft² a day", 1e-3 * 0.3048**2 / US_GALLON_M3, 0.0),
}


UNIT_SYSTEMS = {
    "metric": DisplayUnits(
        "metric",
        {
            "temperature": ("°C", 1.0, 0.0),
            "difference": ("°C", 1.0, 0.0),
            "length": ("m", 1.0, 0.0),
            "area": ("m²", 1.0, 0.0),
            "volume": ("L", 1000.0, 0.0),
            "resistance": ("m²K/W", 1.0, 0.0),
            "power": ("W", 1.0, 0.0),
            "conductance": ("W/K", 1.0, 0.0),
            "transmittance": ("W/m²K", 1.0, 0.0),
            "conductivity": ("W/mK", 1.0, 0.0),
            "energy": ("kWh", 1.0, 0.0),
            "distance": ("km", 1e-3, 0.0),
            "air_flow": ("m³/h", 3600.0, 0.0),
            "transpiration": ("L/m² a day", 1.0, 0.0),
        },
    ),
    "us": DisplayUnits("us", _US),
    "imperial": DisplayUnits(
        "imperial",
        {
            **_US,
            "volume": ("imp gal", 1 / IMPERIAL_GALLON_M3, 0.0),
            "transpiration": ("imp gal/ft² a day", 1e-3 * 0.3048**2 / IMPERIAL_GALLON_M3, 0.0),
        },
    ),
}
