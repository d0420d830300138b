/* The line rated: one case, from the load state's table to the mains. */
#include "chain/line.h"
#include "chain/cycle.h"
#include "coil/transform.h"

#include <complex.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { HEAT_TURNS = 60, CURRENT_TURNS = 30 };

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
	    .work = rw_chain_in(chain, "work", job), .coil = rw_chain_in(chain, "coil", job), .leads = rw_chain_in(chain, "leads", job),
	    .output = rw_chain_in(chain, "output", job), .settings = rw_chain_in(chain, "settings", job), .valve_points = chain->valve_points,
	    .loads = &chain->loads[job], .empty = -1, .job = job,
	};
	for (int k = 0; k < line.work->n_loads; k++)
		line.load_name[k] = rw_line_load_name(chain, job, k);
	if (line.work->kind != RW_WORK_DUMMY)
		RW_TRY(rw_line_find_load(chain, job, "work.empty", line.work->empty, &line.empty, err));
	*out = line;
	return RW_OK;
}

rw_tank_in rw_line_turned(const rw_line *line)
{
	rw_tank_in tank = *line->tank;
	if (!isnan(line->settings->grid_mutual))
		tank.grid_mutual = line->settings->grid_mutual;
	if (!isnan(line->settings->secondary_mutual))
		tank.secondary_mutual = line->settings->secondary_mutual;
	return tank;
}

rw_supply_setting rw_line_setting(const rw_line *line)
{
	const rw_settings_in *s = line->settings;
	return (rw_supply_setting){isnan(s->ht_ratio) ? 1.0 : s->ht_ratio, isnan(s->firing_angle) ? 0.0 : s->firing_angle};
}

rw_mains rw_line_mains(const rw_line *line)
{
	return (rw_mains){line->site->mains_voltage_rms, line->site->mains_frequency, line->cases->mains_high, line->site->fault_level_greatest,
	    line->site->fault_level_least, line->cases->mains_low};
}

rw_tank_valve rw_line_valve(const rw_valve_in *valve)
{
	double n = valve->parallel;
	return (rw_tank_valve){n * valve->anode_grid_capacitance, n * valve->grid_cathode_capacitance, n * valve->anode_cathode_capacitance};
}

int rw_line_valves(const rw_line *line) { return rw_tank_sides(line->tank) * line->valve->parallel; }

rw_valve_law rw_line_law(const rw_chain *chain, int scase)
{
	const rw_valve_in *valve = rw_chain_in(chain, "valve", 0);
	return chain->solution->cases[scase].valve == RW_WORN_VALVE ? rw_valve_law_worn(valve, chain->valve_points)
	                                                                : rw_valve_law_of(valve, chain->valve_points);
}

rw_status rw_line_impedance(const rw_line *line, int load, double frequency, double current_rms, rw_impedance *out, rw_error *err)
{
	rw_status status = rw_load_impedance(&line->loads->load[load], frequency, current_rms, out, err);
	if (status != RW_OK && err)
		snprintf(err->key, sizeof err->key, "work.loads.%s", line->load_name[load]);
	return status;
}

rw_status rw_line_own(const rw_line *line, int load, double frequency, double resistance, double *own, rw_error *err)
{
	rw_impedance empty;
	*own = 0.0;
	if (line->work->kind == RW_WORK_MEASURED) {
		RW_TRY(rw_line_impedance(line, line->empty, frequency, -1.0, &empty, err));
		*own = empty.resistance;
	} else if (line->work->kind != RW_WORK_DUMMY) {
		*own = resistance;   /* of the empty coil all of it */
		if (load != line->empty)
			RW_TRY(rw_load_own(&line->loads->load[load], frequency, own, err));
	}
	return RW_OK;
}

