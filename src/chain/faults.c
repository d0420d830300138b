#include "chain/faults.h"

#include <math.h>

#include "chain/line.h"

static const double ohm_open = 1e9, ohm_shorted = 1e-6;   /* at the coil: far beyond and far under any part of the tank */

rw_status rw_fault_stage_choose(rw_chain *chain, rw_error *err)
{
	const rw_valve_in *valve = rw_chain_in(chain, "valve", 0);
	RW_TRY(rw_fault_choose(rw_chain_in(chain, "fault", 0), valve->anode_dissipation_max, err));
	rw_chain_mark_filled(chain, "fault", NULL);
	return RW_OK;
}

/* ---- not oscillating ---- */

rw_stopped_problem rw_fault_problem(const rw_chain *chain, double factor)
{
	const rw_protection_in *protection = rw_chain_in(chain, "protection", 0);
	const rw_valve_in *valve = rw_chain_in(chain, "valve", 0);
	return (rw_stopped_problem){   /* new valves: a worn one draws less */
	    .law = rw_valve_law_of(valve, chain->valve_points), .valves = rw_tank_sides(rw_chain_in(chain, "tank", 0)) * valve->parallel,
	    .supply = rw_chain_in(chain, "supply", 0), .supply_set = rw_chain_set(chain, "supply", 0),
	    .bleeder_resistance = protection->bleeder_resistance, .series_resistance = rw_protection_series(protection), 
	    .mains_factor = factor, .current_limit_dc = (double)INFINITY,
	};
}

static rw_status static_at(const rw_chain *chain, double factor, double *voltage, double *current, double *loss, double *total, rw_error *err)
{
	rw_stopped_problem problem = rw_fault_problem(chain, factor);
	rw_stopped s;
	RW_TRY(rw_fault_stopped(&problem, &s, err));
	*voltage = s.voltage_dc;
	*current = s.current_dc;
	*loss = s.loss;
	*total = s.supply_current_dc;
	return RW_OK;
}

static rw_status mains_current(const rw_chain *chain, double factor, double total, double *current_rms, rw_error *err)
{
	const rw_site_in *site = rw_chain_in(chain, "site", 0);
	const rw_cases_in *cases = rw_chain_in(chain, "cases", 0);
	rw_mains mains = {site->mains_voltage_rms, site->mains_frequency, cases->mains_high, site->fault_level_greatest, site->fault_level_least,
	    cases->mains_low};
	rw_supply_case supply;
	RW_TRY(rw_supply_at(rw_chain_in(chain, "supply", 0), rw_chain_set(chain, "supply", 0), &mains, factor, total, &supply, err));
	*current_rms = supply.mains_current_rms;
	return RW_OK;
}

static rw_status at_limit(const rw_chain *chain, double factor, rw_fault_set *out, rw_error *err)
{
	const rw_supply_in *supply = rw_chain_in(chain, "supply", 0);
	rw_stopped_problem problem = rw_fault_problem(chain, factor);
	rw_stopped s;
	out->current_limited = 0.0;
	out->stopped_loss = out->stopped_loss_high;
	if (isnan(supply->current_limit_dc))
		return RW_OK;
	problem.current_limit_dc = supply->current_limit_dc;
	RW_TRY(rw_fault_stopped(&problem, &s, err));
	if (!s.limited)
		return RW_OK;
	out->current_limited = 1.0;
	out->limited_voltage_dc = s.voltage_dc;
	out->limited_current_dc = s.current_dc;
	out->limited_loss = s.loss;
	out->stopped_loss = s.loss;
	return RW_OK;
}

static rw_status not_oscillating(const rw_chain *chain, rw_fault_set *out, rw_error *err)
{
	const rw_cases_in *cases = rw_chain_in(chain, "cases", 0);
	const rw_fault_in *in = rw_chain_in(chain, "fault", 0);
	double total;
	RW_TRY(static_at(chain, cases->mains_low, &out->stopped_voltage_low, &out->stopped_current_low, &out->stopped_loss_low, &total, err));
	RW_TRY(static_at(chain, cases->mains_nominal, &out->stopped_voltage_nominal, &out->stopped_current_nominal, &out->stopped_loss_nominal, &total,
	    err));
	RW_TRY(static_at(chain, cases->mains_high, &out->stopped_voltage_high, &out->stopped_current_high, &out->stopped_loss_high, &total, err));
	RW_TRY(mains_current(chain, cases->mains_high, total, &out->stopped_mains_current_rms, err));
	RW_TRY(at_limit(chain, cases->mains_high, out, err));
	out->anode_bears_time = in->anode_energy / out->stopped_loss;
	return RW_OK;
}

/* ---- phase missing, bleeder and choke open ---- */

static rw_status phases(const rw_chain *chain, rw_fault_set *out, rw_error *err)
{
	const rw_supply_in *supply = rw_chain_in(chain, "supply", 0);
	const rw_windings windings = {supply->connection, supply->primary_winding,
	    supply->connection == RW_CONNECT_BRIDGE ? supply->secondary_winding : RW_WINDING_STAR};
	rw_phase primary, secondary;
	RW_TRY(rw_phase_missing(&windings, RW_LOST_PRIMARY_LINE, &primary, err));
	RW_TRY(rw_phase_missing(&windings, RW_LOST_SECONDARY_LINE, &secondary, err));
	out->primary_line_share = primary.mean_share;
	out->primary_line_ripple = primary.ripple;
	out->primary_line_current = primary.line_share;
	out->secondary_line_share = secondary.mean_share;
	out->secondary_line_ripple = secondary.ripple;
	out->secondary_line_current = secondary.line_share;
	out->phase_greatest_share = fmax(primary.mean_share, secondary.mean_share);
	return RW_OK;
}

