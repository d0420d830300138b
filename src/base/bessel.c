#include "base/bessel.h"

#include <float.h>
#include <gsl/gsl_sf_bessel.h>
#include <math.h>

enum { STEPS_MAX = 500 };

static const double series_to = 2.0, fractions_to = 30.0;   /* |z| */
static const double euler_gamma = 0.57721566490153286061;

static rw_status outside(double complex z, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_RANGE, "", "the argument '%.6g %+.6gj' is outside the wedge of the Bessel functions", creal(z), cimag(z));
	rw_error_expected(err, "not zero, finite, and at most 45 degrees off the real axis");
	return RW_E_RANGE;
}

/* |z|^2 and 1/z without the scaling of the standard's division: here |z| is neither near the greatest double nor near the least. */
static double square(double complex z)
{
	return creal(z) * creal(z) + cimag(z) * cimag(z);
}

static double complex inverse(double complex z)
{
	double below = 1.0 / square(z);
	return rw_complex(creal(z) * below, -cimag(z) * below);
}

/* Hankel: sum of sign^k a_k(order)/z^k, a_k = (4 n^2 - 1)(4 n^2 - 9)...(4 n^2 - (2k-1)^2)/(k! 8^k). Above |z| = 30 the terms fall below
 * the rounding long before they grow again. */
static double complex hankel(double complex z, int order, double sign)
{
	double complex step = 0.125 * sign * inverse(z), sum = 1.0, term = 1.0;
	for (int k = 1; k < 2 * (int)fractions_to && square(term) > 0.01 * DBL_EPSILON * DBL_EPSILON; k++) {
		double odd = 2.0 * k - 1.0;
		term *= (4.0 * order * order - odd * odd) / k * step;
		sum += term;
	}
	return sum;
}

/* F = 1/(1 + c1 q/(1 + c2 q/(1 + ...))) with c_n = 1/(n (n + 1)): this is 1/(1 + c2 q/(1 + c3 q/...)), as above/below by the forward
 * recurrence of both. Neighbours differ by the product of all c_n q over two belows; none of them grows past exp(30). */
static rw_status lower_fraction(double complex q, double complex *value, rw_error *err)
{
	double complex above = 1.0, above_before = 0.0, below = 1.0, below_before = 1.0;
	double size = square(q), product = 1.0;          /* of the squares */
	for (int n = 2; n < STEPS_MAX; n++) {
		double c = 1.0 / (n * (n + 1.0));
		double complex a = c * q, next_above = above + a * above_before, next_below = below + a * below_before;
		above_before = above, above = next_above;
		below_before = below, below = next_below;
		product *= c * c * size;
		if (product <= 0.25 * DBL_EPSILON * DBL_EPSILON * square(above) * square(below_before)) {
			*value = above * inverse(below);
			return RW_OK;
		}
	}
	return RW_RAISE(err, RW_E_NOSOLVE, "", "the continued fraction of the Bessel ratio does not settle");
}

rw_status rw_bessel_ratio(double complex q, double complex *t, rw_error *err)
{
	if (!(creal(q) >= -1e-12 * cabs(q) && cabs(q) <= 1e300))
		return outside(2.0 * csqrt(q), err);
	if (cabs(q) > 0.25 * fractions_to * fractions_to) {
		double complex z = 2.0 * csqrt(q);
		*t = 0.5 * z * hankel(z, 0, -1.0) * inverse(hankel(z, 1, -1.0)) - 1.0;
		return RW_OK;
	}
	double complex lower = 1.0;
	RW_TRY(lower_fraction(q, &lower, err));
	*t = 0.5 * q * lower;
	return RW_OK;
}

