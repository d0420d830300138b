#include "supply/supply.h"

#include <math.h>

#include "base/numeric.h"
#include "supply/connection.h"

#define PI 3.14159265358979323846

enum { CHOOSE_TURNS = 20, DIODES_MAX = 1000 };   /* as the item table accepts */

/* ---- choice ---- */

static void choose_constants(rw_supply_in *in)
{
	const struct { double *member, value; } rule[] = {
		{&in->secondary_voltage_step, 50.0}, {&in->rated_power_step, 100.0}, {&in->short_circuit_voltage, 0.05},
		{&in->short_circuit_resistance, 0.015}, {&in->iron_loss_fraction, 0.005}, {&in->diode_voltage_pk, 1200.0},
		{&in->diode_margin, 2.5}, {&in->diode_drop_dc, 1.0}, {&in->secondary_steps_added, 0.0},
		{&in->diode_sharing, 1.15}, {&in->diode_leakage_spread, 1e-3}, {&in->diode_charge_spread, 1e-6}, {&in->sharing_tolerance, 0.05},
		{&in->fault_clearing_time, 0.1}, {&in->impedance_tolerance, 0.1}, {&in->filter_inductance, 0.0}, {&in->filter_resistance, 0.0},
		{&in->filter_capacitance, 0.0},
	};
	for (size_t i = 0; i < sizeof rule / sizeof *rule; i++)
		if (isnan(*rule[i].member))
			*rule[i].member = rule[i].value;
	if (in->duty_basis < 0)
		in->duty_basis = RW_DUTY_FULL_LOAD;
	if (in->connection < 0)
		in->connection = RW_CONNECT_BRIDGE;
	if (in->primary_winding < 0 && in->connection != RW_CONNECT_SINGLE_PHASE)
		in->primary_winding = RW_WINDING_DELTA;
	if (in->secondary_winding < 0 && in->connection == RW_CONNECT_BRIDGE)
		in->secondary_winding = RW_WINDING_STAR;
	rw_supply_choose_control(in);
}

static rw_status short_circuit_reactance(const rw_supply_in *in, double *ux, rw_error *err)
{
	double uz = in->short_circuit_voltage, ur = in->short_circuit_resistance;
	if (ur >= 0.0 && ur < uz) {
		*ux = sqrt(uz * uz - ur * ur);
		return RW_OK;
	}
	(void)RW_RAISE(err, RW_E_RANGE, "supply.short_circuit_resistance",
	    "'short_circuit_resistance' %.4g %% is not under the whole impedance", 100.0 * ur);
	rw_error_expected(err, "less than 'short_circuit_voltage', %.4g %%", 100.0 * uz);
	rw_error_hint(err, "mostly 1 to 3 %%, a third of the impedance");
	return RW_E_RANGE;
}

static double rule_power(const rw_supply_in *in, double line_voltage)
{
	return rw_ceil_to(rw_connection_of(in->connection)->rating_factor * line_voltage * in->duty_current_dc, in->rated_power_step);
}

/* To the nearest step: a winding is ordered to whole steps, and half a step (25 V) is well inside the mains' own spread. */
static double to_step(const rw_supply_in *in, double line_voltage)
{
	double step = in->secondary_voltage_step;
	return rw_ceil_to(line_voltage - 0.5 * step, step) + in->secondary_steps_added * step;
}

static int diodes_for(const rw_supply_in *in, const rw_mains *mains, double line_voltage)
{
	double n = rw_ceil_to(in->diode_margin * sqrt(2.0) * line_voltage * mains->high / in->diode_voltage_pk, 1.0);
	return n > 1.0 ? (int)fmin(n, DIODES_MAX + 1) : 1;
}

/* Line volts that leave the duty's volts behind a transformer rated just for the duty: overlap (a bridge: u_x/2) and copper (a bridge:
 * (pi/3) u_r) of the no-load volts, and the diodes. A rating given otherwise turns the two drops into shares of V^2/S: a quadratic, its
 * stable (smaller) root. */
