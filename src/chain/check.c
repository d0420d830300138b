/* Checks: every limit of every room in every case; kept is the worst case of each, worst first. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "chain/chain.h"
#include "item/graph.h"

static const double near_share = 0.05;   /* less margin than this reads 'near limit', or less than the figure's own uncertainty */

typedef struct checker {
	rw_chain *chain;
	const rw_graph *graph;
	bool *given;               /* [graph->n] inputs that are unverified themselves */
	const rw_room *room;
	const rw_limit *limit;
	const rw_expr *figure, *bound, *when;
	const rw_item *item;       /* the figure the limit is mainly about; NULL: none */
} checker;

static void mark_unverified(void *context, rw_slot slot)
{
	checker *c = context;
	const rw_item *item = rw_slot_item(c->chain->full, slot);
	if (item->input && rw_slot_origin(c->chain->full, slot)->unverified)
		c->given[rw_graph_node(c->graph, slot.room, slot.item)] = true;
}

/* Which figures rest on what is marked: through every formula. */
static rw_status spread_unverified(checker *c, rw_error *err)
{
	rw_arena *arena = c->chain->arena;
	bool *rests = RW_ARENA_NEW(arena, bool, c->graph->n), *reached = RW_ARENA_NEW(arena, bool, c->graph->n);
	c->given = RW_ARENA_NEW(arena, bool, c->graph->n);
	if (!rests || !reached || !c->given)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	rw_view inputs = rw_chain_view(c->chain, 0, RW_NO_CASE);
	rw_each_slot(&inputs, mark_unverified, c);
	for (int node = 0; node < c->graph->n; node++) {
		memset(reached, 0, sizeof *reached * (size_t)c->graph->n);
		rw_graph_reach(c->graph, node, reached);
		for (int i = 0; i < c->graph->n && !rests[node]; i++)
			rests[node] = reached[i] && c->given[i];
	}
	c->chain->graph = c->graph;
	c->chain->unverified = rests;
	return RW_OK;
}

bool rw_chain_unverified(const rw_chain *chain, rw_slot slot)
{
	const rw_item *item = rw_slot_item(chain->full, slot);
	if (item->input && rw_slot_origin(chain->full, slot)->state == RW_GIVEN)
		return rw_slot_origin(chain->full, slot)->unverified;
	return chain->unverified[rw_graph_node(chain->graph, slot.room, slot.item)];
}

static rw_status rests_on_unverified(const checker *c, const char *formula, bool *out, rw_error *err)
{
	int nodes[32], n;
	RW_TRY(rw_graph_reads(c->chain->arena, c->graph, formula, nodes, 32, &n, err));
	for (int i = 0; i < n; i++)
		*out = *out || c->chain->unverified[nodes[i]];
	return RW_OK;
}

/* The figure a formula is mainly about: the first key it reads. */
static void first_key(void *context, const char *key, bool aggregate)
{
	const char **first = context;
	(void)aggregate;
	if (!*first)
		*first = key;
}

static const rw_item *main_item(const checker *c)
{
	const char *key = NULL;
	rw_slot slot;
	rw_view view = rw_chain_view(c->chain, 0, c->chain->solution->design_case);
	rw_expr_keys(c->figure, first_key, &key);
	if (!key || rw_slot_find(&view, key, 0, &slot, NULL) != RW_OK)
		return NULL;
	return rw_slot_item(c->chain->full, slot);
}

/* A temperature's margin is a share of its degrees Celsius: of kelvins it would always look small. */
static double margin_of(double value, double limit, rw_sense sense, const rw_kind *kind)
{
	double span = fabs(kind && kind->point ? limit - 273.15 : limit);
	if (span == 0.0)
		return sense == RW_AT_MOST ? -value : value;
	return (sense == RW_AT_MOST ? limit - value : value - limit) / span;
}

enum { NOWHERE = -2 };   /* beside the cases' numbers and RW_NO_CASE */

typedef enum telling { DOES_NOT_APPLY, CANNOT_BE_TOLD, TOLD } telling;

