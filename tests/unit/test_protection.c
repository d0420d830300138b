/* Stored energy: bleeder by both rules, discharge against a stepped integration, and what is refused. */
#include "tests/check.h"

#include <string.h>

#include "base/base.h"
#include "protection/protection.h"

static const double open_value = (double)NAN;

static rw_protection_in open_in(int n, double c0, double c1)
{
	rw_protection_in in;
	rw_room_blank(&rw_protection_room, &in, NULL, NULL);
	in.n_stores = n;
	in.stores[0].capacitance = c0;
	in.stores[1].capacitance = c1;
	return in;
}

/* RC discharge by fourth-order Runge-Kutta: volts after a time. */
static double volts_after(double volts, double resistance, double capacitance, double time)
{
	enum { N = 4000 };
	double rate = -1.0 / (resistance * capacitance), h = time / N;
	for (int k = 0; k < N; k++) {
		double k1 = rate * volts, k2 = rate * (volts + 0.5 * h * k1), k3 = rate * (volts + 0.5 * h * k2), k4 = rate * (volts + h * k3);
		volts += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
	}
	return volts;
}

static void test_big_filter_is_ruled_by_time(void **state)
{
	(void)state;
	rw_error err;
	rw_protection_in in = open_in(2, 7.3e-6, 2.385e-9);
	double volts = 9137.0, blocking = 1.84e-9, all = 7.3e-6 + 2.385e-9 + 1.84e-9;
	CHECK_OK(rw_protection_choose(&in, volts, blocking, &err), &err);
	CHECK_NEAR(in.safe_voltage_dc, 60.0, 1e-15, "rule R12");
	CHECK_NEAR(in.safe_time, 5.0, 1e-15, "rule R12");
	CHECK_NEAR(in.bleeder_current, 5e-3, 1e-15, "rule R12");
	double left = volts_after(volts, in.bleeder_resistance, all, 5.0);
	assert_true(left <= 60.0);
	assert_true(volts_after(volts, in.bleeder_resistance * 1.0151, all, 5.0) > 60.0);   /* not smaller than it must be */
	assert_true(volts / in.bleeder_resistance > 5e-3);
	rw_protection_set set;
	rw_room_blank(&rw_protection_room, NULL, &set, NULL);
	CHECK_OK(rw_protection_solve(&in, volts, blocking, &set, &err), &err);
	CHECK_NEAR(volts_after(volts, in.bleeder_resistance, all, set.discharge_time), 60.0, 1e-9, "stepped RC discharge");
	CHECK_NEAR(set.stored_charge / all, volts, 1e-12, "charge over capacitance");
	CHECK_NEAR(set.stored_energy, set.stores[0].energy + set.stores[1].energy + 0.5 * blocking * volts * volts, 1e-12, "sum of the stores");
	CHECK_NEAR(set.bleeder_power * in.bleeder_resistance * all, 2.0 * set.stored_energy, 1e-12, "P tau = 2 W of an RC discharge");
	CHECK_NEAR(set.voltage_dc, volts, 1e-15, "passed through");
	CHECK_NEAR(set.capacitance, all, 1e-15, "sum");
}

static void test_small_capacitance_is_ruled_by_current(void **state)
{
	(void)state;
	rw_error err;
	for (int with = 0; with < 2; with++) {
		rw_protection_in in = open_in(0, open_value, open_value);
		CHECK_OK(rw_protection_choose(&in, 9137.0, with ? 1.84e-9 : 0.0, &err), &err);
		CHECK_NEAR(in.bleeder_resistance, 1.82e6, 1e-12, "9137 V / 5 mA = 1.8274 Mohm; less 0.5 % 1.8183, three digits");
		rw_protection_set set;
		rw_room_blank(&rw_protection_room, NULL, &set, NULL);
		CHECK_OK(rw_protection_solve(&in, 9137.0, with ? 1.84e-9 : 0.0, &set, &err), &err);
		assert_true(set.discharge_time >= 0.0 && set.discharge_time < 0.02 && (set.discharge_time > 0.0) == (with == 1));
	}
}

/* Rounding keeps under both rules over three decades of capacitance and wastes at most 1.5 %. */
static void test_rounding_never_breaks_a_rule(void **state)
{
	(void)state;
	rw_error err;
	for (int k = 0; k < 400; k++) {
		double c = 2.2e-8 * pow(10.0, 3.0 * k / 399.0), volts = 7919.0 + 7.13 * k;
		rw_protection_in in = open_in(1, c, open_value);
		CHECK_OK(rw_protection_choose(&in, volts, 0.0, &err), &err);
		double most = fmin(5.0 / (c * log(volts / 60.0)), volts / 5e-3);
		assert_true(in.bleeder_resistance <= most && in.bleeder_resistance > 0.985 * most);
	}
}

static void test_already_safe(void **state)
{
	(void)state;
	rw_error err;
	rw_protection_in in = open_in(1, 7.3e-6, open_value);
	CHECK_OK(rw_protection_choose(&in, 47.3, 0.0, &err), &err);
	CHECK_NEAR(in.bleeder_resistance, 9410.0, 1e-12, "47.3 V / 5 mA = 9460; less 0.5 % 9412.7, three digits");
	rw_protection_set set;
	CHECK_OK(rw_protection_solve(&in, 47.3, 0.0, &set, &err), &err);
	assert_true(set.discharge_time == 0.0);
}

static void test_given_stays_and_refusals(void **state)
{
	(void)state;
	rw_error err;
	rw_protection_in in = open_in(1, 7.3e-6, open_value), before;
	in.bleeder_resistance = 313e3;
	in.safe_time = 7.25;
	CHECK_OK(rw_protection_choose(&in, 9137.0, 0.0, &err), &err);
	assert_true(in.bleeder_resistance == 313e3 && in.safe_time == 7.25);
	rw_protection_set set, was;
	memset(&set, 0xA5, sizeof set);
	memcpy(&was, &set, sizeof was);
	assert_int_equal(rw_protection_solve(&in, 0.0, 0.0, &set, &err), RW_E_RANGE);
	assert_string_equal(err.key, "protection.voltage_dc");
	assert_int_equal(rw_protection_solve(&in, 9137.0, open_value, &set, &err), RW_E_RANGE);
	assert_string_equal(err.key, "protection.capacitance");
	in.bleeder_resistance = open_value;
	assert_int_equal(rw_protection_solve(&in, 9137.0, 0.0, &set, &err), RW_E_RANGE);
	assert_string_equal(err.key, "protection.bleeder_resistance");
	assert_memory_equal(&set, &was, sizeof set);
	in = open_in(1, 7.3e-6, open_value);
	memcpy(&before, &in, sizeof in);
	assert_int_equal(rw_protection_choose(&in, -9137.0, 0.0, &err), RW_E_RANGE);
	assert_int_equal(rw_protection_choose(&in, 9137.0, -1e-9, &err), RW_E_RANGE);
	assert_memory_equal(&in, &before, sizeof in);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_big_filter_is_ruled_by_time),
		cmocka_unit_test(test_small_capacitance_is_ruled_by_current),
		cmocka_unit_test(test_rounding_never_breaks_a_rule),
		cmocka_unit_test(test_already_safe),
		cmocka_unit_test(test_given_stays_and_refusals),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
