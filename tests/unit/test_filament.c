#include <math.h>

#include "base/base.h"
#include "check.h"
#include "filament/filament.h"

enum { THORIATED, TUNGSTEN, OXIDE };   /* RW_CATHODE_* */

static const rw_filament_site site = {.cathode = THORIATED, .valves = 1, .mains_voltage_rms = 400.0, .mains_frequency = 50.0, .mains_low = 0.9,
                                      .mains_high = 1.1};

static const rw_filament_site tungsten = {.cathode = TUNGSTEN, .valves = 1, .mains_voltage_rms = 400.0, .mains_frequency = 50.0,
                                          .mains_low = 0.9, .mains_high = 1.1};
static const rw_filament_site oxide = {.cathode = OXIDE, .valves = 1, .mains_voltage_rms = 400.0, .mains_frequency = 50.0, .mains_low = 0.9,
                                       .mains_high = 1.1};

static const double pi = 3.14159265358979323846;

static rw_filament_in open_in(double volts, double current)
{
	rw_filament_in in;
	rw_room_blank(&rw_filament_room, &in, NULL, NULL);
	in.voltage_rms = volts;
	in.current_rms = current;
	return in;
}

/* |i| over a grid of closing angles and times; never over the worst, and near it. */
static double peak_by_grid(double emf, double r, double x)
{
	double z = hypot(r, x), p = atan2(x, r), most = 0.0;
	for (int a = 0; a < 360; a++)
		for (int t = 0; t < 1440; t++) {
			double angle = a * pi / 360.0, time = t * pi / 720.0;
			double i = sin(time + angle - p) - sin(angle - p) * exp(-time * r / x);
			most = fmax(most, fabs(i));
		}
	return sqrt(2.0) * emf / z * most;
}

static void worst_peak_agrees_with_grid(void **state)
{
	(void)state;
	static const double rx[][2] = {{5.748e-3, 60e-3}, {46.75e-3, 25e-3}, {7.035e-3, 10e-3}, {3.1e-3, 0.213e-3}, {0.0173e-3, 14.29e-3}};
	for (size_t k = 0; k < sizeof rx / sizeof *rx; k++) {
		double peak = 0.0, angle = 7.0, grid = peak_by_grid(11.93, rx[k][0], rx[k][1]);
		rw_error err = {0};
		CHECK_OK(rw_filament_worst_peak(11.93, rx[k][0], rx[k][1], &peak, &angle, &err), &err);
		CHECK_NEAR(peak, grid, 2e-5, "grid of half a degree by a quarter: the second order of half a step");
		assert_true(peak >= grid * (1.0 - 1e-12));
		CHECK_NEAR_SCALE(angle, 0.0, 1e-15, 1.0, "closed at the volts' zero");
	}
	double peak = 0.0, near = 0.0, angle;
	CHECK_OK(rw_filament_worst_peak(11.93, 0.0, 0.0247, &peak, &angle, NULL), NULL);
	CHECK_NEAR(peak, 2.0 * sqrt(2.0) * 11.93 / 0.0247, 1e-14, "no resistance: twice");
	CHECK_OK(rw_filament_worst_peak(11.93, 1e-12, 0.0247, &near, &angle, NULL), NULL);
	CHECK_NEAR(near, peak, 1e-9, "hardly any resistance");
	CHECK_OK(rw_filament_worst_peak(11.93, 0.0247, 0.0, &peak, &angle, NULL), NULL);
	CHECK_NEAR(peak, sqrt(2.0) * 11.93 / 0.0247, 1e-14, "no reactance: no offset");
	CHECK_OK(rw_filament_worst_peak(11.93, 0.0247, 1e-9, &near, &angle, NULL), NULL);
	CHECK_NEAR(near, peak, 1e-9, "hardly any reactance");
	assert_int_equal(rw_filament_worst_peak(11.93, 0.0, 0.0, &peak, &angle, NULL), RW_E_RANGE);
}

/* Limit in, reactance out, start back. */
static void reactance_holds_the_limit(void **state)
{
	(void)state;
	static const struct { double limit, rs; int measure; } want[] = {
		{600.0, 0.0, RW_START_RMS}, {347.0, 2.3e-3, RW_START_RMS}, {1130.0, 0.0, RW_START_PEAK}, {843.0, 1.7e-3, RW_START_PEAK}, {521.0, 38e-3, RW_START_PEAK},
	};
	for (size_t k = 0; k < sizeof want / sizeof *want; k++) {
		rw_error err = {0};
		rw_filament_in in = open_in(8.2, 230.0);
		rw_filament_set set = {0};
		in.cold_ratio = 9.86;
		in.start_resistor = 0.0;
		in.valves_on_transformer = 1;
		in.series_resistance = want[k].rs;
		double hot = 8.2 / 230.0;
		CHECK_OK(rw_filament_reactance(hot, hot / 9.86, want[k].rs, 230.0, want[k].limit, want[k].measure, &in.series_reactance, &err), &err);
		CHECK_OK(rw_filament_set_solve(&in, &site, &set, &err), &err);
		CHECK_NEAR(want[k].measure == RW_START_RMS ? set.start_current_rms : set.start_current_pk, want[k].limit, 1e-9, "limit");
	}
	double x = -1.0, hot = 8.2 / 230.0;
	CHECK_OK(rw_filament_reactance(hot, hot / 10.0, 0.0, 230.0, 2310.0, RW_START_RMS, &x, NULL), NULL);
	CHECK_NEAR_SCALE(x, 0.0, 1e-15, 1.0, "a limit over the stiff start asks for nothing");
	CHECK_OK(rw_filament_reactance(hot, hot / 10.0, 0.0, 230.0, 3270.0, RW_START_PEAK, &x, NULL), NULL);
	CHECK_NEAR_SCALE(x, 0.0, 1e-15, 1.0, "likewise");
}

