"""Write xclim_0_62_0.csv: needs xclim 0.62.0 (pip install xclim==0.62.0) beside numpy, pandas and xarray.

Monthly sums of growing degree days of a real record, by xclim.indices.growing_degree_days: daily mean above a
threshold, which is method 1 of McMaster & Wilhelm (1997).
"""

from pathlib import Path

import pandas as pd
import xarray as xr
from xclim import indices

RECORD = Path(__file__).parents[1] / "weather" / "champion_ne_2014_2018.csv"

record = pd.read_csv(RECORD, parse_dates=["date"]).set_index("date").loc["2016"]
mean = ((record["tmax_c"] + record["tmin_c"]) / 2).to_numpy()
tas = xr.DataArray(mean, dims="time", coords={"time": record.index.to_numpy()}, attrs={"units": "degC"})
tables = []
for base in (4.4, 7.2, 10.0, 12.8, 15.6):
    sums = indices.growing_degree_days(tas, thresh=f"{base} degC", freq="MS")
    tables.append(pd.DataFrame({"month": sums["time"].dt.month, "base_c": base, "degree_days_c": sums}))
pd.concat(tables).round(4).to_csv(Path(__file__).with_name("xclim_0_62_0.csv"), index=False)
