#include <stdlib.h>
#include <string.h>

#include "base/base.h"
#include "base/numeric.h"
#include "tests/check.h"

/* A function by name, counted, that may fail at or beyond a place. */
typedef struct probe {
	double (*f)(double);
	double fails_from;
	int    calls;
} probe;

static rw_status call(void *context, double x, double *y, rw_error *err)
{
	probe *p = context;
	p->calls++;
	if (x >= p->fails_from)
		return RW_RAISE(err, RW_E_RANGE, "probe", "beyond the model");
	*y = p->f(x);
	return RW_OK;
}

static probe of(double (*f)(double)) { return (probe){f, (double)INFINITY, 0}; }

static double cosine_less_x(double x) { return cos(x) - x; }
static double line(double x) { return 2.385 - x; }
static double steep(double x) { return exp(40.0 * x) - 5.0; }
static double square_up(double x) { return x * x + 0.3; }
static double hole(double x) { return x > 0.4 && x < 0.6 ? (double)NAN : x - 0.5; }
static double bowl(double x) { return (x - 1.73) * (x - 1.73) + 0.25; }
static double falls(double x) { return -x; }
static double kink(double x) { return fmax(0.0, cos(x) - 0.5); }
static double root_of_x(double x) { return sqrt(x); }
static double pole(double x) { return 1.0 / (x * x); }

static void roots(void **state)
{
	(void)state;
	rw_error err;
	rw_root root;
	probe p = of(cosine_less_x);
	CHECK_OK(rw_root_find(call, &p, 0.0, 1.5, 0.0, 1e-13, &root, &err), &err);
	CHECK_NEAR(root.x, 0.7390851332151607, 1e-13, "fixed point of the cosine, memory");
	assert_true(root.low <= root.x && root.x <= root.high && root.high - root.low <= 1e-13 * root.x);
	assert_true(cosine_less_x(root.low) * cosine_less_x(root.high) <= 0.0);
	assert_true(root.residual == cosine_less_x(root.x));
	assert_int_equal(root.evaluations, p.calls);
	assert_in_range(p.calls, 3, 12);
	p = of(steep);
	CHECK_OK(rw_root_find(call, &p, -3.0, 2.0, 1e-12, 0.0, &root, &err), &err);
	CHECK_NEAR_SCALE(root.x, log(5.0) / 40.0, 1e-12, 1.0, "ln 5 / 40");
	assert_in_range(p.calls, 3, 40);
}

static void root_at_an_end(void **state)
{
	(void)state;
	rw_error err;
	rw_root root;
	probe p = of(line);
	CHECK_OK(rw_root_find(call, &p, 2.385, 7.0, 1e-12, 0.0, &root, &err), &err);
	CHECK_NEAR(root.x, 2.385, 1e-12, "low end");
	CHECK_OK(rw_root_find(call, &p, -4.0, 2.385, 1e-12, 0.0, &root, &err), &err);
	CHECK_NEAR(root.x, 2.385, 1e-12, "high end");
	assert_true(fabs(root.residual) <= 1e-12);
}

static void root_failures(void **state)
{
	(void)state;
	rw_error err;
	rw_root root = {.x = 7.5};
	probe p = of(square_up);
	assert_int_equal(rw_root_find(call, &p, -1.0, 1.0, 1e-9, 0.0, &root, &err), RW_E_NOSOLVE);
	assert_non_null(strstr(err.what, "change sign"));
	p = of(cosine_less_x);
	p.fails_from = 0.7;
	assert_int_equal(rw_root_find(call, &p, 0.0, 1.5, 1e-9, 0.0, &root, &err), RW_E_RANGE);
	assert_string_equal(err.key, "probe");
	assert_int_equal(p.calls, 2);        /* not called again after the error */
	p = of(hole);
	assert_int_equal(rw_root_find(call, &p, 0.0, 1.0, 1e-9, 0.0, &root, &err), RW_E_NOSOLVE);
	assert_non_null(strstr(err.what, "no finite value at 0.5"));
	p = of(line);
	assert_int_equal(rw_root_find(call, &p, 3.0, 2.0, 1e-9, 0.0, &root, &err), RW_E_INTERNAL);
	assert_int_equal(rw_root_find(call, &p, 2.0, 3.0, -1e-9, 0.0, &root, &err), RW_E_INTERNAL);
	assert_int_equal(rw_root_find(call, &p, (double)NAN, 3.0, 1e-9, 0.0, &root, NULL), RW_E_INTERNAL);
	assert_true(root.x == 7.5);
}

static void least_values(void **state)
{
	(void)state;
	rw_error err;
	double x, y;
	probe p = of(bowl);
	CHECK_OK(rw_least_find(call, &p, -20.0, 100.0, 1e-7, &x, &y, &err), &err);
	CHECK_NEAR(x, 1.73, 1e-7, "by construction");
	CHECK_NEAR(y, 0.25, 1e-14, "by construction");
	assert_in_range(p.calls, 5, 60);
	p = of(falls);
	CHECK_OK(rw_least_find(call, &p, 1.0, 3.5, 1e-6, &x, &y, &err), &err);
	CHECK_NEAR(x, 3.5, 1e-15, "at the high end");
	assert_true(y == -x);
	p = of(bowl);
	CHECK_OK(rw_least_find(call, &p, 2.0, 3.5, 1e-6, &x, &y, &err), &err);
	CHECK_NEAR(x, 2.0, 1e-15, "at the low end");
	x = 7.5;
	p.fails_from = 3.0;
	assert_int_equal(rw_least_find(call, &p, 0.0, 3.5, 1e-6, &x, &y, &err), RW_E_RANGE);
	assert_int_equal(rw_least_find(call, &p, 3.5, 0.0, 1e-6, &x, &y, &err), RW_E_INTERNAL);
	assert_true(x == 7.5);
}

