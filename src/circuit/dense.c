#include "circuit/circuit_internal.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>

enum { REFINEMENTS = 2 };

static const double pivot_least = 1e-11;       /* of the scaled matrix: below it the rounding of a part's value shows in the fifth digit */
static const double correction_most = 1e-6;    /* what no pivot tells: the solution is not there to six digits */

bool rw__dense_start(rw__dense *s, int n, int n_b, rw_arena *scratch)
{
	*s = (rw__dense){.n = n, .n_b = n_b};
	s->a = RW_ARENA_NEW(scratch, double complex, n * n);
	s->factors = RW_ARENA_NEW(scratch, double complex, n * n);
	s->rows = RW_ARENA_NEW(scratch, double complex, n * n);
	s->b = RW_ARENA_NEW(scratch, double complex, n * n_b);
	s->x = RW_ARENA_NEW(scratch, double complex, n * n_b);
	s->rest = RW_ARENA_NEW(scratch, double complex, n);
	s->scale_column = RW_ARENA_NEW(scratch, double, n);
	s->row_of = RW_ARENA_NEW(scratch, size_t, n);
	return s->a && s->rows && s->factors && s->b && s->x && s->rest && s->scale_column && s->row_of;
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

/* Row by row copies for the library: its matrix to keep and its matrix to factor. */
static bool factor(rw__dense *s, gsl_matrix_complex *lu, gsl_permutation *p)
{
	int sign;
	for (int row = 0; row < s->n; row++)
		for (int column = 0; column < s->n; column++) {
			s->rows[row * s->n + column] = s->a[column * s->n + row];
			s->factors[row * s->n + column] = s->a[column * s->n + row];
		}
	if (gsl_linalg_complex_LU_decomp(lu, p, &sign) != GSL_SUCCESS)
		return false;
	for (int k = 0; k < s->n; k++)
		if (!(size(s->factors[k * s->n + k]) > pivot_least))
			return false;
	return true;
}

/* Solved and refined. Returns what the refinement still moved, relative to the largest unknown. */
static double solve_one(rw__dense *s, const gsl_matrix_complex *a, const gsl_matrix_complex *lu, const gsl_permutation *p,
    const double complex *b,
                        double complex *x)
{
	const size_t n = (size_t)s->n;
	gsl_vector_complex_const_view right = gsl_vector_complex_const_view_array((const double *)b, n);
	gsl_vector_complex_view left = gsl_vector_complex_view_array((double *)x, n), rest = gsl_vector_complex_view_array((double *)s->rest, n);
	double correction = 0.0;
	if (gsl_linalg_complex_LU_solve(lu, p, &right.vector, &left.vector) != GSL_SUCCESS)
		return (double)INFINITY;
	for (int step = 0; step < REFINEMENTS; step++) {
		double most = 0.0, moved = 0.0;
		if (gsl_linalg_complex_LU_refine(a, lu, p, &right.vector, &left.vector, &rest.vector) != GSL_SUCCESS)
			return (double)INFINITY;
		for (int k = 0; k < s->n; k++) {   /* the library leaves its step in the rest */
			most = fmax(most, size(x[k]));
			moved = fmax(moved, size(s->rest[k]));
		}
		if (step == 0 && most > 0.0)
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
	const size_t n = (size_t)s->n;
	*correction = 1.0;
	if (!scale(s))
		return false;
	gsl_matrix_complex_view a = gsl_matrix_complex_view_array((double *)s->rows, n, n),
	    lu = gsl_matrix_complex_view_array((double *)s->factors, n, n);
	gsl_permutation p = {n, s->row_of};
	if (!factor(s, &lu.matrix, &p))
		return false;
	*correction = 0.0;
	for (int k = 0; k < s->n_b; k++)
		*correction = fmax(*correction, solve_one(s, &a.matrix, &lu.matrix, &p, s->b + k * s->n, s->x + k * s->n));
	return *correction <= correction_most;
}
