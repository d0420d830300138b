#include "tank/tank.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double two_pi = 6.283185307179586476925287;
static const double rad45 = 0.785398163397448309615661;

/* The network counts its parts; the file has names for them. */
static rw_status name_part(rw_status status, rw_error *err)
{
	static const char *const keys[RW_TANK_PARTS] = {"tank.blocking_capacitance", "tank.capacitance", "tank.inductance", "work.loads",
	    "tank.choke_inductance", "tank.grid_inductance"};
	int part;
	if (status == RW_OK || !err)
		return status;
	if (sscanf(err->key, "part[%d]", &part) == 1 && part >= 0 && part < RW_TANK_PARTS)
		snprintf(err->key, sizeof err->key, "%s", keys[part]);
	else if (strcmp(err->key, "network") == 0)
		snprintf(err->key, sizeof err->key, "tank.capacitance");
	if (!err->hint[0])
		rw_error_hint(err, "check '%s' and its unit", err->key);
	return status;
}

static rw_status windings_fit(const rw_tank_in *in, rw_error *err)
{
	double most = sqrt(in->inductance * in->grid_inductance);
	if (!(in->grid_mutual > most * (1.0 + 1e-9)))
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "tank.grid_mutual", "two windings of '%.4g uH' and '%.4g uH' have no mutual inductance of '%.4g uH'",
	    in->inductance * 1e6,
	               in->grid_inductance * 1e6, in->grid_mutual * 1e6);
	rw_error_expected(err, "at most %.4g uH, all their flux shared", most * 1e6);
	rw_error_hint(err, "more 'grid_inductance', or less 'grid_mutual'");
	return RW_E_RANGE;
}

/* Nodes: 1 anode, 2 top of the tank, 3 inductor to the output terminal, 4 grid winding. */
rw_status rw_tank_build(const rw_tank_in *in, const rw_tank_load *load, rw_net *net, rw_error *err)
{
	double per_q = in->inductor_q > 0.0 ? 1.0 / in->inductor_q : 0.0;
	rw_net_start(net, 5);
	rw_net_add(net, RW_PART_C, 1, 2, in->blocking_capacitance, in->loss_tangent);
	rw_net_add(net, RW_PART_C, 2, 0, in->capacitance, in->loss_tangent);
	int inductor = rw_net_add(net, RW_PART_L, 2, 3, in->inductance, per_q);
	rw_net_add(net, RW_PART_Z, 3, 0, load->resistance, load->reactance);
	rw_net_add(net, RW_PART_L, 1, 0, in->choke_inductance, 0.0);
	int winding = rw_net_add(net, RW_PART_L, 0, 4, in->grid_inductance, 0.0);   /* turned round: grid opposes anode */
	rw_net_couple(net, inductor, winding, in->grid_mutual);
	rw_net_port(net, 1, 0);
	rw_net_port(net, 4, 0);
	RW_TRY(windings_fit(in, err));
	return name_part(rw_net_check(net, err), err);
}

typedef struct rebuild_context {
	const rw_tank_in *in;
	rw_tank_load_at load_at;
	void *context;
} rebuild_context;

static rw_status rebuild(void *context, double frequency, rw_net *net, rw_error *err)
{
	const rebuild_context *c = context;
	rw_tank_load load;
	RW_TRY(c->load_at(c->context, frequency, &load, err));
	return rw_tank_build(c->in, &load, net, err);
}

/* Volts of the open grid winding and current of the anode port, for 1 V at the anode. */
static rw_status transfer(const rw_net *net, double frequency, rw_work *work, double complex *grid, double complex *current, rw_error *err)
{
	const double complex unit[2] = {1.0, 0.0};
	const bool open[2] = {false, true};
	double complex v[2], i[2];
	RW_TRY(rw_net_stress(net, frequency, unit, open, work, NULL, v, i, err));
	*grid = v[RW_TANK_PORT_GRID];
	*current = i[RW_TANK_PORT_ANODE];
	return RW_OK;
}

