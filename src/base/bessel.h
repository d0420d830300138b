/* Modified Bessel functions of complex argument in the wedge |arg z| <= pi/4, where the fields in conductors live: the real axis and
 * k r with k = (1 + j)/delta, and what lies between.
 * Three routes: power series to |z| = 2; Steed's continued fraction for K with Lentz's for I1/I0 and the Wronskian to |z| = 30; Hankel's
 * asymptotic series above. No step of them takes the difference of near equals. Each comes within 2e-14 of the exact value, relative.
 * src  NIST Digital Library of Mathematical Functions, 10.25 to 10.40; N. M. Temme, J. Comput. Phys. 19, 324, 1975; status memory */
#ifndef RW_BASE_BESSEL_H
#define RW_BASE_BESSEL_H

#include <complex.h>

#include "base/error.h"

/* re + j im; CMPLX of the standard is not there for every compiler with this C library. */
static inline double complex rw_complex(double re, double im) { return re + im * (double complex)_Complex_I; }

/* Scaled so that nothing overflows: i0 = exp(-z) I0(z), i1 likewise, k0 = exp(z) K0(z), k1 likewise. */
typedef struct rw_bessel { double complex i0, i1, k0, k1; } rw_bessel;

/* All four. in z != 0 in the wedge   errs RW_E_RANGE outside, for zero and for |z| > 1e150   cost about 1 us */
RW_MUST_USE rw_status rw_bessel_scaled(double complex z, rw_bessel *out, rw_error *err);

/* The same of real argument, within 3e-15, by the library; cheaper.
 * in x from 1e-150 to 1e150   errs RW_E_RANGE outside   cost about 0.15 us */
typedef struct rw_bessel_real { double i0, i1, k0, k1; } rw_bessel_real;
RW_MUST_USE rw_status rw_bessel_scaled_real(double x, rw_bessel_real *out, rw_error *err);

/* The ratio F = 2 I1(z)/(z I0(z)) through t = 1/F - 1, an odd thing that keeps its relative accuracy where F is nearly 1: t -> q/2.
 * in   q = z^2/4, Re q >= 0 (so that z is in the wedge), |q| <= 1e300; may be 0
 * errs RW_E_RANGE   cost at most 80 steps of the continued fraction */
RW_MUST_USE rw_status rw_bessel_ratio(double complex q, double complex *t, rw_error *err);

#endif
