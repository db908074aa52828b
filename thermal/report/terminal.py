"""The terminal's view: one sentence, then small tables."""

from __future__ import annotations

from rich import box
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from thermal.climate.series import Climate
from thermal.climate.winters import winters_of
from thermal.decisions.answer import Answer
from thermal.decisions.outage import Outage
from thermal.errors import ClimateError
from thermal.plan import Plan
from thermal.report import words
from thermal.report.card import endurance_rows
from thermal.report.page import headline, winters_table


def print_answer(answer: Answer, console: Console) -> None:
    """The whole answer on one screen."""
    console.print(f"[bold]{escape(words.verdict(answer))}[/]")
    console.print(escape(words.basis(answer)), style="dim")
    console.print(_pairs(headline(answer)))
    table = winters_table(answer)
    console.print(_table(table["heads"], table["rows"]))
    season = answer.season
    months = [(month.month, f"{month.kwh:,.0f}", f"{month.cost:,.2f}") for month in season.months]
    console.print(_table(["month", "heater kWh", answer.scene.plan.power.currency], months))
    paths = sorted(season.design_paths_w.items(), key=lambda pair: -pair[1])
    rows = [(name, f"{watts:,.0f}") for name, watts in paths if abs(watts) >= 0.5]
    console.print(_table([f"heat at {season.design_at[:16].replace('T', ' ')}", "W"], rows))
    print_outage(answer.scene.plan, answer.outage, console)
    for one in answer.warnings:
        if not one.belief:
            console.print(f"[bold]![/] {escape(one.text)}")
    console.print(escape(words.cautions(answer)[0]), style="dim")


def print_outage(plan: Plan, outage: Outage, console: Console) -> None:
    """Oxygen first, then hours to each limit."""
    console.print(f"[bold]Power cut.[/] {escape(outage.first)}")
    console.print(_table(["hours until", "worst day", "one in ten", "usual"], list(endurance_rows(plan, outage))))


def print_heater(answer: Answer, console: Console) -> None:
    """The heater question alone."""
    heater, units = answer.heater, words.shown_units(answer)
    console.print(f"[bold]{escape(words.verdict(answer))}[/]")
    circuit = answer.circuit
    limit = (
        "no circuit given" if circuit.limit_w is None else f"{circuit.load_w:.0f} of {circuit.limit_w:.0f} W allowed"
    )
    facts = [
        ("least heater", f"{heater.needed_w:,.0f} W"),
        ("to buy", ", ".join(f"{one:.0f} W" for one in heater.buy_w) or "nothing"),
        ("thermostat", units.text("temperature", heater.setpoint_c)),
        ("coldest water then", units.text("temperature", heater.coldest_c)),
        ("with one failed", units.text("temperature", heater.one_failed_c)),
        ("with one stuck on", units.text("temperature", heater.stuck_on_c)),
        ("duty at the hardest hour", f"{heater.peak_duty:.0%}"),
        ("on the circuit", limit),
    ]
    console.print(_pairs(facts))
    for one in answer.warnings:
        if one.code in ("high-duty", "one-failed", "stuck-on", "circuit", "heater-too-small"):
            console.print(f"[bold]![/] {escape(one.text)}")
    console.print(escape(words.cautions(answer)[0]), style="dim")


def print_climates(climates: list[Climate], console: Console) -> None:
    """One row a series."""
    rows = []
    for climate in climates:
        hours, header = climate.hours, climate.header
        span = f"{hours.index[0]:%Y-%m-%d} – {hours.index[-1]:%Y-%m-%d}"
        rows.append((header.name, header.place, header.kind, span, f"{climate.filled_share:.1%}"))
    console.print(_table(["name", "place", "kind", "hours from – to", "filled"], rows, left=4))


def print_climate(climate: Climate, console: Console) -> None:
    """One series in full."""
    header = climate.header
    console.print(f"[bold]{escape(header.name)}[/]  {escape(header.place)}")
    facts = [
        ("position", f"{header.latitude:.3f}, {header.longitude:.3f}, {header.elevation_m:.0f} m"),
        ("time zone", header.timezone),
        ("kind", header.kind),
        ("source", header.source),
        ("licence", header.licence),
        ("processing", header.processing),
        ("filled hours", f"{climate.filled_share:.2%}"),
        ("not in the series", ", ".join(climate.assumed) or "nothing"),
    ]
    console.print(_pairs(facts))
    try:
        weather = winters_of(climate)
    except ClimateError as fault:
        console.print(escape(str(fault)))
        return
    rows = []
    for place, winter in enumerate(weather.winters):
        air = weather.outdoor_c[weather.spin_up_h : weather.spin_up_h + winter.hours, place]
        whole = "whole" if winter.complete else f"part, from {winter.start:%Y-%m-%d}"
        rows.append(
            (
                winter.label,
                whole,
                f"{winter.hours:,}",
                f"{air.min():.1f}",
                f"{air.mean():.1f}",
                f"{winter.filled_hours}",
            )
        )
    console.print(_table(["winter", "covered", "hours", "coldest °C", "mean °C", "filled h"], rows, left=2))


def _pairs(rows: list[tuple[str, str]]) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False)
    for label, value in rows:
        table.add_row(escape(label), escape(value))
    return table


def _table(heads: list[str], rows: list[tuple[str, ...]], left: int = 1) -> Table:
    table = Table(box=box.SIMPLE, pad_edge=False)
    for place, head in enumerate(heads):
        table.add_column(escape(head), justify="left" if place < left else "right")
    for row in rows:
        table.add_row(*(escape(cell) for cell in row))
    return table
