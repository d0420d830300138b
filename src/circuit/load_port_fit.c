/* The fit is of one form, y = r0 + j w l0 + sum of r parallel to j w l: z itself for R-L; j w z for R-C, where 1/c0 stands for r0, r0 for
 * l0, and of a pair 1/c for r and r for l. Elements are logarithms, frequencies and impedances relative to the samples' own. */
#include "circuit/circuit.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <math.h>
#include <stdlib.h>

enum { UNKNOWNS_MAX = 2 + 2 * RW_LADDER_MAX, AMPLITUDES_MAX = 2 + RW_LADDER_MAX };
enum { SWEEPS = 60, STEPS_MAX = 60, IDLE_MAX = 3, ROUNDS = 3, STEPS_OF_ROUND = 6 };

static const double two_pi = 6.283185307179586476925287;
static const double log_most = 46.0;         /* elements within 1e-20 to 1e20 of the samples' unit: far beyond what could show */
static const double floor_share = 1e-3;      /* of the whole: where an amplitude starts that the linear fit finds zero */
static const double gain_least = 1e-3;       /* steps that better the sum by less are standing still */
static const double margin = 0.9;            /* between the samples the error may be a little more than at them */
static const double weight_least = 0.2;      /* of the greatest: keeps small errors from being forgotten */
static const double worth = 0.99;            /* of the error: more pairs must come below it */

typedef struct sample { double w, r, x; } sample;    /* of y; relative to the middle of the span, to the greatest |y| */

typedef struct fit_data {
	const sample *at;
	int n, pairs;
} fit_data;

typedef struct fit_best { double element[UNKNOWNS_MAX], error; int pairs; } fit_best;   /* r0, l0, r[0], l[0], r[1], ... */

/* Corner frequencies r/l of a start lie evenly in log f; ends in the logarithm of the samples' span, 0 its low end, 1 its high end. */
typedef struct start { double from, to; } start;

/* Loads reach far beyond the top of their span, where skin depth goes on shrinking. Of 468 invented sets of samples (bars, tubes, coils,
 * plates) the first alone misses the fewest pairs in 14, the two in 2; a third would cost half as much again. */
static const start starts[] = {{-0.1, 1.5}, {-0.75, 1.75}};

static double element(const gsl_vector *x, size_t i) { return exp(fmax(-log_most, fmin(log_most, gsl_vector_get(x, i)))); }

/* A pair at one frequency: with u = w l/r, share = 1/(1 + u^2). */
typedef struct pair_value { double r, x, share; } pair_value;

static pair_value pair_at(double r, double l, double w)
{
	double u = w * l / r, share = 1.0 / (1.0 + u * u);
	return (pair_value){w * l * u * share, w * l * share, share};
}

static int residuals(const gsl_vector *x, void *context, gsl_vector *f)
{
	const fit_data *d = context;
	double e[UNKNOWNS_MAX] = {0.0};
	for (size_t i = 0; i < x->size; i++)
		e[i] = element(x, i);
	for (int i = 0; i < d->n; i++) {
		double r = e[0], reactance = d->at[i].w * e[1];
		for (int k = 0; k < d->pairs; k++) {
			pair_value p = pair_at(e[2 + 2 * k], e[3 + 2 * k], d->at[i].w);
			r += p.r;
			reactance += p.x;
		}
		gsl_vector_set(f, 2 * (size_t)i, r / d->at[i].r - 1.0);
		gsl_vector_set(f, 2 * (size_t)i + 1, reactance / d->at[i].x - 1.0);
	}
	return GSL_SUCCESS;
}

static int slopes(const gsl_vector *x, void *context, gsl_matrix *jacobian)
{
	const fit_data *d = context;
	double e[UNKNOWNS_MAX] = {0.0};
	for (size_t i = 0; i < x->size; i++)
		e[i] = element(x, i);
	for (int i = 0; i < d->n; i++) {
		const sample *s = &d->at[i];
		double *of_r = gsl_matrix_ptr(jacobian, 2 * (size_t)i, 0), *of_x = gsl_matrix_ptr(jacobian, 2 * (size_t)i + 1, 0);
		of_r[0] = e[0] / s->r, of_r[1] = 0.0;
		of_x[0] = 0.0, of_x[1] = s->w * e[1] / s->x;
		for (int k = 0; k < d->pairs; k++) {
			pair_value p = pair_at(e[2 + 2 * k], e[3 + 2 * k], s->w);
			of_r[2 + 2 * k] = p.r * (1.0 - 2.0 * p.share) / s->r, of_r[3 + 2 * k] = p.r * 2.0 * p.share / s->r;
			of_x[2 + 2 * k] = p.x * (2.0 - 2.0 * p.share) / s->x, of_x[3 + 2 * k] = p.x * (2.0 * p.share - 1.0) / s->x;
		}
	}
	return GSL_SUCCESS;
}

