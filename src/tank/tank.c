#include "tank/tank.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SCAN_SERIES = 48, SCAN_SECONDARY = 96, SCAN_NEAR = 48 };
static const double near_by = 0.05;   /* to either side of a resonance behind a secondary: its neighbour */

static const double two_pi = 6.283185307179586476925287;
static const double rad45 = 0.785398163397448309615661;

typedef struct rebuild_context {
	const rw_tank_in *in;
	const rw_tank_valve *valve;
	rw_tank_load_at load_at;
	void *context;
	rw_tank_net net;
} rebuild_context;

static rw_status rebuild(void *context, double frequency, rw_net *net, rw_error *err)
{
	rebuild_context *c = context;
	rw_tank_load load;
	RW_TRY(c->load_at(c->context, frequency, &load, err));
	RW_TRY(rw_tank_build(c->in, c->valve, &load, &c->net, err));
	*net = c->net.net;
	return RW_OK;
}

/* Volts of the open grid port and current of the anode port, for 1 V at the anode. */
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

static rw_status no_resonance(double low, double high, rw_error *err)
{
	double unit = high < 1e6 ? 1e3 : 1e6;
	(void)RW_RAISE(err, RW_E_NOSOLVE, "tank.capacitance",
	    "the tank has no resonance between %.4g and %.4g %s, the span over which the load is known", low / unit, high / unit,
	    unit == 1e3 ? "kHz" : "MHz");
	rw_error_expected(err, "tank parts that resonate with the load inside the span");
	rw_error_hint(err, "another tank capacitor or inductor; a coil measured over a wider span; for plates 'coupling: secondary'");
	return RW_E_NOSOLVE;
}

static rw_status wrong_phase(const rw_tank_in *in, double phase, rw_error *err)
{
	static const char *const keys[] = {"tank.grid_mutual", "tank.divider_grid_capacitance", "tank.grid_inductance"};
	(void)RW_RAISE(err, RW_E_RANGE, keys[in->feedback], "the grid volts are %.3g degrees from opposition", phase * 57.29577951308232);
	rw_error_expected(err, "at most 45 degrees");
	rw_error_hint(err, "the loaded Q is too low for this tank");
	return RW_E_RANGE;
}

/* Of several resonances the one that drives the grid most for what it takes; one with the wrong sense of feedback cannot oscillate. */
static rw_status pick(rebuild_context *c, const double *frequency, int n, rw_work *work, rw_tank_tuning *out, rw_error *err)
{
	double best = -1.0, phase_least = INFINITY;
	int taken = -1;
	for (int k = 0; k < n; k++) {
		double complex grid = 0.0, current = 0.0;
		rw_net net;
		RW_TRY(rebuild(c, frequency[k], &net, err));
		RW_TRY(rw_tank_name_part(transfer(&net, frequency[k], work, &grid, &current, err), &c->net, err));
		double phase = carg(-grid), merit = cabs(grid) / creal(current);
		if (fabs(phase) < fabs(phase_least))
			phase_least = phase;
		if (fabs(phase) > rad45 || !(creal(current) > 0.0) || merit <= best)
			continue;
		best = merit;
		taken = k;
		*out = (rw_tank_tuning){frequency[k], creal(current), cabs(grid), phase, 0, 0, {0}};
	}
	if (taken < 0)
		return wrong_phase(c->in, phase_least, err);
	for (int k = 0; k < n; k++)
		if (k != taken)
			out->others[out->n_others++] = frequency[k];
	return RW_OK;
}

static rw_status resonances(rebuild_context *c, double low, double high, int steps, rw_work *work, double frequency[RW_RESONANCES_MAX], int *n,
    rw_error *err)
{
	rw_net net;
	RW_TRY(rebuild(c, low, &net, err));
	RW_TRY(rw_tank_name_part(rw_net_resonances(&net, RW_TANK_PORT_ANODE, low, high, steps, rebuild, c, work, frequency, RW_RESONANCES_MAX, n, err),
	    &c->net, err));
	*n = *n < RW_RESONANCES_MAX ? *n : RW_RESONANCES_MAX;
	return RW_OK;
}

