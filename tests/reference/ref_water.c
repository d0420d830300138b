/* Cooling water against reference rows: flow, conductivity over temperature, leakage through hoses. */
#include "tests/check.h"

#include "base/base.h"
#include "tests/reference/rows.h"
#include "tests/water_table.h"
#include "water/water.h"

static rw_arena arena;
static rw_table water;

static void test_flow(void **state)
{
	(void)state;
	rw_error err;
	rw_rows rows = rw_rows_open("tests/reference/water/flow.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		double flow;
		assert_string_equal(row->key, "flow");
		CHECK_OK(rw_water_flow(rw_row_input(row, "heat"), rw_row_input(row, "inlet"), rw_row_input(row, "outlet"), &water, &flow, &err), &err);
		rw_row_check(row, flow);
	}
}

static double conductivity_at(const rw_row *row, const char *temperature)
{
	rw_error err;
	double conductivity;
	CHECK_OK(rw_water_conductivity(rw_row_input(row, "conductivity"), rw_row_input(row, temperature), &water, &conductivity, &err), &err);
	return conductivity;
}

static void test_conductivity(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/water/conductivity.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		assert_string_equal(row->key, "conductivity");
		rw_row_check(row, conductivity_at(row, "temperature"));
	}
}

static bool is(const rw_row *row, const char *key) { return strcmp(row->key, key) == 0; }

/* Two hoses through the case itself: heat is what lifts the water from inlet to outlet. */
static rw_water_branch_case two_hoses(const rw_row *row)
{
	rw_error err;
	rw_water_in in;
	rw_water_case out;
	rw_room_blank(&rw_water_room, &in, NULL, NULL);
	in.n_branches = 1;
	in.inlet_temperature = rw_row_input(row, "inlet");
	in.conductivity = rw_row_input(row, "conductivity");
	in.branches[0] = (rw_water_branch_in){.bore = rw_row_input(row, "bore"), .length = rw_row_input(row, "length"), .potential = RW_POTENTIAL_HT};
	double heat = 17130.0;
	CHECK_OK(rw_water_flow(heat, in.inlet_temperature, rw_row_input(row, "outlet"), &water, &in.branches[0].flow, &err), &err);
	CHECK_OK(rw_water_solve(&in, &heat, rw_row_input(row, "voltage_dc"), &water, &out, &err), &err);
	return out.branches[0];
}

static double hoses_in_parallel(const rw_row *row)
{
	double one = rw_water_column_resistance(conductivity_at(row, "temperature"), rw_row_input(row, "bore"), rw_row_input(row, "length"));
	return one / rw_row_input(row, "hoses");
}

/* What the row asks for; NAN for a key nobody knows, which then fails. */
static double leakage_figure(const rw_row *row)
{
	double volts = rw_row_input(row, "voltage_dc");
	if (is(row, "length"))
		return volts / rw_row_input(row, "current") / rw_water_column_resistance(rw_row_input(row, "conductivity"), rw_row_input(row, "bore"), 1.0);
	if (is(row, "resistance"))
		return hoses_in_parallel(row);
	if (is(row, "current"))
		return volts / hoses_in_parallel(row);
	if (is(row, "loss"))
		return volts * volts / hoses_in_parallel(row);
	rw_water_branch_case out = two_hoses(row);
	if (is(row, "leakage_cold") || is(row, "resistance_cold"))
		return is(row, "leakage_cold") ? out.leakage_cold : volts / out.leakage_cold;
	if (is(row, "leakage_hot") || is(row, "resistance_hot"))
		return is(row, "leakage_hot") ? out.leakage_hot : volts / out.leakage_hot;
	return is(row, "leakage_both") ? out.leakage_loss / volts : (double)NAN;
}

static void test_leakage(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/water/leakage.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		rw_row_check(row, leakage_figure(row));
}

int main(void)
{
	rw_base_init();
	rw_arena_init(&arena);
	rw_water_table(&arena, &water);
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_flow),
		cmocka_unit_test(test_conductivity),
		cmocka_unit_test(test_leakage),
	};
	int failed = cmocka_run_group_tests(tests, NULL, NULL);
	rw_arena_release(&arena);
	return failed;
}
