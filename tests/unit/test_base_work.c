#include <stdlib.h>
#include <string.h>

#include "base/base.h"
#include "base/work.h"
#include "tests/check.h"

static void polls_cancel(void **state)
{
	(void)state;
	rw_work work;
	rw_work_init(&work);
	rw_error err;
	assert_int_equal(rw_work_poll(&work, &err), RW_OK);
	atomic_bool cancel = false;
	work.cancel = &cancel;
	assert_int_equal(rw_work_poll(&work, &err), RW_OK);
	atomic_store(&cancel, true);
	assert_int_equal(rw_work_poll(&work, &err), RW_E_CANCELLED);
	assert_int_equal(err.status, RW_E_CANCELLED);
	assert_non_null(rw_arena_get(&work.scratch, 100));
	rw_work_release(&work);
}

static rw_memo_key key_of(int i) { return rw_memo_hash((rw_memo_key){0, 0}, &i, sizeof i); }

static void hash_covers_seed_and_bytes(void **state)
{
	(void)state;
	const rw_memo_key seeds[] = {{0, 0}, {1, 0}, {0, 1}, {UINT64_C(1) << 63, 0}, {0, UINT64_C(1) << 63}};
	rw_memo_key seen[20];
	int n = 0;
	for (size_t i = 0; i < sizeof seeds / sizeof *seeds; i++) {
		seen[n++] = rw_memo_hash(seeds[i], "anode", 5);
		seen[n++] = rw_memo_hash(seeds[i], "anode", 6);
		seen[n++] = rw_memo_hash(seeds[i], "anodf", 5);
		seen[n++] = rw_memo_hash(seeds[i], "", 0);
	}
	for (int i = 0; i < n; i++)
		for (int j = 0; j < i; j++) {
			assert_int_not_equal(seen[i].low, seen[j].low);
			assert_int_not_equal(seen[i].high, seen[j].high);
		}
	rw_memo_key again = rw_memo_hash(seeds[0], "anode", 5);
	assert_true(again.low == seen[0].low && again.high == seen[0].high);
	/* the same parts in another order are another key */
	rw_memo_key ab = rw_memo_hash(rw_memo_hash(seeds[0], "a", 1), "b", 1), ba = rw_memo_hash(rw_memo_hash(seeds[0], "b", 1), "a", 1);
	assert_int_not_equal(ab.low, ba.low);
}

static void remembers_exactly(void **state)
{
	(void)state;
	rw_memo *memo = rw_memo_new(4);
	assert_non_null(memo);
	const double values[] = {2.385, -0.0, 1e-300};
	double got[3] = {7.0, 7.0, 7.0};
	assert_false(rw_memo_get(memo, key_of(1), got, sizeof got));
	rw_memo_put(memo, key_of(1), values, sizeof values);
	assert_false(rw_memo_get(memo, key_of(1), got, sizeof got - 8));
	assert_true(got[0] == 7.0);
	assert_true(rw_memo_get(memo, key_of(1), got, sizeof got));
	assert_memory_equal(got, values, sizeof got);
	rw_memo_put(memo, key_of(2), NULL, 0);
	assert_true(rw_memo_get(memo, key_of(2), NULL, 0));
	rw_memo_free(memo);
	rw_memo_free(NULL);
}

static void oldest_goes_first(void **state)
{
	(void)state;
	rw_memo *memo = rw_memo_new(3);
	for (int i = 0; i < 3; i++)
		rw_memo_put(memo, key_of(i), &i, sizeof i);
	int again = 40, got;
	rw_memo_put(memo, key_of(0), &again, sizeof again);      /* put anew: the youngest now, and 0 leaves its old place */
	assert_true(rw_memo_get(memo, key_of(0), &got, sizeof got) && got == 40);
	for (int i = 10; i < 12; i++)
		rw_memo_put(memo, key_of(i), &i, sizeof i);
	assert_false(rw_memo_get(memo, key_of(1), &got, sizeof got));
	assert_false(rw_memo_get(memo, key_of(2), &got, sizeof got));
	assert_true(rw_memo_get(memo, key_of(0), &got, sizeof got) && got == 40);
	assert_true(rw_memo_get(memo, key_of(11), &got, sizeof got) && got == 11);
	rw_memo_free(memo);
}

static void bytes_are_bounded(void **state)
{
	(void)state;
	enum { BIG = 20000 };
	rw_memo *memo = rw_memo_new(3);        /* 48 KiB in all: two of these fit, three do not */
	unsigned char *bytes = calloc(1, 4 * BIG);
	assert_non_null(bytes);
	for (int i = 0; i < 3; i++) {
		bytes[0] = (unsigned char)i;
		rw_memo_put(memo, key_of(i), bytes, BIG);
	}
	assert_false(rw_memo_get(memo, key_of(0), bytes, BIG));
	assert_true(rw_memo_get(memo, key_of(1), bytes, BIG) && bytes[0] == 1);
	assert_true(rw_memo_get(memo, key_of(2), bytes, BIG) && bytes[0] == 2);
	rw_memo_put(memo, key_of(9), bytes, 4 * BIG);          /* more than all of it: not kept, and nothing thrown out for it */
	assert_false(rw_memo_get(memo, key_of(9), bytes, 4 * BIG));
	assert_true(rw_memo_get(memo, key_of(2), bytes, BIG));
	free(bytes);
	rw_memo_free(memo);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(polls_cancel), cmocka_unit_test(hash_covers_seed_and_bytes), cmocka_unit_test(remembers_exactly),
		cmocka_unit_test(oldest_goes_first), cmocka_unit_test(bytes_are_bounded),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
