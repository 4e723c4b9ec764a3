"""Simulates fresh cells of published parameter sets: rest voltage, pulses, discharges.

Writes one JSON a set, in the layout of the reference cells. Needs PyBaMM (26.10 was used), NumPy.
"""
import json, sys, warnings
import numpy as np, pybamm
warnings.filterwarnings("ignore"); pybamm.set_logging_level("ERROR")

def build(name, temp_c, thermal=False, mode=None):
    p = pybamm.ParameterValues(name)
    p["Ambient temperature [K]"] = temp_c + 273.15
    p["Initial temperature [K]"] = temp_c + 273.15
    return p

def model(mode, thermal=False):
    opt = {"thermal": "lumped" if thermal else "isothermal"}
    if mode == "power": opt["operating mode"] = "power"
    if mode == "resistance": opt["operating mode"] = "resistance"
    return pybamm.lithium_ion.DFN(opt)

def ocv(name):
    p = pybamm.ParameterValues(name)
    param = pybamm.LithiumIonParameters()
    sim = pybamm.lithium_ion.ElectrodeSOHSolver(p, param)
    x0, x100, y100, y0 = sim.get_min_max_stoichiometries()
    T = p["Reference temperature [K]"]
    Un = lambda x: float(np.ravel(p.evaluate(param.n.prim.U(pybamm.Scalar(x), pybamm.Scalar(T))))[0])
    Up = lambda y: float(np.ravel(p.evaluate(param.p.prim.U(pybamm.Scalar(y), pybamm.Scalar(T))))[0])
    s = np.linspace(0, 1, 101)
    v = np.array([Up(y0 + a * (y100 - y0)) - Un(x0 + a * (x100 - x0)) for a in s])
    Q = float(np.ravel(p.evaluate(param.n.prim.Q_init))[0]) * (x100 - x0)
    return s, v, Q

def run(name, temp, soc, mode, value, t_end, vmin, thermal=False, t_eval=None):
    p = build(name, temp)
    p["Lower voltage cut-off [V]"] = vmin if t_eval is None else vmin - 1.5
    p["Upper voltage cut-off [V]"] = p["Upper voltage cut-off [V]"] + 0.3
    m = model(mode, thermal)
    p2 = pybamm.ParameterValues(name)
    key = {"current": "Current function [A]", "power": "Power function [W]", "resistance": "Resistance function [Ohm]"}[mode]
    q = p.copy()
    q.update({key: value}, check_already_exists=False)
    # state from the set's own limits
    q["Lower voltage cut-off [V]"] = p2["Lower voltage cut-off [V]"]; q["Upper voltage cut-off [V]"] = p2["Upper voltage cut-off [V]"]
    q.set_initial_state(soc)
    q["Lower voltage cut-off [V]"] = p["Lower voltage cut-off [V]"]; q["Upper voltage cut-off [V]"] = p["Upper voltage cut-off [V]"]
    solver = pybamm.IDAKLUSolver(rtol=1e-6, atol=1e-6)
    sim = pybamm.Simulation(m, parameter_values=q, solver=solver)
    te = np.array([0, t_end]) if t_eval is None else np.array(t_eval)
    return sim.solve(te, t_interp=te if t_eval is not None else None)

def main(name):
    p = pybamm.ParameterValues(name)
    vmin, vmax, nom = p["Lower voltage cut-off [V]"], p["Upper voltage cut-off [V]"], p["Nominal cell capacity [A.h]"]
    s, v, Q = ocv(name)
    out = {"id": name, "v_min_V": vmin, "v_max_V": vmax, "nominal_capacity_Ah": nom, "ocv_capacity_Ah": Q,
           "ocv_25C_V": [round(float(x), 6) for x in v], "pulse": {}, "discharges": []}
    for T in (5, 25):
        rows = []
        for soc in (0.05, .1, .2, .3, .4, .5, .6, .7, .8, .9, .95, 1.0):
            try:
                te = [0, 0.1, 1, 10, 60]
                sol = run(name, T, soc, "current", nom, 60, vmin, t_eval=te)
                V = sol["Voltage [V]"](np.array(te)); 
                U = float(sol["Bulk open-circuit voltage [V]"](np.array([0.0]))[0])
                rows.append([soc, U] + [round((U - float(x)) / nom * 1e3, 4) for x in V[1:]] )
            except Exception as e:
                try:
                    te = [0, 0.1, 1, 10]
                    sol = run(name, T, soc, "current", nom, 10, vmin, t_eval=te)
                    V = sol["Voltage [V]"](np.array(te)); U = float(sol["Bulk open-circuit voltage [V]"](np.array([0.0]))[0])
                    rows.append([soc, U] + [round((U - float(x)) / nom * 1e3, 4) for x in V[1:]] + [None])
                except Exception as e2:
                    rows.append([soc, None, None, None, None, None]); print(name, T, soc, str(e2)[:80])
        out["pulse"][f"{T}C"] = rows
    vm = float(np.trapezoid(v, s))
    rates = {5: (0.1, 0.2, 0.5, 1.0), 25: (0.1, 0.2, 0.5, 1.0, 2.0), 40: (0.2, 1.0)}
    for T, cs in rates.items():
        for c in cs:
            for mode in ("current", "power", "resistance"):
                val = {"current": c * nom, "power": c * nom * vm, "resistance": vm / (c * nom)}[mode]
                try:
                    sol = run(name, T, 1.0, mode, val, 3600 * 2 / c, vmin)
                    t = float(sol.t[-1])
                    if sol.termination == "final time": print("no cutoff", name, T, c, mode); continue
                    out["discharges"].append({"load": mode, "c": c, "T": T, "value": val, "t": t, "ah": float(sol["Discharge capacity [A.h]"].entries[-1])})
                except Exception as e:
                    print(name, T, c, mode, str(e)[:100])
    json.dump(out, open(f"set_{name}.json", "w"))
    print(name, Q, len(out["discharges"]), flush=True)

for n in sys.argv[1:]:
    try: main(n)
    except Exception as e: print("FAILED", n, repr(e)[:300], flush=True)
