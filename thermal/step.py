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
from thermal.elimination import Factors, Pivot, Scratch, Upper, eliminated, substituted
from thermal.exchange import CONDENSATION_J_PER_KG, Coefficients, VapourBalance, coefficients, vapour_balance
from thermal.network import Network, RoomAir, Vessels
from thermal.paths.infiltration import leakage_flow
from thermal.paths.surface import replaced_vapour_enthalpy

HOUR_S = 3600.0
RENEW_H = 4  # as good as every hour for the water, thanks to the lead (tests/laws/test_accuracy.py)
LEAD = 0.5  # coefficients are taken at the temperatures expected in the middle of their term
OUTDOOR, HUMIDITY, WIND, COSINE, SINE = range(5)  # channels of `Drive`


class Hold(NamedTuple):
    """Setpoint [degC] and limits [W] of the heater in the last node."""

    setpoint_c: Array
    min_w: Array
    max_w: Array


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

    mean_c: Array | None  # nodes: the temperatures at which heat flowed; kept for a trace only
    mean_sum: Array  # (node, column): their sum over the day
    water_c: Array  # lumps: at the end of the step
    watts: Array  # the heater
    ratio: Array  # humidity ratio of the air at the end
    gained_w: Array  # lumps: latent heat, negative, and the heat of given air
    condensing_w: Array
    freezing_j: Array  # (column,): heat that freezing gave, all day
    ice_j: list[Array]  # lumps, by step
    fixed: list[Fixed]  # by step


