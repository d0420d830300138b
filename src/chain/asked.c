/* Can the set as it stands do that job? The set is frozen without it, the job is rated on it, and what the duty alone forbids is searched
 * for the pattern that would pass. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/numeric.h"
#include "chain/duty.h"
#include "chain/line.h"

enum { BISECTIONS = 40 };

static const double a_day = 86400.0, a_minute = 60.0;

/* The design with some of its jobs, its parts shared: a solve works on its own copy.   in job [n] indices */
static rw_status with_jobs(rw_arena *arena, const rw_design *from, const int *job, int n, rw_design **out, rw_error *err)
{
	rw_design *some = RW_ARENA_NEW(arena, rw_design, 1);
	int n_rooms = from->registry->n_rooms;
	if (!some)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	*some = *from;
	some->n_jobs = n;
	some->job_names = rw_arena_get(arena, (size_t)n * RW_NAME_BYTES);
	some->part = RW_ARENA_NEW(arena, rw_part *, n_rooms);
	if (!some->job_names || !some->part)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	for (int r = 0; r < n_rooms; r++) {
		int parts = from->registry->rooms[r]->per_job ? n : 1;
		some->part[r] = RW_ARENA_NEW(arena, rw_part, parts);
		if (!some->part[r])
			return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
		for (int j = 0; j < parts; j++)
			some->part[r][j] = from->part[r][parts == 1 && !from->registry->rooms[r]->per_job ? 0 : job[j]];
	}
	for (int j = 0; j < n; j++)
		memcpy(some->job_names[j], from->job_names[job[j]], RW_NAME_BYTES);
	*out = some;
	return RW_OK;
}

static rw_status find_job(const rw_design *design, const char *name, int *job, rw_error *err)
{
	const char *names[RW_JOBS_MAX];
	for (int j = 0; j < design->n_jobs; j++) {
		names[j] = design->job_names[j];
		if (strcmp(names[j], name) == 0) {
			*job = j;
			return RW_OK;
		}
	}
	(void)RW_RAISE(err, RW_E_USAGE, "", "there is no job '%s'", name);
	(void)rw_text_expect(err, name, names, design->n_jobs);
	return RW_E_USAGE;
}

/* The job the set is sized on, as rw_line_choose takes it; one that is not there is told when the set is solved. */
static int sizing_job(const rw_design *design)
{
	const rw_generator_in *generator = rw_design_in(design, rw_registry_find(design->registry, "generator"), 0);
	for (int j = 0; j < design->n_jobs; j++)
		if (strcmp(design->job_names[j], generator->design_job) == 0)
			return j;
	return 0;
}

/* The set chosen without the asked job, then that job on it. */
static rw_status solve_frozen(const rw_chain_base *base, const rw_design *design, int asked, int sizing, rw_arena *arena, rw_work *work,
    rw_chain *chain, rw_error *err)
{
	int others[RW_JOBS_MAX], n = 0, two[2] = {sizing, asked};
	rw_design *without, *both;
	rw_chain set;
	rw_chain_base untouched = *base;
	untouched.retune = false;   /* what is turned is turned for the job, on the frozen set */
	for (int j = 0; j < design->n_jobs; j++)
		if (j != asked)
			others[n++] = j;
	RW_TRY(with_jobs(arena, design, others, n, &without, err));
	rw_status status = rw_chain_solve(&untouched, without, arena, work, &set, err);
	if (status != RW_OK) {
		chain->job_at_fault = others[set.job_at_fault];
		return status;
	}
	RW_TRY(with_jobs(arena, design, two, 2, &both, err));
	for (int r = 0; r < design->registry->n_rooms; r++) {   /* the frozen set; the sizing job as it was chosen with it */
		bool of_job = design->registry->rooms[r]->per_job;
		both->part[r][0] = set.full->part[r][of_job ? sizing - (sizing > asked) : 0];
	}
	status = rw_chain_solve(base, both, arena, work, chain, err);
	chain->job_at_fault = two[chain->job_at_fault == 1];
	return status;
}

/* ---- the pattern that would pass ---- */

static bool goes_by_pattern(const char *key)
{
	return strcmp(key, "duty.transformer_current") == 0 || strcmp(key, "duty.breaker_current") == 0 || strcmp(key, "duty.contactor_years") == 0;
}

/* Does the job pass what goes by its pattern, with these times? */
static rw_status passes(rw_chain *chain, int job, double on_time, double period, bool *does, rw_error *err)
{
	rw_duty_in *in = rw_chain_in(chain, "duty", job);
	bool shots_given = rw_chain_given(chain, "duty.shots_per_year", job);
	in->pattern = RW_PATTERN_SHOTS;
	in->on_time = on_time;
	in->period = period;
	if (!shots_given)
		in->shots_per_year = fmax(-rw_ceil_to(-in->hours_per_year / period, 1.0), 1.0);
	RW_TRY(rw_duty_rate(chain, job, err));
	*does = true;
	for (int l = 0; l < rw_duty_room.n_limits && *does; l++) {
		double margin;
		if (!goes_by_pattern(rw_duty_room.limits[l].key))
			continue;
		RW_TRY(rw_chain_margin(chain, &rw_duty_room, &rw_duty_room.limits[l], job, &margin, err));
		*does = !(margin < 0.0);
	}
	return RW_OK;
}

