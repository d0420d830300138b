#include <stdalign.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/base.h"
#include "base/table.h"
#include "tests/check.h"

/* A block source that fails once, at its nth call, and counts what is out. */
typedef struct source {
	int calls, fail_at, out;
} source;

static void *get(void *context, size_t bytes)
{
	source *s = context;
	if (++s->calls == s->fail_at)
		return NULL;
	s->out++;
	void *block = malloc(bytes);
	assert_non_null(block);
	return memset(block, 0xA5, bytes);
}

static void put(void *context, void *block)
{
	((source *)context)->out--;
	free(block);
}

static void zeroed_and_aligned(void **state)
{
	(void)state;
	source s = {0};
	rw_arena arena;
	rw_arena_init_from(&arena, (rw_block_source){get, put, &s});
	for (size_t n = 0; n < 200; n += 7) {
		unsigned char *p = rw_arena_get(&arena, n);
		assert_non_null(p);
		assert_int_equal((uintptr_t)p % alignof(max_align_t), 0);
		for (size_t i = 0; i < n; i++)
			assert_int_equal(p[i], 0);
		memset(p, 0xFF, n);
	}
	double *big = RW_ARENA_NEW(&arena, double, 20000);
	assert_non_null(big);
	assert_true(big[19999] == 0.0);
	assert_null(rw_arena_get(&arena, SIZE_MAX));
	assert_null(rw_arena_get(&arena, SIZE_MAX - 40));
	rw_arena_release(&arena);
	assert_int_equal(s.out, 0);
	assert_string_equal(rw_arena_text(&arena, "again", 5), "again");
	rw_arena_release(&arena);
	assert_int_equal(s.out, 0);
}

static void rewinds(void **state)
{
	(void)state;
	source s = {0};
	rw_arena arena;
	rw_arena_init_from(&arena, (rw_block_source){get, put, &s});
	rw_arena_mark start = rw_arena_here(&arena);
	char *kept = rw_arena_format(&arena, "%s %d", "row", 385);
	rw_arena_mark mark = rw_arena_here(&arena);
	void *first = rw_arena_get(&arena, 96);
	for (int i = 0; i < 5; i++)
		assert_non_null(rw_arena_get(&arena, 33000));
	assert_int_equal(s.out, 6);
	rw_arena_rewind(&arena, mark);
	assert_int_equal(s.out, 1);
	assert_ptr_equal(rw_arena_get(&arena, 96), first);
	assert_string_equal(kept, "row 385");
	rw_arena_rewind(&arena, start);
	assert_int_equal(s.out, 0);
}

/* What a table read takes from its arena fails once, at every call in turn; nothing is lost or changed. */
static void every_allocation_fails_once(void **state)
{
	(void)state;
	rw_error err;
	rw_units *units;
	CHECK_OK(rw_units_new(&units, &err), &err);
	const rw_column columns[] = {{"frequency", &rw_kind_frequency, true, 0.0, 1e9}, {"loss", &rw_kind_resistance, false, 0.0, 1.0}};
	int failed = 0;
	for (int n = 1; n < 50; n++) {
		source s = {.fail_at = n};
		rw_arena arena;
		rw_arena_init_from(&arena, (rw_block_source){get, put, &s});
		rw_table table = {.n_rows = -7};
		rw_status status = RW_OK;
		bool other = rw_arena_text(&arena, "x", 1) && rw_arena_copy(&arena, "yz", 2) && rw_arena_get(&arena, 33000) && rw_arena_format(&arena, "%0*d", 2000, 1);
		if (other)
			status = rw_table_read(&arena, units, columns, 2, 2, "frequency/kHz loss/mohm\n 38 1.2\n 385 3.9\n", &table, &err);
		rw_arena_release(&arena);
		assert_int_equal(s.out, 0);
		if (other && status == RW_OK && s.calls < n)
			break;
		failed++;
		if (status != RW_OK) {
			assert_int_equal(status, RW_E_MEMORY);
			assert_int_equal(table.n_rows, -7);
		}
	}
	assert_int_equal(failed, 3);
	source s = {.fail_at = 1};
	rw_arena arena;
	rw_arena_init_from(&arena, (rw_block_source){get, put, &s});
	rw_table table = {.n_rows = -7};
	assert_int_equal(rw_table_read(&arena, units, columns, 2, 1, "frequency/kHz loss/mohm\n 38 1.2\n", &table, &err), RW_E_MEMORY);
	assert_int_equal(table.n_rows, -7);
	assert_int_equal(s.out, 0);
	rw_units_free(units);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(zeroed_and_aligned), cmocka_unit_test(rewinds), cmocka_unit_test(every_allocation_fails_once),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
