"""A calibration in words, as JSON, as a table of hours, and as a plan file."""

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
    """How well the plan follows the log now."""
    units = UNIT_SYSTEMS[plan.units]
    before, after = (units.difference(error_k, 2) for error_k in (calibration.before_rms_k, calibration.held_out_rms_k))
    return (
        f"The calibrated plan follows the log to within {after}; before it was off by {before}. (Both are root mean"
        " square errors over the last third of the log, which the calibration did not use.)"
    )


def fit_table(calibration: Calibration) -> Rows:
    """Factors with their 95 % ranges, and what this log cannot tell."""
    rows = [
        (MEANS[estimate.name], f"× {estimate.factor:.2f}", f"{estimate.low:.2f} to {estimate.high:.2f}")
        for estimate in calibration.estimates
    ] + [(MEANS[name], "not known from this log", "unchanged") for name in calibration.cannot_tell]
    return Rows(("the plan's", "factor", "95 % range"), tuple(rows))


def correlated_pairs_text(calibration: Calibration) -> list[str]:
    """Pairs to be careful with."""
    sentences = [
        f"This log cannot separate {MEANS[a]} from {MEANS[b]} (correlation {r:.2f}): trust both factors together, not"
        " either one alone."
        for a, b, r in calibration.tied
    ]
    if "air_change" in calibration.cannot_tell and any(estimate.name == "room" for estimate in calibration.estimates):
        sentences.append("The factor for the outer sides also covers the air change: this log cannot separate the two.")
    return sentences


def calibration_json(calibration: Calibration) -> dict[str, Any]:
    """Everything but the hours."""
    return {key: value for key, value in asdict(calibration).items() if key not in ("times", "water_c", "room_c")}


def hours_csv(calibration: Calibration, log: Log) -> str:
    """Measured beside modelled, hour by hour."""
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
    """A plan file's text with a [fit] table in place of its own, the factors on top of those it had."""
    before = plan.source.get("fit", {})
    total = {name: value * float(dict(before).get(name, 1.0)) for name, value in asdict(factors).items()}  # type: ignore[call-overload]
    bare = re.sub(r"(?ms)^\[fit\].*?(?=^\[|\Z)", "", text).rstrip()
    lines = "\n".join(f"{name} = {value:.4g}" for name, value in total.items() if value != 1.0)
    return f"{bare}\n\n# Correction factors from a logger's file; written by `overwinter fit`.\n[fit]\n{lines}\n"