/* Rounded to three digits towards what passes. */
static double three_digits(double x, bool down)
{
	double rounded = rw_round_digits(x, 3), step = pow(10.0, floor(log10(x)) - 2.0);
	if (down && rounded > x)
		return rw_round_digits(rounded - step, 3);
	return !down && rounded < x ? rw_round_digits(rounded + step, 3) : rounded;
}

/* The longest period there is for the shots and the hours of the year. */
static double period_room(const rw_chain *chain, int job, const rw_duty_in *in)
{
	double hours = rw_chain_given(chain, "duty.hours_per_year", job) ? in->hours_per_year : RW_DUTY_YEAR;
	return rw_chain_given(chain, "duty.shots_per_year", job) ? fmin(a_day, hours / in->shots_per_year) : a_day;
}

/* By bisection between a time that passes and one that does not: every margin falls with the on-time and rises with the period. */
static rw_status search(rw_chain *chain, int job, rw_asked *asked, rw_error *err)
{
	rw_duty_in *in = rw_chain_in(chain, "duty", job);
	const rw_duty_in as_asked = *in;
	bool shots = in->pattern == RW_PATTERN_SHOTS, does;
	double on = as_asked.on_time, low = 1e-3, high = asked->period = shots ? as_asked.period : a_minute;
	RW_TRY(passes(chain, job, low, asked->period, &does, err));
	asked->longest_on_time = 0.0;
	for (int k = 0; k < BISECTIONS && does; k++) {
		bool here;
		double middle = sqrt(low * high);
		RW_TRY(passes(chain, job, middle, asked->period, &here, err));
		*(here ? &low : &high) = middle;
		asked->longest_on_time = three_digits(low, true);
	}
	if (shots) {
		low = as_asked.period, high = asked->longest_tried = fmax(period_room(chain, job, &as_asked), low);
		RW_TRY(passes(chain, job, on, high, &does, err));
		for (int k = 0; k < BISECTIONS && does; k++) {
			bool here;
			double middle = sqrt(low * high);
			RW_TRY(passes(chain, job, on, middle, &here, err));
			*(here ? &high : &low) = middle;
			asked->shortest_period = three_digits(high, false);
		}
	}
	*in = as_asked;
	return rw_duty_rate(chain, job, err);
}

static void judge(const rw_chain *chain, rw_asked *asked)
{
	const rw_solution *s = chain->solution;
	bool pattern = false, other = false;
	for (int i = 0; i < chain->n_checks; i++) {
		const rw_check *c = &chain->checks[i];
		bool bad = c->ok == 0 || (c->ok < 0 && !c->no_limit);
		*(goes_by_pattern(c->key) ? &pattern : &other) |= bad;
		asked->near = asked->near || c->near;
	}
	asked->can = !pattern && !other;
	asked->duty_decides = pattern && !other;
	asked->heat_wanted = ((const rw_work_in *)rw_chain_in(chain, "work", asked->job))->heat_power;
	for (int k = 0; k < s->n_cases; k++)
		if (!s->why_not[k] && s->cases[k].job == asked->job && s->cases[k].mains == 1 && s->cases[k].valve == RW_NEW_VALVE &&
		    s->cases[k].load == chain->judged_load[asked->job])
			asked->heat_given = ((const rw_work_case *)rw_chain_case(chain, "work", k))->heat;
}

rw_status rw_chain_can_do(const rw_chain_base *base, const rw_design *design, const char *job, rw_arena *arena, rw_work *work, rw_chain *chain,
    rw_error *err)
{
	int index, sizing = sizing_job(design);
	rw_asked *asked = RW_ARENA_NEW(arena, rw_asked, 1);
	*chain = (rw_chain){.base = base, .arena = arena, .work = work};
	if (!asked)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	RW_TRY(find_job(design, job, &index, err));
	if (index == sizing)
		RW_TRY(rw_chain_solve(base, design, arena, work, chain, err));
	else
		RW_TRY(solve_frozen(base, design, index, sizing, arena, work, chain, err));
	*asked = (rw_asked){.job = index == sizing ? index : 1, .sized_on_it = index == sizing, .heat_given = (double)NAN,
	                    .longest_on_time = (double)NAN, .shortest_period = (double)NAN, .longest_tried = (double)NAN, .period = (double)NAN};
	chain->asked = asked;
	RW_TRY(rw_chain_check(chain, err));
	judge(chain, asked);
	return asked->duty_decides ? search(chain, asked->job, asked, err) : RW_OK;
}
