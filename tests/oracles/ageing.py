"""Simulates aged cells: lithium lost, or active material lost on either side, and what a maker would measure on them.

Writes ageing.json. Needs PyBaMM (26.10.1 was used), NumPy. Full electrochemical model at 25 degC; the electrodes'
new windows come from the package's own solver for the state of health.
"""
import json, warnings
import numpy as np, pybamm
warnings.filterwarnings("ignore"); pybamm.set_logging_level("ERROR")

SETS = {"Chen2020": ("nmc", 2.8, 3.0), "Marquis2019": ("lco", 3.2, 3.3), "NCA_Kim2011": ("nca", 2.8, 3.0), "Prada2013": ("lfp", 2.2, 2.6)}
AGED = {"fresh": (0, 0, 0), "lithium 15 %": (0.15, 0, 0), "lithium 25 %": (0.25, 0, 0), "negative 20 %": (0, 0.2, 0),
        "positive 20 %": (0, 0, 0.2), "lithium 12 % negative 15 %": (0.12, 0.15, 0), "lithium 10 % both 15 %": (0.10, 0.15, 0.15)}

def aged(name, lithium, negative, positive):
    """Parameters of the aged cell, and the charge of its electrodes and of its lithium."""
    p = pybamm.ParameterValues(name)
    param = pybamm.LithiumIonParameters()
    x100, y100 = pybamm.lithium_ion.get_initial_stoichiometries(1.0, p)
    q_n, q_p = (float(np.ravel(p.evaluate(q))[0]) for q in (param.n.prim.Q_init, param.p.prim.Q_init))
    q_li = (x100 * q_n + y100 * q_p) * (1 - lithium)
    for side, lost in (("Negative", negative), ("Positive", positive)):
        key = f"{side} electrode active material volume fraction"
        value = p[key]
        p[key] = (lambda x, f=value, k=1 - lost: f(x) * k) if callable(value) else value * (1 - lost)
    return p, q_n * (1 - negative), q_p * (1 - positive), q_li

def windows(p, q_n, q_p, q_li):
    solver = pybamm.lithium_ion.ElectrodeSOHSolver(p, pybamm.LithiumIonParameters())
    found = solver.solve({"Q_n": q_n, "Q_p": q_p, "Q_Li": q_li})
    return {key: float(np.ravel(found[key])[0]) for key in ("x_0", "x_100", "y_0", "y_100")}

def run(p, w, soc, mode, value, stop_v, times=None):
    q = p.copy()
    key = {"current": "Current function [A]", "power": "Power function [W]"}[mode]
    q.update({key: value, "Lower voltage cut-off [V]": stop_v, "Upper voltage cut-off [V]": p["Upper voltage cut-off [V]"] + 0.3}, check_already_exists=False)
    x, y = (w[a + "_0"] + soc * (w[a + "_100"] - w[a + "_0"]) for a in "xy")
    q["Initial concentration in negative electrode [mol.m-3]"] = x * p["Maximum concentration in negative electrode [mol.m-3]"]
    q["Initial concentration in positive electrode [mol.m-3]"] = y * p["Maximum concentration in positive electrode [mol.m-3]"]
    q["Initial temperature [K]"] = q["Ambient temperature [K]"] = 298.15
    model = pybamm.lithium_ion.DFN({"operating mode": mode} if mode == "power" else {})
    sim = pybamm.Simulation(model, parameter_values=q, solver=pybamm.IDAKLUSolver(rtol=1e-6, atol=1e-6))
    t = [0, 200000] if times is None else times
    return sim.solve(t, t_interp=times)

out = []
for name, (chemistry, end_v, floor_v) in SETS.items():
    for age, lost in AGED.items():
        try:
            p, q_n, q_p, q_li = aged(name, *lost)
            w = windows(p, q_n, q_p, q_li)
            charge = q_n * (w["x_100"] - w["x_0"])
            nominal = p["Nominal cell capacity [A.h]"]
            full_v = p["Upper voltage cut-off [V]"]
            test = run(p, w, 1.0, "current", 0.2 * nominal, end_v)
            times = [0, 10]
            pulse = run(p, w, 0.5, "current", 0.5 * nominal, 1.5, times)
            rest = float(pulse["Bulk open-circuit voltage [V]"].entries[0])
            ohm = (rest - float(pulse["Voltage [V]"](np.array(times))[-1])) / (0.5 * nominal)
            case = {"chemistry": chemistry, "age": age, "charge_ah": round(charge, 6), "full_v": full_v, "end_v": end_v, "floor_v": floor_v,
                    "test_a": 0.2 * nominal, "capacity_ah": round(float(test["Discharge capacity [A.h]"].entries[-1]), 6),
                    "pulse_a": 0.5 * nominal, "resistance_ohm": round(ohm, 6), "runs": []}
            mean_v = {"lfp": 3.2}.get(chemistry, 3.7)
            for mode, c in (("current", 0.1), ("current", 0.5), ("power", 0.1), ("power", 0.5)):
                value = c * charge * (mean_v if mode == "power" else 1)
                sol = run(p, w, 1.0, mode, value, floor_v)
                case["runs"].append([mode, round(value, 6), round(float(sol.t[-1]), 2)])
            out.append(case)
            print(case, flush=True)
        except Exception as e:
            print("FAILED", name, age, repr(e)[:300], flush=True)
json.dump({"note": "PyBaMM 26.10.1 DFN, isothermal at 25 degC, aged cells of published parameter sets; made by ageing.py", "cells": out},
          open("ageing.json", "w"), indent=1)
