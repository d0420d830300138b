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
 * D K^2 is costly and smooth, the window cheap and swift: panel by panel the first is a polynomial through Chebyshev's nodes, and the
 * product is summed by Gauss's rule as densely as the window asks. Part 0 is real, part 1 imaginary. */
enum { NODES_MAX = 24, GAUSS = 16, FITS_MAX = 400, PIECES_MAX = 20000 };

typedef struct waves {
	const rw_eddy_body *rod;
	const rw_eddy_coil *coil;
	double depth, gap;
	double tolerance;        /* of each part */
	int nodes;               /* of a panel's polynomial */
	double cosine[4 * NODES_MAX];   /* of m pi/(2 nodes) */
} waves;

/* On a panel u = low + width y^power, y in (0, 1): K and D have u^2 log u at 0, which the third power there takes away. */
typedef struct panel {
	double low, width;
	int power;               /* 1 or 3 */
	double coefficient[2][NODES_MAX];   /* Chebyshev's, in 2 y - 1 */
	double off[2];           /* greatest error of the polynomial */
	double value[2], error[2];
} panel;

static double number_at(const panel *p, double y)
{
	return p->low + p->width * (p->power == 1 ? y : y * y * y);
}

/* Gauss's rule of order 16 on (0, 1): distance from the middle, weight. */
typedef struct gauss_pair { double off, weight; } gauss_pair;
static const gauss_pair gauss_pairs[GAUSS / 2] = {
	{0.0475062549188187201, 0.0947253052275342482},
	{0.1408017753896294566, 0.0913017075224617944},
	{0.2290083888286136932, 0.0845782596975012691},
	{0.3089381222013218742, 0.0747979944082883660},
	{0.3777022041775015169, 0.0623144856277669360},
	{0.4328156011939158720, 0.0475792558412463924},
	{0.4722875115366162880, 0.0311267619693239464},
	{0.4947004674958249663, 0.0135762297058770474},
};

static double node_at(int i) { return i % 2 ? 0.5 + gauss_pairs[i / 2].off : 0.5 - gauss_pairs[i / 2].off; }
static double node_weight(int i) { return gauss_pairs[i / 2].weight; }

/* r K1(ur), the mean over the coil's depth, against the fall exp(-u r) at the inner radius. Panels as long as their own radius or eight
 * lengths of the fall, until that is below the rounding. */
static rw_status coil_factor(const waves *s, double u, double *value, rw_error *err)
{
	double r1 = s->coil->inner_radius, r2 = s->coil->outer_radius, sum = 0.0;
	rw_bessel_real b;
	if (!(r2 > r1)) {
		RW_TRY(rw_bessel_scaled_real(u * r1, &b, err));
		*value = r1 * b.k1;
		return RW_OK;
	}
	for (double low = r1, high; low < r2 && u * (low - r1) < 40.0; low = high) {
		high = fmin(r2, low + fmin(low, 8.0 / u));
		for (int i = 0; i < GAUSS; i++) {
			double r = low + (high - low) * node_at(i);
			RW_TRY(rw_bessel_scaled_real(u * r, &b, err));
			sum += (high - low) * node_weight(i) * r * b.k1 * exp(-u * (r - r1));
		}
	}
	*value = sum / (r2 - r1);
	return RW_OK;
}

/* D K^2 of a wave, exp(-2 u gap) in it: growing and falling exponentials of D and K are taken together. The imaginary part by the
 * Wronskian of I and K, so that a poor conductor's is no difference of near equals. re + j im, the inside of the rod, is u1 I0(u1 a)/
 * I1(u1 a) with u1^2 = u^2 + 2j/delta^2. */
static rw_status wave(const waves *s, double u, double value[2], rw_error *err)
{
	double a = s->rod->radius, x = a / s->depth, au = a * u, k = 0.0;
	double complex t = 0.0;
	rw_bessel_real b;
	RW_TRY(rw_bessel_scaled_real(au, &b, err));
	RW_TRY(rw_bessel_ratio(rw_complex(0.25 * au * au, 0.5 * x * x), &t, err));
	RW_TRY(coil_factor(s, u, &k, err));
	double outside = u * s->rod->permeability, re = 2.0 / a * (1.0 + creal(t)), im = 2.0 / a * cimag(t);
	double below = outside * b.k0 + re * b.k1, coil = k * k * exp(-2.0 * u * s->gap) / (below * below + im * im * b.k1 * b.k1);
	value[0] = coil * ((outside * b.i0 - re * b.i1) * below - im * im * b.i1 * b.k1);
	value[1] = -coil * im * s->rod->permeability / a;
	return RW_OK;
}

