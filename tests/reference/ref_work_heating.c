/* Conduction of heat and losses in closed form against reference rows. */
#include "tests/check.h"

#include "base/base.h"
#include "tests/reference/rows.h"
#include "work/heating.h"

static bool is(const rw_row *row, const char *key) { return strcmp(row->key, key) == 0; }
static double in(const rw_row *row, const char *name) { return rw_row_input(row, name); }

static double rise(const rw_row *row, double radius)
{
	rw_error err;
	double value;
	rw_heating_body body = {radius, 0.0};
	CHECK_OK(rw_heating_rise(&body, in(row, "conductivity"), in(row, "diffusivity"), in(row, "skin_depth"), in(row, "time"),
	                         in(row, "depth"), &value, &err), &err);
	return value * in(row, "flux");
}

static void test_bar(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/work/heating_bar.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		assert_true(is(row, "centre") || is(row, "half") || is(row, "surface"));
		assert_true(in(row, "depth") == in(row, "radius") * (is(row, "centre") ? 1.0 : is(row, "half") ? 0.5 : 0.0));
		rw_row_check(row, rise(row, in(row, "radius")));
	}
}

static void test_half_space(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/work/heating_half_space.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		assert_string_equal(row->key, "rise");
		rw_row_check(row, rise(row, (double)INFINITY));
	}
}

static void test_loss(void **state)
{
	(void)state;
	rw_error err;
	rw_rows rows = rw_rows_open("tests/reference/work/heating_loss.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		double value;
		if (is(row, "cooling_time")) {
			double heat_per_area = in(row, "density") * in(row, "heat_capacity") * 0.5 * in(row, "radius");
			CHECK_OK(rw_heating_cooling_time(heat_per_area, in(row, "emissivity"), in(row, "from"), in(row, "to"),
			                                 in(row, "ambient"), &value, &err), &err);
		} else {
			assert_string_equal(row->key, "loss");
			CHECK_OK(rw_heat_loss_flux(in(row, "emissivity"), in(row, "surface"), in(row, "ambient"), 0.0, &value, &err), &err);
		}
		rw_row_check(row, value);
	}
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_bar), cmocka_unit_test(test_half_space), cmocka_unit_test(test_loss)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
