/* Duty: the thermal share against time stepping and its limits, the pattern chosen and refused, the figures of shot and rest. */
#include "tests/check.h"

#include <string.h>

#include "base/base.h"
#include "duty/duty.h"

static const double none = (double)NAN;

static rw_duty_in open_in(double on_time, double period)
{
	rw_duty_in in;
	rw_room_blank(&rw_duty_room, &in, NULL, NULL);
	in.on_time = on_time;
	in.period = period;
	return in;
}

/* Greatest rise in the settled pattern, of one where power stays on: implicit midpoint steps, n in each part of a period, until two periods
 * end alike. */
static double by_steps(double on, double period, double constant, int n)
{
	double rise = on / period, before = -1.0, peak = 0.0;
	for (int turn = 0; turn < 20000 && fabs(rise - before) > 1e-13; turn++) {
		before = rise;
		for (int part = 0; part < 2; part++) {
			double h = (part == 0 ? on : period - on) / n / constant, power = part == 0 ? 1.0 : 0.0;
			for (int k = 0; k < n; k++)
				rise += h * (power - rise) / (1.0 + 0.5 * h);
			if (part == 0)
				peak = rise;
		}
	}
	return peak;
}

static void test_share_is_what_stepping_gives(void **state)
{
	(void)state;
	static const double cases[][3] = {{3.0, 20.0, 40.0}, {9.0, 14.0, 5.0}, {40.0, 300.0, 120.0}, {2.0, 2.5, 60.0}, {600.0, 900.0, 250.0}};
	for (size_t k = 0; k < sizeof cases / sizeof cases[0]; k++) {
		double on = cases[k][0], period = cases[k][1], constant = cases[k][2];
		double share = rw_duty_thermal_share(on, period, constant);
		double coarse = fabs(by_steps(on, period, constant, 100) - share), fine = fabs(by_steps(on, period, constant, 200) - share);
		CHECK_NEAR(by_steps(on, period, constant, 2000), share, 1e-6, "midpoint rule, error of second order in the step");
		assert_true(fine < 0.3 * coarse);   /* a quarter at half the step: the two meet */
	}
}

static void test_share_at_its_ends(void **state)
{
	(void)state;
	CHECK_NEAR(rw_duty_thermal_share(3.0, 20.0, 1e7), 0.15, 2e-6, "a slow body takes the mean");
	CHECK_NEAR(rw_duty_thermal_share(3000.0, 20000.0, 10.0), 1.0, 1e-12, "a quick one the shot");
	CHECK_NEAR(rw_duty_thermal_share(20.0, 20.0, 7.0), 1.0, 1e-15, "no rest");
	double before = 0.0;
	for (double constant = 1e5; constant > 0.1; constant *= 0.7) {   /* between the two, and falling with the constant */
		double share = rw_duty_thermal_share(3.0, 20.0, constant);
		assert_true(share >= 0.15 && share <= 1.0 && share > before);
		before = share;
	}
}

