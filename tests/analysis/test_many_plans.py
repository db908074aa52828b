"""Many plans, climates and settings as rows: order, faults, executors, and what becomes one unit of work."""

from __future__ import annotations

import pickle
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

import pytest

from tests.cli.small_tables import TANK, short_climate
from thermal import answers
from thermal.analysis.table_question import Question, climate_names, plan_texts, sweeps
from thermal.analysis.table_row import TableRow
from thermal.analysis.verdict_results import InhabitantVerdict, Verdict
from thermal.analysis.work_unit import Job, setting_value, too_cold
from thermal.core.parallel import SerialExecutor
from thermal.errors import ClimateError, OverwinterError


@pytest.fixture
def places(tmp_path):
    return short_climate(tmp_path, "here"), short_climate(tmp_path, "there", None)


def test_one_row_for_each_plan_climate_and_setting_in_order(places):
    cold = TANK.replace('"2 degC"', '"-5 degC"')
    table = answers([TANK, cold], places, {"keep.floor": ["10 degC", "12 degC"]}, SerialExecutor(), samples=0)
    assert list(zip(table["plan"], table["setting"], table["climate"], strict=True)) == [
        (plan, f"keep.floor={floor} degC", place)
        for plan in ("plan 1", "plan 2")
        for floor in (10, 12)
        for place in places
    ]
    needed = table["heater_needed_w"]
    assert (needed[[2, 3]].to_numpy() > needed[[0, 1]].to_numpy()).all()
    assert (needed[4:].to_numpy() > needed[:4].to_numpy()).all()
    assert table["latitude"].notna().tolist() == [True, False] * 4
    assert table["key"].is_unique


def test_a_faulty_plan_has_a_row_for_each_climate_and_setting_and_the_others_go_on(places):
    faulty = TANK.replace("water_depth", "water_depht")
    table = answers([faulty, TANK], places, {"keep.floor": ["10 degC", "warm"]}, SerialExecutor(), samples=0)
    assert (table["fault"] != "").tolist() == [True] * 4 + [False] * 2 + [True] * 2
    assert table["fault"].str.contains("did you mean 'water_depth'").tolist() == [True] * 4 + [False] * 4
    assert "keep, floor" in table["fault"][6]
    without = table[table["fault"] != ""]
    assert (without["verdict"] == "none").all()
    assert without.select_dtypes("number").isna().all().all()


def test_a_setting_that_the_plan_has_no_place_for_is_told_with_its_key(places):
    [fault] = answers([TANK], places[:1], {"bed.fill": ["gravel"]}, SerialExecutor(), samples=0)["fault"]
    assert fault == "--set bed.fill: sets 'bed.fill', but this plan has no [[bed]]"


def test_any_executor_gives_the_same_table(places):
    asked = [TANK], places, {"keep.floor": ["10 degC", "11 degC", "12 degC"]}
    expected = answers(*asked, SerialExecutor(), samples=0)
    with ThreadPoolExecutor(2) as threads:
        assert answers(*asked, threads, samples=0).equals(expected)
    with ProcessPoolExecutor(1) as pool:
        assert answers(*asked, pool, samples=0).equals(expected)
    assert answers(*asked, samples=0).equals(expected)


def test_units_are_plain_small_and_of_one_shape_and_climate(places):
    side = '[[room.side]]\nname = "all"\narea = "40 m2"\nbuild = "studs with batts"\n'
    with_air = TANK.replace('temperature = "2 degC"\n', side)
    question = Question(
        plan_texts([TANK, with_air]), places, sweeps({"keep.floor": [f"{floor} degC" for floor in range(5, 18)]})
    )
    units = list(question.units())
    assert sum(len(unit.jobs) for unit in units) == question.rows == 52
    for unit in units:
        assert len({(job.climate, "temperature" in job.text) for job in unit.jobs}) == 1
    assert max(len(pickle.dumps(unit)) for unit in units) < 10_000
    assert b"numpy" not in pickle.dumps(units)
    assert b"pandas" not in pickle.dumps(units)


def test_the_key_of_a_row_follows_plan_climate_setting_and_samples(tmp_path):
    place = short_climate(tmp_path)

    def key(text=TANK, samples=20, **sets):
        [key] = Question(plan_texts([text]), (place,), sweeps(sets), samples).row_keys()
        return key

    keys = {key(), key(TANK + "\n"), key(samples=0), key(floor=[3]), key()}
    assert len(keys) == 4
    before = key()
    (tmp_path / "short.toml").write_text('name = "moved"\ntimezone = "UTC"\n')
    from thermal.analysis.table_question import _file_hash

    _file_hash.cache_clear()  # one run reads a file once
    assert key() != before


def test_plans_and_climates_of_folders_and_globs(tmp_path):
    for name in ("a.toml", "b.toml", "c.txt"):
        (tmp_path / name).write_text(TANK)
    places = tmp_path / "places"
    places.mkdir()
    short_climate(places, "one"), short_climate(places, "two")
    named = [plan.name for plan in plan_texts([tmp_path, tmp_path / "?.toml", "garage-us"])]
    assert named == [str(tmp_path / "a.toml"), str(tmp_path / "b.toml"), "garage-us"]
    assert climate_names([places, f"{places}/o*.csv"]) == (f"{places}/one.csv", f"{places}/two.csv")
    assert climate_names(["golden-co", "g*"]) == ("golden-co",)
    with pytest.raises(ClimateError, match="did you mean 'golden-co'"):
        climate_names(["golden"])
    with pytest.raises(ClimateError, match="no such weather file"):
        climate_names([tmp_path / "none.csv"])
    with pytest.raises(OverwinterError, match="no such plan file"):
        plan_texts([tmp_path / "none.toml"])
    with pytest.raises(OverwinterError, match="no such file"):
        plan_texts([places / "x*.toml"])


@pytest.mark.parametrize(
    ("text", "value"),
    [("tight", "tight"), ("0.5", 0.5), ("10 degC", "10 degC"), ("[1, 2]", [1, 2]), ("true", True), ("'2'", "2")],
)
def test_a_value_is_read_as_in_a_plan(text, value):
    assert setting_value(text) == value


def test_another_climate_leaves_out_what_belongs_to_the_plans_own_place():
    text = TANK.replace("[keep]", 'coldest_night = "-30 degC"\nsun = false\n[keep]')
    assert Job("", text, ".", "x.csv", (), "/x.csv").document()["climate"] == {"file": "/x.csv", "sun": False}
    assert Job("", text, ".", "", ()).document()["climate"]["coldest_night"] == "-30 degC"


def test_who_is_too_cold_in_words():
    def inhabitant(name, water_ok, air_ok):
        return InhabitantVerdict(name, "", water_ok, air_ok, 0, 0, 0, 0, 0, 0, None, None, 0, "2016")

    verdict = Verdict(
        (inhabitant("perch", False, None), inhabitant("kale", True, False), inhabitant("mint", True, True))
    )
    assert too_cold(verdict) == "water too cold for perch; air too cold for kale"
    assert TableRow("a", "b").verdict == "none"
