"""README: its commands are run, its plan and answer, tables and Python examples compared; DEVELOPERS stays short."""

from __future__ import annotations

import doctest
import json
import re

import pytest

from tests import fuzz
from tests.docs import plan_keys, sample_answer
from tests.docs.markers import README as README_FILE
from tests.docs.markers import ROOT, generated, words_and_numbers
from tests.published import table as outside_checks
from tests.test_fetch import NEIGHBOURS, YEARS_ASKED, Shelf, server, shelf, year_file  # noqa: F401
from thermal.analysis.plan_weather import scene_of
from thermal.plan.reader import plan_of, read_document, read_plan, schema
from thermal.plan.wizard import default_answers, ready_places, render_plan

pytestmark = pytest.mark.no_cover  # other tests cover these lines; tracing adds half as much again

README = README_FILE.read_text("utf-8")
PLANS = sorted((ROOT / "thermal" / "plan" / "examples").glob("*-*.toml"))
ELSEWHERE = {"lorraine": ("lorraine-fr", "metric"), "minneapolis": ("minneapolis-mn", "us")}  # garage and workshop
MOST_WORDS = 1500  # of DEVELOPERS.md


def blocks(language: str, text: str = README) -> list[str]:
    """The code blocks in one language."""
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.MULTILINE | re.DOTALL)


def test_set_up_is_two_commands_as_ci_takes_them():
    """.ci/run installs and tests with these lines: another number of them would test nothing, or something else."""
    part = README.split("\n## Set up\n")[1].split("\n## ")[0]
    found = blocks("sh", part)
    assert [len(block.splitlines()) for block in found] == [1, 1]
    assert found == blocks("sh")
    assert "overwinter demo" in found[0]
    assert "pytest" in found[1]


def test_the_answer_shown_is_the_plans_own(tmp_path):
    same_words_and_figures(generated(README_FILE, sample_answer.NAME), sample_answer.lines(tmp_path), 0.15)


def test_the_plan_shown_has_no_fault_and_few_lines(tmp_path):
    path = tmp_path / sample_answer.PLAN_FILE
    path.write_text(sample_answer.shown_plan(), "utf-8")
    code, out, err = fuzz.ended("check", str(path))
    assert code == 0, err
    assert "Tank and bed in the garage" in out
    assert len(sample_answer.shown_plan().splitlines()) <= 70


@pytest.mark.parametrize(
    ("name", "lines"), [(plan_keys.KEYS, plan_keys.lines), (plan_keys.PRESETS, plan_keys.preset_lines)]
)
def test_reference_tables_are_those_of_the_schema(name, lines):
    assert generated(README_FILE, name) == lines(), "run python -m tests.docs.refresh"


def test_reference_table_has_every_key_of_the_json_schema():
    """Found another way: from the JSON Schema that editors read."""
    paths = fuzz.schema_keys(schema())
    tables = {path[:-1] for path in paths}
    leaves = [path for path in paths if path not in {table[: len(path)] for table in tables}]
    named = {(".".join(part for part in path[:-1] if part != 0), path[-1]) for path in leaves}
    assert len(named) > 60
    assert {(key.table.strip("[]"), key.name) for key in plan_keys.schema_keys() if key.name} == named


def test_outside_checks_are_as_their_page_says():
    same_words_and_figures(generated(outside_checks.PAGE, outside_checks.NAME), outside_checks.lines(), 0.002)


def same_words_and_figures(written: list[str], now: list[str], absolute: float) -> None:
    """Words exactly, figures nearly: the last digit shown differs from machine to machine."""
    (words, figures), (words_now, figures_now) = words_and_numbers(written), words_and_numbers(now)
    assert words == words_now, "run python -m tests.docs.refresh"
    assert figures == pytest.approx(figures_now, rel=0.02, abs=absolute), "run python -m tests.docs.refresh"


def test_python_examples_of_readme_hold():
    runner = doctest.DocTestRunner()
    runner.run(doctest.DocTestParser().get_doctest("\n".join(blocks("python")), {}, "README.md", None, 0))
    assert runner.tries >= 10
    assert runner.failures == 0


def test_developers_is_short():
    assert len((ROOT / "DEVELOPERS.md").read_text("utf-8").split()) <= MOST_WORDS


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_ready_plans_are_what_start_writes(path):
    place, which = path.stem.rsplit("-", 1)
    climate, system = ELSEWHERE.get(which, (None, which))
    answers = default_answers(place, system) | ({"climate": climate} if climate else {})
    assert path.read_text("utf-8") == render_plan(place, system, answers)
    assert len(PLANS) == 2 * len(ready_places()) + 2 * len(ELSEWHERE)


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

    workshop["room"] |= {"length": "50 m", "width": "45 m", "height": "16 m"}
    for width, depth in (("40 m", "15 m"), ("0.1 m", "0.04 m")):
        workshop["tank"] = [{"length": width, "width": width, "water_depth": depth, "shape": "rectangular"}]
        lines = elevation(plan_of(workshop))
        assert len({len(line) for line in lines[:-1]}) == 1


def test_ready_plans_are_whole(tmp_path):
    for path in PLANS:
        assert read_document(path)
        assert scene_of(read_plan(path)).network.designs == 1
