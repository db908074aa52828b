"""The live choices in a real browser: ticks show the answer of `compare`, nothing is invented, all by keyboard."""

from __future__ import annotations

import itertools
import json
import random
import re
import tomllib
from dataclasses import replace
from urllib.parse import parse_qs

import pytest

from tests.report.choice_page import (
    LINES,
    PLACES,
    numbers_of,
    said,
    slide,
    tick,
    type_in,
    with_many_packages,
    with_winters,
)
from tests.report.chromium import FOUND, Chromium
from tests.report.page_looks import contrasts, paper_pages, sticks_out
from tests.report.test_language import faults
from thermal.analysis.design_results import design_results
from thermal.analysis.design_study import comparison_of, design_study, study_results
from thermal.analysis.measure_packages import package_plans, pareto_front, subsets
from thermal.analysis.minimum_temperature_sweep import with_floor
from thermal.analysis.plan_weather import scene_of
from thermal.plan.model import PricePeriod
from thermal.plan.reader import plan_of
from thermal.report.choices import choices_data, embedded_json
from thermal.report.comparison_page import page
from thermal.report.how_made import HowMade
from thermal.report.html import script
from thermal.report.json_csv import compare_json
from thermal.report.table_data import money, month_name, watts

pytestmark = [pytest.mark.browser, pytest.mark.skipif(FOUND is None, reason="no chromium on this machine")]
HOSTILE = ("</script><script>window.hacked=1</script>", "<!--<script>\u2028&amp;", "\"'><img src=x onerror=hacked=1>")
MADE = HowMade("compare", "plan.toml", "", "0" * 64, "0", "2026-01-01")
FIGURES = ("needed", "kwh", "cost", "payback", "outage", "mould")
TEXTS = (
    f"Object.fromEntries({list(FIGURES)}.map((key) => [key, document.getElementById(`choice-${{key}}`).textContent]))"
)
ROWS = "[...document.querySelectorAll('#{} tbody tr')].map((row) => [...row.cells].map((cell) => cell.textContent))"


@pytest.fixture(scope="module")
def case(workshop_text):
    """The demo's plan in one winter, with five measures, three of which have hostile names."""
    document = tomllib.loads(workshop_text)
    document["measure"] = document["measure"][:5]
    document["climate"]["winters"] = [2016]
    document["title"] = HOSTILE[0]
    document["keep"] = {"floor": "12 degC", "species": ["yellow perch"]}
    plan = plan_of(document)
    names = itertools.chain(HOSTILE, (measure.name for measure in plan.measures[len(HOSTILE) :]))
    named = [replace(measure, name=name) for measure, name in zip(plan.measures, names, strict=True)]
    return scene_of(replace(plan, measures=tuple(named)))  # the reader of plans would refuse U+2028


@pytest.fixture(scope="module")
def comparison(case):
    study = design_study(case, comparison=True)
    return comparison_of(study, study_results(study))


@pytest.fixture(scope="module")
def answer(case, comparison):
    """The JSON of `compare`."""
    return json.loads(json.dumps(compare_json(case, comparison)))


@pytest.fixture(scope="module")
def pages(case, comparison, tmp_path_factory):
    """Addresses of the page, of one with prices by the hour, and of one whose measures are not separable."""
    folder = tmp_path_factory.mktemp("choices")
    power = case.plan.power
    night = PricePeriod(tuple([1.0] * 6 + [0.0] * 18), tuple(range(1, 13)), tuple(range(7)), 0.1)
    periods = replace(case, plan=replace(case.plan, power=replace(power, periods=(night,), monthly_charge=3.0)))
    alone = replace(comparison, separable=replace(comparison.separable, floors_c=()))
    hostile = replace(case, plan=replace(case.plan, power=replace(power, currency=HOSTILE[0])))
    texts = {
        "simple": page(case, comparison, None, MADE),
        "periods": page(periods, comparison, None, MADE),
        "fixed": page(hostile, alone, None, MADE),
    }
    for name, text in texts.items():
        (folder / f"{name}.html").write_text(text, "utf-8")
    return {name: (folder / f"{name}.html").as_uri() for name in texts}