/* Leads and coil behind the output transformer. */
static rw_status transform(const rw_output_in *output, double frequency, rw_tank_load *load, double *ratio, rw_error *err)
{
	const rw_transform t = {output->ratio, output->primary_inductance, output->coupling, output->primary_q, output->secondary_q};
	double complex z = load->resistance + (double complex)I * load->reactance, seen, current;
	RW_TRY(rw_transform_impedance(&t, frequency, z, &seen, &current, err));
	*load = (rw_tank_load){creal(seen), cimag(seen)};
	*ratio = cabs(current);
	return RW_OK;
}

rw_status rw_line_load_at(const rw_line *line, int load, double frequency, double current_rms, rw_tank_load *out, double *current_ratio,
    rw_error *err)
{
	rw_impedance z;
	rw_leads_case leads;
	RW_TRY(rw_line_impedance(line, load, frequency, current_rms, &z, err));
	RW_TRY(rw_leads_solve(line->leads, line->generator->frequency, frequency, 1.0, &leads, err));
	rw_tank_load load_at = {z.resistance + leads.effective_resistance, z.reactance + two_pi * frequency * line->leads->inductance};
	double ratio = 1.0;
	if (line->output->transformer == RW_OUTPUT_FITTED)
		RW_TRY(transform(line->output, frequency, &load_at, &ratio, err));
	*out = load_at;
	if (current_ratio)
		*current_ratio = ratio;
	return RW_OK;
}

static rw_status no_more_than_empty(const rw_line *line, int load, double frequency, double resistance, double own, rw_error *err)
{
	char key[64];
	snprintf(key, sizeof key, "work.loads.%s", line->load_name[load]);
	(void)RW_RAISE(err, RW_E_RANGE, key, "load state '%s', the one to size on, has no more resistance than the empty coil at %.4g "
	    "kHz: %.4g ohm, %.4g ohm",
	               line->load_name[load], frequency / 1e3, resistance, own);
	rw_error_expected(err, "a load state in which the work takes heat");
	rw_error_hint(err, "check the two tables, or name another state in generator.design_load");
	return RW_E_RANGE;
}

static rw_status not_settled(const rw_line *line, int load, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_NOSOLVE, "coil.current_rms", "the coil's current and the load that follows it do not settle");
	rw_error_expected(err, "a load that changes little with the current");
	rw_error_hint(err, "look at the load state '%s': more heat wanted, or less, moves its reference", line->load_name[load]);
	return RW_E_NOSOLVE;
}

rw_status rw_line_heat_point(const rw_line *line, int load, double frequency, double heat, rw_heat_point *out, rw_error *err)
{
	rw_heat_point p = {.coil_current_rms = -1.0};
	double ratio;
	bool settled = false;
	for (int turn = 0; turn < HEAT_TURNS && !settled; turn++) {
		RW_TRY(rw_line_impedance(line, load, frequency, p.coil_current_rms, &p.coil, err));
		RW_TRY(rw_line_own(line, load, frequency, p.coil.resistance, &p.own_resistance, err));
		double difference = p.coil.resistance - p.own_resistance;
		if (difference <= 0.0)
			return no_more_than_empty(line, load, frequency, p.coil.resistance, p.own_resistance, err);
		double next = sqrt(heat / difference);
		settled = fabs(next - p.coil_current_rms) <= 1e-12 * next || !rw_load_follows_current(&line->loads->load[load]);
		p.coil_current_rms = next;
	}
	if (!settled)
		return not_settled(line, load, err);
	RW_TRY(rw_line_load_at(line, load, frequency, p.coil_current_rms, &p.load, &ratio, err));
	p.output_current_rms = p.coil_current_rms / ratio;
	*out = p;
	return RW_OK;
}

typedef struct tuning_context { const rw_line *line; int load; double current_rms; } tuning_context;

static rw_status load_at(void *context, double frequency, rw_tank_load *load, rw_error *err)
{
	const tuning_context *c = context;
	return rw_line_load_at(c->line, c->load, frequency, c->current_rms, load, NULL, err);
}

