#include "chain/duty.h"

#include <math.h>

#include "chain/faults.h"
#include "chain/line.h"

double rw_duty_work_time(const rw_chain *chain, int job)
{
	const rw_work_in *work = rw_chain_in(chain, "work", job);
	const rw_work_set *set = &chain->loads[job].set;
	double time = work->motion == RW_MOTION_SCAN ? set->scan_time : set->heating_time;
	bool tells = work->kind != RW_WORK_MEASURED && work->kind != RW_WORK_DUMMY;
	return tells && time > 0.0 ? time : 0.0;
}

rw_status rw_duty_stage_choose(rw_chain *chain, rw_error *err)
{
	rw_mains_in *mains = rw_chain_in(chain, "mains", 0);
	rw_mains_choose_constants(mains);
	for (int j = 0; j < chain->full->n_jobs; j++) {
		chain->job_at_fault = j;
		RW_TRY(rw_duty_choose(rw_chain_in(chain, "duty", j), rw_duty_work_time(chain, j), mains->starts_per_year, err));
	}
	rw_chain_mark_filled(chain, "mains", NULL);
	rw_chain_mark_filled(chain, "duty", NULL);
	return RW_OK;
}

/* ---- what stands on the valve between the shots ---- */

static double valves_of(const rw_chain *chain) { return ((const rw_oscillator_set *)rw_chain_set(chain, "oscillator", 0))->valves; }

static bool stands(int keying) { return keying != RW_KEYING_CONTACTOR && keying != RW_KEYING_THYRISTORS; }

/* The empty coil at the same mains and valve; -1: none, or not solved. */
static int empty_case(const rw_chain *chain, int scase)
{
	const rw_solution *s = chain->solution;
	for (int k = 0; k < s->n_cases; k++)
		if (!s->why_not[k] && s->cases[k].job == s->cases[scase].job && s->cases[k].mains == s->cases[scase].mains &&
		    s->cases[k].valve == s->cases[scase].valve &&
		    ((const rw_case_case *)rw_chain_case(chain, "case", k))->is_empty > 0.0)
			return k;
	return -1;
}

/* Grid at the cathode, no oscillation: as a set that stops, with this case's valve; fully on and without a surge resistor, the most it can be. */
static rw_status grid_at_cathode(const rw_chain *chain, int scase, double *voltage, double *current, rw_error *err)
{
	rw_stopped_problem problem = rw_fault_problem(chain, ((const rw_supply_case *)rw_chain_case(chain, "supply", scase))->source_factor);
	rw_stopped s;
	problem.law = rw_line_law(chain, scase);
	problem.series_resistance = 0.0;
	RW_TRY(rw_fault_stopped(&problem, &s, err));
	*voltage = s.voltage_dc;
	*current = s.current_dc / problem.valves;
	return RW_OK;
}

/* Filament's share and given heats, which do not rest. */
static double steady_heat(const rw_chain *chain, bool *valve_cooled)
{
	const rw_water_in *in = rw_chain_in(chain, "water", 0);
	const rw_filament_set *filament = rw_chain_set(chain, "filament", 0);
	double heat = 0.0;
	*valve_cooled = false;
	for (int b = 0; b < in->n_branches; b++) {
		if (in->branches[b].takes == RW_TAKES_GIVEN)
			heat += in->branches[b].heat;
		if (in->branches[b].takes == RW_TAKES_VALVE) {
			heat += valves_of(chain) * in->filament_share * filament->power;
			*valve_cooled = true;
		}
	}
	return heat;
}

static rw_status rest_of(const rw_chain *chain, int scase, int keying, rw_duty_around *a, rw_error *err)
{
	bool cooled;
	int empty = empty_case(chain, scase);
	a->resting_water_heat = steady_heat(chain, &cooled);
	a->resting_anode_current_dc = 0.0;
	a->resting_voltage_dc = a->standing ? ((const rw_supply_case *)rw_chain_case(chain, "supply", scase))->no_load_voltage_dc : 0.0;
	if (!a->standing)
		return RW_OK;
	if (keying == RW_KEYING_GRID_SHORTED) {
		RW_TRY(grid_at_cathode(chain, scase, &a->resting_voltage_dc, &a->resting_anode_current_dc, err));
		a->resting_water_heat += cooled ? a->valves * a->resting_voltage_dc * a->resting_anode_current_dc : 0.0;
	} else if (keying == RW_KEYING_DETUNED) {
		int rest = empty >= 0 ? empty : scase;   /* nothing else is known: as in the shot */
		const rw_oscillator_case *o = rw_chain_case(chain, "oscillator", rest);
		a->resting_voltage_dc = o->anode_voltage_dc;
		a->resting_anode_current_dc = o->anode_current_dc;
		a->resting_water_heat = ((const rw_water_case *)rw_chain_case(chain, "water", rest))->heat;
	}
	return RW_OK;
}