@pytest.fixture(scope="module")
def chromium(tmp_path_factory):
    browser = Chromium(tmp_path_factory.mktemp("profile"))
    yield browser
    browser.close()


@pytest.fixture
def tab(chromium, pages):
    """The page, just opened."""
    chromium.resize(1200)
    chromium.open(pages["simple"])
    yield chromium
    assert not chromium.faults


def test_ticks_show_the_answer_of_compare_for_twenty_packages(tab, case, answer):
    chosen = random.Random(13).sample(answer["packages"], 20)
    for package in chosen:
        tick(tab, numbers_of(package, case))
        assert tab.run(TEXTS) == said(package)
        rows = tab.run(ROWS.format("choice-months"))
        assert [row[:2] for row in rows] == [
            [month_name(one["month"]), money(one["cost"])] for one in package["months"]
        ]
    tick(tab, [])
    assert tab.run(TEXTS) == said(answer["packages"][0])


def test_the_slider_shows_every_minimum_of_compare(tab, answer):
    floors = answer["floors"]
    assert int(tab.run("document.getElementById('choice-minimum').max")) == len(floors) - 1
    for position in range(0, len(floors), 3):
        slide(tab, position)
        shown = tab.run(TEXTS)
        step = floors[position]
        assert (shown["needed"], shown["kwh"]) == (f"{watts(step['needed_w'])} W", f"{step['kwh']:,.0f} kWh")
        assert tab.run("document.getElementById('choice-degrees').textContent") == f"{step['floor_c']:.0f} °C"


def test_measures_at_another_minimum_are_about_what_a_simulation_gives(tab, case, comparison):
    """A package at another minimum is simulated here, in whole, and nowhere on the page."""
    reach = comparison.separable.floors_c
    chosen = (0, 3, 4)
    plans = package_plans(case.plan, [0, subsets(5).index(chosen)])
    ends = (min(reach), max(reach))
    base, *others = design_results(case, [plans[0], *(with_floor(plans[1], floor_c) for floor_c in ends)])
    assert base.needed_w == pytest.approx(comparison.package_comparison.packages[0].result.needed_w, abs=1.0)
    tick(tab, chosen)
    last = int(tab.run("document.getElementById('choice-minimum').max"))
    assert last == len(reach)
    for position, result in zip((0, last), others, strict=True):
        slide(tab, position)
        shown = tab.run(TEXTS)
        for key, value, step in (("needed", result.needed_w, 10), ("kwh", result.kwh, 1), ("cost", result.cost, 1)):
            number = float(re.fullmatch(r"about ([\d,.]+) (?:W|kWh|USD)", shown[key])[1].replace(",", ""))
            assert number == pytest.approx(value, rel=0.03, abs=step)
        assert {shown[key] for key in ("payback", "outage", "mould")} == {"not calculated"}
        assert not tab.run("document.getElementById('choice-months').getClientRects().length")


def test_a_minimum_out_of_reach_is_left_and_said(tab, comparison):
    slide(tab, 0)
    tick(tab, [1])
    text = tab.run("document.getElementById('choice-range').textContent")
    assert text.startswith("Moved from 2 °C. With measures: from ")
    coldest = min(comparison.separable.floors_c)
    assert tab.run("document.getElementById('choice-degrees').textContent") == f"{coldest:.0f} °C"


def test_where_effects_are_not_separable_the_slider_is_disabled_with_its_reason(chromium, pages, case, answer):
    chromium.open(pages["fixed"])
    slide(chromium, 3)
    package = answer["packages"][-1]
    tick(chromium, numbers_of(package, case))
    assert chromium.run("document.getElementById('choice-minimum').disabled")
    assert "With measures it is fixed" in chromium.run("document.getElementById('choice-range').textContent")
    assert chromium.run(TEXTS) == said(package, currency=HOSTILE[0])
    assert chromium.run("window.hacked") is None


def test_a_minimum_says_whom_it_is_too_cold_for(tab, case):
    [perch] = case.plan.keep.limits
    for position, celsius in ((0, 2.0), (28, 30.0)):
        slide(tab, position)
        warning = tab.run("document.getElementById('choice-warning').textContent")
        assert ("yellow perch" in warning) == (celsius < perch.working_c)


