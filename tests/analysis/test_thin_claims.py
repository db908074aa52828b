"""R-values that no material has, and bubble foil by published caps."""

from __future__ import annotations

import pytest

from thermal.analysis.odd_values import odd_values
from thermal.data import constructions
from thermal.plan.reader import plan_of, with_settings

R_US = 0.1761  # m2K/W


def warned(workshop, settings):
    plan = plan_of(with_settings({**workshop, "measure": []}, settings))
    return {warning.code: warning for warning in odd_values(plan)}, plan


def test_r_8_in_8_mm_is_beyond_any_material(workshop):
    """By hand: 8 mm at R-8 is 0.008/(8 x 0.1761) = 0.0057 W/mK; still air has 0.024, aerogel about 0.013."""
    found, plan = warned(workshop, {"tank.insulation": "R-8 in 8 mm"})
    said = found["beyond-any-material"]
    assert "perch tank, insulation: no material gives R-8 in 8 mm" in said.text
    assert not said.belief
    walls_r = constructions.resistance("polyethylene 6 mm")
    assert plan.tanks[0].wall_r_m2k_per_w == pytest.approx(walls_r + 8 * R_US, rel=1e-3)


def test_r_8_in_40_mm_and_foam_pass(workshop):
    for text in ("R-8 in 40 mm", "XPS 50 mm", "none"):
        assert "beyond-any-material" not in warned(workshop, {"tank.insulation": text})[0]


def test_a_bare_r_value_on_a_tank_gets_a_word(workshop):
    """R-8 is 41 to 48 mm of XPS at 0.029 to 0.034 W/mK."""
    found, _ = warned(workshop, {"tank.insulation": "R-8"})
    assert found["r-without-thickness"].belief
    assert 'Write the thickness too, "R-8 in 8 mm"' in found["r-without-thickness"].text
    assert "r-without-thickness" not in warned(workshop, {"room.side.door.build": "R-8"})[0]


def test_bubble_foil_counts_for_its_caps():
    """R-1.5 and R-3: Natural Resources Canada; a sheet of 8 mm alone about 0.18 (NRC, Construction Innovation 1999)."""
    assert constructions.resistance("bubble foil without air space") == pytest.approx(1.5 * R_US, rel=0.02)
    assert constructions.resistance("bubble foil with air space") == pytest.approx(3.0 * R_US, rel=0.02)
    assert constructions.resistance("bubble foil 8 mm") == pytest.approx(0.18, rel=0.2)
    assert constructions.resistance("bubble foil 50 mm") == constructions.resistance("bubble foil without air space")


def test_a_claim_that_cannot_be_read_says_what_to_write():
    with pytest.raises(ValueError, match="write a layer between 0 and 2 m thick"):
        constructions.resistance("R-8 in 8 m")
    with pytest.raises(ValueError, match="a volume, but a length is needed here"):
        constructions.resistance("R-8 in 8 L")
