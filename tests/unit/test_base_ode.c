#include "base/ode.h"

#include <math.h>
#include <string.h>

#include "base/base.h"
#include "tests/check.h"

/* A stiff pair: a fast part of rate 1e4 that follows a slow one of rate 1. y0 = exp(-t), y1 = exp(-t) + exp(-1e4 t). */
static rw_status stiff(void *context, double t, const double *y, double *rate, rw_error *err)
{
	(void)context, (void)t, (void)err;
	rate[0] = -y[0];
	rate[1] = -1e4 * (y[1] - y[0]) - y[0];
	return RW_OK;
}

/* A pendulum of small swing: y0 = sin t; event at a top and at y0 = 0.6. */
static rw_status swing(void *context, double t, const double *y, double *rate, rw_error *err)
{
	(void)context, (void)t, (void)err;
	rate[0] = y[1];
	rate[1] = -y[0];
	return RW_OK;
}

static void swing_events(void *context, double t, const double *y, double *g)
{
	(void)context, (void)t;
	g[0] = y[1];
	g[1] = y[0] - 0.6;
}

static rw_status refuses(void *context, double t, const double *y, double *rate, rw_error *err)
{
	(void)context, (void)y;
	rate[0] = 1.0;
	return t > 0.5 ? RW_RAISE(err, RW_E_RANGE, "site.altitude", "past the end of the table") : RW_OK;
}

static rw_status blows_up(void *context, double t, const double *y, double *rate, rw_error *err)
{
	(void)context, (void)t, (void)err;
	rate[0] = t > 0.5 ? (double)NAN : y[0];
	return RW_OK;
}

static rw_ode_problem problem(rw_ode_rate rate, int n, double tolerance)
{
	rw_ode_problem p = {.n = n, .rate = rate, .tolerance_rel = tolerance};
	for (int i = 0; i < n; i++)
		p.tolerance_abs[i] = 1e-3 * tolerance;
	return p;
}

/* Local errors add up over a few hundred steps: the whole error stays within a hundred tolerances, and falls with them. */
static void error_follows_tolerance(void **state)
{
	(void)state;
	rw_ode_rate rates[] = {stiff, swing};
	for (int k = 0; k < 2; k++) {
		double before = 1.0;
		for (double tolerance = 1e-5; tolerance > 1e-10; tolerance *= 1e-2) {
			double y[2] = {k ? 0.0 : 1.0, k ? 1.0 : 2.0}, want = k ? sin(3.0) : exp(-3.0), difference;
			rw_ode_problem p = problem(rates[k], 2, tolerance);
			rw_error err = {0};
			CHECK_OK(rw_ode_compare(&p, 0.0, 3.0, y, &difference, &err), &err);
			CHECK_OK(rw_ode_run(&p, 0.0, 3.0, 0, y, NULL, NULL, &err), &err);
			double off = fabs(y[0] / want - 1.0);
			assert_true(off < 100.0 * tolerance);
			assert_true(off < before);
			assert_true(difference > 0.1 * off && difference < 300.0 * tolerance);
			before = off;
		}
	}
}

static void events_are_met_in_order(void **state)
{
	(void)state;
	rw_error err = {0};
	rw_ode_problem p = problem(swing, 2, 1e-9);
	double y[2] = {0.0, 1.0}, t = 0.0, start[2] = {0.0, 1.0};
	int event = RW_ODE_END;
	rw_ode *ode;
	p.events = swing_events;
	p.n_events = 2;
	p.direction[1] = 1;   /* 0.6 upwards only */
	CHECK_OK(rw_ode_new(&p, 0.0, y, &ode, &err), &err);
	static const struct { int event; double t; } want[] = {{1, 0.64350110879328438680}, {0, 1.57079632679489661923}, {0, 4.71238898038468985769},
	    {1, 6.92668641597287}, {RW_ODE_END, 7.0}};
	for (size_t k = 0; k < sizeof want / sizeof *want; k++) {
		CHECK_OK(rw_ode_advance(ode, 7.0, &t, y, &event, &err), &err);
		assert_int_equal(event, want[k].event);
		CHECK_NEAR(t, want[k].t, 1e-7, "arcsin 0.6, quarters of 2 pi");
	}
	CHECK_OK(rw_ode_restart(ode, 0.0, start, &err), &err);
	CHECK_OK(rw_ode_advance(ode, 7.0, &t, y, &event, &err), &err);
	assert_int_equal(event, 1);
	CHECK_NEAR(t, asin(0.6), 1e-7, "again");
	assert_true(rw_ode_steps(ode) > 5);
	rw_ode_free(ode);
	rw_ode_free(NULL);
}

static void failures_are_told(void **state)
{
	(void)state;
	rw_error err = {0};
	double y[2] = {1.0, 1.0};
	rw_ode_problem p = problem(swing, 2, 1e-4);
	assert_int_equal(rw_ode_run(&p, 0.0, 1.0, 0, y, NULL, NULL, &err), RW_E_INTERNAL);   /* too loose */
	p = problem(swing, 2, 1e-7);
	p.tolerance_abs[1] = 0.0;
	assert_int_equal(rw_ode_run(&p, 0.0, 1.0, 0, y, NULL, NULL, &err), RW_E_INTERNAL);
	p = problem(swing, 2, 1e-7);
	assert_int_equal(rw_ode_run(&p, 1.0, 0.5, 0, y, NULL, NULL, &err), RW_E_INTERNAL);   /* backwards */
	p.steps_max = 3;
	assert_int_equal(rw_ode_run(&p, 0.0, 100.0, 0, y, NULL, NULL, &err), RW_E_NOSOLVE);
	assert_non_null(strstr(err.what, "more steps"));
	p = problem(refuses, 1, 1e-7);
	assert_int_equal(rw_ode_run(&p, 0.0, 1.0, 0, y, NULL, NULL, &err), RW_E_RANGE);   /* its error passes */
	assert_string_equal(err.key, "site.altitude");
	p = problem(blows_up, 1, 1e-7);
	assert_int_equal(rw_ode_run(&p, 0.0, 1.0, 0, y, NULL, NULL, &err), RW_E_NOSOLVE);
	assert_non_null(strstr(err.what, "not finite"));
	assert_true(y[0] == 1.0 && y[1] == 1.0);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(error_follows_tolerance), cmocka_unit_test(events_are_met_in_order), cmocka_unit_test(failures_are_told),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
