/* The line rated: one case, from the load state's table to the mains. */
#include "chain/line.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double two_pi = 6.283185307179586476925287;

rw_status rw_line_find_load(const rw_chain *chain, int job, const char *key, const char *name, int *load, rw_error *err)
{
	const char *names[RW_LOADS_MAX];
	int r = rw_registry_find(chain->base->stages->registry, "work"), n = rw_design_elements(chain->full, r, 0, job);
	for (int k = 0; k < n; k++) {
		names[k] = rw_line_load_name(chain, job, k);
		if (strcmp(names[k], name) == 0) {
			*load = k;
			return RW_OK;
		}
	}
	(void)RW_RAISE(err, RW_E_VALUE, key, "'%s' is not a load state of job '%s'", name, chain->full->job_names[job]);
	if (!rw_text_expect(err, name, names, n))
		rw_error_hint(err, "write the name of one of its load states");
	return RW_E_VALUE;
}

const char *rw_line_load_name(const rw_chain *chain, int job, int load)
{
	int r = rw_registry_find(chain->base->stages->registry, "work");
	return chain->full->part[r][job].names[0][load];
}

rw_status rw_line_of(const rw_chain *chain, int job, rw_line *out, rw_error *err)
{
	rw_line line = {
	    .generator = rw_chain_in(chain, "generator", 0), .site = rw_chain_in(chain, "site", 0), .cases = rw_chain_in(chain, "cases", 0),
	    .valve = rw_chain_in(chain, "valve", 0), .oscillator = rw_chain_in(chain, "oscillator", 0), .tank = rw_chain_in(chain, "tank", 0),
	    .supply = rw_chain_in(chain, "supply", 0), .protection = rw_chain_in(chain, "protection", 0),
	        .filament = rw_chain_in(chain, "filament", 0),
	    .work = rw_chain_in(chain, "work", job), .leads = rw_chain_in(chain, "leads", job), .job = job,
	};
	for (int k = 0; k < line.work->n_loads; k++) {
		line.load[k] = rw_design_table(chain->full, line.work->loads[k].impedance);
		line.load_name[k] = rw_line_load_name(chain, job, k);
	}
	RW_TRY(rw_line_find_load(chain, job, "work.empty", line.work->empty, &line.empty, err));
	*out = line;
	return RW_OK;
}

rw_mains rw_line_mains(const rw_line *line)
{
	return (rw_mains){line->site->mains_voltage_rms, line->site->mains_frequency, line->cases->mains_high};
}

rw_tank_valve rw_line_valve(const rw_valve_in *valve)
{
	return (rw_tank_valve){valve->anode_grid_capacitance, valve->grid_cathode_capacitance, valve->anode_cathode_capacitance};
}

rw_status rw_line_impedance(const rw_line *line, int load, double frequency, rw_impedance *out, rw_error *err)
{
	rw_status status = rw_impedance_at(line->load[load], frequency, out, err);
	if (status != RW_OK && err)
		snprintf(err->key, sizeof err->key, "work.loads.%s", line->load_name[load]);
	return status;
}

rw_status rw_line_load_at(const rw_line *line, int load, double frequency, rw_tank_load *out, rw_error *err)
{
	rw_impedance z;
	rw_leads_case leads;
	RW_TRY(rw_line_impedance(line, load, frequency, &z, err));
	RW_TRY(rw_leads_solve(line->leads, line->generator->frequency, frequency, 1.0, &leads, err));
	*out = (rw_tank_load){z.resistance + leads.effective_resistance, z.reactance + two_pi * frequency * line->leads->inductance};
	return RW_OK;
}

typedef struct tuning_context { const rw_line *line; int load; } tuning_context;

static rw_status load_at(void *context, double frequency, rw_tank_load *load, rw_error *err)
{
	const tuning_context *c = context;
	return rw_line_load_at(c->line, c->load, frequency, load, err);
}

rw_status rw_line_tune(const rw_line *line, int load, rw_work *work, rw_tank_tuning *tuning, rw_error *err)
{
	double low, high, empty_low, empty_high;
	rw_impedance_span(line->load[load], &low, &high);
	rw_impedance_span(line->load[line->empty], &empty_low, &empty_high);
	tuning_context c = {line, load};
	rw_tank_valve valve = rw_line_valve(line->valve);
	rw_status status = rw_tank_tune(line->tank, &valve, load_at, &c, fmax(low, empty_low), fmin(high, empty_high), work, tuning, err);
	if (status == RW_E_NOSOLVE && err)
		snprintf(err->key, sizeof err->key, "work.loads.%s", line->load_name[load]);   /* the state that finds no resonance */
	return status;
}

typedef struct supply_context {
	const rw_line *line;
	const rw_supply_set *set;
	double factor;
} supply_context;

