/* The grid current of the empty coil over its limit: which leak or which HT would bring it under, and what that costs. Every answer is a rating of
 * the frozen set with that one part changed. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/numeric.h"
#include "chain/faults.h"
#include "chain/followers.h"
#include "chain/line.h"

enum { LEAKS_MAX = 24, HT_STEPS_MAX = 60 };   /* a decade of E24; down to 70 % in steps of half a per cent */

static const double ht_step = 0.005;
static const double next_e24 = 1.1006941712522096;   /* 10^(1/24) */

/* One case's figures, kept while others are tried in its place. */
typedef struct kept {
	unsigned char **bytes;   /* [n_rooms] */
	bool *solved;            /* [n_rooms] */
	const char *why_not;
	char why_text[256];
} kept;

static rw_status keep(rw_chain *chain, int scase, kept *out, rw_error *err)
{
	const rw_registry *registry = chain->base->stages->registry;
	const rw_solution *s = chain->solution;
	rw_arena *arena = &chain->work->scratch;
	out->bytes = RW_ARENA_NEW(arena, unsigned char *, registry->n_rooms);
	out->solved = RW_ARENA_NEW(arena, bool, registry->n_rooms);
	bool room = out->bytes && out->solved;
	for (int r = 0; r < registry->n_rooms && room; r++) {
		out->bytes[r] = rw_arena_get(arena, registry->rooms[r]->case_size + 1);
		room = out->bytes[r] != NULL;
		if (room && registry->rooms[r]->case_size)
			memcpy(out->bytes[r], s->kase[r][scase], registry->rooms[r]->case_size);
		out->solved[r] = s->solved[r][scase];
	}
	if (!room)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	out->why_not = s->why_not[scase];
	memcpy(out->why_text, s->why_text[scase], sizeof out->why_text);
	return RW_OK;
}

static void put_back(rw_chain *chain, int scase, const kept *from)
{
	const rw_registry *registry = chain->base->stages->registry;
	rw_solution *s = chain->solution;
	for (int r = 0; r < registry->n_rooms; r++) {
		if (registry->rooms[r]->case_size)
			memcpy(s->kase[r][scase], from->bytes[r], registry->rooms[r]->case_size);
		s->solved[r][scase] = from->solved[r];
	}
	s->why_not[scase] = from->why_not;
	memcpy(s->why_text[scase], from->why_text, sizeof from->why_text);
}

/* What a rating says of one case. */
typedef struct rated { bool solved; double grid_current, heat, drive, efficiency; } rated;

static rated read_case(const rw_chain *chain, int scase)
{
	const rw_oscillator_case *o = rw_chain_case(chain, "oscillator", scase);
	const rw_work_case *work = rw_chain_case(chain, "work", scase);
	if (chain->solution->why_not[scase])
		return (rated){false, 0.0, 0.0, 0.0, 0.0};
	return (rated){true, o->grid_current_greatest, work->heat, o->drive_power, o->efficiency};
}

/* Rates the case with the parts as they stand now, and puts the case back. */
static rw_status try_case(rw_chain *chain, int scase, rated *out, rw_error *err)
{
	rw_arena_mark mark = rw_arena_here(&chain->work->scratch);
	kept before = {.why_not = NULL};
	rw_status status = keep(chain, scase, &before, err);
	if (status == RW_OK) {
		chain->solution->why_not[scase] = NULL;
		status = rw_line_rate(chain, scase, chain->work, err);
		*out = status == RW_OK ? read_case(chain, scase) : (rated){false, 0.0, 0.0, 0.0, 0.0};
		put_back(chain, scase, &before);
	}
	rw_arena_rewind(&chain->work->scratch, mark);
	return status == RW_E_MEMORY || status == RW_E_CANCELLED ? status : RW_OK;   /* a set that cannot be rated so is no remedy */
}

typedef struct question {
	rw_chain *chain;
	rw_line line;
	double limit, most;      /* A: allowed and found */
	int worst, judged;       /* cases: where found; where the price is told */
	rated now;               /* of the judged one */
} question;

