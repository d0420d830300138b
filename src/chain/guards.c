/* Meters and trips: readings of every case, then the trips above and below them, then scales, shunts and what they stand in a fault. */
#include <math.h>

#include "chain/faults.h"
#include "chain/followers.h"
#include "chain/line.h"

rw_status rw_meters_stage_choose(rw_chain *chain, rw_error *err)
{
	(void)err;
	rw_meters_choose_places(rw_chain_in(chain, "meters", 0));
	rw_chain_mark_filled(chain, "meters", NULL);
	return RW_OK;
}

static void read_case(rw_chain *chain, int scase)
{
	const rw_oscillator_case *oscillator = rw_chain_case(chain, "oscillator", scase);
	const rw_supply_case *supply = rw_chain_case(chain, "supply", scase);
	const rw_protection_in *protection = rw_chain_in(chain, "protection", 0);
	const rw_oscillator_set *set = rw_chain_set(chain, "oscillator", 0);
	rw_metered currents = {set->valves, oscillator->anode_current_dc, oscillator->grid_current_dc,
	    supply->voltage_dc / protection->bleeder_resistance};
	*(rw_meters_case *)rw_chain_case(chain, "meters", scase) = (rw_meters_case){
	    rw_anode_reading(rw_chain_in(chain, "meters", 0), &currents), oscillator->grid_current_dc, supply->voltage_dc};
	rw_chain_case_done(chain, "meters", scase);
}

static void widen(double *least, double *greatest, double x)
{
	*least = fmin(*least, x);   /* a NAN gives way */
	*greatest = fmax(*greatest, x);
}

/* Readings of all solved cases, and the grid current of the valve that takes most; they stay NAN without any. */
static void gather(rw_chain *chain, rw_meters_set *set, double *grid_greatest)
{
	const rw_solution *s = chain->solution;
	for (int k = 0; k < s->n_cases; k++) {
		if (s->why_not[k])
			continue;
		read_case(chain, k);
		const rw_meters_case *meters = rw_chain_case(chain, "meters", k);
		double frequency = ((const rw_oscillator_case *)rw_chain_case(chain, "oscillator", k))->frequency;
		widen(&set->anode_reading_least, &set->anode_reading_greatest, meters->anode_reading);
		widen(&set->grid_reading_least, &set->grid_reading_greatest, meters->grid_reading);
		widen(&set->voltage_reading_least, &set->voltage_reading_greatest, meters->voltage_reading);
		*grid_greatest = fmax(*grid_greatest, ((const rw_oscillator_case *)rw_chain_case(chain, "oscillator", k))->grid_current_greatest);
		widen(&set->frequency_least, &set->frequency_greatest, frequency);
		if (k != s->design_case)
			continue;
		set->anode_reading_normal = meters->anode_reading;
		set->grid_reading_normal = meters->grid_reading;
		set->voltage_reading_normal = meters->voltage_reading;
		set->frequency_normal = frequency;
	}
}

/* Of all valves when none oscillates, mains low; held to a limit where there is one. */
static double stopped_current(const rw_fault_set *fault)
{
	return fault->current_limited == 1.0 ? fmin(fault->stopped_current_low, fault->limited_current_dc) : fault->stopped_current_low;
}

rw_status rw_guards_follow(rw_chain *chain, rw_error *err)
{
	rw_line line;
	RW_TRY(rw_line_of(chain, 0, &line, err));
	rw_meters_in *in = rw_chain_in(chain, "meters", 0);
	rw_meters_set *set = rw_chain_set(chain, "meters", 0);
	rw_protection_set *protection = rw_chain_set(chain, "protection", 0);
	double grid_greatest = (double)NAN;
	gather(chain, set, &grid_greatest);
	const rw_fault_set *fault = rw_chain_set(chain, "fault", 0);
	double valves = ((const rw_oscillator_set *)rw_chain_set(chain, "oscillator", 0))->valves, metered = in->anode_place == RW_ANODE_CATHODE ? 1.0 : valves;
	rw_trip_facts trips = {set->anode_reading_greatest, grid_greatest, set->grid_reading_least,
	    metered * line.valve->parallel_derating * line.valve->anode_current_max, line.valve->grid_current_max_unloaded, metered / valves * stopped_current(fault),
	    fault->stopped_loss, fault->stopped_loss > line.valve->anode_dissipation_max ? fault->anode_bears_time : (double)INFINITY};
	rw_trips_choose(line.protection, &trips);
	rw_chain_mark_filled(chain, "protection", NULL);
	rw_trips_solve(line.protection, &trips, protection);
	rw_meter_facts facts = {line.protection->anode_over_trip, line.protection->grid_over_trip, protection->voltage_dc,
	    line.filament->voltage_rms, line.filament->current_rms, fmax(protection->fault_current_dc, protection->surge_current_pk)};
	if (!(protection->surge_capacitance > 0.0 && protection->series_resistance > 0.0))
		facts.fault_current = protection->fault_current_dc;
	RW_TRY(rw_meters_choose_scales(in, set, &facts, err));
	rw_chain_mark_filled(chain, "meters", NULL);
	rw_meters_solve(in, &facts, set);
	rw_chain_set_done(chain, "meters", 0);
	return RW_OK;
}
