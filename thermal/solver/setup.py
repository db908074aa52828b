"""Making a batch ready to march: what is eliminated once, and the state to start from."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from thermal.core.aligned import aligned_copy, aligned_zeros
from thermal.core.arrays import Array, Precision
from thermal.network.model import Control, Forcing, Network, Vessels, cast, night_vessels
from thermal.solver.linear_solve import (
    System,
    allocate,
    coupling_view,
    eliminate,
    factorisation,
    fill_pattern,
    rows_at,
    scratch,
    trailing_submatrix,
)
from thermal.solver.state import CouplingViews, Inflow, Reference, SourceTerms, State, Workspace, blank_day
from thermal.solver.time_step import (
    COSINE,
    HOUR_S,
    HUMIDITY,
    LONGEST_INTERVAL_H,
    TimeStepper,
    by_water_node,
    update_intervals,
)

STEADY_STEPS, STEADY_DT_S = 12, 10 * 86400.0  # near-steady start under the spin-up's mean weather


def exponential_theta(a: Array) -> Array:
    """Weight of the new value that makes one node's step exact, from step over time constant.

    1/(1 - exp(-a)) - 1/a: 1/2 for slow nodes, 1 for fast ones. Source: Liniger & Willoughby 1970, SIAM J.
    Numer. Anal. 7:47, exponential fitting.
    """
    small = a < 1e-3
    safe = np.where(small, 1.0, a)
    return np.where(small, 0.5 + a / 12.0, -1.0 / np.expm1(-safe) - 1.0 / safe)


def time_stepper(network: Network, dt_s: float, pressure_pa: float, precision: Precision) -> TimeStepper:
    """A network made ready for steps of dt_s."""
    vessels, room, n = network.vessels, network.room_air, len(network.nodes)
    source_terms, water_nodes = _source_terms(network, precision), _water_rows(vessels)
    net = _constant_links(network)
    pairs, constant = _changing(network)
    span, work = fill_pattern([*network.links, *pairs], n), scratch(n, network.designs, precision)
    theta = exponential_theta(
        _water_conductance(network, net.diagonal[water_nodes]) * dt_s / network.capacity_j_per_k[water_nodes]
    )
    inverse_theta = aligned_copy(1.0 / theta, precision)
    weight = theta[-1] if water_nodes.stop == n else np.ones(network.designs)
    whole, heat = _with_capacity(network, net, water_nodes, inverse_theta, dt_s)
    once = factorisation(whole, span, 0, work, until=constant)
    eliminate(once)
    changing = trailing_submatrix(whole, constant, precision)
    outdoor, inflow = _inflow(network, water_nodes, dt_s, precision)
    return TimeStepper(
        network=network,
        dt_s=dt_s,
        precision=precision,
        pressure_pa=np.array(pressure_pa, precision),
        held_kg_s=aligned_copy(room.mass_kg / dt_s if room else np.zeros(0), precision),
        vessel_node=_vessel_nodes(vessels),
        water_nodes=water_nodes,
        covered=_day_and_night(vessels, precision),
        room_air=cast(room, precision) if room else None,
        source_terms=source_terms,
        link_w_per_k=aligned_copy(network.link_w_per_k, precision),
        pump_w_per_k=aligned_copy(vessels.flow_w_per_k, precision) if vessels else np.zeros((24, 0), precision),
        switching=_switching(vessels),
        leaky=room is not None and room.node is not None and bool(room.leak_cm2.any()),
        work=work,
        outdoor_w_per_k=aligned_copy(network.outdoor_w_per_k[outdoor], precision),
        inflow=inflow,
        flux_fed=work.flux[inflow.rows],
        flux_last=work.flux[-1],
        flux_water=work.flux[water_nodes],
        flux_booked=work.flux[source_terms.booked],
        constant=constant,
        reduced=trailing_submatrix(whole, constant, precision),
        changing=changing,
        ties=_coupling_views(network, changing, constant),
        factors=factorisation(changing, span, constant, work, before=once),
        heat_w_per_k=heat,
        inverse_theta=inverse_theta,
        new_weight=aligned_copy(weight, precision),
        old_weight=aligned_copy(1.0 - weight, precision),
        drains=_drains(vessels),
        workspace=Workspace(aligned_zeros(heat.shape, precision), *aligned_zeros((3, network.designs), precision)),
    )


def _source_terms(network: Network, precision: Precision) -> SourceTerms:
    """What drives the network beside the water's own exchange."""
    beyond = network.outdoor_w_per_k + network.fixed_w_per_k
    hours, kind = _distinct_hours(network.source_w)
    first_w = network.source_w[hours[0]]
    booked, seasonal = _run(beyond), _run(np.abs(network.season_w).sum(axis=0))
    return SourceTerms(
        kind=kind,
        source_w=first_w,
        more_w=[(network.source_w[hour] - first_w).astype(precision) for hour in hours[1:]],
        season_w=network.season_w[:, seasonal].astype(precision),
        seasonal=seasonal,
        beyond_w_per_k=beyond[booked],
        booked=booked,
    )


