/* Standing faults against reference rows. */
#include "tests/check.h"

#include "base/base.h"
#include "fault/fault.h"
#include "tests/reference/rows.h"

static bool is(const rw_row *row, const char *key) { return strcmp(row->key, key) == 0; }

/* A supply so stiff that it shows nothing of itself: the rows are of the valve and the limit. */
static rw_stopped stopped(const rw_row *row, double limit)
{
	rw_supply_in in;
	rw_supply_set set;
	rw_error err;
	rw_stopped out;
	const rw_mains mains = {400.0, 50.0, 1.1, 0.0, (double)NAN, 0.9};
	rw_room_blank(&rw_supply_room, &in, &set, NULL);
	in.duty_voltage_dc = rw_row_input(row, "voltage_dc");
	in.duty_current_dc = 1.0;
	in.secondary_voltage_rms = in.duty_voltage_dc / 1.3504744742356594;
	in.rated_power = 1e13;
	in.diode_drop_dc = 0.0;
	CHECK_OK(rw_supply_choose(&in, &mains, &err), &err);
	CHECK_OK(rw_supply_set_solve(&in, &mains, &set, &err), &err);
	rw_valve_law law = {.law = RW_LAW_IDEAL, .perveance = rw_row_input(row, "perveance"), .mu = rw_row_input(row, "mu"),
	    .exponent = rw_row_input(row, "exponent"), .emission = INFINITY};
	rw_stopped_problem problem = {law, 1, &in, &set, 1e15, 0.0, 1.0, limit};
	CHECK_OK(rw_fault_stopped(&problem, &out, &err), &err);
	return out;
}

static void check_static(rw_row *row)
{
	bool limited = is(row, "limited_voltage_dc") || is(row, "limited_loss");
	rw_stopped s = stopped(row, limited ? rw_row_input(row, "limit") : (double)INFINITY);
	rw_row_check(row, is(row, "limited_voltage_dc") ? s.voltage_dc : is(row, "stopped_current") ? s.current_dc : s.loss);
}

static void check_phase(rw_row *row)
{
	rw_windings w = {(int)rw_row_input(row, "connection"), (int)rw_row_input(row, "primary"), (int)rw_row_input(row, "secondary")};
	rw_phase out;
	rw_error err;
	CHECK_OK(rw_phase_missing(&w, (int)rw_row_input(row, "lost"), &out, &err), &err);
	rw_row_check(row, is(row, "mean_share") ? out.mean_share : is(row, "ripple") ? out.ripple : is(row, "ripple_all") ? out.ripple_all : (double)NAN);
}

static void check_earthing(rw_row *row)
{
	rw_earthing e = rw_fault_earthing(rw_row_input(row, "voltage_dc"), rw_row_input(row, "capacitance"), rw_row_input(row, "resistance"),
	    rw_row_input(row, "to"));
	rw_row_check(row, is(row, "time") ? e.time : is(row, "energy") ? e.energy : is(row, "current_pk") ? e.current_pk : (double)NAN);
}

static void each(const char *path, void (*check)(rw_row *row))
{
	rw_rows rows = rw_rows_open(path);
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		check(row);
}

static void test_static(void **state) { (void)state, each("tests/reference/fault/static.csv", check_static); }
static void test_phase(void **state) { (void)state, each("tests/reference/fault/phase.csv", check_phase); }
static void test_earthing(void **state) { (void)state, each("tests/reference/fault/earthing.csv", check_earthing); }

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_static), cmocka_unit_test(test_phase), cmocka_unit_test(test_earthing)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
