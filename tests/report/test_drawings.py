"""The charts of the pages: figures in words and lengths, one order, colours and marks, small files."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from itertools import combinations, pairwise
from xml.etree import ElementTree

import numpy as np
import pytest

from tests.analysis.quick import assess
from thermal.analysis.comparison_results import Comparison
from thermal.analysis.design_study import comparison_of, design_study, study_results
from thermal.analysis.heat_groups import group_sums
from thermal.analysis.plan_weather import scene_of
from thermal.core.display_units import watts_text
from thermal.plan.reader import plan_of, with_settings
from thermal.report.assessment_tables import marked_winters
from thermal.report.drawings import canvas
from thermal.report.drawings.packages_drawing import MOST_MARKS, front_names, packages_figure
from thermal.report.drawings.winters_drawing import winters_figure
from thermal.report.heat_paths_text import paths_table
from thermal.report.html import script
from thermal.report.json_csv import assessment_json, hourly_csv
from thermal.report.page_drawings import assessment_drawings, comparison_drawings
from thermal.report.table_data import heat_text, month_name

SVG = re.compile(r"<svg.*?</svg>", re.DOTALL)
HOSTILE = "<b>lid</b></script><!-- & 2"


@pytest.fixture(scope="module")
def assessment(case_with):
    return assess(case_with({"climate.winters": [2016]}))


@pytest.fixture(scope="module")
def compared(workshop_text) -> tuple[object, Comparison]:
    """A plan with one measure of a hostile name, and its comparison."""
    import tomllib

    document = tomllib.loads(workshop_text)
    document["measure"] = [{"name": HOSTILE, "cost": 40.0, "set": {"tank.top": "snug foam lid"}}]
    case = scene_of(plan_of(with_settings(document, {"climate.winters": [2016]})))
    study = design_study(case, comparison=True)
    return case.plan, comparison_of(study, study_results(study))


@pytest.fixture(scope="module")
def charts(assessment, compared) -> dict[str, str]:
    words = {"packages": "Packages.", "floors": "Minimums."}
    return {
        **assessment_drawings(assessment, "All winters.", marked_winters(assessment)),
        **comparison_drawings(*compared, words),
    }


def drawings(chart: str) -> dict[str, ElementTree.Element]:
    """The wide and the narrow drawing of a chart."""
    elements = [ElementTree.fromstring(text) for text in SVG.findall(chart)]
    return {element.get("class"): element for element in elements}


def words_of(chart: str) -> str:
    return drawings(chart)["wide"].findtext("desc") or ""


def test_each_chart_has_two_drawings_that_say_what_they_show(charts):
    assert set(charts) == {"winter", "week", "months", "room", "outage", "packages", "floors"}
    for chart in charts.values():
        both = drawings(chart)
        assert set(both) == {"wide", "narrow"}
        for drawing in both.values():
            assert drawing.get("role") == "img"
            named = {element.get("id"): element.text for element in drawing if element.tag in ("title", "desc")}
            assert all(named[key] for key in drawing.get("aria-labelledby").split())


def test_ids_are_used_once(charts):
    ids = re.findall(r' id="([^"]*)"', "".join(charts.values()))
    assert len(ids) == len(set(ids)) > 20


def test_words_of_the_picture_are_the_answers_watts(assessment, charts):
    hour = assessment_json(assessment)["design_hour"]
    words, plan = words_of(charts["room"]), assessment.case.plan
    assert f"the heater gives {watts_text(hour['heater_w'])}" in words
    for vessel, begins in (("tank", "Out of the tank: "), ("beds", "Out of the beds: ")):
        paths = {name: w for name, w in hour["paths_w"].items() if name.startswith("bed ") == (vessel == "beds")}
        sentence = words.split(begins)[1].split(". ")[0]
        for group in ("sides", "top", "bottom", "air"):
            assert f"{group} {heat_text(group_sums(paths, plan, 'water')[group])} W" in sentence
    room = group_sums(hour["room_paths_w"], plan, "room")
    sentence = words.split("Out of the room: ")[1]
    for group in ("sides", "top", "bottom", "air", "house"):
        assert f"{group} {heat_text(room[group])} W" in sentence


def test_words_of_the_months_are_the_answers_kilowatt_hours(assessment, charts):
    words, plan = words_of(charts["months"]), assessment.case.plan
    for month in assessment_json(assessment)["months"]:
        said = words.split(f"{month_name(month['month'])}: ")[1].split(". ")[0]
        groups = group_sums(month["paths_kwh"], plan, "water")
        assert f"sides {heat_text(groups['sides'])}, top {heat_text(groups['top'])}" in said
        assert f"heater {heat_text(month['kwh'])}" in said


def hourly(assessment) -> dict[str, np.ndarray]:
    """Columns of hourly.csv."""
    rows = list(csv.DictReader(io.StringIO(hourly_csv(assessment))))
    return {name: np.array([float(row[name]) for row in rows]) for name in rows[0] if name != "local_standard_time"}


def test_words_and_hours_of_the_winter_are_those_of_the_csv_file(assessment, charts):
    columns = hourly(assessment)
    shown = {"outdoors": "outdoor_c", "room": "air_c", "water, no heater": "tank_unheated_c",
             "water with heater": "tank_c"}  # fmt: skip
    words = words_of(charts["winter"])
    data = json.loads(hours_json(charts["winter"]))
    rows = [np.cumsum(row) for row in data["changes"]]
    assert len(rows) == len(data["names"]) + 1 == 5
    for name, row in zip(data["names"], rows, strict=False):
        values = columns[shown[name]]
        assert np.allclose(row / 10.0, values, atol=0.0506)
        assert f"{name} {values.min():.1f} to {values.max():.1f} °C".replace("-", "−") in words
    watts = 10.0 * rows[-1]
    assert np.all((watts > columns["heater_w"] - 0.1) & (watts < columns["heater_w"] + 10.1))


def test_lines_have_at_most_a_thousand_points(charts):
    for name in ("winter", "week", "outage"):
        for drawing in drawings(charts[name]).values():
            lines = [path for path in drawing.iter("path") if "line" in (path.get("class") or "").split()]
            assert len(lines) >= 2
            assert all(10 < path.get("d").count("L") < 1000 for path in lines)


def shaft_width(path: ElementTree.Element) -> float:
    """Width of an arrow's shaft, from its first and last corner."""
    corners = [tuple(map(float, corner.split())) for corner in path.get("d")[1:-1].split("L")]
    (x0, y0), (x1, y1) = corners[0], corners[-1]
    return abs(x1 - x0) + abs(y1 - y0)