static void reactance_refuses(void **state)
{
	(void)state;
	rw_error err = {0};
	double hot = 8.2 / 230.0, x = 0.371;
	assert_int_equal(rw_filament_reactance(hot, hot / 10.0, 0.0, 230.0, 229.0, RW_START_RMS, &x, &err), RW_E_NOSOLVE);
	assert_string_equal(err.key, "filament.start_limit");
	assert_int_equal(rw_filament_reactance(hot, hot / 10.0, 0.0, 230.0, 1.9 * sqrt(2.0) * 230.0, RW_START_PEAK, &x, &err), RW_E_NOSOLVE);
	assert_string_equal(err.key, "filament.start_limit");
	assert_int_equal(rw_filament_reactance(hot, hot * 1.1, 0.0, 230.0, 600.0, RW_START_RMS, &x, &err), RW_E_RANGE);
	assert_true(x == 0.371);
}

static void choice_follows_the_rule(void **state)
{
	(void)state;
	rw_error err = {0};
	rw_filament_in in = open_in(8.2, 230.0);
	rw_filament_set set = {0};
	in.start_limit = 600.0;
	in.start_measure = RW_START_RMS;
	CHECK_OK(rw_filament_choose(&in, &site, &err), &err);
	CHECK_NEAR(in.cold_ratio, 10.0, 1e-15, "R10");
	CHECK_NEAR(in.series_reactance, 14.3e-3, 1e-12, "R10, up to 0.1 mohm");
	CHECK_OK(rw_filament_set_solve(&in, &site, &set, &err), &err);
	assert_true(set.start_current_rms <= 600.0 && set.start_current_rms > 595.0);
	CHECK_NEAR(set.power, 1886.0, 1e-12, "8.2 V 230 A");
	CHECK_NEAR(set.series_inductance, 45.5183e-6, 1e-5, "14.3 mohm at 50 Hz");
	in = open_in(8.2, 230.0);
	in.start_limit = 850.0;
	in.start_measure = RW_START_PEAK;
	CHECK_OK(rw_filament_choose(&in, &tungsten, &err), &err);
	CHECK_NEAR(in.cold_ratio, 13.0, 1e-15, "R10");
	CHECK_OK(rw_filament_set_solve(&in, &site, &set, &err), &err);
	assert_true(set.start_current_pk <= 850.0 && set.start_current_pk > 845.0);
	in = open_in(8.2, 230.0);
	CHECK_OK(rw_filament_choose(&in, &site, &err), &err);
	assert_int_equal(in.start_measure, RW_START_NONE);
	CHECK_NEAR(in.series_reactance, 1.8e-3, 1e-12, "no limit: 5 % of 35.65 mohm, up to 0.1 mohm");
}

static void choice_refuses(void **state)
{
	(void)state;
	rw_error err = {0};
	rw_filament_in in = open_in(8.2, 230.0), before;
	rw_filament_set set = {0};
	before = in;
	assert_int_equal(rw_filament_choose(&in, &oxide, &err), RW_E_MISSING);
	assert_string_equal(err.key, "filament.cold_ratio");
	assert_memory_equal(&in, &before, sizeof in);
	in.start_limit = 600.0;
	assert_int_equal(rw_filament_choose(&in, &site, &err), RW_E_MISSING);
	assert_string_equal(err.key, "filament.start_measure");
	in.start_measure = RW_START_NONE;
	assert_int_equal(rw_filament_choose(&in, &site, &err), RW_E_MISSING);
	in = open_in(8.2, 230.0);
	in.start_measure = RW_START_PEAK;
	assert_int_equal(rw_filament_choose(&in, &site, &err), RW_E_MISSING);
	assert_string_equal(err.key, "filament.start_limit");
	in = open_in((double)NAN, 230.0);
	assert_int_equal(rw_filament_choose(&in, &site, &err), RW_E_MISSING);
	assert_string_equal(err.key, "filament.voltage_rms");
	in = open_in(8.2, (double)NAN);
	assert_int_equal(rw_filament_choose(&in, &site, &err), RW_E_MISSING);
	assert_string_equal(err.key, "filament.current_rms");
	in = open_in(8.2, 230.0);
	in.series_reactance = 0.0;
	CHECK_OK(rw_filament_choose(&in, &site, &err), &err);
	assert_int_equal(rw_filament_set_solve(&in, &site, &set, &err), RW_E_RANGE);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(worst_peak_agrees_with_grid), cmocka_unit_test(reactance_holds_the_limit), cmocka_unit_test(reactance_refuses),
		cmocka_unit_test(choice_follows_the_rule), cmocka_unit_test(choice_refuses),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
