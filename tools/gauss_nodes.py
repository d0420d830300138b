#!/usr/bin/env python3
"""Writes src/valve/gauss_nodes.def: Gauss-Legendre nodes and weights on (0, 1) of orders 4, 8, 16, 32, 64.

Needs numpy. Newton's method on the Legendre recurrence in long doubles polishes numpy's nodes, so that the table is
right to the last digit of a double. Usage: tools/gauss_nodes.py > src/valve/gauss_nodes.def
"""
import numpy as np

ORDERS = (4, 8, 16, 32, 64)


def legendre(n, x):
	"""P_n(x) and its derivative."""
	p0, p1 = np.longdouble(1), x
	for k in range(2, n + 1):
		p0, p1 = p1, ((2 * k - 1) * x * p1 - (k - 1) * p0) / k
	return p1, n * (x * p1 - p0) / (x * x - 1)


print("/* Made by tools/gauss_nodes.py; tested by the order conditions in tests/unit/test_valve_class_c.c.")
print(" * RW_GAUSS(order, node on (0, 1), weight) */")
for n in ORDERS:
	for x in np.polynomial.legendre.leggauss(n)[0].astype(np.longdouble):
		for _ in range(3):
			p, slope = legendre(n, x)
			x -= p / slope
		slope = legendre(n, x)[1]
		weight = 1 / ((1 - x * x) * slope * slope)
		print("RW_GAUSS(%d, %s, %s)" % (n, np.format_float_positional((1 + x) / 2, 19, False), np.format_float_positional(weight, 19, False)))
