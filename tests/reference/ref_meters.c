/* What an anode meter reads by its place, against reference rows. */
#include "tests/check.h"

#include "base/base.h"
#include "meters/meters.h"
#include "tests/reference/rows.h"

static void test_places(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/meters/places.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		rw_meters_in in;
		rw_room_blank(&rw_meters_room, &in, NULL, NULL);
		in.anode_place = (int32_t)rw_row_input(row, "place");
		in.leak_foot = (int32_t)rw_row_input(row, "leak_foot");
		in.bleeder_foot = (int32_t)rw_row_input(row, "bleeder_foot");
		const rw_metered currents = {rw_row_input(row, "valves"), rw_row_input(row, "anode_current"), rw_row_input(row, "grid_current"),
		    rw_row_input(row, "bleeder_current")};
		rw_row_check(row, rw_anode_reading(&in, &currents));
	}
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_places)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
