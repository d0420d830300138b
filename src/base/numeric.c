#include "base/numeric.h"

#include <float.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_min.h>
#include <gsl/gsl_roots.h>
#include <math.h>
#include <stdalign.h>
#include <stddef.h>
#include <string.h>

#include "base/text.h"
#include "base/text_internal.h"

enum { STEPS_MAX = 200, STATE_BYTES = 256, PIECES_MAX = 200 };

/* What stands between a function that may fail and the library, which knows only doubles: the first error is kept, and from then on
 * the function is not called again. */
typedef struct call {
	rw_function f;
	void       *context;
	rw_status   status;
	rw_error   *err;
	int         evaluations;
	double      last_x, last_y;
} call;

static double evaluate(double x, void *params)
{
	call *c = params;
	if (c->status != RW_OK)
		return (double)NAN;
	double y = (double)NAN;
	c->evaluations++;
	c->status = c->f(c->context, x, &y, c->err);
	if (c->status == RW_OK && !isfinite(y)) {
		char at[32];
		rw_text_shortest(at, sizeof at, x);
		c->status = RW_RAISE(c->err, RW_E_NOSOLVE, "", "the function has no finite value at %s", at);
	}
	c->last_x = x;
	c->last_y = y;
	return c->status == RW_OK ? y : (double)NAN;
}

static rw_status gave_up(rw_error *err, double residual, int iterations, const char *what)
{
	rw_status status = RW_RAISE(err, RW_E_NOSOLVE, "", "%s", what);
	if (err) {
		err->residual = residual;
		err->iterations = iterations;
	}
	return status;
}

static bool narrow(double low, double high, double tolerance_abs, double tolerance_rel, double x)
{
	return high - low <= tolerance_abs + tolerance_rel * fabs(x) || nextafter(low, high) >= high;
}

rw_status rw_root_find(rw_function f, void *context, double low, double high, double tolerance_abs, double tolerance_rel, rw_root *out,
                       rw_error *err)
{
	if (!(low < high && isfinite(low) && isfinite(high) && tolerance_abs >= 0.0 && tolerance_rel >= 0.0))
		return RW_RAISE(err, RW_E_INTERNAL, "", "a root is sought in no interval or to no tolerance");
	/* the solver is laid out here and not by its own alloc, so that a root inside a loop allocates nothing */
	alignas(max_align_t) unsigned char state[STATE_BYTES] = {0};
	gsl_root_fsolver solver = {.type = gsl_root_fsolver_brent, .state = state};
	if (solver.type->size > sizeof state)
		RW_BUG(err, "the root finder's state has grown");
	call c = {.f = f, .context = context, .err = err};
	gsl_function g = {evaluate, &c};
	int code = gsl_root_fsolver_set(&solver, &g, low, high);
	if (c.status != RW_OK)
		return c.status;
	if (code != GSL_SUCCESS)
		return gave_up(err, (double)NAN, 0, "the function does not change sign between the ends");
	bool done = false;
	int steps = 0;
	while (!done && steps < STEPS_MAX) {
		steps++;
		code = gsl_root_fsolver_iterate(&solver);
		if (c.status != RW_OK)
			return c.status;
		if (code != GSL_SUCCESS)
			break;
		done = narrow(solver.x_lower, solver.x_upper, tolerance_abs, tolerance_rel, solver.root);
	}
	double residual = solver.root == c.last_x ? c.last_y : evaluate(solver.root, &c);
	if (c.status != RW_OK)
		return c.status;
	if (!done)
		return gave_up(err, residual, steps, "the root was not narrowed down to its tolerance");
	*out = (rw_root){solver.root, solver.x_lower, solver.x_upper, residual, c.evaluations};
	return RW_OK;
}

/* Three points, the middle one below both ends. */
typedef struct valley {
	double low, middle, high, y_low, y_middle, y_high;
} valley;

/* Golden sections until the middle lies below both ends; true when the least value is at an end instead, which then is *middle. */
static bool find_valley(call *c, double tolerance, valley *v)
{
	const double golden = 0.3819660112501051;
	v->y_low = evaluate(v->low, c);
	v->y_high = evaluate(v->high, c);
	while (c->status == RW_OK) {
		v->middle = v->low + golden * (v->high - v->low);
		v->y_middle = evaluate(v->middle, c);
		if (v->y_middle < v->y_low && v->y_middle < v->y_high)
			return false;
		bool left = v->y_low <= v->y_high;
		if (narrow(v->low, v->high, tolerance, 0.0, 0.0)) {
			v->middle = left ? v->low : v->high;
			v->y_middle = left ? v->y_low : v->y_high;
			return true;
		}
		*(left ? &v->high : &v->low) = v->middle;
		*(left ? &v->y_high : &v->y_low) = v->y_middle;
	}
	return false;
}