def _with_capacity(
    network: Network, net: System, water_nodes: slice, inverse_theta: Array, dt_s: float
) -> tuple[System, Array]:
    """The network with heat capacity over the step but for the water's, which the pump may change; and all of it."""
    precision = inverse_theta.dtype.type
    whole = trailing_submatrix(net, 0, precision)
    heat = aligned_copy(network.capacity_j_per_k / dt_s, precision)
    heat[water_nodes] = 0.0
    whole.diagonal[:] += heat
    heat[water_nodes] = network.capacity_j_per_k[water_nodes] * inverse_theta / dt_s
    return whole, heat


def _day_and_night(vessels: Vessels | None, precision: Precision) -> tuple[Vessels, Vessels] | None:
    """The vessels as the coefficients take them, by day and by night."""
    if vessels is None:
        return None
    day, night = cast(vessels, precision), night_vessels(vessels)
    return day, day if night is vessels else cast(night, precision)


def _constant_links(network: Network) -> System:
    """The network's constant conductances, heat capacity left out."""
    net = allocate(len(network.nodes), network.designs)
    diagonal = net.diagonal
    diagonal[:] = network.outdoor_w_per_k + network.fixed_w_per_k
    for (i, j), conductance in zip(network.links, network.link_w_per_k, strict=True):
        net.rows[min(i, j)][abs(i - j) - 1] += conductance
        diagonal[i] += conductance
        diagonal[j] += conductance
    return net


def _changing(network: Network) -> tuple[list[tuple[int, int]], int]:
    """Links that change from hour to hour, and how many leading nodes have none."""
    vessels, room = network.vessels, network.room_air
    if vessels is None or room is None:
        return [], len(network.nodes) - 1
    around = [node for node in (room.node, room.radiant_node) if node is not None]
    pairs = [(water_node, node) for water_node in vessels.water_nodes for node in around] + list(
        pairwise(vessels.water_nodes)
    )
    return pairs, min(*vessels.water_nodes, *around, len(network.nodes) - 1)


def _coupling_views(network: Network, net: System, first: int) -> CouplingViews:
    """Where the water's conductances stand in the changing network, whose rows count from `first`."""
    vessels, room = network.vessels, network.room_air
    if vessels is None:
        return CouplingViews(net.diagonal[:0], np.zeros(0), ())
    water_nodes = tuple(water_node - first for water_node in vessels.water_nodes)
    pump = coupling_view(net, water_nodes[0], water_nodes[1:])[0] if len(water_nodes) > 1 else np.zeros(0)
    own = net.diagonal[rows_at(water_nodes)]
    if room is None or room.node is None or room.radiant_node is None:
        return CouplingViews(own, pump, ())
    around = room.node - first, room.radiant_node - first
    return CouplingViews(
        own, pump, tuple((net.diagonal[node], coupling_view(net, node, water_nodes)) for node in around)
    )


def _inflow(network: Network, water_nodes: slice, dt_s: float, precision: Precision) -> tuple[slice, Inflow]:
    """The rows linked to outdoors, the room's air among them, and room for what flows in during a period."""
    room, outdoor = network.room_air, np.asarray(network.outdoor_w_per_k.any(axis=-1))
    inside = [node for node in (room.node, room.radiant_node) if node is not None] if room else []
    outdoor[inside] = True
    fed = outdoor.copy()
    fed[water_nodes] = True
    linked, rows = _run(outdoor), _run(fed)
    steps, first = max(1, round(LONGEST_INTERVAL_H * HOUR_S / dt_s)), rows.start
    heat = aligned_zeros((steps, rows.stop - first, network.designs), precision)
    air, surfaces = (heat[:, node - first] for node in inside) if inside else (heat[:, 0:0],) * 2
    return linked, Inflow(
        rows=rows,
        each=list(heat),
        outdoors=heat[:, max(linked.start - first, 0) : max(linked.stop - first, 0)],
        water_nodes=heat[:, max(water_nodes.start - first, 0) : max(water_nodes.stop - first, 0) : water_nodes.step],
        air=air,
        surfaces=surfaces,
    )


def _distinct_hours(source_w: Array) -> tuple[list[int], tuple[int, ...]]:
    """First hour of each distinct source, and which of them each hour of the day has."""
    kinds: list[int] = []
    source = []
    for hour in range(24):
        same = [kind for kind, first in enumerate(kinds) if (source_w[hour] == source_w[first]).all()]
        if not same:
            kinds.append(hour)
        source.append(same[0] if same else len(kinds) - 1)
    return kinds, tuple(source)


