#include "circuit/circuit.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* All of it is cleared, so that equal nets are equal bytes. */
void rw_net_start(rw_net *net, int n_nodes)
{
	memset(net, 0, sizeof *net);
	net->n_nodes = n_nodes;
}

/* The place for one more, or -1; a net that overflowed keeps a count beyond its room. */
static int next(int32_t *n, int room)
{
	if (*n < room)
		return (*n)++;
	*n = room + 1;
	return -1;
}

int rw_net_add(rw_net *net, rw_part_kind kind, int a, int b, double value, double second)
{
	int k = next(&net->n_parts, RW_PARTS_MAX);
	if (k >= 0)
		net->part[k] = (rw_part_of_net){.kind = (int32_t)kind, .a = a, .b = b, .value = value, .second = second};
	return k;
}

void rw_net_couple(rw_net *net, int first, int second, double mutual)
{
	int k = next(&net->n_couplings, RW_PARTS_MAX);
	if (k >= 0)
		net->coupling[k] = (rw_coupling){first, second, mutual};
}

int rw_net_port(rw_net *net, int a, int b)
{
	int k = next(&net->n_ports, RW_PORTS_MAX);
	if (k >= 0)
		net->port[k] = (rw_port){a, b};
	return k;
}

static rw_status check_count(const char *of, int n, int low, int high, rw_error *err)
{
	if (n >= low && n <= high)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, of, n > high ? "the network has more %s than it has room for" : "the network has too few %s", of);
	rw_error_expected(err, "%d to %d %s", low, high, of);
	return RW_E_RANGE;
}

/* Key and text of a fault of the k-th member of a list. */
static rw_status refuse(const char *list, int k, const char *what, double value, const char *expected, rw_error *err)
{
	char key[48];
	snprintf(key, sizeof key, "%s[%d]", list, k);
	(void)RW_RAISE(err, RW_E_RANGE, key, "the %s '%.9g' of %s %d of the network is not accepted", what, value, list, k);
	rw_error_expected(err, "%s", expected);
	return RW_E_RANGE;
}

static rw_status check_nodes(const rw_net *net, const char *list, int k, int a, int b, rw_error *err)
{
	bool in_range = a >= 0 && a < net->n_nodes;
	if (in_range && b >= 0 && b < net->n_nodes)
		return RW_OK;
	return refuse(list, k, "node", in_range ? b : a, "a node of the network, 0 for earth", err);
}

static rw_status check_part(const rw_net *net, int k, rw_error *err)
{
	static const char *const value_names[] = {"resistance", "inductance", "capacitance", "resistance"};
	static const char *const second_names[] = {"second figure", "1/Q", "loss tangent", "reactance"};
	const rw_part_of_net *p = &net->part[k];
	if (p->kind < RW_PART_R || p->kind > RW_PART_Z)
		return refuse("part", k, "kind", p->kind, "R, L, C or Z", err);
	RW_TRY(check_nodes(net, "part", k, p->a, p->b, err));
	bool is_z = p->kind == RW_PART_Z;
	if (!isfinite(p->value) || p->value < 0.0 || (p->value == 0.0 && !is_z))
		return refuse("part", k, value_names[p->kind], p->value, is_z ? "zero or more" : "more than zero", err);
	if (!isfinite(p->second) || (p->second < 0.0 && !is_z && p->kind != RW_PART_R))
		return refuse("part", k, second_names[p->kind], p->second, is_z ? "a finite value" : "zero or more", err);
	return RW_OK;
}

static bool is_inductor(const rw_net *net, int k) { return k >= 0 && k < net->n_parts && net->part[k].kind == RW_PART_L; }

static rw_status check_coupling(const rw_net *net, int k, rw_error *err)
{
	const rw_coupling *c = &net->coupling[k];
	if (!is_inductor(net, c->first) || !is_inductor(net, c->second) || c->first == c->second)
		return refuse("coupling", k, "part", is_inductor(net, c->first) ? c->second : c->first, "two inductors of the network", err);
	double most = net->part[c->first].value * net->part[c->second].value * (1.0 + 1e-9);
	if (!(c->mutual * c->mutual <= most))
		return refuse("coupling", k, "mutual inductance", c->mutual, "at most the root of the product of the two inductances", err);
	return RW_OK;
}

rw_status rw_net_check(const rw_net *net, rw_error *err)
{
	RW_TRY(check_count("nodes", net->n_nodes, 2, RW_NODES_MAX, err));
	RW_TRY(check_count("parts", net->n_parts, 0, RW_PARTS_MAX, err));
	RW_TRY(check_count("couplings", net->n_couplings, 0, RW_PARTS_MAX, err));
	RW_TRY(check_count("ports", net->n_ports, 0, RW_PORTS_MAX, err));
	for (int k = 0; k < net->n_parts; k++)
		RW_TRY(check_part(net, k, err));
	for (int k = 0; k < net->n_couplings; k++)
		RW_TRY(check_coupling(net, k, err));
	for (int k = 0; k < net->n_ports; k++) {
		RW_TRY(check_nodes(net, "port", k, net->port[k].a, net->port[k].b, err));
		if (net->port[k].a == net->port[k].b)
			return refuse("port", k, "node", net->port[k].b, "two different nodes", err);
	}
	return RW_OK;
}