/* Coupled tanks split a resonance in two that may lie within a step of the scan: a finer one around each found. */
static rw_status look_closer(rebuild_context *c, double low, double high, rw_work *work, double frequency[RW_RESONANCES_MAX], int *n, rw_error *err)
{
	double all[RW_RESONANCES_MAX] = {0.0}, near[RW_RESONANCES_MAX];
	int n_all = 0, n_near;
	for (int k = 0; k < *n; k++) {
		RW_TRY(resonances(c, fmax(low, frequency[k] * (1.0 - near_by)), fmin(high, frequency[k] * (1.0 + near_by)), SCAN_NEAR, work, near, &n_near, err));
		for (int i = 0; i < n_near; i++) {
			bool known = false;
			for (int m = 0; m < n_all; m++)
				known = known || fabs(near[i] / all[m] - 1.0) < 1e-7;
			if (!known && n_all < RW_RESONANCES_MAX)
				all[n_all++] = near[i];
		}
	}
	memcpy(frequency, all, sizeof *all * (size_t)n_all);
	*n = n_all;
	return RW_OK;
}

rw_status rw_tank_tune(const rw_tank_in *in, const rw_tank_valve *valve, rw_tank_load_at load_at, void *context, double low, double high,
                       rw_work *work, rw_tank_tuning *out, rw_error *err)
{
	rebuild_context c = {.in = in, .valve = valve, .load_at = load_at, .context = context};
	rw_tank_tuning found;
	double frequency[RW_RESONANCES_MAX];
	bool secondary = in->coupling == RW_COUPLING_SECONDARY;
	int n = 0;
	RW_TRY(resonances(&c, low, high, secondary ? SCAN_SECONDARY : SCAN_SERIES, work, frequency, &n, err));
	if (secondary)
		RW_TRY(look_closer(&c, low, high, work, frequency, &n, err));
	if (n == 0)
		return no_resonance(low, high, err);
	RW_TRY(pick(&c, frequency, n, work, &found, err));
	*out = found;
	out->n_found = n;
	return RW_OK;
}

static double rms(double complex peak) { return cabs(peak) / sqrt(2.0); }

/* The stress of a part of the topology; zeros for one it has not. */
static rw_stress of(const rw_tank_net *t, const rw_stress *stress, int which)
{
	return t->part[which] >= 0 ? stress[t->part[which]] : (rw_stress){0.0, 0.0, 0.0, 0.0};
}

/* Heat of an inductor: its stress counts what it hands to coupled ones too. */
static double heat(double complex current, double w, double inductance, double q)
{
	return cabs(current) == 0.0 ? 0.0 : 0.5 * w * inductance / q * cabs(current) * cabs(current);
}

static double loaded_q(const rw_tank_in *in, const rw_tank_load *load, double w, const rw_tank_case *c)
{
	double inductance = in->inductance, resistance = w * in->inductance / in->inductor_q;
	if (in->coupling == RW_COUPLING_SECONDARY)
		return in->feedback == RW_FEEDBACK_INDUCTIVE ? c->capacitor_reactive / c->power
		                                             : c->inductor_current_rms * c->inductor_current_rms * w * inductance / c->power;
	if (in->feedback == RW_FEEDBACK_INDUCTIVE) {
		inductance += in->grid_inductance + 2.0 * rw_tank_tap_mutual(in);
		resistance += w * in->grid_inductance / in->inductor_q;
	}
	return (load->reactance + w * inductance) / (load->resistance + resistance);
}

/* Whole parts: n times the volts and losses of a half, the same current. */
static void fill(const rw_tank_in *in, const rw_tank_net *t, const rw_stress *stress, double w, double voltage_dc, rw_tank_case *out)
{
	double n = rw_tank_sides(in);
	rw_stress capacitor = of(t, stress, RW_TANK_CAPACITOR), divider = of(t, stress, RW_TANK_DIVIDER_GRID);
	rw_stress blocking = of(t, stress, RW_TANK_BLOCKING), bypass = of(t, stress, RW_TANK_BYPASS);
	rw_stress inductor = of(t, stress, RW_TANK_INDUCTOR), winding = of(t, stress, RW_TANK_WINDING);
	rw_stress second = of(t, stress, RW_TANK_SECONDARY), in_mesh = of(t, stress, RW_TANK_SECONDARY_CAPACITOR);
	bool tapped = in->feedback == RW_FEEDBACK_INDUCTIVE, shunt = in->feed == RW_FEED_SHUNT;
	out->capacitor_voltage_pk = n * cabs(capacitor.voltage);
	out->capacitor_current_rms = rms(capacitor.current);
	out->capacitor_reactive = n * capacitor.reactive;
	out->capacitor_loss = n * (capacitor.loss + divider.loss + blocking.loss + bypass.loss);
	out->inductor_current_rms = rms(inductor.current);
	out->output_current_rms = rms(of(t, stress, RW_TANK_LOAD).current);
	out->inductor_voltage_pk = n * cabs(inductor.voltage);
	out->inductor_loss = heat(inductor.current, w, in->inductance, in->inductor_q);
	out->blocking_voltage_pk = shunt ? voltage_dc + cabs(blocking.voltage) : 0.0;
	out->blocking_current_rms = rms(blocking.current);
	out->choke_current_rms = rms(of(t, stress, RW_TANK_CHOKE).current);
	out->grid_winding_voltage_pk = n * cabs(winding.voltage);
	out->grid_inductor_current_rms = tapped ? rms(winding.current) : 0.0;
	out->grid_inductor_loss = tapped ? heat(winding.current, w, in->grid_inductance, in->inductor_q) : 0.0;
	out->divider_grid_voltage_pk = n * cabs(divider.voltage);
	out->divider_grid_current_rms = rms(divider.current);
	out->bypass_voltage_pk = shunt ? 0.0 : voltage_dc + cabs(bypass.voltage);
	out->bypass_current_rms = rms(bypass.current);
	out->grid_choke_current_rms = rms(of(t, stress, RW_TANK_GRID_CHOKE).current);
	out->secondary_inductor_voltage_pk = n * cabs(second.voltage);
	out->secondary_inductor_loss = heat(second.current, w, in->secondary_inductance, in->secondary_q);
	out->secondary_capacitor_voltage_pk = n * cabs(in_mesh.voltage);
	out->secondary_capacitor_loss = n * in_mesh.loss;
}

