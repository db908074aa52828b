"""Bands and unknowns in words and tables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from typing import Any

from thermal.analysis.results import Interval, Uncertainty
from thermal.analysis.uncertainty import unknowns
from thermal.core.display_units import UNIT_SYSTEMS, DisplayUnits
from thermal.plan.model import Plan
from thermal.report.table_data import Rows, hours, money, watts

KINDS = {  # what a preset's figures count, or the quantity they are
    "air changes": "an hour", "side": "transmittance", "top": "of open water", "wet bed": "of open water",
    "evaporation formula": "of the formula", "hut": "air changes an hour",
}  # fmt: skip


def confidence_sentence(plan: Plan, found: Uncertainty) -> str:
    """How likely it is that the floor holds, and within what the least heater lies."""
    floor = UNIT_SYSTEMS[plan.units].text("temperature", plan.keep.floor_c, 0)
    total = f"{sum(found.heater_w):,.0f} W" if found.heater_w else "no heater"
    said = f"With {total} the water stays at or above {floor} in {found.chance_holds:.0%} of {found.samples} draws of"
    band = found.bands.get("needed_w")
    least = "" if band is None else f"; the least heater lies between {watts(band.low)} and {watts(band.high)} W"
    return f"{said} what is not known{least} (5-95 %)."


def bands_table(plan: Plan, found: Uncertainty) -> Rows:
    """Every figure with its band."""
    units, currency = UNIT_SYSTEMS[plan.units], plan.power.currency
    shown: dict[str, tuple[str, Callable[[float], str]]] = {
        "coldest_unheated_c": ("coldest water without heat", lambda c: units.text("temperature", c)),
        "needed_w": ("least heater, W", watts),
        "kwh": ("kWh, median winter", lambda kwh: f"{kwh:,.0f}"),
        "cost": (f"{currency}, median winter", money),
        "worst_kwh": ("kWh, worst winter", lambda kwh: f"{kwh:,.0f}"),
        "worst_cost": (f"{currency}, worst winter", money),
        "hours_to_floor": ("hours to the floor in a power cut", hours),
    }
    return Rows(
        ("", "likely", "5 %", "50 %", "95 %"),
        tuple(
            (label, *(form(value) for value in (band.likely, band.low, band.middle, band.high)))
            for name, (label, form) in shown.items()
            if (band := found.bands.get(name)) is not None
        ),
    )


def drivers_table(found: Uncertainty) -> Rows:
    """The unknowns that widen the bands most, and how to settle each."""
    return Rows(
        ("not known", "to settle it", "share", "± W", "± kWh"),
        tuple(
            (one.name, one.measure_it, f"{one.share:.0%}", watts(one.heater_w), f"{one.kwh:,.0f}")
            for one in found.drivers
        ),
        left=2,
    )


def presets_table(plan: Plan, units: DisplayUnits) -> Rows:
    """Every preset and range the plan rests on, with the values drawn from."""
    own, rows = {one.name for one in plan.unknowns}, []
    for name, (low, likely, high) in unknowns(plan).items():
        unit = next((unit for kind, unit in KINDS.items() if name.startswith(kind) and name not in own), "as given")
        values = [likely, low, high]
        if unit in units.table:
            values, unit = [units.value(unit, one) for one in values], units.unit(unit)
        rows.append((name, *(f"{value:.3g}" for value in values), unit))
    return Rows(("preset", "taken as", "from", "to", "unit"), tuple(rows))


def brief_drivers(found: Uncertainty, most: int = 2) -> list[str]:
    """The first few as sentences."""
    return [
        f"{one.name}: {one.share:.0%} of the spread, ±{watts(one.heater_w)} W. To settle it: {one.measure_it}."
        for one in found.drivers[:most]
    ]


def between(band: Interval | None, form: Any) -> str:
    """A band as a run of two figures; nothing where there is none."""
    return "" if band is None else f"{form(band.low)} to {form(band.high)}"


def spread_json(found: Uncertainty) -> dict[str, Any]:
    """Bands, chance and unknowns."""
    return asdict(found)
