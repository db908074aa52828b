"""A table of many plans in words: its rows for the terminal and for the page, and what its bands mean."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from thermal.analysis.table_row import NONE, WEEK_H, TableRow
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.core.shown_text import cut
from thermal.report.table_data import Rows, energy, hours, money, price_text, watts

SHOWN_IN_TERMINAL = 40  # rows
NO_FIGURE = "—"
LONGEST_LABEL = 52  # characters


@dataclass(frozen=True)
class Cell:
    """A cell of the page: its text, what its column is sorted by, and its band in small print."""

    text: str
    order: float | str
    band: str = ""


def terminal_rows(rows: Sequence[TableRow]) -> Rows:
    """The main figures of the first rows for the terminal; without a column of settings where there are none."""
    sets = any(row.setting for row in rows)
    heads = ("plan", "weather file", *(("setting",) if sets else ()), "warm?", "heater (W)", "buy", "kWh", "cost")
    cells = tuple(
        (
            row.plan,
            row.climate,
            *((row.setting or NO_FIGURE,) if sets else ()),
            "no answer" if row.verdict == NONE else row.verdict,
            _watts(row.heater_needed_w),
            row.buy or NO_FIGURE,
            _energy(row.typical_kwh),
            _price(row, row.typical_cost),
        )
        for row in rows[:SHOWN_IN_TERMINAL]
    )
    return Rows(heads, cells, 4 if sets else 3)


def page_heads(system: str) -> tuple[str, ...]:
    """Headings of the page's table, temperatures in the units of the reader."""
    return (
        "plan", "weather file", "setting", "warm enough?", "heater needed (W)", "buy", "typical winter (kWh)",
        "typical winter (cost)", "worst winter (kWh)", "worst winter (cost)", "power cut: hours to minimum",
        "mould possible (h)", f"coldest water, unheated ({UNIT_SYSTEMS[system].unit('temperature')})",
    )  # fmt: skip


def page_cells(row: TableRow, system: str) -> list[Cell]:
    """The cells of one row of the page, with bands."""
    kwh, cost = (row.typical_kwh_low, row.typical_kwh_high), (row.typical_cost_low, row.typical_cost_high)
    worst_kwh, worst_cost = (row.worst_kwh_low, row.worst_kwh_high), (row.worst_cost_low, row.worst_cost_high)
    needed = row.heater_needed_w_low, row.heater_needed_w_high
    return [
        Cell(row.plan, row.plan),
        Cell(row.climate, row.climate),
        Cell(row.setting or NO_FIGURE, row.setting),
        Cell(warm_enough(row), warm_enough(row)),
        _with_band(row.heater_needed_w, _watts(row.heater_needed_w), [_watts(end) for end in needed]),
        _cell(row.buy_w, row.buy or NO_FIGURE),
        _with_band(row.typical_kwh, _energy(row.typical_kwh), [_energy(end) for end in kwh]),
        _with_band(row.typical_cost, _price(row, row.typical_cost), [_money(end) for end in cost]),
        _with_band(row.worst_kwh, _energy(row.worst_kwh), [_energy(end) for end in worst_kwh]),
        _with_band(row.worst_cost, _price(row, row.worst_cost), [_money(end) for end in worst_cost]),
        _cell(row.outage_h, _hours(row.outage_h)),
        _cell(row.mould_h, NO_FIGURE if row.mould_h is None else f"{row.mould_h:,.0f}"),
        _cell(row.coldest_unheated_c, _degrees(row.coldest_unheated_c, system)),
    ]


def warm_enough(row: TableRow) -> str:
    """Whether the inhabitants of a row are warm enough, and who is not."""
    if row.verdict == NONE:
        return "no answer"
    return f"{row.verdict}: {row.too_cold}" if row.too_cold else row.verdict


def fault_lines(rows: Sequence[TableRow]) -> list[str]:
    """Each plan with a fault and what is wrong, the same fault in several climates or settings once."""
    lines: dict[tuple[str, str], list[TableRow]] = {}
    for row in rows:
        if row.fault:
            lines.setdefault((row.plan, row.fault), []).append(row)
    return [
        f"{plan}: {fault}" + (f" ({len(same):,} rows)" if len(same) > 1 else "")
        for (plan, fault), same in lines.items()
    ]


def bands_sentence(samples: int) -> str:
    """What the bands of a table rest on."""
    if not samples:
        return "Without samples there are no bands, and the reserve of the heaters to buy is approximate."
    rough = (
        " With so few samples the low ends come out 4 to 6 % too high, and both ends scatter by about 7 % from one seed"
        " to another; --samples 200 makes them as sure as those of `overwinter run`."
        if samples < 100
        else ""
    )
    return (
        f"Bands: 5 % of {samples} samples of the uncertain inputs are below, 5 % above; a sample has the energy and"
        f" cost of one complete winter at random.{rough}"
    )


def line_label(row: TableRow) -> str:
    """Plan and setting in few words: of a key such as room.air_changes the last part."""
    values = [re.sub(r"^[\w.]*\.(\w+=)", r"\1", part) for part in row.setting.split("; ")]
    return cut(", ".join([Path(row.plan).stem, *filter(None, values)]), LONGEST_LABEL)


def _cell(value: float | None, text: str) -> Cell:
    """A cell of a figure; without one it is sorted last."""
    return Cell(text, 1e99 if value is None else value)


def _with_band(value: float | None, text: str, ends: Sequence[str]) -> Cell:
    """A cell of a figure with its band."""
    band = "" if NO_FIGURE in ends or value is None else f"{ends[0]} to {ends[1]}"
    return replace(_cell(value, text), band=band)


def _watts(value: float | None) -> str:
    """A power as text."""
    return NO_FIGURE if value is None else watts(value)


def _degrees(value_c: float | None, system: str) -> str:
    """A temperature [degC] as text without its unit, in the units of the reader."""
    return NO_FIGURE if value_c is None else f"{UNIT_SYSTEMS[system].value('temperature', value_c):z.1f}"


def _energy(value: float | None) -> str:
    """An energy as text."""
    return NO_FIGURE if value is None else energy(value)


def _price(row: TableRow, value: float | None) -> str:
    """An amount of money as text."""
    return NO_FIGURE if value is None else price_text(value, row.currency)


def _money(value: float | None) -> str:
    """An amount of money as text without its currency."""
    return NO_FIGURE if value is None else money(value)


def _hours(value: float | None) -> str:
    """Hours to the minimum as text."""
    return NO_FIGURE if value is None else hours(None if value >= WEEK_H else value)