/* One limit in one case. */
static telling evaluate(const checker *c, int element, int scase, rw_check *out)
{
	rw_view view = rw_chain_view(c->chain, scase >= 0 ? c->chain->solution->cases[scase].job : 0, scase);
	rw_expr_host host = rw_view_host(&view);
	rw_expr_scope scope = {element, scase};
	double applies = 1.0, value, limit;
	if (c->when && rw_expr_value(c->when, &host, scope, &applies, NULL) == RW_OK && applies == 0.0)
		return DOES_NOT_APPLY;
	if (rw_expr_value(c->figure, &host, scope, &value, NULL) != RW_OK || rw_expr_value(c->bound, &host, scope, &limit, NULL) != RW_OK)
		return CANNOT_BE_TOLD;
	*out = (rw_check){.value = value, .limit = limit, .scase = scase, .job = view.job, .ok = 1,
	                  .margin = margin_of(value, limit, c->limit->sense, c->item ? c->item->kind : NULL)};
	return TOLD;
}

static int asked_job(const checker *c) { return c->chain->asked ? c->chain->asked->job : 0; }

/* Every job's, or those of the job that is asked about. */
static bool case_asked(const checker *c, int scase)
{
	return scase < 0 || !c->chain->asked || c->chain->solution->cases[scase].job == c->chain->asked->job;
}

static bool limit_given(const checker *c, int element)
{
	rw_view view = rw_chain_view(c->chain, asked_job(c), RW_NO_CASE);
	rw_slot slot;
	return !c->limit->needs || (rw_slot_find(&view, c->limit->needs, element, &slot, NULL) == RW_OK && rw_item_exists(&view, slot));
}

/* A case that did not solve leaves every check of the line's figures untold there: the check then cannot be passed. */
static bool reads_cases(const checker *c)
{
	return c->item && (rw_item_place(c->item) == RW_IN_CASE || c->room->per_job);   /* a job's figure is met in each of its cases */
}

static const char *remedy_of(const checker *c)
{
	for (int i = 0; i < c->chain->n_remedies; i++)
		if (strcmp(c->chain->remedies[i].check, c->limit->key) == 0)
			return c->chain->remedies[i].text;
	return c->limit->remedy;
}

static rw_status check_element(checker *c, int element, const char *element_name, rw_error *err)
{
	const rw_solution *s = c->chain->solution;
	const rw_check nothing = {.ok = -1, .margin = (double)NAN, .value = (double)NAN, .limit = (double)NAN, .scase = RW_NO_CASE};
	rw_check worst = nothing, one;
	int untold = NOWHERE, first = reads_cases(c) ? 0 : RW_NO_CASE, last = reads_cases(c) ? s->n_cases : 0;   /* a case in which it cannot be told */
	bool any = false;
	for (int k = first; k < last; k++) {
		if (!case_asked(c, k))
			continue;
		telling told = evaluate(c, element, k, &one);
		if (told == CANNOT_BE_TOLD && untold == NOWHERE)
			untold = k;
		if (told == TOLD && (!any || one.margin < worst.margin)) {
			worst = one;
			any = true;
		}
	}
	if (!any && untold == NOWHERE)
		return RW_OK;   /* it applies nowhere */
	if (untold != NOWHERE && !(any && worst.margin < 0.0)) {   /* over in one case is over; else what cannot be told is not passed */
		worst = nothing;
		worst.scase = untold;
		worst.why_not = untold >= 0 && s->why_not[untold] ? s->why_not[untold] : "what it rests on was not solved";
	}
	worst.limit_row = c->limit;
	worst.remedy = remedy_of(c);
	worst.of_job = c->item && c->room->per_job && rw_item_place(c->item) != RW_IN_CASE;
	worst.kind = c->item ? c->item->kind : NULL;
	worst.uncertainty = c->item ? c->item->uncertainty : 0.0;
	snprintf(worst.key, sizeof worst.key, "%s%s%s", c->limit->key, element_name[0] ? "." : "", element_name);
	snprintf(worst.figure_text, sizeof worst.figure_text, "%s%s%s", c->limit->text, element_name[0] ? ", " : "", element_name);
	if (!limit_given(c, element)) {
		worst.ok = -1;
		worst.scase = RW_NO_CASE;
		worst.no_limit = true;
		worst.why_not = "no limit is given";
	} else if (worst.ok == 1 && worst.margin < 0.0) {
		worst.ok = 0;
	}
	worst.near = worst.ok == 1 && worst.margin < fmax(near_share, worst.uncertainty);
	RW_TRY(rests_on_unverified(c, c->limit->figure, &worst.unverified, err));
	RW_TRY(rests_on_unverified(c, c->limit->limit, &worst.unverified, err));
	rw_check *grown = RW_ARENA_NEW(c->chain->arena, rw_check, c->chain->n_checks + 1);
	if (!grown)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	if (c->chain->n_checks)
		memcpy(grown, c->chain->checks, sizeof *grown * (size_t)c->chain->n_checks);
	grown[c->chain->n_checks++] = worst;
	c->chain->checks = grown;
	return RW_OK;
}