/* Chebyshev's coefficients; the error from the last two, which outweighs the rest of a series whose terms fall to two thirds or faster. */
static rw_status fit(const waves *s, panel *p, rw_error *err)
{
	int n = s->nodes;
	double at[NODES_MAX][2];
	for (int i = 0; i < n; i++) {
		double y = 0.5 + 0.5 * s->cosine[2 * i + 1];
		RW_TRY(wave(s, number_at(p, y), at[i], err));
	}
	for (int k = 0; k < n; k++) {
		double sum[2] = {0.0, 0.0};
		for (int i = 0; i < n; i++) {
			double c = s->cosine[k * (2 * i + 1) % (4 * n)];
			sum[0] += c * at[i][0];
			sum[1] += c * at[i][1];
		}
		for (int part = 0; part < 2; part++)
			p->coefficient[part][k] = (k == 0 ? 1.0 : 2.0) / n * sum[part];
	}
	for (int part = 0; part < 2; part++)
		p->off[part] = 2.0 * (fabs(p->coefficient[part][n - 1]) + fabs(p->coefficient[part][n - 2]));
	return RW_OK;
}

/* Clenshaw's sum of both parts at x in (-1, 1). */
static void polynomials(const panel *p, int nodes, double x, double value[2])
{
	double re = 0.0, re_before = 0.0, im = 0.0, im_before = 0.0;
	for (int k = nodes - 1; k > 0; k--) {
		double re_next = 2.0 * x * re - re_before + p->coefficient[0][k], im_next = 2.0 * x * im - im_before + p->coefficient[1][k];
		re_before = re, re = re_next;
		im_before = im, im = im_next;
	}
	value[0] = x * re - re_before + p->coefficient[0][0];
	value[1] = x * im - im_before + p->coefficient[1][0];
}

/* Pieces of at most three waves of the window, which Gauss's rule of order 16 sums to 1e-13. */
static double pieces_of(const waves *s, const panel *p)
{
	return fmax(1.0, ceil(p->power * p->width * s->coil->length / (6.0 * M_PI)));
}

static void sum_up(const waves *s, panel *p)
{
	double pieces = pieces_of(s, p), half = 0.5 * s->coil->length, window = 0.0;
	p->value[0] = p->value[1] = 0.0;
	for (double piece = 0.0; piece < pieces; piece++)
		for (int i = 0; i < GAUSS; i++) {
			double y = (piece + node_at(i)) / pieces, u = number_at(p, y), at[2];
			double one = 2.0 * sin(half * u) / u, weight = node_weight(i) * (p->power == 1 ? 1.0 : 3.0 * y * y) * one * one;
			polynomials(p, s->nodes, 2.0 * y - 1.0, at);
			window += weight;
			p->value[0] += weight * at[0];
			p->value[1] += weight * at[1];
		}
	double scale = p->width / pieces;
	for (int part = 0; part < 2; part++) {
		p->value[part] *= scale;
		p->error[part] = p->off[part] * window * scale;
	}
}

/* The tolerance of each part, where these are the parts; of a poor conductor the real part is lost in the rounding of the other. */
static void tolerances(const waves *s, const double of[2], double limit[2])
{
	limit[1] = s->tolerance * fabs(of[1]);
	limit[0] = fmax(s->tolerance * fabs(of[0]), fmax(s->tolerance, 1e-9) * fabs(of[1]));
}

/* The panel's greater error over what it is allowed: a share of the tolerance of the sum so far or of its own value. */
static double excess_of(const waves *s, const panel *p, const double sum[2])
{
	double share[2], limit[2];
	for (int part = 0; part < 2; part++)
		share[part] = fmax(0.05 * fabs(sum[part]), 0.3 * fabs(p->value[part]));
	tolerances(s, share, limit);
	return fmax(p->error[0] / limit[0], p->error[1] / limit[1]);
}

/* A bound on all waves beyond the panel: the envelope falls at least as exp(-2 u gap). */
static void rest_beyond(const waves *s, const panel *p, double rest[2])
{
	double end[2], u = p->low + p->width, envelope = 2.0 / (u * u * s->gap);
	polynomials(p, s->nodes, 1.0, end);
	rest[1] = envelope * (fabs(end[1]) + p->off[1]);
	rest[0] = envelope * (hypot(end[0], end[1]) + p->off[0]);
}

