#include "supply/ripple.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/numeric.h"

#define PI 3.14159265358979323846

enum { KINKS_MAX = 4, PIECES_MAX = RW_RIPPLE_PIECES_MAX };
_Static_assert(PIECES_MAX >= 2 * KINKS_MAX + 2, "a kink before and after the crest");
static const double enough = 1e-5;    /* of a mean, at the last refinement */

rw_ripple_span rw_ripple_span_of(const rw_ripple_source *source)
{
	double half = PI / source->pulses, off = acos(fmin(source->arms / source->crest, 1.0));
	rw_ripple_span span = {source->angle - half, fmin(source->angle + half, off), 0.0};
	span.start = fmin(span.start, span.end);
	span.share = span.end < source->angle + half ? (span.end - span.start) / (2.0 * half) : 1.0;
	return span;
}

double rw_ripple_mean_ratio(const rw_ripple_source *source)
{
	rw_ripple_span span = rw_ripple_span_of(source);
	return (sin(span.end) - sin(span.start)) / (2.0 * sin(PI / source->pulses));
}

double rw_ripple_greatest(const rw_ripple_source *source)
{
	return source->crest * cos(fmax(rw_ripple_span_of(source).start, 0.0));
}

double rw_ripple_least(const rw_ripple_source *source)
{
	rw_ripple_span span = rw_ripple_span_of(source);
	return span.share < 1.0 ? 0.0 : source->crest * cos(fmax(fabs(span.start), span.end));
}