/* A least value is flat: x is not found closer than the root of the rounding, whatever the tolerance. */
rw_status rw_least_find(rw_function f, void *context, double low, double high, double tolerance_abs, double *x, double *y, rw_error *err)
{
	if (!(low < high && isfinite(low) && isfinite(high) && tolerance_abs >= 0.0))
		return RW_RAISE(err, RW_E_INTERNAL, "", "a least value is sought in no interval or to no tolerance");
	alignas(max_align_t) unsigned char state[STATE_BYTES] = {0};
	gsl_min_fminimizer solver = {.type = gsl_min_fminimizer_brent, .state = state};
	if (solver.type->size > sizeof state)
		RW_BUG(err, "the minimiser's state has grown");
	call c = {.f = f, .context = context, .err = err};
	gsl_function g = {evaluate, &c};
	valley v = {.low = low, .high = high};
	bool at_end = find_valley(&c, tolerance_abs, &v);
	if (c.status != RW_OK)
		return c.status;
	bool done = at_end;
	if (!done) {
		gsl_min_fminimizer_set_with_values(&solver, &g, v.middle, v.y_middle, v.low, v.y_low, v.high, v.y_high);
		if (c.status != RW_OK)
			return c.status;
	}
	for (int steps = 0; !done && steps < STEPS_MAX; steps++) {
		int code = gsl_min_fminimizer_iterate(&solver);
		if (c.status != RW_OK)
			return c.status;
		v.middle = solver.x_minimum;
		v.y_middle = solver.f_minimum;
		done = narrow(solver.x_lower, solver.x_upper, tolerance_abs, 4.0 * GSL_SQRT_DBL_EPSILON, v.middle);
		if (code != GSL_SUCCESS)
			break;
	}
	if (!done)
		return gave_up(err, (double)NAN, STEPS_MAX, "the least value was not narrowed down to its tolerance");
	*x = v.middle;
	*y = v.y_middle;
	return RW_OK;
}

rw_status rw_integrate(rw_function f, void *context, double low, double high, double tolerance_abs, double tolerance_rel, double *value,
                       double *error, rw_error *err)
{
	if (!(isfinite(low) && isfinite(high) && tolerance_abs >= 0.0 && tolerance_rel >= 0.0))
		return RW_RAISE(err, RW_E_INTERNAL, "", "an integral is sought over no interval or to no tolerance");
	double from[PIECES_MAX], to[PIECES_MAX], part[PIECES_MAX], part_error[PIECES_MAX];
	size_t order[PIECES_MAX], level[PIECES_MAX];
	gsl_integration_workspace space = {.limit = PIECES_MAX, .alist = from, .blist = to, .rlist = part, .elist = part_error, .order = order,
	    .level = level};
	call c = {.f = f, .context = context, .err = err};
	gsl_function g = {evaluate, &c};
	double sum = 0.0, sum_error = 0.0;
	double rel = fmax(tolerance_rel, 1e-13);   /* the library refuses less */
	int code = gsl_integration_qag(&g, low, high, tolerance_abs, rel, PIECES_MAX, GSL_INTEG_GAUSS21, &space, &sum, &sum_error);
	if (c.status != RW_OK)
		return c.status;
	if (code != GSL_SUCCESS || !isfinite(sum))
		return gave_up(err, sum != 0.0 ? fabs(sum_error / sum) : (double)NAN, (int)space.size, "the integral was not found to its tolerance");
	*value = sum;
	*error = sum_error;
	return RW_OK;
}

/* step times n, by division where the step is a tenth or such: 3 steps of 0.1 are 0.3 to the last bit. */
static double steps_of(double step, double n)
{
	double by = round(1.0 / step);
	return by > 1.0 && 1.0 / by == step ? n / by : n * step;
}

double rw_ceil_to(double x, double step)
{
	if (!(step > 0.0) || !isfinite(step) || !isfinite(x))
		return (double)NAN;
	double n = x / step, near = round(n);
	return steps_of(step, fabs(n - near) <= 1e-9 * fabs(n) ? near : ceil(n));
}

double rw_round_digits(double x, int digits)
{
	if (!isfinite(x) || x == 0.0)
		return x;
	char text[RW__DIGITS_MAX + 1];
	int power = rw__text_digits(x, digits < 1 ? 1 : digits > RW__DIGITS_MAX ? RW__DIGITS_MAX : digits, text);
	return rw__text_value(x < 0.0, text, power);
}

double rw_round_e24(double x)
{
	static const char *const series[] = {"10", "11", "12", "13", "15", "16", "18", "20", "22", "24", "27", "30", "33",
	                                     "36", "39", "43", "47", "51", "56", "62", "68", "75", "82", "91", "100"};
	if (!(x > 0.0) || !isfinite(x))
		return (double)NAN;
	int power = (int)floor(log10(x));
	double best = (double)NAN, least = (double)INFINITY;
	for (size_t i = 0; i < sizeof series / sizeof *series; i++) {
		double listed = rw__text_value(false, series[i], series[i][2] ? power + 1 : power);
		double off = fabs(log(x / listed));
		if (off < least) {
			least = off;
			best = listed;
		}
	}
	return best;
}

double rw_meter_scale(double x)
{
	static const char *const ends[] = {"10", "12", "15", "20", "25", "30", "40", "50", "60", "75", "80", "100", "120"};
	if (!(x > 0.0) || !isfinite(x))
		return (double)NAN;
	int power = (int)floor(log10(x));
	for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
		double end = rw__text_value(false, ends[i], ends[i][2] ? power + 1 : power);
		if (end >= x * (1.0 - 1e-9))
			return end;
	}
	return (double)NAN;
}

double rw_ceil_in(const double *series, int n, double x)
{
	double best = (double)NAN;
	for (int i = 0; i < n; i++)
		if (series[i] >= x && !(series[i] >= best))
			best = series[i];
	return best;
}

void rw_gauss_legendre(int n, double *x, double *w)
{
	for (int k = 0; k < n; k++) {
		double z = cos(M_PI * (k + 0.75) / (n + 0.5)), slope = 1.0;
		for (int turn = 0; turn < 8; turn++) {   /* Newton on the Legendre polynomial: quadratic from this start */
			double p0 = 1.0, p1 = z;
			for (int m = 2; m <= n; m++) {
				double p2 = ((2.0 * m - 1.0) * z * p1 - (m - 1.0) * p0) / m;
				p0 = p1, p1 = p2;
			}
			slope = n * (z * p1 - p0) / (z * z - 1.0);
			z -= p1 / slope;
		}
		x[k] = z;
		w[k] = 2.0 / ((1.0 - z * z) * slope * slope);
	}
}
