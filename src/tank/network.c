/* The network of one valve, part by part. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "tank/tank.h"

bool rw_tank_has_grid_choke(const rw_tank_in *in)
{
	return in->feedback == RW_FEEDBACK_CAPACITIVE || (in->feedback == RW_FEEDBACK_INDUCTIVE && in->feed == RW_FEED_SERIES);
}

double rw_tank_tap_mutual(const rw_tank_in *in) { return in->grid_coupling * sqrt(in->inductance * in->grid_inductance); }

double rw_tank_ht_capacitance(const rw_tank_in *in)
{
	return in->feed == RW_FEED_SHUNT ? rw_tank_sides(in) * in->blocking_capacitance : in->bypass_capacitance;
}

rw_tank_in rw_tank_half(const rw_tank_in *in)
{
	rw_tank_in half = *in;
	double n = rw_tank_sides(in);
	half.capacitance *= n;
	half.divider_anode_capacitance *= n;
	half.divider_grid_capacitance *= n;
	half.secondary_capacitance *= n;
	half.inductance /= n;
	half.grid_inductance /= n;
	half.grid_mutual /= n;
	half.secondary_inductance /= n;
	half.secondary_mutual /= n;
	return half;
}

/* The network counts its parts; the file has names for them. */
rw_status rw_tank_name_part(rw_status status, const rw_tank_net *net, rw_error *err)
{
	static const char *const keys[RW_TANK_PARTS] = {"tank.blocking_capacitance", "tank.capacitance", "tank.inductance", "work.loads",
	    "tank.choke_inductance", "tank.grid_inductance", "tank.divider_grid_capacitance", "tank.bypass_capacitance",
	    "tank.grid_choke_inductance", "tank.secondary_inductance", "tank.secondary_capacitance", "valve.anode_grid_capacitance",
	    "valve.grid_cathode_capacitance", "valve.anode_cathode_capacitance"};
	int index;
	if (status == RW_OK || !err)
		return status;
	if (sscanf(err->key, "part[%d]", &index) == 1) {
		for (int k = 0; k < RW_TANK_PARTS; k++)
			if (net->part[k] == index)
				snprintf(err->key, sizeof err->key, "%s", keys[k]);
	} else if (strcmp(err->key, "network") == 0) {
		snprintf(err->key, sizeof err->key, "tank.capacitance");
	}
	if (!err->hint[0])
		rw_error_hint(err, "check '%s' and its unit", err->key);
	return status;
}

static rw_status too_much_mutual(const char *key, const char *other, double first, double second, double mutual, double most, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_RANGE, key, "two windings of '%.4g uH' and '%.4g uH' have no mutual inductance of '%.4g uH'", first * 1e6,
	    second * 1e6, mutual * 1e6);
	rw_error_expected(err, "at most %.4g uH, %s", most * 1e6,
	    most < sqrt(first * second) ? "a coupling factor of 0.9" : "all their flux shared");
	rw_error_hint(err, "more '%s', or less '%s'", other, strchr(key, '.') + 1);
	return RW_E_RANGE;
}

static rw_status windings_fit(const rw_tank_in *in, rw_error *err)
{
	static const double secondary_most = 0.9;   /* of all flux shared: two coils side by side reach no more */
	double most = sqrt(in->inductance * in->grid_inductance);
	if (in->feedback == RW_FEEDBACK_WINDING && in->grid_mutual > most * (1.0 + 1e-9))
		return too_much_mutual("tank.grid_mutual", "grid_inductance", in->inductance, in->grid_inductance, in->grid_mutual, most, err);
	if (in->coupling != RW_COUPLING_SECONDARY)
		return RW_OK;
	most = secondary_most * sqrt(in->inductance * in->secondary_inductance);
	if (in->secondary_mutual > most * (1.0 + 1e-9))
		return too_much_mutual("tank.secondary_mutual", "secondary_inductance", in->inductance, in->secondary_inductance,
		    in->secondary_mutual, most, err);
	return RW_OK;
}

/* Where the tank hangs. Earth is the cathode: node 0. */
typedef struct nodes { int anode, hot, cold, grid; } nodes;

static void add(rw_tank_net *t, int which, rw_part_kind kind, int a, int b, double value, double second)
{
	t->part[which] = rw_net_add(&t->net, kind, a, b, value, second);
}

static int new_node(rw_tank_net *t) { return t->net.n_nodes++; }

static void add_feed(rw_tank_net *t, const rw_tank_in *in, nodes *n)
{
	if (in->feed == RW_FEED_SHUNT) {
		n->hot = new_node(t);
		add(t, RW_TANK_BLOCKING, RW_PART_C, n->anode, n->hot, in->blocking_capacitance, in->loss_tangent);
		return;
	}
	n->hot = n->anode;
	if (in->arrangement == RW_PUSH_PULL)
		return;   /* the middle of the tank is at rest: its bypass carries nothing of the fundamental */
	n->cold = new_node(t);
	add(t, RW_TANK_BYPASS, RW_PART_C, n->cold, 0, in->bypass_capacitance, in->loss_tangent);
}

