/* Inductance and field of air-cored round coils: elliptic integrals in Carlson's form, ring sums, one quadrature. */
#include "coil/inductance.h"

#include <float.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_sf_bessel.h>
#include <gsl/gsl_sf_ellint.h>
#include <math.h>

#include "base/constants.h"
#include "base/numeric.h"


/* Carlson's integrals with first argument 0, second y, third 1; NAN where the library gives up. */
static double carlson_f(double y)
{
	gsl_sf_result r;
	return gsl_sf_ellint_RF_e(0.0, y, 1.0, GSL_PREC_DOUBLE, &r) == GSL_SUCCESS ? r.val : (double)NAN;
}

static double carlson_d(double y, double z)
{
	gsl_sf_result r;
	return gsl_sf_ellint_RD_e(0.0, y, z, GSL_PREC_DOUBLE, &r) == GSL_SUCCESS ? r.val : (double)NAN;
}

static double carlson_j(double y, double p)
{
	gsl_sf_result r;
	return gsl_sf_ellint_RJ_e(0.0, y, 1.0, p, GSL_PREC_DOUBLE, &r) == GSL_SUCCESS ? r.val : (double)NAN;
}

/* Hands out a figure, unless the library gave none. */
static rw_status hand_out(double value, double *out, rw_error *err)
{
	if (!isfinite(value))
		return RW_RAISE(err, RW_E_NOSOLVE, "", "an elliptic integral of the coil was not found");
	*out = value;
	return RW_OK;
}

static bool is_size(double x) { return x > 0.0 && isfinite(x); }

rw_status rw_nagaoka(double diameter_to_length, double *coefficient, rw_error *err)
{
	double x = diameter_to_length;
	if (!(x >= 0.0 && x <= 1e6)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a coil of diameter over length '%.6g' is none", x);
		rw_error_expected(err, "0 to 1e6");
		return RW_E_RANGE;
	}
	if (x == 0.0) {
		*coefficient = 1.0;
		return RW_OK;
	}
	double root = hypot(1.0, x), k = x / root, kc = 1.0 / root, kc2 = kc * kc;
	double e_less_k;   /* E - k */
	if (x < 100.0) {
		e_less_k = kc2 * (carlson_d(kc2, 1.0) + carlson_d(1.0, kc2)) / 3.0 - k;
	} else {
		double l = log(4.0 / kc);
		e_less_k = kc2 * (0.5 * (l - 0.5) + kc2 * (3.0 / 16.0 * (l - 13.0 / 12.0) + kc2 * 45.0 / 384.0 * (l - 1.2)) + 1.0 / (1.0 + k));
	}
	return hand_out(4.0 / (3.0 * M_PI * kc) * (kc2 * carlson_d(kc2, 1.0) / 3.0 + e_less_k), coefficient, err);
}

static rw_status sheet_accepted(double turns, double diameter, double length, rw_error *err)
{
	if (is_size(turns) && is_size(diameter) && is_size(length) && diameter <= 1e6 * length)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "a current sheet of '%.6g' turns, diameter '%.6g m' and length '%.6g m' is not computed", turns,
	    diameter,
	               length);
	rw_error_expected(err, "all above zero, diameter up to a million times the length");
	return RW_E_RANGE;
}

rw_status rw_sheet_inductance(double turns, double diameter, double length, double *inductance, rw_error *err)
{
	double coefficient;
	RW_TRY(sheet_accepted(turns, diameter, length, err));
	RW_TRY(rw_nagaoka(diameter / length, &coefficient, err));
	*inductance = RW_MU0 * turns * turns * M_PI * diameter * diameter * coefficient / (4.0 * length);
	return RW_OK;
}

rw_status rw_filament_mutual(double a, double b, double distance, double *mutual, rw_error *err)
{
	double near = hypot(a - b, distance), far = hypot(a + b, distance);
	if (!(is_size(a) && is_size(b) && is_size(near) && is_size(far))) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "circles of radius '%.6g m' and '%.6g m', '%.6g m' apart, have no mutual inductance", a, b,
		    distance);
		rw_error_expected(err, "radii above zero and circles that do not coincide");
		return RW_E_RANGE;
	}
	/* k1 = (far - near)/(far + near) = 4ab/sum^2, and its complement squared is 4 near far/sum^2 */
	double sum = near + far, k1 = 4.0 * (a / sum) * (b / sum), complement2 = 4.0 * (near / sum) * (far / sum);
	return hand_out(2.0 / 3.0 * RW_MU0 * sqrt(a) * sqrt(b) * k1 * sqrt(k1) * carlson_d(complement2, 1.0), mutual, err);
}