static rw_status rate_case(const rw_chain *chain, int scase, rw_error *err)
{
	const rw_supply_case *supply = rw_chain_case(chain, "supply", scase);
	const rw_mains_in *mains = rw_chain_in(chain, "mains", 0);
	const rw_filament_set *filament = rw_chain_set(chain, "filament", 0);
	const rw_duty_in *in = rw_chain_in(chain, "duty", chain->solution->cases[scase].job);
	rw_duty_around a = {
	    .standing = stands(mains->keying) && in->pattern == RW_PATTERN_SHOTS, .valves = valves_of(chain),
	    .bleeder_resistance = ((const rw_protection_in *)rw_chain_in(chain, "protection", 0))->bleeder_resistance,
	    .current_dc = supply->current_dc, .secondary_current_rms = supply->secondary_current_rms, .mains_current_rms = supply->mains_current_rms,
	    .diode_loss = supply->diode_loss, .iron_loss = ((const rw_supply_set *)rw_chain_set(chain, "supply", 0))->iron_loss,
	    .mains_power = supply->mains_power, .water_heat = ((const rw_water_case *)rw_chain_case(chain, "water", scase))->heat,
	    .steady_current_rms = ((const rw_mains_set *)rw_chain_set(chain, "mains", 0))->filament_current_rms + mains->auxiliary_current_rms,
	};
	a.filament_power = a.valves * (filament->power + filament->series_loss);
	RW_TRY(rest_of(chain, scase, mains->keying, &a, err));
	rw_duty_case_solve(in, rw_chain_set(chain, "duty", chain->solution->cases[scase].job), &a, rw_chain_case(chain, "duty", scase));
	return RW_OK;
}

rw_status rw_duty_rate(rw_chain *chain, int job, rw_error *err)
{
	const rw_solution *s = chain->solution;
	const rw_mains_in *mains = rw_chain_in(chain, "mains", 0);
	rw_duty_set_solve(rw_chain_in(chain, "duty", job), rw_duty_work_time(chain, job), mains->transformer_time_constant,
	                  mains->breaker_time_constant, mains->keying == RW_KEYING_CONTACTOR, mains->starts_per_year, mains->contactor_life,
	                  rw_chain_set(chain, "duty", job));
	rw_chain_set_done(chain, "duty", job);
	for (int k = 0; k < s->n_cases; k++)
		if (!s->why_not[k] && s->cases[k].job == job) {
			RW_TRY(rate_case(chain, k, err));
			rw_chain_case_done(chain, "duty", k);
		}
	return RW_OK;
}

/* ---- the mains side ---- */

static void settle_mains(rw_chain *chain)
{
	const rw_site_in *site = rw_chain_in(chain, "site", 0);
	const rw_cases_in *cases = rw_chain_in(chain, "cases", 0);
	const rw_supply_in *supply = rw_chain_in(chain, "supply", 0);
	const rw_supply_set *set = rw_chain_set(chain, "supply", 0);
	rw_mains_around around = {
	    .voltage_rms = site->mains_voltage_rms, .frequency = site->mains_frequency, .low = cases->mains_low, .high = cases->mains_high,
	    .rated_current_rms = set->rated_primary_current_rms, .short_circuit_voltage = supply->short_circuit_voltage,
	    .impedance_tolerance = supply->impedance_tolerance, .transformer_power = supply->rated_power,
	    .secondary_current_rms = set->secondaries * set->rated_secondary_current_rms * supply->secondary_voltage_rms / site->mains_voltage_rms,
	    .fault_level_least = site->fault_level_least, .no_load_voltage_dc = set->nominal_no_load_voltage_dc,
	    .crest_factor = set->no_load_voltage_pk / (set->nominal_no_load_voltage_dc * cases->mains_high), .phase_reactance = set->phase_reactance,
	    .phases = set->resistance_factor, .filter_inductance = supply->filter_inductance, .filter_resistance = supply->filter_resistance,
	    .phase_resistance = set->phase_resistance,
	    .capacitance = ((const rw_protection_set *)rw_chain_set(chain, "protection", 0))->capacitance,
	    .filament_apparent_power = valves_of(chain) *
	                               ((const rw_filament_set *)rw_chain_set(chain, "filament", 0))->apparent_power,
	    .mu = ((const rw_valve_in *)rw_chain_in(chain, "valve", 0))->mu, .angle_controlled = supply->control == RW_CONTROL_THYRISTOR,
	};
	rw_mains_set_solve(rw_chain_in(chain, "mains", 0), &around, rw_chain_set(chain, "mains", 0));
	rw_chain_set_done(chain, "mains", 0);
}

