"""Ranges of the results, and uncertain inputs, as sentences and tables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from typing import Any

from thermal.analysis.comparison_results import Interval, Uncertainty
from thermal.analysis.uncertainty import LEAST_OTHER_LN_SD, NOT_READ, TOTAL_LN_SD, unknowns
from thermal.climate.forcing import SunAndSky
from thermal.core.display_units import UNIT_SYSTEMS, DisplayUnits, percent_text
from thermal.data.uncertain_inputs import uncertain_inputs
from thermal.plan.model import Plan
from thermal.report.table_data import Rows, hours, money, provenance, watts

KINDS = {  # unit of a preset, or its quantity, by the beginning of its name
    "air changes": "an hour", "side": "transmittance", "top": "× open-water evaporation", "ground": "conductivity",
    "wet bed": "× open-water evaporation", "evaporation formula": "× formula", "hut": "air changes an hour",
    "thermal bridges": "transmittance", "sun: through": "share", "transpiration": "transpiration",
}  # fmt: skip


NOT_COVERED = (
    "The samples do not cover a heater or pump that fails, a door or lid left open, a power cut, or colder weather than"
    " the heater is sized for."
)


def confidence_sentence(plan: Plan, uncertainty: Uncertainty) -> str:
    """In how many samples the heater is enough, and the range of the heater needed.

    Parameters
    ----------
    plan : Plan
        The plan, for its units.
    uncertainty : Uncertainty
        Result of `spread`.
    """
    minimum = UNIT_SYSTEMS[plan.units].text("temperature", plan.keep.floor_c, 0)
    total = f"{sum(uncertainty.heater_w):,.0f} W" if uncertainty.heater_w else "no heater"
    samples = f"{uncertainty.samples} samples of the uncertain inputs"
    held = round(uncertainty.chance_holds * uncertainty.samples)
    share = (
        f"{held} of {samples}" if 0 < held < uncertainty.samples else f"{'all' if held else 'none of the'} {samples}"
    )
    sentence = f"With {total} the water stayed at or above {minimum} in {share}."
    band = uncertainty.bands.get("needed_w")
    if band is None or round(band.high, -1) == 0:
        return sentence
    return f"{sentence} 90 % of them need between {watts(band.low)} and {watts(band.high)} W. {NOT_COVERED}"


def bands_table(plan: Plan, uncertainty: Uncertainty) -> Rows:
    """Table of every figure with its likely value and its 5, 50 and 95 % values.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    uncertainty : Uncertainty
        Result of `spread`.
    """
    units, currency, winter = UNIT_SYSTEMS[plan.units], plan.power.currency, uncertainty.season.short
    shown: dict[str, tuple[str, Callable[[float], str]]] = {
        "coldest_unheated_c": ("coldest water, unheated", lambda c: units.text("temperature", c)),
        "needed_w": ("heater needed (W)", watts),
        "kwh": (f"heating, {winter} (kWh)", lambda kwh: f"{kwh:,.0f}"),
        "cost": (f"cost, {winter} ({currency})", money),
        "worst_kwh": ("heating, worst winter (kWh)", lambda kwh: f"{kwh:,.0f}"),
        "worst_cost": (f"cost, worst winter ({currency})", money),
        "hours_to_floor": ("hours to minimum after power cut", hours),
    }
    return Rows(
        ("figure", "likely", "low (5 %)", "middle (50 %)", "high (95 %)"),
        tuple(
            (label, *(form(value) for value in (band.likely, band.low, band.middle, band.high)))
            for name, (label, form) in shown.items()
            if (band := uncertainty.bands.get(name)) is not None
        ),
    )


def drivers_table(uncertainty: Uncertainty) -> Rows:
    """Table of the biggest sources of uncertainty, and how to measure each."""
    return Rows(
        ("uncertain input", "how to measure it", "share of the uncertainty", "± W", "± kWh"),
        tuple(
            (
                driver.name,
                driver.measure_it,
                percent_text(driver.share),
                watts(driver.heater_w),
                f"{driver.kwh:,.0f}" if uncertainty.season.complete else "—",
            )
            for driver in uncertainty.drivers
        ),
        left=2,
    )


def fit_quality_sentence(uncertainty: Uncertainty) -> str:
    """How well the shares of the uncertainty explain the samples; empty with too few samples."""
    if uncertainty.heater_r2 is None or uncertainty.kwh_r2 is None:
        return ""
    return (
        f"The shares come from a linear fit to the samples: R² {uncertainty.heater_r2:.2f} for the heater needed,"
        f" {uncertainty.kwh_r2:.2f} for the energy."
    )


def input_sentences(plan: Plan, outdoors: SunAndSky = NOT_READ) -> list[str]:
    """What each uncertain input that no preset holds is, and where its range comes from.

    Parameters
    ----------
    plan : Plan
        The plan.
    outdoors : SunAndSky
        What is counted of sun and sky.
    """
    inputs = uncertain_inputs()
    explained = [
        provenance(f"{name[0].upper()}{name[1:]}: {inputs[name].says} ({inputs[name].source}).")
        for name in unknowns(plan, outdoors=outdoors)
        if name in inputs
    ]
    return [
        *explained,
        "The winter: energy and cost of a sample are those of one complete winter, drawn at random.",
        "Everything else: a factor on heat for what no input stands for, so that the whole scatters as much as metered"
        f" systems do (standard deviation of the logarithm {TOTAL_LN_SD:g}; the factor's own at least"
        f" {LEAST_OTHER_LN_SD:g}).",
    ]


def presets_table(plan: Plan, units: DisplayUnits, outdoors: SunAndSky = NOT_READ) -> Rows:
    """Table of every assumed value in the plan, with the range that the samples cover.

    Parameters
    ----------
    plan : Plan
        The plan.
    units : DisplayUnits
        Units to show it in.
    outdoors : SunAndSky
        What is counted of sun and sky.
    """
    own_names, inputs, rows = {unknown.name for unknown in plan.unknowns}, uncertain_inputs(), []
    for name, (one_end, likely, other_end) in unknowns(plan, outdoors=outdoors).items():
        unit = next(
            (unit for kind, unit in KINDS.items() if name.startswith(kind) and name not in own_names), "as given"
        )
        unit = inputs[name].unit if name in inputs else unit
        values = [likely, *sorted((one_end, other_end))]  # some ranges run from the least heat loss to the most
        if unit in units.table:
            values, unit = [units.value(unit, entry) for entry in values], units.unit(unit)
        rows.append((name, *(f"{value:.3g}" for value in values), unit))
    return Rows(("assumed", "likely", "lowest", "highest", "unit"), tuple(rows))


def brief_drivers(uncertainty: Uncertainty, most: int = 2) -> list[str]:
    """The biggest sources of uncertainty as sentences.

    Parameters
    ----------
    uncertainty : Uncertainty
        Result of `spread`.
    most : int
        Number of sentences at most.
    """
    return [
        f"{driver.name} ({percent_text(driver.share)} of the uncertainty, ±{watts(driver.heater_w)} W)."
        f" To measure it: {driver.measure_it}."
        for driver in uncertainty.drivers[:most]
    ]


def between(band: Interval | None, form: Any) -> str:
    """A range as two figures.

    Parameters
    ----------
    band : Interval or None
        The range.
    form : callable
        Takes a number, returns it as text.

    Returns
    -------
    str
        Empty where there is no range.
    """
    return "" if band is None else f"{form(band.low)} to {form(band.high)}"


def spread_json(uncertainty: Uncertainty) -> dict[str, Any]:
    """Result of `spread` as plain values."""
    return asdict(uncertainty)
