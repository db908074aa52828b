from __future__ import annotations

import contextlib
import math
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal import units

TABLE = (files("thermal") / "tables" / "units.txt").read_text("utf-8")
OURS = [
    name
    for line in TABLE.splitlines()
    if line and line[0] != "#" and "- = " not in line
    for place, name in enumerate(part.strip() for part in line.split(" = "))
    if place != 1
]


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        # NIST SP 811 (2008) appendix B.9: gallon, foot, inch, square foot
        ("250 gal", units.VOLUME, 250 * 3.785411784e-3),
        ("66 imp gal", units.VOLUME, 66 * 4.54609e-3),
        ("4 ft", units.LENGTH, 4 * 0.3048),
        ("4 ft 6 in", units.LENGTH, 4.5 * 0.3048),
        ("400 ft2", units.AREA, 400 * 0.3048**2),
        ("50 degF", units.TEMPERATURE, 10.0),
        ("-40 F", units.TEMPERATURE, -40.0),
        ("1500 L/h", units.VOLUME_FLOW, 1.5 / 3600),
        ("60 %", units.SHARE, 0.6),
        ("1 kW", units.POWER, 1000.0),
        # NIST SP 811 B.8: 1 ft2 h degF/Btu_IT = 0.1761102 K m2/W
        ("R-10", units.RESISTANCE, 1.761102),
        ("RSI-1.8", units.RESISTANCE, 1.8),
    ],
)
def test_written_quantities(text, kind, si):
    assert units.parse(text, kind) == pytest.approx(si, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("250", units.VOLUME, "has no unit"),
        (250, units.VOLUME, "has no unit"),
        ("4 ft2", units.LENGTH, "an area, but a length is due"),
        ("1,2 m", units.LENGTH, "comma"),
        ("5 parsnips", units.LENGTH, "not known"),
        ("about a metre", units.LENGTH, "not a quantity"),
        ("nan m", units.LENGTH, "not a quantity"),
        ("1e999 m", units.LENGTH, "finite"),
        ("9" * 200 + " m", units.LENGTH, "characters long"),
    ],
)
def test_what_is_refused(text, kind, said):
    with pytest.raises(ValueError, match=said):
        units.parse(text, kind)


@given(st.floats(-50, 60))
def test_fahrenheit_goes_there_and_back(celsius):
    shown = units.SHOWN["us"].value("temperature", celsius)
    assert units.parse(f"{shown:.10f} degF", units.TEMPERATURE) == pytest.approx(celsius, abs=1e-8)


@given(st.text(max_size=90))
def test_no_text_does_anything_but_parse_or_refuse(text):
    for kind in (units.LENGTH, units.TEMPERATURE, units.RESISTANCE, units.SHARE):
        with contextlib.suppress(ValueError):
            assert math.isfinite(units.parse(text, kind))


@pytest.mark.parametrize("unit", OURS)
def test_our_units_are_those_of_pint(unit):
    """Against pint's own definitions, for every unit and every other name of it in tables/units.txt."""
    ours, theirs = (units.registry(whole).Quantity(100.0, unit).to_root_units() for whole in (False, True))
    assert units.registry(True).Quantity(ours.magnitude, str(ours.units)).m_as(theirs.units) == pytest.approx(
        theirs.magnitude, rel=1e-6
    )


def test_other_units_of_pint_are_known():
    """A furlong is 660 feet (NIST SP 811 appendix B.6, chain and rod; from memory)."""
    assert units.parse("1 furlong", units.LENGTH) == pytest.approx(660 * 0.3048, rel=1e-5)


def test_no_minus_zero_is_shown():
    assert units.SHOWN["metric"].text("temperature", -1e-9) == "0.0 °C"
