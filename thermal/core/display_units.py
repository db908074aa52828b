"""Figures as people read them: metric, US or imperial units."""

from __future__ import annotations

import math
from dataclasses import dataclass

from thermal.core.quantities import R_IMPERIAL, N


@dataclass(frozen=True)
class DisplayUnits:
    """How figures are printed: each kind's unit label, factor, offset from SI and decimals."""

    name: str
    table: dict[str, tuple[str, float, float]]

    def value(self, quantity: str, si: N) -> N:
        """An SI number in the shown unit of a quantity such as "temperature" or "volume"."""
        _, factor, offset = self.table[quantity]
        return si * factor + offset

    def unit(self, quantity: str) -> str:
        """The shown unit's label."""
        return self.table[quantity][0]

    def text(self, quantity: str, si: float | None, decimals: int = 1) -> str:
        """An SI number as printed, with its unit; an em dash for none."""
        if si is None or not math.isfinite(si):
            return "—"
        shown = round(self.value(quantity, si), decimals) + 0.0  # no minus zero
        return f"{shown:,.{decimals}f} {self.unit(quantity)}"

    def difference(self, si_k: float, decimals: int = 1) -> str:
        """A temperature difference as printed, in degrees of the shown temperature."""
        unit, factor, _ = self.table["temperature"]
        return f"{si_k * factor:.{decimals}f} {unit}"


_US = {
    "temperature": ("°F", 1.8, 32.0),
    "length": ("ft", 1 / 0.3048, 0.0),
    "area": ("ft²", 1 / 0.3048**2, 0.0),
    "volume": ("gal", 1 / 3.785411784e-3, 0.0),
    "resistance": ("R (US)", 1 / R_IMPERIAL, 0.0),
    "power": ("W", 1.0, 0.0),
    "conductance": ("BTU/h°F", 1.8956, 0.0),
    "transmittance": ("BTU/h ft²°F", 1.8956 * 0.3048**2, 0.0),
    "energy": ("kWh", 1.0, 0.0),
}


UNIT_SYSTEMS = {
    "metric": DisplayUnits(
        "metric",
        {
            "temperature": ("°C", 1.0, 0.0),
            "length": ("m", 1.0, 0.0),
            "area": ("m²", 1.0, 0.0),
            "volume": ("L", 1000.0, 0.0),
            "resistance": ("m²K/W", 1.0, 0.0),
            "power": ("W", 1.0, 0.0),
            "conductance": ("W/K", 1.0, 0.0),
            "transmittance": ("W/m²K", 1.0, 0.0),
            "energy": ("kWh", 1.0, 0.0),
        },
    ),
    "us": DisplayUnits("us", _US),
    "imperial": DisplayUnits("imperial", {**_US, "volume": ("imp gal", 1 / 4.54609e-3, 0.0)}),
}
