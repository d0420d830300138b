/* The filament's wire and its figures over time: start, bypass, mains away and back. */
#include <math.h>

#include "filament/filament.h"

enum { THORIATED, TUNGSTEN, OXIDE };   /* RW_CATHODE_* of valve/valve.h */
enum { CYCLES = 5 };                   /* of the start in the time domain; then the rms current */

static const double time_max = 1e5;            /* s: no filament takes a day */
static const double table_end = 2700.0;        /* K, of tungsten's table */
static const double heated = 0.9;              /* of the hot resistance: how far a filament counts as heated */

/* Emission constants, A/m2/K2 and K (source thermionic-emission). */
static const struct { double a, b; } emission[] = {[THORIATED] = {3e4, 30500.0}, [TUNGSTEN] = {60.2e4, 52400.0}};

void rw_filament_wire(const rw_filament_in *in, const rw_filament_set *set, const rw_tungsten *tungsten, rw_wire *out)
{
	rw_wire_want want = {set->hot_resistance, set->cold_resistance, set->power, in->lead_loss_share, in->hot_temperature, in->strands};
	rw_wire_size(tungsten, &want, out);
}

rw_feed rw_filament_feed(const rw_filament_in *in, const rw_filament_set *set, double frequency, bool resistor_in)
{
	return (rw_feed){set->transformer_voltage_rms, in->series_resistance + (resistor_in ? in->start_resistor : 0.0), in->series_reactance,
	                 frequency};
}

/* What the runs share. */
typedef struct bench {
	const rw_filament_in *in;
	rw_filament_set *set;
	const rw_tungsten *tungsten;
	rw_wire wire;
	rw_hot_wire laws;
	rw_feed with, without;    /* the start resistor */
	double cold, hot;         /* K */
	bool resistor;
} bench;

static void wire_figures(bench *b, int cathode)
{
	rw_filament_set *set = b->set;
	const rw_wire *w = &b->wire;
	set->hot_resistivity = w->resistivity;
	set->hot_radiation = w->radiation;
	set->surface = w->surface;
	set->wire_diameter = w->diameter;
	set->wire_length = w->length;
	set->wire_mass = w->mass;
	set->table_ratio = w->resistivity / w->cold_resistivity;
	set->emission_dc = rw_emission(emission[cathode].a, emission[cathode].b, b->hot) * w->surface;
	set->stored_heat = w->mass * rw_tungsten_heat(b->tungsten, b->cold, b->hot);
	set->thermal_time = set->stored_heat / set->power;
}

/* ---- start ---- */

static rw_status start_figures(bench *b, rw_start_run *first, rw_error *err)
{
	rw_start_peak worst;
	RW_TRY(rw_start_worst(&b->laws, &b->with, NULL, b->cold, &worst, err));
	RW_TRY(rw_start_cycles(&b->laws, &b->with, worst.angle, b->cold, 0.0, CYCLES / b->with.frequency, first, err));
	b->set->warming_pk = worst.peak;
	b->set->warming_angle = worst.angle;
	b->set->warming_time = worst.time;
	b->set->first_cycle_rms = first->first_cycle_rms;
	return RW_OK;
}

/* The resistor until its bypass, from a time and a temperature on. */
static rw_status until_bypass(const bench *b, double from, double temperature, rw_warmed *out, rw_error *err)
{
	bool timer = !isnan(b->in->bypass_time);
	double resistance = timer ? 0.0 : b->in->bypass_resistance, time = timer ? fmax(b->in->bypass_time - from, 0.0) : time_max;
	if (!timer && b->laws.resistance(&b->wire, temperature) >= resistance) {
		*out = (rw_warmed){0.0, temperature, 0.0, 1};
		return RW_OK;
	}
	return rw_warm_up(&b->laws, &b->with, temperature, resistance, time, out, err);
}

static rw_status never_heated(rw_error *err)
{
	(void)RW_RAISE(err, RW_E_NOSOLVE, "filament.strands", "the filament is not heated within a day");
	rw_error_expected(err, "a filament of ordinary wires");
	rw_error_hint(err, "give 'strands', the wires in parallel");
	return RW_E_NOSOLVE;
}

/* Time to 90 % of the hot resistance, by the rms current from a point on, through the bypass. */
static rw_status time_to_heated(const bench *b, double from, double temperature, double *time, rw_error *err)
{
	double wanted = heated * b->set->hot_resistance;
	*time = from;
	if (b->laws.resistance(&b->wire, temperature) >= wanted)   /* it hardly rises at all */
		return RW_OK;
	rw_warmed until = {0.0, temperature, 0.0, 0}, rest = {0.0, temperature, 0.0, 1};
	if (b->resistor) {
		RW_TRY(until_bypass(b, from, temperature, &until, err));
		if (b->laws.resistance(&b->wire, until.temperature) >= wanted) {   /* heated before it is bypassed */
			RW_TRY(rw_warm_up(&b->laws, &b->with, temperature, wanted, time_max, &until, err));
			*time = from + until.time;
			return RW_OK;
		}
	}
	RW_TRY(rw_warm_up(&b->laws, &b->without, until.temperature, wanted, time_max, &rest, err));
	if (!rest.reached)
		return never_heated(err);
	*time = from + until.time + rest.time;
	return RW_OK;
}