/* Columns of the linear fit at one sample, of R and of X, relative to the sample: r0, l0, pairs of r = 1 at their corners. */
static void columns(const sample *s, int pairs, const double *corner, double *of_r, double *of_x)
{
	of_r[0] = 1.0 / s->r, of_r[1] = 0.0;
	of_x[0] = 0.0, of_x[1] = s->w / s->x;
	for (int k = 0; k < pairs; k++) {
		pair_value p = pair_at(1.0, 1.0 / corner[k], s->w);
		of_r[2 + k] = p.r / s->r, of_x[2 + k] = p.x / s->x;
	}
}

/* Amplitudes not below zero by least squares: Gauss and Seidel's sweeps, cut at zero, which converge for that. A start needs no more. */
static void amplitudes(const fit_data *d, const double *corner, double *a)
{
	double gram[AMPLITUDES_MAX][AMPLITUDES_MAX] = {{0.0}}, right[AMPLITUDES_MAX] = {0.0};
	int m = 2 + d->pairs;
	for (int i = 0; i < d->n; i++) {
		double of_r[AMPLITUDES_MAX], of_x[AMPLITUDES_MAX];
		columns(&d->at[i], d->pairs, corner, of_r, of_x);
		for (int p = 0; p < m; p++) {
			right[p] += of_r[p] + of_x[p];
			for (int q = 0; q < m; q++)
				gram[p][q] += of_r[p] * of_r[q] + of_x[p] * of_x[q];
		}
	}
	for (int p = 0; p < m; p++)
		a[p] = 0.0;
	for (int sweep = 0; sweep < SWEEPS; sweep++)
		for (int p = 0; p < m; p++) {
			double rest = right[p];
			for (int q = 0; q < m; q++)
				rest -= gram[p][q] * a[q];
			a[p] = fmax(0.0, a[p] + rest / gram[p][p]);
		}
	for (int p = 0; p < m; p++)
		a[p] = fmax(a[p], floor_share * sqrt(2.0 * d->n / gram[p][p]));
}

static void first_guess(const fit_data *d, const start *from, gsl_vector *x)
{
	double corner[RW_LADDER_MAX], a[AMPLITUDES_MAX], low = log(d->at[0].w), span = log(d->at[d->n - 1].w) - low;
	for (int k = 0; k < d->pairs; k++)
		corner[k] = exp(low + span * (from->from + (from->to - from->from) * (k + 0.5) / d->pairs));
	amplitudes(d, corner, a);
	gsl_vector_set(x, 0, log(a[0]));
	gsl_vector_set(x, 1, log(a[1]));
	for (int k = 0; k < d->pairs; k++) {
		gsl_vector_set(x, 2 + 2 * (size_t)k, log(a[2 + k]));
		gsl_vector_set(x, 3 + 2 * (size_t)k, log(a[2 + k] / corner[k]));
	}
}

/* A fit's working space; the weights are those of squares. */
typedef struct fit_bench {
	gsl_multifit_nlinear_workspace *work;
	gsl_multifit_nlinear_fdf problem;
	gsl_vector *weights;
} fit_bench;

static double error_at(const fit_bench *b, size_t i) { return fabs(gsl_vector_get(b->work->f, i)) / sqrt(gsl_vector_get(b->weights, i)); }

/* Greatest relative error where the fit stands, kept if it is better than the best; infinite where something is not finite. */
static double judge(const fit_bench *b, int pairs, fit_best *best)
{
	double most = 0.0;
	for (size_t i = 0; i < b->work->f->size; i++) {
		double e = error_at(b, i);
		most = isfinite(e) ? fmax(most, e) : (double)INFINITY;
	}
	if (most < best->error * (pairs > best->pairs ? worth : 1.0)) {
		best->error = most;
		best->pairs = pairs;
		for (size_t i = 0; i < b->work->x->size; i++)
			best->element[i] = element(b->work->x, i);
	}
	return most;
}

