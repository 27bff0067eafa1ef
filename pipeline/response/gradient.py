"""tmp"""

import numpy as np, pandas as pd
from scipy.special import stdtrit
from pipeline.response.network import pool


def gradient_band(effect, variance, x, *, method, interval, prediction):
    xs = np.linspace(x.min(), x.max(), 50)
    rows = []
    for at in xs:
        p = pool(effect, variance, {"x": x - at}, method, interval, prediction=prediction)
        t = p.gradient.terms[0]
        tq = stdtrit(len(x) - 2, 0.975)
        h = tq * np.sqrt((p.gradient.tau2 or 0) + t.se**2)
        rows.append(
            dict(
                at=at,
                mean=t.coefficient,
                mean_low=t.ci_low,
                mean_high=t.ci_high,
                new_low=t.coefficient - h,
                new_high=t.coefficient + h,
            )
        )
    return pd.DataFrame(rows)
