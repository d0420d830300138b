/* Cooling water: flow and outlet as inverses, hoses against their rules, leakage as resistances in parallel, and what is refused. */
#include "tests/check.h"

#include <string.h>

#include "base/base.h"
#include "tests/water_table.h"
#include "water/water.h"

static const double open_value = (double)NAN;

static rw_arena arena;
static rw_table water;

static rw_water_in open_in(int n)
{
	rw_water_in in;
	rw_room_blank(&rw_water_room, &in, NULL, NULL);
	in.inlet_temperature = 313.15;
	in.n_branches = n;
	for (int i = 0; i < n; i++) {
		in.branches[i].takes = i % 2 ? RW_TAKES_TANK : RW_TAKES_VALVE;
		in.branches[i].potential = i % 2 ? RW_POTENTIAL_EARTH : RW_POTENTIAL_HT;
	}
	return in;
}

/* The table as printed, looked at without the code under test: rows and columns where they should be. */
static void test_table_is_the_file(void **state)
{
	(void)state;
	assert_int_equal(water.n_rows, 14);
	CHECK_NEAR(rw_table_cell(&water, 0, 0), 273.15, 1e-15, "0 degC");
	CHECK_NEAR(rw_table_cell(&water, 8, 0), 333.15, 1e-15, "60 degC");
	CHECK_NEAR(rw_table_cell(&water, 8, 1), 983.195, 1e-15, "file");
	CHECK_NEAR(rw_table_cell(&water, 8, 2), 4184.9, 1e-15, "file");
	CHECK_NEAR(rw_table_cell(&water, 8, 3), 0.25947e-4, 1e-14, "0.25947 uS/cm");
	CHECK_NEAR(rw_table_cell(&water, 13, 3), 0.7762e-4, 1e-14, "0.7762 uS/cm");
}

static void test_flow_at_rows_of_the_table(void **state)
{
	(void)state;
	rw_error err;
	double flow;
	CHECK_OK(rw_water_flow(23850.0, 303.15, 343.15, &water, &flow, &err), &err);   /* mean 50 degC */
	CHECK_NEAR(flow * 988.035 * 4181.2 * 40.0, 23850.0, 1e-12, "heat balance by hand");
}

static void test_conductivity_at_rows_of_the_table(void **state)
{
	(void)state;
	rw_error err;
	double conductivity;
	CHECK_OK(rw_water_conductivity(0.737e-4, 333.15, &water, &conductivity, &err), &err);
	CHECK_NEAR(conductivity, (0.25947 + (0.737 - 0.05502) * 1.7) * 1e-4, 1e-12, "formula by hand, 60 degC");
	CHECK_OK(rw_water_conductivity(0.737e-4, 298.15, &water, &conductivity, &err), &err);
	CHECK_NEAR(conductivity, 0.737e-4, 1e-12, "25 degC is where it is stated");
	CHECK_OK(rw_water_conductivity(5.5e-6, 343.15, &water, &conductivity, &err), &err);
	CHECK_NEAR(conductivity, 0.35858e-4, 1e-12, "pure water is left pure");
	assert_int_equal(rw_water_conductivity(5.3e-6, 313.15, &water, &conductivity, &err), RW_E_RANGE);
	assert_string_equal(err.key, "water.conductivity");
}

/* Flow for an outlet, then outlet for that flow: the same temperature back, at any heat and rise. */
static void test_outlet_is_the_inverse_of_flow(void **state)
{
	(void)state;
	rw_error err;
	for (int k = 0; k < 24; k++) {
		double heat = 317.0 * pow(1.37, k), inlet = 276.3 + 1.9 * k, outlet = inlet + 2.385 + 1.13 * k;
		rw_water_in in = open_in(1);
		in.branches[0].potential = RW_POTENTIAL_EARTH;
		in.branches[0].bore = 0.0237;
		in.inlet_temperature = inlet;
		CHECK_OK(rw_water_flow(heat, inlet, outlet, &water, &in.branches[0].flow, &err), &err);
		rw_water_case out;
		CHECK_OK(rw_water_solve(&in, &heat, 9137.0, &water, &out, &err), &err);
		CHECK_NEAR_SCALE(out.branches[0].outlet_temperature, outlet, 1e-9, outlet - inlet, "inverse of the flow");
		CHECK_NEAR(out.branches[0].velocity * M_PI * 0.01185 * 0.01185, in.branches[0].flow, 1e-12, "continuity");
		assert_true(out.branches[0].leakage_cold == 0.0 && out.branches[0].leakage_loss == 0.0 && out.branches[0].stress == 0.0);
	}
}

/* No heat: the outlet is the inlet. */
static void test_no_heat(void **state)
{
	(void)state;
	rw_error err;
	rw_water_in in = open_in(1);
	in.branches[0].flow = 2.385e-4, in.branches[0].bore = 0.0127, in.branches[0].length = 3.75, in.conductivity = 1e-4;
	rw_water_case out;
	double heat = 0.0;
	CHECK_OK(rw_water_solve(&in, &heat, 9137.0, &water, &out, &err), &err);
	CHECK_NEAR(out.branches[0].outlet_temperature, 313.15, 1e-15, "no heat, no rise");
	CHECK_NEAR(out.branches[0].leakage_hot, out.branches[0].leakage_cold, 1e-15, "both hoses alike");
}

