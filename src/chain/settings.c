#include "chain/settings.h"

#include <math.h>
#include <stdio.h>

#include "chain/followers.h"
#include "chain/line.h"

enum { ROUNDS = 6 };
static const double degree = 0.0174532925199432957692;
static const double grid_share = 0.70;   /* R3 */
static const double on_step = 1e-3;      /* of a step: a value as written may be off by its last digit */

/* One thing that can be turned: its span in whole steps from where it gives most to where it gives least. */
typedef struct knob {
	const char *key;
	double first, step;      /* value = first + k step, k = 0..last */
	int last;
	double *member;
	double unit;             /* for messages: value / unit */
	const char *unit_name;
} knob;

static double value_at(const knob *k, int at)
{
	return k->last && at == k->last && k->step < 0.0 && k->first + k->step * at < 0.0 ? 0.0 : k->first + k->step * at;
}

static double nearest_to(const knob *k, double value)
{
	return value_at(k, (int)lround(fmin(fmax((value - k->first) / k->step, 0.0), k->last)));
}

static int steps_between(double span, double step) { return (int)fmin(floor(span / step + 1e-9), 100000.0); }

/* What sets the HT: most volts at k = 0. false: nothing does. */
static bool ht_knob(const rw_supply_in *supply, rw_settings_in *settings, knob *k)
{
	switch (supply->control) {
	case RW_CONTROL_TAP:
	case RW_CONTROL_VARIAC:
		*k = (knob){"settings.ht_ratio", 1.0, -supply->ratio_step, steps_between(1.0 - supply->ratio_low, supply->ratio_step), &settings->ht_ratio,
		    0.01, "%"};
		return true;
	case RW_CONTROL_STAR_DELTA:
		*k = (knob){"settings.ht_ratio", 1.0, 1.0 / sqrt(3.0) - 1.0, 1, &settings->ht_ratio, 0.01, "%"};
		return true;
	case RW_CONTROL_THYRISTOR:
		*k = (knob){"settings.firing_angle", supply->firing_angle_min, supply->firing_angle_step,
		    steps_between(supply->firing_angle_max - supply->firing_angle_min, supply->firing_angle_step), &settings->firing_angle, degree, "deg"};
		return true;
	default: return false;
	}
}

static bool grid_knob(const rw_tank_in *tank, rw_settings_in *settings, knob *k)
{
	double low = tank->grid_mutual_low, high = tank->grid_mutual_high;
	if (tank->feedback != RW_FEEDBACK_WINDING || isnan(low) || isnan(high) || !(low < high))
		return false;
	double step = isnan(tank->grid_mutual_step) ? (high - low) / 100.0 : tank->grid_mutual_step;
	*k = (knob){"settings.grid_mutual", low, step, steps_between(high - low, step), &settings->grid_mutual, 1e-6, "uH"};
	return true;
}

/* ---- what is given ---- */

static rw_status off(const knob *k, double value, double nearest, rw_error *err)
{
	double a = value_at(k, 0), b = value_at(k, k->last);
	bool outside = value < fmin(a, b) - on_step * fabs(k->step) || value > fmax(a, b) + on_step * fabs(k->step);
	(void)RW_RAISE(err, RW_E_VALUE, k->key, outside ? "%.4g %s is outside what the set has" : "%.4g %s is not on a step of the set",
	    value / k->unit, k->unit_name);
	rw_error_expected(err, "%.4g to %.4g %s in steps of %.4g; the nearest is %.4g %s", fmin(a, b) / k->unit, fmax(a, b) / k->unit, k->unit_name,
	    fabs(k->step) / k->unit, nearest / k->unit, k->unit_name);
	rw_error_hint(err, "write the nearest, or give the set another span or step");
	return RW_E_VALUE;
}

static rw_status check_knob(const knob *k, rw_error *err)
{
	double value = *k->member;
	if (isnan(value))
		return RW_OK;
	double nearest = nearest_to(k, value);
	double slack = on_step * fabs(k->step);
	return fabs(value - nearest) <= slack ? RW_OK : off(k, value, nearest, err);
}

static rw_status nothing_turns(const char *key, const char *what, const char *value, const char *other, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_VALUE, key, "%s", what);
	rw_error_expected(err, "%s", value);
	rw_error_hint(err, "leave it out, or write '%s'", other);
	return RW_E_VALUE;
}

