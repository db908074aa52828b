"""A hut that would fit round the system of a plan without one."""

from __future__ import annotations

from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Plan

HUT_ROOMIER = 1.3  # length and width of the hut over those of the vessels in it
HUT_HEIGHT_M = 1.9
HUT_BUILD = "bubble-wrap tent"
Way = tuple[str, str, dict[str, object]]  # name, explanation, settings


def hut_size(plan: Plan, hut: dict[str, object]) -> str:
    """A hut's size in the units of the plan."""
    units = UNIT_SYSTEMS[plan.units]
    metres = (float(str(hut[side]).split()[0]) for side in ("length", "width", "height"))
    return " x ".join(units.text("length", metre) for metre in metres)


def with_hut(plan: Plan, hut: dict[str, object]) -> dict[str, object]:
    """Settings that put a hut round the system; a fan that dries the room goes, since no plan may have both."""
    return {"hut": hut} if plan.fan is None else {"hut": hut, "fan": None}


def hut_round(plan: Plan, build: str = HUT_BUILD) -> dict[str, object]:
    """Settings of a hut round every vessel and the barrels beside them, with space to work in, within the room."""
    room = plan.room
    footprint = sum(vessel.bottom_m2 for vessel in plan.tanks + plan.beds)
    footprint += sum(barrel.bottom_m2 for barrel in plan.barrels if barrel.where == "system")
    width = min(room.width_m, (footprint * room.width_m / room.length_m) ** 0.5 * HUT_ROOMIER)
    length = min(room.length_m, footprint * HUT_ROOMIER**2 / width)
    height = min(room.height_m, HUT_HEIGHT_M)
    return {
        "length": f"{length:.1f} m", "width": f"{width:.1f} m", "height": f"{height:.1f} m", "build": build,
    }  # fmt: skip
