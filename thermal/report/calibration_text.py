"""A calibration as sentences, as JSON, as hours in CSV, and as a plan file."""

from __future__ import annotations

import re
from dataclasses import asdict
from typing import Any

import pandas as pd

from thermal.analysis.calibration import Calibration
from thermal.analysis.calibration_intervals import Combined
from thermal.climate.logger_csv import Log
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Factors, FactorSpread, Plan
from thermal.report.csv_text import csv_text
from thermal.report.table_data import Rows

MEANS = {
    "air_change": "air change of the room",
    "room": "heat loss through the room's outer sides",
    "mass": "heat stored in slab and sides",
    "water": "heat loss through walls of tanks and beds",
    "cover": "evaporation",
}
FIT_COMMENT = "# Correction factors from a logger's file; written by `overwinter fit`."
SPREAD_COMMENT = (
    "# How far each factor above may still be off while the others stay, as the standard deviation of its logarithm",
    "# (0.05 is about 5 %). residual: the same for the heat needed, beside the factors. For `overwinter spread`.",
)


def fit_sentence(plan: Plan, calibration: Calibration) -> str:
    """How well the calibrated plan follows the log, and how well it did before.

    Parameters
    ----------
    plan : Plan
        The plan, for its units.
    calibration : Calibration
        Result of the calibration.
    """
    units = UNIT_SYSTEMS[plan.units]
    before, after = (units.difference(error_k, 2) for error_k in (calibration.before_rms_k, calibration.held_out_rms_k))
    return (
        f"The calibrated plan follows the log to within {after}; before it was off by {before}. (Both are root mean"
        " square errors over the last third of the log, which the calibration did not use.)"
    )


def fit_table(calibration: Calibration) -> Rows:
    """Table of the factors with their 95 % ranges, and of those that this log does not determine one by one."""
    together = {name for pair in calibration.combined for name in pair.members}
    rows = [
        (_together(pair), f"× {pair.factor:.2f}", f"{pair.low:.2f} to {pair.high:.2f}") for pair in calibration.combined
    ]
    rows += [
        (MEANS[estimate.name], f"× {estimate.factor:.2f}", f"{estimate.low:.2f} to {estimate.high:.2f}")
        for estimate in calibration.estimates
    ]
    rows += [
        (MEANS[name], "not separable" if name in together else "not known from this log", "—")
        for name in calibration.cannot_tell
    ]
    return Rows(("the plan's", "factor", "95 % range"), tuple(rows))


def _together(pair: Combined) -> str:
    """Name of two factors that a log determines together only."""
    return " and ".join(MEANS[name] for name in pair.members) + ", together"


def combined_text(plan: Plan, calibration: Calibration) -> list[str]:
    """What is known of factors together: the heat loss that they add up to, before and after.

    Parameters
    ----------
    plan : Plan
        The plan, for its units.
    calibration : Calibration
        Result of the calibration.
    """
    units = UNIT_SYSTEMS[plan.units]
    sentences = []
    for pair in calibration.combined:
        before, after, low, high = (
            units.text("conductance", value)
            for value in (pair.w_per_k / pair.factor, pair.w_per_k, pair.w_per_k_low, pair.w_per_k_high)
        )
        first, second = (MEANS[name] for name in pair.members)
        sentences.append(
            f"Together, {first} and {second} come to {after} (95 % range {low} to {high}); the plan had {before}. This"
            " log cannot separate the two: trust their sum, not either one alone."
        )
    return sentences


def correlated_pairs_text(calibration: Calibration) -> list[str]:
    """Warnings on pairs of factors that this log hardly separates, other than the combined ones, and on spikes."""
    together = [set(pair.members) for pair in calibration.combined]
    sentences = [
        f"This log hardly separates {MEANS[a]} from {MEANS[b]} (correlation {r:.2f}): trust both factors together, not"
        " either one alone."
        for a, b, r in calibration.tied
        if {a, b} not in together
    ]
    if calibration.spikes:
        count = "1 temperature" if calibration.spikes == 1 else f"{calibration.spikes} temperatures"
        sentences.append(
            f"{count} in the log {'stands' if calibration.spikes == 1 else 'stand'} far apart from the hours before and"
            " after. They count little in the calibration, and not at all in the errors above."
        )
    return sentences


def calibration_json(calibration: Calibration) -> dict[str, Any]:
    """A calibration as plain values, without its hours."""
    return {key: value for key, value in asdict(calibration).items() if key not in ("times", "water_c", "room_c")}


def hours_csv(calibration: Calibration, log: Log) -> str:
    """Measured and simulated temperatures of each hour as CSV. [degC]

    Parameters
    ----------
    calibration : Calibration
        Result of the calibration.
    log : Log
        The log it was made from.

    Returns
    -------
    str
        Columns only for what was logged.
    """
    columns = {
        "water_measured_c": log.water_c,
        "water_modelled_c": calibration.water_c,
        "room_measured_c": log.room_c,
        "room_modelled_c": calibration.room_c,
    }
    kept = {name: values for name, values in columns.items() if values is not None}
    return csv_text(pd.DataFrame(kept, index=calibration.times).round(3), "local_time")


def fitted_plan(text: str, plan: Plan, factors: Factors, spread: FactorSpread | None = None) -> str:
    """Text of the calibrated plan.

    Parameters
    ----------
    text : str
        Text of the plan file.
    plan : Plan
        The plan read from it, for the factors it already had.
    factors : Factors
        Factors of the calibration; each multiplies the one that the plan had [-].
    spread : FactorSpread, optional
        How far the factors and the heat needed may still be off.

    Returns
    -------
    str
        The same text with a new [fit] table, in place of the old one where there was one.
    """
    before = dict(plan.source.get("fit", {}))  # type: ignore[call-overload]
    keys = {name: value * float(before.get(name, 1.0)) for name, value in asdict(factors).items() if name in MEANS}
    lines = [f"{name} = {value:.4g}" for name, value in keys.items() if value != 1.0]
    if spread is not None:
        lines += ["", *SPREAD_COMMENT]
        lines += [f"{name} = {value:.3f}" for name, value in asdict(spread).items() if value is not None]
    bare = re.sub(rf"(?ms)(^{re.escape(FIT_COMMENT)}\n)?^\[fit\].*?(?=^\[|\Z)", "", text).rstrip()
    return "\n".join([f"{bare}\n", FIT_COMMENT, "[fit]", *lines, ""])
