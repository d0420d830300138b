#!/usr/bin/env python3
"""The swings of bench_class_c.c by SciPy, in the same JSON lines (processor time of one core): fixed Gauss-Legendre, vectorised over all swings (pieces between the
kinks, 24 nodes each, phase as the variable; sines of a half-turn take the roots off the ends), and scipy.integrate.quad over each piece.
usage: bench_class_c.py [points] [points for quad]      (needs numpy and scipy)
"""
import json
import sys
import time

import numpy as np
from scipy.integrate import quad

P, MU, D = 1.6e-3, 22.0, 2.4
NODES = 24


def spread(i, step):
	x = (i + 1) * step
	return x - np.floor(x)


def swings(n, light):
	i = np.arange(n)
	va = 6000.0 + 5000.0 * spread(i, 0.6180339887498949)
	bias = -va / 22.0 * (1.1 + 0.9 * spread(i, 0.4142135623730950))
	return va, va * ((0.93 if light else 0.70) + 0.20 * spread(i, 0.7320508075688772)), bias, -bias * (1.4 + 0.5 * spread(i, 0.2360679774997896))


def currents(va, vg, emission):
	x = np.maximum(vg + np.maximum(va, 0.0) / MU, 0.0)
	ik = np.minimum(P * x * np.sqrt(x), emission)
	plus, up = np.maximum(vg, 0.0), np.maximum(va, 1e-9)
	ratio = np.where(va >= vg, np.sqrt(plus / up), (plus / up) ** 2) / D
	ia = np.where(va > 0.0, ik / (1.0 + ratio), 0.0)
	return ia, ik - ia


def kinks(va, vam, bias, vgm, emission):
	"""Phases of the kinks, [n x kinks], sorted; those outside the swing at 0 or pi."""
	x = (emission / P) ** (2.0 / 3.0)
	c = [-(bias + va / MU) / (vgm - vam / MU), -bias / vgm, va / vam, (va - bias) / (vgm + vam)]
	if np.isfinite(emission):
		c += [(x - bias - va / MU) / (vgm - vam / MU), (x - bias) / vgm]
	c = np.stack([np.ones_like(va)] + c + [-np.ones_like(va)], axis=1)
	return np.sort(np.arccos(np.clip(c, -1.0, 1.0)), axis=1)


def figures(t, weight, swing, emission):
	va, vam, bias, vgm = (s[:, None] for s in swing)
	c = np.cos(t)
	v, g = va - vam * c, bias + vgm * c
	ia, ig = currents(v, g, emission)
	ia, ig = ia * weight, ig * weight
	return [np.sum(q, axis=1) / np.pi for q in (ia, 2 * ia * c, 2 * ia * np.cos(2 * t), 2 * ia * np.cos(3 * t), ig, 2 * ig * c, v * ia, g * ig)]


def gauss(swing, emission, block=4096):
	y, w = np.polynomial.legendre.leggauss(NODES)
	at, slope = 0.5 + 0.5 * np.sin(0.5 * np.pi * y), 0.25 * np.pi * np.cos(0.5 * np.pi * y) * w
	out, evaluations = [], 0
	for k in range(0, len(swing[0]), block):
		part = [s[k:k + block] for s in swing]
		edges = kinks(*part, emission)
		total = 0.0
		for p in range(edges.shape[1] - 1):
			a, b = edges[:, p:p + 1], edges[:, p + 1:p + 2]
			rows = np.flatnonzero(b[:, 0] > a[:, 0])
			if len(rows) == 0:
				continue
			sub = [s[rows] for s in part]
			value = np.zeros((8, len(part[0])))
			value[:, rows] = figures(a[rows] + (b - a)[rows] * at, (b - a)[rows] * slope, sub, emission)
			total = total + value
			evaluations += len(rows) * NODES
		out.append(total)
	return np.concatenate(out, axis=1), evaluations


def by_quad(swing, emission, tolerance):
	edges, out, evaluations = kinks(*swing, emission), np.zeros((8, len(swing[0]))), 0
	for i, (va, vam, bias, vgm) in enumerate(zip(*(s.tolist() for s in swing))):
		def value(t, f):
			c = np.cos(t)
			v, g = va - vam * c, bias + vgm * c
			x = g + max(v, 0.0) / MU
			ik = min(P * x ** 1.5, emission) if x > 0.0 else 0.0
			ratio = 0.0 if g <= 0.0 else 1e300 if v <= 0.0 else ((g / v) ** 0.5 if v >= g else (g / v) ** 2) / D
			ia = ik / (1.0 + ratio)
			ig = ik - ia
			return (ia, 2 * ia * c, 2 * ia * np.cos(2 * t), 2 * ia * np.cos(3 * t), ig, 2 * ig * c, v * ia, g * ig)[f] / np.pi
		for f in range(8):
			for a, b in zip(edges[i], edges[i][1:]):
				if b > a:
					part, _, info = quad(value, a, b, args=(f,), epsabs=0.0 if f in (0, 4) else tolerance * 1e-3, epsrel=tolerance, full_output=1)[:3]
					out[f, i] += part
					evaluations += info["neval"]
	return out, evaluations


def report(method, name, n, tolerance, seconds, evaluations, mean, off):
	print(json.dumps({"bench": "class_c", "method": method, "swings": name, "points": n, "tolerance": tolerance, "points_per_second": round(n / seconds),
	                  "evaluations_per_point": round(evaluations / n, 1), "mean_anode_current_dc": float("%.10g" % mean), "greatest_difference": off}))


def main():
	n = int(sys.argv[1]) if len(sys.argv) > 1 else 200000
	few = min(n, int(sys.argv[2]) if len(sys.argv) > 2 else 50)
	for light in (False, True):
		for emission in (np.inf, 14.0):
			name = ("light" if light else "loaded") + (" emission" if np.isfinite(emission) else "")
			swing = swings(n, light)
			start = time.process_time()
			fixed, evaluations = gauss(swing, emission)
			seconds = time.process_time() - start
			first = [s[:few] for s in swing]
			start = time.process_time()
			adaptive, counted = by_quad(first, emission, 1e-6)
			taken = time.process_time() - start
			off = float("%.2g" % np.max(np.abs(fixed[:4, :few] - adaptive[:4]) / adaptive[0]))
			report("numpy fixed Gauss-Legendre", name, n, None, seconds, evaluations, np.mean(fixed[0]), off)
			report("scipy.integrate.quad", name, few, 1e-6, taken, counted, np.mean(adaptive[0]), off)


if __name__ == "__main__":
	main()