def test_a_price_changes_energy_but_not_the_standing_charge(chromium, pages, comparison, answer):
    package = answer["packages"][9]
    letters = "".join("ABCDE"[subset] for subset in subsets(5)[9])
    for name in ("simple", "periods"):
        chromium.open(f"{pages[name]}#measures={letters}&price=0.4")
        cost = package["kwh"] * 0.4 if name == "simple" else package["winter_cost"] * 0.4 / 0.16
        assert chromium.run(TEXTS)["cost"] == f"{money(cost)} USD"
        bare = answer["packages"][0]
        before = bare["kwh"] * 0.4 if name == "simple" else bare["winter_cost"] * 0.4 / 0.16
        assert chromium.run(TEXTS)["payback"] == f"{package['cost'] / (before - cost):.1f} winters"
        months = [row[1] for row in chromium.run(ROWS.format("choice-months"))]
        share = [one["kwh"] * 0.4 if name == "simple" else one["cost"] * 2.5 for one in package["months"]]
        assert months == [money(value) for value in share]
    chromium.open(pages["simple"])
    for wrong in ("-1", "", "1e99"):
        type_in(chromium, "price", wrong)
        assert chromium.run(TEXTS)["cost"] == f"{money(answer['packages'][0]['winter_cost'])} USD"


def test_the_best_sets_within_a_budget_come_first(tab, case, comparison, answer):
    packages = comparison.package_comparison.packages
    for budget in (0, 54, 120, 1100):
        type_in(tab, "budget", budget)
        affordable = tuple(package for package in packages if package.cost <= budget)
        best = [affordable[i] for i in pareto_front(affordable)][::-1][:8]
        rows = tab.run(ROWS.format("choice-best"))
        assert [row[1:] for row in rows] == [
            [money(one.cost), f"{watts(one.result.needed_w)} W", money(one.result.cost)] for one in best
        ]
        assert min(one.result.cost for one in affordable) == best[0].result.cost
    tab.run("document.querySelectorAll('#choice-best button')[2].click()")
    ticked = tab.run("[...document.querySelectorAll('[data-measure]')].filter((box) => box.checked).length")
    assert ticked == len(best[2].measures)
    assert tab.run("document.querySelectorAll('#choice-best tr.chosen').length") == 1


def test_the_ring_stands_on_the_chosen_package(tab, case, answer):
    for number in (5, 17):
        tick(tab, numbers_of(answer["packages"][number], case))
        at = tab.run(f"({PLACES})({number})")
        assert at
        for ring, mark, visibility in at:
            assert ring == pytest.approx(
                mark, abs=12.0
            )  # numbered marks stand beside each other where they would overlap
            assert visibility == "visible"


def test_the_heating_with_chosen_measures_is_marked_in_the_chart_of_winters(chromium, case, comparison, tmp_path):
    """A made-up chart with the attributes that `winters_drawing` gives, and two made-up winters of each package."""
    packages = comparison.package_comparison.packages
    given = [
        replace(one, result=replace(one.result, winter_kwh=(100.0 + i, 500.0 + i))) for i, one in enumerate(packages)
    ]
    several = replace(comparison, package_comparison=replace(comparison.package_comparison, packages=tuple(given)))
    chart = (
        '<svg data-kwh-y="90 0 10 800"><rect data-winter="0" x="1" width="5"/>'
        '<rect data-winter="1" x="9" width="5"/></svg>'
        '<svg data-hours="0 9" data-x="0 0 9 9" data-y="90 -10 20 30"></svg>'
    )
    text = with_winters(page(case, several, None, MADE), case.plan, several, chart)
    (tmp_path / "winters.html").write_text(text, "utf-8")
    chromium.open((tmp_path / "winters.html").as_uri())
    tick(chromium, [0, 2])
    number = next(
        i for i, one in enumerate(packages) if one.measures == tuple(case.plan.measures[k].name for k in (0, 2))
    )
    marks = chromium.run("[...document.querySelectorAll('.chosen-heating')].map((mark) => mark.getAttribute('d'))")
    for mark, left, kwh in zip(marks, (1, 9), (100 + number, 500 + number), strict=True):
        at, y, width = map(float, re.fullmatch(r"M(.*) (.*)h(.*)", mark).groups())
        assert (at, width) == (left, 5)
        assert y == pytest.approx(90 - kwh / 10)
    words = chromium.run("[...document.querySelectorAll('svg text')].map((text) => text.textContent)")
    needed = watts(packages[number].result.needed_w)
    assert {"marks: with AC", f"with AC: heater needed {needed} W"} <= set(words)
    tick(chromium, [])
    assert chromium.run("document.querySelectorAll('.chosen-heating').length") == 0
    assert not chromium.faults


