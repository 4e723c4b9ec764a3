"""Simulates the sodium-ion cell of a published parameter set at 25 °C: rest voltage, pulses, discharges.

Writes one JSON. Needs PyBaMM (26.10 was used), NumPy.
"""
import json, warnings
import numpy as np, pybamm
warnings.filterwarnings("ignore"); pybamm.set_logging_level("ERROR")
NAME = "Chayambuka2022"
F = 96485.33212331001
base = pybamm.ParameterValues(NAME)
area = base["Electrode height [m]"] * base["Electrode width [m]"]
def moles(side):
    return base[f"{side} electrode active material volume fraction"] * base[f"{side} electrode thickness [m]"] * area
n_vol, p_vol = moles("Negative"), moles("Positive")
n_max, p_max = base["Maximum concentration in negative electrode [mol.m-3]"], base["Maximum concentration in positive electrode [mol.m-3]"]
n0, p0 = base["Initial concentration in negative electrode [mol.m-3]"], base["Initial concentration in positive electrode [mol.m-3]"]
un, up = base["Negative electrode OCP [V]"], base["Positive electrode OCP [V]"]
val = lambda f, s: float(np.ravel(f(pybamm.Scalar(s)).evaluate())[0])
def at(ah):
    return n0 - ah * 3600 / F / n_vol, p0 + ah * 3600 / F / p_vol
def rest(ah):
    n, p = at(ah)
    return val(up, p / p_max) - val(un, n / n_max)
V_MIN, V_MAX = 2.0, 4.2
def find(v):
    lo, hi = -0.0005, 0.004
    for _ in range(80):
        m = 0.5 * (lo + hi)
        lo, hi = (m, hi) if rest(m) > v else (lo, m)
    return 0.5 * (lo + hi)
def run(soc, a, t_eval, vmin):
    p = base.copy()
    n, q = at(start + (1 - soc) * cap)
    p.update({"Initial concentration in negative electrode [mol.m-3]": n, "Initial concentration in positive electrode [mol.m-3]": q,
              "Current function [A]": a, "Lower voltage cut-off [V]": vmin, "Upper voltage cut-off [V]": 4.6})
    sim = pybamm.Simulation(pybamm.sodium_ion.BasicDFN(), parameter_values=p, solver=pybamm.IDAKLUSolver(rtol=1e-6, atol=1e-8))
    return sim.solve(np.array(t_eval, float), t_interp=np.array(t_eval, float) if len(t_eval) > 2 else None)
start = find(V_MAX); cap = find(V_MIN) - start
nom = 0.003
out = {"id": NAME, "capacity_Ah": cap, "pulse_A": nom, "v_max": V_MAX, "ocv": [round(rest(start + (1 - s) * cap), 6) for s in np.linspace(0, 1, 101)], "pulse": [], "discharges": []}
for soc in (0.05, .1, .2, .3, .4, .5, .6, .7, .8, .9, .95, 1.0):
    u = rest(start + (1 - soc) * cap)
    row = [soc, u]
    for te in ([0, .1, 1, 10, 60], [0, .1, 1, 10], [0, .1]):
        try:
            s = run(soc, nom, te, 1.0)
            v = s["Voltage [V]"](np.array(te))
            row += [(u - float(x)) / nom for x in v[1:]]
            break
        except Exception as e:
            print(soc, te, str(e)[:100])
    out["pulse"].append(row)
    print(row, flush=True)
for c in (0.1, 0.2, 0.5, 1.0):
    a = c * nom
    s = run(1.0, a, [0, 3600 * 1.5 / c], V_MIN)
    out["discharges"].append({"load": "current", "c": c, "T": 25, "value": a, "t": float(s.t[-1]), "ah": a * float(s.t[-1]) / 3600, "end": s.termination})
    print(out["discharges"][-1], flush=True)
json.dump(out, open("sodium.json", "w"))