/* Steps until the sum of squares stands still. */
static void settle(fit_bench *b, const gsl_vector *from, int steps)
{
	if (gsl_multifit_nlinear_winit(from, b->weights, &b->problem, b->work) != GSL_SUCCESS)
		return;
	double norm = gsl_blas_dnrm2(b->work->f);
	for (int idle = 0; steps > 0 && idle < IDLE_MAX; steps--) {
		if (gsl_multifit_nlinear_iterate(b->work) != GSL_SUCCESS)
			return;
		double now = gsl_blas_dnrm2(b->work->f);
		idle = now > norm * (1.0 - gain_least) ? idle + 1 : 0;
		norm = now;
	}
}

/* Least squares; where that comes near to what is wanted, weights that grow with the error (Lawson) take up to half off the greatest. */
static void descend(fit_bench *b, const gsl_vector *from, int pairs, double wanted, fit_best *best)
{
	gsl_vector_set_all(b->weights, 1.0);
	settle(b, from, STEPS_MAX);
	double error = judge(b, pairs, best);
	for (int round = 0; round < ROUNDS && error > margin * wanted && error < 2.0 * wanted; round++) {
		for (size_t i = 0; i < b->weights->size; i++)
			gsl_vector_set(b->weights, i, gsl_vector_get(b->weights, i) * (weight_least + error_at(b, i) / error));
		settle(b, b->work->x, STEPS_OF_ROUND);
		error = judge(b, pairs, best);
	}
}

/* Geodesic acceleration takes fits that creep along a bent valley in half the steps; the normal equations halve the cost of each. */
static rw_status fit_pairs(fit_data *d, double wanted, fit_best *best, rw_error *err)
{
	size_t n_starts = d->pairs == 0 ? 1 : sizeof starts / sizeof *starts;
	size_t unknowns = 2 + 2 * (size_t)d->pairs, figures = 2 * (size_t)d->n;
	gsl_multifit_nlinear_parameters parameters = gsl_multifit_nlinear_default_parameters();
	parameters.trs = gsl_multifit_nlinear_trs_lmaccel;
	parameters.solver = gsl_multifit_nlinear_solver_cholesky;
	fit_bench b = {.work = gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &parameters, figures, unknowns),
	               .problem = {.f = residuals, .df = slopes, .n = figures, .p = unknowns, .params = d},
	               .weights = gsl_vector_alloc(figures)};
	bool room = b.work && b.weights;
	double first[UNKNOWNS_MAX];
	gsl_vector_view from = gsl_vector_view_array(first, unknowns);
	for (size_t i = 0; room && i < n_starts && !(best->error <= wanted); i++) {
		first_guess(d, &starts[i], &from.vector);
		descend(&b, &from.vector, d->pairs, wanted, best);
	}
	gsl_vector_free(b.weights);
	gsl_multifit_nlinear_free(b.work);
	return room ? RW_OK : RW_RAISE(err, RW_E_MEMORY, "load", "no memory to fit %d samples", d->n);
}

/* One reactance alone, the midst of the samples' own, so that its greatest relative error is least. */
static void fit_lossless(rw_port_kind kind, const fit_data *d, fit_best *best)
{
	double least = (double)INFINITY, most = 0.0;
	for (int i = 0; i < d->n; i++) {
		double value = kind == RW_PORT_RC ? d->at[i].r : d->at[i].x / d->at[i].w;
		least = fmin(least, value);
		most = fmax(most, value);
	}
	*best = (fit_best){.error = 0.0};                /* nothing more to be sought; what it is comes from the port */
	best->element[kind == RW_PORT_RC ? 0 : 1] = 2.0 / (1.0 / least + 1.0 / most);
}

static rw_status check_sample(rw_port_kind kind, bool lossless, double frequency, double complex z, rw_error *err)
{
	double r = creal(z), x = cimag(z);
	if (!(isfinite(r) && isfinite(x) && (lossless ? r == 0.0 : r > 0.0))) {
		(void)RW_RAISE(err, RW_E_RANGE, "load", "the load has '%.9g' ohm and a reactance of '%.9g' ohm at %.9g Hz", r, x,
		    frequency);
		rw_error_expected(err, "finite, the resistance above zero at all samples or zero at all");
		return RW_E_RANGE;
	}
	if (!((kind == RW_PORT_RC ? -x : x) > 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "load", "the load's reactance of '%.9g' ohm at %.9g Hz is not of its kind", x, frequency);
		rw_error_expected(err, kind == RW_PORT_RC ? "below zero, as plates have it" : "above zero, as a coil has it");
		return RW_E_RANGE;
	}
	return RW_OK;
}

