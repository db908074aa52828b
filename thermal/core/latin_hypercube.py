"""Latin hypercube sampling."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from statistics import NormalDist

import numpy as np

from thermal.core.arrays import Array


def latin_hypercube(names: Sequence[str], samples: int, seed: int) -> dict[str, Array]:
    """Latin hypercube sample of several uncertain inputs, with uncorrelated columns.

    The interval (0, 1) is cut into as many equal slots as there are samples. Each input has one number in every slot,
    in random order. The order of each input is then changed so that it is not correlated with earlier inputs: a
    chance correlation would make a range too narrow or too wide. An input's numbers do not depend on later inputs.

    Parameters
    ----------
    names : sequence of str
        Names of the inputs, each once.
    samples : int
        Numbers for each input.
    seed : int
        Seed of the random numbers.

    Returns
    -------
    dict of str to Array, shape (samples,)
        For each input its numbers in (0, 1), to be read as probabilities.

    Source: McKay, Beckman & Conover 1979, Technometrics 21:239; Iman & Conover 1982, Commun. Stat. B 11:311.
    """
    scores = np.array([NormalDist().inv_cdf((i + 0.5) / samples) for i in range(samples)])
    samples_by_name: dict[str, Array] = {}
    earlier = np.zeros((samples, 0))
    for name in names:
        stream = np.random.default_rng([seed, zlib.crc32(name.encode("utf-8"))])
        ranks = stream.permutation(samples)
        if earlier.shape[1] < samples - 1:
            shared = earlier @ np.linalg.lstsq(earlier, scores[ranks], rcond=None)[0]
            ranks = np.argsort(np.argsort(scores[ranks] - shared))
        earlier = np.column_stack([earlier, scores[ranks]])
        samples_by_name[name] = (ranks + stream.random(samples)) / samples
    return samples_by_name
