"""Charges fresh cells of four published parameter sets; writes charging.json beside this file.

Needs PyBaMM (26.10 was used). Full Doyle-Fuller-Newman model, isothermal, from rest.
"""
import json
import pathlib
import pybamm

SETS = {
    "NMC_Chen2020": "Chen2020",
    "LCO_Marquis2019": "Marquis2019",
    "LFP_Prada2013": "Prada2013",
    "NCA_Kim2011": "NCA_Kim2011",
}
# temperature, C-rate, start in percent, end current in C
CASES = [(t, c, 0, 0.05) for t in (25, 5, 40) for c in (0.5, 0.2, 1.0)] + [(25, 0.5, 50, 0.05), (25, 0.5, 20, 0.02)]
SOURCE = (
    "PyBaMM 26.10, full Doyle-Fuller-Newman model of the published parameter sets named by cell, default mesh, IDAKLU "
    "solver rtol and atol 1e-6; isothermal; starts at rest; constant current to charge_V, then constant voltage to "
    "cut_A; made by charging.py"
)


def case(cell, degc, rate, start, end):
    values = pybamm.ParameterValues(SETS[cell])
    values["Ambient temperature [K]"] = degc + 273.15
    values["Initial temperature [K]"] = degc + 273.15
    nominal = values["Nominal cell capacity [A.h]"]
    low, high = values["Lower voltage cut-off [V]"], values["Upper voltage cut-off [V]"]
    values.set_initial_state(start / 100)
    # The ends of the charge stand in the experiment; the model's own limits only get out of the way.
    values["Lower voltage cut-off [V]"] = low - 0.3
    values["Upper voltage cut-off [V]"] = high + 0.05
    steps = [f"Charge at {rate * nominal} A until {high} V", f"Hold at {high} V until {end * nominal} A"]
    simulation = pybamm.Simulation(
        pybamm.lithium_ion.DFN({"thermal": "isothermal"}),
        parameter_values=values,
        experiment=pybamm.Experiment(steps),
        solver=pybamm.IDAKLUSolver(rtol=1e-6, atol=1e-6),
    )
    result = simulation.solve(calc_esoh=False)
    first = result.cycles[0].steps[0]
    first_s = float(first.t[-1] - first.t[0])
    return {
        "id": f"{cell}|cccv|{rate:g}C|from {start:g}%|to {end:g}C|{degc:d} degC",
        "cell": cell,
        "temperature_C": degc,
        "c_rate": rate,
        "charge_A": rate * nominal,
        "charge_V": high,
        "cut_A": end * nominal,
        "start_soc_percent": start,
        "total_time_s": round(float(result.t[-1]), 2),
        "cc_time_s": round(first_s, 2),
        "charge_Ah": round(-float(result["Discharge capacity [A.h]"].entries[-1]), 6),
        "cc_charge_Ah": round(rate * nominal * first_s / 3600, 6),
    }


rows = [case(cell, *each) for cell in SETS for each in CASES]
text = ",\n".join("  " + json.dumps(row) for row in rows)
out = pathlib.Path(__file__).with_name("charging.json")
out.write_text('{\n "source": ' + json.dumps(SOURCE) + ',\n "cccv": [\n' + text + "\n ]\n}\n")