static void by_series(double complex z, rw_bessel *out)
{
	double complex q = 0.25 * z * z, term = 1.0, i0 = 1.0, i1 = 1.0, rest = 0.0;
	double harmonic = 0.0;
	for (int k = 1; k < STEPS_MAX && cabs(term) > 0.1 * DBL_EPSILON; k++) {
		term *= q / ((double)k * k);
		harmonic += 1.0 / k;
		i0 += term;
		i1 += term / (k + 1.0);
		rest += harmonic * term;
	}
	i1 *= 0.5 * z;
	double complex k0 = rest - (clog(0.5 * z) + euler_gamma) * i0;
	double complex k1 = (1.0 / z - i1 * k0) / i0;   /* Wronskian; 1/z outweighs the product */
	double complex up = cexp(z);
	*out = (rw_bessel){i0 / up, i1 / up, k0 * up, k1 * up};
}

/* Steed's and Temme's fraction for order 0: S and h with K0 = sqrt(pi/(2z)) exp(-z)/S, K1 = K0 (z + 1/2 - h/4)/z. */
static rw_status k_by_fraction(double complex z, rw_bessel *out, rw_error *err)
{
	double complex b = 2.0 * (1.0 + z), d = 1.0 / b, h = d, step = d, q1 = 0.0, q2 = 1.0, q = 0.25;
	double a = -0.25, c = 0.25;
	double complex s = 1.0 + q * step;
	for (int i = 2; i < STEPS_MAX; i++) {
		a -= 2.0 * (i - 1);
		c *= -a / i;
		double complex next = (q1 - b * q2) / a;
		q1 = q2;
		q2 = next;
		q += c * next;
		b += 2.0;
		d = inverse(b + a * d);
		step *= b * d - 1.0;
		h += step;
		s += q * step;
		if (square(q * step) < 0.25 * DBL_EPSILON * DBL_EPSILON * square(s)) {
			out->k0 = csqrt(M_PI / (2.0 * z)) / s;
			out->k1 = out->k0 * (z + 0.5 - 0.25 * h) / z;
			return RW_OK;
		}
	}
	return RW_RAISE(err, RW_E_NOSOLVE, "", "the continued fraction of the Bessel functions does not settle");
}

rw_status rw_bessel_scaled(double complex z, rw_bessel *out, rw_error *err)
{
	double size = cabs(z);
	rw_bessel b;
	if (!(size > 0.0 && size <= 1e150 && fabs(cimag(z)) <= (1.0 + 1e-12) * creal(z)))
		return outside(z, err);
	if (size <= series_to) {
		by_series(z, &b);
	} else if (size <= fractions_to) {
		double complex t;
		RW_TRY(k_by_fraction(z, &b, err));
		RW_TRY(rw_bessel_ratio(0.25 * z * z, &t, err));
		double complex ratio = 0.5 * z / (1.0 + t);
		b.i0 = 1.0 / (z * (b.k1 + ratio * b.k0));   /* Wronskian */
		b.i1 = ratio * b.i0;
	} else {
		double complex i = 1.0 / csqrt(2.0 * M_PI * z), k = csqrt(M_PI / (2.0 * z));
		b = (rw_bessel){i * hankel(z, 0, -1.0), i * hankel(z, 1, -1.0), k * hankel(z, 0, 1.0), k * hankel(z, 1, 1.0)};
	}
	*out = b;
	return RW_OK;
}

rw_status rw_bessel_scaled_real(double x, rw_bessel_real *out, rw_error *err)
{
	gsl_sf_result i0, i1, k0, k1;
	if (!(x > 1e-150 && x <= 1e150))
		return outside(rw_complex(x, 0.0), err);
	int failed = gsl_sf_bessel_I0_scaled_e(x, &i0) | gsl_sf_bessel_I1_scaled_e(x, &i1);
	failed |= gsl_sf_bessel_K0_scaled_e(x, &k0) | gsl_sf_bessel_K1_scaled_e(x, &k1);
	if (failed)
		return RW_RAISE(err, RW_E_NOSOLVE, "", "the Bessel functions of '%.6g' are not found", x);
	if (x < 1e-7)
		i1.val = 0.5 * x * exp(-x);              /* the library leaves the scaling out there */
	*out = (rw_bessel_real){i0.val, i1.val, k0.val, k1.val};
	return RW_OK;
}
