/* Duty against reference rows. */
#include "tests/check.h"

#include "base/base.h"
#include "duty/duty.h"
#include "tests/reference/rows.h"

static bool is(const rw_row *row, const char *key) { return strcmp(row->key, key) == 0; }

static void test_pattern(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/duty/pattern.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		rw_error err;
		rw_duty_in in;
		rw_duty_set set;
		rw_room_blank(&rw_duty_room, &in, &set, NULL);
		in.on_time = rw_row_input(row, "on_time");
		in.period = rw_row_input(row, "period");
		if (is(row, "makes_per_year"))
			in.shots_per_year = rw_row_input(row, "shots");
		CHECK_OK(rw_duty_choose(&in, 0.0, 1000.0, &err), &err);
		rw_duty_set_solve(&in, 0.0, rw_row_input(row, "constant"), 5.0, true, 1000.0, (double)NAN, &set);
		rw_row_check(row, is(row, "rms_factor") ? set.rms_factor : is(row, "duty_cycle") ? set.duty_cycle
		                : is(row, "makes_per_year") ? set.makes_per_year : is(row, "transformer_share") ? set.transformer_share : (double)NAN);
	}
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_pattern)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
