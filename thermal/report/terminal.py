"""The terminal's view: one sentence, then small tables."""

from __future__ import annotations

from rich import box
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from thermal.climate.series import Climate
from thermal.decisions.answer import Answer
from thermal.decisions.options import Options
from thermal.decisions.outage import Outage
from thermal.plan import Plan
from thermal.report import options, words
from thermal.report.card import endurance_rows
from thermal.report.page import headline, winters_table
from thermal.report.tables import Rows
from thermal.scene import Scene


def print_answer(answer: Answer, console: Console) -> None:
    """The whole answer on one screen."""
    console.print(f"[bold]{escape(words.verdict(answer))}[/]")
    console.print(escape(words.basis(answer.scene)), style="dim")
    console.print(pairs(headline(answer)))
    winters = winters_table(answer)
    console.print(table(winters["heads"], winters["rows"]))
    season = answer.season
    months = [(month.month, f"{month.kwh:,.0f}", f"{month.cost:,.2f}") for month in season.months]
    console.print(table(["month", "heater kWh", answer.scene.plan.power.currency], months))
    paths = sorted(season.design_paths_w.items(), key=lambda pair: -pair[1])
    rows = [(name, f"{watts:,.0f}") for name, watts in paths if abs(watts) >= 0.5]
    console.print(table([f"heat at {season.design_at[:16].replace('T', ' ')}", "W"], rows))
    print_outage(answer.scene.plan, answer.outage, console)
    for one in answer.warnings:
        if not one.belief:
            console.print(f"[bold]![/] {escape(one.text)}")
    console.print(escape(words.cautions(answer)[0]), style="dim")


def print_outage(plan: Plan, outage: Outage, console: Console) -> None:
    """Oxygen first, then hours to each limit."""
    console.print(f"[bold]Power cut.[/] {escape(outage.first)}")
    console.print(table(["hours until", "worst day", "one in ten", "usual"], list(endurance_rows(plan, outage))))


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
    console.print(pairs(facts))
    for one in answer.warnings:
        if one.code in ("high-duty", "one-failed", "stuck-on", "circuit", "heater-too-small"):
            console.print(f"[bold]![/] {escape(one.text)}")
    console.print(escape(words.cautions(answer)[0]), style="dim")


def print_options(scene: Scene, found: Options, budget: float | None, console: Console) -> None:
    """Packages, ladder, floors, other ways, single parts."""
    plan = scene.plan
    console.print(f"[bold]{escape(options.advice(plan, found))}[/]")
    console.print(escape(words.basis(scene)), style="dim")
    if len(found.comparison.packages) > 1:
        console.print(rows(options.ladder_table(plan, found)))
        console.print(rows(options.packages_table(plan, found)))
        console.print(pairs(options.choices(plan, found, budget)))
    console.print(escape(options.floor_sentence(plan, found)))
    console.print(rows(options.floors_table(plan, found)))
    console.print(rows(options.ways_table(plan, found, explained=False)))
    console.print(escape(options.insulating_sentence(plan, found)))
    console.print(pairs(list(options.insulating_table(plan, found).cells)))
    console.print(escape(words.CAUTIONS[0]), style="dim")


def print_climates(climates: list[Climate], console: Console) -> None:
    """One row a series."""
    rows = []
    for climate in climates:
        hours, header = climate.hours, climate.header
        span = f"{hours.index[0]:%Y-%m-%d} – {hours.index[-1]:%Y-%m-%d}"
        rows.append((header.name, header.place, header.kind, span, f"{climate.filled_share:.1%}"))
    console.print(table(["name", "place", "kind", "hours from – to", "filled"], rows, left=4))


def pairs(rows: list[tuple[str, str]]) -> Table:
    """Labels and values side by side."""
    grid = Table(box=None, show_header=False, pad_edge=False)
    for label, value in rows:
        grid.add_row(escape(label), escape(value))
    return grid


def rows(one: Rows) -> Table:
    """A table ready for the terminal."""
    return table(list(one.heads), list(one.cells), one.left)


def table(heads: list[str], rows: list[tuple[str, ...]], left: int = 1) -> Table:
    """A small table; the first `left` columns are words, the others figures."""
    grid = Table(box=box.SIMPLE, pad_edge=False)
    for place, head in enumerate(heads):
        grid.add_column(escape(head), justify="left" if place < left else "right")
    for row in rows:
        grid.add_row(*(escape(cell) for cell in row))
    return grid
