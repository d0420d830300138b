#include "work/eddy.h"

#include <float.h>
#include <math.h>

#include "base/bessel.h"
#include "base/constants.h"
#include "base/numeric.h"


/* A quantity that must be above zero and finite. */
static rw_status above_zero(double value, const char *what, const char *unit, rw_error *err)
{
	if (value > 0.0 && isfinite(value))
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "%s of '%.6g%s' has no field to solve", what, value, unit);
	rw_error_expected(err, "a finite value above zero");
	return RW_E_RANGE;
}

double rw_eddy_depth(double resistivity, double permeability, double frequency)
{
	if (!(resistivity > 0.0 && permeability > 0.0 && frequency > 0.0))
		return (double)NAN;
	return sqrt(resistivity / (M_PI * frequency * RW_MU0 * permeability));
}

/* q - jp = 1/(1 + t): written out, so that a small p is not what is left of a rounded 1. */
rw_status rw_eddy_bar(double x, rw_eddy_factor *out, rw_error *err)
{
	double complex t = 0.0;
	RW_TRY(above_zero(x, "a radius over skin depth", "", err));
	RW_TRY(rw_bessel_ratio(rw_complex(0.0, 0.5 * x * x), &t, err));
	double re = 1.0 + creal(t), im = cimag(t), square = re * re + im * im;
	*out = (rw_eddy_factor){im / square, re / square};
	return RW_OK;
}

/* sinh y - sin y */
static double sinh_less_sin(double y)
{
	if (y > 1.0)
		return sinh(y) - sin(y);
	double term = y * y * y / 6.0, sum = 0.0;
	for (int n = 3; n < 32; n += 4) {
		sum += 2.0 * term;
		term *= y * y * y * y / ((n + 1.0) * (n + 2.0) * (n + 3.0) * (n + 4.0));
	}
	return sum;
}

rw_status rw_eddy_slab(double y, rw_eddy_factor *out, rw_error *err)
{
	RW_TRY(above_zero(y, "a thickness over skin depth", "", err));
	if (y > 40.0) {                                  /* sin and cos are below the rounding of sinh and cosh */
		*out = (rw_eddy_factor){1.0 / y, 1.0 / y};
		return RW_OK;
	}
	double below = y * (cosh(y) + cos(y));
	*out = (rw_eddy_factor){sinh_less_sin(y) / below, (sinh(y) + sin(y)) / below};
	return RW_OK;
}

/* H = A [I0(kr) + c K0(kr)] in the wall. In the bore the field is uniform and its flux makes the electric field at r = b, so that
 * H' = (k^2 b/(2 mur)) H there. From the scaled functions: c = shift exp(2kb). The total flux is what H' at the outside drives. */
typedef struct wall { double complex shift, h, slope, bore; double rounding; } wall;

static rw_status wall_field(double x, double bore_ratio, double permeability, wall *w, rw_error *err)
{
	rw_bessel in, on;
	double complex ka = rw_complex(x, x), kb = bore_ratio * ka, half = 0.5 * kb / permeability;
	RW_TRY(rw_bessel_scaled(kb, &in, err));
	RW_TRY(rw_bessel_scaled(ka, &on, err));
	double complex below = in.k1 + half * in.k0, fall = cexp(kb - ka);
	w->shift = (in.i1 - half * in.i0) / below;
	double complex back = w->shift * fall * fall;
	w->h = on.i0 + back * on.k0;
	w->slope = on.i1 - back * on.k1;
	w->bore = fall / (kb * below * w->h);             /* Wronskian: no difference of near equals */
	double lost = (cabs(in.i1) + cabs(half * in.i0)) / cabs(below) * cabs(fall * fall);
	w->rounding = 16.0 * DBL_EPSILON * ((cabs(on.i1) + lost * cabs(on.k1)) / cabs(w->slope) + (cabs(on.i0) + lost * cabs(on.k0)) / cabs(w->h));
	return RW_OK;
}

