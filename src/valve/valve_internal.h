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
	RW__IDEAL,       /* the law of test points: one formula everywhere; emission does not limit it */
	RW__POINTS       /* a cell of the table */
} rw__region;

static inline rw__region rw__region_of(const rw_valve_law *law, double va, double vg)
{
	if (law->law != RW_LAW_DIVIDED)
		return law->law == RW_LAW_POINTS ? RW__POINTS : RW__IDEAL;
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

/* Table of points. A cell is a rectangle between neighbouring volts, or what lies beyond the outermost: there it runs on straight.
 * root_ia [k][l]: of ia^(2/3) as a sum of (va - anode_at)^k (vg - grid_at)^l. */
typedef struct rw__cell { double anode_at, grid_at, root_ia[4][4], root_ig[4][4]; } rw__cell;

struct rw_valve_points {
	int n_anode, n_grid;           /* volts that part the cells: 0 V anode and one row below the lowest grid volts among them */
	const double *anode, *grid;
	const rw__cell *cells;         /* [n_anode + 1][n_grid + 1] */
	rw_points_span span;
};

/* A surface through values on a rectangle: slopes and twist at each node such that the cubics keep the order of the values. */
typedef struct rw__surface {
	int nx, ny;
	const double *x, *y;
	double *f, *fx, *fy, *fxy;     /* [nx][ny] */
	bool flat_at_low_x;            /* no slope in x at the lowest x */
	double low_y_slope;            /* at the lowest y, the same for all x: straight below; NAN: any */
} rw__surface;
void rw__surface_slopes(rw__surface *surface);
void rw__surface_cell(const rw__surface *surface, int i, int j, double a[4][4]);   /* cell 0..nx, 0..ny; 0 and nx beyond the outermost */

double rw__points_cutoff(const rw_valve_points *points, double va);

/* Number of knots at or under a value: the cell's index. */
static inline int rw__knots_under(const double *knots, int n, double x)
{
	int low = 0, high = n;
	while (low < high) {
		int middle = (low + high) / 2;
		if (knots[middle] <= x)
			low = middle + 1;
		else
			high = middle;
	}
	return low;
}

static inline const rw__cell *rw__cell_of(const rw_valve_points *points, double va, double vg)
{
	return &points->cells[rw__knots_under(points->anode, points->n_anode, va) * (points->n_grid + 1) +
	                      rw__knots_under(points->grid, points->n_grid, vg)];
}

static inline double rw__bicubic(const double a[4][4], double x, double y)
{
	double y2 = y * y, row[4];
	for (int k = 0; k < 4; k++)
		row[k] = (a[k][0] + a[k][1] * y) + y2 * (a[k][2] + a[k][3] * y);
	return (row[0] + row[1] * x) + x * x * (row[2] + row[3] * x);
}

static inline void rw__cell_currents(const rw_valve_law *law, const rw__cell *cell, double va, double vg, double *ia, double *ig)
{
	double x = va - cell->anode_at, y = vg - cell->grid_at;
	double a = law->perveance * rw__power_3_2(rw__bicubic(cell->root_ia, x, y)), g = law->perveance * rw__power_3_2(rw__bicubic(cell->root_ig, x, y));
	double sum = a + g;
	if (sum > law->emission) {
		a *= law->emission / sum;
		g *= law->emission / sum;
	}
	*ia = a;
	*ig = g;
}

/* Gauss-Legendre on (0, 1); order is 4, 8, 16, 32 or 64. */
typedef struct rw__gauss_node { double at, weight; } rw__gauss_node;
const rw__gauss_node *rw__gauss(int order);

#endif
