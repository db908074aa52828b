"""The further questions of README: each is answered in words and as JSON by one plan that asks them all."""

from __future__ import annotations

import json

import pytest

from tests.analysis.quick import assess
from tests.docs.markers import README
from thermal.report.json_csv import assessment_json
from thermal.report.question_json import QUESTION_KEYS
from thermal.report.question_text import question_sentences

ASKED = {
    "climate.winters": [2016], "climate.coldest_night": "none", "keep.species": ["koi", "lettuce"],
    "room.temperature": "2 degC", "room.night_temperature": "-4 degC", "tank.top": "floating foam",
    "tank.top_share": "85 %", "pump.duty": "10 min every hour", "water.start_temperature": "4 degC",
    "heater.cut_out": "11 degC", "bed.front": "house", "room.house_temperature": "20 degC",
    "tank.buried_depth": "0.5 m", "pipe": [{"name": "return pipe", "length": "8 m", "diameter": "40 mm"}],
}  # fmt: skip
ANSWERS = {  # number of the question: how its sentence begins, and what it says somewhere
    26: ("Warm-up of newly filled water from 4.0 °C to 10.0 °C", "in 24 h from every start"),
    27: ("Warm-up", "in an hour"),
    29: ("Sinking tanks or beds into the floor, over standing on it, changes the heater needed", "kWh"),
    38: ("Filter bacteria", "Stop feeding koi below 10 °C"),
    40: ("The opening in the cover changes the heater needed", "kWh"),
    42: ("If a heater sticks on, the water warms to", "without it)"),
    44: ("The room is at -4.0 °C at night and 2.0 °C by day.", "rises and falls"),
    45: ("The sides of tanks and beds that face the house change the heater needed", "kWh"),
    48: ("The pauses of the pump change the heater needed", "kWh"),
    49: ("return pipe in air down to -4.0 °C", "heat cable"),
}


@pytest.fixture(scope="module")
def asked(case_with):
    return assess(case_with(ASKED))


@pytest.mark.parametrize("number", ANSWERS)
def test_each_question_has_its_sentence_and_its_row(asked, number):
    begins, says = ANSWERS[number]
    (sentence,) = [text for text in question_sentences(asked) if text.startswith(begins)]
    assert says in sentence
    (row,) = [line for line in README.read_text("utf-8").splitlines() if line.startswith(f"| {number}. ")]
    assert "| `overwinter" in row


def test_json_has_every_answer(asked):
    found = json.loads(json.dumps(assessment_json(asked)))
    assert [key for key in QUESTION_KEYS if not found[key]] == [
        "frozen_beds", "barrels", "drying", "hut_air",  # no still bed; given air
    ]  # fmt: skip
    assert found["opening"]["kwh"] > 0.0
    assert found["facing_sides"]["kwh"] < 0.0
    assert found["heater"]["stuck_on_c"] < found["heater"]["stuck_on_unguarded_c"]
    assert found["frozen_pipes"][0]["cable_w_per_m"] > 0.0
    assert found["feeding"]["months"][0]["nitrification"] < 0.5