static void integrals(void **state)
{
	(void)state;
	rw_error err;
	double value, error;
	probe p = of(kink);
	CHECK_OK(rw_integrate(call, &p, -3.14159265358979323846, 3.14159265358979323846, 0.0, 1e-10, &value, &error, &err), &err);
	CHECK_NEAR(value, 2.0 * (sqrt(0.75) - 0.5 * 3.14159265358979323846 / 3.0), 1e-10, "2 (sin t - t cos t), t = pi / 3");
	assert_true(error <= 1e-10 * value && error >= fabs(value - 2.0 * (sqrt(0.75) - 3.14159265358979323846 / 6.0)));
	p = of(root_of_x);
	CHECK_OK(rw_integrate(call, &p, 0.0, 2.25, 1e-10, 0.0, &value, &error, &err), &err);
	CHECK_NEAR(value, 2.25, 1e-10, "2/3 x 2.25^1.5");
	CHECK_OK(rw_integrate(call, &p, 2.25, 0.0, 1e-10, 0.0, &value, &error, &err), &err);
	CHECK_NEAR(value, -2.25, 1e-10, "backwards");
	value = 7.5;
	p = of(pole);
	assert_int_equal(rw_integrate(call, &p, 0.0, 1.0, 0.0, 1e-8, &value, &error, &err), RW_E_NOSOLVE);
	p = of(root_of_x);
	p.fails_from = 2.0;
	assert_int_equal(rw_integrate(call, &p, 0.0, 2.25, 0.0, 1e-8, &value, &error, &err), RW_E_RANGE);
	assert_true(value == 7.5);
}

static void rounding_up(void **state)
{
	(void)state;
	assert_true(rw_ceil_to(12.1, 5.0) == 15.0);
	assert_true(rw_ceil_to(15.0, 5.0) == 15.0);
	assert_true(rw_ceil_to(15.0 * (1.0 + 5e-10), 5.0) == 15.0);
	assert_true(rw_ceil_to(15.0 * (1.0 + 5e-9), 5.0) == 20.0);
	assert_true(rw_ceil_to(0.1 + 0.2, 0.1) == 0.3);
	assert_true(rw_ceil_to(-12.1, 5.0) == -10.0);
	assert_true(rw_ceil_to(0.0, 5.0) == 0.0);
	assert_true(rw_ceil_to(1e-12, 5.0) == 5.0);
	assert_true(isnan(rw_ceil_to(3.0, 0.0)) && isnan(rw_ceil_to((double)NAN, 1.0)));
	const double series[] = {16.0, 25.0, 10.0, 40.0};
	assert_true(rw_ceil_in(series, 4, 10.5) == 16.0);
	assert_true(rw_ceil_in(series, 4, 25.0) == 25.0);
	assert_true(isnan(rw_ceil_in(series, 4, 40.1)) && isnan(rw_ceil_in(series, 0, 1.0)));
}

static void significant_digits(void **state)
{
	(void)state;
	assert_true(rw_round_digits(2.3854e-7, 3) == 2.39e-7);
	assert_true(rw_round_digits(-98765.4, 2) == -99000.0);
	assert_true(rw_round_digits(99.96, 3) == 100.0);
	assert_true(rw_round_digits(0.0, 3) == 0.0);
	assert_true(rw_round_digits(5e-324, 2) == 5e-324);
	assert_true(rw_round_digits(1.7976931348623157e308, 17) == 1.7976931348623157e308);
	assert_true(isnan(rw_round_digits((double)NAN, 3)));
}

static void e24(void **state)
{
	(void)state;
	assert_true(rw_round_e24(2385.0) == 2400.0);
	assert_true(rw_round_e24(4.7e-9) == 4.7e-9);
	assert_true(rw_round_e24(1000.0) == 1000.0);
	assert_true(rw_round_e24(0.97) == 1.0);
	assert_true(rw_round_e24(0.953) == 0.91);       /* the border is sqrt(0.91) = 0.95394 */
	assert_true(rw_round_e24(0.9545) == 1.0);
	assert_true(rw_round_e24(1.3957) == 1.3);       /* sqrt(1.3 x 1.5) = 1.39642; by difference it would be 1.4 */
	assert_true(rw_round_e24(1.398) == 1.5);        /* by difference 1.3 */
	assert_true(rw_round_e24(3.3e-12) == 3.3e-12);
	assert_true(isnan(rw_round_e24(0.0)) && isnan(rw_round_e24(-4.7)));
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(roots), cmocka_unit_test(root_at_an_end), cmocka_unit_test(root_failures), cmocka_unit_test(least_values),
		cmocka_unit_test(integrals), cmocka_unit_test(rounding_up), cmocka_unit_test(significant_digits), cmocka_unit_test(e24),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