/* Anode volts at an anode current: the bleeder's current is the supply's too. The loop contracts by source over bleeder resistance. */
static rw_status supply_volts(void *context, double current_dc, double *voltage_dc, rw_error *err)
{
	const supply_context *c = context;
	double voltage = c->set->nominal_no_load_voltage_dc * c->factor;
	for (int turn = 0; turn < 30; turn++) {
		double next;
		double total = rw_tank_valves(c->line->tank) * current_dc + voltage / c->line->protection->bleeder_resistance;
		rw_status status = rw_supply_voltage(c->line->supply, c->set, c->factor, total, &next, err);
		if (status == RW_E_RANGE) {   /* more than it gives into a short: on the way to the balance no fault, only no volts */
			*voltage_dc = 0.0;
			return RW_OK;
		}
		RW_TRY(status);
		bool settled = fabs(next - voltage) <= 1e-14 * fabs(next);
		voltage = next;
		if (settled)
			break;
	}
	*voltage_dc = voltage;
	return RW_OK;
}

static void fill_coil(const rw_impedance *z, const rw_impedance *empty, double current, rw_coil_case *out)
{
	double power = current * current;
	*out = (rw_coil_case){
	    .resistance = z->resistance, .reactance = z->reactance, .resistance_empty = empty->resistance, .inductance = z->inductance,
	    .current_rms = current, .voltage_rms = current * hypot(z->resistance, z->reactance), .power = power * z->resistance,
	    .loss = power * empty->resistance, .efficiency = 1.0 - empty->resistance / z->resistance, .reactive_power = power * z->reactance,
	};
}

static double at_plane(const rw_chain *chain, int plane, int scase)
{
	const rw_tank_case *tank = rw_chain_case(chain, "tank", scase);
	const rw_coil_case *coil = rw_chain_case(chain, "coil", scase);
	const rw_output_case *output = rw_chain_case(chain, "output", scase);
	const rw_work_case *work = rw_chain_case(chain, "work", scase);
	switch (plane) {
	case RW_PLANE_ANODE:     return tank->power;
	case RW_PLANE_TERMINALS: return output->power;
	case RW_PLANE_COIL:      return coil->power;
	default:                 return work->heat;
	}
}

static const char *const case_rooms[] = {"protection", "supply", "oscillator", "tank", "output", "leads", "coil", "work"};

/* Several balances: all of them said, with which are stable. */
static void tell_amplitudes(const rw_chain *chain, int scase, const rw_oscillator_scan *scan)
{
	char *text = chain->solution->why_text[scase];
	size_t room = sizeof chain->solution->why_text[scase];
	snprintf(text, room, "balances at %d amplitudes; the first stable one is shown:", scan->n);
	for (int i = 0; i < scan->n; i++) {
		size_t n = strlen(text);
		snprintf(text + n, room - n, "%s %.3g kV %s", i ? "," : "", scan->at[i].swing_pk / 1e3, scan->at[i].stable ? "stable" : "unstable");
	}
}

static void not_oscillating(const rw_chain *chain, int scase, const rw_error *why)
{
	char *text = chain->solution->why_text[scase];
	snprintf(text, sizeof chain->solution->why_text[scase], "%s", why->what);
	chain->solution->why_not[scase] = text;
}

/* What the case is, before anything is solved in it. */
static double name_case(rw_chain *chain, const rw_line *line, int scase)
{
	const rw_case_name *name = &chain->solution->cases[scase];
	const double factors[] = {line->cases->mains_low, line->cases->mains_nominal, line->cases->mains_high};
	rw_case_case *this = rw_chain_case(chain, "case", scase);
	this->mains_factor = factors[name->mains];
	this->is_nominal = name->mains == 1;
	this->is_empty = name->load == line->empty;
	this->is_design_load = strcmp(line->generator->design_load, name->load_name) == 0 &&
	                       strcmp(line->generator->design_job, chain->full->job_names[name->job]) == 0;
	this->is_job_load = name->load == chain->judged_load[name->job];
	rw_chain_case_done(chain, "case", scase);
	return this->mains_factor;
}

static rw_status less_than_empty(const rw_line *line, int load, double frequency, const rw_impedance *z, const rw_impedance *empty,
    rw_error *err)
{
	char key[64];
	snprintf(key, sizeof key, "work.loads.%s", line->load_name[load]);
	(void)RW_RAISE(err, RW_E_RANGE, key, "load state '%s' has less resistance than the empty coil at %.4g kHz: %.4g ohm, %.4g ohm",
	    line->load_name[load], frequency / 1e3, z->resistance, empty->resistance);
	rw_error_expected(err, "a load state in which the work takes heat");
	rw_error_hint(err, "check its table and that of '%s'", line->load_name[line->empty]);
	return RW_E_RANGE;
}

