"""Temperature of a cell that warms itself, without and with the heat that diffusion in the grains makes.

Prints self_heating.json. Needs PyBaMM (26.10.1 was used). Full electrochemical model, lumped temperature, 1C from full.
"""
import json, pybamm, warnings
warnings.filterwarnings("ignore"); pybamm.set_logging_level("ERROR")

cases = []
for name, current, stop_v in (("Chen2020", 5.0, 2.5), ("Marquis2019", 0.680616, 3.105)):
    for degc in (5, 25, 40):
        for mixing in ("false", "true"):
            p = pybamm.ParameterValues(name)
            p["Ambient temperature [K]"] = p["Initial temperature [K]"] = degc + 273.15
            p.update({"Current function [A]": current, "Lower voltage cut-off [V]": stop_v})
            p.set_initial_state(1.0)
            model = pybamm.lithium_ion.DFN({"thermal": "lumped", "heat of mixing": mixing})
            solver = pybamm.IDAKLUSolver(rtol=1e-6, atol=1e-6)
            sol = pybamm.Simulation(model, parameter_values=p, solver=solver).solve([0, 8000])
            rise = float(sol["Volume-averaged cell temperature [K]"].entries[-1]) - 273.15 - degc
            cases.append({"cell": name, "degc": degc, "mixing": mixing == "true", "time_s": round(float(sol.t[-1]), 2), "rise_k": round(rise, 4)})
print(json.dumps({"note": "PyBaMM 26.10.1 DFN, made by self_heating.py", "cases": cases}, indent=1))