rw_status rw_tank_solve(const rw_tank_in *in, const rw_tank_valve *valve, const rw_tank_load *load, const rw_tank_tuning *tuning,
                        double anode_swing_pk, double anode_voltage_dc, rw_work *work, rw_tank_case *out, rw_error *err)
{
	rw_tank_net t;
	RW_TRY(rw_tank_build(in, valve, load, &t, err));
	const double complex v[2] = {anode_swing_pk, 0.0};
	const bool open[2] = {false, true};
	rw_stress stress[RW_TANK_PARTS];
	double complex port_v[2], port_i[2];
	RW_TRY(rw_tank_name_part(rw_net_stress(&t.net, tuning->frequency, v, open, work, stress, port_v, port_i, err), &t, err));
	double w = two_pi * tuning->frequency;
	rw_tank_case c = {.anode_load_resistance = 1.0 / tuning->conductance, .phase_error = tuning->phase_error,
	    .power = rw_tank_sides(in) * 0.5 * creal(v[0] * conj(port_i[RW_TANK_PORT_ANODE]))};
	fill(in, &t, stress, w, anode_voltage_dc, &c);
	c.loaded_q = loaded_q(in, load, w, &c);
	rw_tank_rate_capacitors(in, tuning->frequency, anode_voltage_dc, 1.0, &c);
	*out = c;
	return RW_OK;
}

static int given(double x) { return !isnan(x); }

/* The feed choke with the blocking capacitor: far under the working frequency the tank inductor joins them, or the divider does. */
static double choke_blocking_resonance(const rw_tank_in *in)
{
	double inductance = in->choke_inductance, capacitance = in->blocking_capacitance;
	if (in->feed != RW_FEED_SHUNT)
		return 0.0;
	rw_tank_in half = rw_tank_half(in);
	if (in->feedback == RW_FEEDBACK_CAPACITIVE) {
		double divider = half.divider_anode_capacitance + half.divider_grid_capacitance;
		capacitance *= divider / (capacitance + divider);
	} else {
		inductance += half.inductance;
	}
	return 1.0 / (two_pi * sqrt(inductance * capacitance));
}

void rw_tank_set_solve(const rw_tank_in *in, const rw_tank_valve *valve, rw_tank_set *out)
{
	bool shunt = in->feed == RW_FEED_SHUNT, cathode = in->earth == RW_EARTHED_CATHODE;
	double own = sqrt(in->choke_inductance * in->choke_self_capacitance);
	*out = (rw_tank_set){
	    .valve_capacitances = valve ? given(valve->anode_grid) + given(valve->grid_cathode) + given(valve->anode_cathode) : 0,
	    .secondary_capacitors = in->coupling == RW_COUPLING_SECONDARY && given(in->secondary_capacitance),
	    .anode_at_ht = cathode, .tank_at_ht = shunt != cathode,
	    .choke_capacitances = given(in->choke_self_capacitance),
	    .choke_self_resonance = given(in->choke_self_capacitance) ? 1.0 / (two_pi * own) : 0.0,
	    .choke_blocking_resonance = choke_blocking_resonance(in),
	};
}