static rw_status not_reached(const waves *s, double pieces, rw_error *err)
{
	if (pieces > PIECES_MAX) {
		(void)RW_RAISE(err, RW_E_NOSOLVE, "", "the coil lies so close to the rod that %d pieces do not reach the end of its waves",
		               (int)PIECES_MAX);
		rw_error_expected(err, "a gap of more than about %.3g mm", 0.2e3 * s->coil->length / PIECES_MAX);
		return RW_E_NOSOLVE;
	}
	(void)RW_RAISE(err, RW_E_NOSOLVE, "", "rounding hides what a rod of '%.3g' skin depths changes", s->rod->radius / s->depth);
	rw_error_expected(err, "a better conductor, a higher frequency or a wider tolerance");
	return RW_E_NOSOLVE;
}

/* INT over all waves: each panel as wide as the error of the one before lets expect. */
static rw_status all_waves(const waves *s, double sum[2], double error[2], rw_error *err)
{
	panel p = {.width = 1.0 / s->coil->inner_radius, .power = 3};
	double limit[2], rest[2], pieces = 0.0;
	sum[0] = sum[1] = error[0] = error[1] = 0.0;
	for (int i = 0; i < FITS_MAX && (pieces += pieces_of(s, &p)) <= PIECES_MAX; i++) {
		RW_TRY(fit(s, &p, err));
		sum_up(s, &p);
		double excess = excess_of(s, &p, sum), wider = fmin(4.0, fmax(0.25, 0.9 * pow(excess, -1.0 / s->nodes)));
		if (excess <= 1.0) {
			rest_beyond(s, &p, rest);
			for (int part = 0; part < 2; part++) {
				sum[part] += p.value[part];
				error[part] += p.error[part];
			}
			tolerances(s, sum, limit);
			if (rest[0] <= 0.1 * limit[0] && rest[1] <= 0.1 * limit[1]) {
				error[0] += rest[0];
				error[1] += rest[1];
				return RW_OK;
			}
			p.low += p.width;
			p.power = 1;
		}
		p.width *= wider;
	}
	return not_reached(s, pieces, err);
}

rw_status rw_eddy_coil_on_rod_to(const rw_eddy_body *rod, const rw_eddy_coil *coil, double frequency, double tolerance, rw_eddy_change *out,
                                 rw_error *err)
{
	RW_TRY(body_check(rod, coil->inner_radius, frequency, err));
	RW_TRY(above_zero(coil->turns, "a number of turns", "", err));
	RW_TRY(above_zero(coil->length, "a coil length", " m", err));
	if (!(coil->outer_radius >= coil->inner_radius && isfinite(coil->outer_radius)))
		return RW_RAISE(err, RW_E_RANGE, "", "an outer coil radius of '%.6g mm' is below the inner", 1e3 * coil->outer_radius);
	if (rod->bore != 0.0)
		return RW_RAISE(err, RW_E_RANGE, "", "a rod with a bore of '%.6g mm' is beyond the coil of finite length", 1e3 * rod->bore);
	if (!(tolerance >= 1e-11 && tolerance <= 1e-2)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a tolerance of '%.6g' is not for the coil on a rod", tolerance);
		rw_error_expected(err, "1e-11 to 0.01");
		return RW_E_RANGE;
	}
	waves s = {.rod = rod, .coil = coil, .depth = rw_eddy_depth(rod->resistivity, rod->permeability, frequency),
	    .gap = coil->inner_radius - rod->radius, .tolerance = tolerance, .nodes = 5 - (int)floor(1.1 * log10(tolerance))};
	for (int i = 0; i < 4 * s.nodes; i++)
		s.cosine[i] = cos(0.5 * M_PI * i / s.nodes);
	double w = 2.0 * M_PI * frequency, n = coil->turns / coil->length, factor = 2.0 * w * RW_MU0 * n * n, sum[2], error[2];
	RW_TRY(all_waves(&s, sum, error, err));
	*out = (rw_eddy_change){-factor * sum[1], factor * sum[0], factor * sum[0] / w, factor * fmax(error[0], error[1])};
	return RW_OK;
}

rw_status rw_eddy_coil_on_rod(const rw_eddy_body *rod, const rw_eddy_coil *coil, double frequency, rw_eddy_change *out, rw_error *err)
{
	return rw_eddy_coil_on_rod_to(rod, coil, frequency, 1e-11, out, err);
}
