r"""Air under a cover over the plants of a bed, between the warm bed and the cold air of the room.

Steady heat balance of the air under the cover, which stores next to nothing:

    f = (T_under - T_room) / (T_bed - T_room) = U_bed / (U_bed + a U_cover)
    U_bed = 1 / (r_bed + 1/h)        U_cover = 1 / (1/h + r_cover + 1/h) + c

with h the surface coefficient inside rooms, a the area of the cover for each area of the bed, and c the heat carried
through leaks. Source: heat balance; h from ISO 6946:2017 (7.7 W/m2K, heat flow sideways); a and c are our judgement.
"""

from __future__ import annotations

from thermal.core.quantities import N

SURFACE_W_PER_M2K = 7.7  # ISO 6946:2017, 1/0.13
COVER_AREA = 2.0  # m2 of cover for each m2 of bed: a low arch and its ends, our judgement
LEAK_W_PER_M2K = 0.5  # carried by air through the edges for each m2 of cover, our judgement


def covered_air_share(bed_r_m2k_per_w: N, cover_r_m2k_per_w: N) -> N:
    """Share of the way from the room's temperature to the bed's that the air under a cover stands at. [-]

    Parameters
    ----------
    bed_r_m2k_per_w : float or Array
        Resistance between the water of the bed and its upper surface [m2K/W].
    cover_r_m2k_per_w : float or Array
        Resistance of the cover from surface to surface [m2K/W].

    Returns
    -------
    float or Array
        From 0 (the air of the room) to 1 (as warm as the bed) [-].

    Notes
    -----
    Valid at night or in the shade, for a cover that reaches down to the rim of the bed and stands clear of the leaves.
    The heat of evaporation and of lamps under the cover is left out, which is on the safe side.

    Examples
    --------
    A sheet without resistance over bare water:

    >>> round(covered_air_share(0.0, 0.0), 3)
    0.47
    """
    bed = 1.0 / (bed_r_m2k_per_w + 1.0 / SURFACE_W_PER_M2K)
    cover = 1.0 / (2.0 / SURFACE_W_PER_M2K + cover_r_m2k_per_w) + LEAK_W_PER_M2K
    return bed / (bed + COVER_AREA * cover)