rw_status rw_loop_inductance(double radius, double wire_radius, double internal, double *inductance, rw_error *err)
{
	if (!(is_size(radius) && is_size(wire_radius) && wire_radius <= 0.4 * radius && internal >= 0.0 && internal <= 1.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a turn of radius '%.6g mm' of tube of radius '%.6g mm' (internal inductance '%.4g') is not "
		    "computed",
		               radius * 1e3, wire_radius * 1e3, internal);
		rw_error_expected(err, "tube radius above zero and up to 0.4 of the turn's, internal inductance 0 to 1");
		return RW_E_RANGE;
	}
	double e2 = (wire_radius / radius) * (wire_radius / radius), x = log(8.0 * radius / wire_radius);
	double skin = x - 2.0 - e2 * (0.25 * (x - 1.0) * (x - 1.0) - 3.0 / 16.0), uniform = (1.0 + e2 / 8.0) * x + e2 / 24.0 - 1.75;
	*inductance = RW_MU0 * radius * (skin + internal * (uniform - skin));
	return RW_OK;
}

rw_status rw_helix_solve(const rw_helix *helix, rw_helix_inductance *out, rw_error *err)
{
	const rw_helix *h = helix;
	bool apart = h->turns == 1 || (h->pitch >= h->tube_diameter && isfinite(h->pitch));
	if (!(h->turns >= 1 && h->turns <= 1000 && apart)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "'%d' turns of '%.6g mm' tube at a pitch of '%.6g mm' are no coil", h->turns, h->tube_diameter * 1e3,
		               h->pitch * 1e3);
		rw_error_expected(err, "1 to 1000 whole turns, the pitch not under the tube's diameter");
		return RW_E_RANGE;
	}
	double radius = 0.5 * h->diameter, own, sheet;
	RW_TRY(rw_loop_inductance(radius, 0.5 * h->tube_diameter, h->internal, &own, err));
	RW_TRY(rw_sheet_inductance(h->turns, h->diameter, h->turns == 1 ? h->tube_diameter : h->turns * h->pitch, &sheet, err));
	double sum = h->turns * own;
	for (int k = 1; k < h->turns; k++) {
		double mutual;
		RW_TRY(rw_filament_mutual(radius, radius, k * h->pitch, &mutual, err));
		sum += 2.0 * (h->turns - k) * mutual;
	}
	*out = (rw_helix_inductance){.inductance = sum, .sheet = sheet, .uncertainty = fabs(sheet - sum) / sum};
	return RW_OK;
}

/* ---- thick coil ---- */

/* Integral of J0 from x to infinity for x >= 30: exp(jx) x^-1/2 SUM c_k x^-k, whose derivative is the Hankel function's own expansion. */
static double j0_remainder(double x)
{
	double re = 0.0, im = 1.0;        /* c_k x^-k, c_0 = j */
	double own = 1.0;                 /* a_k x^-k of H0 = sqrt(2/(pi x)) exp(j(x - pi/4)) SUM j^k a_k x^-k */
	double sum_re = re, sum_im = im;
	for (int k = 1; k <= 24; k++) {
		own *= -(2.0 * k - 1.0) * (2.0 * k - 1.0) / (8.0 * k * x);
		double s_re = k % 2 ? 0.0 : own * (k % 4 ? -1.0 : 1.0), s_im = k % 2 ? own * (k % 4 == 1 ? 1.0 : -1.0) : 0.0;
		double t_re = s_re - (k - 0.5) / x * re, t_im = s_im - (k - 0.5) / x * im;
		re = -t_im, im = t_re;        /* c_k = j (j^k a_k - (k - 1/2) c_(k-1)) */
		sum_re += re, sum_im += im;
	}
	double phase = x - 0.25 * M_PI;
	return sqrt(2.0 / (M_PI * x)) * (sum_re * cos(phase) - sum_im * sin(phase));
}

/* Integral of x J1(x) from 0 to x: its power series, then -x J0 plus the integral of J0 as 2 (J1 + J3 + ...), then by the remainder.
 * Absolute error under 1e-13 times the greatest of 1 and sqrt(x). */
static double x_j1_integral(double x)
{
	if (x < 8.0) {
		double z = -0.25 * x * x, term = 0.5 * x * x * x, sum = term / 3.0;
		for (int k = 1; k < 40; k++) {
			term *= z / ((double)k * (k + 1));
			sum += term / (2 * k + 3);
		}
		return sum;
	}
	double integral = 0.0;
	if (x < 30.0) {
		enum { ORDERS = 76 };
		double j[ORDERS];
		if (gsl_sf_bessel_Jn_array(0, ORDERS - 1, x, j) != GSL_SUCCESS)
			return (double)NAN;
		for (int k = ORDERS - 1; k > 0; k -= 2)
			integral += 2.0 * j[k];
	} else {
		integral = 1.0 - j0_remainder(x);
	}
	return integral - x * gsl_sf_bessel_J0(x);
}

/* Section in units of the outer radius. */
typedef struct section { double inner, height; } section;

