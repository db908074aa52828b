"""The room cases of ANSI/ASHRAE 140 through the engine: ours against the range of the standard's six programs.

python -m tests.published.room_140 FILE

FILE has the form of ashrae_140/ashrae140_2020_opaque_cases.json; the weather file that it names lies beside it. Exit
code 1 when any figure is outside the range by more than 3 % of its nearer end (cooling by more than 3 % and 0.03 MWh;
temperatures by more than their rounding).
"""

from __future__ import annotations

import json
import re
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from thermal.analysis.layered_room_file import layered_rooms_of
from thermal.analysis.layered_room_year import RoomYear, simulate_layered_rooms
from thermal.climate.forcing import Forcing
from thermal.climate.typical_year import typical_year

FOLDER = Path(__file__).parent / "ashrae_140"
OPAQUE, FREE = FOLDER / "ashrae140_2020_opaque_cases.json", FOLDER / "ashrae140_2020_free_float.json"
SUBSTEPS = 4
ALLOWED_SHARE, ALLOWED_COOLING_MWH, ROUNDING_C = 0.03, 0.03, 0.05


@dataclass(frozen=True)
class Quantity:
    """A figure that a file may expect of a year: what it is called, its unit, decimals, and how it is read."""

    words: str
    unit: str
    decimals: int
    value: Any  # of a RoomYear


QUANTITIES = {
    "annual_heating_mwh": Quantity("heating", "MWh", 3, lambda year: year.heating_mwh),
    "annual_cooling_mwh": Quantity("cooling", "MWh", 3, lambda year: year.cooling_mwh),
    "peak_heating_kw": Quantity("peak heating", "kW", 3, lambda year: year.peak_heating_kw),
    "peak_cooling_kw": Quantity("peak cooling", "kW", 3, lambda year: year.peak_cooling_kw),
    "max_c": Quantity("highest air temperature", "degC", 1, lambda year: float(year.air_c.max())),
    "min_c": Quantity("lowest air temperature", "degC", 1, lambda year: float(year.air_c.min())),
    "mean_c": Quantity("mean air temperature", "degC", 1, lambda year: float(year.air_c.mean())),
}


@dataclass(frozen=True)
class Row:
    """One figure of one case, or of the difference between two."""

    case: str
    key: str  # of `QUANTITIES`
    ours: float
    low: float
    high: float

    @property
    def outside(self) -> float:
        """How far above the range, or below it (then negative), in the figure's unit; 0 inside or within rounding."""
        places = QUANTITIES[self.key].decimals
        ours = round(self.ours, places)
        return round(max(ours - self.high, 0.0) + min(ours - self.low, 0.0), places)

    @property
    def share(self) -> float:
        """The same over the nearer end of the range."""
        return self.outside / abs(self.high if self.outside > 0.0 else self.low) if self.outside else 0.0

    @property
    def is_judged_out(self) -> bool:
        """Whether it is further outside than is allowed."""
        if QUANTITIES[self.key].unit == "degC":
            return abs(self.outside) > ROUNDING_C
        is_small = self.key == "annual_cooling_mwh" and abs(self.outside) <= ALLOWED_COOLING_MWH
        return abs(self.share) > ALLOWED_SHARE and not is_small

    @property
    def verdict(self) -> str:
        """In range, or how far outside."""
        if not self.outside:
            return "in range"
        side, of = "above" if self.outside > 0.0 else "below", QUANTITIES[self.key]
        by = f"{abs(self.outside):.{of.decimals}f} {of.unit}"
        return f"{by} {side}" if of.unit == "degC" else f"{by} ({100.0 * abs(self.share):.1f} %) {side}"


def weather_of(path: Path, document: dict[str, Any]) -> Forcing:
    """The weather that a case file names, beside it."""
    weather = document["weather"]
    table = pd.read_csv(path.parent / weather["file"].split()[0])
    return typical_year(table, weather["lat"], weather["lon"], weather["elevation_m"])


def rows_of(path: Path, substeps: int = SUBSTEPS) -> list[Row]:
    """Every figure that a case file expects, and ours."""
    document = json.loads(path.read_text("utf-8"))
    rooms = layered_rooms_of(path)
    years = dict(
        zip(rooms, simulate_layered_rooms([*rooms.values()], weather_of(path, document), substeps), strict=True)
    )
    rows = [
        Row(name, key, QUANTITIES[key].value(year), expected[key]["min"], expected[key]["max"])
        for name, year in years.items()
        for expected in [_expected(document, name)]
        for key in expected
        if key != "title"
    ]
    return rows + [_difference_row(pair, years, bounds) for pair, bounds in _differences(document).items()]


def _expected(document: dict[str, Any], name: str) -> dict[str, Any]:
    return document["cases"][name]["expected"] if "cases" in document else document["expected"][name]


def _differences(document: dict[str, Any]) -> dict[str, tuple[float, float]]:
    """Range of the difference of heating between two cases, by "230-220", as a table or in a remark."""
    given = {
        pair: (bounds["annual_heating_mwh"]["min"], bounds["annual_heating_mwh"]["max"])
        for pair, bounds in document.get("differences", {}).items()
    }
    for pair, text in document.get("usable_without_sun_now", {}).items():
        match = re.search(r"references ([\d.]+)\.\.([\d.]+)", text)
        if match and "-" in pair:
            given[pair] = float(match[1]), float(match[2])
    return given


def _difference_row(pair: str, years: dict[str, RoomYear], bounds: tuple[float, float]) -> Row:
    more, less = pair.split("-")
    return Row(f"{more} less {less}", "annual_heating_mwh", years[more].heating_mwh - years[less].heating_mwh, *bounds)


def printed(rows: list[Row]) -> list[str]:
    """One line a figure."""
    lines = [f"{'case':14}{'figure':26}{'ours':>9}{'min':>9}{'max':>9}  range of six programs"]
    for row in rows:
        of = QUANTITIES[row.key]
        numbers = "".join(f"{value:9.{of.decimals}f}" for value in (row.ours, row.low, row.high))
        lines.append(f"{row.case:14}{of.words + ', ' + of.unit:26}{numbers}  {row.verdict}")
    return lines


def lines() -> list[str]:
    """The table of reports/outside-checks.md."""
    table = ["| case | figure | ours | min | max | of the range |", "|---|---|---|---|---|---|"]
    for path in (OPAQUE, FREE):
        for row in rows_of(path):
            of = QUANTITIES[row.key]
            numbers = " | ".join(f"{value:.{of.decimals}f}" for value in (row.ours, row.low, row.high))
            table.append(f"| {row.case} | {of.words}, {of.unit} | {numbers} | {row.verdict} |".replace("degC", "°C"))
    return table


def main(arguments: list[str]) -> int:
    """Print the figures of a file; 1 when any is too far outside."""
    if len(arguments) != 1:
        print("usage: python -m tests.published.room_140 FILE")
        return 2
    rows = rows_of(Path(arguments[0]))
    print("\n".join(printed(rows)))
    out = [row for row in rows if row.is_judged_out]
    inside = sum(not row.outside for row in rows)
    print(f"{inside} of {len(rows)} in range, {len(out)} further outside than allowed")
    return 1 if out else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