rw_status rw_eddy_tube(double x, double bore_ratio, double permeability, rw_eddy_tube_factor *out, rw_error *err)
{
	RW_TRY(above_zero(x, "a radius over skin depth", "", err));
	RW_TRY(above_zero(bore_ratio, "a bore over outer radius", "", err));
	RW_TRY(above_zero(permeability, "a relative permeability", "", err));
	if (!(bore_ratio < 1.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a bore of '%.6g' times the outer radius leaves no wall", bore_ratio);
		rw_error_expected(err, "less than 1");
		return RW_E_RANGE;
	}
	wall w;
	RW_TRY(wall_field(x, bore_ratio, permeability, &w, err));
	double complex flux = 2.0 * permeability * w.slope / (rw_complex(x, x) * w.h);
	double p = -cimag(flux), error = w.rounding * cabs(flux) / p;
	if (!(p > 0.0 && error <= 1e-8)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a wall of '%.3g' skin depths takes so little power that rounding hides it", x * (1.0 - bore_ratio));
		rw_error_expected(err, "a thicker wall or a higher frequency");
		return RW_E_RANGE;
	}
	*out = (rw_eddy_tube_factor){p, creal(flux), cabs(w.bore), carg(w.bore), error};
	return RW_OK;
}

/* With F = q - jp: dF/dx = (2/x)(1 - F - j x^2 F^2/2); p is greatest where its imaginary part vanishes. */
static rw_status slope_of_p(void *context, double x, double *y, rw_error *err)
{
	(void)context;
	rw_eddy_factor f;
	RW_TRY(rw_eddy_bar(x, &f, err));
	double complex F = rw_complex(f.q, -f.p);
	*y = cimag(F + rw_complex(0.0, 0.5 * x * x) * F * F);
	return RW_OK;
}

rw_status rw_eddy_best_bar(double *diameter_over_depth, double *p, rw_error *err)
{
	rw_root root;
	rw_eddy_factor f;
	RW_TRY(rw_root_find(slope_of_p, NULL, 1.0, 3.0, 0.0, 1e-14, &root, err));
	RW_TRY(rw_eddy_bar(root.x, &f, err));
	*diameter_over_depth = 2.0 * root.x;
	*p = f.p;
	return RW_OK;
}

static rw_status body_check(const rw_eddy_body *body, double coil_radius, double frequency, rw_error *err)
{
	RW_TRY(above_zero(body->radius, "an outer radius", " m", err));
	RW_TRY(above_zero(body->resistivity, "a resistivity", " ohm m", err));
	RW_TRY(above_zero(body->permeability, "a relative permeability", "", err));
	RW_TRY(above_zero(frequency, "a frequency", " Hz", err));
	RW_TRY(above_zero(coil_radius, "a coil radius", " m", err));
	if (coil_radius > body->radius)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "a coil of radius '%.6g mm' does not clear the work", 1e3 * coil_radius);
	rw_error_expected(err, "more than %.6g mm", 1e3 * body->radius);
	return RW_E_RANGE;
}

/* Factors of either body for mu = mu0. */
static rw_status body_factor(const rw_eddy_body *body, double depth, rw_eddy_factor *out, rw_error *err)
{
	if (body->bore == 0.0) {
		RW_TRY(rw_eddy_bar(body->radius / depth, out, err));
		*out = (rw_eddy_factor){body->permeability * out->p, body->permeability * out->q};
		return RW_OK;
	}
	rw_eddy_tube_factor tube;
	RW_TRY(rw_eddy_tube(body->radius / depth, body->bore / body->radius, body->permeability, &tube, err));
	*out = (rw_eddy_factor){tube.p, tube.q};
	return RW_OK;
}

rw_status rw_eddy_in_solenoid(const rw_eddy_body *body, double coil_radius, double turns_per_metre, double current_rms, double frequency,
                              rw_eddy_loading *out, rw_error *err)
{
	rw_eddy_factor f;
	RW_TRY(body_check(body, coil_radius, frequency, err));
	RW_TRY(above_zero(turns_per_metre, "a number of turns a metre", "", err));
	if (!(current_rms >= 0.0 && isfinite(current_rms)))
		return RW_RAISE(err, RW_E_RANGE, "", "a current of '%.6g A' is no rms value", current_rms);
	double depth = rw_eddy_depth(body->resistivity, body->permeability, frequency), w = 2.0 * M_PI * frequency;
	RW_TRY(body_factor(body, depth, &f, err));
	double area = M_PI * body->radius * body->radius, gap = M_PI * coil_radius * coil_radius - area, n2 = turns_per_metre * turns_per_metre;
	double resistance = w * RW_MU0 * area * f.p * n2, power = resistance * current_rms * current_rms;
	*out = (rw_eddy_loading){depth, turns_per_metre * current_rms, power, power / (2.0 * M_PI * body->radius), resistance, w * RW_MU0 * n2 * (gap + area * f.q)};
	return RW_OK;
}

/* The vector potential of the coil as waves of number u along the axis, each scattered by the rod on its own:
 * dZ = 2 j w RW_MU0 n^2 INT D(u) K(u)^2 (2 sin(u L/2)/u)^2 du.
 * Growing and falling exponentials of D and K are taken together, as exp(-2 u gap). */
typedef struct waves {
	const rw_eddy_body *rod;
	const rw_eddy_coil *coil;
	double depth, gap, u;    /* u: for the mean over the coil's depth */
	bool imaginary;
} waves;

/* r K1(ur) against its value at the inner radius */
static rw_status turn_at(void *context, double r, double *y, rw_error *err)
{
	const waves *s = context;
	rw_bessel b;
	RW_TRY(rw_bessel_scaled(rw_complex(s->u * r, 0.0), &b, err));
	*y = r * creal(b.k1) * exp(-s->u * (r - s->coil->inner_radius));
	return RW_OK;
}

