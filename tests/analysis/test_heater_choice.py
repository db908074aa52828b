"""What `heater` says of circuits, reserve and the power needed, on whole plans; each finding named is a test."""

from __future__ import annotations

import io
import math
import re

import numpy as np
import pytest
from rich.console import Console

from tests.analysis.quick import assess
from tests.analysis.test_warnings import CALM, WINTER
from thermal.analysis.circuit_lost import without_pump_and_lights
from thermal.analysis.comparison_results import Uncertainty
from thermal.core.display_units import UNIT_SYSTEMS, limit_text, watts_number
from thermal.report import sentences
from thermal.report.circuit_text import circuits_sentence
from thermal.report.json_csv import assessment_json
from thermal.report.terminal import print_heater

SMALL = {**WINTER, **CALM, "room.temperature": "-2.12 degC", "keep.floor": "3 degC"}  # some 51 W


def shown(assessment) -> str:
    """What `heater` prints, its white space squeezed."""
    text = io.StringIO()
    print_heater(assessment, Console(file=text, width=160))
    return re.sub(r"\s+", " ", text.getvalue())


def texts(assessment) -> dict[str, str]:
    return {warning.code: warning.text for warning in assessment.warnings}


@pytest.fixture(scope="module")
def demo(case_with):
    return assess(case_with(WINTER))


@pytest.fixture(scope="module")
def small(case_with):
    return assess(case_with(SMALL))


def test_the_answer_is_a_layout(demo):
    content = assessment_json(demo)
    circuits, first = content["circuits"], content["circuit"]
    assert sum(circuits[0]["heaters_w"]) < circuits[0]["load_w"]  # pump and lights
    assert all(circuit["load_w"] <= circuit["limit_w"] == 1440.0 for circuit in circuits)
    assert sorted(heater for circuit in circuits for heater in circuit["heaters_w"]) == sorted(content["heater"]["buy"])
    assert (first["name"], first["limit_w"], first["load_w"]) == ("15 A 120 V", 1440.0, circuits[0]["load_w"])
    assert first["fits"]
    assert not first["assumed"]
    said = shown(demo)
    for number, circuit in enumerate(circuits):
        assert f"circuit {number + 1} (15 A 120 V" in said
        assert f"{math.ceil(circuit['load_w']):,} of 1,440 W" in said
        assert f"{math.ceil(circuit['load_w']):,} of 1,440 W" in circuits_sentence(demo)


@pytest.mark.parametrize(("units", "circuit"), [("us", "15 A 120 V"), ("metric", "16 A 230 V")])
def test_an_assumed_circuit_is_said(case_with, units, circuit):
    assessment = assess(case_with({**WINTER, "power": {"price": 0.2}, "show": {"units": units}}))
    content = assessment_json(assessment)
    assert (content["circuit"]["name"], content["circuit"]["assumed"]) == (circuit, True)
    assert content["circuits"][0]["breaker"] == circuit
    said = f"The plan gives no circuit, so {circuit} is assumed"
    assert said in shown(assessment)
    assert said in circuits_sentence(assessment)


def test_finding_2000_w_on_a_10_a_circuit(case_with):
    """It said "2025 of 960 W allowed ... use a second one"; no 10 A circuit carries a heater of 2,000 W."""
    assessment = assess(case_with({**WINTER, "heater.units": ["2000 W"], "power.circuit": "10 A 120 V"}))
    assert assessment.heater.coldest_c >= 10.0  # enough heat, so only the circuit speaks against it
    assert max(assessment.heater.buy_w) <= 960.0
    assert sum(assessment.heater.buy_w) >= assessment.heater.needed_w
    assert all(circuit.load_w <= circuit.limit_w == 960.0 for circuit in assessment.heater.circuits)
    assert assessment.circuit.fits is False
    warning = texts(assessment)["circuit"]
    assert "Your heater of 2,000 W is too large: a 10 A 120 V circuit may carry 960 W" in warning
    assert "another circuit of this kind does not help" in warning
    assert "no circuit of the plan may carry it" in sentences.verdict(assessment)


def test_lights_that_exceed_the_first_circuit_are_said(case_with):
    assessment = assess(case_with({**WINTER, "room.lights.power": "1.6 kW", "keep.floor": "20 degC"}))
    assert assessment.circuit.fits is False
    assert assessment.heater.buy_w
    assert assessment.heater.circuits[0].heaters_w == ()
    assert "more than the first circuit (15 A 120 V) may carry for hours, 1,440 W" in texts(assessment)["circuit"]


def test_a_circuit_lost_is_colder_than_one_heater_failed_where_it_carries_both(case_with):
    """All heaters on one circuit: with its breaker the pump, the lights and all heat stop."""
    assessment = assess(case_with({**WINTER, "power.circuit": "16 A 230 V"}))
    one = assessment.heater
    assert len(one.circuits) == 1
    assert one.one_circuit_lost_c < one.one_failed_c
    assert "If one circuit stays off, the water falls to 0.0 °C and freezes." in texts(assessment)["one-circuit"]
    case = case_with({**WINTER, "power.circuit": "16 A 230 V"})
    still = without_pump_and_lights(case.plan)
    assert (still.electric_w, case.plan.electric_w > 0) == (0.0, True)


