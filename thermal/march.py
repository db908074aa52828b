"""The march: all designs and winters side by side, one implicit step after the other.

Implicit Euler with an hour's mean outdoor conditions: it conserves energy exactly and never rings, light room
air included; temperature-dependent coefficients are taken at the start of the step, evaporation and longwave
enter as flows, everything else inside the linear solve, the heater's watts in closed form. Column i of a batch
equals the march of design i alone. Reductions are kept, not histories; a trace keeps the hours of small batches.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thermal.air import Array
from thermal.ledger import Ledger
from thermal.network import Control, Drive, Network
from thermal.step import HOUR_S, Hold, State, Stepper, settled, snapshot, stepper, unsettled
from thermal.trace import Trace, traced


@dataclass(frozen=True)
class Run:
    """What a march found; arrays of shape (design, winter) unless said otherwise.

    Attributes
    ----------
    coldest_c, warmest_c : Array
        Of the watched water: the tank's.
    hours_below : Array
        Hours below the floor.
    heater_j, peak_w : Array
        Heat put in, and the largest hourly power.
    marked_j : Array, shape (mark, design, winter)
        Heat put in by each mark.
    closure : Array
        |in - out - stored| over the heat that passed through, spin-up included.
    """

    coldest_c: Array
    warmest_c: Array
    hours_below: Array
    heater_j: Array
    peak_w: Array
    marked_j: Array
    closure: Array
    trace: Trace | None = None


def march(
    network: Network,
    drive: Drive,
    control: Control,
    floor_c: Array | float,
    *,
    substeps: int = 1,
    trace: bool = False,
    start_c: Array | None = None,
) -> Run:
    """March every design through every winter.

    Parameters
    ----------
    network : Network
        D designs.
    drive : Drive
        W winters of hourly means.
    control : Control
        The heater of each design, in the last node.
    floor_c : Array or float, shape (D,)
        Below which the watched water counts as too cold [degC].
    substeps : int
        Steps an hour; 1 is enough for water, a bare room without air capacity wants 60.
    trace : bool
        Keep every hour (memory: hours x nodes x columns).
    start_c : Array, shape (node, D)
        Start temperatures [degC]; without them a near-steady state of the first weather.

    Returns
    -------
    Run

    Raises
    ------
    ClosureError
        When the energy ledger of any column does not close to 1e-6 of the heat that passed.
    """
    winters = len(drive.end_h)
    design = np.repeat(np.arange(network.designs), winters)
    winter = np.tile(np.arange(winters), network.designs)
    wide, held = network.take(design), control.take(design)
    floor = np.broadcast_to(np.asarray(floor_c, dtype=float), (network.designs,))[design]
    weather = drive.channels()
    tool = stepper(wide, HOUR_S / substeps, drive.pressure_pa)
    state = settled(wide, drive, held, winter) if start_c is None else unsettled(wide, start_c[:, design], weather[0, :, winter].T)
    ledger = Ledger.opened(wide, state, floor, HOUR_S / substeps, len(drive.marks))
    kept: list[tuple[Array, ...]] | None = None
    for h in range(int(drive.end_h.max())):
        if h == drive.spin_up_h:
            ledger.start_counting()
            kept, first = ([], state) if trace else (None, state)
        state = _hour(tool, ledger, state, weather[h].take(winter, axis=1), h, held, substeps, kept)
        ledger.note(h + 1, drive, winter)
    shape = (network.designs, winters)
    found = {name: values.reshape(*values.shape[:-1], *shape) for name, values in ledger.closed(tool, state).items()}
    hours = traced(kept, substeps, first.temperature_c, first.ice_j) if kept else None
    return Run(**found, trace=hours)


def _hour(
    tool: Stepper,
    ledger: Ledger,
    state: State,
    weather: Array,
    h: int,
    control: Control,
    substeps: int,
    kept: list[tuple[Array, ...]] | None,
) -> State:
    """One hour's steps, booked."""
    setpoint = control.setpoint_c[h if len(control.setpoint_c) > 24 else h % 24]
    hold = Hold(setpoint, control.min_w, control.max_w)
    for _ in range(substeps):
        state, flows = tool.step(state, weather, h % 24, hold)
        ledger.add(state, flows)
        if kept is not None:
            kept.append(snapshot(state, flows))
    return state