def test_a_line_stands_at_the_chosen_minimum(tab):
    assert tab.run(LINES) == []
    slide(tab, 18)
    lines = tab.run(LINES)
    assert lines
    for x, (start, low, end, high), scale, left in lines:
        assert low + ((x - left) / scale - start) * (high - low) / (end - start) == pytest.approx(20.0, abs=0.2)


def test_the_address_keeps_the_choice_and_the_contents_line_does_not_undo_it(tab, case, answer, pages):
    package = answer["packages"][20]
    tick(tab, numbers_of(package, case))
    type_in(tab, "budget", 300)
    address = tab.run("location.href")
    state = parse_qs(address.split("#")[1], keep_blank_values=True)
    assert state["budget"] == ["300"]
    assert state["minimum"] == ["12"]
    tab.run("location.hash = '#certainty'")
    assert tab.run(TEXTS) == said(package)
    tab.open(address)
    assert tab.run(TEXTS) == said(package)
    assert tab.run("document.getElementById('choice-budget').value") == "300"
    for wrong in ("#measures=%00ZZ&minimum=x&price=-1&budget=NaN", "#measures=&minimum=1e9"):
        tab.open(pages["simple"] + wrong)
        assert tab.run("document.getElementById('choice-result').textContent").startswith("No measures")


def test_everything_is_done_by_keyboard(tab, case, answer):
    tab.run("document.querySelector('[data-measure]').focus()")
    tab.press(" ", 32, " ")
    alone = next(package for package in answer["packages"] if package["measures"] == [case.plan.measures[0].name])
    assert tab.run(TEXTS) == said(alone)
    tab.press(" ", 32, " ")
    reached = []
    for _ in range(30):
        tab.press("Tab", 9)
        reached.append(tab.run("document.activeElement.id || document.activeElement.textContent.trim()"))
        if reached[-1] == "choice-minimum":
            before = tab.run("document.getElementById('choice-degrees').textContent")
            tab.press("ArrowRight", 39)
            assert tab.run("document.getElementById('choice-degrees').textContent") != before
    assert {"choice-minimum", "choice-price", "choice-budget", "ABCD", "choice-print", "choice-reset"} <= set(reached)
    live = tab.run("(() => { const it = document.getElementById('choice-result'); return [it.role, it.ariaLive]; })()")
    assert live == ["status", "polite"]
    labels = "[...document.querySelectorAll('#choices input')].filter((field) => !field.labels.length).length"
    assert tab.run(labels) == 0


@pytest.mark.parametrize(("paper", "size"), [("A4", (8.27, 11.69)), ("Letter", (8.5, 11.0))])
def test_the_choice_alone_is_printed_on_one_page(tab, paper, size):
    tab.run("window.print = () => { window.printed = true; }")
    tick(tab, [0, 2])
    tab.run("document.getElementById('choice-print').click()")
    assert tab.run("window.printed")
    assert paper_pages(tab.pdf(*size)) == 1
    tab.run("window.dispatchEvent(new Event('afterprint'))")
    assert paper_pages(tab.pdf(*size)) > 1


def test_without_scripts_the_page_shows_the_rest(chromium, pages, case):
    chromium.call("Emulation.setScriptExecutionDisabled", value=True)
    try:
        chromium.open(pages["simple"])
        assert chromium.run("document.getElementById('choices').getClientRects().length") == 0
        words = chromium.run("document.body.innerText")
        assert "Best value" in words
        assert "Measures, best first" in words
        assert "Try a choice" not in words
    finally:
        chromium.call("Emulation.setScriptExecutionDisabled", value=False)


