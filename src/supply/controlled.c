/* The supply with its power controlled: tap, variac, star/delta by the ratio of the volts, primary thyristors by the firing angle. */
#include <math.h>

#include "supply/connection.h"
#include "supply/control.h"
#include "supply/supply.h"

#define PI 3.14159265358979323846

static const double degree = PI / 180.0;

static double or_rule(double given, double rule) { return isnan(given) ? rule : given; }

double rw_supply_pulses(const rw_supply_in *in) { return rw_connection_of(in->connection)->pulses; }

static double arms(const rw_supply_in *in)
{
	return (double)rw_connection_of(in->connection)->arms_in_series * in->diodes_in_series * in->diode_drop_dc;
}

void rw_supply_choose_control(rw_supply_in *in)
{
	if (in->control < 0)
		in->control = RW_CONTROL_NONE;
	if (in->ripple_counted < 0)
		in->ripple_counted = in->control == RW_CONTROL_THYRISTOR && !(in->filter_inductance > 0.0) ? RW_RIPPLE_CYCLE : RW_RIPPLE_MEAN;
	if (in->control == RW_CONTROL_TAP || in->control == RW_CONTROL_VARIAC) {
		bool tap = in->control == RW_CONTROL_TAP;
		in->ratio_low = or_rule(in->ratio_low, tap ? 0.5 : 0.1);
		in->ratio_step = or_rule(in->ratio_step, tap ? 0.05 : 0.005);
	}
	if (in->control == RW_CONTROL_THYRISTOR) {
		in->firing_angle_min = or_rule(in->firing_angle_min, 0.0);
		in->firing_angle_max = or_rule(in->firing_angle_max, 105.0 * degree);
		in->firing_angle_step = or_rule(in->firing_angle_step, 0.5 * degree);
	}
}

static rw_status not_with(const char *key, const char *what, const char *only, const char *hint, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_VALUE, key, "%s with this 'connection'", what);
	rw_error_expected(err, "%s", only);
	rw_error_hint(err, "%s", hint);
	return RW_E_VALUE;
}

rw_status rw_supply_check_control(const rw_supply_in *in, rw_error *err)
{
	bool bridge = in->connection <= RW_CONNECT_BRIDGE;
	if (in->control == RW_CONTROL_THYRISTOR && !bridge)
		return not_with("supply.control", "primary thyristors are not worked out", "connection: bridge", "control it by 'tap' or 'variac'", err);
	if (in->control == RW_CONTROL_STAR_DELTA && in->connection == RW_CONNECT_SINGLE_PHASE)
		return not_with("supply.control", "star and delta need three phases", "a connection of three phases", "control it by 'tap' or 'variac'", err);
	if (in->ripple_counted == RW_RIPPLE_CYCLE && in->filter_inductance > 0.0) {
		(void)RW_RAISE(err, RW_E_VALUE, "supply.ripple_counted", "the ripple is followed on an unfiltered HT only");
		rw_error_expected(err, "ripple_counted: mean with a filter's choke");
		rw_error_hint(err, "leave out 'ripple_counted', or 'filter_inductance'");
		return RW_E_VALUE;
	}
	if (in->ripple_counted == RW_RIPPLE_CYCLE && !bridge)
		return not_with("supply.ripple_counted", "the ripple is not followed", "connection: bridge", "'ripple_counted: mean' leaves the ripple out", err);
	if (in->control != RW_CONTROL_THYRISTOR || in->firing_angle_min < in->firing_angle_max)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_VALUE, "supply.firing_angle_min", "'firing_angle_min' %.4g deg is not under 'firing_angle_max', %.4g deg",
	    in->firing_angle_min / degree, in->firing_angle_max / degree);
	rw_error_expected(err, "a least angle under the greatest");
	rw_error_hint(err, "mostly 0 and 105 deg");
	return RW_E_VALUE;
}

rw_ripple_source rw_supply_source(const rw_supply_in *in, const rw_supply_set *set, double mains_factor, const rw_supply_setting *setting)
{
	double p = rw_supply_pulses(in), no_load = set->nominal_no_load_voltage_dc * mains_factor * setting->ht_ratio;
	return (rw_ripple_source){no_load * PI / p / sin(PI / p), p, setting->firing_angle, arms(in)};
}

double rw_supply_resistance(const rw_supply_in *in, const rw_supply_set *set)
{
	const rw_connection *c = rw_connection_of(in->connection);
	return c->resistance_factor * set->phase_resistance + in->filter_resistance + c->voltage_factor * c->bridge_share * sqrt(0.5) * set->phase_reactance;
}

/* Mean of the bridge at its angle, as the kind of average has it: with the ripple counted the arms' drop ends the current a little early. */
static void kept(const rw_supply_in *in, const rw_supply_set *set, double mains_factor, const rw_supply_setting *setting, double *ratio,
    double *conduction)
{
	rw_controlled_bridge bridge;
	*ratio = *conduction = 1.0;
	if (in->ripple_counted == RW_RIPPLE_CYCLE) {
		rw_ripple_source source = rw_supply_source(in, set, mains_factor, setting);
		*ratio = rw_ripple_mean_ratio(&source);
		*conduction = rw_ripple_span_of(&source).share;
	} else if (setting->firing_angle > 0.0 && rw_control_bridge(rw_supply_pulses(in), setting->firing_angle, &bridge, NULL) == RW_OK) {
		*ratio = bridge.mean_ratio;   /* with a smooth current the diodes free-wheel: the arms conduct all the time */
	}
}

