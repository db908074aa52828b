from __future__ import annotations

import contextlib
import math
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from thermal.core import quantities
from thermal.core.display_units import UNIT_SYSTEMS

TABLE = (files("thermal") / "data" / "units.txt").read_text("utf-8")
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
        ("250 gal", quantities.VOLUME, 250 * 3.785411784e-3),
        ("66 imp gal", quantities.VOLUME, 66 * 4.54609e-3),
        ("4 ft", quantities.LENGTH, 4 * 0.3048),
        ("4 ft 6 in", quantities.LENGTH, 4.5 * 0.3048),
        ("400 ft2", quantities.AREA, 400 * 0.3048**2),
        ("50 degF", quantities.TEMPERATURE, 10.0),
        ("-40 F", quantities.TEMPERATURE, -40.0),
        ("1500 L/h", quantities.VOLUME_FLOW, 1.5 / 3600),
        ("60 %", quantities.SHARE, 0.6),
        ("1 kW", quantities.POWER, 1000.0),
        # NIST SP 811 B.8: 1 ft2 h degF/Btu_IT = 0.1761102 K m2/W
        ("R-10", quantities.RESISTANCE, 1.761102),
        ("RSI-1.8", quantities.RESISTANCE, 1.8),
    ],
)
def test_written_quantities(text, kind, si):
    assert quantities.parse(text, kind) == pytest.approx(si, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("250", quantities.VOLUME, "has no unit"),
        (250, quantities.VOLUME, "has no unit"),
        ("4 ft2", quantities.LENGTH, "an area, but a length is needed"),
        ("1,2 m", quantities.LENGTH, "comma"),
        ("5 parsnips", quantities.LENGTH, "unknown unit"),
        ("about a metre", quantities.LENGTH, "not a quantity"),
        ("nan m", quantities.LENGTH, "not a quantity"),
        ("1e999 m", quantities.LENGTH, "finite"),
        ("9" * 200 + " m", quantities.LENGTH, "characters long"),
    ],
)
def test_what_is_refused(text, kind, said):
    with pytest.raises(ValueError, match=said):
        quantities.parse(text, kind)


@given(st.floats(-50, 60))
def test_fahrenheit_goes_there_and_back(celsius):
    shown = UNIT_SYSTEMS["us"].value("temperature", celsius)
    assert quantities.parse(f"{shown:.10f} degF", quantities.TEMPERATURE) == pytest.approx(celsius, abs=1e-8)


@given(st.text(max_size=90))
def test_no_text_does_anything_but_parse_or_refuse(text):
    for kind in (quantities.LENGTH, quantities.TEMPERATURE, quantities.RESISTANCE, quantities.SHARE):
        with contextlib.suppress(ValueError):
            assert math.isfinite(quantities.parse(text, kind))


@pytest.mark.parametrize("unit", OURS)
def test_our_units_are_those_of_pint(unit):
    """Against pint's own definitions, for every unit and every other name of it in tables/units.txt."""
    ours, theirs = (quantities.registry(whole).Quantity(100.0, unit).to_root_units() for whole in (False, True))
    assert quantities.registry(True).Quantity(ours.magnitude, str(ours.units)).m_as(theirs.units) == pytest.approx(
        theirs.magnitude, rel=1e-6
    )


@pytest.mark.parametrize(("si", "unit"), [(si, unit) for si, units in quantities.USUAL.items() for unit in units])
def test_the_usual_units_are_those_of_pint(si, unit):
    pint_registry = quantities.registry(True)
    spelled = unit.replace("²", "2").replace("m2", "m**2").replace("m3", "m**3").replace("ft2", "ft**2")
    one, zero = quantities.USUAL[si][unit]
    for number in (0.0, 1.0, -40.0, 123.4):
        expected = pint_registry.Quantity(number, pint_registry.Unit(spelled)).to(si).magnitude
        assert number * one + zero == pytest.approx(expected, rel=1e-12, abs=1e-12)


def test_other_units_of_pint_are_known():
    """A furlong is 660 feet (NIST SP 811 appendix B.6, chain and rod; from memory)."""
    assert quantities.parse("1 furlong", quantities.LENGTH) == pytest.approx(660 * 0.3048, rel=1e-5)


def test_no_minus_zero_is_shown():
    assert UNIT_SYSTEMS["metric"].text("temperature", -1e-9) == "0.0 °C"