static rw_status coil_factor(waves *s, double u, double *value, rw_error *err)
{
	double r1 = s->coil->inner_radius, r2 = s->coil->outer_radius, error;
	s->u = u;
	if (!(r2 > r1))
		return turn_at(s, r1, value, err);
	RW_TRY(rw_integrate(turn_at, s, r1, r2, 0.0, 1e-12, value, &error, err));
	*value /= r2 - r1;
	return RW_OK;
}

/* D K^2 of a wave, exp(-2 u gap) in it. */
static rw_status wave(waves *s, double u, double complex *value, rw_error *err)
{
	const rw_eddy_body *rod = s->rod;
	double a = rod->radius, k, au = a * u;
	double complex t;
	rw_bessel b;
	RW_TRY(rw_bessel_scaled(rw_complex(au, 0.0), &b, err));
	RW_TRY(rw_bessel_ratio(rw_complex(0.25 * au * au, 0.5 * (a / s->depth) * (a / s->depth)), &t, err));
	RW_TRY(coil_factor(s, u, &k, err));
	double complex inside = 2.0 / a * (1.0 + t);     /* u1 I0(u1 a)/I1(u1 a), u1^2 = u^2 + 2j/delta^2 */
	double outside = u * rod->permeability;
	double complex d = (outside * creal(b.i0) - inside * creal(b.i1)) / (outside * creal(b.k0) + inside * creal(b.k1));
	*value = d * (k * k * exp(-2.0 * u * s->gap));
	return RW_OK;
}

static rw_status integrand(void *context, double u, double *y, rw_error *err)
{
	waves *s = context;
	double complex value;
	RW_TRY(wave(s, u, &value, err));
	double window = 2.0 * sin(0.5 * u * s->coil->length) / u;
	*y = window * window * (s->imaginary ? cimag(value) : creal(value));
	return RW_OK;
}

/* A bound on all waves beyond u: the envelope falls at least as exp(-2 u gap). */
static rw_status rest_beyond(waves *s, double u, double *rest, rw_error *err)
{
	double complex value;
	RW_TRY(wave(s, u, &value, err));
	*rest = cabs(value) * 4.0 / (u * u) / (2.0 * s->gap);
	return RW_OK;
}

/* INT over all waves, panel by panel of four waves of the window or two lengths of the fall, whichever is less. */
static rw_status all_waves(waves *s, double sum[2], double *error, rw_error *err)
{
	enum { PANELS_MAX = 20000 };
	double width = fmin(8.0 * M_PI / s->coil->length, 4.0 / s->gap), rest = (double)NAN;
	sum[0] = sum[1] = *error = 0.0;
	for (int i = 0; i < PANELS_MAX; i++) {
		for (int part = 1; part >= 0; part--) {     /* the real part of a poor conductor is lost in the rounding of the other */
			double value, off, least = part ? 1e-12 * fabs(sum[1]) : fmax(1e-12 * fabs(sum[0]), 1e-9 * fabs(sum[1]));
			s->imaginary = part == 1;
			RW_TRY(rw_integrate(integrand, s, i * width, (i + 1) * width, least, 1e-11, &value, &off, err));
			sum[part] += value;
			*error += off;
		}
		RW_TRY(rest_beyond(s, (i + 1) * width, &rest, err));
		if (rest <= 1e-12 * fabs(sum[1])) {
			*error += rest;
			return RW_OK;
		}
	}
	(void)RW_RAISE(err, RW_E_NOSOLVE, "", "the coil lies so close to the rod that %d panels do not reach the end of its waves", (int)PANELS_MAX);
	rw_error_expected(err, "a gap of more than about %.3g mm", 1e3 * s->coil->length / PANELS_MAX);
	return RW_E_NOSOLVE;
}

rw_status rw_eddy_coil_on_rod(const rw_eddy_body *rod, const rw_eddy_coil *coil, double frequency, rw_eddy_change *out, rw_error *err)
{
	RW_TRY(body_check(rod, coil->inner_radius, frequency, err));
	RW_TRY(above_zero(coil->turns, "a number of turns", "", err));
	RW_TRY(above_zero(coil->length, "a coil length", " m", err));
	if (!(coil->outer_radius >= coil->inner_radius && isfinite(coil->outer_radius)))
		return RW_RAISE(err, RW_E_RANGE, "", "an outer coil radius of '%.6g mm' is below the inner", 1e3 * coil->outer_radius);
	if (rod->bore != 0.0)
		return RW_RAISE(err, RW_E_RANGE, "", "a rod with a bore of '%.6g mm' is beyond the coil of finite length", 1e3 * rod->bore);
	waves s = {.rod = rod, .coil = coil, .depth = rw_eddy_depth(rod->resistivity, rod->permeability, frequency),
	    .gap = coil->inner_radius - rod->radius};
	double w = 2.0 * M_PI * frequency, n = coil->turns / coil->length, factor = 2.0 * w * RW_MU0 * n * n, sum[2], error;
	RW_TRY(all_waves(&s, sum, &error, err));
	*out = (rw_eddy_change){-factor * sum[1], factor * sum[0], factor * sum[0] / w, factor * error};
	return RW_OK;
}
