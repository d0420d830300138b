/* Roots, least values, quadrature and rounding: thin faces over the numeric library, with errors as values. */
#ifndef RW_BASE_NUMERIC_H
#define RW_BASE_NUMERIC_H

#include "base/error.h"
#include "base/work.h"

/* A function that may fail; context is passed through. */
typedef rw_status (*rw_function)(void *context, double x, double *y, rw_error *err);

typedef struct rw_root {
	double x, low, high;     /* the root and the bracket that still holds it */
	double residual;         /* f(x) */
	int    evaluations;
} rw_root;

/* Root of f in [low, high], where f changes sign, to |high - low| <= tolerance_abs + tolerance_rel |x| (Brent).
 * errs RW_E_ARG-like misuse is RW_E_INTERNAL; RW_E_NOSOLVE: no change of sign, or no convergence in 200 steps; errors of f pass */
RW_MUST_USE rw_status rw_root_find(rw_function f, void *context, double low, double high, double tolerance_abs, double tolerance_rel,
                                   rw_root *out, rw_error *err);

/* Least value of f in [low, high] (golden section with parabolas). */
RW_MUST_USE rw_status rw_least_find(rw_function f, void *context, double low, double high, double tolerance_abs, double *x, double *y,
    rw_error *err);

/* Adaptive Gauss-Kronrod quadrature of f over [low, high]. out *value, *error (absolute estimate). */
RW_MUST_USE rw_status rw_integrate(rw_function f, void *context, double low, double high, double tolerance_abs, double tolerance_rel,
                                   double *value, double *error, rw_error *err);

/* Nodes and weights of Gauss-Legendre on (-1, 1), by Newton on the polynomial to the last digits. n from 1 to some hundreds. */
void rw_gauss_legendre(int n, double *node, double *weight);

/* Rounding to what can be bought or written down. */
double rw_ceil_to(double x, double step);         /* up to a multiple of step; a multiple within 1e-9 (relative) stays; NAN for step <= 0 */
double rw_round_digits(double x, int digits);     /* to so many significant decimal digits */
double rw_round_e24(double x);                    /* nearest value of the E24 series (IEC 60063), by ratio; NAN for x <= 0 */
double rw_meter_scale(double x);                  /* least end of a pointer instrument's scale at or above x (1e-9 over counts as at it): 1, 1.2, 1.5, 2, 2.5, 3, 4, 5,
                                                   * 6, 7.5, 8 times a power of ten (memory of IEC 60051); NAN for x <= 0 */
double rw_ceil_in(const double *series, int n, double x);  /* least listed value >= x; NAN when none */

#endif
