/* The fit gives back the law that made the rows; tells the error of rows it did not use; refuses rows that cannot be. Pulses: all angles
 * and exponents against adaptive quadrature. The item table names every member of its struct. */
#include <string.h>

#include "base/base.h"
#include "base/numeric.h"
#include "tests/check.h"
#include "valve/valve.h"

static rw_operation row_of(const rw_valve_law *law, rw_swing swing)
{
	rw_class_c p;
	rw_error err;
	CHECK_OK(rw_class_c_solve(law, &swing, 1e-10, &p, &err), &err);
	return (rw_operation){swing.anode_voltage_dc, swing.grid_bias, p.anode_current_dc, p.grid_current_dc, 0.5 * swing.grid_swing_pk * p.grid_current_fund_pk,
	                      0.5 * swing.anode_swing_pk * p.anode_current_fund_pk};
}

static void test_round_trip(void **state)
{
	(void)state;
	static const double laws[][3] = {{0.937e-3, 33.7, 2.385}, {1.613e-3, 21.7, 1.43}, {0.517e-3, 18.3, 7.19}, {1.41e-3, 12.3, 3.47}};
	for (size_t i = 0; i < sizeof laws / sizeof *laws; i++) {
		const rw_valve_law law = {.law = RW_LAW_DIVIDED, .perveance = laws[i][0], .mu = laws[i][1], .division = laws[i][2], .emission = (double)INFINITY};
		rw_operation rows[3];
		for (int r = 0; r < 3; r++) {
			double va = 2217.0 + 871.0 * r, bias = -va / law.mu * (1.37 + 0.31 * r);
			rows[r] = row_of(&law, (rw_swing){va, va * (0.87 - 0.03 * r), bias, -bias * 1.4 + 0.041 * va});
		}
		for (int n = 1; n <= 3; n++) {
			rw_valve_fit fit = {.used = {true, true, true}};
			rw_error err;
			CHECK_OK(rw_valve_fit_rows(law.mu, rows, n, &fit, &err), &err);
			CHECK_NEAR(fit.perveance, law.perveance, 1e-6, "the law that made the rows");
			CHECK_NEAR(fit.division, law.division, 1e-6, "the law that made the rows");
			for (int r = 0; r < n; r++) {
				CHECK_NEAR_SCALE(fit.anode_current_error[r], 0.0, 1e-6, 1.0, "rows without error");
				CHECK_NEAR_SCALE(fit.grid_current_error[r], 0.0, 1e-6, 1.0, "rows without error");
			}
		}
	}
}

/* A row whose currents (and with them its powers) are all 13.7 % high is a row of a valve with that much more perveance. */
static void test_unused_row(void **state)
{
	(void)state;
	const rw_valve_law law = {.law = RW_LAW_DIVIDED, .perveance = 0.937e-3, .mu = 33.7, .division = 2.385, .emission = (double)INFINITY};
	rw_operation rows[2] = {row_of(&law, (rw_swing){2217.0, 1911.0, -113.0, 287.0}), row_of(&law, (rw_swing){3017.0, 2611.0, -163.0, 331.0})};
	rows[1].anode_current_dc *= 1.137, rows[1].grid_current_dc *= 1.137, rows[1].drive_power *= 1.137, rows[1].output_power *= 1.137;
	rw_valve_fit fit = {.used = {true, false}};
	rw_error err;
	CHECK_OK(rw_valve_fit_rows(law.mu, rows, 2, &fit, &err), &err);
	CHECK_NEAR(fit.perveance, law.perveance, 1e-6, "only the row used");
	CHECK_NEAR(1.0 + fit.anode_current_error[1], 1.0 / 1.137, 1e-6, "model over row");
	CHECK_NEAR(1.0 + fit.grid_current_error[1], 1.0 / 1.137, 1e-6, "model over row");
	fit.used[1] = true;
	CHECK_OK(rw_valve_fit_rows(law.mu, rows, 2, &fit, &err), &err);
	double sum = 0.0;
	for (int i = 0; i < 2; i++)
		sum += log1p(fit.anode_current_error[i]) + log1p(fit.grid_current_error[i]);
	CHECK_NEAR_SCALE(sum, 0.0, 1e-9, 1.0, "perveance is the logarithmic middle of all currents");
	assert_true(fit.anode_current_error[0] > 0.03 && fit.anode_current_error[1] < -0.03);
	CHECK_NEAR(fit.perveance, law.perveance * sqrt(1.137), 0.01, "between the two rows");
}