static rw_status line_voltage_for(const rw_supply_in *in, double ux, int diodes, double *line_voltage, rw_error *err)
{
	const rw_connection *c = rw_connection_of(in->connection);
	double k = c->voltage_factor, loops = c->bridge_share * c->secondaries, ur = in->short_circuit_resistance;
	if (in->duty_basis == RW_DUTY_NO_LOAD) {
		*line_voltage = to_step(in, in->duty_voltage_dc / k);
		return RW_OK;
	}
	double wanted = in->duty_voltage_dc + c->arms_in_series * diodes * in->diode_drop_dc + in->filter_resistance * in->duty_current_dc;
	double drop = loops * sqrt(0.5) * ux + c->resistance_factor * c->secondaries * ur / k;   /* of V_d0, times V I_d/S */
	double volts = to_step(in, wanted / (1.0 - drop / c->rating_factor) / k);
	if (!isnan(in->rated_power) && fabs(in->rated_power - rule_power(in, volts)) >= 0.5 * in->rated_power_step) {
		double share = in->duty_current_dc * k * drop / in->rated_power;
		double root = k * k - 4.0 * share * wanted;
		volts = root >= 0.0 ? to_step(in, 2.0 * wanted / (k + sqrt(root))) : (double)NAN;
		if (!(root >= 0.0 && sqrt(2.0) * loops * in->duty_current_dc * ux * volts <= c->overlap_end * in->rated_power)) {
			(void)RW_RAISE(err, RW_E_NOSOLVE, "supply.rated_power",
			    "no secondary voltage gives %.6g V at %.4g A behind the impedance of 'rated_power' %.6g VA",
			               in->duty_voltage_dc, in->duty_current_dc, in->rated_power);
			rw_error_expected(err, "about %.4g VA for this duty", c->rating_factor / k * in->duty_voltage_dc * in->duty_current_dc);
			rw_error_hint(err, "leave 'rated_power' open, or give less 'short_circuit_voltage'");
			return RW_E_NOSOLVE;
		}
	}
	*line_voltage = volts;
	return RW_OK;
}

static rw_status diodes_do_not_settle(rw_error *err)
{
	(void)RW_RAISE(err, RW_E_NOSOLVE, "supply.diodes_in_series",
	    "'diodes_in_series' and 'secondary_voltage_rms' do not settle under %d diodes an arm", DIODES_MAX);
	rw_error_expected(err, "a drop a diode that is small against what it blocks");
	rw_error_hint(err, "check 'diode_voltage_pk' and 'diode_drop_dc', or give 'diodes_in_series'");
	return RW_E_NOSOLVE;
}

/* Volts raise the number of diodes and diodes raise the volts: from one diode up, both only grow, so the least pair is found. */
static rw_status choose_voltage(rw_supply_in *in, const rw_mains *mains, double ux, rw_error *err)
{
	int diodes = in->diodes_in_series == INT32_MIN ? 1 : in->diodes_in_series;
	double volts = (double)NAN;
	for (int turn = 0; turn < CHOOSE_TURNS && diodes <= DIODES_MAX; turn++) {
		RW_TRY(line_voltage_for(in, ux, diodes, &volts, err));
		int needed = in->diodes_in_series == INT32_MIN ? diodes_for(in, mains, volts) : diodes;
		if (needed == diodes) {
			in->secondary_voltage_rms = volts;
			return RW_OK;
		}
		diodes = needed;
	}
	return diodes_do_not_settle(err);
}

static rw_status need_duty(const rw_supply_in *in, rw_error *err)
{
	bool volts = in->duty_voltage_dc > 0.0;
	if (volts && in->duty_current_dc > 0.0)
		return RW_OK;
	const char *key = volts ? "duty_current_dc" : "duty_voltage_dc";
	(void)RW_RAISE(err, RW_E_MISSING, volts ? "supply.duty_current_dc" : "supply.duty_voltage_dc",
	    "'%s' is not there to choose the transformer by", key);
	rw_error_expected(err, "direct volts and current of the duty");
	rw_error_hint(err, "they are those of the valve's operating point unless given");
	return RW_E_MISSING;
}

/* The others of the string less the spread of what passes them are what the worst has too much. */
static void choose_sharing(rw_supply_in *in, const rw_mains *mains)
{
	double others = fmax(in->diodes_in_series - 1.0, 1.0), over = (in->diode_sharing - 1.0) * sqrt(2.0) * in->secondary_voltage_rms * mains->high;
	if (isnan(in->sharing_resistance))
		in->sharing_resistance = rw_round_e24(over / (others * in->diode_leakage_spread));
	if (isnan(in->sharing_capacitance))
		in->sharing_capacitance = rw_round_e24(others * in->diode_charge_spread / over);
}

