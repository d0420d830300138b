#include <gsl/gsl_interp.h>
#include <stdlib.h>
#include <string.h>

#include "base/base.h"
#include "base/table.h"
#include "tests/check.h"

static const rw_column columns[] = {
	{"frequency", &rw_kind_frequency, true, 0.0, 1e9},
	{"loss", &rw_kind_resistance, false, 0.0, 1.0},
	{"temperature", &rw_kind_temperature, false, 0.0, 2000.0},
	{"share", &rw_kind_fraction, false, -1.0, 1.0},
};

static rw_units *units;
static rw_arena arena;

static int make(void **state)
{
	(void)state;
	rw_arena_init(&arena);
	return rw_units_new(&units, NULL) == RW_OK ? 0 : -1;
}

static int drop(void **state)
{
	(void)state;
	rw_units_free(units);
	rw_arena_release(&arena);
	return 0;
}

static void reads_columns_in_any_order(void **state)
{
	(void)state;
	rw_error err;
	rw_table t, other;
	const char *text = "# invented\n\nshare  temperature/degC\tloss/m\u03A9 frequency/kHz # head\n 0.25 40 2.385 38.5\n\n -0.5 1.5e2 3.9 385\r\n# end";
	CHECK_OK(rw_table_read(&arena, units, columns, 4, 2, text, &t, &err), &err);
	assert_int_equal(t.n_rows, 2);
	assert_int_equal(t.n_columns, 4);
	assert_true(rw_table_cell(&t, 0, 0) == 38.5e3);
	assert_true(rw_table_cell(&t, 0, 1) == 2.385e-3);
	CHECK_NEAR(rw_table_cell(&t, 1, 2), 423.15, 2e-16, "150 degC");
	assert_true(rw_table_cell(&t, 1, 3) == -0.5);
	/* the digest is of the content in SI, not of the text */
	CHECK_OK(rw_table_read(&arena, units, columns, 4, 2, "frequency/Hz loss/ohm temperature/K share/%\n38500 0.002385 313.15 25\n385e3 3.9e-3 423.15 -50\n",
	                       &other, &err), &err);
	assert_string_equal(t.digest, other.digest);
	CHECK_OK(rw_table_read(&arena, units, columns, 4, 2, "frequency/Hz loss/ohm temperature/K share/%\n38500 0.002385 313.15 25\n385e3 3.9e-3 423.15 -51\n",
	                       &other, &err), &err);
	assert_string_not_equal(t.digest, other.digest);
	assert_int_equal(strlen(t.digest), 64);
}

static const struct { const char *text; rw_status status; uint32_t line, column, length; const char *what, *expected, *hint; } bad[] = {
	{"", RW_E_SYNTAX, 1, 1, 1, "empty", "'frequency/Hz loss/ohm'", "on the lines below"},
	{"# nothing\n\n", RW_E_SYNTAX, 1, 1, 1, "empty", "frequency/Hz", "on the lines below"},
	{"frequency/kHz\n38 2\n", RW_E_SYNTAX, 1, 1, 1, "column 'loss' is missing", "loss/ohm", "add it"},
	{"frequency/kHz los/ohm\n38 2\n", RW_E_SYNTAX, 1, 15, 7, "'los' is no column", "loss/ohm", "first line"},
	{"loss/ohm loss/mohm\n", RW_E_SYNTAX, 1, 10, 9, "'loss' stands twice", "", "take one"},
	{"\nfrequency loss/ohm\n", RW_E_UNIT, 2, 1, 9, "column 'frequency' has no unit", "'frequency/Hz'", "first line only"},
	{"frequency/rpm loss/ohm\n", RW_E_UNIT, 1, 1, 13, "'rpm' is not a unit of frequency", "Hz", "cycles"},
	{"loss/\u03A9 frequency/kV\n", RW_E_UNIT, 1, 8, 12, "'kV' is a unit of voltage", "Hz", "write one of these units"},
	{"frequency/kHz loss/mohm\n38 1\n 385 \u03A91\n", RW_E_VALUE, 3, 6, 2, "'\u03A91' is not a number", "without unit", "whole row"},
	{"frequency/kHz loss/mohm\n38 1,5\n385 2\n", RW_E_VALUE, 2, 4, 3, "'1,5' is not a number", "without unit", "a point for decimals"},
	{"frequency/kHz loss/mohm\n38 nan\n385 2\n", RW_E_VALUE, 2, 4, 3, "'nan'", "number", "whole row"},
	{"frequency/kHz loss/mohm\n38 1\n385\n", RW_E_SYNTAX, 3, 1, 3, "the row has 1 of 2 numbers", "one number a column", "whole row"},
	{"frequency/kHz loss/mohm\n38 1 7.5 8\n", RW_E_SYNTAX, 2, 6, 3, "more than 2 numbers", "one number a column", "inside a number"},
	{"frequency/kHz loss/mohm\n38 1\n38 2\n", RW_E_VALUE, 3, 1, 2, "'38' in column 'frequency' does not rise", "more than", "rising"},
	{"frequency/kHz loss/mohm\n38 1\n385 1001\n", RW_E_VALUE, 3, 5, 4, "'1001' in column 'loss' is out of bounds", "0 to 1000 mohm", "unit in the first"},
	{"frequency/kHz loss/mohm\n38 -1\n", RW_E_VALUE, 2, 4, 2, "out of bounds", "0 to 1000 mohm", "unit in the first"},
	{"frequency/kHz loss/mohm\n38 1\n", RW_E_VALUE, 3, 1, 1, "the table has 1 row", "at least 2", "beyond the first"},
};

