"""What the ready plans answer: as README says, and alike in metres and in feet."""

from __future__ import annotations

import pytest

from tests.docs import ready_plans
from tests.docs.markers import README, generated
from tests.test_readme import same_words_and_figures
from thermal import demo_plan
from thermal.analysis.heater_choice import choose_heater
from thermal.analysis.plan_weather import scene_of
from thermal.plan.example_plans import example_path
from thermal.plan.reader import read_plan
from thermal.plan.wizard import ready_places

pytestmark = pytest.mark.no_cover  # other tests cover these lines; tracing adds half as much again


def test_ready_plans_give_what_readme_says():
    same_words_and_figures(generated(README, ready_plans.NAME), ready_plans.lines(), 0.15)


@pytest.mark.parametrize("place", sorted(ready_places()))
def test_ready_plans_agree_in_metres_and_feet(place):
    """Within a tenth: the usual sizes in feet differ a little."""
    paths = (example_path(f"{place}-{system}") for system in ("metric", "us"))
    needed_w = [choose_heater(scene_of(read_plan(path)))[0].needed_w for path in paths]
    assert needed_w[1] == pytest.approx(needed_w[0], rel=0.1)


def test_the_demo_names_what_its_title_promises():
    """ "Perch and lettuce" named no species, so its answer judged "plants (not named)"."""
    plan = demo_plan()
    assert plan.title.startswith("Perch and lettuce")
    assert [species.name for species in plan.keep.limits] == ["yellow perch", "lettuce"]
    assert plan.keep.floor_c == 10.0