static rw_status check_job(const rw_line *line, rw_error *err)
{
	rw_settings_in *s = line->settings;
	int control = line->supply->control;
	knob k;
	bool thyristor = control == RW_CONTROL_THYRISTOR;
	if (!isnan(s->firing_angle) && s->firing_angle != 0.0 && !thyristor)
		return nothing_turns("settings.firing_angle", "a firing angle in a set without primary thyristors", "0 deg",
		    "supply.control: primary_thyristor", err);
	if (!isnan(s->ht_ratio) && s->ht_ratio != 1.0 && (control <= RW_CONTROL_NONE || thyristor))
		return nothing_turns("settings.ht_ratio", "an HT ratio in a set without tap, variac or star/delta", "100 %",
		    "supply.control: tap, variac or star_delta", err);
	if (ht_knob(line->supply, s, &k))
		RW_TRY(check_knob(&k, err));
	if (grid_knob(line->tank, s, &k))
		RW_TRY(check_knob(&k, err));
	if (!isnan(s->grid_mutual) && line->tank->feedback > RW_FEEDBACK_WINDING)
		return nothing_turns("settings.grid_mutual", "a grid coupling in a tank without grid winding", "nothing", "tank.feedback: winding", err);
	if (!isnan(s->secondary_mutual) && line->tank->coupling != RW_COUPLING_SECONDARY)
		return nothing_turns("settings.secondary_mutual", "an output coupling in a tank without secondary", "nothing",
		    "tank.coupling: secondary", err);
	return RW_OK;
}

rw_status rw_settings_check(rw_chain *chain, rw_error *err)
{
	for (int j = 0; j < chain->full->n_jobs; j++) {
		rw_line line;
		chain->job_at_fault = j;
		RW_TRY(rw_line_of(chain, j, &line, err));
		rw_supply_choose_control(line.supply);
		RW_TRY(rw_supply_check_control(line.supply, err));
		RW_TRY(check_job(&line, err));
	}
	return RW_OK;
}

rw_status rw_settings_choose(rw_chain *chain, rw_error *err)
{
	for (int j = 0; j < chain->full->n_jobs; j++) {
		rw_line line;
		knob k;
		RW_TRY(rw_line_of(chain, j, &line, err));
		rw_settings_in *s = line.settings;
		if (isnan(s->ht_ratio))
			s->ht_ratio = 1.0;
		if (isnan(s->firing_angle))
			s->firing_angle = line.supply->control == RW_CONTROL_THYRISTOR ? line.supply->firing_angle_min : 0.0;
		if (isnan(s->grid_mutual) && line.tank->feedback == RW_FEEDBACK_WINDING)
			s->grid_mutual = grid_knob(line.tank, s, &k) ? nearest_to(&k, line.tank->grid_mutual) : line.tank->grid_mutual;
		if (isnan(s->secondary_mutual) && line.tank->coupling == RW_COUPLING_SECONDARY)
			s->secondary_mutual = line.tank->secondary_mutual;
	}
	rw_chain_mark_filled(chain, "settings", NULL);
	return RW_OK;
}

/* ---- retuning ---- */

typedef struct tuner {
	rw_chain *chain;
	const rw_line *line;
	int scase;               /* of the judged state at nominal mains */
} tuner;

/* The rating at the settings as they stand: heat in the work and grid current, both nought where it does not oscillate. */
static rw_status trial(const tuner *t, double *heat, double *grid, rw_error *err)
{
	rw_chain *chain = t->chain;
	rw_solution *s = chain->solution;
	rw_error why;
	rw_status status = rw_line_rate(chain, t->scase, chain->work, &why);
	*heat = *grid = 0.0;
	if (status == RW_OK && !s->why_not[t->scase]) {
		*heat = ((const rw_work_case *)rw_chain_case(chain, "work", t->scase))->heat;
		*grid = ((const rw_oscillator_case *)rw_chain_case(chain, "oscillator", t->scase))->grid_current_dc;
	}
	s->why_not[t->scase] = NULL;
	rw_chain_case_forget(chain, t->scase);
	if (status == RW_OK || status == RW_E_NOSOLVE || status == RW_E_RANGE)   /* a setting that cannot be run gives no heat */
		return RW_OK;
	if (err)
		*err = why;
	return status;
}

static rw_status holds(const tuner *t, const knob *k, int at, bool heat_wanted, double limit, bool *held, rw_error *err)
{
	double heat, grid;
	*k->member = value_at(k, at);
	RW_TRY(trial(t, &heat, &grid, err));
	*held = heat_wanted ? heat >= limit : grid <= limit;
	return RW_OK;
}

/* The last step from k = 0 on at which the wanted holds, by bisection: it is lost once and for all on the way. -1: not even at k = 0. */
static rw_status last_holding(const tuner *t, const knob *k, bool heat_wanted, double limit, int *at, rw_error *err)
{
	int low = 0, high = k->last + 1;
	bool held;
	RW_TRY(holds(t, k, 0, heat_wanted, limit, &held, err));
	*at = held ? 0 : -1;
	if (!held)
		return RW_OK;
	while (high - low > 1) {
		int middle = low + (high - low) / 2;
		RW_TRY(holds(t, k, middle, heat_wanted, limit, &held, err));
		*(held ? &low : &high) = middle;
	}
	*at = low;
	*k->member = value_at(k, low);
	return RW_OK;
}