static rw_status sound_filter(const rw_supply_in *in, rw_error *err)
{
	if (!(in->filter_capacitance > 0.0) || in->filter_inductance > 0.0)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_VALUE, "supply.filter_capacitance", "'filter_capacitance' without 'filter_inductance'");
	rw_error_expected(err, "a choke before the capacitor: a rectifier straight on a capacitor has other volts and currents, which are not computed");
	rw_error_hint(err, "give 'filter_inductance', or take 'filter_capacitance' out");
	return RW_E_VALUE;
}

rw_status rw_supply_choose(rw_supply_in *in, const rw_mains *mains, rw_error *err)
{
	rw_supply_in full = *in;
	double ux;
	choose_constants(&full);
	RW_TRY(sound_filter(&full, err));
	RW_TRY(rw_supply_check_control(&full, err));
	RW_TRY(need_duty(&full, err));
	if (full.secondary_steps_added != floor(full.secondary_steps_added)) {
		(void)RW_RAISE(err, RW_E_VALUE, "supply.secondary_steps_added", "'secondary_steps_added' %.4g is not a whole number",
		    full.secondary_steps_added);
		rw_error_expected(err, "a whole number of steps");
		rw_error_hint(err, "leave it open, or give the secondary itself");
		return RW_E_VALUE;
	}
	RW_TRY(short_circuit_reactance(&full, &ux, err));
	if (isnan(full.secondary_voltage_rms))
		RW_TRY(choose_voltage(&full, mains, ux, err));
	if (full.diodes_in_series == INT32_MIN)
		full.diodes_in_series = diodes_for(&full, mains, full.secondary_voltage_rms);
	if (full.diodes_in_series > DIODES_MAX)
		return diodes_do_not_settle(err);
	if (isnan(full.rated_power))
		full.rated_power = rule_power(&full, full.secondary_voltage_rms);
	choose_sharing(&full, mains);
	const rw_connection *c = rw_connection_of(full.connection);
	if (isnan(full.demand_current_rms))
		full.demand_current_rms = c->primary_factor * full.rated_power / (c->phase_factor * mains->voltage_rms);
	*in = full;
	return RW_OK;
}

/* ---- the set ---- */

/* Volts of one primary winding at nominal mains over one of the secondary's, which is the star when there are two. */
static double turns_ratio(const rw_supply_in *in, const rw_mains *mains)
{
	double primary = mains->voltage_rms, secondary = in->secondary_voltage_rms;
	if (in->connection == RW_CONNECT_SINGLE_PHASE)
		return primary / secondary;
	if (in->primary_winding == RW_WINDING_STAR)
		primary /= sqrt(3.0);
	if (!(in->connection == RW_CONNECT_BRIDGE && in->secondary_winding == RW_WINDING_DELTA))
		secondary /= sqrt(3.0);
	return primary / secondary;
}

static void factors(const rw_supply_in *in, const rw_connection *c, const rw_mains *mains, rw_supply_set *set)
{
	set->voltage_factor = c->voltage_factor;
	set->rating_factor = c->rating_factor;
	set->resistance_factor = c->resistance_factor;
	set->bridge_share = c->bridge_share;
	set->pulses = c->pulses;
	set->secondaries = c->secondaries;
	set->arms_in_series = c->arms_in_series;
	set->ripple_frequency = c->pulses * mains->frequency;
	set->turns_ratio = turns_ratio(in, mains);
	set->primary_rating = c->primary_factor * in->rated_power;
	set->winding_rating = 0.5 * (set->primary_rating + in->rated_power);
	set->rated_secondary_current_rms = in->rated_power / (c->secondaries * c->phase_factor * in->secondary_voltage_rms);
	set->rated_primary_current_rms = set->primary_rating / (c->phase_factor * mains->voltage_rms);
}

static double peak_factor(double resistance, double reactance) { return 1.02 + 0.98 * exp(-3.0 * resistance / reactance); }

