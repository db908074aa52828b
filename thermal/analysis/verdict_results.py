"""Results of judging the inhabitants of a plan one by one; frozen values only.

Every field of `InhabitantVerdict` and `Remedy` has its own name in the JSON answer, under "verdict" and "remedies".
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class InhabitantVerdict:
    """Whether water and air are warm enough for one animal or plant, with the recommended heaters on.

    Water is judged at the lowest temperature that an animal, or a plant's roots, stand for a season (`lowest_water` of
    `species.toml`), not at the one from which it feeds and grows. Air is judged for plants only. "Met" means in every
    hour of the winter.

    Attributes
    ----------
    name, kind : str
        The species, or "plants (not named)"; "fish", "crustacean" or "plant".
    water_ok : bool
        Whether the water is never below `lowest_water_c`.
    air_ok : bool or None
        Whether the air is never below `lowest_air_c`; None for animals.
    hours_water : float
        Hours with the water below `lowest_water_c` [h].
    hours_air : float or None
        Hours with the air below `lowest_air_c` [h]; None for animals.
    coldest_air_c : float
        Coldest hour of the air around tanks and beds [degC].
    coldest_water_c : float
        Coldest hour of the water: the beds' for plants where there are beds, otherwise the tank's [degC].
    lowest_water_c : float
        Lowest water that it stands for a season [degC].
    lowest_air_c : float or None
        Lowest air that its leaves stand [degC]; None for animals.
    water_below_at, air_below_at : str or None
        First hour below those limits, ISO 8601, local standard time; None where there is none.
    frost_hours : float
        Hours with the air below 0 degC [h].
    winter : str
        The winter judged.
    """

    name: str
    kind: str
    water_ok: bool
    air_ok: bool | None
    hours_water: float
    hours_air: float | None
    coldest_air_c: float
    coldest_water_c: float
    lowest_water_c: float
    lowest_air_c: float | None
    water_below_at: str | None
    air_below_at: str | None
    frost_hours: float
    winter: str

    @property
    def ok(self) -> bool:
        """Whether water and air are warm enough."""
        return self.water_ok and self.air_ok is not False


@dataclass(frozen=True)
class Remedy:
    """A change of the plan with which the air is warm enough for its plants.

    Attributes
    ----------
    name, meaning : str
        What is done, and its size or hours; the second is empty where there is none.
    needed_w : float
        Heaters needed to keep the water at its minimum, and the air where a heater in it is a part of the remedy [W].
    kwh, cost : float
        The heater's energy [kWh] and its cost with the standing charge [currency] in the plan's typical winter.
    coldest_air_c : float
        Coldest hour of the air around the plants, over the winters [degC].
    """

    name: str
    meaning: str
    needed_w: float
    kwh: float
    cost: float
    coldest_air_c: float


@dataclass(frozen=True)
class Verdict:
    """The inhabitants of a plan judged one by one, and what helps the plants whose air is too cold.

    Attributes
    ----------
    inhabitants : tuple of InhabitantVerdict
        Named species in the order of the plan, then plants without a name; "verdict".
    remedies : tuple of Remedy
        Changes that make the air warm enough, the cheapest first; empty where the air is warm enough.
    other_plants : tuple of str
        Plants of `species.toml` that stand the air and the water as they are; empty where the air is warm enough.
    """

    inhabitants: tuple[InhabitantVerdict, ...]
    remedies: tuple[Remedy, ...] = ()
    other_plants: tuple[str, ...] = ()

    @property
    def ok(self) -> bool:
        """Whether water and air are warm enough for all."""
        return all(item.ok for item in self.inhabitants)

    @property
    def plants_too_cold(self) -> tuple[InhabitantVerdict, ...]:
        """The plants whose air is too cold."""
        return tuple(item for item in self.inhabitants if item.air_ok is False)
