"""A fit in words, as JSON, as a table of hours, and as a plan file."""

from __future__ import annotations

import io
import re
from dataclasses import asdict
from typing import Any

import pandas as pd

from thermal.analysis.calibration import Calibration
from thermal.climate.logger_csv import Log
from thermal.plan.model import Factors, Plan
from thermal.report.table_data import Rows

MEANS = {
    "air_change": "air change of the room",
    "room": "heat through the room's outer sides",
    "mass": "heat capacity of slab and sides",
    "water": "heat through walls of tanks and beds",
    "cover": "evaporation",
}


def fit_sentence(found: Calibration) -> str:
    """How well the plan follows the log now."""
    return (
        f"Over the last third of the log, which the fit never saw, the plan is now off by {found.held_out_rms_k:.2f} K"
        f" (rms); before it was {found.before_rms_k:.2f} K."
    )


def fit_table(found: Calibration) -> Rows:
    """Factors with their intervals, and what the log cannot tell."""
    rows = [(MEANS[one.name], f"x {one.factor:.2f}", f"{one.low:.2f} to {one.high:.2f}") for one in found.estimates] + [
        (MEANS[name], "cannot tell", "left as it was") for name in found.cannot_tell
    ]
    return Rows(("of what the plan says", "factor", "95 %"), tuple(rows))


def correlated_pairs_text(found: Calibration) -> list[str]:
    """Pairs to be careful with."""
    said = [
        f"{MEANS[a]} and {MEANS[b]} go together (correlation {r:.2f}): trust their combination, not either alone."
        for a, b, r in found.tied
    ]
    if "air_change" in found.cannot_tell and any(one.name == "room" for one in found.estimates):
        said.append("Air change and outer sides both carry the room's heat away: the sides' factor stands for both.")
    return said


def calibration_json(found: Calibration) -> dict[str, Any]:
    """Everything but the hours."""
    return {key: value for key, value in asdict(found).items() if key not in ("times", "water_c", "room_c")}


def hours_csv(found: Calibration, log: Log) -> str:
    """Measured beside modelled, hour by hour."""
    columns = {
        "water_measured_c": log.water_c,
        "water_modelled_c": found.water_c,
        "room_measured_c": log.room_c,
        "room_modelled_c": found.room_c,
    }
    text = io.StringIO()
    kept = {name: values for name, values in columns.items() if values is not None}
    pd.DataFrame(kept, index=found.times).round(3).to_csv(text, index_label="local_time")
    return text.getvalue()


def fitted_plan(text: str, plan: Plan, factors: Factors) -> str:
    """A plan file's text with a [fit] table in place of its own, the factors on top of those it had."""
    before = plan.source.get("fit", {})
    total = {name: value * float(dict(before).get(name, 1.0)) for name, value in asdict(factors).items()}  # type: ignore[call-overload]
    bare = re.sub(r"(?ms)^\[fit\].*?(?=^\[|\Z)", "", text).rstrip()
    lines = "\n".join(f"{name} = {value:.4g}" for name, value in total.items() if value != 1.0)
    return (
        f"{bare}\n\n# What a logger found the figures above to be off by; written by overwinter fit.\n[fit]\n{lines}\n"
    )