static rw_status dodd_deeds(void *context, double a, double *y, rw_error *err)
{
	(void)err;
	const section *s = context;
	if (a == 0.0) {
		*y = 0.0;
		return RW_OK;
	}
	double j = x_j1_integral(a) - x_j1_integral(a * s->inner), t = a * s->height;
	double phi = t < 1e-3 ? t * (0.5 - t * (1.0 / 6.0 - t / 24.0)) : 1.0 + expm1(-t) / t;
	*y = (j / (a * a)) * (j / (a * a)) / a * 2.0 * s->height * phi;
	return RW_OK;
}

/* The integral from 0 to infinity. Past the cut the exponential is gone and J^2 is a (1 + inner)/pi in the mean; what oscillates about it
 * falls as the fourth power and is bounded, with the next terms, by a twentieth of the mean. */
static rw_status dodd_deeds_integral(section *s, double *value, double *error, rw_error *err)
{
	double build = 1.0 - s->inner, cut = fmax(200.0 / build, 25.0 / s->height), sum = 0.0, sum_error = 0.0;
	const double piece = 8.0 * M_PI;
	for (double from = 0.0; from < cut; from += piece) {
		double part, part_error, to = fmin(from + piece, cut);
		RW_TRY(rw_integrate(dodd_deeds, s, from, to, 1e-12 * sum, 1e-10, &part, &part_error, err));
		sum += part;
		sum_error += part_error;
	}
	double rest = 2.0 / M_PI * (1.0 + s->inner) * (s->height / 3.0 - 0.25 / cut) / (cut * cut * cut);
	*value = sum + rest;
	*error = sum_error + 0.05 * rest;
	return RW_OK;
}

rw_status rw_thick_coil_inductance(double turns, double inner_radius, double outer_radius, double height, double *inductance,
                                   double *error, rw_error *err)
{
	double build = outer_radius - inner_radius;
	bool accepted = is_size(turns) && is_size(outer_radius) && inner_radius >= 0.0 && build >= 1e-3 * outer_radius &&
	                height >= 1e-3 * outer_radius && height <= 1e3 * outer_radius;
	if (!accepted) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a coil of '%.6g' turns, radii '%.6g mm' and '%.6g mm', height '%.6g mm' is not computed", turns,
		               inner_radius * 1e3, outer_radius * 1e3, height * 1e3);
		rw_error_expected(err, "turns above zero, height and build over a thousandth of the outer radius");
		rw_error_hint(err, "a thin layer is a current sheet");
		return RW_E_RANGE;
	}
	section s = {inner_radius / outer_radius, height / outer_radius};
	double integral, integral_error;
	RW_TRY(dodd_deeds_integral(&s, &integral, &integral_error, err));
	double scale = M_PI * RW_MU0 * turns * turns * outer_radius / (s.height * s.height * (1.0 - s.inner) * (1.0 - s.inner));
	*inductance = scale * integral;
	*error = scale * integral_error;
	return RW_OK;
}

/* ---- field of the sheet ---- */

/* Bulirsch's complete integral of modulus complement squared y: a cos^2 + b sin^2 over (cos^2 + p sin^2) sqrt(cos^2 + y sin^2). */
static double complete(double y, double p, double a, double b)
{
	double f = a * carlson_f(y);
	return p > 0.0 ? f + (b - p * a) / 3.0 * carlson_j(y, p) : f;
}

rw_status rw_sheet_field(double turns, double diameter, double length, double r, double z, rw_field *field, rw_error *err)
{
	RW_TRY(sheet_accepted(turns, diameter, length, err));
	double a = 0.5 * diameter, half = 0.5 * length, scale = RW_MU0 * turns / (M_PI * length), gamma = (a - r) / (a + r);
	if (!(r >= 0.0 && isfinite(r) && isfinite(z)) || (r == a && fabs(z) <= half)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "no field at radius '%.6g mm', height '%.6g mm'", r * 1e3, z * 1e3);
		rw_error_expected(err, "a point off the sheet itself, radius zero or more");
		return RW_E_RANGE;
	}
	rw_field b = {0.0, 0.0};
	for (int end = 0; end < 2; end++) {
		double from_end = end ? z - half : z + half, far = hypot(from_end, a + r), near = hypot(from_end, a - r),
		    y = (near / far) * (near / far);
		double sign = end ? -1.0 : 1.0;
		b.radial += r > 0.0 ? sign * a / far * complete(y, 1.0, 1.0, -1.0) : 0.0;   /* on the axis it cancels to rounding only */
		b.axial += sign * from_end / far * a / (a + r) * complete(y, gamma * gamma, 1.0, gamma);
	}
	RW_TRY(hand_out(scale * (b.radial + b.axial), &(double){0.0}, err));
	*field = (rw_field){scale * b.radial, scale * b.axial};
	return RW_OK;
}
