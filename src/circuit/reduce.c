#include "circuit/circuit_internal.h"

#include <math.h>

static const double two_pi = 6.283185307179586476925287;
static const double complex j = (double complex)I;

/* Unknowns and rows of A x = b in this order: volts of the nodes 1.. (rows: sum of currents), currents of the parts (rows: v - Z i = 0),
 * currents out of the ports (rows: v of the port, or i = 0 for an open one). So no part is an admittance, and neither a very small nor a very
 * large one drowns its neighbours. */
typedef struct equations {
	int n_nodes, n_parts;
	const bool *open;
	rw__dense dense;
} equations;

static int of_part(const equations *e, int k) { return e->n_nodes - 1 + k; }
static int of_port(const equations *e, int k) { return e->n_nodes - 1 + e->n_parts + k; }
static double complex *cell(const equations *e, int row, int column) { return &e->dense.a[column * e->dense.n + row]; }

/* A branch from node a to b: its current leaves a and enters b, its voltage is that of a over b. */
static void join(const equations *e, int branch, int a, int b)
{
	if (a > 0) {
		*cell(e, a - 1, branch) += 1.0;
		*cell(e, branch, a - 1) += 1.0;
	}
	if (b > 0) {
		*cell(e, b - 1, branch) -= 1.0;
		*cell(e, branch, b - 1) -= 1.0;
	}
}

static double complex impedance(const rw_part_of_net *p, double w)
{
	switch (p->kind) {
	case RW_PART_L: return w * p->value * (p->second + j);
	case RW_PART_C: return 1.0 / (w * p->value * (p->second + j));
	case RW_PART_Z: return p->value + j * p->second;
	default:        return p->value;
	}
}

static bool is_open(const equations *e, int port) { return e->open && e->open[port]; }

static void fill(const rw_net *net, double w, const equations *e)
{
	for (int k = 0; k < net->n_parts; k++) {
		join(e, of_part(e, k), net->part[k].a, net->part[k].b);
		*cell(e, of_part(e, k), of_part(e, k)) = -impedance(&net->part[k], w);
	}
	for (int k = 0; k < net->n_couplings; k++) {
		const rw_coupling *c = &net->coupling[k];
		*cell(e, of_part(e, c->first), of_part(e, c->second)) -= j * (w * c->mutual);
		*cell(e, of_part(e, c->second), of_part(e, c->first)) -= j * (w * c->mutual);
	}
	for (int k = 0; k < net->n_ports; k++) {
		if (is_open(e, k))
			*cell(e, of_port(e, k), of_port(e, k)) = 1.0;
		else
			join(e, of_port(e, k), net->port[k].a, net->port[k].b);
	}
}

/* The first node that nothing connects to earth, 0 when there is none. */
static int floating_node(const rw_net *net, const equations *e)
{
	bool reached[RW_NODES_MAX] = {true};
	for (int round = 1; round < net->n_nodes; round++)
		for (int k = 0; k < net->n_parts + net->n_ports; k++) {
			int p = k - net->n_parts;
			int a = p < 0 ? net->part[k].a : net->port[p].a;
			int b = p < 0 ? net->part[k].b : net->port[p].b;
			if (p < 0 || !is_open(e, p))
				reached[a] = reached[b] = reached[a] || reached[b];
		}
	for (int node = 1; node < net->n_nodes; node++)
		if (!reached[node])
			return node;
	return 0;
}

static rw_status singular(const rw_net *net, double frequency, const equations *e, double correction, rw_error *err)
{
	int node = floating_node(net, e);
	(void)RW_RAISE(err, RW_E_NOSOLVE, "network", "the network has no solution at %.9g Hz", frequency);
	rw_error_expected(err, "a path to earth from every node, and at most one source for a voltage");
	if (node > 0)
		rw_error_hint(err, "nothing connects node %d to earth", node);
	else
		rw_error_hint(err, "a resonance without loss shorts a port, or winding volts are fixed twice");
	if (err)
		err->residual = correction;
	return RW_E_NOSOLVE;
}

