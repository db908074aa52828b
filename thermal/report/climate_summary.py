"""Summary of one weather file: facts, design temperatures, cold spells, and a chart of its winters."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from rich.console import Console
from rich.markup import escape

from thermal.climate.dataset import Climate
from thermal.climate.design_conditions import winter_stats
from thermal.climate.heating_seasons import Weather, winters_of
from thermal.climate.joined_halves import join_halves
from thermal.core.display_units import DisplayUnits, percent_text
from thermal.errors import ClimateError
from thermal.report.design_temperature_text import design_json, design_sentences
from thermal.report.table_data import provenance
from thermal.report.terminal_tables import FittingTable, pairs, table

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


def print_climate(climate: Climate, floor_c: float, units: DisplayUnits, console: Console) -> None:
    """Print the summary of a weather file. Where no winter can be simulated, print why.

    Parameters
    ----------
    climate : Climate
        The weather file.
    floor_c : float
        Degree-hours are counted below this temperature [degC].
    units : DisplayUnits
        Units to show it in.
    console : Console
        Where to print.
    """
    header = climate.header
    console.print(f"[bold]{escape(header.name)}[/]  {escape(header.place)}")
    facts = [
        ("location", f"{header.latitude:.3f}, {header.longitude:.3f}, {units.text('length', header.elevation_m, 0)}"),
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
    console.print(_winters_table(climate, weather, floor_c, units))
    for refused in weather.refused:
        console.print(f"[bold]![/] {escape(refused)}")
    if header.kind == "typical year":
        console.print("[bold]![/] A typical year leaves out rare cold spells, so one is added for sizing heaters.")


def _winters_table(climate: Climate, weather: Weather, floor_c: float, units: DisplayUnits) -> FittingTable:
    """Table of the cold of each winter."""
    rows, degree, floor = [], units.unit("temperature"), units.value("temperature", floor_c)
    for winter_stat in winter_stats(climate, weather, floor_c):
        cells = (
            winter_stat.coldest_hour_c,
            winter_stat.coldest_day_c,
            winter_stat.coldest_3_days_c,
            winter_stat.coldest_week_c,
        )
        covered = "yes" if winter_stat.complete else "no"
        filled = f"{winter_stat.filled_hours}" + (" !" if winter_stat.cold_spell_filled else "")
        rows.append(
            (
                winter_stat.label,
                covered,
                *(f"{units.value('temperature', cell):.1f}" for cell in cells),
                f"{units.value('difference', winter_stat.degree_hours):,.0f}",
                filled,
            )
        )
    heads = [
        "winter", "complete", f"coldest hour ({degree})", f"coldest day ({degree})", f"coldest 3 days ({degree})",
        f"coldest week ({degree})", f"{degree}·h below {floor:g} {degree}", "hours filled",
    ]  # fmt: skip
    return table(heads, rows, left=2)


def climate_chart(climate: Climate, units: DisplayUnits) -> bytes:
    """Chart of the daily mean outdoor temperature of every winter, as PNG bytes.

    Parameters
    ----------
    climate : Climate
        The weather file.
    units : DisplayUnits
        Units to show it in.

    Raises
    ------
    ClimateError
        When no winter of the file can be simulated.
    """
    import matplotlib as mpl
    from matplotlib.figure import Figure

    from thermal.report.charts import BLUE, GREEN, GREY, ORANGE, STYLE, png

    weather = winters_of(join_halves(climate))
    with mpl.rc_context(STYLE):
        figure = Figure(figsize=(7.2, 3.2), layout="constrained")
        axes = figure.subplots()
        for index, winter in enumerate(weather.winters):
            span = slice(weather.spin_up_h, weather.spin_up_h + winter.hours)
            daily = weather.outdoor_c[span, index].reshape(-1, 24).mean(axis=1)
            first = winter.start.day_of_year
            days = [(first + day - 274) % 365 for day in range(len(daily))]
            colour, style = (BLUE, ORANGE, GREEN, GREY)[index % 4], ("-", "--", ":", "-.")[index // 4 % 4]
            axes.plot(days, units.value("temperature", daily), lw=0.9, color=colour, ls=style, label=winter.label)
        axes.set_xlabel("days since 1 October")
        axes.set_ylabel(f"mean outdoor temperature of the day, {units.unit('temperature')}")
        axes.legend(frameon=False, fontsize=8, ncols=4)
    return png(figure)