/* What the rules chose keeps them all, and one step less would not. */
static void test_choice_keeps_its_rules(void **state)
{
	(void)state;
	rw_error err;
	static const double step = 0.5e-3 / 60.0, bores[] = {0.0, 0.008, 0.010, 0.0127, 0.016, 0.019, 0.0254};
	for (int k = 0; k < 30; k++) {
		rw_water_in in = open_in(2);
		rw_water_set set;
		rw_room_blank(&rw_water_room, NULL, &set, NULL);
		double heat[2] = {1713.0 * pow(1.12, k), 437.0}, volts = 2137.0 + 411.3 * k;
		set.branches[0] = (rw_water_branch_set){heat[0], volts, 0.0};
		set.branches[1] = (rw_water_branch_set){heat[1], 0.0, 0.0};
		CHECK_OK(rw_water_choose(&in, &set, &water, &err), &err);
		const rw_water_branch_in *b = &in.branches[0];
		rw_water_case out;
		CHECK_OK(rw_water_solve(&in, heat, volts, &water, &out, &err), &err);
		assert_true(out.branches[0].outlet_temperature <= 338.15 && out.branches[0].velocity <= 2.0);
		assert_true(out.branches[0].leakage_hot <= 0.25e-3 && out.branches[0].stress <= 2500.0);
		assert_true(isnan(in.branches[1].length));
		CHECK_NEAR(set.flow_total, b->flow + in.branches[1].flow, 1e-15, "sum");
		CHECK_NEAR(b->flow / step, round(b->flow / step), 1e-12, "a multiple of 0.5 L/min");
		CHECK_NEAR(b->length / 0.25, round(b->length / 0.25), 1e-12, "a multiple of 0.25 m");
		if (b->flow > 1.5 * step) {
			rw_water_in less = in;
			less.branches[0].flow -= step;
			CHECK_OK(rw_water_solve(&less, heat, volts, &water, &out, &err), &err);
			assert_true(out.branches[0].outlet_temperature > 338.15);
		}
		int chosen = 1;
		while (bores[chosen] != b->bore)
			assert_true(++chosen < 7);
		assert_true(chosen == 1 || b->flow / (0.25 * M_PI * bores[chosen - 1] * bores[chosen - 1]) > 2.0);
		double shorter = b->length - 0.25, hot = (0.30657 + (1.0 - 0.05502) * 1.8) * 1e-4;   /* 65 degC, by hand */
		assert_true(shorter == 0.0 || volts / shorter > 2500.0 || volts * hot * 0.25 * M_PI * b->bore * b->bore / shorter > 0.25e-3);
	}
}

/* The two hoses as resistances in parallel. */
static void test_leakage_is_two_resistances(void **state)
{
	(void)state;
	rw_error err;
	rw_water_in in = open_in(1);
	in.branches[0].flow = 2.385e-4, in.branches[0].bore = 0.0143, in.branches[0].length = 3.37, in.conductivity = 1.31e-4;
	rw_water_case out;
	double heat = 17130.0, cold, hot;
	CHECK_OK(rw_water_solve(&in, &heat, 9137.0, &water, &out, &err), &err);
	const rw_water_branch_case *b = &out.branches[0];
	CHECK_OK(rw_water_conductivity(1.31e-4, 313.15, &water, &cold, &err), &err);
	CHECK_OK(rw_water_conductivity(1.31e-4, b->outlet_temperature, &water, &hot, &err), &err);
	double r1 = rw_water_column_resistance(cold, 0.0143, 3.37), r2 = rw_water_column_resistance(hot, 0.0143, 3.37);
	CHECK_NEAR(r1 * cold * M_PI * 0.00715 * 0.00715, 3.37, 1e-12, "R = L/(kappa A)");
	CHECK_NEAR(b->leakage_loss, 9137.0 * 9137.0 * (r1 + r2) / (r1 * r2), 1e-12, "V^2 over the two in parallel");
	CHECK_NEAR(b->leakage_hot * r2, b->leakage_cold * r1, 1e-12, "the same volts along both");
	CHECK_NEAR(out.leakage_loss, b->leakage_loss, 1e-15, "one branch");
	CHECK_NEAR(out.heat, heat, 1e-15, "one branch");
	CHECK_NEAR(b->stress * 3.37, 9137.0, 1e-12, "volts over length");
}