def _switching(vessels: Vessels | None) -> tuple[bool, ...]:
    """For each hour of the day: whether any design's pump changes then."""
    if vessels is None or len(vessels.water_nodes) < 2:
        return (False,) * 24
    flow = vessels.flow_w_per_k
    return tuple(bool((flow[hour] != flow[hour - 1]).any()) for hour in range(24))


def _drains(vessels: Vessels | None) -> bool:
    """Whether some bed drains at some hour."""
    if vessels is None or len(vessels.water_nodes) < 2:
        return False
    return bool(((vessels.flow_w_per_k <= 0) & (vessels.drained_j_per_k > 0)).any())


def _vessel_nodes(vessels: Vessels | None) -> slice | list[int]:
    """Node of each vessel row; a slice, which is quicker, where every lump has one vessel."""
    if vessels is None or len(vessels.surface_m2) == len(vessels.water_nodes):
        return _water_rows(vessels)
    bounds = (*vessels.first_rows, len(vessels.surface_m2))
    fill_pattern = zip(vessels.water_nodes, bounds, bounds[1:], strict=False)
    return [water_node for water_node, first, stop in fill_pattern for _ in range(first, stop)]


def _water_rows(vessels: Vessels | None) -> slice:
    """The water nodes, one or two."""
    return rows_at(vessels.water_nodes) if vessels else slice(0, 0)


def _water_conductance(network: Network, linked: Array) -> Array:
    """About what each lump of water gives off for each kelvin [W/K], to choose theta by.

    The open surface is counted at 15 W/m2K, walls behind a film of 8 W/m2K: near the mean of a winter. Theta
    moves slowly with it, and any theta between 1/2 and 1 is stable.
    """
    vessels = network.vessels
    if vessels is None:
        return linked
    each = 15.0 * vessels.surface_m2 / (1.0 + 15.0 * vessels.lid_r) + vessels.wall_m2 / (0.125 + vessels.wall_r)
    own = linked + by_water_node(each, vessels)
    return own + vessels.flow_w_per_k.max(axis=0) if len(vessels.water_nodes) > 1 else own


def steady_initial_state(
    network: Network, forcing: Forcing, control: Control, winter: Array, precision: Precision
) -> State:
    """A near-steady state under the mean weather of the first days, to start the spin-up from."""
    mean = forcing.channels()[: max(forcing.spin_up_h, 24)].mean(axis=0)[:, winter].astype(precision)
    steady = replace(network, source_w=np.repeat(network.source_w.mean(axis=0)[None], 24, axis=0))
    stepper = time_stepper(steady, STEADY_DT_S, forcing.pressure_pa, precision)
    state = initial_state(network, np.full_like(network.capacity_j_per_k, 10.0), mean, precision)
    setpoint_c = control.setpoint_c.mean(axis=0)
    stepper.bind_state(state)
    day = blank_day(network, STEADY_STEPS, 1, False, stepper.source_terms.booked, precision)
    equal = update_intervals((0,))[0]  # one as long as the last
    for step in range(STEADY_STEPS):
        day_inputs = stepper.day_inputs(state, np.broadcast_to(mean, (24, *mean.shape)), mean[COSINE:])
        fixed = stepper.update_coefficients(state, day_inputs, equal)
        stepper.precompute_humidity(fixed.water, state, day_inputs, equal, day, step)
        thermostat_target = stepper.thermostat_target(state, setpoint_c, control.min_w, control.max_w)
        stepper.advance(
            stepper.segment_coefficients(fixed, state, day_inputs, 0, thermostat_target),
            state,
            day,
            range(step, step + 1),
        )
        stepper.shift_reference(state)
    state.ice_j, state.icy, state.ratio = np.zeros_like(state.ice_j), False, state.ratio.copy()
    return state


def initial_state(network: Network, start_c: Array, weather: Array, precision: Precision) -> State:
    """A state of given temperatures, the room's air as dry as outdoors, the pump as at midnight."""
    vessels, room, n = network.vessels, network.room_air, network.designs
    ratio = weather[HUMIDITY] if room is None or room.node is not None else room.given_ratio
    none = np.zeros((0, n), precision)
    return State(
        reference=Reference(start_c, none, none, none, none, none, -np.inf),
        deviation_k=np.zeros(start_c.shape, precision),
        water_k=none,
        ratio=np.broadcast_to(ratio, (n,)).astype(precision),
        wall_excess=np.full(vessels.wall_r.shape, 0.5, precision) if vessels else none,
        ice_j=np.zeros_like(vessels.ice_limit_j) if vessels else none,
        icy=False,
        running=vessels.flow_w_per_k[0] > 0 if vessels else np.ones(n, dtype=bool),
        updated_c=start_c.astype(precision),
    )


def _run(rows: Array) -> slice:
    """The smallest run of rows, or of flags, that holds every one that is not zero."""
    rows = np.flatnonzero(rows.reshape(len(rows), -1).any(axis=-1))
    return slice(int(rows[0]), int(rows[-1]) + 1) if rows.size else slice(0, 0)