static void add_tank_capacitors(rw_tank_net *t, const rw_tank_in *in, const nodes *n)
{
	double d = in->loss_tangent;
	if (in->feedback == RW_FEEDBACK_CAPACITIVE) {
		add(t, RW_TANK_CAPACITOR, RW_PART_C, n->hot, 0, in->divider_anode_capacitance, d);
		add(t, RW_TANK_DIVIDER_GRID, RW_PART_C, 0, n->grid, in->divider_grid_capacitance, d);
		return;
	}
	add(t, RW_TANK_CAPACITOR, RW_PART_C, n->hot, in->feedback == RW_FEEDBACK_INDUCTIVE ? n->grid : n->cold, in->capacitance, d);
}

/* The inductor's branch: with the load in it, or coupled to the mesh that holds the load. */
static void add_branch(rw_tank_net *t, const rw_tank_in *in, const rw_tank_load *load, const nodes *n)
{
	int end = in->feedback == RW_FEEDBACK_CAPACITIVE ? n->grid : n->cold;
	double per_q = in->inductor_q > 0.0 ? 1.0 / in->inductor_q : 0.0;
	if (in->coupling == RW_COUPLING_SERIES) {
		int inner = new_node(t);
		add(t, RW_TANK_INDUCTOR, RW_PART_L, n->hot, inner, in->inductance, per_q);
		add(t, RW_TANK_LOAD, RW_PART_Z, inner, end, load->resistance, load->reactance);
		return;
	}
	int first = new_node(t), second = first;
	add(t, RW_TANK_INDUCTOR, RW_PART_L, n->hot, end, in->inductance, per_q);
	add(t, RW_TANK_SECONDARY, RW_PART_L, 0, first, in->secondary_inductance, 1.0 / in->secondary_q);
	if (!isnan(in->secondary_capacitance)) {
		second = new_node(t);
		add(t, RW_TANK_SECONDARY_CAPACITOR, RW_PART_C, first, second, in->secondary_capacitance, in->loss_tangent);
	}
	add(t, RW_TANK_LOAD, RW_PART_Z, second, 0, load->resistance, load->reactance);
	rw_net_couple(&t->net, t->part[RW_TANK_INDUCTOR], t->part[RW_TANK_SECONDARY], in->secondary_mutual);
}

static void add_grid_inductor(rw_tank_net *t, const rw_tank_in *in, const nodes *n)
{
	double per_q = in->inductor_q > 0.0 ? 1.0 / in->inductor_q : 0.0;
	if (in->feedback == RW_FEEDBACK_WINDING) {   /* turned round: grid opposes anode; it carries no tank current, so no loss */
		add(t, RW_TANK_WINDING, RW_PART_L, 0, n->grid, in->grid_inductance, 0.0);
		rw_net_couple(&t->net, t->part[RW_TANK_INDUCTOR], t->part[RW_TANK_WINDING], in->grid_mutual);
	} else if (in->feedback == RW_FEEDBACK_INDUCTIVE) {   /* wound on from the tap */
		add(t, RW_TANK_WINDING, RW_PART_L, n->cold, n->grid, in->grid_inductance, per_q);
		rw_net_couple(&t->net, t->part[RW_TANK_INDUCTOR], t->part[RW_TANK_WINDING], rw_tank_tap_mutual(in));
	}
}

static void add_valve(rw_tank_net *t, const rw_tank_valve *valve, const nodes *n)
{
	if (!valve)
		return;
	if (!isnan(valve->anode_grid))
		add(t, RW_TANK_ANODE_GRID, RW_PART_C, n->anode, n->grid, valve->anode_grid, 0.0);
	if (!isnan(valve->grid_cathode))
		add(t, RW_TANK_GRID_CATHODE, RW_PART_C, n->grid, 0, valve->grid_cathode, 0.0);
	if (!isnan(valve->anode_cathode))
		add(t, RW_TANK_ANODE_CATHODE, RW_PART_C, n->anode, 0, valve->anode_cathode, 0.0);
}

rw_status rw_tank_build(const rw_tank_in *in, const rw_tank_valve *valve, const rw_tank_load *load, rw_tank_net *out, rw_error *err)
{
	rw_tank_in half = rw_tank_half(in);
	double share = 1.0 / rw_tank_sides(in);
	rw_tank_load half_load = {load->resistance * share, load->reactance * share};
	nodes n = {.anode = 1};
	rw_net_start(&out->net, 2);
	for (int k = 0; k < RW_TANK_PARTS; k++)
		out->part[k] = -1;
	add_feed(out, &half, &n);
	n.grid = new_node(out);
	add_tank_capacitors(out, &half, &n);
	add_branch(out, &half, &half_load, &n);
	if (half.feed == RW_FEED_SHUNT)
		add(out, RW_TANK_CHOKE, RW_PART_L, n.anode, 0, half.choke_inductance, 0.0);
	add_grid_inductor(out, &half, &n);
	if (rw_tank_has_grid_choke(in))
		add(out, RW_TANK_GRID_CHOKE, RW_PART_L, n.grid, 0, half.grid_choke_inductance, 0.0);
	add_valve(out, valve, &n);
	rw_net_port(&out->net, n.anode, 0);
	rw_net_port(&out->net, n.grid, 0);
	RW_TRY(windings_fit(in, err));
	return rw_tank_name_part(rw_net_check(&out->net, err), out, err);
}
