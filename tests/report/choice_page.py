"""What a person does on the page of live choices, and what the page should then say and show."""

from __future__ import annotations

import itertools
import random
import re
from dataclasses import replace

from thermal.analysis.measure_packages import pareto_front
from thermal.report.choices import choices_data, embedded_json
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


def with_many_packages(plan, comparison):
    """A plan and a comparison of twelve measures in 22 winters: 4,096 packages whose figures are made up."""
    names, rng, compared = (
        [f"measure {number}" for number in range(12)],
        random.Random(1),
        comparison.package_comparison,
    )
    measures = tuple(replace(plan.measures[0], name=name, cost=float(10 + 7 * i)) for i, name in enumerate(names))
    first = compared.packages[0]
    packages = tuple(
        replace(
            first,
            measures=tuple(names[i] for i in chosen),
            cost=sum(measures[i].cost for i in chosen),
            result=replace(
                first.result,
                needed_w=first.result.needed_w * 0.9 ** len(chosen) * rng.uniform(0.9, 1.0),
                cost=first.result.cost * 0.9 ** len(chosen) * rng.uniform(0.9, 1.0),
                winter_kwh=tuple(first.result.kwh * rng.random() for _ in range(22)),
                months=tuple(
                    (month, kwh * rng.random(), cost * rng.random()) for month, kwh, cost in first.result.months
                ),
            ),
        )
        for chosen in itertools.chain.from_iterable(itertools.combinations(range(12), size) for size in range(13))
    )
    many = replace(compared, packages=packages, pareto_front=pareto_front(packages), ranking=())
    return replace(plan, measures=measures), replace(comparison, package_comparison=many)


def with_winters(page, plan, comparison, chart):
    """A page of `compare` with the heating of each winter in its data, as the page of `run` has it, and a chart."""
    data = str(embedded_json(choices_data(plan, comparison, by_winter=True)))
    page = re.sub(r'(id="choice-data">).*?(</script>)', lambda found: found[1] + data + found[2], page)
    return page.replace("</main>", chart + "</main>")
