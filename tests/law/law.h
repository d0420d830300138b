/* Laws: what must hold for any set. Services all of them need: a base on the data of the tree, a text bound and solved, the files to try.
 * A law's program runs in the source root. */
#ifndef RW_TESTS_LAW_LAW_H
#define RW_TESTS_LAW_LAW_H

#include <glob.h>
#include <stdlib.h>
#include <string.h>

#include "base/base.h"
#include "check.h"

#include "chain/line.h"
#include "generator/generator.h"

#define LAW_EXAMPLE "examples/forge-400.yaml"

/* A sanitizer slows a solve five to ten times: what tries many sets takes a share of them there. */
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
enum { LAW_SHARE = 5 };
#else
enum { LAW_SHARE = 1 };
#endif

/* Is the n-th of many to be tried? RW_LONG in the environment: all are. every: one of so many without a sanitizer. */
static inline bool law_sampled(int n, int every, int first)
{
	return getenv("RW_LONG") || n % (every * LAW_SHARE) == first;
}

/* What all solves of a program stand on. */
typedef struct law_base {
	rw_arena arena;
	rw_units *units;
	rw_chain_base chain;
} law_base;

/* One text, bound, and its solution. */
typedef struct law_set {
	rw_arena arena;
	rw_work work;
	char *bytes;
	size_t n;
	rw_generator generator;
	rw_errors errs;        /* of binding */
	rw_chain chain;
} law_set;

static inline void law_open_on(law_base *base, const rw_stages *stages)
{
	rw_error err;
	const char *data = getenv("RFWRIGHT_DATA");
	memset(base, 0, sizeof *base);
	rw_base_init();
	rw_arena_init(&base->arena);
	CHECK_OK(rw_units_new(&base->units, &err), &err);
	CHECK_OK(rw_chain_base_open(&base->arena, stages, base->units, data ? data : "data", &base->chain, &err), &err);
}

static inline void law_open(law_base *base) { law_open_on(base, &rw_all_stages); }

static inline void law_close(law_base *base)
{
	rw_units_free(base->units);
	rw_arena_release(&base->arena);
}

/* Set-up and tear-down of a group whose tests share one base. */
static inline int law_group_open(void **state)
{
	static law_base base;
	law_open(&base);
	*state = &base;
	return 0;
}

static inline int law_group_close(void **state)
{
	law_close(*state);
	return 0;
}

static inline void law_start(law_set *set)
{
	memset(set, 0, sizeof *set);
	rw_arena_init(&set->arena);
	rw_work_init(&set->work);
}

static inline void law_end(law_set *set)
{
	rw_work_release(&set->work);
	rw_arena_release(&set->arena);
}

/* The text is copied. */
static inline rw_status law_bind(const law_base *base, law_set *set, const char *name, const char *bytes, size_t n, rw_error *err)
{
	set->bytes = rw_arena_text(&set->arena, bytes, n);
	set->n = n;
	assert_non_null(set->bytes);
	return rw_generator_bind(&set->arena, base->units, base->chain.stages->registry, name, set->bytes, n, &set->generator, &set->errs, err);
}

static inline rw_status law_solve(const law_base *base, law_set *set, const rw_design *design, rw_error *err)
{
	return rw_chain_solve(&base->chain, design, &set->arena, &set->work, &set->chain, err);
}

/* A text that must bind and solve. */
static inline void law_solve_text(const law_base *base, law_set *set, const char *name, const char *bytes, size_t n)
{
	rw_error err;
	law_start(set);
	CHECK_OK(law_bind(base, set, name, bytes, n, &err), &err);
	CHECK_OK(law_solve(base, set, set->generator.design, &err), &err);
}

/* A file that must bind and solve. */
static inline void law_solve_file(const law_base *base, law_set *set, const char *path)
{
	rw_arena arena;
	rw_error err;
	char *bytes;
	size_t n;
	rw_arena_init(&arena);
	CHECK_OK(rw_file_read(&arena, path, &bytes, &n, &err), &err);
	law_solve_text(base, set, path, bytes, n);
	rw_arena_release(&arena);
}

/* Calls visit for every generator file of the tree that must solve. */
static inline void law_each_file(void (*visit)(void *context, const char *path), void *context)
{
	glob_t found;
	assert_int_equal(glob("examples/*.yaml", 0, NULL, &found), 0);
	assert_int_equal(glob("tests/files/ok/*.yaml", GLOB_APPEND, NULL, &found), 0);
	for (size_t i = 0; i < found.gl_pathc; i++)
		visit(context, found.gl_pathv[i]);
	globfree(&found);
}

static inline bool law_is_example(const char *path) { return strncmp(path, "examples/", strlen("examples/")) == 0; }

/* Does the struct that holds this figure hold solved figures? Inputs always. */
static inline bool law_solved(const rw_solution *solution, rw_slot slot)
{
	const rw_room *room = solution->design->registry->rooms[slot.room];
	switch (rw_item_place(&room->items[slot.item])) {
	case RW_IN_INPUT: return true;
	case RW_IN_SET:   return solution->set_solved[slot.room][room->per_job ? slot.job : 0];
	default:          return slot.scase >= 0 && solution->solved[slot.room][slot.scase];
	}
}

typedef struct law_visit {
	void (*visit)(void *context, const rw_view *view, rw_slot slot);
	void *context;
	const rw_view *view;
	bool of_case, first_job;
} law_visit;

static inline void law_visit_slot(void *context, rw_slot slot)
{
	const law_visit *v = context;
	bool per_job = v->view->design->registry->rooms[slot.room]->per_job;
	if ((slot.scase != RW_NO_CASE) == v->of_case && (v->of_case || per_job || v->first_job))
		v->visit(v->context, v->view, slot);
}

/* Every figure of a solved chain once: those of the set, of each job, of each case. */
static inline void law_each_figure(const rw_chain *chain, void (*visit)(void *context, const rw_view *view, rw_slot slot), void *context)
{
	for (int job = 0; job < chain->full->n_jobs; job++) {
		rw_view view = rw_chain_view(chain, job, RW_NO_CASE);
		law_visit v = {visit, context, &view, false, job == 0};
		rw_each_slot(&view, law_visit_slot, &v);
	}
	for (int k = 0; k < chain->solution->n_cases; k++) {
		rw_view view = rw_chain_view(chain, chain->solution->cases[k].job, k);
		law_visit v = {visit, context, &view, true, false};
		rw_each_slot(&view, law_visit_slot, &v);
	}
}

#endif
