"""The answers to what a plan asks beside its usual answers, as plain values; null where the plan does not ask."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from thermal.analysis.assessment import Assessment

QUESTION_KEYS = (
    "night_setback",
    "opening",
    "pump_duty",
    "warm_up",
    "feeding",
    "frozen_pipes",
    "facing_sides",
    "frozen_beds",
    "buried",
    "barrels",
    "drying",
    "hut_air",
)  # of the answers of `run` and `heater`


def question_json(assessment: Assessment) -> dict[str, Any]:
    """Each of `QUESTION_KEYS` with its answer."""
    values = {key: getattr(assessment, key) for key in QUESTION_KEYS}
    return {
        key: [asdict(row) for row in value] if isinstance(value, tuple) else value and asdict(value)
        for key, value in values.items()
    }
