"""The charts in a real browser: size of letters at phone width, one drawing at a time, read-outs, the dark scheme."""

from __future__ import annotations

import csv
import html
import io
import json
import re
from pathlib import Path

import pytest

from tests.analysis.quick import assess
from tests.report.test_browser import BROWSER, browse
from tests.report.test_drawings import contrast
from thermal.report.assessment_tables import marked_winters
from thermal.report.html import script
from thermal.report.json_csv import hourly_csv
from thermal.report.page_drawings import assessment_drawings

pytestmark = [pytest.mark.browser, pytest.mark.skipif(BROWSER is None, reason="no chromium on this machine")]
SMALLEST_PX = 11.0
HOUR = 2500
LOOK = """
const report = {};
const frames = [...document.querySelectorAll("iframe")];
const look = () => {
  for (const frame of frames) {
    const page = frame.contentDocument, view = frame.contentWindow, width = frame.dataset.width;
    const drawings = [...page.querySelectorAll(".chart svg")];
    const seen = drawings.filter((svg) => view.getComputedStyle(svg).display !== "none");
    const letters = seen.flatMap((svg) => [...svg.querySelectorAll("text")].map((text) =>
      parseFloat(view.getComputedStyle(text).fontSize) * svg.getScreenCTM().a));
    const cut = seen.flatMap((svg) => [...svg.querySelectorAll("text")].filter((text) => {
      const box = text.getBBox(), area = svg.viewBox.baseVal;
      return box.x < -1 || box.y < -1 || box.x + box.width > area.width + 1 || box.y + box.height > area.height + 1;
    }).map((text) => text.textContent));
    const winter = page.querySelector(".chart-winter");
    const svg = [...winter.querySelectorAll("svg")].find((drawing) => seen.includes(drawing));
    const readOut = winter.querySelector(".read-out"), texts = [readOut.textContent];
    const [x0, h0, x1, h1] = svg.dataset.x.split(" ").map(Number);
    const place = new DOMPoint(x0 + (HOUR - h0) / (h1 - h0) * (x1 - x0), 100).matrixTransform(svg.getScreenCTM());
    svg.dispatchEvent(new view.PointerEvent("pointermove", { clientX: place.x, clientY: place.y, bubbles: true }));
    texts.push(readOut.textContent);
    svg.dispatchEvent(new view.KeyboardEvent("keydown", { key: "ArrowRight", bubbles: true }));
    texts.push(readOut.textContent);
    svg.dispatchEvent(new view.KeyboardEvent("keydown", { key: "ArrowLeft", shiftKey: true, bubbles: true }));
    texts.push(readOut.textContent);
    const ink = view.getComputedStyle(seen[0].querySelector("text")).fill;
    report[width] = { kinds: [...new Set(seen.map((s) => s.getAttribute("class")))], count: seen.length, cut,
      smallest: Math.min(...letters), number: letters.length, texts, tabs: seen.filter((s) => s.tabIndex === 0).length,
      cursor: svg.querySelector(".cursor").style.visibility, ink,
      paper: view.getComputedStyle(page.body).backgroundColor };
  }
  document.getElementById("out").textContent = JSON.stringify(report);
};
Promise.all(frames.map((frame) => new Promise((done) => { frame.onload = done; }))).then(() => setTimeout(look, 200));
""".replace("HOUR", str(HOUR))


@pytest.fixture(scope="module")
def assessment(case_with):
    return assess(case_with({"climate.winters": [2016]}))


def looked_at(page: str, folder: Path, widths: tuple[int, ...], *arguments: str) -> dict[str, dict]:
    """What the browser finds in a page at some widths."""
    (folder / "page.html").write_text(page, "utf-8")
    frames = "".join(
        f'<iframe data-width="{width}" style="width:{width}px;height:900px;border:0"'
        f' srcdoc="{html.escape(page)}"></iframe>'
        for width in widths
    )
    outer = folder / "outer.html"
    outer.write_text(f"<!doctype html><pre id=out>waiting</pre>{frames}<script>{LOOK}</script>", "utf-8")
    found = None
    for _ in range(3):  # on a busy machine the browser may write its answer before the frames have been looked at
        dom = browse(folder / "profile", *arguments, "--virtual-time-budget=5000", "--dump-dom", outer.as_uri())
        found = re.search(r"<pre id=\"?out\"?>(\{.*?\})</pre>", dom, re.DOTALL)
        if found:
            break
    assert found, dom[:300]
    return json.loads(html.unescape(found[1]))


