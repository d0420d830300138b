#include "chain/cycle.h"

#include <math.h>
#include <string.h>

#include "base/numeric.h"

#define PI 3.14159265358979323846

/* The means wanted. */
enum {
	VOLTS, VOLTS_2, ANODE, GRID, SWING_2, ANODE_FUND_2, GRID_FUND_2, INPUT, OUTPUT, DRIVE, LEAK, ANODE_LOSS, GRID_LOSS, CURRENT_2,
	SOURCE_POWER, HT_POWER, QUARTER, CURRENT, N_MEANS   /* CURRENT last: its trace makes the line's harmonics */
};
static const bool judged[N_MEANS] = {[VOLTS] = true, [ANODE] = true, [SWING_2] = true, [INPUT] = true, [OUTPUT] = true, [ANODE_LOSS] = true,
    [CURRENT_2] = true, [HT_POWER] = true};

/* HT at an anode current: source, less arms and resistance, the bleeder's current with it. */
static rw_status instant_volts(void *context, double current, double *voltage, rw_error *err)
{
	const rw_cycle_load *l = context;
	(void)err;
	*voltage = fmax((l->source - l->pulse.arms - l->resistance * l->valves * current) / (1.0 + l->resistance / l->bleeder), 0.0);
	return RW_OK;
}

static rw_status static_residual(void *context, double voltage, double *y, rw_error *err)
{
	rw_cycle_load *l = context;
	double anode, grid, given;
	rw_valve_currents(&l->problem.law, voltage, 0.0, &anode, &grid);
	RW_TRY(instant_volts(l, anode, &given, err));
	*y = voltage - given;
	return RW_OK;
}

/* No drive, no bias: the valve is a diode of its own law. */
static rw_status static_instant(rw_cycle_load *l, rw_oscillator_case *out, rw_error *err)
{
	rw_root root = {0};
	double anode, grid, most;
	RW_TRY(instant_volts(l, 0.0, &most, err));
	if (most > 0.0)
		RW_TRY(rw_root_find(static_residual, l, 0.0, most, 0.0, 1e-13, &root, err));
	rw_valve_currents(&l->problem.law, root.x, 0.0, &anode, &grid);
	*out = (rw_oscillator_case){.frequency = l->problem.frequency, .anode_voltage_dc = root.x, .anode_current_dc = anode,
	    .anode_voltage_peak = root.x, .anode_current_pk = anode, .cathode_current_pk = anode, .input_power = root.x * anode,
	    .anode_loss = root.x * anode, .anode_voltage_crest = root.x};
	return RW_OK;
}

rw_status rw_cycle_instant(rw_cycle_load *l, double source, rw_oscillator_case *out, rw_error *err)
{
	rw_oscillator_scan scan = l->scan;
	double share = (source - l->pulse.arms) / (l->crest_source - l->pulse.arms);
	l->source = source;
	if (source < l->onset)
		return static_instant(l, out, err);
	l->problem.voltage_scale = source;
	*out = l->crest;
	out->anode_voltage_dc *= share;
	out->anode_swing_pk *= share;
	rw_error why;
	rw_status status = rw_oscillator_near(&l->problem, l->work, &scan, out, &why);
	if (status == RW_E_NOSOLVE)   /* at the very onset */
		return static_instant(l, out, err);
	if (status != RW_OK && err)
		*err = why;
	return status;
}

static rw_status means_of_instant(void *context, const rw_ripple_instant *at, double *q, rw_error *err)
{
	rw_cycle_load *l = context;
	rw_oscillator_case o;
	RW_TRY(rw_cycle_instant(l, at->source, &o, err));
	double v = o.anode_voltage_dc, i = l->valves * o.anode_current_dc + v / l->bleeder;
	const double values[N_MEANS] = {
	    [VOLTS] = v, [VOLTS_2] = v * v, [ANODE] = o.anode_current_dc, [GRID] = o.grid_current_dc, [SWING_2] = o.anode_swing_pk * o.anode_swing_pk,
	    [ANODE_FUND_2] = o.anode_current_fund_pk * o.anode_current_fund_pk, [GRID_FUND_2] = o.grid_current_fund_pk * o.grid_current_fund_pk,
	    [INPUT] = o.input_power, [OUTPUT] = o.output_power, [DRIVE] = o.drive_power, [LEAK] = o.leak_power, [ANODE_LOSS] = o.anode_loss,
	    [GRID_LOSS] = o.grid_loss, [CURRENT] = i, [CURRENT_2] = i * i, [SOURCE_POWER] = at->source * i, [HT_POWER] = v * i,
	    [QUARTER] = i * at->sine,
	};
	memcpy(q, values, sizeof values);
	return RW_OK;
}

static rw_status gain_over_one(void *context, double source, double *y, rw_error *err)
{
	rw_cycle_load *l = context;
	l->source = l->problem.voltage_scale = source;
	RW_TRY(rw_oscillator_gain(&l->problem, y, err));
	*y -= 1.0;
	return RW_OK;
}

