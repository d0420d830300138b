/* The filament's place in the solve: chosen and settled once for the set, its care told, its curves. */
#include <math.h>

#include "chain/followers.h"
#include "chain/line.h"

static rw_status read_table(rw_arena *arena, const rw_chain_base *base, const rw_entry *entry, const char *key, const rw_column *columns, int n,
    rw_table *out, rw_error *err)
{
	const rw_fact *fact = rw_entry_fact(entry, key);
	if (!fact)
		return RW_RAISE(err, RW_E_MISSING, key, "'%s' has no table '%s'", entry->file, key);
	rw_status status = rw_table_read(arena, base->units, columns, n, 2, fact->value, out, err);
	if (status != RW_OK)
		rw_error_at(err, entry->file, fact->at.line + (err ? err->line : 0), 1, 1);
	return status;
}

rw_status rw_read_tungsten(rw_arena *arena, const rw_chain_base *base, rw_tungsten *out, rw_error *err)
{
	const rw_entry *entry;
	RW_TRY(rw_library_entry(base->library, arena, "tables", "tungsten", &entry, err));
	RW_TRY(read_table(arena, base, entry, "properties", rw_tungsten_columns, RW_TUNGSTEN_COLUMNS, &out->properties, err));
	RW_TRY(read_table(arena, base, entry, "heat_capacity", rw_tungsten_heat_columns, RW_TUNGSTEN_HEAT_COLUMNS, &out->heat, err));
	const rw_fact *density = rw_entry_fact(entry, "density");
	if (!density)
		return RW_RAISE(err, RW_E_MISSING, "density", "'%s' has no 'density'", entry->file);
	return rw_units_read(base->units, &rw_kind_density, density->value, &out->density, err);
}

static rw_filament_site site_of(const rw_chain *chain)
{
	const rw_site_in *site = rw_chain_in(chain, "site", 0);
	const rw_cases_in *cases = rw_chain_in(chain, "cases", 0);
	const rw_valve_in *valve = rw_chain_in(chain, "valve", 0);
	return (rw_filament_site){valve->cathode, rw_tank_sides(rw_chain_in(chain, "tank", 0)) * valve->parallel, site->mains_voltage_rms,
	                          site->mains_frequency, cases->mains_low, cases->mains_high, &chain->base->tungsten};
}

rw_status rw_filament_stage_choose(rw_chain *chain, rw_error *err)
{
	rw_filament_site site = site_of(chain);
	RW_TRY(rw_filament_choose(rw_chain_in(chain, "filament", 0), &site, err));
	rw_chain_mark_filled(chain, "filament", NULL);
	return RW_OK;
}

/* How each cathode wants to be kept; from memory, no source. */
static const char *const care[][3] = {
	[RW_CATHODE_THORIATED] = {
		"conditioning (common practice, from memory): a new or long-stored valve runs an hour or so on its filament alone, then HT in steps; "
		"a tired thoriated filament may come back by some minutes at 10 to 20 % over its volts without HT, if the maker allows it",
		"standby (common practice, from memory): thoriated tungsten stands 80 to 90 % volts in long pauses; no current may be drawn then",
		"life (common practice, from memory): hold the volts within 1 to 3 %, measured true rms at the pins; after some 200 hours many lower "
		"them until the output just falls and go back 1 to 2 %; too few volts under load strip the thorium as surely as too many",
	},
	[RW_CATHODE_TUNGSTEN] = {
		"conditioning (common practice, from memory): pure tungsten needs no activation; a new or stored valve runs on its filament first, then "
		"HT in steps",
		"standby (common practice, from memory): pauses of some hours at reduced volts, about 80 %, save much of its life; each cold start "
		"costs some too",
		"life (common practice, from memory): pure tungsten evaporates, and its life falls steeply with the volts: 5 % more about halves it, "
		"5 % less about doubles it; run it at the least volts that give the emission",
	},
	[RW_CATHODE_OXIDE] = {
		"conditioning (common practice, from memory): full heating time before HT, always: an oxide cathode that gives current while cold "
		"is stripped by it",
		"standby (common practice, from memory): an oxide cathode stands at its volts without current for hours, not for weeks: a layer grows "
		"that costs emission; reduced volts only where the maker allows it",
		"life (common practice, from memory): hold the volts within the maker's tolerance, on either side; figures over time are not given for "
		"an oxide cathode, its heater is not what radiates",
	},
};

