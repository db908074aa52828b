"""One implicit step of a batch: the heat and vapour balance of every node.

Coefficients that depend on temperature are renewed every `RENEW_H` hours, the matrix with them; a step then only
substitutes. Water nodes advance by the theta method fitted to the exponential (Liniger & Willoughby 1970), so
that an hour is not too long for them; light nodes by implicit Euler, which never rings.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from thermal.air import CP_AIR, Array, dry_air_density, vapour_pressure
from thermal.elimination import Factors, Hold, Pivot, Upper, eliminated, substituted
from thermal.exchange import Coefficients, VapourBalance, coefficients, vapour_balance
from thermal.network import Network, RoomAir, Vessels
from thermal.paths.infiltration import leakage_flow
from thermal.paths.surface import replaced_vapour_enthalpy

HOUR_S = 3600.0
RENEW_H = 4  # as good as every hour for the water, thanks to the lead (tests/laws/test_accuracy.py)
LEAD = 0.5  # coefficients are taken at the temperatures expected in the middle of their term
OUTDOOR, HUMIDITY, WIND, COSINE, SINE = range(5)  # channels of `Drive`


class State(NamedTuple):
    """Everything a step hands to the next, one column a design-winter; arrays are written to in place."""

    temperature_c: Array  # (node, column)
    ratio: Array  # humidity ratio of the room's air, (column,)
    wall_excess: Array  # (vessel, column)
    ice_j: Array  # latent heat given up by freezing, (lump, column)
    icy: bool  # whether any column has ice
    running: Array  # whether the pump runs, (column,)
    renewed_c: Array  # temperatures at the last renewal of coefficients, (node, column)


class Fixed(NamedTuple):
    """What holds until the next renewal."""

    factors: Factors
    heat_w_per_k: Array  # (node, column): capacity over step, over theta for water
    lump_j_per_k: Array  # (lump, column)
    inverse_theta: Array  # (lump, column)
    coefficients: Coefficients | None = None
    to_air_w_per_k: Array | None = None  # (lump, column): walls and open surface
    longwave_w_per_k: Array | None = None  # (lump, column)
    vapour: VapourBalance | None = None
    enthalpy_j_per_kg: Array | None = None  # (vessel, column)
    latent_w: Array | None = None  # (lump, column): heat of evaporation into bone-dry air, less given air's heat
    latent_relief: Array | None = None  # (lump, column): less of it for each unit of the air's humidity ratio
    leak_w_per_k: Array | None = None


class Day(NamedTuple):
    """What the steps of one day did, step by step; overwritten the next day.

    Shapes (step, node, column), (step, lump, column) or (step, column); flows in W.
    """

    mean_c: Array  # nodes: the temperatures at which heat flowed
    water_c: Array  # lumps: at the end of the step
    watts: Array  # the heater
    ratio: Array  # humidity ratio of the air at the end
    gained_w: Array  # lumps: latent heat, negative, and the heat of given air
    condensing_w: Array
    freezing_j: Array  # (column,): heat that freezing gave, all day
    ice_j: list[Array]  # lumps, by step
    fixed: list[Fixed]  # by step


@dataclass(frozen=True)
class Stepper:
    """A network made ready for steps of one length."""

    network: Network
    dt_s: float
    pressure_pa: float
    outdoor_rows: slice
    vessel_lump: list[int]  # node of each vessel row
    lumps: slice  # water nodes; empty for a bare room
    vessels_single: Vessels | None  # the vessels in single precision, for the coefficients
    source: tuple[int, ...]  # row of `sources_w` for each hour of the day
    sources_w: Array  # the distinct hours' sources, (kind, node, column)
    switching: tuple[bool, ...]  # for each hour of the day: whether any pump changes then
    leaky: bool
    reach: tuple[slice, ...]  # order of elimination
    constant: int  # nodes that are eliminated once: no link of theirs ever changes
    once: tuple[Pivot, ...]
    reduced_diagonal: Array  # what is left after that
    reduced_upper: Upper
    heat_w_per_k: Array  # (node, column), as in `Fixed` while the pump runs
    theta: Array  # (lump, column)
    inverse_theta: Array
    drains: bool  # whether any bed ever drains

    def renewed(self, state: State, weather: Array, hour: int) -> tuple[Fixed, State]:
        """Coefficients and factors for the state now. weather has shape (5, column)."""
        network = self.network
        vessels, room, single = network.vessels, network.room_air, self.vessels_single
        if vessels is None or room is None or single is None:
            nothing = np.zeros((0, network.designs))
            blank = Fixed(None, nothing, nothing, nothing)  # type: ignore[arg-type]
            return self.factored(blank, state, hour), state
        now = state.temperature_c.astype(np.float32)
        t = now + LEAD * (now - state.renewed_c)
        water = t[self.vessel_lump]
        air = room.given_c.astype(np.float32) if room.node is None else t[room.node]
        radiant = air if room.radiant_node is None else t[room.radiant_node]
        ratio = state.ratio.astype(np.float32)
        c = coefficients(single, water, air, radiant, ratio, state.wall_excess, self.pressure_pa)
        enthalpy = replaced_vapour_enthalpy(water, single.tap_c)
        relief = c.mass_kg_s * enthalpy
        fixed = Fixed(
            None, t, t, t, c,  # type: ignore[arg-type]
            to_air_w_per_k=by_lump(c.convection_w_per_k + c.wall_w_per_k, vessels),
            longwave_w_per_k=by_lump(c.longwave_w_per_k, vessels),
            enthalpy_j_per_kg=enthalpy,
            latent_w=by_lump(relief * c.water_ratio, vessels),
            latent_relief=by_lump(relief, vessels),
        )  # fmt: skip
        if room.node is None:
            heat = (fixed.to_air_w_per_k + fixed.longwave_w_per_k) * room.given_c  # type: ignore[operator]
            fixed = fixed._replace(latent_w=fixed.latent_w - heat)  # type: ignore[operator]
        else:
            fixed = self._with_room(fixed, room, air, weather)
        return self.factored(fixed, state, hour), state._replace(wall_excess=c.wall_excess, renewed_c=now)

    def _with_room(self, fixed: Fixed, room: RoomAir, air: Array, weather: Array) -> Fixed:
        """The room's vapour balance and leaks."""
        assert fixed.coefficients is not None
        cold = np.empty((2, len(air)), np.float32)
        cold[0] = air - room.coldness * (air - weather[OUTDOOR])
        cold[1] = air
        change, leak = room.change_kg_s, None
        if self.leaky:
            vapour = vapour_pressure(weather[HUMIDITY], self.pressure_pa)
            density = dry_air_density(weather[OUTDOOR], vapour, self.pressure_pa)
            kg_s = density * leakage_flow(room.leak_cm2, cold[1] - weather[OUTDOOR], weather[WIND])
            change, leak = change + kg_s, kg_s * CP_AIR
        balance = vapour_balance(room, fixed.coefficients, cold, change, self.dt_s, self.pressure_pa)
        return fixed._replace(vapour=balance, leak_w_per_k=leak)

    def factored(self, fixed: Fixed, state: State, hour: int) -> Fixed:
        """The same coefficients with the matrix of the hour's pump flow."""
        network, vessels, room, first = (
            self.network,
            self.network.vessels,
            self.network.room_air,
            self.constant,
        )
        diagonal, upper = self.reduced_diagonal.copy(), tuple(row.copy() for row in self.reduced_upper)
        lumps = slice(self.lumps.start - first, self.lumps.stop - first)
        heat, inverse_theta = self.heat_w_per_k, self.inverse_theta
        lump_j_per_k = network.capacity_j_per_k[self.lumps]
        if vessels is not None and room is not None and fixed.coefficients is not None:
            _link_water(diagonal, upper, fixed, lumps, room, first)
            if len(vessels.lumps) > 1:
                if self.drains:
                    lump_j_per_k = self._lump_capacity(vessels, state.running)
                    heat = heat.copy()
                    heat[self.lumps] = lump_j_per_k * inverse_theta / self.dt_s
                flow = vessels.flow_w_per_k[hour]
                diagonal[lumps] += flow
                upper[lumps.start][0] += flow
            diagonal[lumps] += heat[self.lumps]
        pivots = eliminated(diagonal, upper, self.reach, range(first, first + len(diagonal) - 1), first)
        factors = Factors(self.once + pivots, diagonal[-1], 1.0 / diagonal[-1])
        return fixed._replace(
            factors=factors, heat_w_per_k=heat, lump_j_per_k=lump_j_per_k, inverse_theta=inverse_theta
        )

    def switched(self, state: State, hour: int) -> State:
        """The pumps as they are from this hour on: draining beds give their water to the tank, or take it back."""
        vessels = self.network.vessels
        assert vessels is not None
        bed, tank = vessels.lumps
        runs = vessels.flow_w_per_k[hour] > 0
        before = self._lump_capacity(vessels, state.running)
        after = self._lump_capacity(vessels, runs)
        t = state.temperature_c
        moved = before[0] - after[0]
        t[tank] = np.where(moved > 0, (before[1] * t[tank] + moved * t[bed]) / after[1], t[tank])
        t[bed] = np.where(moved < 0, (before[0] * t[bed] - moved * t[tank]) / after[0], t[bed])
        return state._replace(running=runs)

    def _lump_capacity(self, vessels: Vessels, running: Array) -> Array:
        """Heat capacity of bed and tank with the bed drained where the pump rests. [J/K]"""
        moved = np.where(running, 0.0, vessels.drained_j_per_k)
        capacity = self.network.capacity_j_per_k[self.lumps].copy()
        capacity[0] -= moved
        capacity[1] += moved
        return capacity

    def begin(self, day: Day, weather: Array) -> None:
        """Write what is known of a day beforehand into its buffers: sources, outdoor air, the ground's season.

        weather has shape (24, channel, column); the rows of `mean_c` become temperatures as steps are taken.
        """
        network = self.network
        day.fixed.clear()
        day.ice_j.clear()
        day.freezing_j[:] = 0.0
        steps = len(day.mean_c) // 24
        season = network.season_w[0] * weather[0, COSINE] + network.season_w[1] * weather[0, SINE]
        for hour in range(24):
            known = self.sources_w[self.source[hour]] + season
            known[self.outdoor_rows] += network.outdoor_w_per_k[self.outdoor_rows] * weather[hour, OUTDOOR]
            day.mean_c[hour * steps : (hour + 1) * steps] = known

    def advance(self, fixed: Fixed, state: State, weather: Array, hold: Hold, day: Day, step: int) -> State:
        """One step, booked as row `step` of the day. weather has shape (5, column)."""
        room, lumps, old = self.network.room_air, self.lumps, state.temperature_c
        flux, watts = day.mean_c[step], day.watts[step]
        flux += fixed.heat_w_per_k * old
        day.fixed.append(fixed)
        if room is None or fixed.latent_w is None:
            substituted(fixed.factors, flux, hold, watts)
            np.copyto(old, flux)
            return state
        ratio = day.ratio[step]
        if fixed.vapour is None:
            np.copyto(ratio, state.ratio)
        else:
            condensing = day.condensing_w[step]
            fixed.vapour.advance(state.ratio, weather[HUMIDITY], ratio, condensing)
            flux[room.radiant_node] += condensing
            if fixed.leak_w_per_k is not None:
                flux[room.node] += fixed.leak_w_per_k * weather[OUTDOOR]
        gained = day.gained_w[step]
        np.multiply(fixed.latent_relief, ratio, out=gained)
        gained -= fixed.latent_w
        flux[lumps] += gained
        if lumps.stop == len(flux):  # the heater sits in water, whose new value lies beyond the mean
            reach = hold.setpoint_c - old[-1]
            reach *= self.theta[-1]
            reach += old[-1]
            hold = Hold(reach, hold.min_w, hold.max_w)
        substituted(fixed.factors, flux, hold, watts)
        water, before = day.water_c[step], old[lumps]
        np.subtract(flux[lumps], before, out=water)
        water *= fixed.inverse_theta
        water += before
        if state.icy or np.minimum.reduce(water, axis=None) < 0.0:
            state = self._frozen(fixed, state, water, day)
        day.ice_j.append(state.ice_j)
        np.copyto(old, flux)
        old[lumps] = water
        return state._replace(ratio=ratio)

    def _frozen(self, fixed: Fixed, state: State, water: Array, day: Day) -> State:
        """Freeze and melt, in place on the water."""
        limit = self.network.vessels.ice_limit_j  # type: ignore[union-attr]
        ice, given = frozen(water, state.ice_j, fixed.lump_j_per_k, limit)
        np.add(day.freezing_j, given, out=day.freezing_j)
        return state._replace(ice_j=ice, icy=bool(ice.any()))


