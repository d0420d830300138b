/* What ratings say together: derating over frequency, what goes together or is refused, what rule R20 fills for one valve and for several. */
#include <string.h>

#include "base/base.h"
#include "tests/check.h"
#include "valve/valve.h"

static const double none = (double)NAN;

static rw_valve_in open_valve(void)
{
	rw_valve_in in;
	rw_error err;
	rw_room_blank(&rw_valve_room, &in, NULL, NULL);
	in.perveance = 1.613e-3;
	in.mu = 21.7;
	in.division = 2.385;
	in.frequency_max = 27.3e6;
	in.frequency_max_derated = 61.7e6;
	in.derated_share = 0.731;
	in.water_flow_min = 8.1e-5;
	in.water_flow_filament = 2.3e-5;
	CHECK_OK(rw_valve_check(&in, &err), &err);
	return in;
}

/* All of it up to the first frequency, the share at the second and beyond, a straight line between; never more, never rising. */
static void test_derating(void **state)
{
	(void)state;
	rw_valve_in in = open_valve();
	assert_true(rw_valve_derates(&in));
	assert_true(rw_valve_derating(&in, 0.4e6) == 1.0 && rw_valve_derating(&in, 27.3e6) == 1.0);
	CHECK_NEAR(rw_valve_derating(&in, 61.7e6), 0.731, 1e-15, "sheet's second point");
	CHECK_NEAR(rw_valve_derating(&in, 200e6), 0.731, 1e-15, "flat beyond");
	CHECK_NEAR(rw_valve_derating(&in, 0.5 * (27.3e6 + 61.7e6)), 0.5 * (1.0 + 0.731), 1e-14, "half way");
	CHECK_NEAR(rw_valve_derating(&in, 34.0e6), 1.0 - 0.269 * 6.7 / 34.4, 1e-14, "straight line by hand");
	double last = 1.0;
	for (double f = 20e6; f < 70e6; f += 0.37e6) {
		double now = rw_valve_derating(&in, f);
		assert_true(now <= last && now >= 0.731 - 1e-15);
		last = now;
	}
	in.frequency_max_derated = in.derated_share = none;
	assert_true(!rw_valve_derates(&in) && rw_valve_derating(&in, 500e6) == 1.0);
}

static void refused(const rw_valve_in *in, const char *key, const char *word)
{
	rw_error err;
	assert_int_equal(rw_valve_check(in, &err), RW_E_VALUE);
	assert_string_equal(err.key, key);
	if (!strstr(err.what, word) && !strstr(err.expected, word))
		fail_msg("'%s' or '%s' does not say '%s'", err.what, err.expected, word);
	assert_true(err.expected[0] && err.hint[0]);
}

static void test_refused(void **state)
{
	(void)state;
	rw_error err;
	rw_valve_in in = open_valve();
	in.derated_share = none;
	refused(&in, "valve.frequency_max_derated", "derated_share");
	in = open_valve();
	in.frequency_max_derated = none;
	refused(&in, "valve.derated_share", "frequency_max_derated");
	in = open_valve();
	in.frequency_max = none;
	refused(&in, "valve.frequency_max_derated", "frequency_max");
	in = open_valve();
	in.frequency_max_derated = in.frequency_max;
	refused(&in, "valve.frequency_max_derated", "27.3 MHz");
	in = open_valve();
	in.water_flow_filament = 1.01 * in.water_flow_min;
	refused(&in, "valve.water_flow_filament", "4.86 L/min");
	in = open_valve();
	in.water_flow_min = none;   /* only the one is told: nothing to compare */
	CHECK_OK(rw_valve_check(&in, &err), &err);
	in.frequency_max = in.frequency_max_derated = in.derated_share = in.water_flow_filament = none;
	CHECK_OK(rw_valve_check(&in, &err), &err);
}

/* R20: one alone is the mean itself with all of its ratings; two sides or two in parallel share; what is given stays. */
static void test_rule(void **state)
{
	(void)state;
	rw_valve_in in = open_valve();
	rw_valve_choose(&in, 1);
	assert_true(in.law == RW_LAW_DIVIDED && in.parallel == 1);
	assert_true(in.spread_perveance == 0.0 && in.spread_mu == 0.0 && in.parallel_derating == 1.0 && in.grid_margin == 0.0);
	assert_true(in.worn_perveance == 0.9 && in.worn_emission == 0.7);
	for (int way = 0; way < 2; way++) {
		in = open_valve();
		if (way)
			in.parallel = 2;
		in.spread_mu = 0.023;
		rw_valve_choose(&in, way ? 1 : 2);
		assert_true(in.parallel == way + 1 && in.spread_perveance == 0.10 && in.spread_mu == 0.023);
		assert_true(in.parallel_derating == 0.9 && in.grid_margin == 0.3);
	}
}

/* A worn valve passes its share of the current at every point the emission does not cap, and its share of the cap where it does. */
static void test_worn(void **state)
{
	(void)state;
	rw_valve_in in = open_valve();
	in.emission = 31.0;
	in.worn_perveance = 0.87;
	in.worn_emission = 0.63;
	rw_valve_choose(&in, 1);
	rw_valve_law mean = rw_valve_law_of(&in, NULL), worn = rw_valve_law_worn(&in, NULL);
	double a[2], b[2];
	rw_valve_currents(&mean, 5123.0, -87.0, &a[0], &a[1]);
	rw_valve_currents(&worn, 5123.0, -87.0, &b[0], &b[1]);
	assert_true(a[0] > 1.0);
	CHECK_NEAR(b[0], 0.87 * a[0], 1e-14, "share of the perveance");
	rw_valve_currents(&worn, 3000.0, 2500.0, &b[0], &b[1]);
	CHECK_NEAR(b[0] + b[1], 0.63 * 31.0, 1e-14, "share of the emission");
	rw_valve_law other = rw_valve_law_times(&mean, 1.1, 0.95);
	CHECK_NEAR(other.perveance, 1.1 * 1.613e-3, 1e-15, "factor");
	CHECK_NEAR(other.mu, 0.95 * 21.7, 1e-15, "factor");
	assert_true(other.division == mean.division && other.emission == mean.emission && other.law == mean.law);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_derating), cmocka_unit_test(test_refused), cmocka_unit_test(test_rule), cmocka_unit_test(test_worn),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
