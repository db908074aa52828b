"""Which designs run through which winters: a sample only through the hardest ones and its own, others through all.

All of these columns are simulated in one batch. Its results are laid out by design and winter again, NaN where a design
was not simulated.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from thermal.climate.cold_spells import coldest_winters, hardest_winters, winters_from_mild_to_cold
from thermal.climate.heating_seasons import Weather
from thermal.core.arrays import Array

OF_EACH_KIND = 1  # winters of each kind that a sample runs through beside its own
NO_WINTER = -1  # of a design that is no sample


@dataclass(frozen=True)
class SampleDesigns:
    """The uncertainty samples among the designs of a study.

    Attributes
    ----------
    numbers : range
        Their numbers, that of the plan as written first; empty where there are none.
    winter : Array of int, shape (sample,)
        Index of the winter that each has, without the plan as written.
    """

    numbers: range = range(0)
    winter: Array = field(default_factory=lambda: np.zeros(0, dtype=int))

    def includes(self, positions: Array) -> Array:
        """Whether each design, given by its number, is a sample or the plan as written among them, (design,)."""
        return np.isin(positions, self.numbers)

    def winter_of_samples(self, positions: Array) -> Array:
        """Winter of each sample, given by its number, (design,); `NO_WINTER` for those that are no samples."""
        own_winter = np.full(len(positions), NO_WINTER)
        samples = np.isin(positions, self.numbers[1:])
        own_winter[samples] = self.winter[positions[samples] - self.numbers.start - 1]
        return own_winter


def winter_at(weather: Weather, share: Array) -> Array:
    """Index of the complete winter at each share of the winters from the mildest to the coldest, (sample,).

    Parameters
    ----------
    weather : Weather
        The winters.
    share : Array, shape (sample,)
        From 0 to 1 [-].
    """
    ranked = winters_from_mild_to_cold(weather)
    complete = np.array([weather.winters[winter].complete for winter in ranked])
    longest = int(np.argmax([winter.hours for winter in weather.winters]))
    chosen = ranked[complete] if complete.any() else np.array([longest])
    return np.asarray(chosen[(share * len(chosen)).astype(int)])


@dataclass(frozen=True)
class WinterColumns:
    """Columns of a batch: a design in a winter each.

    Attributes
    ----------
    design, winter : Array of int, shape (column,)
        Their indices.
    """

    design: Array
    winter: Array

    def table(self, columns: Array, shape: tuple[int, int]) -> Array:
        """Values of the columns by design and winter, (..., design, winter); NaN where there is no column.

        Parameters
        ----------
        columns : Array, shape (..., column)
            In any unit.
        shape : (int, int)
            Number of designs and of winters.
        """
        laid_out = np.full((*columns.shape[:-1], *shape), np.nan)
        laid_out[..., self.design, self.winter] = columns
        return laid_out


def every_winter(own_winter: Array, weather: Weather) -> WinterColumns:
    """Each design in all winters, and each sample in the hardest ones and its own.

    Parameters
    ----------
    own_winter : Array of int, shape (design,)
        Winter of each sample; `NO_WINTER` for those that are no samples.
    weather : Weather
        The winters.
    """
    everywhere, hardest = np.arange(len(weather.winters)), hardest_winters(weather, OF_EACH_KIND)
    winters = [everywhere if own == NO_WINTER else np.union1d(hardest, own) for own in own_winter]
    return WinterColumns(np.repeat(np.arange(len(own_winter)), [len(own) for own in winters]), np.concatenate(winters))


def some_winters(designs: Array, winters: Array) -> WinterColumns:
    """Some designs in some winters, all given by their indices."""
    return WinterColumns(np.repeat(designs, len(winters)), np.tile(winters, len(designs)))


def join_columns(parts: list[WinterColumns]) -> WinterColumns:
    """The columns of several sets one after the other."""
    return WinterColumns(
        np.concatenate([part.design for part in parts]), np.concatenate([part.winter for part in parts])
    )


def columns_of_study(samples: range, weather: Weather) -> int:
    """Number of columns that the designs of a study have, the samples last.

    Parameters
    ----------
    samples : range
        Numbers of the plan as written and of its samples.
    weather : Weather
        The winters.
    """
    winters, needed = len(weather.winters), len(hardest_winters(weather))
    hardest, coldest = len(hardest_winters(weather, OF_EACH_KIND)), len(coldest_winters(weather))
    sampled = max(len(samples) - 1, 0)
    written = samples.stop - sampled
    return written * (winters + needed) + sampled * min(hardest + 1, winters) + len(samples) * coldest