double rw_supply_control_drop(const rw_supply_in *in, const rw_supply_set *set, double mains_factor, const rw_supply_setting *setting)
{
	double ratio, conduction;
	kept(in, set, mains_factor, setting, &ratio, &conduction);
	return (1.0 - ratio) * set->nominal_no_load_voltage_dc * mains_factor * setting->ht_ratio;
}

static void scale_line(double by, rw_supply_case *c)
{
	double *const line[] = {&c->secondary_current_rms, &c->star_current_rms, &c->delta_current_rms, &c->primary_current_rms,
	    &c->primary_winding_current_rms, &c->diode_current_rms};
	for (size_t i = 0; i < sizeof line / sizeof line[0]; i++)
		*line[i] *= by;
}

/* Powers of a case whose ripple is counted: means of products. Currents of the windings with the form of the direct current. */
static void over_the_cycle(const rw_supply_in *in, const rw_supply_set *set, const rw_supply_cycle *cycle, rw_supply_case *c)
{
	double square = cycle->current_rms * cycle->current_rms;
	c->current_rms = cycle->current_rms;
	c->ripple_rms = sqrt(fmax(cycle->voltage_rms * cycle->voltage_rms - cycle->voltage_dc * cycle->voltage_dc, 0.0));
	c->ripple_pp = cycle->voltage_pp;
	scale_line(cycle->current_rms / cycle->current_dc, c);
	c->copper_loss = (set->resistance_factor * set->phase_resistance + in->filter_resistance) * square;
	c->bridge_power = cycle->source_power - 3.0 / PI * set->phase_reactance * square;
	c->output_power = cycle->output_power;
}

static rw_status too_much_overlap(bool counted, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_RANGE, counted ? "supply.ripple_counted" : "settings.firing_angle",
	    "the overlap is over 60 degrees, where %s is not followed", counted ? "the ripple" : "phase control");
	rw_error_expected(err, "less current, or a transformer of less reactance");
	rw_error_hint(err, counted ? "'ripple_counted: mean' leaves the ripple out" : "a firing angle of 0");
	return RW_E_RANGE;
}

static void mains_side(const rw_supply_in *in, const rw_supply_set *set, const rw_mains *mains, double mains_factor, double fundamental,
    rw_supply_case *c)
{
	double line = sqrt(3.0) * in->secondary_voltage_rms * c->source_factor;
	double active = c->output_power + c->copper_loss + c->diode_loss;
	double apparent = sqrt(3.0) * mains->voltage_rms * mains_factor * c->primary_current_rms;
	double in_phase = c->bridge_power / line;
	c->secondary_current_fund_rms = fundamental;
	c->displacement_factor = in_phase / c->secondary_current_fund_rms;
	c->primary_current_fund_rms = c->secondary_current_fund_rms * line / (sqrt(3.0) * mains->voltage_rms * mains_factor);
	c->current_thd = sqrt(fmax(pow(c->primary_current_rms / c->primary_current_fund_rms, 2.0) - 1.0, 0.0));
	c->total_demand_distortion = c->current_thd * c->primary_current_fund_rms / in->demand_current_rms;
	c->mains_power = active + set->iron_loss;
	c->apparent_power = sqrt(c->mains_power * c->mains_power + fmax(apparent * apparent - active * active, 0.0));
	c->mains_current_rms = c->apparent_power / (sqrt(3.0) * mains->voltage_rms * mains_factor);
	c->power_factor = c->apparent_power > 0.0 ? c->mains_power / c->apparent_power : 1.0;
}

/* The fundamental a quarter behind of a smooth current in blocks that begin and end with the angle. */
static double reactive_of_blocks(double pulses, double angle)
{
	double half = PI / pulses;
	return sqrt(6.0) / PI * (cos(angle - half) - cos(fmin(angle + half, PI / 2.0)));
}

/* Harmonic of a line current of 1 A in smooth blocks, no overlap. */
static double smooth_harmonic(double pulses, double angle, int order)
{
	double half = PI / pulses, width = fmin(angle + half, PI / 2.0) - (angle - half);
	return 4.0 * sqrt(2.0) / (PI * order) * fabs(cos(order * PI / 6.0) * sin(0.5 * order * width));
}

/* Line harmonics of the pulses, times what the overlap at the angle leaves of those of a plain block. */
static void line_harmonics(const rw_supply_in *in, const rw_bridge *fired, double angle, const rw_supply_cycle *cycle, double to_mains, rw_supply_case *c)
{
	rw_wave block;
	double rms[RW_LINE_ORDERS + 1] = {0.0}, pulses = rw_supply_pulses(in);
	rw_connection_line(RW_CONNECT_BRIDGE, c->commutation_ratio, fired, &block);
	for (int order = 1; order <= RW_LINE_ORDERS; order++) {
		if (order % 2 == 0 || order % 3 == 0)
			continue;
		double left = rw_wave_harmonic_rms(&block, order) / smooth_harmonic(pulses, 0.0, order);
		rms[order] = to_mains * left * (cycle ? cycle->line_rms[order] : c->current_dc * smooth_harmonic(pulses, angle, order));
	}
	rw_supply_orders(rms, c);
}

