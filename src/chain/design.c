/* The line chosen: open parts by the rules R1 to R9, R12, R14 and R17, from the heat wanted back to the secondary. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/numeric.h"
#include "chain/followers.h"
#include "chain/line.h"

enum { STEPS_MAX = 10, BLEEDER_TURNS = 4 };

static const double two_pi = 6.283185307179586476925287;

static double or_rule(double given, double rule) { return isnan(given) ? rule : given; }

/* What the tank is wanted for. */
typedef struct match { const rw_line *line; rw_tank_want want; } match;

static rw_status tank_power(void *context, double anode_swing_pk, double grid_swing_pk, double *power, rw_error *err)
{
	const match *m = context;
	RW_TRY(rw_tank_power_for(m->line->tank, &m->want, anode_swing_pk, grid_swing_pk, power, err));
	*power /= m->line->valve->parallel;   /* of one side of the tank: its valves share it */
	return RW_OK;
}

static rw_status start_match(const rw_line *line, int load, match *m, rw_error *err)
{
	rw_heat_point point;
	double f = line->generator->frequency;
	RW_TRY(rw_line_heat_point(line, load, f, line->work->heat_power, &point, err));
	*m = (match){line, {.frequency = f, .load = point.load, .output_current_rms = point.output_current_rms}};
	return RW_OK;
}

static void choose_grid(const match *m, const rw_operating_point *point, rw_oscillator_in *osc)
{
	osc->half_angle = or_rule(osc->half_angle, point->half_angle);
	osc->anode_voltage_min = or_rule(osc->anode_voltage_min, rw_round_digits(point->anode_voltage_min, 4));
	osc->grid_leak = or_rule(osc->grid_leak, rw_round_e24(-point->swing.grid_bias / point->currents.grid_current_dc));
	osc->grid_capacitance = or_rule(osc->grid_capacitance, rw_round_digits(10.0 / (two_pi * m->want.frequency * osc->grid_leak), 2));
}

/* Without grid current no leak can make the bias. */
static rw_status no_grid_current(bool given, double anode_voltage, double voltage_max, rw_error *err)
{
	const char *key = given ? "oscillator.anode_voltage" : "work.heat_power";
	(void)RW_RAISE(err, RW_E_NOSOLVE, key, "at %.4g kV the valve is driven so lightly that no grid current flows to make the bias",
	    anode_voltage / 1e3);
	rw_error_expected(err, "power for which the grid is driven positive; anode volts are mostly 80 %% of the valve's greatest, %.4g kV",
	    voltage_max / 1e3);
	rw_error_hint(err, "less anode volts, a smaller valve, or more heat in the work");
	return RW_E_NOSOLVE;
}

static rw_status size_on(const rw_line *line, int load, rw_work *work, rw_operating_point *point, rw_error *err)
{
	const rw_valve_in *valve = line->valve;
	rw_oscillator_in *osc = line->oscillator;
	match m;
	bool volts_given = !isnan(osc->anode_voltage);
	if (isnan(osc->anode_voltage) && 0.8 * valve->anode_voltage_max < 100.0) {
		(void)RW_RAISE(err, RW_E_RANGE, "valve.anode_voltage_max", "rule R2 takes 0.8 of %.4g V down to whole 100 V, which leaves nothing",
		    valve->anode_voltage_max);
		rw_error_expected(err, "125 V or more, or 'oscillator.anode_voltage' given");
		rw_error_hint(err, "check the unit");
		return RW_E_RANGE;
	}
	osc->anode_voltage = or_rule(osc->anode_voltage, floor(0.8 * valve->anode_voltage_max / 100.0 + 1e-9) * 100.0);
	RW_TRY(start_match(line, load, &m, err));
	rw_valve_law law = rw_valve_law_of(valve, line->valve_points);
	rw_oscillator_targets targets = {osc->anode_voltage, osc->half_angle, osc->anode_voltage_min,
	    valve->parallel_derating * valve->anode_dissipation_max, valve->grid_current_max};
	RW_TRY(rw_oscillator_design(&law, &targets, tank_power, &m, point, err));
	if (!(point->currents.grid_current_dc > 0.0))
		return no_grid_current(volts_given, osc->anode_voltage, valve->anode_voltage_max, err);
	rw_tank_valve own = rw_line_valve(valve);
	RW_TRY(rw_tank_choose(line->tank, &own, &m.want, point->swing.anode_swing_pk, point->swing.grid_swing_pk, work, err));
	choose_grid(&m, point, osc);
	return RW_OK;
}