static rw_status check_samples(rw_port_kind kind, int n, const double *frequency, const double complex *z, double wanted, rw_error *err)
{
	if ((kind != RW_PORT_RL && kind != RW_PORT_RC) || n < 1 || !(wanted >= 0.0 && isfinite(wanted)))
		return RW_RAISE(err, RW_E_RANGE, "load", "no fit of kind %d to '%d' samples within '%.9g'", (int)kind, n, wanted);
	for (int i = 0; i < n; i++) {
		if (!(frequency[i] > (i > 0 ? frequency[i - 1] : 0.0) && isfinite(frequency[i])))
			return RW_RAISE(err, RW_E_RANGE, "frequency", "the frequencies do not rise: '%.9g' Hz of sample %d", frequency[i],
			    i + 1);
		RW_TRY(check_sample(kind, creal(z[0]) == 0.0, frequency[i], z[i], err));
	}
	return RW_OK;
}

/* Out: the middle of the span, rad/s, and the greatest |y|, ohm (R-C: of z times the relative frequency). */
static void scale_samples(rw_port_kind kind, int n, const double *frequency, const double complex *z, sample *at, double *middle,
                          double *unit)
{
	double centre = sqrt(frequency[0]) * sqrt(frequency[n - 1]);
	*middle = two_pi * centre;
	*unit = 0.0;
	for (int i = 0; i < n; i++) {
		double w = frequency[i] / centre, r = creal(z[i]), x = cimag(z[i]);
		at[i] = kind == RW_PORT_RC ? (sample){w, -x * w, r * w} : (sample){w, r, x};
		*unit = fmax(*unit, hypot(at[i].r, at[i].x));
	}
	for (int i = 0; i < n; i++) {
		at[i].r /= *unit;
		at[i].x /= *unit;
	}
}

static void fill_port(rw_port_kind kind, const fit_best *best, double middle, double unit, rw_load_port *port)
{
	const double *e = best->element;
	bool rc = kind == RW_PORT_RC;
	port->kind = (int32_t)kind;
	port->n = best->pairs;
	port->r0 = unit * e[rc ? 1 : 0];
	if (rc)
		port->c0 = 1.0 / (e[0] * unit * middle);
	else
		port->l0 = e[1] * unit / middle;
	for (int k = 0; k < port->n; k++) {
		double r = e[2 + 2 * k], l = e[3 + 2 * k];
		port->r[k] = unit * (rc ? l : r);
		if (rc)
			port->c[k] = 1.0 / (r * unit * middle);
		else
			port->l[k] = l * unit / middle;
	}
}

/* The error as the port itself gives it. */
static rw_status measure(rw_load_port *port, int n, const double *frequency, const double complex *z, rw_error *err)
{
	for (int i = 0; i < n; i++) {
		double complex got;
		RW_TRY(rw_load_port_impedance(port, frequency[i], -1.0, &got, err));
		double of_r = creal(z[i]) > 0.0 ? fabs(creal(got) / creal(z[i]) - 1.0) : 0.0;
		port->error = fmax(port->error, fmax(of_r, fabs(cimag(got) / cimag(z[i]) - 1.0)));
	}
	return RW_OK;
}

rw_status rw_load_port_fit(rw_port_kind kind, int n, const double *frequency, const double complex *z, double wanted_error,
                           rw_load_port *out, rw_error *err)
{
	RW_TRY(check_samples(kind, n, frequency, z, wanted_error, err));
	sample *at = malloc((size_t)n * sizeof *at);
	if (!at)
		return RW_RAISE(err, RW_E_MEMORY, "load", "no memory to fit %d samples", n);
	rw_load_port port = {.f_lo = frequency[0], .f_hi = frequency[n - 1]};
	fit_data data = {.at = at, .n = n};
	fit_best best = {.error = (double)INFINITY};
	double middle, unit;
	rw_status status = RW_OK;
	scale_samples(kind, n, frequency, z, at, &middle, &unit);
	if (creal(z[0]) == 0.0)
		fit_lossless(kind, &data, &best);
	for (; status == RW_OK && data.pairs <= RW_LADDER_MAX && data.pairs < n && !(best.error <= wanted_error); data.pairs++)
		status = fit_pairs(&data, wanted_error, &best, err);
	free(at);
	RW_TRY(status);
	if (!isfinite(best.error))
		return RW_RAISE(err, RW_E_NOSOLVE, "load", "no ladder was found for the load from %.9g Hz to %.9g Hz", frequency[0],
		    frequency[n - 1]);
	fill_port(kind, &best, middle, unit, &port);
	RW_TRY(measure(&port, n, frequency, z, err));
	*out = port;
	return RW_OK;
}