/* Chosen and checked at nominal mains, as makers state their limits; what it is at worst is told. */
static rw_status tell_worst_start(rw_chain *chain, rw_error *err)
{
	const rw_filament_in *in = rw_chain_in(chain, "filament", 0);
	const rw_filament_set *set = rw_chain_set(chain, "filament", 0);
	bool peak = in->start_measure == RW_START_PEAK, fitted = in->stabiliser == RW_STABILISER_FITTED;
	double nominal = peak ? set->start_current_pk : set->start_current_rms, worst = peak ? set->start_current_high_pk : set->start_current_high_rms;
	if (in->start_measure == RW_START_NONE || nominal > in->start_limit || worst <= in->start_limit)
		return RW_OK;
	return rw_chain_note(chain, peak ? "filament.start_current_high_pk" : "filament.start_current_high_rms", RW_NO_CASE, err,
	    "the filament's starting current is held to its limit at nominal mains; at %s and the least reactance it is %.4g A %s, over the limit of "
	    "%.4g A: ask the maker whether his limit holds at nominal mains; %sa closer reactance brings it nearer, %s start resistor under",
	    fitted ? "the stabiliser's upper end" : "mains high", worst, peak ? "peak" : "rms", in->start_limit, fitted ? "" : "a stabiliser or ",
	    in->start_resistor > 0.0 ? "more" : "a");
}

/* Why a start resistor was chosen, and a reactance to go with it. */
static rw_status tell_resistor(rw_chain *chain, rw_error *err)
{
	const rw_filament_in *in = rw_chain_in(chain, "filament", 0);
	const rw_filament_set *set = rw_chain_set(chain, "filament", 0);
	bool given = rw_chain_given(chain, "filament.series_reactance", 0);
	if (!(in->start_resistor > 0.0) || rw_chain_given(chain, "filament.start_resistor", 0))
		return RW_OK;
	if (set->best_reactance_pk > in->start_limit)
		RW_TRY(rw_chain_note(chain, "filament.start_resistor", RW_NO_CASE, err, "series reactance alone does not hold the filament's start peak to "
		    "%.4g A: at its best, %.3g mohm, it gives %.3g A, as the offset adds up to the whole first half-cycle; a start resistor of %.3g mohm, "
		    "seen from the filament, does, bypassed only after the filament has passed %.3g mohm", in->start_limit, 1e3 * set->best_reactance,
		    set->best_reactance_pk, 1e3 * in->start_resistor, 1e3 * in->bypass_resistance));
	else
		RW_TRY(rw_chain_note(chain, "filament.start_resistor", RW_NO_CASE, err, "the series reactance, %.3g mohm, does not hold the filament's start "
		    "peak to %.4g A; a greater one would%s; a start resistor of %.3g mohm, seen from the filament, does, bypassed only after the "
		    "filament has passed %.3g mohm", 1e3 * in->series_reactance, in->start_limit,
		    given ? "" : ", but its tolerance would take the filament's volts out of theirs", 1e3 * in->start_resistor,
		    1e3 * in->bypass_resistance));
	if (given || in->series_reactance <= rw_filament_own_leakage(in) * (1.0 + 1e-9))
		return RW_OK;
	return rw_chain_note(chain, "filament.series_reactance", RW_NO_CASE, err, "%.3g mohm of series reactance, over the transformer's own leakage: with "
	    "less of it the filament, the start resistor in, would not get past the resistance it is bypassed at", 1e3 * in->series_reactance);
}

/* Told where it was decided something that is not usual, and how the cathode is kept. */
static rw_status tell(rw_chain *chain, int cathode, rw_error *err)
{
	const rw_filament_in *in = rw_chain_in(chain, "filament", 0);
	const rw_filament_set *set = rw_chain_set(chain, "filament", 0);
	RW_TRY(tell_resistor(chain, err));
	RW_TRY(tell_worst_start(chain, err));
	if (in->start_resistor > 0.0 && !isnan(set->dip_time_held))
		RW_TRY(rw_chain_note(chain, "filament.dip_time_held", RW_NO_CASE, err, "a bypass that holds in while the mains are away must drop out within "
		    "%.2g s: the filament then has cooled below what it was bypassed at", set->dip_time_held));
	for (int i = 0; i < 3; i++)
		RW_TRY(rw_chain_note(chain, "filament.voltage_rms", RW_NO_CASE, err, "filament, %s", care[cathode][i]));
	return RW_OK;
}