/* The load state of least anode load resistance with the parts as they stand. */
static int heaviest(const rw_line *line, rw_work *work)
{
	int best = -1;
	double most = 0.0;
	for (int k = 0; k < line->work->n_loads; k++) {
		rw_tank_tuning tuning;
		rw_heat_point point;
		if (k == line->empty || rw_line_heat_point(line, k, line->generator->frequency, line->work->heat_power, &point, NULL) != RW_OK ||
		    rw_line_tune(line, k, point.coil_current_rms, work, &tuning, NULL) != RW_OK)
			continue;   /* a state that cannot be tuned is told when it is rated */
		if (tuning.conductance > most) {
			most = tuning.conductance;
			best = k;
		}
	}
	return best;
}

/* Before any part is there: the state of greatest resistance at the wanted frequency. */
static int first_guess(const rw_line *line)
{
	int best = -1;
	double most = 0.0;
	for (int k = 0; k < line->work->n_loads; k++) {
		rw_impedance z;
		if (k == line->empty || rw_load_impedance(&line->loads->load[k], line->generator->frequency, -1.0, &z, NULL) != RW_OK)
			continue;
		if (z.resistance > most) {
			most = z.resistance;
			best = k;
		}
	}
	return best;
}

static rw_status no_state(const rw_line *line, rw_error *err)
{
	double low = 0.0, high = 0.0, f = line->generator->frequency;
	int k = line->empty == 0 && line->work->n_loads > 1;
	if (line->work->kind == RW_WORK_DUMMY) {
		(void)RW_RAISE(err, RW_E_MISSING, "work.dummy_resistance", "the dummy load has no resistance to stand for");
		rw_error_expected(err, "a job with work in its coil to size on, or 'dummy_resistance', 'dummy_inductance' and 'heat_power'");
		rw_error_hint(err, "add the job, or give the three");
		return RW_E_MISSING;
	}
	if (line->work->kind != RW_WORK_MEASURED) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.loads", "no load state takes heat");
		rw_error_expected(err, "at least one state with loss");
		rw_error_hint(err, "give its 'loss_factor' or 'temperature', or leave the states out");
		return RW_E_RANGE;
	}
	double unit = f < 1e6 ? 1e3 : 1e6;
	rw_load_span(&line->loads->load[k], &low, &high);
	(void)RW_RAISE(err, RW_E_RANGE, "generator.frequency", "no loaded state is measured at the wanted frequency of %.4g %s", f / unit,
	    unit == 1e3 ? "kHz" : "MHz");
	rw_error_expected(err, "a frequency inside the measured tables: '%s' spans %.4g to %.4g kHz", line->load_name[k], low / 1e3, high / 1e3);
	rw_error_hint(err, "measure the coil around the wanted frequency");
	return RW_E_RANGE;
}

static rw_status pick_state(rw_chain *chain, const rw_line *line, rw_operating_point *point, int *load, rw_error *err)
{
	const rw_tank_in tank_as_given = *line->tank;
	const rw_oscillator_in osc_as_given = *line->oscillator;
	if (line->generator->design_load[0]) {
		RW_TRY(rw_line_find_load(chain, line->job, "generator.design_load", line->generator->design_load, load, err));
		return size_on(line, *load, chain->work, point, err);
	}
	*load = first_guess(line);
	if (*load < 0)
		return no_state(line, err);
	for (int turn = 0; turn <= line->work->n_loads; turn++) {
		*line->tank = tank_as_given;
		*line->oscillator = osc_as_given;
		RW_TRY(size_on(line, *load, chain->work, point, err));
		int next = heaviest(line, chain->work);
		if (next < 0 || next == *load)
			return RW_OK;
		*load = next;
	}
	return RW_OK;   /* two states share the place: sized on the last */
}

/* A given knob drops its target: said, in the order of the rules. */
static rw_status note_dropped(rw_chain *chain, rw_error *err)
{
	static const struct { const char *key, *target; } knobs[] = {
	    {"tank.capacitance", "the anode's swing at the wanted heat"},
	    {"tank.inductance", "the wanted frequency"},
	    {"tank.grid_mutual", "the grid's drive"},
	    {"tank.divider_grid_capacitance", "the grid's drive"},
	    {"tank.secondary_mutual", "the anode's load"},
	    {"oscillator.grid_leak", "the bias"},
	    {"supply.secondary_voltage_rms", "the anode volts"},
	};
	for (size_t i = 0; i < sizeof knobs / sizeof knobs[0]; i++)
		if (rw_chain_given(chain, knobs[i].key, 0))
			RW_TRY(rw_chain_note(chain, knobs[i].key, RW_NO_CASE, err, "%s is given: it sets %s, no rule does", knobs[i].key, knobs[i].target));
	return RW_OK;
}

