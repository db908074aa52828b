"""A table over latitude and longitude: where points stand, and what is refused in words."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.analysis.table_row import TableRow
from thermal.errors import OverwinterError
from thermal.report.answer_table import line_label
from thermal.report.charts import png
from thermal.report.map_chart import map_figure
from thermal.report.table_chart import left_out, table_chart


def row(plan="a", latitude=48.0, longitude=6.0, watts=900.0, **more):
    return TableRow(plan, f"{latitude}", latitude=latitude, longitude=longitude, heater_needed_w=watts, **more)


def test_each_place_is_a_point_with_its_value():
    rows = [
        row(latitude=40.0, watts=500.0),
        row(latitude=50.0, longitude=-3.0, watts=900.0),
        row(latitude=45.0, watts=None),
    ]
    axes = map_figure(rows, "heater_needed_w").axes[0]
    points, empty = axes.collections
    assert np.asarray(points.get_offsets()).tolist() == [[6.0, 40.0], [-3.0, 50.0]]
    assert points.get_array().tolist() == [500.0, 900.0]
    assert np.asarray(empty.get_offsets()).tolist() == [[6.0, 45.0]]


def test_plans_have_maps_of_their_own_with_one_scale():
    figure = map_figure([row(), row("b", watts=100.0)], "heater_needed_w")
    scales = [axes.collections[0].get_clim() for axes in figure.axes[:2]]
    assert scales == [(100.0, 900.0)] * 2
    assert png(figure).startswith(b"\x89PNG")  # without a warning of matplotlib, which would be an error here


@pytest.mark.parametrize(
    ("rows", "column", "words"),
    [
        ([row(latitude=None)], "heater_needed_w", "a position; the weather files state none"),
        ([row(watts=None)], "heater_needed_w", "no row has heater_needed_w"),
        ([row()], "plan", "is not a figure"),
        ([row()], "heater_neded_w", "did you mean 'heater_needed_w'"),
        ([row(str(number)) for number in range(7)], "heater_needed_w", "at most 6"),
        ([row(typical_cost=1.0, currency="EUR"), row(typical_cost=1.0, currency="USD")], "typical_cost", "EUR and USD"),
    ],
)
def test_what_cannot_be_drawn_is_refused_in_words(rows, column, words):
    with pytest.raises(OverwinterError, match=words):
        map_figure(rows, column)


def test_small_charts_have_one_line_for_each_plan_and_setting():
    rows = [
        row(
            plan,
            setting=f"room.air_changes={tightness}; tank.top=open",
            heater_needed_w_low=800.0,
            heater_needed_w_high=1000.0,
        )
        for plan in ("x/a.toml", "b")
        for tightness in ("tight", "gappy")
    ]
    figure = table_chart(rows, "heater_needed_w", "heater needed (W)")
    labels = [label.get_text() for label in figure.axes[0].get_yticklabels()]
    assert labels[:2] == ["a, air_changes=tight, top=open", "a, air_changes=gappy, top=open"]
    bands = [line.get_xdata().tolist() for line in figure.axes[0].lines if len(line.get_xdata()) == 2]
    assert bands == [[800.0, 1000.0]] * 4
    assert line_label(row("c")) == "c"
    assert left_out(rows) == ""
    assert "the first 40 of 41 plans and settings" in left_out([row(str(number)) for number in range(41)])
    assert table_chart([row(watts=None)], "heater_needed_w", "") is None
