"""Whether the name of a new weather file is free: nothing is replaced in silence."""

from __future__ import annotations

from thermal.climate.library import available
from thermal.climate.writer import check_name
from thermal.errors import ClimateError


def check_free(name: str, force: bool) -> None:
    """Check that a name is allowed and that no weather file has it, unless that one may be replaced.

    Parameters
    ----------
    name : str
        The name.
    force : bool
        Whether an existing file may be replaced. One that comes with the program is never: the new one, in the
        climates folder, is read instead.

    Raises
    ------
    ClimateError
        When the name is not allowed, or taken.
    """
    taken = available().get(check_name(name))
    if taken is not None and not force:
        raise ClimateError(
            f"a weather file is called {name} already ({taken}); choose another name, or add --force to replace it"
        )