static void test_bad_rows(void **state)
{
	(void)state;
	const rw_operation good = {2217.0, -113.0, 0.387, 0.071, 19.3, 613.0};
	rw_operation rows[17];
	for (int i = 0; i < 17; i++)
		rows[i] = good;
	rw_valve_fit fit = {.used = {true, true}}, before = fit;
	rw_error err;
	assert_int_equal(rw_valve_fit_rows(33.7, rows, 0, &fit, &err), RW_E_RANGE);
	assert_int_equal(rw_valve_fit_rows(33.7, rows, 17, &fit, &err), RW_E_RANGE);
	assert_int_equal(rw_valve_fit_rows(-33.7, rows, 2, &fit, &err), RW_E_RANGE);
	rows[1].output_power = 2217.0 * 0.388;                  /* more than goes in */
	assert_int_equal(rw_valve_fit_rows(33.7, rows, 2, &fit, &err), RW_E_RANGE);
	rows[1] = good, rows[1].drive_power = 113.0 * 0.0705;   /* less than the bias takes */
	assert_int_equal(rw_valve_fit_rows(33.7, rows, 2, &fit, &err), RW_E_RANGE);
	rows[1] = good, rows[1].grid_bias = 113.0;
	assert_int_equal(rw_valve_fit_rows(33.7, rows, 2, &fit, NULL), RW_E_RANGE);
	rows[1] = good, rows[1].anode_current_dc = (double)NAN;
	assert_int_equal(rw_valve_fit_rows(33.7, rows, 2, &fit, &err), RW_E_RANGE);
	rows[1] = good, rows[1].output_power = 2217.0 * 0.387 * 0.985;   /* an efficiency no pulse of this drive has */
	assert_int_equal(rw_valve_fit_rows(33.7, rows, 2, &fit, &err), RW_E_NOSOLVE);
	assert_memory_equal(&fit, &before, sizeof fit);
	fit.used[1] = before.used[1] = false;                   /* nor can its error be told when it takes no part */
	assert_int_equal(rw_valve_fit_rows(33.7, rows, 2, &fit, &err), RW_E_NOSOLVE);
	assert_memory_equal(&fit, &before, sizeof fit);
	CHECK_OK(rw_valve_fit_rows(33.7, rows, 1, &fit, &err), &err);
	const bool none[16] = {false};
	memcpy(fit.used, none, sizeof none);
	assert_int_equal(rw_valve_fit_rows(33.7, rows, 1, &fit, &err), RW_E_RANGE);
}

typedef struct pulse { double half_angle, exponent; int harmonic; } pulse;

static rw_status pulse_value(void *context, double t, double *y, rw_error *err)
{
	const pulse *p = context;
	(void)err;
	double shape = (cos(t) - cos(p->half_angle)) / (1.0 - cos(p->half_angle));
	*y = (p->harmonic ? 2.0 : 1.0) / M_PI * pow(fmax(shape, 0.0), p->exponent) * cos(p->harmonic * t);
	return RW_OK;
}

static void test_pulses(void **state)
{
	(void)state;
	static const double exponents[] = {0.5, 0.77, 1.0, 1.41, 1.5, 2.0, 2.62, 3.9, 4.0};
	rw_error err;
	for (size_t e = 0; e < sizeof exponents / sizeof *exponents; e++)
		for (double degrees = 3.7; degrees < 180.0; degrees += 12.41)
			for (int harmonic = 0; harmonic <= 9; harmonic += 3) {
				pulse p = {degrees * M_PI / 180.0, exponents[e], harmonic};
				double got, want, error;
				CHECK_OK(rw_pulse_fourier(p.half_angle, p.exponent, harmonic, &got, &err), &err);
				CHECK_OK(rw_integrate(pulse_value, &p, 0.0, p.half_angle, 1e-12, 1e-11, &want, &error, &err), &err);
				CHECK_NEAR_SCALE(got, want, 2e-9, p.half_angle, "adaptive quadrature");
			}
	double got = 3.7;
	assert_int_equal(rw_pulse_fourier(0.0, 1.5, 1, &got, &err), RW_E_RANGE);
	assert_int_equal(rw_pulse_fourier(3.2, 1.5, 1, &got, &err), RW_E_RANGE);
	assert_int_equal(rw_pulse_fourier(1.2, (double)NAN, 1, &got, &err), RW_E_RANGE);
	assert_int_equal(rw_pulse_fourier(1.2, 1.5, 10, &got, NULL), RW_E_RANGE);
	assert_true(got == 3.7);
}

static void test_table(void **state)
{
	(void)state;
	bool taken[sizeof(rw_valve_in)] = {false};
	size_t bytes = 0;
	assert_int_equal(rw_valve_room.in_size, sizeof(rw_valve_in));
	for (int i = 0; i < rw_valve_room.n_items; i++) {
		const rw_item *item = &rw_valve_room.items[i];
		size_t n = item->type == RW_NUMBER ? sizeof(double) : item->type == RW_TEXT ? RW_TEXT_BYTES : sizeof(int32_t);
		assert_true(item->offset + n <= sizeof(rw_valve_in));
		assert_true((item->type == RW_NUMBER || item->type == RW_INTEGER) == (item->kind != NULL));
		assert_true((item->role == RW_PART || item->role == RW_ASSUMED) && item->scope == RW_PER_SET && item->text && item->symbol && item->input);
		assert_true(item->input->required != (item->input->rule != NULL));
		for (size_t k = 0; k < n; k++) {
			assert_false(taken[item->offset + k]);
			taken[item->offset + k] = true;
		}
		bytes += n;
	}
	assert_int_equal(bytes, sizeof(rw_valve_in));
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_round_trip), cmocka_unit_test(test_unused_row), cmocka_unit_test(test_bad_rows), cmocka_unit_test(test_pulses), cmocka_unit_test(test_table),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