def blank_day(network: Network, steps: int) -> Day:
    """Room for the steps of a day."""
    n, nodes = network.designs, len(network.nodes)
    lumps = len(network.vessels.lumps) if network.vessels else 0
    return Day(
        mean_c=np.zeros((steps, nodes, n)),
        water_c=np.zeros((steps, lumps, n)),
        watts=np.zeros((steps, n)),
        ratio=np.zeros((steps, n)),
        gained_w=np.zeros((steps, lumps, n)),
        condensing_w=np.zeros((steps, n)),
        freezing_j=np.zeros(n),
        ice_j=[],
        fixed=[],
    )


def frozen(water_c: Array, ice_j: Array, capacity_j_per_k: Array, limit_j: Array) -> tuple[Array, Array]:
    """Hold freezing water at 0 degC, in place: its deficit becomes ice, and ice melts before water warms.

    The enthalpy method split from the step (Voller & Cross 1981, Int. J. Heat Mass Transfer 24:545); energy is
    conserved exactly. Returns the ice [J] and what freezing gave, summed over lumps [J].
    """
    given = np.clip(-capacity_j_per_k * water_c, -ice_j, limit_j - ice_j)
    water_c += given / capacity_j_per_k
    return ice_j + given, given.sum(axis=0)


def by_lump(rows: Array, vessels: Vessels) -> Array:
    """Sum of vessel rows for each lump, in double precision."""
    if len(rows) == len(vessels.lumps):
        return rows.astype(float)
    return np.asarray(np.add.reduceat(rows, vessels.first_rows, axis=0, dtype=float))


def _link_water(diagonal: Array, upper: Upper, fixed: Fixed, lumps: slice, room: RoomAir, first: int) -> None:
    """Add the water's conductances to air and surfaces, in place; rows count from `first`."""
    assert fixed.to_air_w_per_k is not None
    assert fixed.longwave_w_per_k is not None
    diagonal[lumps] += fixed.to_air_w_per_k
    diagonal[lumps] += fixed.longwave_w_per_k
    if room.node is None or room.radiant_node is None:
        return
    for node, conductance in (
        (room.node - first, fixed.to_air_w_per_k),
        (room.radiant_node - first, fixed.longwave_w_per_k),
    ):
        diagonal[node] += np.add.reduce(conductance, axis=0)
        if node < lumps.start:
            upper[node][lumps.start - node - 1 : lumps.stop - node - 1] += conductance
        else:
            for lump in range(lumps.start, lumps.stop):
                upper[lump][node - lump - 1] += conductance[lump - lumps.start]
    if fixed.leak_w_per_k is not None:
        diagonal[room.node - first] += fixed.leak_w_per_k
