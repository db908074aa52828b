"""A plan while the power is off: nothing runs, and the beds drain into the tank."""

from __future__ import annotations

from dataclasses import replace

from thermal.core.arrays import Array
from thermal.core.schedule import ALWAYS, NEVER
from thermal.physics.bed_heat_capacity import water_capacity
from thermal.physics.flood_drain import mixed_temperature
from thermal.plan.devices import Load
from thermal.plan.model import Plan

HORIZON_H = 168  # simulated after each power cut


def without_power(plan: Plan) -> Plan:
    """The plan without power: pump, lights, all other heat off, no water changed; plants in the dark rest."""
    return replace(
        plan,
        beds=tuple(replace(bed, transpiration_kg_s=NEVER) for bed in plan.beds),
        pump=replace(plan.pump, power_w=0.0, hours=NEVER),
        loads=tuple(_switch_off(load) for load in plan.loads),
        heater=replace(plan.heater, where="water", hours=ALWAYS),
        water_change_m3_s=0.0,
        tried=None,
        hut=plan.hut and replace(plan.hut, air_from="room"),
        dehumidifier=None,
        fan=None,
    )


def _switch_off(load: Load) -> Load:
    """A load without power: snow and plants go on taking heat from the air, a burner or a person is not relied on."""
    return replace(load, power_w=0.0, vapour_kg_s=load.vapour_kg_s if load.electric else 0.0)


def mix_drained_beds(plan: Plan, tank_c: Array, bed_c: Array) -> Array:
    """Temperature of the tank once the beds have drained into it. [degC]

    Parameters
    ----------
    plan : Plan
        The plan, with the heat capacities of tanks and beds.
    tank_c, bed_c : Array
        Temperatures before; broadcast together [degC].
    """
    moved = sum(bed.capacity_j_per_k - bed.drained_j_per_k for bed in plan.beds)
    held = sum(vessel.capacity_j_per_k for vessel in plan.tanks)
    held += sum(float(water_capacity(pipe.water_m3)) for pipe in plan.pipes)
    return mixed_temperature(held, tank_c, moved, bed_c)
