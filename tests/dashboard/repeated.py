"""A snapshot of hundreds of gardens: those of a small one, repeated."""

import pandas as pd

#: How often each garden stands there.
COPIES = 40


class Repeated:
    """A snapshot whose gardens are repeated under further names, a little way off."""

    def __init__(self, of):
        self.of = of

    def __getattr__(self, name):
        return getattr(self.of, name)

    def frame(self, name, trial=None, season=None):
        rows = self.of.frame(name, trial, season)
        if "site" not in rows or rows.empty:
            return rows
        parts = [rows.assign(site=rows["site"] + ("" if at == 0 else f"-{at}")) for at in range(COPIES)]
        if "position_km" in rows:
            parts = [part.assign(position_km=part["position_km"] + at / 10) for at, part in enumerate(parts)]
        whole = pd.concat(parts, ignore_index=True)
        return whole.sort_values("position_km", ignore_index=True) if name == "gardens" else whole