/* Heat of the direct part of a short-circuit current over that of its alternating part (IEC 60909, m). */
static double offset_heat(double peak, double frequency, double time)
{
	double decay = 2.0 * frequency * log(peak - 1.0);
	return peak < 2.0 ? (exp(2.0 * decay * time) - 1.0) / (decay * time) : 2.0;
}

/* Impedances of mains and transformer are added as they are, reactances too: never less current than their vectors' sum gives. */
static void faults(const rw_supply_in *in, const rw_connection *c, const rw_mains *mains, rw_supply_set *set)
{
	double uz = in->short_circuit_voltage, ur = in->short_circuit_resistance, s = in->rated_power, tolerance = in->impedance_tolerance;
	double greatest = mains->fault_level_greatest > 0.0 ? s / mains->fault_level_greatest : 0.0, least = uz * (1.0 - tolerance);
	double reactance = sqrt(fmax(least * least - ur * ur, 0.0)) + greatest, peak = peak_factor(ur, reactance);
	double base = c->secondaries * in->secondary_voltage_rms * in->secondary_voltage_rms / s, time = in->fault_clearing_time;
	set->fault_current_rms = mains->high * set->rated_secondary_current_rms / (least + greatest);
	set->fault_peak_factor = peak;
	set->fault_current_pk = peak * sqrt(2.0) * set->fault_current_rms;
	set->fault_current_least_rms = mains->low * set->rated_secondary_current_rms / (uz * (1.0 + tolerance) + s / mains->fault_level_least);
	set->fault_current_dc = c->short_circuit * in->secondary_voltage_rms * mains->high / (sqrt(2.0) * c->bridge_share * reactance * base);
	set->fault_primary_current_rms = set->fault_current_rms * c->secondaries * in->secondary_voltage_rms / mains->voltage_rms;
	double heat = in->connection == RW_CONNECT_HALF_WAVE ? 3.0 : 1.0 + offset_heat(peak, mains->frequency, time);
	set->fault_diode_i2t = heat * set->fault_current_rms * set->fault_current_rms * time;
	set->site_ratio = mains->fault_level_least / (c->phase_factor * mains->voltage_rms * in->demand_current_rms);
}

/* The worst diode leaks least and recovers first; its resistor is high and its capacitor low, those of all others the other way. */
static void sharing(const rw_supply_in *in, rw_supply_set *set)
{
	double others = in->diodes_in_series - 1.0, high = 1.0 + in->sharing_tolerance, low = 1.0 - in->sharing_tolerance, arm = set->diode_inverse_voltage_pk;
	double slow = arm + others * in->sharing_resistance * low * in->diode_leakage_spread;
	double quick = arm + others * in->diode_charge_spread / (in->sharing_capacitance * high);
	set->diode_share_voltage_pk = fmax(slow, quick) / (1.0 + others * low / high);
	/* mean square of the arm's volts over their crest's: 240 degrees of two line volts, or half a sine */
	double square = in->connection == RW_CONNECT_SINGLE_PHASE ? 0.25 : 1.0 / 3.0 + sqrt(3.0) / (8.0 * PI);
	set->sharing_loss = square * arm * arm / (in->diodes_in_series * (double)in->diodes_in_series * in->sharing_resistance);
}

static rw_status tolerable(const rw_supply_in *in, rw_error *err)
{
	double least = in->short_circuit_voltage * (1.0 - in->impedance_tolerance);
	if (in->short_circuit_resistance < least)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "supply.impedance_tolerance", "'impedance_tolerance' %.3g %% takes the impedance down to its resistive part",
	    100.0 * in->impedance_tolerance);
	rw_error_expected(err, "under %.3g %%", 100.0 * (1.0 - in->short_circuit_resistance / in->short_circuit_voltage));
	rw_error_hint(err, "less 'impedance_tolerance', or less 'short_circuit_resistance'");
	return RW_E_RANGE;
}