/* Where on the way up from nothing it starts; 0: it oscillates over the whole pulse. */
static rw_status find_onset(rw_cycle_load *l, rw_error *err)
{
	double low = fmax(rw_ripple_least(&l->pulse), l->pulse.arms + 1e-3 * (l->crest_source - l->pulse.arms)), y;
	rw_root root;
	l->onset = 0.0;
	RW_TRY(gain_over_one(l, low, &y, err));
	if (y > 0.0)
		return RW_OK;
	RW_TRY(rw_root_find(gain_over_one, l, low, l->crest_source, 0.0, 1e-10, &root, err));
	l->onset = root.high;
	return RW_OK;
}

static rw_status at_crest(rw_cycle_load *l, bool again, const rw_cycle *before, rw_error *err)
{
	l->source = l->problem.voltage_scale = l->crest_source;
	if (!again)
		return rw_oscillator_solve(&l->problem, l->work, &l->scan, &l->crest, err);
	l->crest = before->crest;
	return rw_oscillator_follow(&l->problem, l->work, &l->scan, &l->crest, err);
}

static void fill(const rw_cycle_load *l, const double *m, rw_oscillator_case *out)
{
	const rw_oscillator_case *crest = &l->crest;
	rw_oscillator_case o = *crest;   /* peaks, angle of flow, loop gain: at the crest */
	o.anode_voltage_dc = m[VOLTS];
	o.anode_swing_pk = sqrt(m[SWING_2]);
	o.swing_ratio = o.anode_swing_pk / o.anode_voltage_dc;
	o.grid_current_dc = m[GRID];
	o.grid_bias = -l->problem.grid_leak * m[GRID];
	o.grid_swing_pk = l->problem.ratio * o.anode_swing_pk;
	o.anode_current_dc = m[ANODE];
	o.anode_current_fund_pk = sqrt(m[ANODE_FUND_2]);
	o.grid_current_fund_pk = sqrt(m[GRID_FUND_2]);
	o.input_power = m[INPUT];
	o.output_power = m[OUTPUT];
	o.drive_power = m[DRIVE];
	o.leak_power = m[LEAK];
	o.anode_loss = m[ANODE_LOSS];
	o.grid_loss = m[GRID_LOSS];
	o.efficiency = (m[OUTPUT] - m[DRIVE]) / m[INPUT];
	o.anode_voltage_crest = crest->anode_voltage_dc;
	o.swing_crest_pk = crest->anode_swing_pk;
	o.power_of_means = m[VOLTS] * m[ANODE];
	*out = o;
}

rw_status rw_cycle_solve(const rw_line *line, const rw_supply_set *set, double mains_factor, const rw_oscillator_problem *problem, bool again,
    const rw_work *work, rw_oscillator_scan *scan, rw_oscillator_case *mean, rw_cycle *cycle, rw_error *err)
{
	const rw_supply_setting setting = rw_line_setting(line);
	rw_cycle_load l = {.work = work, .problem = *problem, .scan = *scan, .pulse = rw_supply_source(line->supply, set, mains_factor, &setting),
	    .resistance = rw_supply_resistance(line->supply, set), .bleeder = line->protection->bleeder_resistance,
	    .valves = rw_line_valves(line)};
	rw_ripple_means means;
	rw_oscillator_case least = {0};
	l.crest_source = rw_ripple_greatest(&l.pulse);
	l.problem.supply = instant_volts;
	l.problem.supply_context = &l;
	RW_TRY(at_crest(&l, again, cycle, err));
	RW_TRY(find_onset(&l, err));
	RW_TRY(rw_ripple_mean(&l.pulse, &l.onset, 1, means_of_instant, &l, N_MEANS, judged, &means, err));
	if (rw_ripple_least(&l.pulse) > l.pulse.arms)
		RW_TRY(rw_cycle_instant(&l, rw_ripple_least(&l.pulse), &least, err));
	const double *m = means.mean;
	*cycle = (rw_cycle){.supply = {.voltage_dc = m[VOLTS], .voltage_rms = sqrt(m[VOLTS_2]), .voltage_pp = l.crest.anode_voltage_dc - least.anode_voltage_dc,
	    .current_dc = m[CURRENT], .current_rms = sqrt(m[CURRENT_2]), .source_power = m[SOURCE_POWER], .output_power = m[HT_POWER],
	    .reactive_current_rms = sqrt(6.0) / PI * 2.0 * PI / l.pulse.pulses * m[QUARTER]},
	    .crest = l.crest, .onset = l.onset, .error = means.error, .instants = means.instants};
	for (int order = 1; order <= RW_LINE_ORDERS; order++)
		cycle->supply.line_rms[order] = rw_ripple_line_harmonic(&means.last, order);
	*scan = l.scan;
	fill(&l, m, mean);
	return RW_OK;
}
