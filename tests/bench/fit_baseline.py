# SPDX-License-Identifier: GPL-3.0-or-later
"""The fit of tests/bench/fit_bench.cpp as a short script does it: degree of cure from the heat balance, the law
integrated along the lag-corrected temperature, seven parameters and the loss coefficient by SciPy's least_squares.

fit_baseline.py loop|ivp RUN.csv ...   prints the seconds of the fit alone (no reading, no intervals).
"""
import sys
import time
import tomllib

import numpy as np
import pandas as pd
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares
from scipy.signal import savgol_filter

R = 8.31446261815324e-3
T_REFERENCE = 345.0


def run_of(path):
    table = pd.read_csv(path)
    with open(path.replace(".csv", ".batch.toml"), "rb") as file:
        batch = tomllib.load(file)
    t = table["time_s"].to_numpy()
    step = t[1] - t[0]
    lag = batch["sensor"]["lag_s"]
    reading = table["pot_c"].to_numpy()
    temperature = savgol_filter(reading, 25, 3) + lag * savgol_filter(reading, 25, 3, deriv=1, delta=step)
    dose = batch["dose"]
    dosed = np.clip((t - dose["start_s"]) * dose["rate_g_per_min"] / 60.0, 0.0, dose["total_g"])
    boiling = np.flatnonzero(temperature > 99.5)
    end = boiling[0] if boiling.size and temperature.max() > 100.5 else t.size
    # As few points as do: one a kelvin, and one half a minute.
    keep = [0]
    for i in range(1, end):
        if abs(temperature[i] - temperature[keep[-1]]) > 1.0 or t[i] - t[keep[-1]] > 30.0:
            keep.append(i)
    resin = batch["charge"]["resin_g"]
    capacity = resin * batch["charge"]["specific_heat_j_per_g_k"] + batch["vessel"]["heat_capacity_j_per_k"]
    capacity = capacity + dosed * dose["specific_heat_j_per_g_k"]
    air = batch["surroundings"]["temperature_c"]
    over = temperature - air
    lost = np.concatenate([[0.0], np.cumsum(0.5 * (over[1:] + over[:-1]) * np.diff(t))])
    heat = resin * batch["cure"]["heat_of_reaction_j_per_g"]
    stored = capacity * (temperature - temperature[0]) / heat
    return {
        "t": t[keep],
        "inverse": (1.0 / T_REFERENCE - 1.0 / (temperature[keep] + 273.15)) / R,
        "c": np.maximum(dosed[keep] / resin / 0.05, 0.0),
        "stored": stored[keep],
        "lost": lost[keep] / heat,
    }


def rate(p, inverse, c, a):
    a = min(max(a, 1e-12), 1.0 - 1e-12)
    k1 = np.exp(p[0] + p[1] * inverse)
    k2 = np.exp(p[2] + p[3] * inverse)
    return c ** p[6] * (k1 + k2 * a ** p[4]) * (1.0 - a) ** p[5] if c > 0.0 else 0.0


def degrees_side_by_side(p, runs):
    """Runge-Kutta, all runs in one loop of numpy vectors."""
    size = max(run["t"].size for run in runs)

    def padded(key):
        return np.array([np.pad(run[key], (0, size - run[key].size), mode="edge") for run in runs])

    t, inverse, c = padded("t"), padded("inverse"), padded("c")
    a = np.zeros_like(t)

    def rates(inv, cat, now):
        now = np.clip(now, 1e-12, 1.0 - 1e-12)
        return np.where(cat > 0.0, np.maximum(cat, 1e-12) ** p[6], 0.0) * (
            np.exp(p[0] + p[1] * inv) + np.exp(p[2] + p[3] * inv) * now ** p[4]) * (1.0 - now) ** p[5]

    for i in range(size - 1):
        h = t[:, i + 1] - t[:, i]
        middle, middle_c = 0.5 * (inverse[:, i] + inverse[:, i + 1]), 0.5 * (c[:, i] + c[:, i + 1])
        k1 = rates(inverse[:, i], c[:, i], a[:, i])
        k2 = rates(middle, middle_c, a[:, i] + 0.5 * h * k1)
        k3 = rates(middle, middle_c, a[:, i] + 0.5 * h * k2)
        k4 = rates(inverse[:, i + 1], c[:, i + 1], a[:, i] + h * k3)
        a[:, i + 1] = a[:, i] + h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
    return [a[k, :run["t"].size] for k, run in enumerate(runs)]


def degree_by_ivp(p, run):
    t = run["t"]
    solution = solve_ivp(
        lambda at, a: [rate(p, np.interp(at, t, run["inverse"]), np.interp(at, t, run["c"]), a[0])],
        (t[0], t[-1]), [0.0], method="LSODA", t_eval=t, rtol=1e-7, atol=1e-9)
    return solution.y[0] if solution.success and solution.y.shape[1] == t.size else np.full(t.size, 2.0)


def main():
    method, files = sys.argv[1], sys.argv[2:]
    runs = [run_of(path) for path in files]

    def residuals(p):
        if method == "loop":
            modelled = degrees_side_by_side(p, runs)
        else:
            modelled = [degree_by_ivp(p, run) for run in runs]
        return np.concatenate([m - run["stored"] - p[7] * run["lost"] for m, run in zip(modelled, runs)])

    begin = time.perf_counter()
    # The start is given: finding one is not counted against the script.
    start = np.array([-4.5, 55.0, -3.0, 50.0, 0.7, 1.3, 1.1, 0.75])
    scale = np.array([1.0, 10.0, 1.0, 10.0, 0.3, 0.3, 0.3, 0.1])
    # solve_ivp is off by about its rtol: with SciPy's own difference step of 1e-8 its slopes would be noise, and the
    # search would stop near where it starts.
    found = least_squares(residuals, start, x_scale=scale, ftol=1e-6, xtol=1e-6, diff_step=1e-4,
                          bounds=([-20, 5, -20, 5, 0.05, 0.1, 0.0, 0.05], [3, 200, 3, 200, 3, 4, 3, 5]))
    seconds = time.perf_counter() - begin
    if not found.success:
        sys.exit("the script's fit did not converge")
    print(f"{seconds:.3f}")
    print("parameters", np.array2string(found.x, precision=4), "evaluations", found.nfev, file=sys.stderr)


main()