static void opens(const rw_chain *chain, rw_fault_set *out)
{
	const rw_protection_in *protection = rw_chain_in(chain, "protection", 0);
	const rw_protection_set *stored = rw_chain_set(chain, "protection", 0);
	const rw_tank_in *tank = rw_chain_in(chain, "tank", 0);
	const rw_fault_in *in = rw_chain_in(chain, "fault", 0);
	rw_earthing e = rw_fault_earthing(stored->voltage_dc, stored->capacitance, in->earthing_resistance, protection->safe_voltage_dc);
	out->earthing_current_pk = e.current_pk;
	out->earthing_time_constant = e.time_constant;
	out->earthing_time = e.time;
	out->earthing_energy = e.energy;
	if (tank->feed != RW_FEED_SHUNT)
		return;
	out->choke_voltage_dc = stored->voltage_dc;
	out->choke_energy = 0.5 * rw_tank_ht_capacitance(tank) * stored->voltage_dc * stored->voltage_dc;
}

/* Greatest swing with the coil empty over the greatest loaded; open where a case is not solved or no coil can be empty. */
static void empty_swing(const rw_chain *chain, rw_fault_set *out)
{
	double empty = 0.0, loaded = 0.0;
	for (int k = 0; k < chain->solution->n_cases; k++) {
		if (chain->solution->why_not[k])
			return;
		double swing = ((const rw_oscillator_case *)rw_chain_case(chain, "oscillator", k))->anode_swing_pk;
		if (((const rw_case_case *)rw_chain_case(chain, "case", k))->is_empty == 1.0)
			empty = fmax(empty, swing);
		else
			loaded = fmax(loaded, swing);
	}
	if (empty > 0.0 && loaded > 0.0)
		out->empty_voltage_share = empty / loaded;
}

/* ---- the load circuit ---- */

static double worse(double share, double figure, double rating) { return isnan(rating) || isnan(figure) ? share : fmax(share, figure / rating); }

static double voltage_share(const rw_tank_in *tank, const rw_tank_case *c)
{
	double share = 0.0;
	for (int k = 0; k < tank->n_capacitors; k++)
		share = worse(share, c->capacitors[k].voltage_pk, tank->capacitors[k].voltage_pk_max);
	return share;
}

static double capacitor_share(const rw_tank_in *tank, const rw_tank_case *c)
{
	double share = voltage_share(tank, c);
	for (int k = 0; k < tank->n_capacitors; k++) {
		share = worse(share, c->capacitors[k].current_rms, tank->capacitors[k].current_rms_max);
		share = worse(share, c->capacitors[k].reactive, tank->capacitors[k].reactive_max);
	}
	return share;
}

static rw_status load_at_fault(rw_chain *chain, const rw_line *line, double resistance, rw_load_fault *out, rw_error *err)
{
	const rw_protection_in *protection = rw_chain_in(chain, "protection", 0);
	rw_line_trial t;
	rw_arena_mark mark = rw_arena_here(&chain->work->scratch);
	rw_status status = rw_line_try(chain, line, resistance, line->cases->mains_high, chain->work, &t, err);
	rw_arena_rewind(&chain->work->scratch, mark);
	RW_TRY(status);
	if (t.told)
		out->oscillates = t.oscillates;
	if (!t.told || !t.oscillates)
		return RW_OK;
	*out = (rw_load_fault){
	    .oscillates = 1.0, .frequency = t.oscillator.frequency, .anode_voltage_dc = t.oscillator.anode_voltage_dc,
	    .anode_swing_pk = t.oscillator.anode_swing_pk, .anode_current_dc = t.oscillator.anode_current_dc,
	    .grid_current_dc = t.oscillator.grid_current_dc, .anode_loss = t.oscillator.anode_loss, .grid_loss = t.oscillator.grid_loss,
	    .tank_power = t.tank.power, .terminal_current_rms = t.tank.output_current_rms, .inductor_current_rms = t.tank.inductor_current_rms,
	    .capacitor_voltage_pk = t.tank.capacitor_voltage_pk, .capacitor_share = capacitor_share(line->tank, &t.tank),
	    .capacitor_voltage_share = voltage_share(line->tank, &t.tank),
	    .trip_sees = t.oscillator.grid_current_dc >= protection->grid_over_trip,
	};
	return RW_OK;
}

/* Without an output transformer or a coupled secondary the open leads are the tank's own branch: no current, no oscillation. */
static bool branch_opens(const rw_line *line)
{
	return line->tank->coupling == RW_COUPLING_SERIES && line->output->transformer != RW_OUTPUT_FITTED;
}

rw_status rw_load_fault_follow(rw_chain *chain, rw_error *err)
{
	for (int j = 0; j < chain->full->n_jobs; j++) {
		rw_load_fault_set *set = rw_chain_set(chain, "load_fault", j);
		rw_line line;
		chain->job_at_fault = j;
		RW_TRY(rw_line_of(chain, j, &line, err));
		RW_TRY(load_at_fault(chain, &line, ohm_shorted, &set->shorted, err));
		if (branch_opens(&line))
			set->open.oscillates = 0.0;
		else
			RW_TRY(load_at_fault(chain, &line, ohm_open, &set->open, err));
		rw_chain_set_done(chain, "load_fault", j);
	}
	return RW_OK;
}

rw_status rw_fault_follow(rw_chain *chain, rw_error *err)
{
	rw_fault_set *out = rw_chain_set(chain, "fault", 0);
	RW_TRY(not_oscillating(chain, out, err));
	RW_TRY(phases(chain, out, err));
	opens(chain, out);
	empty_swing(chain, out);
	RW_TRY(rw_fault_empty_coil(chain, out, err));
	rw_chain_set_done(chain, "fault", 0);
	return RW_OK;
}
