"""Charts of weather files of any length."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from thermal.report.charts import blank_figure, date_ticks, png


@pytest.mark.parametrize("hours", [*range(6, 240, 5), *range(240, 366 * 24, 100)])
def test_every_span_of_time_has_ticks(hours):
    """A month's file that ends in its coldest days shows less than a week; matplotlib's default warned of it."""
    begin = datetime(2016, 12, 20)
    assert 2 <= len(date_ticks().tick_values(begin, begin + timedelta(hours=hours))) <= 10


def test_a_sign_that_no_font_has_is_drawn_without_a_warning():
    figure = blank_figure(2.0, 1.0)
    figure.subplots().set_title("tank \U0005e931")
    assert png(figure).startswith(b"\x89PNG")
