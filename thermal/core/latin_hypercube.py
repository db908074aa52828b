"""Latin hypercube sampling."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from statistics import NormalDist

import numpy as np

from thermal.core.arrays import Array


def latin_hypercube(names: Sequence[str], samples: int, seed: int) -> dict[str, Array]:
    """Latin hypercube: for each name `samples` numbers in (0, 1), one in each of as many equal slots, shuffled.

    Shuffles that happen to go with those of earlier names are straightened out, or one more unknown could narrow a
    band by chance; earlier names never depend on later ones.
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