def test_arrows_are_as_wide_as_their_watts(assessment, charts):
    hour, plan = assessment_json(assessment)["design_hour"], assessment.case.plan
    for drawing in drawings(charts["room"]).values():
        arrows = {(a.get("data-place"), a.get("data-group")): a for a in drawing.iter("path") if a.get("data-watts")}
        assert len(arrows) >= 14
        scale = shaft_width(arrows["tank", "heater"]) / hour["heater_w"]
        for arrow in arrows.values():
            assert shaft_width(arrow) == pytest.approx(scale * abs(float(arrow.get("data-watts"))), abs=0.03)
        room = group_sums(hour["room_paths_w"], plan, "room")
        for group in ("sides", "top", "bottom", "air", "house"):
            assert float(arrows["room", group].get("data-watts")) == pytest.approx(room[group], abs=0.01)


def test_arrows_of_gains_point_inwards(assessment, charts):
    arrows = {(a.get("data-place"), a.get("data-group")): a for a in drawings(charts["room"])["wide"].iter("path")}
    heater, sides = (
        [float(corner.split()[0]) for corner in arrows[key].get("d")[1:-1].split("L")]
        for key in (("tank", "heater"), ("room", "sides"))
    )
    assert heater[3] > heater[0]  # the point, and the tail: into the tank from the left
    assert sides[3] < sides[0]


