/* Shared by the files of the valve room: the characteristic region by region, and the quadrature nodes. */
#ifndef RW_VALVE_VALVE_INTERNAL_H
#define RW_VALVE_VALVE_INTERNAL_H

#include <math.h>

#include "valve/valve.h"

/* Regions of the (anode volts, grid volts) plane within which the divided law is one smooth formula. */
typedef enum rw__region {
	RW__NEGATIVE,    /* vg <= 0 < va: all space current to the anode */
	RW__ROOT,        /* va >= vg > 0: grid share by the square root */
	RW__SQUARE,      /* 0 < va < vg: grid share by the square */
	RW__SWALLOWED,   /* va <= 0: all to the grid, none when vg <= 0 */
	RW__IDEAL        /* the other law: one formula everywhere; emission does not limit it */
} rw__region;

static inline rw__region rw__region_of(const rw_valve_law *law, double va, double vg)
{
	if (law->law == RW_LAW_IDEAL)
		return RW__IDEAL;
	if (va <= 0.0)
		return RW__SWALLOWED;
	return vg <= 0.0 ? RW__NEGATIVE : va >= vg ? RW__ROOT : RW__SQUARE;
}

static inline double rw__power_3_2(double x)
{
	x = x > 0.0 ? x : 0.0;
	return x * sqrt(x);
}

double rw__power(double x, double exponent);    /* x^exponent for x > 0, else 0 */

/* The currents with the region known: no comparison of volts, so that rounding at a region's edge cannot leave it. */
static inline void rw__currents_in(const rw_valve_law *law, rw__region region, double va, double vg, double *ia, double *ig)
{
	if (region == RW__IDEAL) {
		*ia = law->perveance * rw__power(vg + va / law->mu, law->exponent);
		*ig = law->grid_perveance * rw__power_3_2(vg);
		return;
	}
	double ik = law->perveance * rw__power_3_2(region == RW__SWALLOWED ? vg : vg + va / law->mu);
	ik = ik < law->emission ? ik : law->emission;
	if (region == RW__NEGATIVE) {
		*ia = ik;
		*ig = 0.0;
	} else if (region == RW__SWALLOWED) {
		*ia = 0.0;
		*ig = ik;
	} else {
		double to_anode = law->division * va, to_grid;
		if (region == RW__ROOT) {
			to_grid = sqrt((vg > 0.0 ? vg : 0.0) * va);
		} else {
			to_anode *= va;
			to_grid = vg * vg;
		}
		double share = ik / (to_anode + to_grid);
		*ia = to_anode * share;
		*ig = to_grid * share;
	}
}

/* Gauss-Legendre on (0, 1); order is 4, 8, 16, 32 or 64. */
typedef struct rw__gauss_node { double at, weight; } rw__gauss_node;
const rw__gauss_node *rw__gauss(int order);

#endif
