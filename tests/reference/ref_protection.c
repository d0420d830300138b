/* Discharge of stored energy against reference rows. */
#include "tests/check.h"

#include "base/base.h"
#include "protection/protection.h"
#include "tests/reference/rows.h"

static bool is(const rw_row *row, const char *key) { return strcmp(row->key, key) == 0; }

static void check_discharge(rw_row *row)
{
	rw_error err;
	rw_protection_in in;
	rw_protection_set set;
	rw_room_blank(&rw_protection_room, &in, &set, NULL);
	double volts = rw_row_input(row, "voltage_dc");
	in.n_stores = 1;
	in.stores[0].capacitance = rw_row_input(row, "capacitance");
	in.safe_voltage_dc = rw_row_input(row, "to");
	if (!is(row, "bleeder_resistance"))
		in.bleeder_resistance = rw_row_input(row, "resistance");
	CHECK_OK(rw_protection_choose(&in, volts, 0.0, &err), &err);
	CHECK_OK(rw_protection_solve(&in, volts, 0.0, &set, &err), &err);
	rw_row_check(row, is(row, "discharge_time") ? set.discharge_time : is(row, "stored_energy") ? set.stored_energy
	                : is(row, "bleeder_power") ? set.bleeder_power : is(row, "bleeder_resistance") ? in.bleeder_resistance : (double)NAN);
}

static void test_discharge(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/protection/discharge.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		check_discharge(row);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_discharge)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