class Known(NamedTuple):
    """What is known of a day before it is marched."""

    weather: Array  # (24, channel, column)
    entering_w: Array  # (24, row of `outdoor_rows`, column): conductance to outdoors times its temperature
    change_w: Array | None  # (24, column): vapour that air change brings, as latent heat; None where cracks leak
    season_w: Array  # (node, column): the ground's


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
    stop: tuple[int, ...]  # how far each node's links reach when it is eliminated
    constant: int  # nodes that are eliminated once: no link of theirs ever changes
    once: tuple[Pivot, ...]
    reduced_diagonal: Array  # what is left after that
    reduced_upper: Upper
    heat_w_per_k: Array  # (node, column), as in `Fixed` while the pump runs
    theta: Array  # (lump, column)
    inverse_theta: Array
    drains: bool  # whether any bed ever drains
    work: Scratch

    @property
    def wants_means(self) -> bool:
        """Whether the ledger needs every step's temperatures: conductances to the outside change."""
        room = self.network.room_air
        return room is None or room.node is None or self.leaky

    def known(self, weather: Array) -> Known:
        """A day's weather, shape (24, channel, column), and what follows from it alone."""
        network, rows = self.network, self.outdoor_rows
        season = network.season_w[0] * weather[0, COSINE] + network.season_w[1] * weather[0, SINE]
        room = network.room_air
        change = None
        if room is not None and not self.leaky:
            change = (CONDENSATION_J_PER_KG * room.change_kg_s) * weather[:, HUMIDITY]
        return Known(weather, network.outdoor_w_per_k[rows] * weather[:, None, OUTDOOR], change, season)

    def renewed(self, state: State, known: Known, hour: int) -> tuple[Fixed, State]:
        """Coefficients and factors for the state now."""
        network = self.network
        vessels, room, single = network.vessels, network.room_air, self.vessels_single
        if vessels is None or room is None or single is None:
            nothing = np.zeros((0, network.designs))
            return self.factored(Fixed(None, nothing, nothing), state, hour), state  # type: ignore[arg-type]
        now = state.temperature_c.astype(np.float32)
        t = now - state.renewed_c
        t *= LEAD
        t += now
        water = t[self.vessel_lump]
        air = room.given_c.astype(np.float32) if room.node is None else t[room.node]
        radiant = air if room.radiant_node is None else t[room.radiant_node]
        ratio = state.ratio.astype(np.float32)
        c = coefficients(single, water, air, radiant, ratio, state.wall_excess, self.pressure_pa)
        enthalpy = replaced_vapour_enthalpy(water, single.tap_c)
        relief = c.mass_kg_s * enthalpy
        fixed = Fixed(
            None, t, t, c,  # type: ignore[arg-type]
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
            fixed = self._with_room(fixed, room, air, known.weather[hour])
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
        network, vessels, room, first = self.network, self.network.vessels, self.network.room_air, self.constant
        diagonal, upper = self.reduced_diagonal.copy(), tuple(row.copy() for row in self.reduced_upper)
        lumps = slice(self.lumps.start - first, self.lumps.stop - first)
        heat = self.heat_w_per_k
        lump_j_per_k = network.capacity_j_per_k[self.lumps]
        if vessels is not None and room is not None and fixed.coefficients is not None:
            _link_water(diagonal, upper, fixed, lumps, room, first)
            if len(vessels.lumps) > 1:
                if self.drains:
                    lump_j_per_k = self._lump_capacity(vessels, state.running)
                    heat = heat.copy()
                    heat[self.lumps] = lump_j_per_k * self.inverse_theta / self.dt_s
                flow = vessels.flow_w_per_k[hour]
                diagonal[lumps] += flow
                upper[lumps.start][0] += flow
            diagonal[lumps] += heat[self.lumps]
        rows = range(first, len(network.nodes) - 1)
        pivots = eliminated(diagonal, upper, self.stop, rows, self.work, first)
        factors = Factors(self.once + pivots, diagonal[-1], 1.0 / diagonal[-1])
        return fixed._replace(factors=factors, heat_w_per_k=heat, lump_j_per_k=lump_j_per_k)

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

    def entering(self, fixed: Fixed, known: Known, kind: int) -> Array:
        """Heat into every node that does not change within a term: sources of one kind, season, dry evaporation."""
        steady = self.sources_w[kind] + known.season_w
        if fixed.latent_w is not None:
            steady[self.lumps] -= fixed.latent_w
        return steady

    def advance(
        self, fixed: Fixed, state: State, known: Known, hour: int, steady_w: Array, hold: Hold, day: Day, step: int
    ) -> State:
        """One step, booked as row `step` of the day.

        Parameters
        ----------
        hour : int
            Local hour of the day.
        steady_w : Array, shape (node, column)
            From `entering`.
        """
        room, old = self.network.room_air, state.temperature_c
        flux, product = self.work
        watts = day.watts[step]
        np.multiply(fixed.heat_w_per_k, old, out=flux)
        np.add(flux, steady_w, out=flux)
        flux[self.outdoor_rows] += known.entering_w[hour]
        last = flux[-1]
        target = np.multiply(fixed.factors.diagonal, hold.setpoint_c, out=product[-1])
        if room is None or fixed.latent_relief is None:
            substituted(fixed.factors, last, target.copy(), hold.min_w, hold.max_w, watts)
            np.copyto(old, flux)
            self._book(day, fixed, step)
            return state
        state = self._evaporated(fixed, state, known, hour, day, step)
        lumps = self.lumps
        if lumps.stop == len(flux):  # the heater sits in water, whose new value lies beyond the mean
            reach = hold.setpoint_c - old[-1]
            reach *= self.theta[-1]
            reach += old[-1]
            target = reach * fixed.factors.diagonal
        else:
            target = target.copy()
        substituted(fixed.factors, last, target, hold.min_w, hold.max_w, watts)
        self._book(day, fixed, step)
        water = day.water_c[step]
        before = old[lumps]
        np.subtract(flux[lumps], before, out=water)
        np.multiply(water, self.inverse_theta, out=water)
        np.add(water, before, out=water)
        if state.icy or np.minimum.reduce(water, axis=None) < 0.0:
            state = self._frozen(fixed, state, water, day)
        day.ice_j.append(state.ice_j)
        np.copyto(old, flux)
        old[lumps] = water
        return state

    def _evaporated(self, fixed: Fixed, state: State, known: Known, hour: int, day: Day, step: int) -> State:
        """The room's humidity after the step; its latent heat goes into the flux."""
        room, flux = self.network.room_air, self.work.flux
        assert room is not None
        ratio = day.ratio[step]
        if fixed.vapour is None:
            np.copyto(ratio, state.ratio)
        else:
            condensing = day.condensing_w[step]
            brought = known.change_w
            weather = known.weather[hour]
            here = fixed.vapour.change_w * weather[HUMIDITY] if brought is None else brought[hour]
            fixed.vapour.advance(state.ratio, here, ratio, condensing)
            flux[room.radiant_node] += condensing
            if fixed.leak_w_per_k is not None:
                flux[room.node] += fixed.leak_w_per_k * weather[OUTDOOR]
        gained = day.gained_w[step]
        np.multiply(fixed.latent_relief, ratio, out=gained)
        flux[self.lumps] += gained
        return state._replace(ratio=ratio)

    def _book(self, day: Day, fixed: Fixed, step: int) -> None:
        """Keep the temperatures at which heat flowed."""
        np.add(day.mean_sum, self.work.flux, out=day.mean_sum)
        day.fixed.append(fixed)
        if day.mean_c is not None:
            day.mean_c[step] = self.work.flux

    def _frozen(self, fixed: Fixed, state: State, water: Array, day: Day) -> State:
        """Freeze and melt, in place on the water."""
        limit = self.network.vessels.ice_limit_j  # type: ignore[union-attr]
        ice, given = frozen(water, state.ice_j, fixed.lump_j_per_k, limit)
        np.add(day.freezing_j, given, out=day.freezing_j)
        return state._replace(ice_j=ice, icy=bool(ice.any()))


def blank_day(network: Network, steps: int, keep: bool) -> Day:
    """Room for the steps of a day; `keep` for those of every node."""
    n, nodes = network.designs, len(network.nodes)
    lumps = len(network.vessels.lumps) if network.vessels else 0
    return Day(
        mean_c=np.zeros((steps, nodes, n)) if keep else None,
        mean_sum=np.zeros((nodes, n)),
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