static rw_status heating_figures(bench *b, const rw_start_run *first, rw_error *err)
{
	double by_rms;
	RW_TRY(time_to_heated(b, 0.0, b->cold, &by_rms, err));
	b->set->heat_time = by_rms;
	/* a filament so small that it is warm within the first cycles, or bypassed there: by the rms current alone */
	bool quick = b->laws.resistance(&b->wire, first->temperature) >= heated * b->set->hot_resistance ||
	             (b->resistor && b->set->bypass_at_time <= first->time);
	if (!quick)
		RW_TRY(time_to_heated(b, first->time, first->temperature, &b->set->heat_time, err));
	b->set->heat_time_difference = by_rms / b->set->heat_time - 1.0;
	return RW_OK;
}

/* ---- the start resistor ---- */

static rw_status never_passes(const bench *b, double temperature, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_NOSOLVE, "filament.bypass_resistance", "with the start resistor in, the filament never passes %.4g mohm: it settles at "
	    "%.4g mohm", 1e3 * b->in->bypass_resistance, 1e3 * b->laws.resistance(&b->wire, temperature));
	rw_error_expected(err, "a bypass well under that");
	rw_error_hint(err, "less resistance in two steps, more series reactance, or a bypass by time ('bypass_time')");
	return RW_E_NOSOLVE;
}

static rw_status bypass_figures(bench *b, rw_error *err)
{
	rw_filament_set *set = b->set;
	rw_warmed until;
	rw_start_peak worst;
	double left;
	/* at the cold end the feed heats, at the hot end it does not hold the heat: the resistor takes some of it */
	RW_TRY(rw_feed_steady(&b->laws, &b->with, b->cold, b->hot, &left, err));
	double current = rw_feed_current(&b->with, b->laws.resistance(&b->wire, left));
	set->start_resistor_left_loss = current * current * b->in->start_resistor;
	set->start_resistor_left_rms = current * b->laws.resistance(&b->wire, left);
	RW_TRY(until_bypass(b, 0.0, b->cold, &until, err));
	if (isnan(b->in->bypass_time) && !until.reached)
		return never_passes(b, left, err);
	set->bypass_at_time = until.time;
	set->bypass_at_resistance = b->laws.resistance(&b->wire, until.temperature);
	set->start_resistor_energy = until.square * b->in->start_resistor;
	set->bypass_current_rms = rw_feed_current(&b->without, set->bypass_at_resistance);
	RW_TRY(rw_start_worst(&b->laws, &b->without, &b->with, until.temperature, &worst, err));
	set->bypass_current_pk = worst.peak;
	rw_feed none = b->without;
	none.emf_rms = 0.0;
	set->dip_time_held = 0.0;
	if (b->in->bypass_resistance < set->hot_resistance) {
		rw_warmed cooled;
		RW_TRY(rw_warm_up(&b->laws, &none, b->hot, b->in->bypass_resistance, time_max, &cooled, err));
		set->dip_time_held = cooled.reached ? cooled.time : (double)NAN;   /* none: it holds cold */
	}
	return RW_OK;
}

/* ---- mains away and back ---- */

static rw_status dip_figures(bench *b, rw_error *err)
{
	rw_filament_set *set = b->set;
	rw_feed dip = b->without;
	const rw_feed *back = b->in->dip_bypass == RW_BYPASS_HOLDS ? &b->without : &b->with;
	rw_warmed cooled;
	rw_start_peak worst;
	dip.emf_rms *= b->in->dip_voltage;
	RW_TRY(rw_warm_up(&b->laws, &dip, b->hot, 0.0, b->in->dip_time, &cooled, err));
	RW_TRY(rw_start_worst(&b->laws, back, dip.emf_rms > 0.0 ? &dip : NULL, cooled.temperature, &worst, err));
	set->dip_temperature = cooled.temperature;
	set->dip_resistance = b->laws.resistance(&b->wire, cooled.temperature);
	set->dip_current_rms = rw_feed_current(back, set->dip_resistance);
	set->dip_current_pk = worst.peak;
	set->dip_angle = worst.angle;
	return RW_OK;
}

/* ---- all ---- */

static rw_status too_hot(double temperature, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_RANGE, "filament.hot_temperature", "the filament would pass %.4g K", temperature);
	rw_error_expected(err, "up to %.4g K, the end of tungsten's table", table_end);
	rw_error_hint(err, "look at the hot temperature, and at the filament volts and amperes");
	return RW_E_RANGE;
}

rw_status rw_filament_time_solve(const rw_filament_in *in, const rw_filament_site *site, const rw_tungsten *tungsten, rw_filament_set *set,
                                 rw_error *err)
{
	if (site->cathode == OXIDE)
		return RW_OK;
	rw_filament_set full = *set;
	rw_start_run first;
	bench b = {.in = in, .set = &full, .tungsten = tungsten, .with = rw_filament_feed(in, set, site->mains_frequency, true),
	           .without = rw_filament_feed(in, set, site->mains_frequency, false), .cold = rw_tungsten_cold(tungsten),
	           .hot = in->hot_temperature, .resistor = in->start_resistor > 0.0};
	rw_filament_wire(in, set, tungsten, &b.wire);
	b.laws = rw_wire_laws(&b.wire);
	wire_figures(&b, site->cathode);
	RW_TRY(start_figures(&b, &first, err));
	if (first.temperature > table_end)
		return too_hot(first.temperature, err);
	if (b.resistor)
		RW_TRY(bypass_figures(&b, err));
	RW_TRY(heating_figures(&b, &first, err));
	RW_TRY(dip_figures(&b, err));
	*set = full;
	return RW_OK;
}
