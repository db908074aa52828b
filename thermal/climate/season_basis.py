"""Which winter the energy and cost of a season are those of, in words."""

from __future__ import annotations

from dataclasses import dataclass

from thermal.climate.heating_seasons import Weather


@dataclass(frozen=True)
class SeasonBasis:
    """The winter behind the figures of a season.

    Attributes
    ----------
    complete : int
        Number of complete winters; without any there are no figures of a season.
    label : str
        Name of the only complete winter; empty where there are more, or none.
    joined : bool
        Whether that winter is put together from the halves of one calendar year.
    """

    complete: int
    label: str = ""
    joined: bool = False

    @property
    def has_median(self) -> bool:
        """Whether one winter is typical and another the worst."""
        return self.complete > 1

    @property
    def short(self) -> str:
        """The winter in a heading: "typical winter" or "winter 2016"."""
        if not self.complete:
            return "no complete winter"
        return f"winter {self.label}" if self.label and self.label != "typical" else "typical winter"

    @property
    def phrase(self) -> str:
        """The winter in a sentence: "a typical winter" or "winter 2016, the only complete one"."""
        if not self.complete:
            return "the days that the weather file covers"
        if self.joined:
            return f"winter {self.label}, put together from the halves of {self.label}"
        if self.label and self.label != "typical":
            return f"winter {self.label}, the only complete one"
        return "a typical winter"

    @property
    def span(self) -> str:
        """What a figure is for, behind its unit: "a winter", or "in the days covered"."""
        return "a winter" if self.complete else "in the days covered"


TYPICAL = SeasonBasis(2)


def season_basis(weather: Weather) -> SeasonBasis:
    """The winter behind the figures of a season.

    Parameters
    ----------
    weather : Weather
        The winters.
    """
    labels = [winter.label for winter in weather.winters if winter.complete]
    return SeasonBasis(len(labels), labels[0] if len(labels) == 1 else "", weather.joined_year is not None)
