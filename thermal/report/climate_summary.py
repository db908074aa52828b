"""Summary of one weather file: facts, design temperatures and cold spells."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from rich.console import Console
from rich.markup import escape

from thermal.analysis.many_winters import MANY, MILDEST, TYPICAL
from thermal.climate.dataset import Climate
from thermal.climate.design_conditions import WinterStats, winter_stats
from thermal.climate.heating_seasons import winters_of
from thermal.climate.joined_halves import join_halves
from thermal.core.display_units import UNIT_SYSTEMS, DisplayUnits, percent_text
from thermal.errors import ClimateError
from thermal.report import sentences
from thermal.report.design_temperature_text import design_json, design_sentences
from thermal.report.table_data import provenance
from thermal.report.terminal_tables import pairs, table

NO_PLACE = "not stated (taken to be north of the equator)"
COLUMNS = {"rh_pct": "humidity", "wind_m_s": "wind"}


def climate_json(climate: Climate, floor_c: float) -> dict[str, Any]:
    """Summary of a weather file as plain values.

    Parameters
    ----------
    climate : Climate
        The weather file.
    floor_c : float
        Degree-hours are counted below this temperature [degC].

    Returns
    -------
    dict
        Header, gaps, design temperatures [degC] with what they rest on, and statistics of each winter.

    Raises
    ------
    ClimateError
        When no winter of the file can be simulated.
    """
    climate = join_halves(climate)
    weather = winters_of(climate)
    return {
        **asdict(climate.header),
        "filled_share": climate.filled_share,
        "assumed": list(climate.assumed),
        **design_json(climate, weather),
        "floor_c": floor_c,
        "winters": [asdict(winter_stat) for winter_stat in winter_stats(climate, weather, floor_c)],
        "refused": list(weather.refused),
    }


def print_climate(
    climate: Climate, floor_c: float, console: Console, units: DisplayUnits = UNIT_SYSTEMS["metric"]
) -> None:
    """Print the summary of a weather file. Where no winter can be simulated, print why.

    Parameters
    ----------
    climate : Climate
        The weather file.
    floor_c : float
        Degree-hours are counted below this temperature [degC].
    console : Console
        Where to print.
    units : DisplayUnits
        Units to show it in.
    """
    header = climate.header
    console.print(f"[bold]{escape(header.name)}[/]  {escape(header.place)}")
    position = f"{header.latitude:.3f}, {header.longitude:.3f}" if header.has_position else NO_PLACE
    facts = [
        ("location", f"{position}, {units.text('length', header.elevation_m, 0)}"),
        ("time zone", header.timezone),
        ("kind", header.kind),
        ("source", provenance(header.source)),
        ("licence", provenance(header.licence)),
        ("processing", header.processing),
        ("hours filled in", percent_text(climate.filled_share, 2)),
        ("missing from this file", ", ".join(COLUMNS.get(name, name) for name in climate.assumed) or "nothing"),
    ]
    console.print(pairs(facts))
    try:
        climate = join_halves(climate)
        weather = winters_of(climate)
    except ClimateError as fault:
        console.print(escape(str(fault)))
        return
    for sentence in design_sentences(climate, weather, units):
        console.print(escape(sentence))
    _print_winters(winter_stats(climate, weather, floor_c), floor_c, console, units)
    for refused in weather.refused:
        console.print(f"[bold]![/] {escape(refused)}")
    if header.kind == "typical year":
        console.print("[bold]![/] A typical year leaves out rare cold spells, so one is added for sizing heaters.")
    if note := sentences.reanalysis_note(climate).strip():
        console.print(f"[bold]![/] {escape(note)}")


def _print_winters(stats: list[WinterStats], floor_c: float, console: Console, units: DisplayUnits) -> None:
    """Print one row for each winter; of more than five only those of `marked_winters`."""
    marks = marked_winters(stats) if len(stats) > MANY else {index: [] for index in range(len(stats))}
    cells = []
    for index, names in marks.items():
        winter = stats[index]
        means = winter.coldest_hour_c, winter.coldest_day_c, winter.coldest_3_days_c, winter.coldest_week_c
        cells.append(
            (
                winter.label + (f" ({', '.join(names)})" if names else ""),
                "yes" if winter.complete else "no",
                *(f"{units.value('temperature', mean):z.1f}" for mean in means),
                f"{winter.degree_hours * units.table['temperature'][1]:,.0f}",
                f"{winter.filled_hours}" + (" !" if winter.cold_spell_filled else ""),
            )
        )
    unit = units.unit("temperature")
    heads = [
        "winter", "complete", f"coldest hour ({unit})", f"coldest day ({unit})", f"coldest 3 days ({unit})",
        f"coldest week ({unit})", f"{unit}·h below {units.value('temperature', floor_c):g} {unit}", "hours filled",
    ]  # fmt: skip
    if len(stats) > MANY:
        console.print(f"Shown of {len(stats)} winters; --json and --plot have all.")
    console.print(table(heads, cells, left=2))


def marked_winters(stats: list[WinterStats]) -> dict[int, list[str]]:
    """The winters that a short table shows, with what each is; all but the coldest hour by degree-hours.

    Parameters
    ----------
    stats : list of WinterStats
        Each winter. Only complete ones are compared, unless none is.
    """
    whole = [index for index, winter in enumerate(stats) if winter.complete] or list(range(len(stats)))
    ranked = sorted(whole, key=lambda index: stats[index].degree_hours)
    coldest = min(range(len(stats)), key=lambda index: stats[index].coldest_hour_c)
    marks: dict[int, list[str]] = {coldest: ["coldest hour"]}
    for index, name in ((ranked[len(ranked) // 2], TYPICAL), (ranked[-1], "coldest winter"), (ranked[0], MILDEST)):
        marks.setdefault(index, []).append(name)
    return marks
