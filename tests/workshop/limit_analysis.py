"""One screw by plastic limit analysis: a second method for the yield-limit equations."""

from __future__ import annotations

from functools import cache

import numpy as np
from scipy.optimize import linprog

from roomcheck.standards.awc_wood_screws import GAUGES

IN = 0.0254


@cache
def lateral_lbf(screw: str, gap_in: float, side_in: float, depth_in: float) -> float:
    """The largest load for which bearing under the wood's strength and bending under the screw's
    can be in equilibrium along the screw: a linear programme, no failure mode named; over the
    reduction for small diameters. [lbf]"""
    gauge = GAUGES[screw]
    d_in = gauge.root_m / IN
    bearing = 16_600 * 0.42**1.84 * d_in  # lbf per inch, NDS 12.3.3.2
    moment = gauge.yield_psi * d_in**3 / 6
    n = 400
    total = side_in + gap_in + depth_in
    mids = (np.arange(n) + 0.5) * total / n
    in_side, in_main = mids < side_in, mids > side_in + gap_in
    step = total / n
    # Unknowns: bearing of each slice, and the load, which acts on the side member alone.
    bounds = [(-bearing, bearing) if wood else (0, 0) for wood in in_side | in_main]
    bounds.append((0, None))
    on_side = np.append(np.where(in_side, step, 0.0), -1.0)
    on_main = np.append(np.where(in_main, step, 0.0), 1.0)
    turning = np.append(mids * step, 0.0)
    ends = np.arange(1, n) * step
    arms = np.clip(ends[:, None] - mids[None, :], 0, None) * step
    bending = np.hstack([arms, np.zeros((n - 1, 1))])
    found = linprog(
        np.append(np.zeros(n), -1.0),
        A_ub=np.vstack([bending, -bending]),
        b_ub=np.full(2 * (n - 1), moment),
        A_eq=np.vstack([on_side, on_main, turning]),
        b_eq=np.zeros(3),
        bounds=bounds,
    )
    return -found.fun / (2.2 if d_in <= 0.17 else 10 * d_in + 0.5)