/* What follows from the balance: stresses, coil, work, leads, mains. */
static rw_status rate_around(rw_chain *chain, const rw_line *line, int scase, const rw_tank_tuning *tuning, double factor, rw_work *work,
    rw_error *err)
{
	int load_state = chain->solution->cases[scase].load;
	const rw_oscillator_case *oscillator = rw_chain_case(chain, "oscillator", scase);
	rw_tank_load load;
	rw_impedance z, empty;
	rw_tank_case *tank = rw_chain_case(chain, "tank", scase);
	RW_TRY(rw_line_load_at(line, load_state, tuning->frequency, &load, err));
	rw_tank_valve valve = rw_line_valve(line->valve);
	RW_TRY(rw_tank_solve(line->tank, &valve, &load, tuning, oscillator->anode_swing_pk, oscillator->anode_voltage_dc, work, tank, err));
	RW_TRY(rw_line_impedance(line, load_state, tuning->frequency, &z, err));
	RW_TRY(rw_line_impedance(line, line->empty, tuning->frequency, &empty, err));
	if (z.resistance < empty.resistance)
		return less_than_empty(line, load_state, tuning->frequency, &z, &empty, err);
	double current = tank->output_current_rms;
	*(rw_output_case *)rw_chain_case(chain, "output", scase) = (rw_output_case){load.resistance, load.reactance, current,
	    current * hypot(load.resistance, load.reactance), current * current * load.resistance};
	fill_coil(&z, &empty, current, rw_chain_case(chain, "coil", scase));
	((rw_work_case *)rw_chain_case(chain, "work", scase))->heat = current * current * (z.resistance - empty.resistance);
	RW_TRY(rw_leads_solve(line->leads, line->generator->frequency, tuning->frequency, current,
	    rw_chain_case(chain, "leads", scase), err));
	rw_mains mains = rw_line_mains(line);
	double of_valves = rw_tank_valves(line->tank) * oscillator->anode_current_dc;
	double total = of_valves + oscillator->anode_voltage_dc / line->protection->bleeder_resistance;
	rw_status status = rw_supply_at(line->supply, rw_chain_set(chain, "supply", 0), &mains, factor, total,
	    rw_chain_case(chain, "supply", scase), err);
	if (status == RW_E_RANGE && err && total > 2.0 * of_valves)
		snprintf(err->key, sizeof err->key, "protection.bleeder_resistance");   /* most of the current is the bleeder's */
	RW_TRY(status);
	((rw_protection_case *)rw_chain_case(chain, "protection", scase))->bleeder_loss =
	    oscillator->anode_voltage_dc * oscillator->anode_voltage_dc / line->protection->bleeder_resistance;
	((rw_case_case *)rw_chain_case(chain, "case", scase))->output_at_plane = at_plane(chain, line->generator->plane, scase);
	for (size_t i = 0; i < sizeof case_rooms / sizeof case_rooms[0]; i++)
		rw_chain_case_done(chain, case_rooms[i], scase);
	return RW_OK;
}

rw_status rw_line_rate(rw_chain *chain, int scase, rw_work *work, rw_error *err)
{
	const rw_case_name *name = &chain->solution->cases[scase];
	rw_line line;
	RW_TRY(rw_line_of(chain, name->job, &line, err));
	double factor = name_case(chain, &line, scase);
	rw_tank_tuning tuning;
	RW_TRY(rw_line_tune(&line, name->load, work, &tuning, err));

	const rw_supply_set *supply_set = rw_chain_set(chain, "supply", 0);
	supply_context supply = {&line, supply_set, factor};
	rw_oscillator_problem problem = {
	    .law = rw_valve_law_of(line.valve), .conductance = tuning.conductance, .ratio = tuning.ratio, .frequency = tuning.frequency,
	    .grid_leak = line.oscillator->grid_leak, .supply = supply_volts, .supply_context = &supply,
	    .voltage_scale = supply_set->nominal_no_load_voltage_dc * factor,
	};
	rw_oscillator_scan scan;
	rw_oscillator_case *oscillator = rw_chain_case(chain, "oscillator", scase);
	rw_error why;
	rw_status status = rw_oscillator_solve(&problem, work, &scan, oscillator, &why);
	if (status == RW_E_NOSOLVE) {
		not_oscillating(chain, scase, &why);
		return RW_OK;
	}
	if (status != RW_OK) {
		if (err)
			*err = why;
		return status;
	}

	if (scan.n > 1)
		tell_amplitudes(chain, scase, &scan);
	return rate_around(chain, &line, scase, &tuning, factor, work, err);
}
