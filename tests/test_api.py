from __future__ import annotations

import doctest
from dataclasses import FrozenInstanceError

import pytest

import thermal
from tests.short_plan import write_short_plan
from thermal import api
from thermal.errors import ClimateError, OverwinterError, WattsError


def test_the_examples_hold():
    found = doctest.testmod(api)
    assert found.attempted >= 7
    assert found.failed == 0


def test_every_public_name_is_there_and_documented():
    for name in thermal.__all__:
        assert getattr(thermal, name)
        assert name == "__version__" or getattr(thermal, name).__doc__


def test_a_winter_that_is_not_there_is_refused():
    with pytest.raises(ClimateError, match="it has 1997, 1998, "):
        thermal.simulate(thermal.demo_plan(), 500.0, winter=1949)


@pytest.mark.parametrize("watts", [-5, float("nan"), float("inf"), "300 W", True])
def test_watts_that_no_heater_has_are_refused(watts):
    """FINDINGS A 34: -5 W was accepted, NaN ended in a ClosureError."""
    with pytest.raises(WattsError, match="0 or more"):
        thermal.simulate("garage-metric", watts)


def test_a_file_serves_as_a_plan_and_its_answer_is_small_and_frozen(tmp_path):
    """FINDINGS A (c): a path ended in AttributeError, the repr had thousands of characters, nothing was tabular."""
    path = write_short_plan(tmp_path)
    hours = thermal.simulate(str(path), 300.0)
    assert hours.index.name == "local_standard_time"
    assert hours["heater_w"].between(0.0, 300.5).all()
    found = thermal.answer(path)
    assert len(repr(found)) < 200
    assert f"{found.title!r}: heater needed " in repr(found)
    with pytest.raises(FrozenInstanceError):
        found.title = "another"
    assert found.kwh is None  # five weeks are no winter
    assert found.to_frame().loc[found.title, "heater_needed_w"] == found.heater_needed_w
    assert found.plot().axes
    assert thermal.plot_winter(found).axes
    assert thermal.plot_months(found).axes
    with pytest.raises(OverwinterError, match="at least 20"):
        thermal.answer(path, samples=3)
