"""Conductance of a plan's pipes and of its pump's flow, and the air around the system."""

from __future__ import annotations

import numpy as np

from thermal.core.arrays import Array
from thermal.physics.bed_heat_capacity import water_capacity
from thermal.physics.natural_convection import rayleigh_per_kelvin
from thermal.physics.pipe_loss import FILM_C, carried_conductance, cylindrical_resistance, pipe_transmittance
from thermal.physics.pump_duty import pulsed_conductance
from thermal.plan.model import Plan
from thermal.plan.structure import Pipe


def air_around(plan: Plan, pipe: Pipe | None = None) -> str:
    """Node of the air around the tank, or around a pipe: "hut" or "air".

    Parameters
    ----------
    plan : Plan
        The plan. Where it gives the room's air temperature, its network has no such node.
    pipe : Pipe, optional
        A pipe, which may also lie outside the hut.
    """
    return "air" if plan.hut is None or (pipe is not None and pipe.where == "room") else "hut"


def running_conductance(plan: Plan, pipe: Pipe) -> float:
    """Conductance from the tank's water through a pipe to the air around it, while the pump runs. [W/K]

    At sea level; thinner air takes up to a tenth less.

    Parameters
    ----------
    plan : Plan
        The plan, for the pump's flow.
    pipe : Pipe
        One of its pipes.
    """
    ua = pipe.length_m * linear_transmittance(pipe)
    return float(carried_conductance(ua, water_capacity(plan.pump.flow_m3_s)))


def linear_transmittance(pipe: Pipe) -> float:
    """Conductance from the water in a pipe to the air around it, for each metre. [W/mK]"""
    layers_r, inner = 0.0, pipe.diameter_m
    for thickness, conductivity in pipe.layers:
        layers_r += float(cylindrical_resistance(inner, thickness, conductivity))
        inner += 2.0 * thickness
    return float(pipe_transmittance(pipe.outer_m, layers_r, rayleigh_per_kelvin(pipe.outer_m, FILM_C)))


def mean_conductance(plan: Plan, pipe: Pipe) -> float:
    """The same as a mean over the day, of which the pump runs a share. [W/K]

    The water takes hours to cool, so the mean serves for every hour; the network then has one conductance for the pipe.

    Parameters
    ----------
    plan : Plan
        The plan, for the pump's flow and hours.
    pipe : Pipe
        One of its pipes.
    """
    return plan.pump.circulating_share * running_conductance(plan, pipe)


def circulation(plan: Plan) -> Array:
    """Conductance between beds and tank by the pump's flow, by hour of the day, (24,). [W/K]

    Parameters
    ----------
    plan : Plan
        A plan with beds.
    """
    hours, duty = np.array(plan.pump.hours), plan.pump.duty
    flow = water_capacity(plan.pump.flow_m3_s)
    if duty is None or not flow:
        return np.asarray(flow * hours)
    beds, tanks = (sum(vessel.capacity_j_per_k for vessel in vessels) for vessels in (plan.beds, plan.tanks))
    mean = pulsed_conductance(flow, *duty, beds * tanks / (beds + tanks))
    return np.asarray(mean * hours / plan.pump.run_share)
