"""What a person does on the page of live choices, and what the page should then say and show."""

from __future__ import annotations

from thermal.report.table_data import hours, money, watts


def tick(tab, numbers):
    """Tick the measures with these numbers and untick the others, each by a click on what differs."""
    tab.run(
        f"document.querySelectorAll('[data-measure]').forEach((box, i) => {{ if (box.checked !== {sorted(numbers)}"
        ".includes(i)) box.click(); })"
    )


def slide(tab, position):
    """Move the slider to a position."""
    tab.run(
        f"(() => {{ const it = document.getElementById('choice-minimum'); it.value = {position};"
        " it.dispatchEvent(new Event('input', { bubbles: true })); })()"
    )


def type_in(tab, field, text):
    """Write a text into a field."""
    tab.run(
        f"(() => {{ const it = document.getElementById('choice-{field}'); it.focus(); it.value = '{text}';"
        " it.dispatchEvent(new Event('input', { bubbles: true })); })()"
    )


PLACES = """
(number) => {
  const middle = (part) => {
    const box = part.getBoundingClientRect();
    return [box.x + box.width / 2, box.y + box.height / 2];
  };
  const drawings = [...document.querySelectorAll("svg")].filter((svg) => svg.getClientRects().length);
  return drawings.filter((svg) => svg.querySelector("circle.chosen"))
    .map((svg) => [svg.querySelector("circle.chosen"), svg.querySelector(`[data-package="${number}"]`)])
    .map(([ring, point]) => [middle(ring), middle(point), getComputedStyle(ring).visibility]);
}
"""
LINES = """
[...document.querySelectorAll("svg path.chosen")]
  .filter((line) => line.getClientRects().length && getComputedStyle(line).visibility === "visible")
  .map((line) => [line.getBoundingClientRect().x, line.closest("svg").dataset.x.split(" ").map(Number),
    line.closest("svg").getScreenCTM().a, line.closest("svg").getBoundingClientRect().x])
"""


def said(package, currency="USD"):
    """What the page should say of a package of the JSON answer, as its tables and the terminal's say it."""
    winters, mould = package["payback_winters"], package["mould_h"]
    outage = package["hours_to_floor"]
    return {
        "needed": f"{watts(package['needed_w'])} W",
        "kwh": f"{package['kwh']:,.0f} kWh",
        "cost": f"{money(package['winter_cost'])} {currency}",
        "payback": "—" if winters is None else f"{winters:,.1f} winters",
        "outage": hours(outage) if outage is None else f"{hours(outage)} hours",
        "mould": f"{mould:,.0f} hours",
    }


def numbers_of(package, case):
    return [i for i, measure in enumerate(case.plan.measures) if measure.name in package["measures"]]
