/* The load port against the impedance of its ladder written with complex division. */
#include "check.h"

#include <string.h>

#include "base/base.h"
#include "circuit/circuit.h"

static const double pi = 3.141592653589793238462643;
static const double complex j = (double complex)I;

/* Bytes of a port are what memo and comparison see. */
_Static_assert(sizeof(rw_load_port) == (9 + 3 * RW_LADDER_MAX) * sizeof(double) + 2 * sizeof(int32_t), "no padding in rw_load_port");

/* Figures are invented. */
static const rw_load_port load = {.kind = RW_PORT_RL, .n = 3, .r0 = 0.02371, .l0 = 0.3182e-6, .r = {0.0417, 0.1893, 2.614},
                                  .l = {61.7e-9, 23.9e-9, 8.31e-9}, .f_lo = 91.3e3, .f_hi = 1.847e6, .i_ref = 137.4, .di_dr = 0.0731,
                                  .di_dl = -0.0412};
static const rw_load_port plates = {.kind = RW_PORT_RC, .n = 3, .r0 = 0.1371, .c0 = 31.82e-12, .r = {417.3, 18.93, 2.614},
                                    .c = {21.7e-12, 123.9e-12, 831.0e-12}, .f_lo = 13.1e6, .f_hi = 271.2e6, .i_ref = 13.74,
                                    .di_dr = -0.0217, .di_dl = 0.0613};

static double complex formula(const rw_load_port *p, double f, double i)
{
	double complex s = j * 2.0 * pi * f, z = p->r0;
	z += p->kind == RW_PORT_RC ? 1.0 / (s * p->c0) : s * p->l0;
	for (int k = 0; k < p->n; k++)
		z += p->kind == RW_PORT_RC ? p->r[k] / (1.0 + s * p->r[k] * p->c[k]) : 1.0 / (1.0 / p->r[k] + 1.0 / (s * p->l[k]));
	double over = i / p->i_ref;
	return creal(z) * pow(over, p->di_dr) + j * (cimag(z) * pow(over, p->di_dl));
}

static void ladder(void **state)
{
	(void)state;
	rw_error err;
	const double f[] = {91.3e3, 0.2713e6, 0.8384e6, 1.847e6}, i[] = {3.71, 43.18, 137.4, 611.9};
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

static void ladder_of_plates(void **state)
{
	(void)state;
	rw_error err;
	const double f[] = {13.1e6, 27.12e6, 83.84e6, 271.2e6}, i[] = {0.371, 4.318, 13.74, 61.19};
	for (int a = 0; a < 4; a++)
		for (int b = 0; b < 4; b++) {
			double complex z = 0.0, want = formula(&plates, f[a], i[b]);
			CHECK_OK(rw_load_port_impedance(&plates, f[a], i[b], &z, &err), &err);
			CHECK_NEAR(creal(z), creal(want), 1e-13, "ladder by complex division");
			CHECK_NEAR(cimag(z), cimag(want), 1e-13, "ladder by complex division");
		}
	rw_load_port open = plates;   /* no capacitor beside it: the resistor */
	open.n = 1, open.c[0] = 0.0;
	double complex z = 0.0;
	CHECK_OK(rw_load_port_impedance(&open, 27.12e6, -1.0, &z, &err), &err);
	CHECK_NEAR(creal(z), 0.1371 + 417.3, 1e-15, "r0 and r[0] in series");
	CHECK_NEAR(cimag(z), -1.0 / (2.0 * pi * 27.12e6 * 31.82e-12), 1e-15, "c0 alone");
}

/* Below zero the current is not looked at, nor is it where nothing follows it. */
static void no_current(void **state)
{
	(void)state;
	rw_error err;
	double complex z = 0.0, at_reference = 1.0;
	CHECK_OK(rw_load_port_impedance(&load, 0.41e6, -1.0, &z, &err), &err);
	CHECK_OK(rw_load_port_impedance(&load, 0.41e6, load.i_ref, &at_reference, &err), &err);
	assert_true(z == at_reference);
	rw_load_port stiff = load;
	stiff.di_dr = stiff.di_dl = stiff.i_ref = 0.0;
	CHECK_OK(rw_load_port_impedance(&stiff, 0.41e6, (double)NAN, &z, &err), &err);
	assert_true(z == at_reference);
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
	with.r[3] = 0.731, with.l[3] = 0.0;
	CHECK_OK(rw_load_port_impedance(&with, 0.41e6, 88.1, &a, &err), &err);
	assert_true(a == b);
	with.r[3] = 0.0;
	CHECK_OK(rw_load_port_impedance(&with, 0.41e6, 88.1, &a, &err), &err);
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
	check_refused(&load, 0.41e6, (double)NAN, "current", "A rms");
	check_refused(&load, 0.41e6, 0.0, "current", "more than 0 A rms");
	rw_load_port bad = load;
	bad.n = RW_LADDER_MAX + 1;
	check_refused(&bad, 0.41e6, 137.4, "load", "at most 4");
	bad = load, bad.r[1] = -0.01;
	check_refused(&bad, 0.41e6, 137.4, "load", "at most 4");
	bad = load, bad.i_ref = 0.0;
	check_refused(&bad, 0.41e6, 137.4, "load", "current of reference");
	bad = load, bad.l0 = (double)NAN;
	check_refused(&bad, 0.41e6, 137.4, "load", "finite");
	bad = load, bad.r0 = -0.0137;
	check_refused(&bad, 0.41e6, 137.4, "load", "zero or more");
	bad = load, bad.kind = 2;
	check_refused(&bad, 0.41e6, 137.4, "load", "at most 4");
	bad = load, bad.l[2] = -8.31e-9;
	check_refused(&bad, 0.41e6, 137.4, "load", "zero or more");
}

static void plates_out_of_range(void **state)
{
	(void)state;
	check_refused(&plates, 27.12e6, 0.0, "current", "more than 0 A rms");
	rw_load_port bad = plates;
	bad.c0 = 0.0;
	check_refused(&bad, 27.12e6, 13.74, "load", "capacitance in series");
	bad.c0 = (double)INFINITY;
	check_refused(&bad, 27.12e6, 13.74, "load", "capacitance in series");
	bad = plates, bad.c[1] = -123.9e-12;
	check_refused(&bad, 27.12e6, 13.74, "load", "zero or more");
	bad = plates, bad.c0 = 1e-320;
	check_refused(&bad, 27.12e6, 13.74, "load", "");
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(ladder), cmocka_unit_test(ladder_of_plates), cmocka_unit_test(no_current), cmocka_unit_test(shorted_pair),
		cmocka_unit_test(out_of_range), cmocka_unit_test(plates_out_of_range),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
