"""Figures in the words of the trade: R-13, whole money, differences in the reader's degrees."""

from __future__ import annotations

import re

import pytest

from tests import fuzz
from thermal.core import quantities
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.report.table_data import money, price_text


@pytest.mark.parametrize("written", ["R-13", "R-5.6", "R-57"])
@pytest.mark.parametrize("system", ["us", "imperial"])
def test_an_r_value_is_shown_as_it_was_written(written, system):
    si = quantities.parse(written, quantities.RESISTANCE)
    for decimals in (0, 1, 2):
        assert UNIT_SYSTEMS[system].text("resistance", si, decimals) == written


@pytest.mark.parametrize(
    ("value", "currency", "shown"),
    [
        (1234.5, "$", "$1,234"), (20.49, "EUR", "20 EUR"), (19.5, "USD", "19.50 USD"), (19.999, "$", "$20"),
        (-3.0, "€", "-€3.00"), (40.0, "kr", "40 kr"), (None, "$", "— $"),
    ],
)  # fmt: skip
def test_money_is_shown_in_the_currency_as_written(value, currency, shown):
    assert price_text(value, currency) == shown


def test_money_of_twenty_and_more_has_no_cents():
    assert all("." not in money(value) for value in (20.0, 20.01, 99.99, -250.75))
    assert money(9.99) == "9.99"


@pytest.mark.parametrize("system", ["us", "imperial"])
def test_climate_show_is_in_the_reader_s_units(tmp_path, monkeypatch, system):
    monkeypatch.chdir(tmp_path)
    _, metric, _ = fuzz.ended("climate", "show", "springfield-il")
    code, out, err = fuzz.ended("climate", "show", "springfield-il", "--units", system)
    assert code == 0, err
    assert not re.findall(r"°C|\d (?:m|km)\b", out)
    find = r"cold spell\s+down\s+to\s+(-?[\d.]+)\s+°"
    celsius, fahrenheit = (float(re.search(find, text)[1]) for text in (metric, out))
    assert fahrenheit == pytest.approx(1.8 * celsius + 32.0, abs=0.15)


def test_an_unknown_unit_system_is_refused_by_climate_show():
    code, _, err = fuzz.ended("climate", "show", "springfield-il", "--units", "metrics")
    assert code == 2
    assert "did you mean 'metric'" in err