rw_status rw_chain_margin(rw_chain *chain, const rw_room *room, const rw_limit *limit, int job, double *margin, rw_error *err)
{
	checker c = {.chain = chain, .room = room, .limit = limit};
	rw_check one;
	rw_arena_mark mark = rw_arena_here(chain->arena);
	rw_status status = rw_expr_read(chain->arena, limit->figure, &c.figure, err);
	*margin = (double)NAN;
	if (status == RW_OK)
		status = rw_expr_read(chain->arena, limit->limit, &c.bound, err);
	if (status == RW_OK && limit->when)
		status = rw_expr_read(chain->arena, limit->when, &c.when, err);
	for (int k = 0; k < chain->solution->n_cases && status == RW_OK && limit_given(&c, RW_NO_ELEMENT); k++)
		if (chain->solution->cases[k].job == job && evaluate(&c, RW_NO_ELEMENT, k, &one) == TOLD && !(one.margin >= *margin))
			*margin = one.margin;
	rw_arena_rewind(chain->arena, mark);
	return status;
}

static void find_star(void *context, const char *key, bool aggregate)
{
	const char **star = context;
	if (!aggregate && strchr(key, '*') && !*star)
		*star = key;
}

static rw_status check_limit(checker *c, rw_error *err)
{
	rw_arena *arena = c->chain->arena;
	RW_TRY(rw_expr_read(arena, c->limit->figure, &c->figure, err));
	RW_TRY(rw_expr_read(arena, c->limit->limit, &c->bound, err));
	c->item = main_item(c);
	c->when = NULL;
	if (c->limit->when)
		RW_TRY(rw_expr_read(arena, c->limit->when, &c->when, err));
	const char *star = NULL;
	rw_expr_keys(c->figure, find_star, &star);
	if (!star)
		return check_element(c, RW_NO_ELEMENT, "", err);
	rw_view view = rw_chain_view(c->chain, 0, c->chain->solution->design_case);
	rw_slot slot;
	RW_TRY(rw_slot_find(&view, star, 0, &slot, err));
	int list = rw_slot_item(c->chain->full, slot)->list - 1;
	for (int e = 0; e < rw_design_elements(c->chain->full, slot.room, list, 0); e++)
		RW_TRY(check_element(c, e, c->chain->full->part[slot.room][0].names[list][e], err));
	return RW_OK;
}

/* Over, not solved, near, within; then by margin; then by key, so that the order never depends on anything else. */
static int rank(const rw_check *c) { return c->ok == 0 ? 0 : c->no_limit ? 3 : c->ok < 0 ? 1 : 2; }

static int worse_first(const void *a, const void *b)
{
	const rw_check *x = a, *y = b;
	if (rank(x) != rank(y))
		return rank(x) - rank(y);
	if (x->ok >= 0 && y->ok >= 0 && x->margin < y->margin)
		return -1;
	if (x->ok >= 0 && y->ok >= 0 && x->margin > y->margin)
		return 1;
	return strcmp(x->key, y->key);
}

rw_status rw_chain_check(rw_chain *chain, rw_error *err)
{
	checker c = {.chain = chain};
	const rw_stages *stages = chain->base->stages;
	RW_TRY(rw_graph_new(chain->arena, stages->registry, &c.graph, err));
	RW_TRY(spread_unverified(&c, err));
	chain->n_checks = 0;
	for (int r = 0; r < stages->registry->n_rooms; r++) {
		c.room = stages->registry->rooms[r];
		for (int l = 0; l < c.room->n_limits; l++) {
			c.limit = &c.room->limits[l];
			RW_TRY(check_limit(&c, err));
		}
	}
	if (chain->n_checks)
		qsort(chain->checks, (size_t)chain->n_checks, sizeof *chain->checks, worse_first);
	return RW_OK;
}
