"""A calibration as sentences, as JSON, as hours in CSV, and as a plan file."""

from __future__ import annotations

import io
import re
from dataclasses import asdict
from typing import Any

import pandas as pd

from thermal.analysis.calibration import Calibration
from thermal.climate.logger_csv import Log
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Factors, Plan
from thermal.report.table_data import Rows

MEANS = {
    "air_change": "air change of the room",
    "room": "heat loss through the room's outer sides",
    "mass": "heat stored in slab and sides",
    "water": "heat loss through walls of tanks and beds",
    "cover": "evaporation",
}


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
    """Table of the factors with their 95 % ranges, and of those that this log does not determine."""
    rows = [
        (MEANS[estimate.name], f"× {estimate.factor:.2f}", f"{estimate.low:.2f} to {estimate.high:.2f}")
        for estimate in calibration.estimates
    ] + [(MEANS[name], "not known from this log", "unchanged") for name in calibration.cannot_tell]
    return Rows(("the plan's", "factor", "95 % range"), tuple(rows))


def correlated_pairs_text(calibration: Calibration) -> list[str]:
    """Warnings on pairs of factors that this log does not separate."""
    sentences = [
        f"This log cannot separate {MEANS[a]} from {MEANS[b]} (correlation {r:.2f}): trust both factors together, not"
        " either one alone."
        for a, b, r in calibration.tied
    ]
    if "air_change" in calibration.cannot_tell and any(estimate.name == "room" for estimate in calibration.estimates):
        sentences.append("The factor for the outer sides also covers the air change: this log cannot separate the two.")
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
    text = io.StringIO()
    kept = {name: values for name, values in columns.items() if values is not None}
    pd.DataFrame(kept, index=calibration.times).round(3).to_csv(text, index_label="local_time")
    return text.getvalue()


def fitted_plan(text: str, plan: Plan, factors: Factors) -> str:
    """Text of the calibrated plan.

    Parameters
    ----------
    text : str
        Text of the plan file.
    plan : Plan
        The plan read from it, for the factors it already had.
    factors : Factors
        Factors of the calibration; each multiplies the one that the plan had [-].

    Returns
    -------
    str
        The same text with a new [fit] table, in place of the old one where there was one.
    """
    before = plan.source.get("fit", {})
    total = {name: value * float(dict(before).get(name, 1.0)) for name, value in asdict(factors).items()}  # type: ignore[call-overload]
    bare = re.sub(r"(?ms)^\[fit\].*?(?=^\[|\Z)", "", text).rstrip()
    lines = "\n".join(f"{name} = {value:.4g}" for name, value in total.items() if value != 1.0)
    return f"{bare}\n\n# Correction factors from a logger's file; written by `overwinter fit`.\n[fit]\n{lines}\n"
