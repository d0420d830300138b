#include "circuit/circuit.h"

#include <math.h>

#include "base/numeric.h"

static const double root_tolerance = 1e-13;   /* of the frequency, relative */
static const double step_aside = 1e-7;        /* from a scan point where the port is a dead short, relative */

typedef struct search {
	rw_net *net;
	int port;
	rw_net_rebuild rebuild;
	void *context;
	rw_work *work;
} search;

/* Imaginary part of the driving-point admittance, the other ports open. */
static rw_status susceptance(void *context, double frequency, double *b, rw_error *err)
{
	search *s = context;
	double complex v[RW_PORTS_MAX] = {0}, i[RW_PORTS_MAX];
	bool open[RW_PORTS_MAX];
	RW_TRY(rw_work_poll(s->work, err));
	if (s->rebuild)
		RW_TRY(s->rebuild(s->context, frequency, s->net, err));
	if (s->port < 0 || s->port >= s->net->n_ports || s->net->n_ports > RW_PORTS_MAX)
		return RW_RAISE(err, RW_E_RANGE, "ports", "port %d is not in the network", s->port);
	for (int k = 0; k < RW_PORTS_MAX; k++)
		open[k] = k != s->port;
	v[s->port] = 1.0;
	RW_TRY(rw_net_stress(s->net, frequency, v, open, s->work, NULL, NULL, i, err));
	*b = cimag(i[s->port]);
	return RW_OK;
}

/* A scan point may fall on a series resonance without loss, where the port is a short and the
 * susceptance jumps from above to below zero: a step aside, it has a sign. */
static rw_status scan_point(search *s, double *frequency, double inward, double *b, rw_error *err)
{
	rw_status status = susceptance(s, *frequency, b, err);
	if (status != RW_E_NOSOLVE)
		return status;
	*frequency *= 1.0 + inward * step_aside;
	return susceptance(s, *frequency, b, err);
}

/* Susceptance rises through each zero sought; at the poles between them it falls, so a bracket from below to above zero holds no pole. */
static rw_status scan(search *s, double low, double high, int n_scan, double *found, int room, int *n, rw_error *err)
{
	double before = low, b_before;
	RW_TRY(scan_point(s, &before, 1.0, &b_before, err));
	for (int k = 1; k <= n_scan; k++) {
		double here = k < n_scan ? low * pow(high / low, (double)k / n_scan) : high, b_here;
		RW_TRY(scan_point(s, &here, -1.0, &b_here, err));
		bool starts_on_it = k == 1 && b_before == 0.0 && b_here > 0.0;
		if (starts_on_it || (b_before < 0.0 && b_here >= 0.0)) {
			rw_root root = {.x = before};
			if (!starts_on_it && *n < room)
				RW_TRY(rw_root_find(susceptance, s, before, here, 0.0, root_tolerance, &root, err));
			if (*n < room)
				found[*n] = root.x;
			++*n;
		}
		before = here;
		b_before = b_here;
	}
	return RW_OK;
}

rw_status rw_net_resonances(rw_net *net, int port, double low, double high, int n_scan, rw_net_rebuild rebuild, void *context, rw_work *work,
                            double *frequency, int room, int *n, rw_error *err)
{
	if (!(low > 0.0 && low < high && isfinite(high)) || n_scan < 1 || room < 0) {
		(void)RW_RAISE(err, RW_E_RANGE, "frequency", "resonances are sought from '%.9g' to '%.9g' Hz in %d steps", low, high, n_scan);
		rw_error_expected(err, "a rising span above zero and at least one step");
		return RW_E_RANGE;
	}
	search s = {net, port, rebuild, context, work};
	rw_arena_mark mark = rw_arena_here(&work->scratch);
	int seen = 0;
	int kept = room < n_scan ? room : n_scan;   /* at most one a step */
	double *found = RW_ARENA_NEW(&work->scratch, double, kept + 1);
	rw_status status = found ? scan(&s, low, high, n_scan, found, kept, &seen, err)
	                         : RW_RAISE(err, RW_E_MEMORY, "network", "memory ran out for the resonances of the network");
	for (int k = 0; status == RW_OK && k < kept && k < seen; k++)
		frequency[k] = found[k];
	if (status == RW_OK)
		*n = seen;
	rw_arena_rewind(&work->scratch, mark);
	return status;
}
