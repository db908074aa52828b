"""Plans begun from answers: they read, they run, and what comes out is what such rooms do."""

from __future__ import annotations

import subprocess
import sys
import tomllib

import jsonschema
import numpy as np
import pytest

from tests import fuzz
from thermal import data
from thermal.analysis.plan_weather import scene_of
from thermal.errors import PlanError
from thermal.plan.reader import plan_of, schema
from thermal.plan.wizard import QUESTIONS, default_answers, ready_places, render_plan, room_templates


def begun(place, system="metric", **answers):
    return plan_of(tomllib.loads(render_plan(place, system, {**default_answers(place, system), **answers})))


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("place", sorted(room_templates()))
def test_every_place_makes_a_plan_whose_sides_close_its_room(place, system):
    plan = begun(place, system)
    assert data.citation(data.raw_table("places")[place]["source"])
    room = plan.room
    if room.temperature_c is None:
        inner = 2 * (room.length_m + room.width_m) * room.height_m + room.floor_m2
        assert sum(side.area_m2 for side in room.sides) == pytest.approx(inner, rel=0.01)
    assert 0.5 < plan.water_m3 < 2.0


def test_the_four_places_do_what_such_rooms_do():
    """Common practice, no source: a basement hardly needs heat at 10 degC, a bare shed most; a hut helps it."""
    kwh = {}
    for place in ready_places():
        plan = begun(place)
        case = scene_of(plan)
        kwh[place] = case.simulate(case.heaters(np.array([3000.0]))).heater_j[0].max() / 3.6e6
    assert kwh["basement"] == 0.0
    assert 200 < kwh["garage"] < 3000
    assert 200 < kwh["workshop"] < 3000
    assert 100 < kwh["shed"] < 3000
    bare = scene_of(
        plan_of({**tomllib.loads(render_plan("shed", "metric", default_answers("shed", "metric"))), "hut": None})
    )
    assert bare.simulate(bare.heaters(np.array([5000.0]))).heater_j[0].max() / 3.6e6 > 1.3 * kwh["shed"]


@pytest.mark.parametrize("place", sorted(room_templates()))
def test_editors_accept_what_we_write(place, workshop):
    """jsonschema, an outside validator, against the schema that `check --schema` prints."""
    jsonschema.Draft202012Validator.check_schema(schema())
    judge = jsonschema.Draft202012Validator(schema())
    for document in (workshop, tomllib.loads(render_plan(place, "us", default_answers(place, "us")))):
        assert list(judge.iter_errors(document)) == []
    workshop["tank"][0]["diametre"] = workshop["tank"][0].pop("diameter")
    assert any("diametre" in one.message for one in judge.iter_errors(workshop))


def test_answers_find_their_way_into_the_plan():
    plan = begun("garage", "us", floor="yellow perch, lettuce", heaters="300 W, 300 W", beds="0", price="0.31")
    assert plan.keep.species == ("yellow perch", "lettuce")
    assert plan.heater.units_w == (300.0, 300.0)
    assert plan.beds == ()
    assert plan.power.price == 0.31


def test_wrong_answers_are_refused_in_the_plan_files_words():
    with pytest.raises(PlanError, match="water_depth"):
        begun("garage", tank_depth="3 gal")
    with pytest.raises(PlanError, match="length"):
        begun("garage", room_size="big")


def test_hostile_answers_stay_text():
    plan = begun("garage", currency='U"\\n')
    assert plan.power.currency == 'U"\\n'


def test_the_command_writes_once_and_says_what_next(tmp_path):
    def call(*arguments, answers=""):
        return subprocess.run(
            [sys.executable, "-m", "thermal", "start", *arguments], cwd=tmp_path, capture_output=True, text=True,
            input=answers, timeout=60,
        )  # fmt: skip

    done = call("mine.toml", "--yes", "--place", "shed", "--answer", "tank_across=1.5 m")
    assert done.returncode == 0, done.stderr
    assert "overwinter run mine.toml" in done.stdout
    assert 'diameter = "1.5 m"' in (tmp_path / "mine.toml").read_text()
    assert "already exists" in call("mine.toml", "--yes").stderr
    assert "did you mean 'garage'" in call("b.toml", "--yes", "--place", "garge").stderr
    assert "did you mean 'tank_depth'" in call("b.toml", "--yes", "--answer", "tank_depht=1 m").stderr
    asked = call("c.toml", answers="\n" * len(QUESTIONS))
    assert asked.returncode == 0, asked.stderr
    assert "Number of grow beds" in asked.stdout


def test_what_grows_goes_into_the_plan():
    """With a minimum temperature as with species; "not named" names nothing, an unknown plant is refused."""
    assert begun("garage", floor="10 degC", plants="kale, mint").keep.species == ("kale", "mint")
    assert begun("garage", floor="10 degC", plants="kale").keep.floor_c == 10.0
    assert begun("garage", floor="koi, mint", plants="mint, kale").keep.species == ("koi", "mint", "kale")
    assert begun("garage", floor="10 degC").keep.species == ()
    with pytest.raises(PlanError, match="known species"):
        begun("garage", plants="kail")


@pytest.mark.parametrize(
    ("given", "said"),
    [(("floor=lettuce",), False), (("floor=koi, Mint",), False), (("floor=koi",), True), (("floor=10 degC",), True),
     (("floor=10 degC", "plants=kale"), False)],
)  # fmt: skip
def test_plants_named_with_the_fish_are_not_said_to_be_not_named(given, said, tmp_path):
    """`floor=lettuce` wrote the species lettuce below a head that said that no plants were named."""
    file = tmp_path / "plan.toml"
    options = [part for answer in given for part in ("--answer", answer)]
    code, _, err = fuzz.ended("start", str(file), "--yes", *options)
    assert code == 0, err
    head = file.read_text("utf-8").split("title =")[0]
    assert ("# - Plants in the beds: not named (" in head) is said
