#include "work/heating.h"

#include <float.h>
#include <gsl/gsl_sf_bessel.h>
#include <math.h>

#include "base/numeric.h"
#include "work/heating_internal.h"

/* Rises stand as rise x conductivity/flux, in m. m: 2/skin depth, 1/m; infinite where all power is in the surface. s = sqrt(alpha t), m. */

static const double faded = 42.0;            /* exp(-42) is nothing beside 1 */
static const double bar_fourier_min = 1e-6, wall_fourier_min = 1e-8;   /* below, the series are long and the body is flat and deep */

/* exp(z^2) erfc(z), z >= 0: the continued fraction from below, 60 steps of which give all digits from z = 2 on. */
static double erfcx(double z)
{
	if (z < 2.0)
		return exp(z * z) * erfc(z);
	double below = z;
	for (int k = 60; k > 0; k--)
		below = z + 0.5 * k / below;
	return 1.0 / (sqrt(M_PI) * below);
}

/* The source exp(-mx), mirrored at the surface, after it has spread over s: all terms positive.
 * Half of exp((ms)^2 -+ mx) erfc(ms -+ u), summed; exp(-u^2) is taken out where erfc would be small. */
static double source_spread(double m, double s, double x)
{
	double u = x / (2.0 * s), ms = m * s, near = ms - u, outer = exp(-u * u);
	double straight = near >= 0.0 ? outer * erfcx(near) : exp(ms * ms - m * x) * erfc(near);
	return 0.5 * (straight + outer * erfcx(ms + u));
}

typedef struct half_space { double m, s, x; } half_space;

static rw_status heat_of(void *context, double y, double *value, rw_error *err)
{
	(void)err;
	const half_space *h = context;
	*value = y > 0.0 ? 2.0 * h->m * h->s * h->s * y * source_spread(h->m, h->s * y, h->x) : 0.0;
	return RW_OK;
}

/* Section 2.9 and its integral over the source. Where the heat has hardly left its place the closed form is a difference of near equals;
 * there the source is summed over the time, y = sqrt(time). */
static rw_status in_half_space(double m, double s, double x, double *rise, rw_error *err)
{
	double u = x / (2.0 * s), error;
	double surface = 2.0 * s * exp(-u * u) * (1.0 / sqrt(M_PI) - u * erfcx(u));
	half_space h = {m, s, x};
	if (isinf(m))
		*rise = surface;
	else if (m * s < 0.03)
		return rw_integrate(heat_of, &h, 0.0, 1.0, 0.0, 1e-11, rise, &error, err);
	else
		*rise = surface - exp(-m * x) / m + source_spread(m, s, x) / m;
	*rise = fmax(*rise, 0.0);
	return RW_OK;
}

/* exp(-x) SUM x^k/(k k!), that is exp(-x)(Ei(x) - ln x - gamma), x >= 0. */
static double ein_scaled(double x)
{
	double sum = 0.0, term = x < 40.0 ? exp(-x) : 1.0 / x;
	if (x < 40.0) {
		for (int k = 1; k < 200 && (k < x || term > DBL_EPSILON * sum); k++) {
			term *= x / k;
			sum += term / k;
		}
		return sum;
	}
	for (int k = 1; k < 40 && term > 0.1 * DBL_EPSILON / x; k++) {
		sum += term;
		term *= k / x;
	}
	return sum;
}

/* M = m a; weight: INT exp(-M (1 - r)) r dr over the radius as 1; of M weight the inverse tells how the power crowds on its way in. */
typedef struct in_skin { double M, weight; } in_skin;

/* exp(-M) INT exp(M r) J0(b r) dr over 0 to 1 by its Neumann series {J0 + 2 SUM lambda^k Jk - exp(-M)}/hypot(b, M): the recurrence
 * downwards, as for the Bessel functions alone. out *j0 = J0(b), normed by J0 + 2 SUM J2k = 1 */
static double exponential_of_j0(double b, double M, double *j0)
{
	double root = hypot(b, M), lambda = b / (root + M), above = 0.0, here = 1e-100, sum = here, even = 0.0;
	for (int k = 20 + (int)(b + 12.0 * cbrt(b)); k > 0; k--) {
		double below = 2.0 * k / b * here - above;
		even += k % 2 == 0 ? here : 0.0;
		above = here;
		here = below;
		sum = here + lambda * sum;
	}
	double norm = here + 2.0 * even;
	*j0 = here / norm;
	return (2.0 * sum / norm - *j0 - exp(-M)) / root;
}

/* Coefficient of J0(b r) in the source, of mean 2; over the surface alone 2/J0(b). */
static double source_in_bar(const in_skin *bar, double b)
{
	double j0, M = bar->M;
	if (isinf(M))
		return 2.0 / gsl_sf_bessel_J0(b);
	double c = exponential_of_j0(b, M, &j0), moment = (j0 - c) / (M + b * (b / M));
	return 2.0 * moment / (bar->weight * j0 * j0);
}

/* The profile that rises unchanged, of mean zero. */
static double bar_at_rest(const in_skin *bar, double r)
{
	double M = bar->M, shape = 0.5 * r * r - 0.25;
	if (isinf(M))
		return shape;
	double scale = 1.0 / (bar->weight * M * M);
	return shape - scale * (exp(-M * (1.0 - r)) * (1.0 - ein_scaled(M * r)) - 3.0 * bar->weight + ein_scaled(M) + 0.5 * exp(-M));
}