/* Every empty case at mains high under the limit? Where one does not oscillate it is no remedy. */
static rw_status all_under(question *q, bool *under, double *most, rw_error *err)
{
	const rw_solution *s = q->chain->solution;
	*under = true;
	*most = 0.0;
	for (int k = 0; k < s->n_cases && *under; k++) {
		if (((const rw_case_case *)rw_chain_case(q->chain, "case", k))->is_empty != 1.0 || s->cases[k].mains != 2)
			continue;
		rated r;
		RW_TRY(try_case(q->chain, k, &r, err));
		*under = r.solved && r.grid_current <= q->limit;
		*most = r.solved ? fmax(*most, r.grid_current) : (double)INFINITY;
	}
	return RW_OK;
}

static rw_status find_leak(question *q, double own, double *leak, rw_error *err)
{
	double candidate = rw_round_e24(own), most;
	bool under = false;
	for (int n = 0; n < LEAKS_MAX && !under; n++) {
		candidate = rw_round_e24(candidate * (n > 0 || candidate <= own ? next_e24 : 1.0));
		q->line.oscillator->grid_leak = candidate;
		RW_TRY(all_under(q, &under, &most, err));
		if (!under && isinf(most))
			break;
	}
	if (under)
		*leak = candidate;
	return RW_OK;
}

static rw_status set_ht(question *q, const rw_supply_in *own, double share, rw_error *err)
{
	*q->line.supply = *own;
	q->line.supply->secondary_voltage_rms *= share;
	q->line.supply->rated_power *= share;   /* a tap of the same winding: the same amps */
	return rw_supply_settle(q->chain, err);
}

static rw_status find_ht(question *q, const rw_supply_in *own, double *share, rw_error *err)
{
	bool under = false;
	double most;
	int step = (int)ceil((1.0 - q->limit / q->most) / ht_step - 1e-9);
	step = step < 1 ? 1 : step > HT_STEPS_MAX ? HT_STEPS_MAX : step;   /* grid current goes about as the volts */
	RW_TRY(set_ht(q, own, 1.0 - step * ht_step, err));
	RW_TRY(all_under(q, &under, &most, err));
	for (bool found = under; found && step > 1; step--) {   /* up again while it stays under */
		RW_TRY(set_ht(q, own, 1.0 - (step - 1) * ht_step, err));
		RW_TRY(all_under(q, &found, &most, err));
		if (!found)
			break;
	}
	while (!under && step < HT_STEPS_MAX) {
		RW_TRY(set_ht(q, own, 1.0 - ++step * ht_step, err));
		RW_TRY(all_under(q, &under, &most, err));
	}
	if (under)
		*share = 1.0 - step * ht_step;
	return RW_OK;
}

static rw_status leak_remedy(question *q, rw_fault_set *out, rw_error *err)
{
	double own = q->line.oscillator->grid_leak, leak = (double)NAN;
	rated then = {.solved = false};
	rw_status status = find_leak(q, own, &leak, err);
	if (status == RW_OK && !isnan(leak)) {
		q->line.oscillator->grid_leak = leak;
		status = try_case(q->chain, q->judged, &then, err);
	}
	q->line.oscillator->grid_leak = own;
	RW_TRY(status);
	if (!then.solved || !q->now.solved)
		return RW_OK;
	out->empty_leak = leak;
	out->empty_leak_heat = then.heat / q->now.heat - 1.0;
	out->empty_leak_drive = then.drive / q->now.drive - 1.0;
	out->empty_leak_efficiency = then.efficiency - q->now.efficiency;
	return RW_OK;
}

static rw_status ht_remedy(question *q, rw_fault_set *out, rw_error *err)
{
	const rw_supply_in own = *q->line.supply;
	double share = (double)NAN;
	rated then = {.solved = false};
	rw_status status = find_ht(q, &own, &share, err);
	if (status == RW_OK && !isnan(share)) {
		status = set_ht(q, &own, share, err);
		if (status == RW_OK)
			status = try_case(q->chain, q->judged, &then, err);
	}
	*q->line.supply = own;
	RW_TRY(rw_supply_settle(q->chain, err));
	RW_TRY(status);
	if (!then.solved || !q->now.solved)
		return RW_OK;
	out->empty_ht_share = share;
	out->empty_ht_heat = then.heat / q->now.heat - 1.0;
	return RW_OK;
}