rw_status rw_supply_set_solve(const rw_supply_in *in, const rw_mains *mains, rw_supply_set *out, rw_error *err)
{
	double ux;
	const rw_connection *c = rw_connection_of(in->connection);
	RW_TRY(short_circuit_reactance(in, &ux, err));
	RW_TRY(tolerable(in, err));
	double base = c->secondaries * in->secondary_voltage_rms * in->secondary_voltage_rms / in->rated_power;
	rw_supply_set set = {
		.nominal_no_load_voltage_dc = c->voltage_factor * in->secondary_voltage_rms,
		.no_load_voltage_pk = c->peak_factor * in->secondary_voltage_rms * mains->high,
		.phase_reactance = ux * base,
		.phase_resistance = in->short_circuit_resistance * base,
		.diode_inverse_voltage_pk = sqrt(2.0) * in->secondary_voltage_rms * mains->high,
		.iron_loss = in->iron_loss_fraction * in->rated_power,
		.harmonic_limit_2 = (double)NAN, .harmonic_limit_11 = (double)NAN, .harmonic_limit_17 = (double)NAN, .harmonic_limit_23 = (double)NAN,
		.harmonic_limit_35 = (double)NAN, .distortion_limit = (double)NAN,
		.short_circuit_current_rms = in->rated_power / (c->secondaries * c->phase_factor * in->secondary_voltage_rms * in->short_circuit_voltage),
	};
	set.short_circuit_current_pk = peak_factor(in->short_circuit_resistance, ux) * sqrt(2.0) * set.short_circuit_current_rms;
	set.duty_secondary_current_rms = c->rating_factor / (c->secondaries * c->phase_factor) * in->duty_current_dc;
	factors(in, c, mains, &set);
	faults(in, c, mains, &set);
	sharing(in, &set);
	*out = set;
	return RW_OK;
}

/* ---- under load ---- */

typedef struct drops {
	double no_load, ratio, overlap, resistive, arms, left;   /* V; ratio: x of the connection */
} drops;

static rw_status drops_at(const rw_supply_in *in, const rw_supply_set *set, double mains_factor, double current_dc, drops *out, rw_error *err)
{
	const rw_connection *c = rw_connection_of(in->connection);
	double kept;
	drops d = {.no_load = set->nominal_no_load_voltage_dc * mains_factor, .resistive = (c->resistance_factor * set->phase_resistance + in->filter_resistance) * current_dc,
	           .arms = (double)c->arms_in_series * in->diodes_in_series * in->diode_drop_dc};
	d.ratio = sqrt(2.0) * set->phase_reactance * c->bridge_share * current_dc / (in->secondary_voltage_rms * mains_factor);
	RW_TRY(rw_connection_voltage_ratio(in->connection, d.ratio, &kept, err));
	d.overlap = d.ratio <= c->overlap_end ? 0.5 * d.ratio * d.no_load : (1.0 - kept) * d.no_load;
	d.left = d.no_load - d.overlap - d.resistive - d.arms;
	if (!(d.left >= 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "supply.current_dc", "'current_dc' %.6g A leaves no volts at the bridge's output", current_dc);
		rw_error_expected(err, "less than its short-circuit current, which is under %.4g A",
		                  c->short_circuit * in->secondary_voltage_rms * mains_factor / (sqrt(2.0) * c->bridge_share * set->phase_reactance));
		rw_error_hint(err, "less current, or a transformer of less impedance");
		return RW_E_RANGE;
	}
	*out = d;
	return RW_OK;
}

rw_status rw_supply_voltage(const rw_supply_in *in, const rw_supply_set *set, double mains_factor, double current_dc, double *voltage_dc,
    rw_error *err)
{
	drops d;
	RW_TRY(drops_at(in, set, mains_factor, current_dc, &d, err));
	*voltage_dc = d.left;
	return RW_OK;
}

/* Rms of a harmonic; what cancels leaves rounding, which is nothing. */
static double order_rms(const rw_wave *wave, int order)
{
	double x = rw_wave_harmonic_rms(wave, order);
	return x > 1e-12 ? x : 0.0;
}

enum { RIPPLE_LAST = 600 };   /* beyond it less than 1e-4 of the ripple is left behind a choke */

enum { SAMPLES = 1440 };   /* of a ripple's period, for its greatest and least */

