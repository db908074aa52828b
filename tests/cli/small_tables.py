"""A plan and a weather file so small that a row of a table takes some hundredths of a second."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TANK = """title = "Tank in the cellar"
[climate]
series = "springfield-il"
[keep]
floor = "10 degC"
[[tank]]
shape = "round"
diameter = "1 m"
water_depth = "0.5 m"
[room]
length = "4 m"
width = "3 m"
height = "2.5 m"
temperature = "2 degC"
"""
HOURS = 15 * 24 + 1


def short_climate(folder: Path, name: str = "short", position: tuple[float, float] | None = (48.0, 6.0)) -> str:
    """A weather file of fifteen days of frost."""
    first = datetime(2020, 1, 1, tzinfo=UTC)
    hours = [
        f"{first + timedelta(hours=hour):%Y-%m-%dT%H:%MZ},{-5.0 + 4.0 * math.sin(2.0 * math.pi * hour / 24.0):.2f}"
        for hour in range(HOURS)
    ]
    file = folder / f"{name}.csv"
    file.write_text("\n".join(["time_utc,air_c", *hours, ""]), "utf-8")
    where = "" if position is None else f"latitude = {position[0]}\nlongitude = {position[1]}\n"
    file.with_suffix(".toml").write_text(f'name = "{name}"\nplace = "A field"\ntimezone = "UTC"\n{where}', "utf-8")
    return str(file)
