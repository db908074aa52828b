"""Every path of heat has its group, and the groups add up to what the paths do."""

from __future__ import annotations

import pytest

from thermal.analysis.heat_groups import (
    AIR,
    BOTTOM,
    CHANGE,
    GAINS,
    HOUSE,
    SIDES,
    STORED,
    TOP,
    group_sums,
    legend_order,
    month_groups,
    room_group,
    water_group,
)
from thermal.analysis.results import Month


@pytest.mark.parametrize(
    ("path", "group"),
    [
        ("tank walls", SIDES), ("pipes", SIDES), ("bed surface convection", TOP), ("tank surface longwave", TOP),
        ("bed bottom", BOTTOM), ("tank evaporation", AIR), ("make-up water", AIR), ("water change", CHANGE),
        ("pump", GAINS), ("lights", GAINS), ("stored in water", STORED),
    ],
)  # fmt: skip
def test_paths_out_of_the_water(path, group):
    assert water_group(path) == group


def test_paths_out_of_the_room_follow_what_a_side_faces(case_with):
    plan = case_with({"climate.winters": [2016]}).plan
    faces = {side.faces: side.name for side in plan.room.sides}
    assert room_group(faces["outdoors"], plan) == SIDES
    assert room_group(faces["attic"], plan) == TOP
    assert room_group(faces["house"], plan) == HOUSE
    named = {
        "thermal bridges": SIDES,
        "ground": BOTTOM,
        "air change": AIR,
        "radiation to the sky": TOP,
        "stored": STORED,
    }
    assert {path: room_group(path, plan) for path in named} == named


def test_groups_add_up_and_stand_in_one_order(case_with):
    plan = case_with({"climate.winters": [2016]}).plan
    paths = {"pump": -25.0, "tank evaporation": 40.0, "tank walls": 300.0, "bed walls": 100.0, "tank bottom": 0.0}
    sums = group_sums(paths, plan, "water")
    assert sums == {SIDES: 400.0, BOTTOM: 0.0, AIR: 40.0, GAINS: -25.0}
    assert list(sums) == [SIDES, BOTTOM, AIR, GAINS]


def test_legends_name_the_groups_from_the_top_of_the_stack_down(case_with):
    plan = case_with({"climate.winters": [2016]}).plan
    paths = {"tank walls": 300.0, "tank bottom": 90.0, "tank evaporation": 40.0, "pump": -25.0, "stored in water": 0.1}
    months = month_groups([Month("2016-10", 100.0, 1.0, paths, {})], plan)
    assert legend_order(months) == [AIR, BOTTOM, SIDES, GAINS]  # what is stored is too little to see
