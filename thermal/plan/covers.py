"""Covers on water: a preset or layers, and the opening that one leaves where it covers only a share of the water."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from thermal import data
from thermal.core.distributions import TriangularRange
from thermal.data import constructions
from thermal.data.snug_lid import snug_lid
from thermal.plan.structure import Opening

if TYPE_CHECKING:
    from thermal.plan.system_tables import TankTable

Sampled = Callable[[str, TriangularRange], float]


def cover(text: str, sampler: Sampled) -> tuple[float, float]:
    """Evaporation share [-] and resistance [m2K/W] of a cover: a preset, or layers as a snug lid.

    Parameters
    ----------
    text : str
        The cover as written.
    sampler : callable
        Returns the value of each preset, as in `thermal.plan.presets.resolve_plan`.
    """
    if text in data.tops():
        top, unknown = data.tops()[text], f"top: {text}"
        return sampler(unknown, top.evaporation), sampler(unknown, top.r_m2k_per_w)
    return snug_lid()[0], constructions.resistance(text)


def opening(entry: TankTable, surface_m2: float, formula: float, sampler: Sampled) -> Opening | None:
    """The opening in the cover of a vessel; None where it covers all of the water.

    Parameters
    ----------
    entry : TankTable
        The vessel. A cover of the night covers all of the water.
    surface_m2 : float
        Its water surface [m2].
    formula : float
        Factor on the evaporation of open water [-].
    sampler : callable
        As for `cover`.
    """
    if entry.top_share >= 1.0:
        return None
    bare = cover("open", sampler)
    night = cover(entry.night_top, sampler) if entry.night_top else bare
    return Opening((1.0 - entry.top_share) * surface_m2, formula * bare[0], bare[1], formula * night[0], night[1])


def in_media(over_water: Opening, wet: float, fill_r: float) -> Opening:
    """The opening over a bed, whose media evaporate less than water and lie in the way.

    Parameters
    ----------
    over_water : Opening
        The opening, as over water.
    wet : float
        Evaporation of the media as a share of that of water [-].
    fill_r : float
        Resistance of the media above the water [m2K/W].
    """
    return replace(
        over_water,
        evaporation=wet * over_water.evaporation,
        lid_r_m2k_per_w=fill_r + over_water.lid_r_m2k_per_w,
        night_evaporation=wet * over_water.night_evaporation,
        night_lid_r_m2k_per_w=fill_r + over_water.night_lid_r_m2k_per_w,
    )