def test_the_legend_has_the_order_of_the_stack(charts):
    """Downwards in both: what lies above the zero line first, then the gains below it."""
    drawing = drawings(charts["months"])["wide"]
    zero = next(float(p.get("d").split("L")[0].split()[1]) for p in drawing.iter("path") if p.get("class") == "zero")
    areas = sorted((area for area in drawing.iter("rect") if area.get("fill")), key=lambda area: float(area.get("y")))
    legend = [area.get("data-legend") for area in areas if area.get("data-legend")]
    assert set(legend) >= {"sides", "top", "bottom", "air", "gains"}
    columns: dict[str, list[ElementTree.Element]] = {}
    for area in areas:
        if area.get("data-group") and float(area.get("height")) > 0.5:
            columns.setdefault(area.get("x"), []).append(area)
    assert len(columns) >= 6
    for column in columns.values():
        above = [area.get("data-group") for area in column if float(area.get("y")) < zero - 0.3]
        assert len(above) >= 2
        assert above == [group for group in legend if group in above]
        below = [area.get("data-group") for area in column[len(above) :]]
        assert below == [group for group in legend if group in below]


def test_details_are_in_a_table_with_the_sum_of_each_group(assessment):
    hour = assessment_json(assessment)["design_hour"]
    for zone, paths in (("water", hour["paths_w"]), ("room", hour["room_paths_w"])):
        cells = paths_table(assessment, zone).cells
        sums = group_sums(paths, assessment.case.plan, zone)
        shown = {row[0]: row[2] for row in reversed(cells)}
        assert shown == {group: heat_text(watts) for group, watts in sums.items()}
        assert len([row for row in cells if not row[1].startswith("all: ")]) == len(paths)
        assert "longwave" not in " ".join(row[1] for row in cells)


def test_hostile_names_are_text(charts, compared):
    assert "<b>" not in charts["packages"]
    assert "</script>" not in charts["packages"]
    assert "<b>lid</b>" in "".join(drawings(charts["packages"])["wide"].itertext())
    assert front_names(compared[1]) == ["no measures", HOSTILE]


def test_marks_of_packages_stand_where_price_and_cost_put_them(charts, compared):
    packages = compared[1].package_comparison.packages
    drawing = drawings(charts["packages"])["wide"]
    (x0, low, x1, high), (y0, least, y1, most) = (
        map(float, drawing.get(f"data-{axis}").split()) for axis in ("x", "y")
    )
    marks = {int(mark.get("data-package")): mark for mark in drawing.iter("g") if mark.get("class") == "best"}
    assert set(marks) == {0, 1}
    for index, mark in marks.items():
        box = mark.find("rect")
        x, y = float(box.get("x")) + 9, float(box.get("y")) + 8
        assert x == pytest.approx(x0 + (packages[index].cost - low) / (high - low) * (x1 - x0), abs=0.1)
        assert y == pytest.approx(y0 + (packages[index].result.cost - least) / (most - least) * (y1 - y0), abs=0.1)


def test_bars_of_complete_winters_are_numbered_and_as_high_as_their_heating(assessment):
    bills = [replace(assessment.season.winter_costs[0], kwh=kwh, complete=kwh != 5.0) for kwh in (700.0, 5.0, 350.0)]
    three = replace(
        assessment, unheated=assessment.unheated * 3, season=replace(assessment.season, winter_costs=tuple(bills))
    )
    for drawing in drawings(winters_figure(three, {}, "Winters.")).values():
        bottom, low, top, high = map(float, drawing.get("data-kwh-y").split())
        bars = [bar for bar in drawing if bar.get("data-winter")]
        assert [bar.get("data-winter") for bar in bars] == ["0", "1"]
        for bar, kwh in zip(bars, (700.0, 350.0), strict=True):
            height = kwh / (high - low) * (bottom - top)
            assert float(bar.get("height")) == pytest.approx(height, abs=0.1)
            assert float(bar.get("y")) == pytest.approx(bottom - height, abs=0.1)