/* What the filter leaves of the direct volts: each harmonic behind choke and transformer's phases, with capacitor and load beside it. */
void rw_supply_filter(const rw_supply_in *in, const rw_supply_set *set, const rw_wave *volts, double frequency, double load, double *rms, double *pp)
{
	double square = 0.0, phases = set->resistance_factor * set->phase_reactance / (2.0 * PI * frequency);
	double wave[SAMPLES] = {0.0}, least = INFINITY, greatest = -INFINITY;
	int pulses = rw_connection_of(in->connection)->pulses;
	for (int k = 1; k * pulses <= RIPPLE_LAST; k++) {
		double speed = 2.0 * PI * frequency * k * pulses, series = speed * (in->filter_inductance + phases), cosine, sine;
		double kept = 1.0 - series * speed * in->filter_capacitance, turned = series / load, whole = kept * kept + turned * turned;
		if (order_rms(volts, k * pulses) <= 0.0)
			continue;
		rw_wave_harmonic(volts, k * pulses, &cosine, &sine);
		double even = (cosine * kept - sine * turned) / whole, odd = (sine * kept + cosine * turned) / whole;   /* over kept + j turned */
		square += even * even + odd * odd;
		for (int i = 0; i < SAMPLES; i++) {
			double t = 2.0 * PI * (k * i % SAMPLES) / SAMPLES;
			wave[i] += sqrt(2.0) * (even * cos(t) + odd * sin(t));
		}
	}
	for (int i = 0; i < SAMPLES; i++) {
		least = fmin(least, wave[i]);
		greatest = fmax(greatest, wave[i]);
	}
	*rms = sqrt(square);
	*pp = greatest - least;
}

/* Line current of the mains and the direct volts, by their waves; scales: A of a bridge referred to the mains, V at no load. */
static void waves(const rw_supply_in *in, const rw_supply_set *set, const rw_bridge *bridge, double frequency, double amps, double volts,
    rw_supply_case *c)
{
	rw_wave w;
	double least, greatest, rms_of[RW_LINE_ORDERS + 1] = {0.0};
	rw_connection_mains(in->connection, c->commutation_ratio, bridge, &w);
	for (int order = 1; order <= RW_LINE_ORDERS; order++)
		rms_of[order] = amps * order_rms(&w, order);
	rw_supply_orders(rms_of, c);
	bool two = rw_connection_of(in->connection)->secondaries == 2, half = in->connection == RW_CONNECT_HALF_WAVE;
	c->primary_current_rms = amps * (two ? rw_wave_rms(&w) : sqrt(bridge->rms_ratio * bridge->rms_ratio - (half ? 1.0 / 9.0 : 0.0)));
	rw_connection_volts(in->connection, c->commutation_ratio, bridge, &w);
	rw_wave_span(&w, &least, &greatest);
	double rms = rw_wave_rms(&w), mean = rw_wave_mean(&w);
	c->ripple_voltage_pp = volts * (greatest - least);
	c->ripple_voltage_rms = volts * sqrt(fmax(rms * rms - mean * mean, 0.0));
	double left = 0.0, left_pp = 0.0;
	if (in->filter_inductance > 0.0 && c->current_dc > 0.0 && c->voltage_dc > 0.0)
		rw_supply_filter(in, set, &w, frequency, c->voltage_dc / c->current_dc, &left, &left_pp);
	c->filtered_ripple_rms = in->filter_inductance > 0.0 ? volts * left : c->ripple_voltage_rms;
	c->filtered_ripple_pp = in->filter_inductance > 0.0 ? volts * left_pp : c->ripple_voltage_pp;
	c->voltage_pk = fmax(volts * greatest - c->resistive_drop_dc - c->arm_drop_dc, c->voltage_dc);
}

void rw_supply_light_load(const rw_supply_in *in, const rw_supply_set *set, double mains_factor, double bleeder_resistance, rw_supply_case *out)
{
	double arms = set->arms_in_series * in->diodes_in_series * in->diode_drop_dc;
	double source = set->voltage_factor * set->bridge_share * set->phase_reactance / sqrt(2.0) + set->resistance_factor * set->phase_resistance;
	source += in->filter_resistance;
	out->light_load_voltage_dc = fmax(set->nominal_no_load_voltage_dc * mains_factor - arms, 0.0) / (1.0 + source / bleeder_resistance);
	out->critical_inductance = 2.0 * bleeder_resistance / ((set->pulses * set->pulses - 1.0) * 2.0 * PI * set->ripple_frequency);
}

