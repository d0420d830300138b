/* The load port against the impedance of its ladder written with complex division. */
#include "check.h"

#include <string.h>

#include "base/base.h"
#include "circuit/circuit.h"

static const double pi = 3.141592653589793238462643;
static const double complex j = (double complex)I;

/* Figures are invented. */
static const rw_load_port load = {.n = 3, .r0 = 0.02371, .l0 = 0.3182e-6, .r = {0.0417, 0.1893, 2.614}, .l = {61.7e-9, 23.9e-9, 8.31e-9},
                                  .f_lo = 91.3e3, .f_hi = 1.847e6, .i_ref = 137.4, .di_dr = 0.0731, .di_dl = -0.0412};

static double complex formula(const rw_load_port *p, double f, double i)
{
	double complex s = j * 2.0 * pi * f, z = 0.0;
	for (int k = 0; k < p->n; k++)
		z += 1.0 / (1.0 / p->r[k] + 1.0 / (s * p->l[k]));
	double over = (i - p->i_ref) / p->i_ref;
	return p->r0 * (1.0 + p->di_dr * over) + s * p->l0 * (1.0 + p->di_dl * over) + z;
}

static void ladder(void **state)
{
	(void)state;
	rw_error err;
	const double f[] = {91.3e3, 0.2713e6, 0.8384e6, 1.847e6}, i[] = {0.0, 43.18, 137.4, 611.9};
	for (int a = 0; a < 4; a++)
		for (int b = 0; b < 4; b++) {
			double complex z = 0.0, want = formula(&load, f[a], i[b]);
			CHECK_OK(rw_load_port_impedance(&load, f[a], i[b], &z, &err), &err);
			CHECK_NEAR(creal(z), creal(want), 1e-13, "ladder by complex division");
			CHECK_NEAR(cimag(z), cimag(want), 1e-13, "ladder by complex division");
		}
	rw_load_port linear = load;
	linear.n = 0, linear.i_ref = linear.di_dr = linear.di_dl = 0.0;
	double complex z = 0.0;
	CHECK_OK(rw_load_port_impedance(&linear, 0.2713e6, 611.9, &z, &err), &err);
	CHECK_NEAR(creal(z), 0.02371, 1e-15, "r0");
	CHECK_NEAR(cimag(z), 2.0 * pi * 0.2713e6 * 0.3182e-6, 1e-15, "w l0");
}

/* A pair with a short in it adds nothing. */
static void shorted_pair(void **state)
{
	(void)state;
	rw_error err;
	rw_load_port with = load, without = load;
	with.n = 4, with.r[3] = 0.0, with.l[3] = 17.3e-9, without.n = 3;
	double complex a = 0.0, b = 1.0;
	CHECK_OK(rw_load_port_impedance(&with, 0.41e6, 88.1, &a, &err), &err);
	CHECK_OK(rw_load_port_impedance(&without, 0.41e6, 88.1, &b, &err), &err);
	assert_true(a == b);
}

static void check_refused(const rw_load_port *p, double f, double i, const char *key, const char *expected)
{
	rw_error err;
	double complex z = 7.31 - 4.2 * j;
	assert_int_equal(rw_load_port_impedance(p, f, i, &z, &err), RW_E_RANGE);
	assert_string_equal(err.key, key);
	if (!strstr(err.expected, expected))
		fail_msg("expected is '%s', want '%s' in it", err.expected, expected);
	assert_true(z == 7.31 - 4.2 * j);
}

static void out_of_range(void **state)
{
	(void)state;
	check_refused(&load, nextafter(91.3e3, 0.0), 137.4, "frequency", "91300 to 1847000 Hz");
	check_refused(&load, nextafter(1.847e6, 2e6), 137.4, "frequency", "91300 to 1847000 Hz");
	check_refused(&load, (double)NAN, 137.4, "frequency", "91300 to 1847000 Hz");
	check_refused(&load, 0.41e6, -1.3, "current", "A rms");
	check_refused(&load, 0.41e6, (double)NAN, "current", "A rms");
	/* 1 - 0.0412 (i - 137.4)/137.4 = 0 at i = 3472.4 */
	check_refused(&load, 0.41e6, 3480.0, "current", "0 to 3472.35146 A rms");
	rw_load_port steep = load;
	steep.di_dr = 1.873;   /* 1 + 1.873 (i - 137.4)/137.4 = 0 at i = 64.042 */
	check_refused(&steep, 0.41e6, 63.9, "current", "64.0417512 A rms or more");
	rw_load_port bad = load;
	bad.n = RW_LADDER_MAX + 1;
	check_refused(&bad, 0.41e6, 137.4, "load", "at most 4");
	bad = load, bad.r[1] = -0.01;
	check_refused(&bad, 0.41e6, 137.4, "load", "at most 4");
	bad = load, bad.i_ref = 0.0;
	check_refused(&bad, 0.41e6, 137.4, "load", "current of reference");
	bad = load, bad.l0 = (double)NAN;
	check_refused(&bad, 0.41e6, 137.4, "load", "finite");
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(ladder), cmocka_unit_test(shorted_pair), cmocka_unit_test(out_of_range)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