static void test_pattern_is_chosen(void **state)
{
	rw_error err;
	(void)state;
	rw_duty_in in = open_in(none, none);
	CHECK_OK(rw_duty_choose(&in, 4.2, 1000.0, &err), &err);
	assert_int_equal(in.pattern, RW_PATTERN_CONTINUOUS);
	assert_true(isnan(in.on_time) && isnan(in.period));
	CHECK_NEAR(in.shots_per_year, 1000.0, 1e-15, "its starts");
	CHECK_NEAR(in.hours_per_year, 2000.0 * 3600.0, 1e-15, "rule R24");
	in = open_in(none, 20.0);
	CHECK_OK(rw_duty_choose(&in, 4.2, 1000.0, &err), &err);
	assert_int_equal(in.pattern, RW_PATTERN_SHOTS);
	CHECK_NEAR(in.on_time, 4.2, 1e-15, "the work's time");
	CHECK_NEAR(in.shots_per_year, 360000.0, 1e-15, "2000 h in periods of 20 s");
	in = open_in(3.0, 20.0);
	in.shots_per_year = 375000.0;
	CHECK_OK(rw_duty_choose(&in, 4.2, 1000.0, &err), &err);
	CHECK_NEAR(in.on_time, 3.0, 1e-15, "given");
	rw_duty_set set;
	rw_duty_set_solve(&in, 4.2, 1800.0, 5.0, true, 1000.0, 1.2e6, &set);
	CHECK_NEAR(set.time_per_year, 7.5e6, 1e-15, "375000 x 20 s are more than 2000 h");
	CHECK_NEAR(set.makes_per_year, 375000.0, 1e-15, "1500 a day on 250 days");
	CHECK_NEAR(set.contactor_years, 3.2, 1e-12, "1.2 million makes");
	CHECK_NEAR(set.rms_factor, 0.387298, 1e-6, "sqrt(0.15)");
	rw_duty_set_solve(&in, 4.2, 1800.0, 5.0, false, 1000.0, 1.2e6, &set);
	CHECK_NEAR(set.makes_per_year, 1000.0, 1e-15, "another keys the shot");
}

static void refused(rw_duty_in in, double work_time, rw_status status, const char *key)
{
	rw_error err;
	rw_duty_in before = in;
	assert_int_equal(rw_duty_choose(&in, work_time, 1000.0, &err), status);
	assert_string_equal(err.key, key);
	assert_true(err.expected[0] && err.hint[0]);
	assert_memory_equal(&in, &before, sizeof in);
}

static void test_pattern_is_refused(void **state)
{
	(void)state;
	refused(open_in(21.0, 20.0), 0.0, RW_E_VALUE, "duty.on_time");
	refused(open_in(none, 4.0), 4.2, RW_E_VALUE, "duty.period");
	refused(open_in(none, 20.0), 0.0, RW_E_MISSING, "duty.on_time");
	refused(open_in(3.0, none), 0.0, RW_E_MISSING, "duty.period");
	rw_duty_in in = open_in(none, none);
	in.pattern = RW_PATTERN_SHOTS;
	refused(in, 4.2, RW_E_MISSING, "duty.period");
	in = open_in(3.0, 20.0);
	in.pattern = RW_PATTERN_CONTINUOUS;
	refused(in, 0.0, RW_E_VALUE, "duty.pattern");
	in = open_in(3.0, 20.0);
	in.hours_per_year = 2000.0 * 3600.0;
	in.shots_per_year = 400000.0;
	refused(in, 0.0, RW_E_VALUE, "duty.shots_per_year");
	in.hours_per_year = none;   /* as the hint says */
	in.shots_per_year = 1.5779e6;   /* 8766.1 h in periods of 20 s */
	refused(in, 0.0, RW_E_RANGE, "duty.shots_per_year");
	in.hours_per_year = 8766.0 * 3600.0;
	refused(in, 0.0, RW_E_RANGE, "duty.shots_per_year");
	in.hours_per_year = none;
	in.shots_per_year = 1.5778e6;   /* 8765.6 h */
	rw_error err;
	CHECK_OK(rw_duty_choose(&in, 0.0, 1000.0, &err), &err);
	in.shots_per_year = 1e9;
	assert_int_equal(rw_duty_choose(&in, 0.0, 1000.0, &err), RW_E_RANGE);
	assert_non_null(strstr(err.what, "shots_per_year"));
	assert_non_null(strstr(err.what, "period"));
}

static const rw_duty_around around = {
	.standing = true, .resting_voltage_dc = 9800.0, .resting_anode_current_dc = 0.4, .resting_water_heat = 900.0, .valves = 2.0,
	.bleeder_resistance = 1.4e6, .current_dc = 6.3, .secondary_current_rms = 5.1, .mains_current_rms = 93.0, .diode_loss = 240.0,
	.iron_loss = 310.0, .mains_power = 61e3, .steady_current_rms = 14.0, .filament_power = 3300.0, .water_heat = 17e3,
};