/* Solves for n_drives sets of port volts, drives [n_ports x n_drives] by columns; *e lives in scratch until the caller rewinds. */
static rw_status solve(const rw_net *net, double frequency, const bool *open, const double complex *drives, int n_drives, rw_work *work,
                       equations *e, rw_error *err)
{
	RW_TRY(rw_net_check(net, err));
	if (!(frequency > 0.0 && isfinite(frequency))) {
		(void)RW_RAISE(err, RW_E_RANGE, "frequency", "the frequency '%.9g' Hz is not accepted", frequency);
		rw_error_expected(err, "more than zero");
		return RW_E_RANGE;
	}
	*e = (equations){.n_nodes = net->n_nodes, .n_parts = net->n_parts, .open = open};
	if (!rw__dense_start(&e->dense, net->n_nodes - 1 + net->n_parts + net->n_ports, n_drives, &work->scratch))
		return RW_RAISE(err, RW_E_MEMORY, "network", "memory ran out for the equations of the network");
	fill(net, two_pi * frequency, e);
	for (int d = 0; d < n_drives; d++)
		for (int k = 0; k < net->n_ports; k++)
			e->dense.b[d * e->dense.n + of_port(e, k)] = is_open(e, k) ? 0.0 : drives[d * net->n_ports + k];
	double correction;
	return rw__dense_solve(&e->dense, &correction) ? RW_OK : singular(net, frequency, e, correction, err);
}

rw_status rw_net_admittance(const rw_net *net, double frequency, rw_work *work, double complex *y, rw_error *err)
{
	double complex unit[RW_PORTS_MAX * RW_PORTS_MAX] = {0};
	int n = net->n_ports;
	if (n < 1 || n > RW_PORTS_MAX)
		return RW_RAISE(err, RW_E_RANGE, "ports", "the network has %s", n < 1 ? "no port" : "more ports than it has room for");
	for (int k = 0; k < n; k++)
		unit[k * n + k] = 1.0;
	rw_arena_mark mark = rw_arena_here(&work->scratch);
	equations e;
	rw_status status = solve(net, frequency, NULL, unit, n, work, &e, err);
	if (status == RW_OK)
		for (int d = 0; d < n; d++)
			for (int k = 0; k < n; k++)
				y[k * n + d] = -e.dense.x[d * e.dense.n + of_port(&e, k)];
	rw_arena_rewind(&work->scratch, mark);
	return status;
}

static double complex node_voltage(const equations *e, int node) { return node > 0 ? e->dense.x[node - 1] : 0.0; }

/* Losses from the currents alone: R i^2/2, and what a winding takes from another: Re(j w M i2 i1*)/2. */
static void fill_stress(const rw_net *net, double w, const equations *e, rw_stress *stress)
{
	for (int k = 0; k < net->n_parts; k++) {
		const rw_part_of_net *p = &net->part[k];
		double complex v = node_voltage(e, p->a) - node_voltage(e, p->b), i = e->dense.x[of_part(e, k)];
		double size = cabs(i);
		stress[k] = (rw_stress){v, i, 0.5 * creal(impedance(p, w)) * size * size, 0.5 * cabs(v) * size};
	}
	for (int k = 0; k < net->n_couplings; k++) {
		const rw_coupling *c = &net->coupling[k];
		double taken = -0.5 * w * c->mutual * cimag(stress[c->second].current * conj(stress[c->first].current));
		stress[c->first].loss += taken;
		stress[c->second].loss -= taken;
	}
}

rw_status rw_net_stress(const rw_net *net, double frequency, const double complex *v, const bool *open, rw_work *work, rw_stress *stress,
                        double complex *port_voltage, double complex *port_current, rw_error *err)
{
	rw_arena_mark mark = rw_arena_here(&work->scratch);
	equations e;
	rw_status status = solve(net, frequency, open, v, 1, work, &e, err);
	if (status == RW_OK && stress)
		fill_stress(net, two_pi * frequency, &e, stress);
	for (int k = 0; status == RW_OK && k < net->n_ports; k++) {
		if (port_voltage)
			port_voltage[k] = node_voltage(&e, net->port[k].a) - node_voltage(&e, net->port[k].b);
		if (port_current)
			port_current[k] = is_open(&e, k) ? 0.0 : -e.dense.x[of_port(&e, k)];
	}
	rw_arena_rewind(&work->scratch, mark);
	return status;
}