/* Overlap, line currents and their harmonics with the commutation waiting for the angle; before, *c has them without. */
static rw_status fire(const rw_supply_in *in, const rw_mains *mains, const rw_supply_setting *setting, const rw_supply_cycle *cycle,
    rw_bridge *fired, rw_supply_case *c, rw_error *err)
{
	rw_bridge plain;
	RW_TRY(rw_bridge_at(c->commutation_ratio, &plain, err));
	RW_TRY(rw_bridge_fired(c->commutation_ratio, setting->firing_angle, fired, err));
	c->overlap_delay = fired->delay;
	c->overlap_angle = fired->overlap;
	scale_line(fired->rms_ratio / plain.rms_ratio, c);
	line_harmonics(in, fired, setting->firing_angle, cycle, in->secondary_voltage_rms * setting->ht_ratio / mains->voltage_rms, c);
	return RW_OK;
}

/* Ripple of the ideal bridge at its angle behind the filter. */
static void fired_behind_filter(const rw_supply_in *in, const rw_supply_set *set, double angle, double frequency, rw_supply_case *c)
{
	double half = PI / rw_supply_pulses(in), rms = 0.0, pp = 0.0;
	rw_wave volts = {.period = 2.0 * half};
	rw_wave_piece(&volts, angle - half, fmin(angle + half, PI / 2.0), 0.0, 0.0, c->no_load_voltage_dc * half / sin(half));
	if (c->voltage_dc > 0.0 && c->current_dc > 0.0)
		rw_supply_filter(in, set, &volts, frequency, c->voltage_dc / c->current_dc, &rms, &pp);
	c->ripple_rms = rms;
	c->ripple_pp = pp;
}

rw_status rw_supply_controlled(const rw_supply_in *in, const rw_supply_set *set, const rw_mains *mains, double mains_factor,
    const rw_supply_setting *setting, double current_dc, const rw_supply_cycle *cycle, rw_supply_case *out, rw_error *err)
{
	rw_controlled_bridge ideal;
	rw_supply_case c;
	rw_bridge fired_bridge;
	rw_mains behind = *mains;
	behind.voltage_rms /= setting->ht_ratio;   /* a transformer of that ratio in between */
	RW_TRY(rw_supply_at(in, set, &behind, mains_factor * setting->ht_ratio, current_dc, &c, err));
	RW_TRY(rw_control_bridge(rw_supply_pulses(in), setting->firing_angle, &ideal, err));
	bool fired = setting->firing_angle > 0.0;
	double ripple = c.no_load_voltage_dc * sqrt(fmax(ideal.rms_ratio * ideal.rms_ratio - ideal.mean_ratio * ideal.mean_ratio, 0.0));
	c.ripple_rms = fired ? ripple : c.filtered_ripple_rms;
	c.ripple_pp = fired ? c.no_load_voltage_dc * ideal.ripple_pp_ratio : c.filtered_ripple_pp;
	if (fired || cycle) {
		if (c.commutation_ratio > 0.5)
			return too_much_overlap(cycle != NULL, err);
		kept(in, set, mains_factor, setting, &c.control_ratio, &c.conduction);
		c.control_drop_dc = rw_supply_control_drop(in, set, mains_factor, setting);
		c.arm_drop_dc *= c.conduction;
		c.voltage_dc = c.no_load_voltage_dc - c.control_drop_dc - c.overlap_drop_dc - c.resistive_drop_dc - c.arm_drop_dc;
		c.regulation = 1.0 - c.voltage_dc / c.no_load_voltage_dc;
		c.output_power = c.voltage_dc * current_dc;
		c.bridge_power = (c.no_load_voltage_dc - c.control_drop_dc - c.overlap_drop_dc) * current_dc;
		double active = sqrt(6.0) / PI * current_dc * c.control_ratio;
		double reactive = current_dc * reactive_of_blocks(rw_supply_pulses(in), setting->firing_angle);
		if (cycle) {
			over_the_cycle(in, set, cycle, &c);
			active = cycle->source_power / (sqrt(3.0) * in->secondary_voltage_rms * c.source_factor);
			reactive = cycle->reactive_current_rms;
		}
		RW_TRY(fire(in, mains, setting, cycle, &fired_bridge, &c, err));
		double edges = hypot(fired_bridge.active_ratio, fired_bridge.reactive_ratio) * PI / sqrt(6.0);   /* what overlap leaves of a fundamental */
		mains_side(in, set, mains, mains_factor, hypot(active, reactive) * edges, &c);
		if (in->filter_inductance > 0.0)
			fired_behind_filter(in, set, setting->firing_angle, mains->frequency, &c);
	}
	*out = c;
	return RW_OK;
}