static void size_mains(rw_chain *chain)
{
	const rw_solution *s = chain->solution;
	const rw_supply_in *supply = rw_chain_in(chain, "supply", 0);
	double factor = 0.0, line = 0.0, breaker = 0.0;
	for (int k = 0; k < s->n_cases; k++) {
		const rw_duty_case *c = rw_chain_case(chain, "duty", k);
		if (s->why_not[k])
			continue;
		factor = fmax(factor, fmin(c->transformer_factor, 1.0));   /* nothing is sized on a rest that is heavier than the shot */
		line = fmax(line, fmin(c->line_current_rms, c->shot_line_current_rms));
		breaker = fmax(breaker, fmin(c->breaker_current_rms, c->shot_line_current_rms));
	}
	if (factor > 0.0)   /* else no case was solved: nothing is known to size on */
		rw_mains_choose_parts(rw_chain_in(chain, "mains", 0), rw_chain_set(chain, "mains", 0), factor, line, breaker, supply->rated_power,
		    supply->rated_power_step);
	rw_chain_mark_filled(chain, "mains", NULL);
}

/* What the way of keying means, said once where there are shots. */
static const char *const keying_words[] = {
    "the HT contactor makes every shot: the transformer's switch-on current and the swing of the HT past its crest come each time, the contacts wear "
    "by the makes; open, nothing stands on the HT but what the capacitors hold. A welded contact leaves the HT on: the interlock must see it",
    "thyristors before the transformer key the shot: no switch-on current when the angle is run up, the contactor makes only when the set is switched "
    "on; blocked thyristors are no isolation, and one that has failed leaves HT or a direct current in the transformer",
    "a blocking bias keys the shot: the full no-load HT stands on valve and capacitors between the shots, the contactor makes only when the set is "
    "switched on, the HT starts each shot from its no-load volts; a bias that fails starts the power, so it must drop the HT",
    "the grid is shorted to the cathode between the shots: a grid-leak oscillator then has no bias and the valve passes its current at zero grid "
    "volts, all of it loss in the anode; the full HT stands on the set",
    "the tank is detuned between the shots: the valve goes on oscillating about as on the empty coil, HT and RF stand on tank and coil all the time; "
    "the work coil is never dead while the set is on",
};

/* Of thyristors without 'control: primary_thyristor'. */
static const char closing_thyristors[] =
    "thyristors before the transformer key the shot as a switch that only closes: the transformer's switch-on current and the swing of the HT past "
    "its crest come each time, worst moment taken ('supply.control: primary_thyristor' runs the shot up by the angle), the contactor makes only when "
    "the set is switched on; blocked thyristors are no isolation, and one that has failed leaves HT or a direct current in the transformer";

rw_status rw_duty_follow(rw_chain *chain, rw_error *err)
{
	const rw_mains_in *mains = rw_chain_in(chain, "mains", 0);
	bool shots = false;
	settle_mains(chain);
	for (int j = 0; j < chain->full->n_jobs; j++) {
		RW_TRY(rw_duty_rate(chain, j, err));
		shots = shots || ((const rw_duty_in *)rw_chain_in(chain, "duty", j))->pattern == RW_PATTERN_SHOTS;
	}
	size_mains(chain);
	const char *words = keying_words[mains->keying];
	if (mains->keying == RW_KEYING_THYRISTORS && ((const rw_supply_in *)rw_chain_in(chain, "supply", 0))->control != RW_CONTROL_THYRISTOR)
		words = closing_thyristors;
	return shots ? rw_chain_note(chain, "mains.keying", RW_NO_CASE, err, "Keying: %s", words) : RW_OK;
}
