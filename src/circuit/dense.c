#include "circuit/circuit_internal.h"

#include <math.h>

enum { REFINEMENTS = 2 };

static const double pivot_least = 1e-11;       /* of the scaled matrix: below it the rounding of a part's value shows in the fifth digit */
static const double correction_most = 1e-6;    /* what no pivot tells: the solution is not there to six digits */

bool rw__dense_start(rw__dense *s, int n, int n_b, rw_arena *scratch)
{
	*s = (rw__dense){.n = n, .n_b = n_b};
	s->a = RW_ARENA_NEW(scratch, double complex, n * n);
	s->factors = RW_ARENA_NEW(scratch, double complex, n * n);
	s->b = RW_ARENA_NEW(scratch, double complex, n * n_b);
	s->x = RW_ARENA_NEW(scratch, double complex, n * n_b);
	s->rest = RW_ARENA_NEW(scratch, double complex, n);
	s->scale_column = RW_ARENA_NEW(scratch, double, n);
	s->row_of = RW_ARENA_NEW(scratch, int, n);
	return s->a && s->factors && s->b && s->x && s->rest && s->scale_column && s->row_of;
}

static double size(double complex z) { return fmax(fabs(creal(z)), fabs(cimag(z))); }

static bool is_finite(double complex z) { return isfinite(creal(z)) && isfinite(cimag(z)); }

/* The power of two that takes the largest of n elements, step apart, to 1/2..1; 0 when they are all zero or not finite. */
static double scale_of(const double complex *first, int n, int step)
{
	double most = 0.0;
	int power;
	for (int k = 0; k < n; k++) {
		if (!is_finite(first[k * step]))
			return 0.0;
		most = fmax(most, size(first[k * step]));
	}
	(void)frexp(most, &power);
	return most > 0.0 ? ldexp(1.0, -power) : 0.0;
}

/* First the rows, then the columns; the right sides with the rows. */
static bool scale(rw__dense *s)
{
	const int n = s->n;
	for (int row = 0; row < n; row++) {
		double by = scale_of(s->a + row, n, n);
		if (by == 0.0)
			return false;
		for (int column = 0; column < n; column++)
			s->a[column * n + row] *= by;
		for (int k = 0; k < s->n_b; k++)
			s->b[k * n + row] *= by;
	}
	for (int column = 0; column < n; column++) {
		double by = s->scale_column[column] = scale_of(s->a + column * n, n, 1);
		if (by == 0.0)
			return false;
		for (int row = 0; row < n; row++)
			s->a[column * n + row] *= by;
	}
	return true;
}

static void exchange(rw__dense *s, int a, int b)
{
	for (int column = 0; column < s->n; column++) {
		double complex *top = s->factors + column * s->n, keep = top[a];
		top[a] = top[b];
		top[b] = keep;
	}
	int keep = s->row_of[a];
	s->row_of[a] = s->row_of[b];
	s->row_of[b] = keep;
}

static bool factor(rw__dense *s)
{
	const int n = s->n;
	for (int k = 0; k < n * n; k++)
		s->factors[k] = s->a[k];
	for (int k = 0; k < n; k++)
		s->row_of[k] = k;
	for (int k = 0; k < n; k++) {
		double complex *pivots = s->factors + k * n;
		int best = k;
		for (int row = k + 1; row < n; row++)
			if (size(pivots[row]) > size(pivots[best]))
				best = row;
		if (!(size(pivots[best]) > pivot_least))
			return false;
		if (best != k)
			exchange(s, best, k);
		for (int row = k + 1; row < n; row++)
			if (pivots[row] != 0.0)
				pivots[row] /= pivots[k];
		for (int column = k + 1; column < n; column++) {
			double complex *top = s->factors + column * n;
			if (top[k] != 0.0)
				for (int row = k + 1; row < n; row++)
					top[row] -= pivots[row] * top[k];
		}
	}
	return true;
}

/* rest = b - A x, then rest = the step that this asks of x. */
static void find_step(rw__dense *s, const double complex *b, const double complex *x)
{
	const int n = s->n;
	double complex *y = s->rest;
	for (int k = 0; k < n; k++)
		y[k] = b[s->row_of[k]];
	for (int column = 0; column < n; column++)
		if (x[column] != 0.0)
			for (int k = 0; k < n; k++)
				y[k] -= s->a[column * n + s->row_of[k]] * x[column];
	for (int column = 0; column < n; column++)
		if (y[column] != 0.0)
			for (int row = column + 1; row < n; row++)
				y[row] -= s->factors[column * n + row] * y[column];
	for (int column = n - 1; column >= 0; column--) {
		y[column] /= s->factors[column * n + column];
		for (int row = 0; row < column; row++)
			y[row] -= s->factors[column * n + row] * y[column];
	}
}

/* From x = 0, so that the first step is the solution and the others refine it. Returns the size of the first refinement. */
static double solve_one(rw__dense *s, const double complex *b, double complex *x)
{
	double correction = 0.0;
	for (int step = 0; step <= REFINEMENTS; step++) {
		double most = 0.0, moved = 0.0;
		find_step(s, b, x);
		for (int k = 0; k < s->n; k++) {
			x[k] += s->rest[k];
			most = fmax(most, size(x[k]));
			moved = fmax(moved, size(s->rest[k]));
		}
		if (step == 1 && most > 0.0)
			correction = moved / most;
	}
	for (int k = 0; k < s->n; k++) {
		x[k] *= s->scale_column[k];
		if (!is_finite(x[k]))
			correction = (double)INFINITY;
	}
	return correction;
}

bool rw__dense_solve(rw__dense *s, double *correction)
{
	*correction = 1.0;
	if (!scale(s) || !factor(s))
		return false;
	*correction = 0.0;
	for (int k = 0; k < s->n_b; k++)
		*correction = fmax(*correction, solve_one(s, s->b + k * s->n, s->x + k * s->n));
	return *correction <= correction_most;
}
