"""A plan with five weeks of weather of its own, for tests that run whole commands."""

from __future__ import annotations

import re
from pathlib import Path

from thermal.climate.library import load_climate
from thermal.plan.example_plans import example_path

WEEKS = slice("2016-12-01", "2017-01-04")


def write_short_plan(folder: Path, name: str = "plan.toml", newline: str = "\n", weeks: slice = WEEKS) -> Path:
    """The workshop with its tank alone and two of its measures, and its weather as hours.csv beside it."""
    hours = load_climate("springfield-il").hours.loc[weeks, ["air_c", "rh_pct", "wind_m_s"]]
    folder.mkdir(parents=True, exist_ok=True)
    hours.to_csv(folder / "hours.csv", index_label="time_utc", date_format="%Y-%m-%dT%H:%M:%SZ")
    text = example_path("workshop").read_text("utf-8")
    text = text.replace('series = "springfield-il"', 'file = "hours.csv"', 1)
    text = re.sub(r"\[\[bed\]\].*?(?=\[room\])", "", text, flags=re.DOTALL)  # and its pump
    text = "[[measure]]".join(text.split("[[measure]]")[:3])
    path = folder / name
    path.write_bytes(text.replace("\n", newline).encode())
    return path