static void faults_have_a_place(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		rw_error err = {0};
		rw_table t = {.n_rows = -7};
		rw_arena_mark mark = rw_arena_here(&arena);
		rw_status status = rw_table_read(&arena, units, columns, 2, 2, bad[i].text, &t, &err);
		if (status != bad[i].status || err.line != bad[i].line || err.column != bad[i].column || err.length != bad[i].length ||
		    !strstr(err.what, bad[i].what) || !strstr(err.expected, bad[i].expected) || !strstr(err.hint, bad[i].hint))
			fail_msg("%zu: status %d at %u:%u+%u: %s; expected %s; %s", i, (int)status, err.line, err.column, err.length, err.what, err.expected, err.hint);
		assert_int_equal(t.n_rows, -7);
		assert_int_equal(rw_table_read(&arena, units, columns, 2, 2, bad[i].text, &t, NULL), bad[i].status);
		assert_int_equal(rw_arena_here(&arena).used, mark.used);
	}
}

enum { ROWS = 9 };
/* Invented, with a step, a flat piece and a turn: where a cubic spline would overshoot. */
static const double xs[ROWS] = {0.5, 1.25, 2.0, 2.1, 3.7, 5.0, 5.5, 8.0, 9.25};
static const double ys[ROWS] = {0.1, 0.12, 0.15, 4.0, 4.1, 4.1, 2.3, -1.5, -1.45};

static rw_table curve(double cells[2 * ROWS], int rows)
{
	for (int i = 0; i < rows; i++) {
		cells[2 * i] = xs[i];
		cells[2 * i + 1] = ys[i];
	}
	return (rw_table){.n_rows = rows, .n_columns = 2, .cells = cells};
}

static void agrees_with_the_library(void **state)
{
	(void)state;
	double cells[2 * ROWS];
	rw_table t = curve(cells, ROWS);
	gsl_interp *steffen = gsl_interp_alloc(gsl_interp_steffen, ROWS);
	gsl_interp_init(steffen, xs, ys, ROWS);
	rw_error err;
	for (int i = 0; i <= 700; i++) {
		double x = fmin(xs[0] + (xs[ROWS - 1] - xs[0]) * i / 700.0, xs[ROWS - 1]), y, slope;
		CHECK_OK(rw_table_at(&t, 0, 1, x, &y, &err), &err);
		CHECK_OK(rw_table_slope(&t, 0, 1, x, &slope, &err), &err);
		CHECK_NEAR_SCALE(y, gsl_interp_eval(steffen, xs, ys, x, NULL), 1e-14, 4.1, "gsl_interp_steffen");
		CHECK_NEAR_SCALE(slope, gsl_interp_eval_deriv(steffen, xs, ys, x, NULL), 1e-13, 40.0, "gsl_interp_steffen");
	}
	gsl_interp_free(steffen);
}

static void passes_through_rows_without_overshoot(void **state)
{
	(void)state;
	double cells[2 * ROWS];
	rw_table t = curve(cells, ROWS);
	for (int i = 0; i < ROWS; i++) {
		double y;
		assert_int_equal(rw_table_at(&t, 0, 1, xs[i], &y, NULL), RW_OK);
		assert_true(y == ys[i]);
		for (int k = 1; i + 1 < ROWS && k < 50; k++) {
			assert_int_equal(rw_table_at(&t, 0, 1, xs[i] + (xs[i + 1] - xs[i]) * k / 50.0, &y, NULL), RW_OK);
			assert_true(y >= fmin(ys[i], ys[i + 1]) && y <= fmax(ys[i], ys[i + 1]));
		}
	}
}

static void few_rows(void **state)
{
	(void)state;
	double cells[2 * ROWS], y, slope;
	rw_table t = curve(cells, 2);
	assert_int_equal(rw_table_at(&t, 0, 1, 0.8, &y, NULL), RW_OK);
	CHECK_NEAR(y, 0.1 + 0.02 * 0.3 / 0.75, 1e-15, "straight line");
	assert_int_equal(rw_table_slope(&t, 0, 1, 0.8, &slope, NULL), RW_OK);
	CHECK_NEAR(slope, 0.02 / 0.75, 1e-14, "straight line");
	t = curve(cells, 1);
	assert_int_equal(rw_table_at(&t, 0, 1, 0.5, &y, NULL), RW_OK);
	assert_true(y == 0.1);
}

static void outside_is_refused(void **state)
{
	(void)state;
	double cells[2 * ROWS];
	rw_table t = curve(cells, ROWS);
	const double outside[] = {nextafter(0.5, 0.0), 9.26, (double)NAN, (double)INFINITY};
	for (size_t i = 0; i < sizeof outside / sizeof *outside; i++) {
		rw_error err;
		double y = 2.385;
		assert_int_equal(rw_table_at(&t, 0, 1, outside[i], &y, &err), RW_E_RANGE);
		assert_int_equal(rw_table_slope(&t, 0, 1, outside[i], &y, &err), RW_E_RANGE);
		assert_true(y == 2.385);
		assert_string_equal(err.expected, "0.5 to 9.25");
	}
}

static void digest_of_bytes(void **state)
{
	(void)state;
	char sum[65];
	rw_digest("abc", 3, sum);   /* FIPS 180-4, example of one block */
	assert_string_equal(sum, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
	rw_digest("", 0, sum);
	assert_string_equal(sum, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_columns_in_any_order), cmocka_unit_test(faults_have_a_place), cmocka_unit_test(agrees_with_the_library),
		cmocka_unit_test(passes_through_rows_without_overshoot), cmocka_unit_test(few_rows), cmocka_unit_test(outside_is_refused),
		cmocka_unit_test(digest_of_bytes),
	};
	return cmocka_run_group_tests(tests, make, drop);
}
