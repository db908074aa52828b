"""What sun and sky do to a plan, against the plan that leaves them out."""

from __future__ import annotations

import pytest

from thermal.analysis.assessment import assess
from thermal.report import sentences
from thermal.report.json_csv import assessment_json

QUICK = {"climate.winters": [2016], "climate.coldest_night": "none"}


def test_it_is_the_difference_to_the_plan_without_them(case_with):
    counted, bare = (assess(case_with({**QUICK, "climate.sun": on, "climate.sky": on})) for on in (True, False))
    effect = counted.sun_effect
    assert bare.sun_effect is None
    assert effect.heater_w == pytest.approx(counted.heater.needed_w - bare.heater.needed_w, abs=2.0)
    kwh = [one.season.winter_costs[one.season.median].kwh for one in (counted, bare)]
    assert effect.kwh == pytest.approx(kwh[0] - kwh[1], abs=0.01 * kwh[0])
    assert effect.kwh > 0.0  # a file without sun: the sky alone
    said = " ".join(sentences.assumptions(counted))
    assert f"radiated to the sky changes the heater needed by {effect.heater_w:+,.0f} W" in said
    assert assessment_json(counted)["sun_and_sky"] == {"heater_w": effect.heater_w, "kwh": effect.kwh}