static rw_status mark_moved(const tuner *t, const knob *k, double before, rw_error *err)
{
	rw_view view = rw_chain_view(t->chain, t->line->job, RW_NO_CASE);
	rw_slot slot;
	RW_TRY(rw_slot_find(&view, k->key, RW_NO_ELEMENT, &slot, err));
	const char *job = t->chain->full->job_names[t->line->job];
	if (fabs(*k->member - before) <= 1e-12 * fabs(before))
		return rw_chain_note(t->chain, k->key, RW_NO_CASE, err, "%s: %s stays at %.4g %s", job, k->key, before / k->unit, k->unit_name);
	rw_origin_choose(rw_slot_origin(t->chain->full, slot), rw_slot_item(t->chain->full, slot), "retuned");
	return rw_chain_note(t->chain, k->key, RW_NO_CASE, err, "%s: %s moved from %.4g %s to %.4g %s", job, k->key, before / k->unit, k->unit_name,
	    *k->member / k->unit, k->unit_name);
}

static rw_status tell_missing(const tuner *t, const knob *k, rw_error *err)
{
	double heat, grid;
	const char *job = t->chain->full->job_names[t->line->job];
	RW_TRY(trial(t, &heat, &grid, err));
	return rw_chain_note(t->chain, k->key, RW_NO_CASE, err, "%s: %s is at its end, %.4g %s, and gives %.4g kW of the %.4g kW wanted: %.3g kW are missing",
	    job, k->key, *k->member / k->unit, k->unit_name, heat / 1e3, t->line->work->heat_power / 1e3, (t->line->work->heat_power - heat) / 1e3);
}

static int judged_case(const rw_chain *chain, int job)
{
	for (int k = 0; k < chain->solution->n_cases; k++) {
		const rw_case_name *name = &chain->solution->cases[k];
		if (name->job == job && name->load == chain->judged_load[job] && name->mains == 1 && name->valve == 0)
			return k;
	}
	return -1;
}

static rw_status retune_job(rw_chain *chain, const rw_line *line, rw_error *err)
{
	tuner t = {chain, line, judged_case(chain, line->job)};
	knob ht, grid;
	bool has_ht = ht_knob(line->supply, line->settings, &ht), has_grid = grid_knob(line->tank, line->settings, &grid);
	double ht_before = line->settings->ht_ratio, grid_before = line->settings->grid_mutual;
	int ht_at = 0, grid_at = 0;
	if (t.scase < 0 || !(has_ht || has_grid))
		return RW_OK;
	if (has_ht)
		ht_before = *ht.member;
	for (int round = 0; round < ROUNDS; round++) {   /* each moves the other's figure a little */
		double before[] = {line->settings->ht_ratio, line->settings->firing_angle, line->settings->grid_mutual};
		if (has_grid)
			RW_TRY(last_holding(&t, &grid, false, grid_share * line->valve->grid_current_max, &grid_at, err));
		if (has_ht)
			RW_TRY(last_holding(&t, &ht, true, line->work->heat_power, &ht_at, err));
		if (before[0] == line->settings->ht_ratio && before[1] == line->settings->firing_angle && !(before[2] < line->settings->grid_mutual) &&
		    !(before[2] > line->settings->grid_mutual))
			break;
	}
	if (has_grid)
		RW_TRY(mark_moved(&t, &grid, grid_before, err));
	if (has_ht)
		RW_TRY(mark_moved(&t, &ht, ht_before, err));
	return has_ht && ht_at < 0 ? tell_missing(&t, &ht, err) : RW_OK;
}

rw_status rw_settings_retune(rw_chain *chain, rw_error *err)
{
	bool any = false;
	for (int j = 0; j < chain->full->n_jobs; j++) {
		rw_line line;
		knob k;
		chain->job_at_fault = j;
		RW_TRY(rw_line_of(chain, j, &line, err));
		any = any || ht_knob(line.supply, line.settings, &k) || grid_knob(line.tank, line.settings, &k);
		RW_TRY(retune_job(chain, &line, err));
	}
	if (any)
		return RW_OK;
	return rw_chain_note(chain, "supply.control", RW_NO_CASE, err,
	    "nothing can be retuned: 'supply.control' is none and the grid coupling has no span ('tank.grid_mutual_low' and 'grid_mutual_high')");
}