def test_thousands_of_packages_stay_small(compared):
    plan, comparison = compared
    design = comparison.package_comparison
    bare = design.packages[0]
    many = [replace(bare, cost=50.0 + i, result=replace(bare.result, cost=300.0 + i % 97)) for i in range(4094)]
    full = replace(comparison, package_comparison=replace(design, packages=(*design.packages, *many)))
    chart = packages_figure(plan, full, "Packages.")
    assert len(chart) < 120_000
    assert len(re.findall("data-package", chart)) == 4  # two best ones, in two drawings
    few = replace(comparison, package_comparison=replace(design, packages=(*design.packages, *many[:100])))
    assert MOST_MARKS > 100
    assert len(re.findall("data-package", packages_figure(plan, few, "Packages."))) == 204


def style(name: str) -> str:
    return script(name)


def colours(dark: bool) -> dict[str, str]:
    """Every colour of the style sheets by its custom property, by day or by night."""
    page, sheet = style("style.html"), style("style_charts.html")
    day = re.findall(
        r"(--[\w-]+): (#[0-9a-f]{3,6})", page + re.sub(r"@media screen and \(prefers.*?\} \}", "", sheet, flags=re.S)
    )
    night = re.findall(
        r"(--[\w-]+): (#[0-9a-f]{3,6})", "".join(re.findall(r"@media screen and \(prefers.*?\} \}", sheet, re.S))
    )
    return dict(day) | (dict(night) if dark else {})


def linear(colour: str) -> np.ndarray:
    """Linear red, green and blue of a colour; sRGB, IEC 61966-2-1."""
    text = colour[1:] if len(colour) == 7 else "".join(2 * letter for letter in colour[1:])
    parts = np.array([int(text[i : i + 2], 16) / 255.0 for i in (0, 2, 4)])
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def contrast(first: str, second: str) -> float:
    """Contrast of two colours; WCAG 2.2, "contrast ratio"."""
    light = sorted(float(linear(colour) @ [0.2126, 0.7152, 0.0722]) + 0.05 for colour in (first, second))
    return light[1] / light[0]


LINES = ("--outdoors", "--room", "--unheated", "--heated")
GROUPS = ("--group-sides", "--group-top", "--group-bottom", "--group-air")


@pytest.mark.parametrize("dark", [False, True], ids=["day", "night"])
def test_colours_stand_out_from_the_paper(dark):
    """WCAG 2.2: 4.5 to 1 for text (1.4.3), 3 to 1 for parts of a picture (1.4.11)."""
    found = colours(dark)
    assert (contrast(found["--paper"], "#000000") < 3) == dark
    for name in ("--ink", "--quiet"):
        assert contrast(found[name], found["--paper"]) >= 4.5, name
        assert contrast(found[name], found["--water"]) >= (4.5 if name == "--ink" else 3.0), name
    for name in (*LINES, *GROUPS, "--group-rest", "--rule", "--bar"):
        assert contrast(found[name], found["--paper"]) >= 3.0, name


# Linear RGB as seen without one kind of cone: Machado, Oliveira & Fernandes 2009, IEEE TVCG 15(6), severity 1.0.
CONFUSION = {
    "protan": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "deutan": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "tritan": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
}


def lab(rgb: np.ndarray) -> np.ndarray:
    """CIE 1976 L*a*b* of linear sRGB, white D65 (CIE 15)."""
    to_xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    ratio = to_xyz @ np.clip(rgb, 0.0, 1.0) / [0.9505, 1.0, 1.089]
    x, y, z = np.where(ratio > 0.008856, np.cbrt(ratio), 7.787 * ratio + 16.0 / 116.0)
    return np.array([116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)])