static void refused(rw_water_in in, double heat, double volts, rw_status status, const char *key)
{
	rw_error err;
	rw_water_in before;
	rw_water_set set, was;
	rw_room_blank(&rw_water_room, NULL, &set, NULL);
	set.branches[0] = set.branches[1] = (rw_water_branch_set){heat, volts, 0.0};
	memcpy(&before, &in, sizeof in);
	memcpy(&was, &set, sizeof set);
	assert_int_equal(rw_water_choose(&in, &set, &water, &err), status);
	assert_string_equal(err.key, key);
	assert_memory_equal(&in, &before, sizeof in);
	assert_memory_equal(&set, &was, sizeof set);
}

static void test_choice_refused(void **state)
{
	(void)state;
	rw_water_in in = open_in(2);
	refused(in, 317e3, 9137.0, RW_E_RANGE, "water.branches.1.bore");   /* wants 184 L/min, 25.4 mm takes 60.8 */
	refused(in, open_value, 9137.0, RW_E_RANGE, "water.branches.1.heat_greatest");
	in.branches[1].takes = RW_TAKES_GIVEN;
	refused(in, 2385.0, 9137.0, RW_E_MISSING, "water.branches.2.heat");
	in = open_in(2);
	in.outlet_limit = 313.15;
	refused(in, 2385.0, 9137.0, RW_E_RANGE, "water.outlet_limit");
	in = open_in(2);
	in.inlet_temperature = 271.0;
	in.outlet_limit = 274.0;
	refused(in, 2385.0, 9137.0, RW_E_RANGE, "water");
}

static void test_solution_refused(void **state)
{
	(void)state;
	rw_error err;
	rw_water_in in = open_in(1);
	in.branches[0].flow = 1.713e-4, in.branches[0].bore = 0.0127, in.branches[0].length = 3.75, in.conductivity = 1e-4;
	rw_water_case out, was;
	memset(&out, 0xA5, sizeof out);
	memcpy(&was, &out, sizeof was);
	double boils = 60.3 * 1.713e-4 * 4192.0 * 977.8, hot = 59.5 * 1.713e-4 * 4190.0 * 977.8, bad = open_value;   /* 60 K is left to 100 degC */
	assert_int_equal(rw_water_solve(&in, &boils, 9137.0, &water, &out, &err), RW_E_RANGE);
	assert_string_equal(err.key, "water.branches.1.outlet_temperature");
	assert_int_equal(rw_water_solve(&in, &bad, 9137.0, &water, &out, &err), RW_E_RANGE);
	assert_string_equal(err.key, "water.branches.1.heat_taken");
	in.branches[0].length = open_value;
	assert_int_equal(rw_water_solve(&in, &hot, 9137.0, &water, &out, &err), RW_E_MISSING);
	assert_string_equal(err.key, "water.branches.1.length");
	assert_memory_equal(&out, &was, sizeof out);
	in.branches[0].length = 3.75;
	CHECK_OK(rw_water_solve(&in, &hot, 9137.0, &water, &out, &err), &err);
}

/* A given part stays, and the assumed ones can be had before there is a heat. */
static void test_given_stays(void **state)
{
	(void)state;
	rw_error err;
	rw_water_in in = open_in(1);
	in.velocity_limit = 1.37;
	in.branches[0].flow = 2.385e-4;
	rw_water_choose_assumed(&in);
	CHECK_NEAR(in.filament_share, 0.8, 1e-15, "rule R11");
	CHECK_NEAR(in.outlet_limit, 338.15, 1e-15, "rule R11");
	assert_true(in.velocity_limit == 1.37 && isnan(in.branches[0].bore));
	rw_water_set set;
	rw_room_blank(&rw_water_room, NULL, &set, NULL);
	set.branches[0] = (rw_water_branch_set){1713.0, 9137.0, 0.0};
	CHECK_OK(rw_water_choose(&in, &set, &water, &err), &err);
	assert_true(in.branches[0].flow == 2.385e-4 && in.branches[0].bore == 0.016);   /* 14.31 L/min at 1.37 m/s: 14.89 mm */
	in.branches[0].flow = (double)NAN;
	set.branches[0].flow_least = 2.45e-4;   /* what the valves want, 14.7 L/min, is more than the heat's 1 L/min */
	CHECK_OK(rw_water_choose(&in, &set, &water, &err), &err);
	CHECK_NEAR(in.branches[0].flow, 15e-3 / 60.0, 1e-12, "up to the next half litre a minute");
}

int main(void)
{
	rw_base_init();
	rw_arena_init(&arena);
	rw_water_table(&arena, &water);
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_table_is_the_file),
		cmocka_unit_test(test_flow_at_rows_of_the_table),
		cmocka_unit_test(test_conductivity_at_rows_of_the_table),
		cmocka_unit_test(test_outlet_is_the_inverse_of_flow),
		cmocka_unit_test(test_no_heat),
		cmocka_unit_test(test_choice_keeps_its_rules),
		cmocka_unit_test(test_leakage_is_two_resistances),
		cmocka_unit_test(test_choice_refused),
		cmocka_unit_test(test_solution_refused),
		cmocka_unit_test(test_given_stays),
	};
	int failed = cmocka_run_group_tests(tests, NULL, NULL);
	rw_arena_release(&arena);
	return failed;
}
