"""A plan of an earlier version gets one line that its figures changed, and why."""

from __future__ import annotations

import pytest

from thermal.analysis.warnings import version_warnings
from thermal.errors import PlanError
from thermal.plan.reader import plan_of
from thermal.plan.wizard import default_answers, render_plan
from thermal.plan.written_for import FIGURES_SINCE, is_older


@pytest.mark.parametrize("version", ["", "0.3.0", "0.3", "0.1.12", "0.3.99"])
def test_older_versions(version):
    assert is_older(version)


@pytest.mark.parametrize("version", [FIGURES_SINCE, "0.4", "0.4.1", "0.10.0", "1.0"])
def test_newer_versions(version):
    assert not is_older(version)


def test_a_plan_without_the_key_is_told_once(workshop):
    assert version_warnings(plan_of(workshop)) == []
    del workshop["written_for"]
    (warning,) = version_warnings(plan_of(workshop))
    assert warning.code == "older-plan"
    assert "\n" not in warning.text
    assert "a version before 0.4.0" in warning.text
    (named,) = version_warnings(plan_of({**workshop, "written_for": "0.3.0"}))
    assert (
        "written for version 0.3.0. Its figures have changed: the heater is sized for a rare cold spell" in named.text
    )


@pytest.mark.parametrize("value", ["soon", "4", "0.4.0 beta", ""])
def test_other_words_are_refused(workshop, value):
    with pytest.raises(PlanError, match="written_for"):
        plan_of({**workshop, "written_for": value})


def test_start_writes_the_version():
    text = render_plan("garage", "metric", default_answers("garage", "metric"))
    assert f'written_for = "{FIGURES_SINCE}"' in text