rw_status rw_line_tune(const rw_line *line, int load, double current_rms, rw_work *work, rw_tank_tuning *tuning, rw_error *err)
{
	double low, high, empty_low, empty_high;
	rw_load_span(&line->loads->load[load], &low, &high);
	rw_load_span(&line->loads->load[line->empty < 0 ? load : line->empty], &empty_low, &empty_high);
	if (line->work->kind == RW_WORK_DUMMY) {   /* it has no span of its own */
		low = 0.5 * line->generator->frequency;
		high = 2.0 * line->generator->frequency;
	}
	tuning_context c = {line, load, current_rms};
	rw_tank_valve valve = rw_line_valve(line->valve);
	rw_status status = rw_tank_tune(line->tank, &valve, load_at, &c, fmax(low, empty_low), fmin(high, empty_high), work, tuning, err);
	if (status == RW_E_NOSOLVE && err)
		snprintf(err->key, sizeof err->key, "work.loads.%s", line->load_name[load]);   /* the state that finds no resonance */
	return status;
}

/* What one pass found. */
typedef struct pass {
	double coil_current_rms;          /* A the load was taken at; below zero: it does not follow its current */
	rw_tank_tuning tuning;
	rw_status balanced;               /* RW_E_NOSOLVE: it does not oscillate, why says why */
	rw_error why;
	rw_oscillator_scan scan;
	rw_oscillator_case oscillator;
	rw_tank_load load;
	double current_ratio;             /* 1: coil current over terminal current */
	rw_tank_case tank;
	bool counted;                     /* the ripple is */
	rw_cycle cycle;                   /* then */
} pass;

typedef struct supply_context {
	const rw_line *line;
	const rw_supply_set *set;
	double factor, ht_ratio;          /* 1: mains, and the ratio of the HT transformer */
	double control_drop;              /* V */
} supply_context;

/* Anode volts at an anode current: the bleeder's current is the supply's too, and surge and anode resistor stand between supply and anode.
 * The loop contracts by source over bleeder resistance. */
static rw_status supply_volts(void *context, double current_dc, double *voltage_dc, rw_error *err)
{
	const supply_context *c = context;
	double voltage = c->set->nominal_no_load_voltage_dc * c->factor * c->ht_ratio;
	for (int turn = 0; turn < 30; turn++) {
		double next;
		double total = rw_line_valves(c->line) * current_dc + voltage / c->line->protection->bleeder_resistance;
		rw_status status = rw_supply_voltage(c->line->supply, c->set, c->factor * c->ht_ratio, total, &next, err);
		if (status == RW_E_RANGE) {   /* more than it gives into a short: on the way to the balance no fault, only no volts */
			*voltage_dc = 0.0;
			return RW_OK;
		}
		RW_TRY(status);
		next = fmax(next - c->control_drop, 0.0);
		bool settled = fabs(next - voltage) <= 1e-14 * fabs(next);
		voltage = next;
		if (settled)
			break;
	}
	*voltage_dc = fmax(voltage - rw_protection_series(c->line->protection) * rw_line_valves(c->line) * current_dc, 0.0);
	return RW_OK;
}

rw_status rw_line_anode_volts(const rw_line *line, const rw_supply_set *set, double factor, double current_dc, double *voltage_dc, rw_error *err)
{
	supply_context c = {line, set, factor, 1.0, 0.0};
	return supply_volts(&c, current_dc, voltage_dc, err);
}

