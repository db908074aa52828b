"""Writes the tables of reports/outside-checks.md: the deviations, and the points that growers measured, as of now.

python -m tests.published.table
"""

from __future__ import annotations

import json

import numpy as np

from tests.docs.markers import ROOT, write_generated
from tests.published import field_points, room_140
from tests.published.checks import ROWS, deviation
from tests.published.test_room_cases import CASES, deviations_of

PAGE, NAME, FIELD_NAME = ROOT / "reports" / "outside-checks.md", "outside checks", "field points"
ROOM_NAME = "rooms of ASHRAE 140"


def lines() -> list[str]:
    """The table, one row a check and source."""
    groups: dict[tuple[str, str], list[dict]] = {}
    for row in ROWS:
        groups.setdefault((row["check"], row["source"]), []).append(row)
    table = ["| check | source | rows | worst deviation | allowed |", "|---|---|---|---|---|"]
    for (check, source), rows in groups.items():
        worst = max(rows, key=lambda row: abs(deviation(row)) / max(row["tolerance"], 1e-12))
        table.append(
            f"| {check.replace('_', ' ')} | {source} | {len(rows)} | {_said(deviation(worst), worst['of'])}"
            f" | {_said(worst['tolerance'], worst['of'])} |"
        )
    for path in CASES:
        case = json.loads(path.read_text("utf-8"))
        off, tolerance, unit = deviations_of(case)
        worst = max(float(np.abs(one).max()) for one in off.values())
        table.append(
            f"| room: {case['title']} | VDI 6007-1:2012, {path.stem} | {len(off) * 24} h | {worst:.3f} {unit}"
            f" | {tolerance} {unit} |"
        )
    return table


def _said(value: float, of: str) -> str:
    value = 0.0 if abs(value) < 1e-9 else value  # rounding, which differs from machine to machine
    return f"{100 * value:.2g} %" if of == "rel" else f"{value:.2g}"


def main() -> None:
    """Write the tables into their page."""
    write_generated(PAGE, NAME, lines())
    write_generated(PAGE, ROOM_NAME, room_140.lines())
    write_generated(PAGE, FIELD_NAME, field_points.lines())


if __name__ == "__main__":
    main()