static void ohms(const rw_chain *chain, double leak, char *out, size_t room) { rw_units_print(chain->base->units, &rw_kind_resistance, leak, 3, out, room); }

/* What the figures say, for the notes and beside the check. */
static rw_status tell(question *q, const rw_fault_set *out, rw_error *err)
{
	rw_chain *chain = q->chain;
	char leak[64], own[64], text[380];
	size_t n;
	ohms(chain, q->line.oscillator->grid_leak, own, sizeof own);
	snprintf(text, sizeof text, "grid current of the empty coil is %.2g times its limit%s;", q->most / q->limit,
	    ((const rw_valve_in *)rw_chain_in(chain, "valve", 0))->grid_margin > 0.0 ? ", margin kept" : "");
	n = strlen(text);
	if (!isnan(out->empty_leak)) {
		ohms(chain, out->empty_leak, leak, sizeof leak);
		snprintf(text + n, sizeof text - n, " a grid leak of %s instead of %s brings it under, at %+.1f %% heat, %+.1f %% drive and %+.1f points of "
		    "efficiency (judged load, nominal mains);", leak, own, 100.0 * out->empty_leak_heat, 100.0 * out->empty_leak_drive,
		    100.0 * out->empty_leak_efficiency);
	} else {
		snprintf(text + n, sizeof text - n, " no E24 leak up to ten times %s brings it under;", own);
	}
	n = strlen(text);
	if (!isnan(out->empty_ht_share))
		snprintf(text + n, sizeof text - n, " or %.1f %% of the secondary volts, at %+.1f %% heat, or only while the coil is empty",
		    100.0 * out->empty_ht_share, 100.0 * out->empty_ht_heat);
	else
		snprintf(text + n, sizeof text - n, " no HT down to 70 %% does; looser grid coupling");
	RW_TRY(rw_chain_note(chain, "oscillator.grid_leak", q->worst, err, "%s", text));
	RW_TRY(rw_chain_remedy(chain, "valve.grid_current_unloaded", text, err));
	return rw_chain_remedy(chain, "valve.grid_margin_unloaded", text, err);
}

/* The empty case of greatest grid current; its job's judged state at nominal mains. */
static bool ask(rw_chain *chain, question *q)
{
	const rw_solution *s = chain->solution;
	const rw_valve_in *valve = rw_chain_in(chain, "valve", 0);
	*q = (question){.chain = chain, .limit = (1.0 - valve->grid_margin) * valve->grid_current_max_unloaded, .worst = -1, .judged = -1};
	if (isnan(q->limit))
		return false;
	for (int k = 0; k < s->n_cases; k++) {
		if (((const rw_case_case *)rw_chain_case(chain, "case", k))->is_empty != 1.0 || s->cases[k].mains != 2 || s->why_not[k])
			continue;
		double current = ((const rw_oscillator_case *)rw_chain_case(chain, "oscillator", k))->grid_current_greatest;
		if (current > q->most) {
			q->most = current;
			q->worst = k;
		}
	}
	for (int k = 0; k < s->n_cases && q->worst >= 0; k++)
		if (s->cases[k].job == s->cases[q->worst].job && s->cases[k].mains == 1 && s->cases[k].valve == RW_NEW_VALVE &&
		    s->cases[k].load == chain->judged_load[s->cases[k].job])
			q->judged = k;
	return q->judged >= 0 && q->most > q->limit;
}

rw_status rw_fault_empty_coil(rw_chain *chain, rw_fault_set *out, rw_error *err)
{
	question q;
	if (!ask(chain, &q))
		return RW_OK;
	RW_TRY(rw_line_of(chain, chain->solution->cases[q.worst].job, &q.line, err));
	q.now = read_case(chain, q.judged);
	RW_TRY(leak_remedy(&q, out, err));
	RW_TRY(ht_remedy(&q, out, err));
	return tell(&q, out, err);
}
