/* The HT over one pulse of the rectifier, unfiltered: a source behind a resistance, and means over the pulse of whatever hangs on it.
 * Model: the source is the crest's cosine between the firing angle's limits, counted from the crest; below the arms' own drop no current
 * flows and the HT is nought. Behind it the windings' resistance and the mean resistance of commutation, p X/(2 pi), act at each instant.
 * Error control: Gauss-Legendre on each piece between the kinks (where the load starts and stops to oscillate), 4, 7, 12, 20, 32 nodes, until
 * no mean moves by more than 1e-5 of its scale; what is told is the finer one. Every mean is a sum over the same instants, so what balances at
 * each instant balances in the mean.
 * src  supply-and-protection references, section 3; docs/theory/control.md */
#ifndef RW_SUPPLY_RIPPLE_H
#define RW_SUPPLY_RIPPLE_H

#include "base/error.h"

enum { RW_RIPPLE_MEANS_MAX = 24, RW_RIPPLE_NODES_MAX = 32, RW_RIPPLE_PIECES_MAX = 10 };

typedef struct rw_ripple_source {
	double crest;           /* V: peak of the source's cosine at this mains and ratio */
	double pulses;          /* 1 a mains cycle */
	double angle;           /* rad: firing angle from natural commutation */
	double arms;            /* V: drop of the conducting arms */
} rw_ripple_source;

/* Where current flows, rad from the crest, and for which share of the pulse. */
typedef struct rw_ripple_span { double start, end, share; } rw_ripple_span;
rw_ripple_span rw_ripple_span_of(const rw_ripple_source *source);
double rw_ripple_mean_ratio(const rw_ripple_source *source);   /* mean of the source while current flows over its full no-load mean */
double rw_ripple_greatest(const rw_ripple_source *source);     /* V: the source at its crest or where it is fired */
double rw_ripple_least(const rw_ripple_source *source);        /* V: at the end of the pulse; 0 where the current stops before */

/* What the load does at an instant. in source V of the source, odd: +-1 where the instant stands for itself, 0 where it stands for the two
 * instants at the same volts before and after the crest; sine of the instant's angle. out q [n] */
typedef struct rw_ripple_instant { double source, sine; } rw_ripple_instant;
typedef rw_status (*rw_ripple_load)(void *context, const rw_ripple_instant *at, double *q, rw_error *err);

/* One quantity at the nodes of the last refinement. */
typedef struct rw_ripple_trace {
	double edge[RW_RIPPLE_PIECES_MAX + 1];    /* rad from the crest: ends of the pieces */
	double value[RW_RIPPLE_PIECES_MAX * RW_RIPPLE_NODES_MAX];
	int    pieces, nodes, folded, unused;     /* folded: the second half of a pulse that is even about its crest */
} rw_ripple_trace;

typedef struct rw_ripple_means {
	double mean[RW_RIPPLE_MEANS_MAX];
	rw_ripple_trace last;   /* of the last quantity */
	double error;           /* the greatest move of a mean at the last refinement, relative to its scale */
	int    instants, unused;   /* at which the load was solved, all refinements together */
} rw_ripple_means;

/* in   kinks [n_kinks] V of the source at which the load changes its way, q's count n, scale [n]: what each mean's move is relative to is the
 *      greatest of that mean itself and nought, a mean of no scale does not count: judged[n] false
 * errs those of the load; RW_E_NOSOLVE when 32 nodes a piece are not enough */
RW_MUST_USE rw_status rw_ripple_mean(const rw_ripple_source *source, const double *kinks, int n_kinks, rw_ripple_load load, void *context, int n,
    const bool *judged, rw_ripple_means *out, rw_error *err);

/* Rms of a harmonic of the six-pulse bridge's line current whose direct current is the trace: two pulses 60 degrees apart, and half a cycle
 * later the same turned over; no overlap. Between the nodes of a piece the trace is its polynomial, whose product with the harmonic is
 * integrated to rounding: the error is that of the polynomial.   in  order of the mains, 1 or more */
double rw_ripple_line_harmonic(const rw_ripple_trace *trace, int order);

#endif
