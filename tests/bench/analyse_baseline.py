# SPDX-License-Identifier: GPL-3.0-or-later
"""The baseline of analyse_bench: one run analysed by a short script on pandas and SciPy, from process start to exit.

The same steps as `potwatch analyse --json`: read, take out spikes, smooth, correct the lag, find onset and peak, fit the cooling,
balance the heat, and sixty draws for the intervals. It takes no care of dialects, faults, boiling or slow tails.
"""
import json
import sys
import tomllib

import numpy as np
import pandas as pd
from scipy.optimize import least_squares
from scipy.signal import medfilt, savgol_filter

file = sys.argv[1]
data = pd.read_csv(file)
with open(file.replace(".csv", ".batch.toml"), "rb") as batch_file:
    batch = tomllib.load(batch_file)

t = data["time_s"].to_numpy()
reading = data["pot_c"].to_numpy()
dt = np.median(np.diff(t))
middle = medfilt(reading, 11)
reading = np.where(np.abs(reading - middle) > 2.0, middle, reading)

dose = batch["dose"]
dosed = np.clip((t - dose["start_s"]) * dose["rate_g_per_min"] / 60, 0, dose["total_g"])
charge = batch["charge"]["resin_g"] * batch["charge"]["specific_heat_j_per_g_k"]
vessel = batch["vessel"]["heat_capacity_j_per_k"]
surroundings = batch["surroundings"]["temperature_c"]


def analysed(reading, lag, charge, vessel, surroundings):
    window = 33
    level = savgol_filter(reading, window, 3)
    slope = savgol_filter(reading, window, 3, deriv=1, delta=dt)
    curvature = savgol_filter(reading, window, 3, deriv=2, delta=dt)
    temperature = level + lag * slope
    rate = slope + lag * curvature
    peak = int(np.argmax(temperature))
    steepest = int(np.argmax(rate[:peak]))
    base = temperature[t < dose["start_s"]].mean()
    onset = t[steepest] - (temperature[steepest] - base) / rate[steepest]
    capacity = charge + vessel + dose["specific_heat_j_per_g_k"] * dosed
    over = temperature - surroundings
    tail = slice(peak + int(100 / dt), None)
    lost = np.concatenate([[0], np.cumsum((over[1:] + over[:-1]) / 2 * dt)])
    stored = capacity * over

    def residuals(p):
        return stored[tail][::20] - p[1] + p[0] * (lost[tail][::20] - lost[tail][0])

    loss = least_squares(residuals, [1.0, stored[tail][0]]).x[0]
    heat = stored + loss * lost
    return temperature[peak], t[peak], onset, loss, heat[-1]


best = analysed(reading, batch["sensor"]["lag_s"], charge, vessel, surroundings)
random = np.random.default_rng(1)
u = batch["uncertainty"]
draws = [
    analysed(
        reading + random.normal(0, 0.14, len(t)),
        random.normal(batch["sensor"]["lag_s"], u["lag_s"]),
        charge * random.normal(1, u["specific_heat_rel"]),
        random.normal(vessel, u["vessel_j_per_k"]),
        surroundings,
    )
    for _ in range(60)
]
names = ["peak_c", "peak_s", "onset_s", "loss_w_per_k", "heat_j"]
print(json.dumps({n: {"value": v, "u": s} for n, v, s in zip(names, best, np.std(draws, axis=0))}))
