"""README's own commands, run one after the other in an empty folder; and the plans it says lie ready."""

from __future__ import annotations

import json
import re
import shlex
import tomllib
from pathlib import Path

import pytest

from tests import fuzz
from tests.analysis.test_calibration import TRUTH, made_up_log, noisy, write_log
from tests.test_fetch import NEIGHBOURS, YEARS_ASKED, Shelf, server, shelf, year_file  # noqa: F401
from thermal.analysis.case import scene_of
from thermal.plan.reader import plan_of, read_document, read_plan
from thermal.plan.wizard import default_answers, render_plan, room_templates

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text("utf-8")
PLANS = sorted((ROOT / "thermal" / "plan" / "examples").glob("*-*.toml"))


def commands() -> list[str]:
    """Every command in README, code blocks first, without those that set up."""
    blocks = re.findall(r"^```sh\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    lines = [line for block in blocks for line in block.splitlines() if line.startswith("overwinter ")]
    fill_pattern = re.findall(r"`(overwinter [^`]+)`", README)
    return list(dict.fromkeys([*lines, *fill_pattern]))


def test_every_command_of_readme_runs(shelf, tmp_path):  # noqa: F811
    """In README's order, with the plan `start` writes, a made-up log and a made-up weather archive on 127.0.0.1."""
    shelf.update({f"/{year}/{name}.csv.gz": year_file(year) for year in YEARS_ASKED for name in NEIGHBOURS})
    (tmp_path / "hours.csv").write_text(fuzz.short_hours(), "utf-8")
    garage = plan_of(tomllib.loads(render_plan("garage", "metric", default_answers("garage", "metric"))))
    write_log(tmp_path / "log.csv", noisy(made_up_log(garage, TRUTH), 1))
    stands_for = {"PLAN": "my.toml", "LOG": "log.csv", "NAME": "springfield-il"}
    ran: list[list[str]] = []
    for command in commands():
        words = [stands_for.get(word, word) for word in shlex.split(command)[1:]]
        if words[0].startswith("-"):
            continue  # options of the whole program, such as --install-completion, which would change this machine
        if words[0] == "start" and "FILE" in words:
            words = ["start", "another.toml", "--yes"]
        words = ["hours.csv" if word == "FILE" else word for word in words]
        if words[0] != "start" and len(words) == 1 and words[0] not in ("demo",):
            words += ["my.toml", "log.csv"] if words == ["fit"] else ["my.toml"]
        if words in ran:
            continue
        code, out, err = fuzz.ended(*words)
        assert code == 0, (command, err)
        assert out or err
        ran.append(words)
    assert {words[0] for words in ran} == {
        "start",
        "check",
        "run",
        "heater",
        "compare",
        "spread",
        "fit",
        "outage",
        "climate",
    }  # CI runs the demo itself


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_ready_plans_are_what_start_writes(path):
    place, system = path.stem.split("-")
    assert path.read_text("utf-8") == render_plan(place, system, default_answers(place, system))
    assert len(PLANS) == 2 * len(room_templates())


@pytest.mark.parametrize("place", sorted(room_templates()))
def test_ready_plans_give_what_readme_says(place, tmp_path):
    """And the same within a tenth whether written in metres or in feet, whose usual sizes differ a little."""
    found = {}
    for system in ("metric", "us"):
        code, _, err = fuzz.ended(
            "heater",
            str(ROOT / "thermal" / "plan" / "examples" / f"{place}-{system}.toml"),
            "--json",
            str(tmp_path / "x.json"),
        )
        assert code == 0, err
        found[system] = fuzz.read_json(tmp_path / "x.json")["heater"]["needed_w"]
    said = re.search(rf"`plans/{place}-metric.toml`[^|]*\|[^|]*\| ([\d,]+ W|none) \|", README)[1]
    assert found["metric"] == pytest.approx(0.0 if said == "none" else float(said[:-2].replace(",", "")), abs=6.0)
    assert found["us"] == pytest.approx(found["metric"], rel=0.1)


def test_check_draws_to_scale(tmp_path):
    """The demo's tank is 1.06 m of a room of 6 m: so many columns of sixty; every W/K adds up to the envelope's."""
    code, out, _ = fuzz.ended(
        "check", str(ROOT / "thermal" / "plan" / "examples" / "workshop.toml"), "--json", str(tmp_path / "x.json")
    )
    assert code == 0
    tank = next(line for line in out.splitlines() if "~" in line)
    assert len(re.search(r"│~+│", tank)[0]) == pytest.approx(1.063 / 6.0 * 60, abs=1.0)
    found = json.loads((tmp_path / "x.json").read_text("utf-8"))
    ua = {one["name"]: one["w_per_k"] for one in found["room_parts"]}
    assert ua["door"] == pytest.approx(7.0 * 5.88, rel=0.01)  # refs, steel door without foam
    assert {one["preset"] for one in found["presets"]} >= {"air changes: ordinary", "side: steel door, bare"}


def test_huge_and_tiny_vessels_can_be_drawn(workshop):
    from thermal.report.plan_summary import elevation

    for width, depth in (("40 m", "15 m"), ("0.1 m", "0.04 m")):
        workshop["tank"] = [{"length": width, "width": width, "water_depth": depth, "shape": "rectangular"}]
        lines = elevation(plan_of(workshop))
        assert len({len(line) for line in lines[:-1]}) == 1


def test_ready_plans_are_whole(tmp_path):
    for path in PLANS:
        assert read_document(path)
        assert scene_of(read_plan(path)).network.designs == 1
