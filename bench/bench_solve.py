#!/usr/bin/env python3
"""The balances of all cases of a solve by SciPy, from the parts the program chose, in the JSON lines of bench_solve.c; and how far apart the two are.

The same three equations a case: the fundamental of valve and tank, the grid leak, the supply with its bleeder; anode swing, bias and anode
volts unknown. Class C means by fixed Gauss-Legendre, vectorised over nodes (bench_class_c.py). Two ways: scipy.optimize.root from one plain
start, and the program's own kind of method, a scan over 60 amplitudes with brentq for bias and swing, which also finds that there is no other.
Processor time of one core; bench_solve is run first, in the same run. usage: bench_solve.py [file]    (needs numpy and scipy)
"""
import json
import math
import os
import pathlib
import subprocess
import sys
import time

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
	os.environ.setdefault(name, "1")
import numpy as np
from scipy.optimize import brentq, root

import bench_class_c as class_c

ROOT = pathlib.Path(__file__).resolve().parents[1]
SCAN_STEPS, SCAN_LOW, SCAN_HIGH = 60, 0.02, 1.3
counted = 0


def means(va, vam, bias, vgm, emission):
	"""Mean and fundamental of anode current, mean and fundamental of grid current."""
	global counted
	counted += 1
	total, _ = class_c.gauss([np.array([x]) for x in (va, vam, bias, vgm)], emission)
	return total[0, 0], total[1, 0], total[4, 0], total[5, 0]


class Case:
	def __init__(self, set_figures, case):
		of = lambda key: (case["figures"].get(key) or set_figures[key])["value"]
		self.want = [of("oscillator.anode_swing_pk"), of("oscillator.grid_bias"), of("oscillator.anode_voltage_dc")]
		self.conductance = 1.0 / of("tank.anode_load_resistance")
		self.ratio = of("tank.grid_winding_voltage_pk") / self.want[0]
		self.leak = of("oscillator.grid_leak")
		self.bleeder = of("protection.bleeder_resistance")
		self.no_load = of("supply.no_load_voltage_dc")
		self.resistance = of("supply.phase_resistance")
		self.reactance = of("supply.phase_reactance")
		self.secondary = of("supply.secondary_voltage_rms") * of("case.mains_factor")
		self.arms = 2.0 * of("supply.diodes_in_series") * of("supply.diode_drop_dc")
		emission = set_figures.get("valve.emission", {}).get("value")
		self.emission = math.inf if emission is None else emission

	def supply(self, current):
		"""Direct volts of the bridge: commutation by its three pieces, winding resistance, diodes."""
		x = math.sqrt(2.0) * self.reactance * current / self.secondary
		if x <= 0.5:
			kept = 1.0 - 0.5 * x
		elif x <= 0.5 * math.sqrt(3.0):
			kept = 0.5 * math.sqrt(3.0) * math.sqrt(1.0 - x * x)
		else:
			kept = max(math.sqrt(3.0) - 1.5 * x, 0.0)
		return self.no_load * kept - 2.0 * self.resistance * current - self.arms

	def residuals(self, unknown):
		"""Swing, bias and volts over the no-load volts to three residuals, each relative."""
		vam, bias, va = (x * self.no_load for x in unknown)
		ia, ia1, ig, ig1 = means(va, vam, bias, self.ratio * vam, self.emission)
		return [(ia1 - self.ratio * ig1) / vam / self.conductance - 1.0, (bias + self.leak * ig) / self.no_load,
		        (va - self.supply(ia + va / self.bleeder)) / self.no_load]

	def by_root(self):
		for start in (0.85, 1.0, 0.7):
			found = root(self.residuals, [start, -0.08, 0.95], method="hybr", options={"xtol": 1e-12})
			if max(abs(r) for r in found.fun) < 1e-9:
				return [x * self.no_load for x in found.x]
		raise RuntimeError("no root")

	def by_scan(self):
		"""Bias inside volts inside swing, as the program nests them."""
		va = self.no_load

		def surplus(vam, tolerance):
			nonlocal va
			vgm = self.ratio * vam
			for _ in range(60):
				leak = lambda bias: bias + self.leak * means(va, vam, bias, vgm, self.emission)[2]
				bias = brentq(leak, -vgm, 0.0, xtol=tolerance * vgm)
				ia, ia1, ig, ig1 = means(va, vam, bias, vgm, self.emission)
				given = self.supply(ia + va / self.bleeder)
				if abs(va - given) <= tolerance * self.no_load:
					break
				va = given
			return (ia1 - self.ratio * ig1) / vam - self.conductance, bias

		before, found = None, None
		for step in range(SCAN_STEPS + 1):
			vam = self.no_load * (SCAN_LOW + (SCAN_HIGH - SCAN_LOW) * step / SCAN_STEPS)
			y, _ = surplus(vam, 1e-8)
			if before and found is None and before[1] > 0.0 >= y:
				found = brentq(lambda x: surplus(x, 1e-12)[0], before[0], vam, xtol=1e-11 * self.no_load)
				result = [found, surplus(found, 1e-12)[1], va]
			before = (vam, y)
		return result


def solve_all(cases, method):
	global counted
	counted, off = 0, [0.0, 0.0, 0.0]
	start = time.process_time()
	found = [getattr(case, method)() for case in cases]
	seconds = time.process_time() - start
	for case, got in zip(cases, found):
		off = [max(o, abs(g / w - 1.0)) for o, g, w in zip(off, got, case.want)]
	return seconds / len(cases), counted / len(cases), off


def main():
	file = sys.argv[1] if len(sys.argv) > 1 else "examples/forge-400.yaml"
	env = {**os.environ, "RFWRIGHT_DATA": os.environ.get("RFWRIGHT_DATA", str(ROOT / "data"))}
	lines = subprocess.run(["build/release/bench/bench_solve", file], cwd=ROOT, env=env, text=True, stdout=subprocess.PIPE, check=True).stdout.splitlines()
	print("\n".join(lines))
	ours = next(row for row in map(json.loads, lines) if row.get("threads") == 1)["seconds_per_balance"]
	solved = json.loads(subprocess.run(["build/release/src/rfwright", "solve", "--format", "json", file], cwd=ROOT, env=env, stdout=subprocess.PIPE, check=True).stdout)
	figures = solved["figures"]
	class_c.P, class_c.MU, class_c.D = (figures[f"valve.{key}"]["value"] for key in ("perveance", "mu", "division"))
	cases = [Case(figures, case) for case in solved["cases"] if case["solved"] and case["valve"] == "new"]
	for method, text in (("by_root", "scipy.optimize.root"), ("by_scan", "scipy.optimize.brentq in a scan")):
		seconds, points, off = solve_all(cases, method)
		print(json.dumps({"bench": "solve", "method": text, "file": file, "cases": len(cases), "seconds_per_balance": float(f"{seconds:.6g}"),
		                  "class_c_points": round(points, 1), "ratio_to_rfwright": float(f"{seconds / ours:.4g}"),
		                  "greatest_difference_swing": float(f"{off[0]:.2g}"), "greatest_difference_bias": float(f"{off[1]:.2g}"),
		                  "greatest_difference_anode_volts": float(f"{off[2]:.2g}")}))


if __name__ == "__main__":
	main()