/* A capacitor at fault is named by its place in the list; here its name is known. */
static rw_status check_tank(const rw_chain *chain, const rw_tank_in *tank, rw_error *err)
{
	int place;
	char member[32] = "";
	rw_status status = rw_tank_check(tank, err);
	if (status != RW_OK && err && sscanf(err->key, "tank.capacitors.%d.%31s", &place, member) == 2) {
		int r = rw_registry_find(chain->base->stages->registry, "tank");
		snprintf(err->key, sizeof err->key, "tank.capacitors.%s.%s", chain->full->part[r][0].names[0][place - 1], member);
	}
	return status;
}

static rw_status design_job(const rw_chain *chain, const rw_generator_in *generator, int *job, rw_error *err)
{
	*job = 0;
	if (!generator->design_job[0])
		return RW_OK;
	for (int j = 0; j < chain->full->n_jobs; j++)
		if (strcmp(chain->full->job_names[j], generator->design_job) == 0) {
			*job = j;
			return RW_OK;
		}
	const char *names[RW_JOBS_MAX];
	for (int j = 0; j < chain->full->n_jobs; j++)
		names[j] = chain->full->job_names[j];
	(void)RW_RAISE(err, RW_E_VALUE, "generator.design_job", "there is no job '%s'", generator->design_job);
	if (!rw_text_expect(err, generator->design_job, names, chain->full->n_jobs))
		rw_error_hint(err, "write the name of one of the jobs");
	return RW_E_VALUE;
}

/* Supply for a current of the bleeder beside the valve's, and the bleeder for that supply. */
static rw_status choose_with_bleeder(const rw_line *line, const rw_operating_point *point, double bleeder_current, rw_error *err)
{
	rw_mains mains = rw_line_mains(line);
	line->supply->duty_current_dc = or_rule(line->supply->duty_current_dc,
	    rw_round_digits(rw_line_valves(line) * point->currents.anode_current_dc + bleeder_current, 3));
	line->supply->duty_voltage_dc = or_rule(line->supply->duty_voltage_dc,
	    rw_round_digits(line->oscillator->anode_voltage + rw_protection_series(line->protection) * line->supply->duty_current_dc, 4));
	RW_TRY(rw_supply_choose(line->supply, &mains, err));
	rw_supply_set set;
	RW_TRY(rw_supply_set_solve(line->supply, &mains, &set, err));
	return rw_protection_choose(line->protection, set.no_load_voltage_pk, rw_tank_ht_capacitance(line->tank), err);
}

/* The anode's cycle is followed on the volts of the HT itself. */
static rw_status choose_ripple(const rw_line *line, rw_error *err)
{
	if (!(rw_protection_series(line->protection) > 0.0))
		return RW_OK;
	if (line->supply->ripple_counted < 0)
		line->supply->ripple_counted = RW_RIPPLE_MEAN;
	if (line->supply->ripple_counted == RW_RIPPLE_MEAN)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_VALUE, "supply.ripple_counted", "the ripple is followed on a HT without resistor only");
	rw_error_expected(err, "ripple_counted: mean with a surge resistor");
	rw_error_hint(err, "leave out 'ripple_counted', or protection: {surge_resistance: 0 ohm}");
	return RW_E_VALUE;
}

static rw_status choose_supply(const rw_line *line, const rw_operating_point *point, rw_error *err)
{
	line->protection->bleeder_current = or_rule(line->protection->bleeder_current, 5e-3);
	rw_protection_choose_surge(line->protection, line->oscillator->anode_voltage, line->cases->mains_high);
	rw_trips_choose_times(line->protection, line->site->mains_frequency);
	RW_TRY(choose_ripple(line, err));
	const rw_supply_in supply = *line->supply;
	const rw_protection_in protection = *line->protection;
	double current = protection.bleeder_current;
	for (int turn = 0; turn < BLEEDER_TURNS; turn++) {   /* a bleeder set by its time takes more than the least current */
		*line->supply = supply;
		*line->protection = protection;
		RW_TRY(choose_with_bleeder(line, point, current, err));
		double taken = fmax(protection.bleeder_current, line->supply->duty_voltage_dc / line->protection->bleeder_resistance);
		if (taken <= 1.05 * current)
			break;
		current = taken;
	}
	return RW_OK;
}

