from __future__ import annotations

import doctest

import pytest

import thermal
from thermal import api
from thermal.errors import ClimateError


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
