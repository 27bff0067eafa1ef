"""Write pyet_1_5_0.csv: needs pyet 1.5.0 (pip install pyet==1.5.0) beside numpy and pandas."""

from pathlib import Path

import numpy as np
import pandas as pd
import pyet

rng = np.random.default_rng(56)
days = pd.date_range("2025-01-01", periods=365)
season = -np.cos(2 * np.pi * (days.day_of_year - 15) / 365)
tmax = pd.Series(19 + 14 * season + rng.normal(0, 5, 365), days).round(1)
tmin = (tmax - rng.uniform(5, 18, 365)).round(1)
rh_min = pd.Series(rng.uniform(20, 60, 365), days).round(0)
rh_max = (rh_min + rng.uniform(10, 40, 365)).round(0)
wind = pd.Series(rng.uniform(0.5, 6, 365), days).round(1)
tables = []
for latitude, elevation in ((38.5, 500.0), (-20.0, 1200.0)):
    radians = np.radians(latitude)
    rs = (pyet.extraterrestrial_r(days, radians) * rng.uniform(0.3, 0.74, 365)).round(2)
    pm = pyet.pm_fao56(
        (tmax + tmin) / 2,
        wind,
        rs=rs,
        elevation=elevation,
        lat=radians,
        tmax=tmax,
        tmin=tmin,
        rhmax=rh_max,
        rhmin=rh_min,
    )
    hargreaves = pyet.hargreaves((tmax + tmin) / 2, tmax, tmin, lat=radians)
    columns = {
        "day": days.day_of_year,
        "latitude": latitude,
        "elevation": elevation,
        "tmax": tmax,
        "tmin": tmin,
    }
    columns |= {
        "rh_max": rh_max,
        "rh_min": rh_min,
        "wind": wind,
        "rs": rs,
        "pm_fao56": pm,
        "hargreaves": hargreaves,
    }
    tables.append(pd.DataFrame(columns))
pd.concat(tables).round(5).to_csv(Path(__file__).with_name("pyet_1_5_0.csv"), index=False)