rw_status rw_tank_tune(const rw_tank_in *in, rw_tank_load_at load_at, void *context, double low, double high, rw_work *work, rw_tank_tuning *out,
                       rw_error *err)
{
	rebuild_context c = {in, load_at, context};
	rw_net net;
	double frequency[4];
	int n = 0;
	RW_TRY(rebuild(&c, low, &net, err));
	RW_TRY(name_part(rw_net_resonances(&net, RW_TANK_PORT_ANODE, low, high, 48, rebuild, &c, work, frequency, 4, &n, err), err));
	if (n == 0) {
		(void)RW_RAISE(err, RW_E_NOSOLVE, "tank.capacitance",
		    "the tank has no resonance between %.4g and %.4g kHz, the span of the measured tables",
		               low / 1e3, high / 1e3);
		rw_error_expected(err, "tank parts that resonate with the coil inside the span");
		rw_error_hint(err, "change the tank capacitor or inductor, or measure the coil over a wider span");
		return RW_E_NOSOLVE;
	}
	double complex grid = 0.0, current = 0.0;
	RW_TRY(rebuild(&c, frequency[0], &net, err));
	RW_TRY(name_part(transfer(&net, frequency[0], work, &grid, &current, err), err));
	double phase = carg(-grid);
	if (fabs(phase) > rad45) {
		(void)RW_RAISE(err, RW_E_RANGE, "tank.grid_mutual", "the grid volts are %.3g degrees from opposition", phase * 57.29577951308232);
		rw_error_expected(err, "at most 45 degrees");
		rw_error_hint(err, "the loaded Q is too low for this tank");
		return RW_E_RANGE;
	}
	*out = (rw_tank_tuning){frequency[0], creal(current), cabs(grid), phase, n};
	return RW_OK;
}

static double rms(double complex peak) { return cabs(peak) / sqrt(2.0); }

rw_status rw_tank_solve(const rw_tank_in *in, const rw_tank_load *load, const rw_tank_tuning *tuning, double anode_swing_pk,
    double anode_voltage_dc,
                        rw_work *work, rw_tank_case *out, rw_error *err)
{
	rw_net net;
	RW_TRY(rw_tank_build(in, load, &net, err));
	const double complex v[2] = {anode_swing_pk, 0.0};
	const bool open[2] = {false, true};
	rw_stress stress[RW_TANK_PARTS];
	double complex port_v[2], port_i[2];
	RW_TRY(name_part(rw_net_stress(&net, tuning->frequency, v, open, work, stress, port_v, port_i, err), err));
	double w = two_pi * tuning->frequency;
	double series_resistance = load->resistance + w * in->inductance / in->inductor_q;
	double series_reactance = load->reactance + w * in->inductance;
	*out = (rw_tank_case){
	    .anode_load_resistance = 1.0 / tuning->conductance,
	    .loaded_q = series_reactance / series_resistance,
	    .phase_error = tuning->phase_error,
	    .power = 0.5 * creal(v[0] * conj(port_i[RW_TANK_PORT_ANODE])),
	    .capacitor_voltage_pk = cabs(stress[RW_TANK_CAPACITOR].voltage),
	    .capacitor_current_rms = rms(stress[RW_TANK_CAPACITOR].current),
	    .capacitor_reactive = stress[RW_TANK_CAPACITOR].reactive,
	    .capacitor_loss = stress[RW_TANK_CAPACITOR].loss + stress[RW_TANK_BLOCKING].loss,
	    .inductor_current_rms = rms(stress[RW_TANK_INDUCTOR].current),
	    .output_current_rms = rms(stress[RW_TANK_LOAD].current),
	    .inductor_voltage_pk = cabs(stress[RW_TANK_INDUCTOR].voltage),
	    .inductor_loss = stress[RW_TANK_INDUCTOR].loss,
	    .blocking_voltage_pk = anode_voltage_dc + cabs(stress[RW_TANK_BLOCKING].voltage),
	    .blocking_current_rms = rms(stress[RW_TANK_BLOCKING].current),
	    .choke_current_rms = rms(stress[RW_TANK_CHOKE].current),
	    .grid_winding_voltage_pk = cabs(port_v[RW_TANK_PORT_GRID]),
	};
	return RW_OK;
}
