"""The loss of a sunk tank against a numerical solution of the conduction in the ground: finite volumes, round tank."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve

from thermal.physics.buried_vessel import buried_floor_transmittance, buried_wall_transmittance

SURFACE_R = 0.04  # m2K/W, ISO 6946:2017 table 7


def edges_of(inner_m, cells=16, growth=1.15, far_m=14.0):
    """Cell edges from 0: even to the tank's wall, then growing out to where the ground feels nothing of it."""
    edges, step = [inner_m * i / cells for i in range(cells + 1)], inner_m / cells
    while edges[-1] < inner_m + far_m:
        edges.append(edges[-1] + step)
        step *= growth
    return np.array(edges)


def conducted_w_per_k(radius_m, depth_m, wall_r, floor_r, k):
    """Heat from water at 1 to a surface at 0 by steady conduction, walls and bottom. [W/K]"""
    r, z = edges_of(radius_m), edges_of(depth_m)
    half_r, half_z = np.diff(r)[:, None] / 2.0 / k, np.diff(z)[None, :] / 2.0 / k
    ring, jacket = math.pi * np.diff(r**2)[:, None], 2.0 * math.pi * r[1:, None] * np.diff(z)[None, :]
    water = ((r[1:] <= radius_m + 1e-9)[:, None]) & ((z[1:] <= depth_m + 1e-9)[None, :])
    number = np.arange(water.size).reshape(water.shape)
    solid = np.where(water, 0.0, 1.0)
    side_r = solid * half_r
    walls = np.where(water[:-1] & ~water[1:], wall_r, 0.0) + side_r[:-1] + side_r[1:]
    down_r = solid * half_z
    floors = np.where(water[:, :-1] & ~water[:, 1:], floor_r, 0.0) + down_r[:, :-1] + down_r[:, 1:]
    with np.errstate(divide="ignore"):
        g_out = np.where(walls > 0.0, jacket[:-1] / walls, 0.0)
        g_down = np.where(floors > 0.0, ring / floors, 0.0)
    g_up = np.where(water[:, 0], 0.0, ring[:, 0] / (half_z[0, 0] + SURFACE_R))
    pairs = [(number[:-1], number[1:], g_out), (number[:, :-1], number[:, 1:], g_down)]
    a, b, g = (np.concatenate([part[i].ravel() for part in pairs]) for i in range(3))
    diagonal = np.bincount(a, g, water.size) + np.bincount(b, g, water.size)
    diagonal[number[:, 0]] += g_up
    diagonal[number[water]] = 1e12  # held at 1
    size = (water.size, water.size)
    every = np.concatenate([a, b, number.ravel()]), np.concatenate([b, a, number.ravel()])
    matrix = coo_matrix((np.concatenate([-g, -g, diagonal]), every), size).tocsr()
    t = spsolve(matrix, 1e12 * water.ravel().astype(float)).reshape(water.shape)
    return float((g_up * t[:, 0]).sum())


def sunk_w_per_k(radius_m, depth_m, wall_r, floor_r, k):
    walls = 2.0 * math.pi * radius_m * depth_m * float(buried_wall_transmittance(depth_m, radius_m, wall_r, k))
    return walls + math.pi * radius_m**2 * float(buried_floor_transmittance(radius_m, floor_r, k))


def cellar_w_per_k(radius_m, depth_m, wall_r, floor_r, k):
    """The form of ISO 13370:2017 section 7.4 (from memory), without a film on the water's side."""
    d_w, d_t = k * (wall_r + SURFACE_R), k * (floor_r + SURFACE_R)
    deep, t = d_t + depth_m / 2.0, min(d_t, d_w)
    poor = 2.0 * k / (math.pi * radius_m + deep) * math.log(math.pi * radius_m / deep + 1.0)
    floor = poor if deep < radius_m else k / (0.457 * radius_m + deep)
    wall = 2.0 * k / (math.pi * depth_m) * (1.0 + 0.5 * t / (t + depth_m)) * math.log(depth_m / d_w + 1.0)
    return 2.0 * math.pi * radius_m * depth_m * wall + math.pi * radius_m**2 * floor


def test_the_numerical_solution_is_that_of_a_wall_when_the_wall_is_all():
    """R of 50 m2K/W: the ground resists next to nothing, U A = A/R by hand."""
    area = 2.0 * math.pi * 0.6 * 0.8 + math.pi * 0.36
    assert conducted_w_per_k(0.6, 0.8, 50.0, 50.0, 1.5) == pytest.approx(area / 50.0, rel=0.02)


TANKS = [  # radius, depth, R of walls and of bottom, conductivity of the ground
    (0.6, 0.6, 0.02, 0.02, 1.5),
    (0.6, 0.8, 1.5, 1.5, 1.5),
    (0.6, 0.8, 1.5, 0.02, 2.0),
    (1.2, 1.0, 0.5, 0.5, 2.0),
    (1.2, 0.5, 3.0, 1.0, 1.5),
    (2.5, 1.6, 1.0, 0.02, 1.5),
    (0.3, 1.0, 0.3, 0.3, 2.0),
]


@pytest.mark.parametrize("tank", TANKS)
def test_sunk_tanks_lose_what_the_numerical_solution_has(tank):
    assert sunk_w_per_k(*tank) == pytest.approx(conducted_w_per_k(*tank), rel=0.2)


def test_the_form_for_cellars_is_too_low_for_tanks():
    """Why the standard's own form is not used: a quarter low in the middle, within 15 % for a well-insulated cellar."""
    low = [cellar_w_per_k(*tank) / conducted_w_per_k(*tank) for tank in TANKS]
    assert np.median(low) < 0.8
    cellar = (5.0, 2.4, 3.0, 3.0, 2.0)
    assert cellar_w_per_k(*cellar) == pytest.approx(conducted_w_per_k(*cellar), rel=0.15)
    assert sunk_w_per_k(*cellar) == pytest.approx(conducted_w_per_k(*cellar), rel=0.15)
