"""Array types that every level shares."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[Any]  # single or double precision
Numbers = float | Array
Precision = type[np.float32] | type[float]