static int rising(const void *a, const void *b)
{
	double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

/* Ends of the pieces in rising order; of a pulse that is even about its crest only the second half. */
static int pieces(const rw_ripple_source *source, const double *kinks, int n_kinks, bool *folded, double edge[PIECES_MAX + 1])
{
	rw_ripple_span span = rw_ripple_span_of(source);
	int n = 0;
	*folded = fabs(span.start + span.end) <= 1e-14;
	double start = *folded ? 0.0 : span.start;
	edge[n++] = start;
	for (int k = 0; k < n_kinks && k < KINKS_MAX; k++) {
		if (!(kinks[k] > 0.0 && kinks[k] < source->crest))
			continue;
		double at = acos(kinks[k] / source->crest);
		if (at > start && at < span.end)
			edge[n++] = at;
		if (-at > start && -at < span.end)
			edge[n++] = -at;
	}
	edge[n++] = span.end;
	qsort(edge, (size_t)n, sizeof *edge, rising);
	return n - 1;
}

static rw_status sum_up(const rw_ripple_source *source, const double *edge, int n_pieces, bool folded, int nodes, rw_ripple_load load,
    void *context, int n, double *mean, double *last, rw_error *err)
{
	double x[RW_RIPPLE_NODES_MAX], w[RW_RIPPLE_NODES_MAX], q[RW_RIPPLE_MEANS_MAX];
	double width = 2.0 * PI / source->pulses, times = folded ? 2.0 : 1.0;
	memset(mean, 0, sizeof *mean * (size_t)n);
	rw_gauss_legendre(nodes, x, w);
	for (int p = 0; p < n_pieces; p++)
		for (int k = 0; k < nodes; k++) {
			double half = 0.5 * (edge[p + 1] - edge[p]), angle = edge[p] + half * (1.0 + x[k]);
			const rw_ripple_instant at = {source->crest * cos(angle), folded ? 0.0 : sin(angle)};
			RW_TRY(load(context, &at, q, err));
			last[p * nodes + k] = q[n - 1];
			for (int i = 0; i < n; i++)
				mean[i] += times * half * w[k] / width * q[i];
		}
	return RW_OK;
}

rw_status rw_ripple_mean(const rw_ripple_source *source, const double *kinks, int n_kinks, rw_ripple_load load, void *context, int n,
    const bool *judged, rw_ripple_means *out, rw_error *err)
{
	static const int nodes[] = {4, 7, 12, 20, 32};
	double edge[PIECES_MAX + 1] = {0.0}, before[RW_RIPPLE_MEANS_MAX];
	bool folded;
	int n_pieces = pieces(source, kinks, n_kinks, &folded, edge);
	rw_ripple_means means = {.error = INFINITY, .last = {.pieces = n_pieces, .folded = folded}};
	memcpy(means.last.edge, edge, sizeof edge);
	for (size_t level = 0; level < sizeof nodes / sizeof *nodes; level++) {
		memcpy(before, means.mean, sizeof before);
		RW_TRY(sum_up(source, edge, n_pieces, folded, nodes[level], load, context, n, means.mean, means.last.value, err));
		means.instants += n_pieces * nodes[level];
		means.last.nodes = nodes[level];
		if (level == 0)
			continue;
		means.error = 0.0;
		for (int i = 0; i < n; i++)
			if (judged[i] && means.mean[i] != before[i])
				means.error = fmax(means.error, fabs(means.mean[i] - before[i]) / fmax(fabs(means.mean[i]), fabs(before[i])));
		if (means.error <= enough) {
			*out = means;
			return RW_OK;
		}
	}
	(void)RW_RAISE(err, RW_E_NOSOLVE, "supply.ripple_rms", "the means over the mains cycle still move by %.2g at %d instants a piece", means.error,
	    RW_RIPPLE_NODES_MAX);
	rw_error_expected(err, "a load whose current follows the volts smoothly");
	rw_error_hint(err, "'ripple_counted: mean' leaves the ripple out");
	return RW_E_NOSOLVE;
}

/* Legendre coefficients of the polynomial through the values at the Gauss nodes. */
static void expand(const double *value, int nodes, double *coefficient)
{
	double x[RW_RIPPLE_NODES_MAX], w[RW_RIPPLE_NODES_MAX];
	rw_gauss_legendre(nodes, x, w);
	memset(coefficient, 0, sizeof *coefficient * (size_t)nodes);
	for (int i = 0; i < nodes; i++) {
		double p0 = 0.0, p1 = 1.0;
		for (int k = 0; k < nodes; k++) {
			coefficient[k] += (k + 0.5) * w[i] * value[i] * p1;
			double p2 = ((2.0 * k + 1.0) * x[i] * p1 - k * p0) / (k + 1.0);
			p0 = p1, p1 = p2;
		}
	}
}

static double expansion_at(const double *coefficient, int nodes, double x)
{
	double sum = 0.0, p0 = 0.0, p1 = 1.0;
	for (int k = 0; k < nodes; k++) {
		sum += coefficient[k] * p1;
		double p2 = ((2.0 * k + 1.0) * x * p1 - k * p0) / (k + 1.0);
		p0 = p1, p1 = p2;
	}
	return sum;
}

/* Integrals of the trace times cosine and sine over a piece, in strips of at most 8 rad of the harmonic to either side. */
static void project(const rw_ripple_trace *trace, int piece, int order, double *even, double *odd)
{
	double x[RW_RIPPLE_NODES_MAX], w[RW_RIPPLE_NODES_MAX], coefficient[RW_RIPPLE_NODES_MAX];
	double half = 0.5 * (trace->edge[piece + 1] - trace->edge[piece]), middle = trace->edge[piece] + half;
	int strips = (int)ceil(order * half / 8.0);
	expand(&trace->value[piece * trace->nodes], trace->nodes, coefficient);
	rw_gauss_legendre(RW_RIPPLE_NODES_MAX, x, w);
	for (int s = 0; s < strips; s++)
		for (int i = 0; i < RW_RIPPLE_NODES_MAX; i++) {
			double z = (2.0 * s + 1.0 + x[i]) / strips - 1.0, share = half / strips * w[i] * expansion_at(coefficient, trace->nodes, z);
			*even += share * cos(order * (middle + half * z));
			*odd += share * sin(order * (middle + half * z));
		}
}

double rw_ripple_line_harmonic(const rw_ripple_trace *trace, int order)
{
	double even = 0.0, odd = 0.0;
	if (order % 2 == 0 || order % 3 == 0)
		return 0.0;
	for (int piece = 0; piece < trace->pieces; piece++)
		project(trace, piece, order, &even, &odd);
	double pulse = trace->folded ? 2.0 * fabs(even) : hypot(even, odd);
	return 2.0 * sqrt(2.0) / PI * fabs(cos(order * PI / 6.0)) * pulse;
}