@pytest.mark.parametrize("dark", [False, True], ids=["day", "night"])
@pytest.mark.parametrize("kind", CONFUSION)
@pytest.mark.parametrize("names", [LINES, GROUPS], ids=["lines", "areas"])
def test_colour_blind_readers_can_tell_colours_apart(names, kind, dark):
    """A difference of 10 is plain to see side by side: common practice, no source."""
    found = colours(dark)
    seen = {name: lab(np.array(CONFUSION[kind]) @ linear(found[name])) for name in names}
    for first, second in combinations(names, 2):
        assert np.linalg.norm(seen[first] - seen[second]) > 10.0, (first, second)


def rule(kind: str) -> dict[str, str]:
    """What the style sheet says of a class of lines."""
    text = re.search(rf"\.chart \.{kind} \{{ ([^}}]*) \}}", style("style_charts.html"))[1]
    return dict(part.strip().split(": ", 1) for part in text.strip().rstrip(";").split(";"))


@pytest.mark.parametrize(
    "kinds",
    [("outdoors", "room", "water-unheated", "water-heated", "minimum"), ("bare-1", "bare-2", "bare-3", "covered")],
)
def test_lines_differ_without_colour(kinds):
    """On a print in grey: by their dashes, or by a weight that is at least 1.5 times that of the other."""
    for first, second in combinations(map(rule, kinds), 2):
        weights = sorted(float(line["stroke-width"]) for line in (first, second))
        assert first.get("stroke-dasharray") != second.get("stroke-dasharray") or weights[1] >= 1.5 * weights[0]


def test_areas_differ_without_colour():
    marks = [canvas.PATTERNS.get(group, "") for group in ("sides", "top", "bottom", "air", "house", "gains")]
    assert len(set(marks)) == len(marks)


def test_labels_move_apart_and_keep_their_order():
    places = canvas.spread([10.0, 11.0, 11.0, 60.0], 15.0, 0.0, 100.0)
    assert all(b - a >= 15.0 - 0.01 for a, b in pairwise(places))
    assert places[3] == pytest.approx(60.0)
    assert canvas.spread([95.0, 96.0], 15.0, 0.0, 100.0)[1] <= 100.0


@pytest.mark.parametrize(("low", "high"), [(-24.0, 31.0), (0.0, 0.9), (-4.2, 86.0), (0.0, 4096.0)])
def test_ticks_are_round_and_inside(low, high):
    ticks = canvas.round_ticks(low, high, 6)
    assert 3 <= len(ticks) <= 6
    assert low <= ticks[0] <= ticks[-1] <= high
    step = ticks[1] - ticks[0]
    assert float(f"{step:.0e}") == pytest.approx(step)
    assert f"{step:.0e}"[0] in "125"


def test_a_heated_room_has_its_own_paths_and_given_air_has_none(case_with):
    in_room = assess(case_with({"climate.winters": [2016], "heater.where": "room"}))
    given = assess(
        case_with({"climate.winters": [2016], "room.temperature": "12 degC", "keep.floor": "5 degC"}, drop=("bed",))
    )
    places = []
    for answer in (in_room, given):
        charts = assessment_drawings(answer, "All winters.", marked_winters(answer))
        arrows = [path for path in drawings(charts["room"])["narrow"].iter("path") if path.get("data-watts")]
        places.append({arrow.get("data-place") for arrow in arrows})
        assert ("room" in {name for name in json.loads(hours_json(charts["winter"]))["names"]}) == (answer is in_room)
    assert places == [{"room"}, {"tank"}]
    assert paths_table(given, "room").cells == ()
    assert paths_table(in_room, "water").cells == ()


def hours_json(chart: str) -> str:
    return re.search(r'class="winter-hours">(.*?)</script>', chart)[1]