static void fill_coil(const rw_line *line, const rw_impedance *z, double own, double frequency, double current, rw_coil_case *out)
{
	double power = current * current, square = z->resistance * z->resistance + z->reactance * z->reactance;
	out->resistance = z->resistance;
	out->reactance = z->reactance;
	out->own_resistance = own;
	out->inductance = z->inductance;
	out->current_rms = current;
	out->voltage_rms = current * sqrt(square);
	out->power = power * z->resistance;
	out->loss = power * own;
	if (z->resistance > 0.0)
		out->efficiency = 1.0 - own / z->resistance;
	out->reactive_power = power * z->reactance;
	if (line->coil->kind == RW_COIL_PLATES)
		out->capacitance = -z->reactance / square / (two_pi * frequency);
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

/* Coupled tanks resonate more than once: where else, said once for a job. */
static void tell_resonances(const rw_chain *chain, int scase, const rw_tank_tuning *tuning)
{
	char *text = chain->solution->why_text[scase];
	size_t room = sizeof chain->solution->why_text[scase];
	const rw_case_name *name = &chain->solution->cases[scase];
	if (tuning->n_others == 0 || name->mains != 1 || name->valve != RW_NEW_VALVE || name->load != chain->judged_load[name->job] || text[0])
		return;
	snprintf(text, room, "resonates at %.4g MHz, where it is shown, and at", tuning->frequency / 1e6);
	for (int i = 0; i < tuning->n_others; i++) {
		size_t n = strlen(text);
		snprintf(text + n, room - n, "%s %.4g MHz", i ? "," : "", tuning->others[i] / 1e6);
	}
	size_t n = strlen(text);
	snprintf(text + n, room - n, ": it may start or jump there");
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
	this->is_worn = name->valve == RW_WORN_VALVE;
	this->is_empty = name->load == line->empty;
	this->is_design_load = strcmp(line->generator->design_load, name->load_name) == 0 &&
	                       strcmp(line->generator->design_job, chain->full->job_names[name->job]) == 0;
	this->is_job_load = name->load == chain->judged_load[name->job];
	rw_chain_case_done(chain, "case", scase);
	return this->mains_factor;
}

static rw_status less_than_empty(const rw_line *line, int load, double frequency, double resistance, double own, rw_error *err)
{
	char key[64];
	snprintf(key, sizeof key, "work.loads.%s", line->load_name[load]);
	(void)RW_RAISE(err, RW_E_RANGE, key, "load state '%s' has less resistance than the empty coil at %.4g kHz: %.4g ohm, %.4g ohm",
	    line->load_name[load], frequency / 1e3, resistance, own);
	rw_error_expected(err, "a load state in which the work takes heat");
	rw_error_hint(err, "check its table and that of '%s'", line->load_name[line->empty]);
	return RW_E_RANGE;
}

/* Terminals, leads, coil and work at the current of the terminals. */
static rw_status rate_load(rw_chain *chain, const rw_line *line, int scase, const pass *p, rw_work_case *work, rw_error *err)
{
	int state = chain->solution->cases[scase].load;
	double f = p->tuning.frequency, terminals = p->tank.output_current_rms, current = terminals * p->current_ratio;
	rw_impedance z;
	double own;
	RW_TRY(rw_line_impedance(line, state, f, p->coil_current_rms, &z, err));
	RW_TRY(rw_line_own(line, state, f, z.resistance, &own, err));
	if (z.resistance < own)
		return less_than_empty(line, state, f, z.resistance, own, err);
	rw_output_case *output = rw_chain_case(chain, "output", scase);
	output->resistance = p->load.resistance;
	output->reactance = p->load.reactance;
	output->current_rms = terminals;
	output->voltage_rms = terminals * hypot(p->load.resistance, p->load.reactance);
	output->power = terminals * terminals * p->load.resistance;
	output->current_ratio = p->current_ratio;
	output->loss = 0.0;
	if (line->output->transformer == RW_OUTPUT_FITTED)
		output->loss = terminals * terminals * two_pi * f * line->output->primary_inductance *
		               (1.0 / line->output->primary_q + pow(p->current_ratio / line->output->ratio, 2.0) / line->output->secondary_q);
	rw_coil_case *coil = rw_chain_case(chain, "coil", scase);
	fill_coil(line, &z, own, f, current, coil);
	const rw_coil_body *body = &line->loads->load[state].body;
	RW_TRY(rw_coil_rate(line->coil, body->radius > 0.0 ? body : NULL, &chain->base->medhurst, f, coil, err));
	if (line->loads->load[state].port.f_hi > 0.0)
		coil->port_error = line->loads->load[state].port.error;
	work->heat = current * current * (z.resistance - own);
	work->heat_share = work->heat / line->work->heat_power;
	rw_leads_case *leads = rw_chain_case(chain, "leads", scase);
	RW_TRY(rw_leads_solve(line->leads, line->generator->frequency, f, current, leads, err));
	if (leads->voltage_rms + coil->voltage_rms > 0.0)
		leads->voltage_share = leads->voltage_rms / (leads->voltage_rms + coil->voltage_rms);
	double area = line->coil->plate_length * line->coil->plate_width;
	return rw_work_rate(line->work, &line->loads->set, &line->work->loads[state], state == line->empty, area, coil->voltage_rms, f, work, err);
}

/* The supply at the current of the balance. */
static rw_status rate_supply(rw_chain *chain, const rw_line *line, int scase, double factor, const rw_cycle *cycle, rw_error *err)
{
	rw_oscillator_case *oscillator = rw_chain_case(chain, "oscillator", scase);
	rw_supply_case *supply = rw_chain_case(chain, "supply", scase);
	const rw_supply_setting setting = rw_line_setting(line);
	rw_mains mains = rw_line_mains(line);
	double of_valves = rw_line_valves(line) * oscillator->anode_current_dc, series = rw_protection_series(line->protection);
	double voltage = oscillator->anode_voltage_dc + series * of_valves;
	double total = of_valves + voltage / line->protection->bleeder_resistance;
	rw_status status = rw_supply_controlled(line->supply, rw_chain_set(chain, "supply", 0), &mains, factor, &setting, total,
	    cycle ? &cycle->supply : NULL, supply, err);
	if (status == RW_E_RANGE && err && total > 2.0 * of_valves)
		snprintf(err->key, sizeof err->key, "protection.bleeder_resistance");   /* most of the current is the bleeder's */
	RW_TRY(status);
	rw_supply_light_load(line->supply, rw_chain_set(chain, "supply", 0), factor * setting.ht_ratio, line->protection->bleeder_resistance, supply);
	double square = cycle ? cycle->supply.voltage_rms * cycle->supply.voltage_rms : voltage * voltage;
	*(rw_protection_case *)rw_chain_case(chain, "protection", scase) =
	    (rw_protection_case){square / line->protection->bleeder_resistance, series * of_valves * of_valves};
	double ripple = supply->ripple_rms / supply->voltage_dc;
	oscillator->power_of_means_error = cycle ? oscillator->power_of_means / oscillator->input_power - 1.0 : -ripple * ripple / (1.0 + ripple * ripple);
	return RW_OK;
}

/* How fast valve and tank follow the ripple: what the mean over the cycle stands on. */
static void rate_settling(const rw_line *line, const rw_tank_case *tank, rw_oscillator_case *o)
{
	double capacitance = line->tank->feed == RW_FEED_SHUNT ? line->tank->blocking_capacitance : line->tank->bypass_capacitance;
	double leak = line->oscillator->grid_leak * line->oscillator->grid_capacitance, ring = 2.0 * tank->loaded_q / (two_pi * o->frequency);
	o->settling_time = fmax(fmax(leak, ring), capacitance * o->anode_voltage_dc / (line->valve->parallel * o->anode_current_dc));
	o->settling_share = o->settling_time * rw_supply_pulses(line->supply) * line->site->mains_frequency;
}

/* One pass at a current of the coil: tank tuned, oscillation balanced, tank stressed; again: p holds one at another current. */
static rw_status pass_at(rw_chain *chain, const rw_line *line, int scase, double factor, double coil_current_rms, bool again, rw_work *work,
    pass *p, rw_error *err)
{
	int state = chain->solution->cases[scase].load;
	p->coil_current_rms = coil_current_rms;
	RW_TRY(rw_line_tune(line, state, coil_current_rms, work, &p->tuning, err));
	const rw_supply_set *supply_set = rw_chain_set(chain, "supply", 0);
	const rw_supply_setting setting = rw_line_setting(line);
	supply_context supply = {line, supply_set, factor, setting.ht_ratio, rw_supply_control_drop(line->supply, supply_set, factor, &setting)};
	rw_oscillator_problem problem = {
	    .law = rw_line_law(chain, scase), .conductance = p->tuning.conductance / line->valve->parallel, .ratio = p->tuning.ratio, .frequency = p->tuning.frequency,
	    .grid_leak = line->oscillator->grid_leak, .supply = supply_volts, .supply_context = &supply,
	    .voltage_scale = supply_set->nominal_no_load_voltage_dc * factor * setting.ht_ratio,
	};
	rw_error why;
	p->counted = line->supply->ripple_counted == RW_RIPPLE_CYCLE;
	if (p->counted)
		p->balanced = rw_cycle_solve(line, supply_set, factor, &problem, again, work, &p->scan, &p->oscillator, &p->cycle, &why);
	else
		p->balanced = again ? rw_oscillator_follow(&problem, work, &p->scan, &p->oscillator, &why) :
	                      rw_oscillator_solve(&problem, work, &p->scan, &p->oscillator, &why);
	if (p->balanced == RW_E_NOSOLVE) {
		p->why = why;
		return RW_OK;
	}
	if (p->balanced != RW_OK) {
		if (err)
			*err = why;
		return p->balanced;
	}
	RW_TRY(rw_line_load_at(line, state, p->tuning.frequency, coil_current_rms, &p->load, &p->current_ratio, err));
	rw_tank_valve valve = rw_line_valve(line->valve);
	const rw_oscillator_case *o = &p->oscillator;
	RW_TRY(rw_tank_solve(line->tank, &valve, &p->load, &p->tuning, o->anode_swing_pk, o->anode_voltage_dc, work, &p->tank, err));
	rw_tank_at_crest(line->tank, o->frequency, o->anode_voltage_dc, o->anode_voltage_crest, o->swing_crest_pk / o->anode_swing_pk, &p->tank);
	return RW_OK;
}

static double coil_current(const pass *p) { return p->tank.output_current_rms * p->current_ratio; }

/* A load that follows its current: the balance at the current it makes itself, by secant to 1e-11 of it. */
static rw_status settle_current(rw_chain *chain, const rw_line *line, int scase, double factor, rw_work *work, pass *p, rw_error *err)
{
	int state = chain->solution->cases[scase].load;
	rw_heat_point start;
	RW_TRY(rw_line_heat_point(line, state, line->generator->frequency, line->work->heat_power, &start, err));
	double x0 = start.coil_current_rms, y0, x1, y1;
	RW_TRY(pass_at(chain, line, scase, factor, x0, false, work, p, err));
	if (p->balanced != RW_OK)
		return RW_OK;
	y0 = coil_current(p) - x0;
	x1 = x0 + y0;
	for (int turn = 0; turn < CURRENT_TURNS; turn++) {
		RW_TRY(pass_at(chain, line, scase, factor, x1, true, work, p, err));
		if (p->balanced != RW_OK)
			return RW_OK;
		y1 = coil_current(p) - x1;
		if (fabs(y1) <= 1e-11 * x1 || x1 == x0)
			return RW_OK;
		double slope = (y1 - y0) / (x1 - x0);
		double x2 = slope < -1e-3 ? x1 - y1 / slope : x1 + y1;
		x0 = x1, y0 = y1, x1 = x2;
	}
	return not_settled(line, state, err);
}

/* Is the cycle within the valve's points? */
static rw_status reach(const rw_chain *chain, int scase, const rw_oscillator_case *o, rw_error *err)
{
	const rw_valve_law law = rw_line_law(chain, scase);
	const rw_swing swing = {o->anode_voltage_dc, o->anode_swing_pk, o->grid_bias, o->grid_swing_pk};
	const rw_class_c point = {.anode_half_angle = o->half_angle_of_flow};
	char what[sizeof err->what], title[96];
	rw_status status = rw_valve_points_reach(&law, &swing, &point, err);
	if (status != RW_OK && err) {
		rw_case_title(chain->solution, scase, title, sizeof title);
		snprintf(what, sizeof what, "%s", err->what);
		snprintf(err->what, sizeof err->what, "%.90s: %.160s", title, what);
	}
	return status;
}

/* Ripple counted: which valve takes how much more is told at the crest, and its share holds for the means. */
static void share_as_at_crest(const rw_oscillator_case *crest, rw_oscillator_case *out)
{
	out->sharing = crest->sharing;
	out->anode_current_greatest = out->anode_current_dc * crest->sharing;
	out->anode_loss_greatest = out->anode_loss * (crest->anode_loss_greatest / crest->anode_loss);
	out->grid_current_greatest = out->grid_current_dc * (crest->grid_current_greatest / crest->grid_current_dc);
	out->grid_loss_greatest = out->grid_loss * (crest->grid_loss_greatest / crest->grid_loss);
	out->cathode_current_pk_greatest = crest->cathode_current_pk_greatest;
}

/* The valve that takes most of those that share, and what the valve allows at this frequency. crest: NULL where the ripple is not counted. */
static rw_status rate_valve(const rw_chain *chain, const rw_line *line, int scase, const rw_oscillator_case *crest, rw_oscillator_case *out,
    rw_error *err)
{
	const rw_valve_in *valve = line->valve;
	const rw_valve_law law = rw_line_law(chain, scase);
	const rw_spread spread = {valve->spread_perveance, valve->spread_mu};
	rw_oscillator_case at = crest ? *crest : *out;
	RW_TRY(rw_oscillator_share(&law, line->oscillator->grid_leak, &spread, &at, err));
	if (crest)
		share_as_at_crest(&at, out);
	else
		*out = at;
	out->frequency_derating = rw_valve_derating(valve, out->frequency);
	out->anode_voltage_allowed = out->frequency_derating * valve->anode_voltage_max;
	out->anode_loss_allowed = out->frequency_derating * valve->parallel_derating * valve->anode_dissipation_max;
	return RW_OK;
}

rw_status rw_line_rate(rw_chain *chain, int scase, rw_work *work, rw_error *err)
{
	const rw_case_name *name = &chain->solution->cases[scase];
	rw_line line;
	RW_TRY(rw_line_of(chain, name->job, &line, err));
	rw_tank_in turned = rw_line_turned(&line);
	line.tank = &turned;
	double factor = name_case(chain, &line, scase);
	pass *p = RW_ARENA_NEW(&work->scratch, pass, 1);
	if (!p)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	if (rw_load_follows_current(&line.loads->load[name->load])) {
		rw_error why;
		rw_status status = settle_current(chain, &line, scase, factor, work, p, &why);
		if (status == RW_E_RANGE && strncmp(why.key, "work.loads.", 11) == 0) {   /* so far from the heat wanted nobody knows the load */
			not_oscillating(chain, scase, &why);
			return RW_OK;
		}
		if (status != RW_OK && err)
			*err = why;
		RW_TRY(status);
	} else {
		RW_TRY(pass_at(chain, &line, scase, factor, -1.0, false, work, p, err));
	}
	if (p->balanced != RW_OK) {
		not_oscillating(chain, scase, &p->why);
		return RW_OK;
	}
	RW_TRY(reach(chain, scase, &p->oscillator, err));
	if (p->scan.n > 1)
		tell_amplitudes(chain, scase, &p->scan);
	tell_resonances(chain, scase, &p->tuning);
	RW_TRY(rate_valve(chain, &line, scase, p->counted ? &p->cycle.crest : NULL, &p->oscillator, err));
	*(rw_oscillator_case *)rw_chain_case(chain, "oscillator", scase) = p->oscillator;
	*(rw_tank_case *)rw_chain_case(chain, "tank", scase) = p->tank;
	RW_TRY(rate_load(chain, &line, scase, p, rw_chain_case(chain, "work", scase), err));
	RW_TRY(rate_supply(chain, &line, scase, factor, p->counted ? &p->cycle : NULL, err));
	rate_settling(&line, &p->tank, rw_chain_case(chain, "oscillator", scase));
	((rw_case_case *)rw_chain_case(chain, "case", scase))->output_at_plane = at_plane(chain, line.generator->plane, scase);
	for (size_t i = 0; i < sizeof case_rooms / sizeof case_rooms[0]; i++)
		rw_chain_case_done(chain, case_rooms[i], scase);
	return RW_OK;
}

/* ---- off the cases ---- */

typedef struct given_context { const rw_line *line; double resistance; } given_context;

static rw_status given_load_at(void *context, double frequency, rw_tank_load *load, rw_error *err)
{
	const given_context *c = context;
	rw_leads_case leads;
	double ratio;
	RW_TRY(rw_leads_solve(c->line->leads, c->line->generator->frequency, frequency, 1.0, &leads, err));
	*load = (rw_tank_load){c->resistance + leads.effective_resistance, two_pi * frequency * c->line->leads->inductance};
	return c->line->output->transformer == RW_OUTPUT_FITTED ? transform(c->line->output, frequency, load, &ratio, err) : RW_OK;
}

/* Memory and cancel end the solve; anything else is an answer about the trial. */
static bool is_answer(rw_status status) { return status != RW_OK && status != RW_E_MEMORY && status != RW_E_CANCELLED; }

static rw_status trial_stress(const rw_line *line, given_context *load, rw_work *work, rw_line_trial *out, rw_error *err)
{
	rw_tank_valve valve = rw_line_valve(line->valve);
	rw_tank_load at;
	RW_TRY(given_load_at(load, out->tuning.frequency, &at, err));
	return rw_tank_solve(line->tank, &valve, &at, &out->tuning, out->oscillator.anode_swing_pk, out->oscillator.anode_voltage_dc, work, &out->tank,
	    err);
}

rw_status rw_line_try(const rw_chain *chain, const rw_line *line, double resistance, double factor, rw_work *work, rw_line_trial *out, rw_error *err)
{
	static const double reach = 8.0;   /* times the wanted frequency, to either side */
	given_context load = {line, resistance};
	rw_tank_valve valve = rw_line_valve(line->valve);
	const rw_supply_set *set = rw_chain_set(chain, "supply", 0);
	supply_context supply = {line, set, factor, 1.0, 0.0};   /* the control fully on: a fault asks for no setting */
	rw_oscillator_scan scan;
	double f = line->generator->frequency;
	memset(out, 0, sizeof *out);
	rw_status status = rw_tank_tune(line->tank, &valve, given_load_at, &load, f / reach, f * reach, work, &out->tuning, err);
	if (is_answer(status)) {   /* no resonance whose grid volts are in the right sense */
		out->told = true;
		return RW_OK;
	}
	RW_TRY(status);
	rw_oscillator_problem problem = {
	    .law = rw_valve_law_of(line->valve, line->valve_points), .conductance = out->tuning.conductance / line->valve->parallel, .ratio = out->tuning.ratio,
	    .frequency = out->tuning.frequency,
	    .grid_leak = line->oscillator->grid_leak, .supply = supply_volts, .supply_context = &supply,
	    .voltage_scale = set->nominal_no_load_voltage_dc * factor,
	};
	status = rw_oscillator_solve(&problem, work, &scan, &out->oscillator, err);
	out->oscillates = status == RW_OK;
	out->told = status == RW_OK || (status == RW_E_NOSOLVE && scan.n == 0 && scan.loop_gain <= 1.0);
	if (status == RW_OK)
		status = trial_stress(line, &load, work, out, err);
	out->told = out->told && !(out->oscillates && status != RW_OK);
	return is_answer(status) ? RW_OK : status;
}