def test_hostile_names_are_text(tab, case, pages):
    labels = tab.run("[...document.querySelectorAll('.tick > span')].map((label) => label.textContent)")
    for name, label in zip(HOSTILE, labels, strict=False):
        assert re.sub(r"\s+", " ", name) in re.sub(r"\s+", " ", label)
    assert tab.run("window.hacked") is None
    assert tab.run("document.querySelectorAll('script').length") == 2, "the data and the one script that reads it"
    for name in HOSTILE:
        assert json.loads(embedded_json([name])) == [name]
        assert not set(embedded_json([name])) & set("<>&\u2028\u2029")


def test_nothing_can_be_asked_of_the_network(tab, pages):
    assert [url for url in tab.asked if not url.startswith(("file:", "data:"))] == []
    blocked = "fetch('http://127.0.0.1:9/x').then(() => 'sent', () => 'refused')"
    assert tab.run(blocked) == "refused"
    assert any("Content Security Policy" in fault for fault in tab.faults), "refused by the page itself"
    tab.faults.clear()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_is_readable_and_fits_a_phone(tab, scheme, pages):
    tab.look(scheme)
    try:
        tab.resize(360)
        tab.open(pages["simple"] + "#measures=AB&minimum=13&budget=500")
        assert sticks_out(tab) == []
        poor = [one for one in contrasts(tab, "#choices") if one["ratio"] < 4.5]
        assert poor == []
        dark = tab.run("getComputedStyle(document.body).backgroundColor")
        assert (sum(map(int, re.findall(r"\d+", dark)[:3])) < 200) == (scheme == "dark")
    finally:
        tab.look("light")


def test_4096_packages_stay_small_and_fast(chromium, case, comparison, tmp_path):
    """As many packages as a plan may have, in 22 winters; their figures are made up, only their number counts."""
    plan, comparison = with_many_packages(case.plan, comparison)
    packages = comparison.package_comparison.packages
    assert len(packages) == 4096
    bars = "".join(f'<rect data-winter="{i}" x="{9 * i}" width="5"/>' for i in range(22))
    text = with_winters(
        page(replace(case, plan=plan), comparison, None, MADE),
        plan,
        comparison,
        f'<svg data-kwh-y="90 0 10 800">{bars}</svg>',
    )
    assert len(text.encode("utf-8")) <= 1_500_000  # the rest of the page of `run` has 0.3 MB more
    (tmp_path / "many.html").write_text(text, "utf-8")
    spent_ms = []
    for _ in range(3):  # another process may take the processor in one of them
        chromium.open((tmp_path / "many.html").as_uri())
        spent_ms.append(
            chromium.run(
                "(() => { const begin = performance.now(); document.querySelector('[data-measure]').click();"
                " document.body.getBoundingClientRect(); return performance.now() - begin; })()"
            )
        )
    assert chromium.run(TEXTS)["needed"] == f"{watts(packages[1].result.needed_w)} W"
    assert min(spent_ms) < 50.0
    assert not chromium.faults


def test_the_data_are_those_of_the_comparison(case, comparison):
    data = choices_data(case.plan, comparison)
    assert sorted(data["masks"]) == list(range(32))
    assert data["minima"]["celsius"][data["minima"]["own"]] == 12.0
    assert len(data["packages"]["byMonth"]) == 32 * len(data["months"])
    assert "byWinter" not in data["packages"]
    packages = tuple(
        replace(package, result=replace(package.result, winter_kwh=(float(number), 0.5 + number)))
        for number, package in enumerate(comparison.package_comparison.packages)
    )
    several = replace(comparison, package_comparison=replace(comparison.package_comparison, packages=packages))
    by_winter = choices_data(case.plan, several, by_winter=True)["packages"]["byWinter"]
    assert by_winter[:4] == [0, 0, 1, 2]  # winters of one package stand together


def test_the_scripts_are_small_and_speak_plainly():
    texts = {name: script(name) for name in ("choices.js", "hover.js")}
    assert len(texts["choices.js"].splitlines()) <= 292
    assert sum(len(text.splitlines()) for text in texts.values()) <= 400
    for text in texts.values():
        assert "@type" in text
        assert not re.search(
            r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\b|https?://(?!www\.w3\.org/2000/svg)", text
        )
    words = " ".join(re.findall(r"\"[^\"\n]+\"|`[^`]+`", texts["choices.js"]))
    assert not faults(words)