/* Section 7.8 with the source in the skin depth: 2 Fo + rest - SUM source/b^2 exp(-b^2 Fo) J0(b r), J1(b) = 0. */
static rw_status in_bar(double a, double m, double s, double depth, double *rise, rw_error *err)
{
	in_skin bar = {m * a, 1.0};
	if (!isinf(m))
		bar.weight = (1.0 + expm1(-bar.M) / bar.M) / bar.M;
	double fourier = (s / a) * (s / a), r = 1.0 - depth / a, flat;
	if (fourier < bar_fourier_min) {
		RW_TRY(in_half_space(m, s, depth, &flat, err));
		*rise = isinf(m) ? flat : flat / (bar.M * bar.weight);
		return RW_OK;
	}
	double sum = 2.0 * fourier + bar_at_rest(&bar, r), b = 0.0;
	for (unsigned n = 1; b * b * fourier < faded; n++) {
		b = gsl_sf_bessel_zero_J1(n);
		sum -= source_in_bar(&bar, b) / (b * b) * exp(-b * b * fourier) * gsl_sf_bessel_J0(b * r);
	}
	*rise = a * fmax(sum, 0.0);
	return RW_OK;
}

/* Section 3.8 likewise, over a wall insulated at its back; M = m w. Without the mean rise. */
static double wall_profile(double M, double fourier, double x)
{
	double lost = exp(-M), whole = -expm1(-M), sum = isinf(M) ? 1.0 / 3.0 - x + 0.5 * x * x :
	    0.5 * x * x - 1.0 / 6.0 + (0.5 - x - exp(-M * x) / M) / whole + 1.0 / (M * M), b = 0.0;
	for (int n = 1; b * b * fourier < faded; n++) {
		b = M_PI * n;
		double source = isinf(M) ? 2.0 : 2.0 / (1.0 + (b / M) * (b / M)) * (n % 2 == 0 ? 1.0 : (1.0 + lost) / whole);
		sum -= source / (b * b) * exp(-b * b * fourier) * cos(b * x);
	}
	return sum;
}

static rw_status in_wall(const rw_heating_body *body, double m, double s, double depth, double *rise, rw_error *err)
{
	double w = body->radius - body->bore, fourier = (s / w) * (s / w), M = m * w, flat;
	double crowd = 2.0 * body->radius / (body->radius + body->bore);       /* flat wall over the section of the ring */
	if (fourier < wall_fourier_min) {
		RW_TRY(in_half_space(m, s, depth, &flat, err));
		*rise = w * fourier * (crowd - 1.0) + flat / -expm1(-M);
		return RW_OK;
	}
	*rise = w * fmax(fourier * crowd + wall_profile(M, fourier, depth / w), 0.0);
	return RW_OK;
}

/* A flat wall stands for a ring only so far; and the power has to fall off inside the section. */
static rw_status body_check(const rw_heating_body *body, double skin_depth, rw_error *err)
{
	RW_TRY(rw__heating_section(body->radius, body->bore, err));
	if (body->bore > 0.0 && body->bore < 0.5 * body->radius) {
		(void)RW_RAISE(err, RW_E_RANGE, "bore", "a bore of radius '%.6g mm' leaves a wall too thick to count as flat",
		    1e3 * body->bore);
		rw_error_expected(err, "0, or at least half of the outer radius, %.6g mm", 500.0 * body->radius);
		rw_error_hint(err, "bore 0 is right while the heat does not come to the bore");
		return RW_E_RANGE;
	}
	double most = body->bore > 0.0 ? 100.0 * (body->radius - body->bore) : body->radius;
	if (skin_depth <= most)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "skin_depth", "a skin depth of '%.6g mm' lets the field through the section", 1e3 * skin_depth);
	rw_error_expected(err, "at most %.6g mm", 1e3 * most);
	rw_error_hint(err, "a higher frequency");
	return RW_E_RANGE;
}

rw_status rw_heating_rise(const rw_heating_body *body, double conductivity, double diffusivity, double skin_depth, double time,
    double depth, double *rise_per_flux, rw_error *err)
{
	const rw__bound list[] = {
		{"conductivity", " W/(m K)", conductivity, 0.0, true}, {"diffusivity", " m2/s", diffusivity, 0.0, true},
		{"skin_depth", " m", skin_depth, 0.0, false}, {"time", " s", time, 0.0, false}, {"depth", " m", depth, 0.0, false},
	};
	bool half = isinf(body->radius) && body->radius > 0.0 && body->bore == 0.0;
	RW_TRY(rw__heating_bounds(list, sizeof list / sizeof *list, err));
	if (!half)
		RW_TRY(body_check(body, skin_depth, err));
	double wall = body->radius - body->bore;
	if (!(depth <= wall * (1.0 + 1e-9))) {                         /* a caller's own difference may be a rounding off */
		(void)RW_RAISE(err, RW_E_RANGE, "depth", "a depth of '%.6g mm' is not in the section", 1e3 * depth);
		rw_error_expected(err, "at most %.6g mm", 1e3 * wall);
		return RW_E_RANGE;
	}
	double rise = 0.0, s = sqrt(diffusivity * time), m = skin_depth > 0.0 ? 2.0 / skin_depth : (double)INFINITY;
	depth = fmin(depth, wall);
	if (s > 0.0)
		RW_TRY(half ? in_half_space(m, s, depth, &rise, err) : body->bore > 0.0 ? in_wall(body, m, s, depth, &rise, err) :
		       in_bar(body->radius, m, s, depth, &rise, err));
	if (!isfinite(rise / conductivity))
		return RW_RAISE(err, RW_E_RANGE, "time", "a rise after '%.6g s' is beyond all numbers", time);
	*rise_per_flux = rise / conductivity;
	return RW_OK;
}
