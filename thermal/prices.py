"""What a kilowatt-hour costs at each hour."""

from __future__ import annotations

import numpy as np
import pandas as pd

from thermal.air import Array
from thermal.plan import Power


def hourly_price(power: Power, times: pd.DatetimeIndex) -> Array:
    """Price of each hour [currency/kWh]: the first period that covers it, else the base price.

    times : local hours. An hour that a period covers only in part is priced in proportion.
    """
    price = np.full(len(times), power.price)
    for period in reversed(power.periods):
        share = np.array(period.hours)[times.hour]
        covered = np.isin(times.month, period.months) & np.isin(times.day_of_week, period.weekdays)
        share = np.where(covered, share, 0.0)
        price = share * period.price + (1.0 - share) * price
    return price