/* Heat in the work of the state the set is sized on, nominal mains, with the parts as they stand; 0 when it does not oscillate. */
static rw_status heat_now(rw_chain *chain, int job, int load, double *heat, rw_error *err)
{
	int scase = rw_chain_find_case(chain, job, load, 1, RW_NEW_VALVE);
	rw_settings_in *settings = rw_chain_in(chain, "settings", job), as_given = *settings;
	*settings = (rw_settings_in){(double)NAN, (double)NAN, (double)NAN, (double)NAN};   /* sized fully on, at the tank's own couplings */
	RW_TRY(rw_supply_settle(chain, err));
	chain->solution->why_not[scase] = NULL;
	rw_status status = rw_line_rate(chain, scase, chain->work, err);
	*settings = as_given;
	RW_TRY(status);
	*heat = chain->solution->why_not[scase] ? 0.0 : ((const rw_work_case *)rw_chain_case(chain, "work", scase))->heat;
	chain->solution->why_not[scase] = NULL;
	rw_chain_case_forget(chain, scase);   /* a trial: nothing of it may be taken for the frozen set's */
	return RW_OK;
}

/* The rounded parts may fall a little short of the heat wanted: the secondary is what is raised, while it is open (R9). */
static rw_status raise_supply(rw_chain *chain, const rw_line *line, const rw_operating_point *point, int load, rw_error *err)
{
	const rw_supply_in supply_as_given = *line->supply;
	const rw_protection_in protection_as_given = *line->protection;
	bool open = isnan(supply_as_given.secondary_voltage_rms) && isnan(supply_as_given.secondary_steps_added);
	for (int steps = 0; steps <= STEPS_MAX; steps++) {
		*line->supply = supply_as_given;
		*line->protection = protection_as_given;
		line->supply->secondary_steps_added = or_rule(supply_as_given.secondary_steps_added, steps);
		RW_TRY(choose_supply(line, point, err));
		double heat;
		if (!open)
			return RW_OK;
		RW_TRY(heat_now(chain, line->job, load, &heat, err));
		if (heat >= line->work->heat_power)
			return RW_OK;
	}
	*line->supply = supply_as_given;   /* something else holds it back: leave the duty's own volts, the checks say what is missing */
	*line->protection = protection_as_given;
	line->supply->secondary_steps_added = 0.0;
	RW_TRY(choose_supply(line, point, err));
	return rw_chain_note(chain, "supply.secondary_voltage_rms", RW_NO_CASE, err,
	    "the heat wanted is not reached by raising the secondary %d steps: see the checks", STEPS_MAX);
}

/* In another job the state of the same name, where it has one; else the heaviest. */
static int judged_state(const rw_line *line, const char *name, rw_work *work)
{
	for (int k = 0; k < line->work->n_loads; k++)
		if (k != line->empty && strcmp(line->load_name[k], name) == 0)
			return k;
	return heaviest(line, work);
}

static rw_status keep_wanted(rw_chain *chain, const rw_line *line, rw_error *err)
{
	rw_heat_point point;
	rw_job_loads *loads = &chain->loads[line->job];
	RW_TRY(rw_line_heat_point(line, chain->judged_load[line->job], line->generator->frequency, line->work->heat_power, &point, err));
	loads->wanted.resistance = point.load.resistance;
	loads->wanted.reactance = point.load.reactance;
	loads->wanted.current_rms = point.output_current_rms;
	return RW_OK;
}

/* The state each job's heat is judged in: the one the set is sized on; in the other jobs the one that answers to it. */
static rw_status judge_jobs(rw_chain *chain, int design, int load, rw_error *err)
{
	for (int j = 0; j < chain->full->n_jobs; j++) {
		rw_line line;
		chain->job_at_fault = j;
		RW_TRY(rw_line_of(chain, j, &line, err));
		rw_tank_in turned = rw_line_turned(&line);
		line.tank = &turned;
		chain->judged_load[j] = j == design ? load : judged_state(&line, line.generator->design_load, chain->work);
		if (line.work->n_loads < 2 && line.empty >= 0) {
			(void)RW_RAISE(err, RW_E_VALUE, "work.loads", "job '%s' has no load state with work in the coil", chain->full->job_names[j]);
			rw_error_expected(err, "the empty coil and at least one loaded state");
			rw_error_hint(err, "measure the coil with the work in it");
			return RW_E_VALUE;
		}
		RW_TRY(keep_wanted(chain, &line, err));
	}
	chain->job_at_fault = design;
	return RW_OK;
}

