"""Simulates a 2 V valve-regulated lead-acid cell of a published parameter set at 25 °C: rest voltage, pulses, discharges.

Writes one JSON. Needs PyBaMM (26.10 was used), NumPy.
"""
import json, warnings
import numpy as np, pybamm
warnings.filterwarnings("ignore"); pybamm.set_logging_level("ERROR")
nom = 17.0
def params(a):
    p = pybamm.ParameterValues("Sulzer2019")
    p["Ambient temperature [K]"] = 298.15; p["Initial temperature [K]"] = 298.15
    p["Current function [A]"] = a
    p["Number of cells connected in series to make a battery"] = 1
    return p
def simulation(a=1.0, experiment=None, vmin=1.75):
    p = params(a)
    if experiment is None: p["Current function [A]"] = a
    p["Lower voltage cut-off [V]"] = vmin
    return pybamm.Simulation(pybamm.lead_acid.Full(), parameter_values=p, experiment=experiment, solver=pybamm.CasadiSolver(mode="safe", rtol=1e-6, atol=1e-6))
out = {"id": "Sulzer2019", "discharges": [], "rest": [], "pulse": []}
for c in (0.01, 0.05, 0.1, 0.2, 0.5, 1.0):
    a = c * nom
    s = simulation(a).solve([0, 3600 * 2.5 / c])
    out["discharges"].append({"c": c, "a": a, "t": float(s.t[-1]), "ah": a * float(s.t[-1]) / 3600, "end": s.termination})
    print(out["discharges"][-1], [float(s["Voltage [V]"](t)) for t in np.linspace(0, s.t[-1], 6)], flush=True)
q = out["discharges"][0]["ah"]
print("slow capacity", q)
# Rest after each twentieth, then a minute at 0.2C from there.
prefix_done = None
for k in range(0, 20):
    steps = [f"Discharge at {nom/10} A for {k*q/20/(nom/10)*3600:.3f} seconds"] if k else []
    steps += ["Rest for 12 hours", pybamm.step.current(0.2 * nom, duration=60, period=0.1)]
    try:
        e = pybamm.Experiment(steps, period="10 minutes")
        s = simulation(experiment=e, vmin=1.0).solve()
        t = s["Time [s]"].entries; v = s["Voltage [V]"].entries; i = s["Current [A]"].entries
        on = s.cycles[-1] if len(s.cycles) else s
        tt, vv = on["Time [s]"].entries, on["Voltage [V]"].entries
        before = s.cycles[-2]["Voltage [V]"].entries[-1]
        r = [(before - float(np.interp(tt[0] + x, tt, vv))) / (0.2 * nom) for x in (0.1, 1, 10, 60)]
        out["rest"].append([1 - k / 20, float(before)]); out["pulse"].append([1 - k / 20] + r)
        print(1 - k / 20, float(before), r, flush=True)
    except Exception as e:
        print(k, repr(e)[:200], flush=True)
# The last tenth, slowly.
for soc in (0.025, 0.01, 0.0):
    steps=[f"Discharge at {nom/10} A for {0.9*q/(nom/10)*3600:.3f} seconds", f"Discharge at {nom/100} A for {(0.1-soc)*q/(nom/100)*3600:.3f} seconds", "Rest for 12 hours", pybamm.step.current(0.2*nom, duration=60, period=0.1)]
    s=simulation(experiment=pybamm.Experiment(steps, period="10 minutes"), vmin=0.9).solve()
    on=s.cycles[-1]; tt,vv=on["Time [s]"].entries,on["Voltage [V]"].entries
    before=s.cycles[-2]["Voltage [V]"].entries[-1]
    r=[(before-float(np.interp(tt[0]+x,tt,vv)))/(0.2*nom) for x in (0.1,1,10,60)]
    out["rest"].append([soc, float(before)]); out["pulse"].append([soc] + r)
json.dump(out, open("lead.json", "w"))