/* Windings and arms. */
static void currents(const rw_supply_in *in, const rw_mains *mains, rw_supply_case *c)
{
	const rw_connection *k = rw_connection_of(in->connection);
	bool bridged = in->connection == RW_CONNECT_BRIDGE, two = k->secondaries == 2, single = in->connection == RW_CONNECT_SINGLE_PHASE;
	bool delta = bridged && in->secondary_winding == RW_WINDING_DELTA;
	c->star_current_rms = delta ? 0.0 : c->secondary_current_rms;
	c->delta_current_rms = delta || two ? c->secondary_current_rms / sqrt(3.0) : 0.0;
	c->primary_current_fund_rms = k->secondaries * c->secondary_current_fund_rms * in->secondary_voltage_rms / mains->voltage_rms;
	double of_fundamental = c->primary_current_fund_rms > 0.0 ? c->primary_current_rms / c->primary_current_fund_rms : 1.0;
	c->current_thd = sqrt(fmax(of_fundamental * of_fundamental - 1.0, 0.0));
	c->total_demand_distortion = c->current_thd * c->primary_current_fund_rms / in->demand_current_rms;
	c->primary_winding_current_rms = c->primary_current_rms / (!single && in->primary_winding == RW_WINDING_DELTA ? sqrt(3.0) : 1.0);
	c->diode_current_mean = k->diode_mean * c->current_dc;
	c->diode_heat = in->diode_drop_dc * c->diode_current_mean;
	c->diode_current_rms = c->secondary_current_rms / (in->connection == RW_CONNECT_HALF_WAVE ? 1.0 : sqrt(2.0));
}

/* The mains side: line current with its distortion, iron loss added in phase. */
static void mains_side(const rw_supply_in *in, const rw_supply_set *set, const rw_mains *mains, double mains_factor, rw_supply_case *c)
{
	double active = c->output_power + c->copper_loss + c->diode_loss;
	double volts = rw_connection_of(in->connection)->phase_factor * mains->voltage_rms * mains_factor;
	double apparent = volts * c->primary_current_rms;
	c->mains_power = active + set->iron_loss;
	c->apparent_power = sqrt(c->mains_power * c->mains_power + fmax(apparent * apparent - active * active, 0.0));
	c->mains_current_rms = c->apparent_power / volts;
	c->power_factor = c->apparent_power > 0.0 ? c->mains_power / c->apparent_power : 1.0;
}

rw_status rw_supply_at(const rw_supply_in *in, const rw_supply_set *set, const rw_mains *mains, double mains_factor, double current_dc,
                       rw_supply_case *out, rw_error *err)
{
	drops d;
	rw_bridge bridge;
	RW_TRY(drops_at(in, set, mains_factor, current_dc, &d, err));
	RW_TRY(rw_connection_at(in->connection, d.ratio, &bridge, err));
	double fundamental = hypot(bridge.active_ratio, bridge.reactive_ratio), one = set->bridge_share * current_dc;
	rw_supply_case c = {
		.no_load_voltage_dc = d.no_load, .voltage_dc = d.left, .current_dc = current_dc, .output_power = d.left * current_dc,
		.regulation = 1.0 - d.left / d.no_load, .bridge_current_dc = one,
		.source_factor = mains_factor, .control_ratio = 1.0, .conduction = 1.0, .current_rms = current_dc,
		.bridge_power = (d.no_load - d.overlap) * current_dc,
		.commutation_ratio = d.ratio, .overlap_delay = bridge.delay, .overlap_angle = bridge.overlap,
		.overlap_drop_dc = d.overlap, .resistive_drop_dc = d.resistive, .arm_drop_dc = d.arms,
		.secondary_current_rms = bridge.rms_ratio * one, .secondary_current_fund_rms = fundamental * one,
		.displacement_factor = bridge.active_ratio / fundamental,
		.copper_loss = d.resistive * current_dc, .diode_loss = d.arms * current_dc,
	};
	waves(in, set, &bridge, mains->frequency, one * in->secondary_voltage_rms / mains->voltage_rms, d.no_load, &c);
	c.light_load_voltage_dc = c.critical_inductance = (double)NAN;   /* the bleeder is not known here */
	currents(in, mains, &c);
	mains_side(in, set, mains, mains_factor, &c);
	*out = c;
	return RW_OK;
}
