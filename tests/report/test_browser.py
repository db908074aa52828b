"""The pages in a real browser: offline, at phone width, on paper; what the plan says stays text."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest

BROWSER = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
)
QUIET = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-extensions", "--disable-default-apps",
    "--metrics-recording-only", "--no-pings", "--no-pdf-header-footer",
)  # fmt: skip
HOSTILE = "<script>alert(1)</script> & fish"
pytestmark = [pytest.mark.browser, pytest.mark.skipif(BROWSER is None, reason="no chromium on this machine")]


def browse(profile: Path, *arguments: str) -> str:
    done = subprocess.run(
        [BROWSER, *QUIET, f"--user-data-dir={profile}", *arguments], capture_output=True, text=True, timeout=120
    )
    return done.stdout


@pytest.fixture(scope="module")
def folder(tmp_path_factory, workshop_text):
    """Report, comparison and card of the demo's plan under a hostile title."""
    place = tmp_path_factory.mktemp("pages")
    (place / "plan.toml").write_text(workshop_text.replace("Perch and lettuce in the workshop", HOSTILE))
    for command in ("run", "compare", "outage"):
        done = subprocess.run(
            [sys.executable, "-m", "thermal", command, "plan.toml", *(["--samples", "20"] if command == "run" else [])],
            cwd=place,
            capture_output=True,
            text=True,
            timeout=300,
        )
        assert done.returncode == 0, done.stderr
    return next((place / "reports").iterdir())


OWN_CALLS = ("google.com", "googleapis.com", "gstatic.com")  # the browser's errands, whatever page is open


def asked_of_the_network(page: Path, scratch: Path) -> set[str]:
    """Hosts a page makes the browser ask, from the browser's own log of requests."""
    log = scratch / "net.json"
    logging = (f"--log-net-log={log}", "--net-log-capture-mode=Everything")
    dom = browse(scratch / "profile", *logging, "--dump-dom", page.as_uri())
    assert "</html>" in dom
    urls = re.findall(r'"url":"(?:https?|wss?|ftp)://([^/"]+)', log.read_text("utf-8", errors="replace"))
    return {host for host in urls if not host.endswith(OWN_CALLS)}


@pytest.mark.parametrize("name", ["report.html", "compare.html", "outage-card.html"])
def test_nothing_is_asked_of_the_network(folder, tmp_path, name):
    assert not asked_of_the_network(folder / name, tmp_path)


def test_a_page_that_asks_is_noticed(tmp_path):
    (tmp_path / "asks.html").write_text("<html><img src='http://127.0.0.1:9/x.png'></html>")
    assert asked_of_the_network(tmp_path / "asks.html", tmp_path) == {"127.0.0.1:9"}


class Outline(HTMLParser):
    """Headings, and pictures with their alternative texts."""

    def __init__(self) -> None:
        super().__init__()
        self.headings: list[str] = []
        self.alts: list[str] = []
        self.inside = ""

    def handle_starttag(self, tag, attrs):
        self.inside = tag if re.fullmatch("h[1-3]", tag) else ""
        if tag == "img":
            self.alts.append(dict(attrs).get("alt") or "")
            assert dict(attrs)["src"].startswith("data:image/png;base64,")

    def handle_data(self, data):
        if self.inside:
            self.headings.append(data.strip())
            self.inside = ""


def test_headings_and_alternative_texts(folder, tmp_path):
    outline = Outline()
    dom = browse(tmp_path, "--dump-dom", (folder / "report.html").as_uri())
    outline.feed(dom)
    wanted = [
        "What to buy", "The coldest winter", "Where the heat goes", "What it costs",
        "Other minimum water temperatures", "Which insulation first", "When the power fails", "Damp and mould",
        "How certain the figures are", "Cautions", "Assumptions", "Sources",
    ]  # fmt: skip
    assert [one for one in outline.headings if one in wanted] == wanted
    assert len(outline.alts) == 6
    assert all(len(one) > 40 for one in outline.alts)
    assert outline.headings[0] == HOSTILE
    assert "<script" not in dom


@pytest.mark.parametrize("name", ["report.html", "compare.html", "outage-card.html"])
def test_nothing_sticks_out_at_phone_width(folder, tmp_path, name):
    """The page in a frame of 360 px; tables may scroll inside their own boxes."""
    page = (folder / name).read_text("utf-8")
    frame = json.dumps(page).replace("</", "<\\/")
    (tmp_path / "frame.html").write_text(
        "<!doctype html><iframe id=f style='width:360px;height:800px;border:0'></iframe><p id=p>waiting</p><script>"
        f"const f = document.getElementById('f'); f.srcdoc = {frame};"
        "f.onload = () => { const e = f.contentDocument.documentElement;"
        "document.getElementById('p').textContent = 'width ' + e.clientWidth + ' needs ' + e.scrollWidth; };</script>",
        "utf-8",
    )
    dom = browse(tmp_path / "profile", "--virtual-time-budget=5000", "--dump-dom", (tmp_path / "frame.html").as_uri())
    found = re.search(r"width (\d+) needs (\d+)", dom)
    assert found, dom[-300:]
    assert int(found[1]) >= 340
    assert int(found[2]) <= 360


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_report_prints_on_six_pages(folder, tmp_path, paper):
    page = (folder / "report.html").read_text("utf-8").replace("@page { margin", f"@page {{ size: {paper}; margin")
    (tmp_path / "print.html").write_text(page, "utf-8")
    browse(tmp_path / "profile", f"--print-to-pdf={tmp_path / 'out.pdf'}", (tmp_path / "print.html").as_uri())
    pdf = (tmp_path / "out.pdf").read_bytes()
    counts = [int(one) for one in re.findall(rb"/Count (\d+)", pdf)]
    assert 2 <= max(counts) <= 6
    box = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert float(box[1]) == pytest.approx({"A4": 595, "Letter": 612}[paper], abs=1.5)
