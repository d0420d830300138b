/* Leads against reference rows. */
#include "tests/check.h"

#include "base/base.h"
#include "coil/leads.h"
#include "tests/reference/rows.h"

static void test_two_tubes(void **state)
{
	(void)state;
	rw_error err;
	rw_rows rows = rw_rows_open("tests/reference/leads/two-tubes.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		rw_leads_in in = {.inductance = (double)NAN, .resistance = (double)NAN, .temperature = (double)NAN};
		in.length = rw_row_input(row, "length"), in.diameter = rw_row_input(row, "diameter"), in.spacing = rw_row_input(row, "spacing");
		assert_string_equal(row->key, "inductance");
		CHECK_OK(rw_leads_choose(&in, 400e3, &err), &err);
		rw_row_check(row, in.inductance);
	}
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_two_tubes)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