/* From the tubes, to four digits: more would be nonsense for an estimate. A dummy load stands at the terminals: no leads unless given. */
static rw_status choose_leads(rw_leads_in *leads, bool dummy, double frequency, rw_error *err)
{
	if (dummy && isnan(leads->inductance) && isnan(leads->resistance) && isnan(leads->length))
		leads->inductance = leads->resistance = 0.0;
	const rw_leads_in as_given = *leads;
	RW_TRY(rw_leads_choose(leads, frequency, err));
	if (isnan(as_given.inductance))
		leads->inductance = rw_round_digits(leads->inductance, 4);
	if (isnan(as_given.resistance))
		leads->resistance = rw_round_digits(leads->resistance, 4);
	return RW_OK;
}

/* A dummy load takes at the terminals what the set is sized on. */
static rw_status copy_to_dummies(rw_chain *chain, const rw_line *line, int load, rw_error *err)
{
	rw_heat_point point;
	double f = line->generator->frequency;
	RW_TRY(rw_line_heat_point(line, load, f, line->work->heat_power, &point, err));
	double power = point.output_current_rms * point.output_current_rms * point.load.resistance;
	rw_loads_dummy(chain, point.load.resistance, point.load.reactance / (two_pi * f), rw_round_digits(power, 3));
	return RW_OK;
}

/* Leads, load ports and output transformers of every job. */
static rw_status choose_loads(rw_chain *chain, double frequency, rw_error *err)
{
	for (int j = 0; j < chain->full->n_jobs; j++) {
		const rw_work_in *work = rw_chain_in(chain, "work", j);
		chain->job_at_fault = j;
		RW_TRY(choose_leads(rw_chain_in(chain, "leads", j), work->kind == RW_WORK_DUMMY, frequency, err));
	}
	rw_chain_mark_filled(chain, "leads", NULL);
	RW_TRY(rw_loads_make(chain, err));
	RW_TRY(rw_outputs_choose(chain, err));
	rw_chain_mark_filled(chain, "output", NULL);
	return RW_OK;
}

static void mark_chosen(rw_chain *chain)
{
	static const char *const filled[] = {"generator", "work", "tank", "oscillator", "supply", "protection"};
	for (size_t i = 0; i < sizeof filled / sizeof filled[0]; i++)
		rw_chain_mark_filled(chain, filled[i], NULL);
	rw_loads_dummy(chain, (double)NAN, (double)NAN, (double)NAN);   /* as marked: what the file would say */
}

rw_status rw_line_choose(rw_chain *chain, rw_error *err)
{
	rw_generator_in *generator = rw_chain_in(chain, "generator", 0);
	rw_operating_point point;
	rw_line line;
	int job, load;
	RW_TRY(design_job(chain, generator, &job, err));
	RW_TRY(choose_loads(chain, generator->frequency, err));
	chain->job_at_fault = job;
	RW_TRY(rw_line_of(chain, job, &line, err));
	generator->frequency_tolerance = or_rule(generator->frequency_tolerance, 0.02);
	rw_tank_choose_constants(line.tank);
	RW_TRY(check_tank(chain, line.tank, err));
	RW_TRY(rw_line_sizes(&line, err));
	RW_TRY(rw_settings_check(chain, err));
	chain->job_at_fault = job;
	RW_TRY(rw_oscillator_settle(chain, err));
	RW_TRY(pick_state(chain, &line, &point, &load, err));
	RW_TRY(raise_supply(chain, &line, &point, load, err));
	if (!generator->design_job[0])
		memcpy(generator->design_job, chain->full->job_names[job], RW_NAME_BYTES);
	if (!generator->design_load[0])
		memcpy(generator->design_load, rw_line_load_name(chain, job, load), RW_NAME_BYTES);
	RW_TRY(copy_to_dummies(chain, &line, load, err));
	mark_chosen(chain);
	RW_TRY(rw_settings_choose(chain, err));
	RW_TRY(judge_jobs(chain, job, load, err));
	if (!point.within)
		RW_TRY(rw_chain_note(chain, "oscillator.half_angle", RW_NO_CASE, err,
		                     "the operating point stays over 80 %% of the anode's rating or 70 %% of the grid's: see the checks"));
	return note_dropped(chain, err);
}
