"""The page: one self-contained HTML file, and the files beside it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from thermal.analysis.assessment import Answer
from thermal.analysis.full_assessment import Whole
from thermal.core.atomic_write import slug, write_whole
from thermal.report import comparison_text, json_csv, sentences, uncertainty_text
from thermal.report.comparison_page import packages_csv
from thermal.report.html import embedded, rendered
from thermal.report.outage_card import battery, card, endurance_table
from thermal.report.table_data import Rows, money


def write_report(whole: Whole, pictures: dict[str, bytes], folder: Path) -> Path:
    """Write page, charts, CSV and JSON into a folder of the plan's own; the page's path is returned.

    pictures : as `thermal.report.render_charts` gives them
    """
    answer = whole.answer
    place = folder / slug(answer.scene.plan.title)
    for name, picture in pictures.items():
        write_whole(place / f"{name}.png", picture)
    write_whole(place / "hourly.csv", json_csv.hourly_csv(answer))
    write_whole(place / "paths.csv", json_csv.paths_csv(answer))
    write_whole(place / "monthly.csv", json_csv.monthly_csv(answer))
    write_whole(place / "packages.csv", packages_csv(whole.options))
    write_whole(place / "answer.json", json_csv.dumped(json_csv.whole_json(whole)))
    write_whole(place / "outage-card.html", card(answer.scene.plan, answer.outage))
    return write_whole(place / "report.html", page(whole, pictures))


def page(whole: Whole, pictures: dict[str, bytes]) -> str:
    """The HTML page; every text of the plan is escaped."""
    content = {**_found(whole.answer), **_weighed(whole), "charts": embedded(pictures)}
    return rendered("run.html", {**content, "alts": _alts(whole)})


def _found(answer: Answer) -> dict[str, Any]:
    """What the answer itself fills in."""
    units, season, plan = sentences.shown_units(answer), answer.season, answer.scene.plan
    return {
        "title": plan.title,
        "verdict": sentences.verdict(answer),
        "basis": sentences.basis(answer.scene),
        "stops": [one.text for one in answer.warnings if not one.belief],
        "beliefs": [one.text for one in answer.warnings if one.belief],
        "winters": winters_table(answer),
        "median": season.bills[season.median].label,
        "months": months_table(answer),
        "design_at": season.design_at[:16].replace("T", " "),
        "design_w": units.text("power", season.design_w, 0),
        "outage": answer.outage,
        "outage_rows": endurance_table(plan, answer.outage),
        "battery": battery(answer.outage),
        "damp": sentences.damp(answer),
        "cautions": sentences.cautions(answer),
        "assumptions": sentences.assumptions(answer),
        "climate": answer.scene.climate.header,
        "closure": f"{answer.closure:.0e}",
    }


def _weighed(whole: Whole) -> dict[str, Any]:
    """What packages, floors and samples fill in."""
    plan, found = whole.answer.scene.plan, whole.options
    return {
        "figures": headline(whole),
        "samples": whole.spread.samples,
        "sureness": uncertainty_text.sureness(plan, whole.spread),
        "buy": sentences.buy_list(whole),
        "floor_sentence": comparison_text.floor_sentence(plan, found),
        "advice": comparison_text.advice(plan, found),
        "count": len(found.comparison.packages),
        "ladder": comparison_text.ladder_table(plan, found),
        "packages": comparison_text.packages_table(plan, found),
        "bands": uncertainty_text.bands_table(plan, whole.spread),
        "drivers": uncertainty_text.brief_drivers(whole.spread),
        "presets": uncertainty_text.presets_table(plan, sentences.shown_units(whole.answer)),
    }


def headline(whole: Whole) -> list[tuple[str, str, str]]:
    """The four figures people ask for first, each with its band."""
    answer, bands = whole.answer, whole.spread.bands
    units, season, heater = sentences.shown_units(answer), answer.season, answer.heater
    median, currency = season.bills[season.median], answer.scene.plan.power.currency

    def band(name: str, form: Any) -> str:
        return uncertainty_text.between(bands.get(name), form)

    return [
        ("coldest water without heat", units.text("temperature", answer.coldest.coldest_c),
         band("coldest_unheated_c", lambda c: units.text("temperature", c))),
        ("least heater", units.text("power", round(heater.needed_w, -1), 0),
         band("needed_w", lambda w: units.text("power", round(w, -1), 0))),
        ("heat, median winter", f"{median.kwh:,.0f} kWh", band("kwh", lambda kwh: f"{round(kwh, -1):,.0f} kWh")),
        ("cost, median winter", f"{median.cost:,.0f} {currency}",
         band("cost", lambda paid: f"{money(paid)} {currency}")),
    ]  # fmt: skip


def winters_table(answer: Answer) -> Rows:
    """One row a winter."""
    units, currency = sentences.shown_units(answer), answer.scene.plan.power.currency
    return Rows(
        ("winter", "coldest unheated", "on", "hours below floor", "heater kWh", currency),
        tuple(
            (
                bill.label + ("" if bill.complete else " (part)"),
                units.text("temperature", cold.coldest_c),
                cold.coldest_at[:10],
                f"{cold.hours_below:,.0f}",
                f"{bill.kwh:,.0f}",
                f"{bill.cost:,.0f}",
            )
            for bill, cold in zip(answer.season.bills, answer.unheated, strict=True)
        ),
    )


def months_table(answer: Answer) -> Rows:
    """Heat and money of each month of the median winter, and their sum."""
    season = answer.season
    rows = [(month.month, f"{month.kwh:,.0f}", f"{month.cost:,.2f}") for month in season.months]
    median = season.bills[season.median]
    rows.append(("winter", f"{median.kwh:,.0f}", f"{median.cost:,.2f}"))
    return Rows(("month", "heater kWh", answer.scene.plan.power.currency), tuple(rows))


def _alts(whole: Whole) -> dict[str, str]:
    answer = whole.answer
    season, units = answer.season, sentences.shown_units(answer)
    largest = max(season.design_paths_w, key=lambda name: season.design_paths_w[name])
    dearest = max(season.months, key=lambda month: month.kwh)
    curve = answer.outage.curve_c
    return {
        "winter": f"Temperatures of outdoors, room and water through winter {answer.coldest.label}. "
        + sentences.verdict(answer),
        "months": f"Bars of heat by path for each month; most heat in {dearest.month}, {dearest.kwh:.0f} kWh.",
        "design": f"Bars of heat by path at {season.design_at}; the largest is {largest},"
        f" {season.design_paths_w[largest]:.0f} W.",
        "outage": f"Tank temperature after a power cut on the worst day: from {units.text('temperature', curve[0])} to"
        f" {units.text('temperature', curve[24])} within a day.",
        **comparison_text.alts(answer.scene.plan, whole.options),
    }
