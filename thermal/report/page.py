"""The page: one self-contained HTML file, and the files beside it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from thermal.decisions.answer import Answer
from thermal.files import slug, write_whole
from thermal.report import charts, export, words
from thermal.report.card import battery, card, endurance_rows
from thermal.report.html import embedded, rendered


def write_report(answer: Answer, folder: Path) -> Path:
    """Write page, charts, CSV and JSON into a folder of the plan's own; the page's path is returned."""
    place = folder / slug(answer.scene.plan.title)
    pictures = pictures_of(answer)
    for name, picture in pictures.items():
        write_whole(place / f"{name}.png", picture)
    write_whole(place / "hourly.csv", export.hourly_csv(answer))
    write_whole(place / "paths.csv", export.paths_csv(answer))
    write_whole(place / "monthly.csv", export.monthly_csv(answer))
    write_whole(place / "answer.json", export.dumped(export.answer_json(answer)))
    write_whole(place / "outage-card.html", card(answer.scene.plan, answer.outage))
    return write_whole(place / "report.html", page(answer, pictures))


def pictures_of(answer: Answer) -> dict[str, bytes]:
    """Every chart as PNG."""
    return {
        "winter": charts.png(charts.winter_chart(answer)),
        "months": charts.png(charts.months_chart(answer)),
        "design": charts.png(charts.design_chart(answer)),
    }


def page(answer: Answer, pictures: dict[str, bytes]) -> str:
    """The HTML page; every text of the plan is escaped."""
    return rendered("page.html", {**_content(answer), "charts": embedded(pictures)})


def _content(answer: Answer) -> dict[str, Any]:
    units, season, plan = words.shown_units(answer), answer.season, answer.scene.plan
    median = season.bills[season.median]
    return {
        "title": plan.title,
        "verdict": words.verdict(answer),
        "figures": headline(answer),
        "basis": words.basis(answer.scene),
        "warnings": answer.warnings,
        "outage": answer.outage,
        "outage_rows": endurance_rows(plan, answer.outage),
        "battery": battery(answer.outage),
        "winters": winters_table(answer),
        "median": median.label,
        "currency": plan.power.currency,
        "months": [(month.month, f"{month.kwh:,.0f}", f"{month.cost:,.2f}") for month in season.months],
        "design_at": season.design_at.replace("T", " "),
        "design_w": units.text("power", season.design_w, 0),
        "cautions": words.cautions(answer),
        "assumptions": words.assumptions(answer),
        "climate": answer.scene.climate.header,
        "closure": f"{answer.closure:.0e}",
        "alts": _alts(answer),
    }


def headline(answer: Answer) -> list[tuple[str, str]]:
    """The four figures people ask for first."""
    units, season, heater = words.shown_units(answer), answer.season, answer.heater
    median = season.bills[season.median]
    return [
        ("coldest water without heat", units.text("temperature", answer.coldest.coldest_c)),
        ("least heater", units.text("power", round(heater.needed_w, -1), 0)),
        ("heat, median winter", f"{median.kwh:,.0f} kWh"),
        ("cost, median winter", f"{median.cost:,.0f} {answer.scene.plan.power.currency}"),
    ]


def winters_table(answer: Answer) -> dict[str, Any]:
    """One row a winter."""
    units, currency = words.shown_units(answer), answer.scene.plan.power.currency
    heads = ["winter", "coldest unheated", "on", "hours below floor", "heater kWh", currency]
    rows = [
        (
            bill.label + ("" if bill.complete else " (part)"),
            units.text("temperature", cold.coldest_c),
            cold.coldest_at[:10],
            f"{cold.hours_below:,.0f}",
            f"{bill.kwh:,.0f}",
            f"{bill.cost:,.0f}",
        )
        for bill, cold in zip(answer.season.bills, answer.unheated, strict=True)
    ]
    return {"heads": heads, "rows": rows}


def _alts(answer: Answer) -> dict[str, str]:
    season = answer.season
    largest = max(season.design_paths_w, key=lambda name: season.design_paths_w[name])
    dearest = max(season.months, key=lambda month: month.kwh)
    return {
        "winter": f"Temperatures of outdoors, room and water through winter {answer.coldest.label}. "
        + words.verdict(answer),
        "months": f"Bars of heat by path for each month; most heat in {dearest.month}, {dearest.kwh:.0f} kWh.",
        "design": f"Bars of heat by path at {season.design_at}; the largest is {largest},"
        f" {season.design_paths_w[largest]:.0f} W.",
    }