rw_status rw_filament_settle(rw_chain *chain, rw_error *err)
{
	rw_filament_site site = site_of(chain);
	const rw_filament_in *in = rw_chain_in(chain, "filament", 0);
	rw_filament_set *set = rw_chain_set(chain, "filament", 0);
	RW_TRY(rw_filament_set_solve(in, &site, set, err));
	RW_TRY(rw_filament_time_solve(in, &site, &chain->base->tungsten, set, err));
	rw_chain_set_done(chain, "filament", 0);
	return tell(chain, site.cathode, err);
}

/* ---- curves ---- */

typedef struct curves {
	const rw_wire *wire;
	rw_hot_wire laws;
	int n;
	double *x, *y;
} curves;

static rw_status curves_of(const rw_chain *chain, rw_wire *wire, curves *out, rw_error *err)
{
	rw_filament_site site = site_of(chain);
	if (site.cathode == RW_CATHODE_OXIDE)
		return RW_RAISE(err, RW_E_NOSOLVE, "filament.start", "an oxide cathode's heater is not modelled over time");
	rw_filament_wire(rw_chain_in(chain, "filament", 0), rw_chain_set(chain, "filament", 0), &chain->base->tungsten, wire);
	out->wire = wire;
	out->laws = rw_wire_laws(wire);
	return RW_OK;
}

static void keep(void *context, int k, double time, double current, double temperature)
{
	curves *c = context;
	c->x[k] = time;
	c->y[k] = current;
	c->y[c->n + k] = current * c->laws.resistance(c->wire, temperature);
	c->y[2 * c->n + k] = temperature;
}

rw_status rw_filament_start_series(const rw_chain *chain, int scase, int n, double *x, double *y, rw_error *err)
{
	rw_wire wire;
	curves c = {.n = n, .x = x, .y = y};
	const rw_filament_set *set = rw_chain_set(chain, "filament", 0);
	double frequency = site_of(chain).mains_frequency;
	rw_feed feed = rw_filament_feed(rw_chain_in(chain, "filament", 0), set, frequency, true);
	(void)scase;
	RW_TRY(curves_of(chain, &wire, &c, err));
	return rw_start_sampled(&c.laws, &feed, set->warming_angle, rw_tungsten_cold(&chain->base->tungsten), 5.0 / frequency, n, keep, &c, err);
}

/* By the rms current, to half as long again as it takes to 90 %. */
rw_status rw_filament_heating_series(const rw_chain *chain, int scase, int n, double *x, double *y, rw_error *err)
{
	rw_wire wire;
	curves c = {.n = n, .x = x, .y = y};
	const rw_filament_in *in = rw_chain_in(chain, "filament", 0);
	const rw_filament_set *set = rw_chain_set(chain, "filament", 0);
	double frequency = site_of(chain).mains_frequency, temperature = rw_tungsten_cold(&chain->base->tungsten), at = 0.0;
	bool resistor = in->start_resistor > 0.0;
	(void)scase;
	RW_TRY(curves_of(chain, &wire, &c, err));
	for (int k = 0; k < n; k++) {
		double to = 1.5 * set->heat_time * k / (n - 1);
		for (bool there = false; !there;) {   /* to the sample, by way of the bypass when it lies between */
			bool in_circuit = resistor && at < set->bypass_at_time;
			double step_to = in_circuit ? fmin(to, set->bypass_at_time) : to;
			rw_feed feed = rw_filament_feed(in, set, frequency, in_circuit);
			rw_warmed warm;
			RW_TRY(rw_warm_up(&c.laws, &feed, temperature, 0.0, step_to - at, &warm, err));
			there = step_to >= to;
			at = step_to;
			temperature = warm.temperature;
		}
		rw_feed feed = rw_filament_feed(in, set, frequency, resistor && at < set->bypass_at_time);
		keep(&c, k, at, rw_feed_current(&feed, c.laws.resistance(&wire, temperature)), temperature);
	}
	return RW_OK;
}