/* Means and rms over one period, sampled. */
static void test_case_is_what_sampling_gives(void **state)
{
	rw_error err;
	(void)state;
	rw_duty_in in = open_in(3.0, 20.0);
	rw_duty_set set;
	rw_duty_case c;
	CHECK_OK(rw_duty_choose(&in, 0.0, 1000.0, &err), &err);
	rw_duty_set_solve(&in, 0.0, 1800.0, 5.0, true, 1000.0, none, &set);
	rw_duty_case_solve(&in, &set, &around, &c);
	double rest = 2.0 * 0.4 + 9800.0 / 1.4e6, line2 = 0.0, choke2 = 0.0, water = 0.0, energy = 0.0;
	enum { N = 2000 };
	for (int k = 0; k < N; k++) {
		bool on = k < 3 * N / 20;
		double line = 14.0 + 93.0 * (on ? 1.0 : rest / 6.3);
		line2 += line * line / N;
		choke2 += (on ? 6.3 * 6.3 : rest * rest) / N;
		water += (on ? 17e3 : 900.0) / N;
		energy += (3300.0 + (on ? 61e3 : 9800.0 * rest + 310.0)) * 20.0 / N;
	}
	CHECK_NEAR(c.resting_current_dc, rest, 1e-14, "valves and bleeder");
	CHECK_NEAR(c.resting_anode_loss, 3920.0, 1e-14, "each valve");
	CHECK_NEAR(c.line_current_rms, sqrt(line2), 1e-12, "sampled");
	CHECK_NEAR(c.choke_current_rms, sqrt(choke2), 1e-12, "sampled");
	CHECK_NEAR(c.water_heat, water, 1e-12, "sampled");
	CHECK_NEAR(c.shot_energy, energy, 1e-12, "sampled");
	CHECK_NEAR(c.energy_per_year, energy * in.shots_per_year, 1e-12, "a whole year of shots");
	assert_true(c.breaker_current_rms > c.line_current_rms && c.breaker_current_rms < c.shot_line_current_rms);
	rw_duty_around dead = around;
	dead.standing = false;
	rw_duty_case_solve(&in, &set, &dead, &c);
	CHECK_NEAR_SCALE(c.resting_current_dc, 0.0, 0.0, 1.0, "HT off");
	CHECK_NEAR(c.transformer_factor, sqrt(set.transformer_share), 1e-15, "nothing between the shots");
	CHECK_NEAR(c.mean_power, 0.15 * 61e3 + 3300.0, 1e-14, "the filament stays on");
}

static void test_continuous_is_the_shot(void **state)
{
	rw_error err;
	(void)state;
	rw_duty_in in = open_in(none, none);
	rw_duty_set set;
	rw_duty_case c;
	CHECK_OK(rw_duty_choose(&in, 0.0, 1000.0, &err), &err);
	rw_duty_set_solve(&in, 0.0, 1800.0, 5.0, true, 1000.0, none, &set);
	rw_duty_case_solve(&in, &set, &around, &c);
	CHECK_NEAR(c.transformer_factor, 1.0, 1e-15, "no rest");
	CHECK_NEAR(c.line_current_rms, 107.0, 1e-15, "no rest");
	CHECK_NEAR(c.breaker_current_rms, 107.0, 1e-15, "no rest");
	CHECK_NEAR(c.water_heat, 17e3, 1e-15, "no rest");
	CHECK_NEAR(c.energy_per_year, 64300.0 * 7.2e6, 1e-14, "2000 h of mean power");
	assert_true(isnan(c.shot_energy) && isnan(set.contactor_years));
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_share_is_what_stepping_gives), cmocka_unit_test(test_share_at_its_ends),
		cmocka_unit_test(test_pattern_is_chosen), cmocka_unit_test(test_pattern_is_refused),
		cmocka_unit_test(test_case_is_what_sampling_gives), cmocka_unit_test(test_continuous_is_the_shot),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