@pytest.fixture(scope="module")
def page(assessment) -> str:
    charts = assessment_drawings(assessment, "All winters.", marked_winters(assessment))
    sheets = script("style.html") + script("style_charts.html")
    body = "".join(f"<figure>{chart}</figure>" for chart in charts.values())
    return f"<!doctype html>{sheets}<main>{body}</main><script>{script('hover.js')}</script>"


@pytest.fixture(scope="module")
def seen(page, tmp_path_factory) -> dict[str, dict]:
    return looked_at(page, tmp_path_factory.mktemp("widths"), (360, 390, 1200))


@pytest.mark.parametrize(("width", "kind"), [("360", "narrow"), ("390", "narrow"), ("1200", "wide")])
def test_each_width_has_its_own_drawing_with_letters_large_enough(seen, width, kind):
    here = seen[width]
    assert here["kinds"] == [kind]
    assert here["count"] == 5
    assert here["number"] > 60
    assert here["smallest"] >= SMALLEST_PX
    assert here["cut"] == []


@pytest.mark.parametrize("width", ["360", "1200"])
def test_the_hour_under_the_pointer_is_read_out(seen, assessment, width):
    rows = list(csv.DictReader(io.StringIO(hourly_csv(assessment))))
    begun, pointed, later, earlier = seen[width]["texts"]
    assert "arrow keys" in begun
    assert seen[width]["cursor"] == "visible"
    assert seen[width]["tabs"] == 2
    step = 0 if width == "1200" else 12  # a pixel is some hours at phone width
    times = [time_of(text) for text in (pointed, later, earlier)]
    names = [row["local_standard_time"][:16] for row in rows]
    places = [names.index(time) for time in times]
    assert abs(places[0] - HOUR) <= step
    assert places[1] == places[0] + 1
    assert places[2] == places[1] - 24
    for text, place in zip((pointed, later, earlier), places, strict=True):
        row = rows[place]
        for name, column in (("outdoors", "outdoor_c"), ("room", "air_c"), ("water, no heater", "tank_unheated_c"),
                             ("water with heater", "tank_c")):  # fmt: skip
            shown = float(re.search(rf"{name} ([−\d.]+) °C", text)[1].replace("−", "-"))
            assert shown == pytest.approx(float(row[column]), abs=0.0506), name
        watts = float(re.search(r"heater ([\d,]+) W", text)[1].replace(",", ""))
        assert -0.1 <= watts - float(row["heater_w"]) <= 10.0


def time_of(text: str) -> str:
    """Time of a read-out as hourly.csv writes it."""
    months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
    day, month, year, clock = re.match(r"(\d+) (\w+) (\d+) (\d\d:\d\d)", text).groups()
    return f"{year}-{months.index(month) + 1:02d}-{int(day):02d} {clock}"


def hex_of(colour: str) -> str:
    return "#" + "".join(f"{int(part):02x}" for part in re.findall(r"\d+", colour)[:3])


def test_the_dark_scheme_follows_the_readers_choice(page, seen, tmp_path):
    dark = looked_at(page, tmp_path, (390,), "--blink-settings=preferredColorScheme=0")["390"]
    for look, on_dark in ((seen["390"], False), (dark, True)):
        ink, paper = hex_of(look["ink"]), hex_of(look["paper"])
        assert contrast(ink, paper) >= 4.5
        assert (contrast(paper, "#000000") < 3.0) == on_dark


def test_the_script_is_small_and_typed():
    lines = script("hover.js").splitlines()
    assert len(lines) <= 120
    functions = [line for line in lines if re.search(r"const \w+ = \(.*\) =>", line)]
    assert len(functions) >= 4
    for line in functions:
        above = lines[lines.index(line) - 1]
        assert above.strip().endswith("*/"), line
