/* What tests on the library stand on: the unit system and the library of the tree, opened once a group. */
#ifndef RW_TESTS_LIBRARY_BENCH_H
#define RW_TESTS_LIBRARY_BENCH_H

#include "tests/check.h"

#include "base/units.h"
#include "library/library.h"

typedef struct bench {
	rw_arena arena;
	rw_units *units;
	rw_library *library;
} bench;

static inline int set_up(void **state)
{
	static bench b;
	rw_error err;
	rw_arena_init(&b.arena);
	CHECK_OK(rw_units_new(&b.units, &err), &err);
	CHECK_OK(rw_library_open(&b.arena, "data", &b.library, &err), &err);
	*state = &b;
	return 0;
}

static inline int tear_down(void **state)
{
	bench *b = *state;
	rw_units_free(b->units);
	rw_arena_release(&b->arena);
	return 0;
}

#endif
