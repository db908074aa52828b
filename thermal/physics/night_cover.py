"""Air under a cover over the plants of a bed, between the warm bed and the cold air of the room."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array, Numbers

SURFACE_W_PER_M2K = 7.7  # surface coefficient inside rooms, 1/0.13: ISO 6946:2017 table 7, heat flow sideways
COVER_AREA = 2.0  # m2 of cover for each m2 of bed: a low arch and its ends, our judgement
LEAK_W_PER_M2K = 0.5  # heat carried by air through the edges, for each m2 of cover, our judgement


def covered_air_share(bed_r: Numbers, cover_r: Numbers) -> Array:
    """Share of the way from the room's temperature to the bed's water at which the air under a cover stands. [-]

    Parameters
    ----------
    bed_r : float or Array
        Resistance between the water of the bed and its upper surface [m2K/W].
    cover_r : float or Array
        Resistance of the cover from surface to surface [m2K/W].

    Returns
    -------
    Array
        0 as cold as the room, 1 as warm as the bed's water [-].

    Notes
    -----
    f = U_bed/(U_bed + a U_cover), with U_bed = 1/(r_bed + 1/h) and U_cover = 1/(2/h + r_cover) + c: the heat from the
    bed is that lost through the cover, as its air stores next to nothing. For a cover that reaches down to the rim of
    the bed, in the dark. Evaporation and lamps under it are left out, which is on the safe side.

    Source: steady heat balance; h of ISO 6946:2017 table 7; area a and leaks c are our judgement.

    Examples
    --------
    By hand, a sheet without resistance over bare water: 7.7/(7.7 + 2 (3.85 + 0.5)).

    >>> round(float(covered_air_share(0.0, 0.0)), 3)
    0.47
    """
    film = 1.0 / SURFACE_W_PER_M2K
    bed = 1.0 / (np.asarray(bed_r) + film)
    cover = 1.0 / (2.0 * film + np.asarray(cover_r)) + LEAK_W_PER_M2K
    return bed / (bed + COVER_AREA * cover)