def test_losing_the_first_circuit_stops_pump_lights_and_other_devices(case_with):
    """A device of 300 W warms the water of a room at 5 degC by some kelvins; without power it is as if it were not."""
    lost = []
    for power in ("300 W", "0 W"):
        gain = [{"name": "chamber", "power": power, "where": "water"}]
        case = case_with({**WINTER, "room.temperature": "5 degC", "gain": gain})
        lost.append(assess(case).heater.one_circuit_lost_c)
    warm = assess(case_with({**WINTER, "room.temperature": "5 degC", "gain": [{**gain[0], "power": "300 W"}]}))
    assert lost[0] == pytest.approx(lost[1], abs=1e-6)
    assert warm.coldest.coldest_c > lost[0] + 1.0


def test_a_lost_circuit_leaves_the_heaters_of_the_others(case_with):
    """Two equal heaters, each on a circuit of its own: losing the second is one heater failed, the first stops more."""
    case = case_with({**WINTER, "power.circuit": ["16 A 230 V", "16 A 230 V"]})
    heater = assess(case).heater
    assert [len(circuit.heaters_w) for circuit in heater.circuits] == [1, 1]
    half = case.simulate(case.heaters(np.array([heater.installed_w[0]])))
    assert heater.one_circuit_lost_c <= half.coldest_c.min() + 1e-6
    assert (
        heater.one_circuit_lost_c
        > assess(case_with({**WINTER, "power.circuit": "16 A 230 V"})).heater.one_circuit_lost_c
    )


def test_finding_a23_heaters_to_buy_are_never_short_of_reserve(demo, small):
    """ "Run 100 % of the coldest hour: little is left in reserve" stood beside 2 x 50 W for 50 W: at the thermostat."""
    for assessment in (demo, small):
        heater = assessment.heater
        held_w = heater.peak_duty * sum(heater.buy_w)  # at the thermostat, which is what the old warning read
        assert held_w > heater.needed_w
        assert "high-duty" not in texts(assessment)
        assert heater.reserve == pytest.approx(sum(heater.buy_w) / heater.needed_w - 1.0)
        assert heater.reserve >= 0.2
        assert f"power in reserve {100 * heater.reserve:.0f} % of the heater needed" in shown(assessment)


def test_heaters_owned_with_less_reserve_than_asked_for_are_said(case_with):
    assessment = assess(case_with({**WINTER, "heater.units": ["700 W", "700 W"]}))
    needed = assessment.heater.needed_w
    assert needed < 1400.0 < 1.35 * needed
    assert f"only {100 * (1400.0 / needed - 1):.0f} % above the" in texts(assessment)["high-duty"]


def test_finding_a25_needed_watts_round_up_and_just_below_is_said(small):
    """At least 50 W was shown where 51.58 were needed, and water of 2.98 degC "fell to 3.0 degC"."""
    heater = small.heater
    assert 50.0 < heater.needed_w < 52.0
    assert "At least 60 W is needed" in sentences.verdict(small)
    assert "heater needed 60 W" in shown(small)
    assert heater.buy_w == (50.0, 50.0)
    assert 2.95 < heater.one_failed_c < 3.0
    assert "falls to just below 3.0 °C" in texts(small)["one-failed"]
    assert "one heater failed just below 3.0 °C" in shown(small)


@pytest.mark.parametrize("power", [0.0, 0.3, 9.99, 10.0, 51.58, 1000.0, 1000.4, 2939.9])
def test_watts_shown_are_enough_and_limits_are_not_exceeded(power):
    number = float(watts_number(power).replace(",", ""))
    assert power <= number < power + 10.0
    assert power - 1.0 < float(limit_text(power).removesuffix(" W").replace(",", "")) <= power


def test_just_below_only_where_it_would_be_shown_as_the_minimum():
    units = UNIT_SYSTEMS["metric"]
    assert units.below(2.98, 3.0) == "just below 3.0 °C"
    assert units.below(2.9, 3.0) == "2.9 °C"
    assert units.below(3.0, 3.0) == units.below(3.01, 3.0) == "3.0 °C"


def test_finding_a22_one_sentence_says_why_the_peak_exceeds_the_heater_needed(demo, case_with):
    """ "Least heater 2,940 W" and "when the heater gives 3,289 W" stood unexplained in one page."""
    assert demo.season.design_w > demo.heater.needed_w + 10.0
    why = sentences.why_peak_differs(demo)
    assert f"more than the {watts_number(demo.heater.needed_w)} W needed at likely values" in why
    assert "thermostat setting of 11.0 °C" in why
    assert "minimum of 10.0 °C" in why
    none = assess(case_with({**WINTER, "room.temperature": "20 degC"}))
    assert sentences.why_peak_differs(none) == ""


def test_a_heater_that_only_some_samples_need_is_said_so(case_with):
    """No heater at likely values, 76 W in one sample of ten: the sentence may not say yes and stop there."""
    gain = {"name": "old pump", "power": "680 W", "where": "water"}
    case = case_with({**WINTER, "keep.floor": "2 degC", "gain": [gain]})
    band = Uncertainty(60, 0, {}, 0.9, (50.0, 50.0), (), 76.0, None, None, 0.2)
    assessment = assess(case, band)
    assert assessment.heater.needed_w == 0.0
    assert sum(assessment.heater.buy_w) >= 76.0
    assert "Most likely without a heater" in sentences.verdict(assessment)
    assert "To be safe in 9 of 10 samples, buy 2 × 50 W" in sentences.verdict(assessment)
    assert "Most likely" not in sentences.verdict(assess(case))
