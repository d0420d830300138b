/* Output transformer against nodal analysis of the same network, energy, reciprocity, the ideal transformer; choices found again by the
 * impedance, against other turns and other solutions by trying. */
#include <complex.h>
#include <string.h>

#include "base/base.h"
#include "base/bessel.h"
#include "circuit/circuit.h"
#include "coil/transform.h"
#include "tests/check.h"

static const rw_transform loose = {7.31, 11.3e-6, 0.813, 137.0, 89.0};
static const double frequency = 413.7e3;

typedef struct view { double complex z, current; } view;

static view look(const rw_transform *t, double f, double complex z_load)
{
	rw_error err;
	view v;
	CHECK_OK(rw_transform_impedance(t, f, z_load, &v.z, &v.current, &err), &err);
	return v;
}

static void same(double complex got, double complex want, double tolerance, const char *source)
{
	CHECK_NEAR_SCALE(creal(got), creal(want), tolerance, cabs(want), source);
	CHECK_NEAR_SCALE(cimag(got), cimag(want), tolerance, cabs(want), source);
}

static void test_against_network(void **state)
{
	(void)state;
	static const double resistances[] = {0.0137, 0.071, 0.73}, reactances[] = {0.213, -0.117, 3.1};
	rw_error err;
	rw_work work;
	rw_work_init(&work);
	for (int i = 0; i < 3; i++) {
		double complex load = rw_complex(resistances[i], reactances[i]), y;
		double w = 2.0 * M_PI * frequency, l2 = loose.primary_inductance / (loose.ratio * loose.ratio);
		rw_net net;
		rw_net_start(&net, 3);
		int first = rw_net_add(&net, RW_PART_L, 1, 0, loose.primary_inductance, 1.0 / loose.primary_q);
		int second = rw_net_add(&net, RW_PART_L, 2, 0, l2, 1.0 / loose.secondary_q);
		rw_net_couple(&net, first, second, loose.coupling * sqrt(l2 * loose.primary_inductance));
		int across = rw_net_add(&net, RW_PART_Z, 2, 0, creal(load), cimag(load));
		(void)rw_net_port(&net, 1, 0);
		CHECK_OK(rw_net_admittance(&net, frequency, &work, &y, &err), &err);
		view v = look(&loose, frequency, load);
		same(v.z, 1.0 / y, 1e-12, "nodal analysis");
		rw_stress stress[3];
		double complex volts = 1.0, current;
		CHECK_OK(rw_net_stress(&net, frequency, &volts, NULL, &work, stress, NULL, &current, &err), &err);
		same(v.current, stress[across].current / current, 1e-12, "nodal analysis");
		/* 1 A in: what enters is lost in windings and load */
		double out = creal(v.current * conj(v.current)) * (creal(load) + w * l2 / loose.secondary_q);
		CHECK_NEAR(creal(v.z), out + w * loose.primary_inductance / loose.primary_q, 1e-13, "energy");
	}
	rw_work_release(&work);
}

/* Source and load change places: the current in the one from volts in the other is the same. */
static void test_reciprocity(void **state)
{
	(void)state;
	double l2 = loose.primary_inductance / (loose.ratio * loose.ratio);
	rw_transform turned = {1.0 / loose.ratio, l2, loose.coupling, loose.secondary_q, loose.primary_q};
	double complex source = rw_complex(3.7, 19.1), load = rw_complex(0.047, 0.31);
	view there = look(&loose, frequency, load), back = look(&turned, frequency, source);
	same(there.current / (source + there.z), back.current / (load + back.z), 1e-13, "reciprocity");
}

static void test_limits(void **state)
{
	(void)state;
	double complex load = rw_complex(0.047, 0.31);
	rw_transform ideal = {7.31, 11.3, 1.0, (double)INFINITY, (double)INFINITY};   /* 11.3 H */
	view v = look(&ideal, frequency, load);
	same(v.z, load * 7.31 * 7.31, 1e-6, "ideal transformer");
	same(v.current, 7.31, 1e-6, "ideal transformer");
	/* all of the primary's leakage: the secondary shorted */
	rw_transform lossless = loose;
	lossless.primary_q = lossless.secondary_q = (double)INFINITY;
	v = look(&lossless, frequency, 0.0);
	same(v.z, rw_complex(0.0, 2.0 * M_PI * frequency * 11.3e-6 * (1.0 - 0.813 * 0.813)), 1e-13, "leakage");
	same(look(&lossless, frequency, 1e9).z, rw_complex(0.0, 2.0 * M_PI * frequency * 11.3e-6), 1e-8, "open");
	/* passive whatever the values */
	for (double k = 0.013; k < 1.0; k += 0.089)
		for (double x = -3.1; x < 3.2; x += 0.217) {
			rw_transform t = {3.3, 7.9e-6, k, 61.0, 43.0};
			v = look(&t, frequency, rw_complex(0.0023, x));
			assert_true(creal(v.z) > 2.0 * M_PI * frequency * 7.9e-6 / 61.0);
		}
}

static rw_transform_want any(void)
{
	double open = (double)NAN;
	return (rw_transform_want){open, open, open, 0.87, open, 2.7, 160.0, 70.0, 0, 0};
}

static rw_transform_choice chosen(const rw_transform_want *want, double complex load)
{
	rw_error err;
	rw_transform_choice c;
	CHECK_OK(rw_transform_choose(want, frequency, load, &c, &err), &err);
	return c;
}

static double complex coil(void) { return rw_complex(0.0271, 0.1873); }

static double of_kind(const view *v, int kind) { return kind == 0 ? creal(v->z) : kind == 1 ? cimag(v->z) : cabs(v->current); }

/* Every want, by the multiple and with an inductance, found again by the impedance; efficiency by the currents. */
static void test_choice(void **state)
{
	(void)state;
	static const double wants[] = {0.913, 8.37, 3.19};
	double complex load = coil();
	double w = 2.0 * M_PI * frequency;
	for (int kind = 0; kind < 3; kind++)
		for (int given = 0; given < 2; given++) {
			rw_transform_want want = any();
			*(kind == 0 ? &want.resistance : kind == 1 ? &want.reactance : &want.current_ratio) = wants[kind];
			want.primary_inductance = given ? 9.7e-6 : (double)NAN;
			rw_transform_choice c = chosen(&want, load);
			view v = look(&c.transform, frequency, load);
			CHECK_NEAR(of_kind(&v, kind), wants[kind], 1e-12, "as wanted");
			assert_true(fabs(c.off) < 1e-12 && v.z == c.z_in && v.current == c.ratio_current);
			CHECK_NEAR(c.efficiency, creal(v.current * conj(v.current)) * creal(load) / creal(v.z), 1e-12, "power out over power in");
			if (!given)
				CHECK_NEAR(w * c.transform.primary_inductance, 2.7 * cabs(load) * c.transform.ratio * c.transform.ratio, 1e-13, "multiple");
			/* no smaller ratio on this primary does the same, no other one with less reactance */
			view before = v;
			int found = 0;
			for (double ratio = 0.1; given && ratio < 300.0; ratio *= 1.003) {
				rw_transform t = c.transform;
				t.ratio = ratio;
				v = look(&t, frequency, load);
				if (ratio > 0.1 && (of_kind(&v, kind) > wants[kind]) != (of_kind(&before, kind) > wants[kind])) {
					assert_true(found > 0 || fabs(ratio / c.transform.ratio - 1.0) < 0.004);
					assert_true(cimag(v.z) > 0.97 * cimag(c.z_in));
					found++;
				}
				before = v;
			}
			assert_true(!given || found >= 1);
		}
}

/* More or less reactance than the best loses more. */
static void test_least_loss(void **state)
{
	(void)state;
	for (double q2 = 20.0; q2 < 3000.0; q2 *= 4.7) {
		rw_transform_want want = any();
		want.current_ratio = 7.13, want.secondary_q = q2, want.multiple = (double)NAN;
		rw_transform_choice best = chosen(&want, coil());
		double x1 = 2.0 * M_PI * frequency * best.transform.primary_inductance, m = x1 / (cabs(coil()) * pow(best.transform.ratio, 2.0));
		for (int side = -1; side < 2; side += 2) {
			want.multiple = m * (1.0 + side * 0.03);
			double beside = chosen(&want, coil()).efficiency;
			assert_true(beside < best.efficiency && beside > best.efficiency * (1.0 - 1e-3));
		}
		CHECK_NEAR(cabs(best.ratio_current), 7.13, 1e-12, "as wanted");
	}
}

static void test_whole_turns(void **state)
{
	(void)state;
	double complex load = coil();
	for (double wanted = 0.37; wanted < 40.0; wanted *= 1.37) {
		rw_transform_want want = any();
		want.current_ratio = wanted;
		double exact = chosen(&want, load).transform.ratio, least = (double)INFINITY;
		want.primary_turns_max = 17, want.secondary_turns_max = 3;
		rw_transform_choice c = chosen(&want, load);
		for (int p = 1; p <= 17; p++)
			for (int s = 1; s <= 3; s++)
				least = fmin(least, fabs(log((double)p / s / exact)));
		assert_true(c.primary_turns >= 1 && c.primary_turns <= 17 && c.secondary_turns >= 1 && c.secondary_turns <= 3);
		CHECK_NEAR(c.transform.ratio, (double)c.primary_turns / c.secondary_turns, 1e-15, "whole turns");
		CHECK_NEAR_SCALE(fabs(log(c.transform.ratio / exact)), least, 1e-9, 1.0, "nearest, by trying all");
		CHECK_NEAR(1.0 + c.off, exact / c.transform.ratio, 1e-9, "currents go as the ratio");
	}
}

static void test_for_current(void **state)
{
	(void)state;
	rw_error err;
	rw_transform_choice c;
	double complex load = coil();
	CHECK_OK(rw_transform_for_current(load, frequency, 713.0, 83.1, 0.87, (double)NAN, 160.0, 70.0, &c, &err), &err);
	CHECK_NEAR(cabs(c.ratio_current), 713.0 / 83.1, 1e-12, "as wanted");
	/* lossless, nearly tight, much primary inductance: the ratio is that of the currents */
	CHECK_OK(rw_transform_for_current(load, frequency, 713.0, 83.1, 0.9999999, 0.93, 1e9, 1e9, &c, &err), &err);
	CHECK_NEAR(c.transform.ratio, 713.0 / 83.1, 1e-5, "ideal transformer");
	assert_int_equal(rw_transform_for_current(load, frequency, 0.0, 83.1, 0.87, 1e-5, 160.0, 70.0, &c, &err), RW_E_RANGE);
	/* 1 uH: the primary carries no more than k sqrt(L1/(4 leak)) */
	rw_transform_choice kept = c;
	assert_int_equal(rw_transform_for_current(load, frequency, 7130.0, 83.1, 0.3, 1e-6, 160.0, 70.0, &c, &err), RW_E_NOSOLVE);
	assert_true(strstr(err.what, "current ratio") && err.expected[0]);
	assert_memory_equal(&kept, &c, sizeof c);
}

static void test_refusals(void **state)
{
	(void)state;
	rw_error err;
	double complex z = 7.0, g = 7.0, load = rw_complex(0.03, 0.2);
	double nan = (double)NAN;
	rw_transform bad[] = {loose, loose, loose, loose, loose, loose};
	bad[0].ratio = 0.0, bad[1].primary_inductance = nan, bad[2].coupling = 1.01;
	bad[3].coupling = 0.0, bad[4].primary_q = -3.0, bad[5].secondary_q = nan;
	for (int i = 0; i < 6; i++)
		assert_int_equal(rw_transform_impedance(&bad[i], frequency, load, &z, &g, &err), RW_E_RANGE);
	assert_int_equal(rw_transform_impedance(&loose, 0.0, load, &z, &g, &err), RW_E_RANGE);
	assert_int_equal(rw_transform_impedance(&loose, frequency, -load, &z, &g, &err), RW_E_RANGE);
	assert_int_equal(rw_transform_impedance(&loose, frequency, rw_complex(nan, 0.0), &z, &g, &err), RW_E_RANGE);
	rw_transform lossless = {1.0, 1.0 / (2.0 * M_PI), 0.9, 100.0, (double)INFINITY};
	double complex opposite = rw_complex(0.0, -2.0 * M_PI * lossless.primary_inductance);
	assert_int_equal(rw_transform_impedance(&lossless, 1.0, opposite, &z, &g, &err), RW_E_NOSOLVE);
	assert_true(z == 7.0 && g == 7.0);
	rw_transform_choice c = {.off = 7.0};
	rw_transform_want want = any();
	assert_int_equal(rw_transform_choose(&want, frequency, load, &c, &err), RW_E_RANGE);   /* nothing wanted */
	want.resistance = want.reactance = 3.0;
	assert_int_equal(rw_transform_choose(&want, frequency, load, &c, &err), RW_E_RANGE);
	want.reactance = nan, want.multiple = -2.0;
	assert_int_equal(rw_transform_choose(&want, frequency, load, &c, &err), RW_E_RANGE);
	want.multiple = nan, want.primary_q = (double)INFINITY;
	assert_int_equal(rw_transform_choose(&want, frequency, load, &c, &err), RW_E_RANGE);
	want = any(), want.resistance = 3.0, want.primary_turns_max = 5;
	assert_int_equal(rw_transform_choose(&want, frequency, load, &c, &err), RW_E_RANGE);
	want.primary_turns_max = 0;
	assert_int_equal(rw_transform_choose(&want, frequency, 0.0, &c, &err), RW_E_RANGE);
	want.primary_inductance = 1e-3;    /* whose own loss is 16 ohm */
	assert_int_equal(rw_transform_choose(&want, frequency, load, &c, &err), RW_E_NOSOLVE);
	want.primary_inductance = 1e-7;    /* 0.26 ohm of reactance do not become 3 */
	assert_int_equal(rw_transform_choose(&want, frequency, load, &c, &err), RW_E_NOSOLVE);
	want.resistance = nan, want.reactance = 0.001;   /* less than the leakage */
	assert_int_equal(rw_transform_choose(&want, frequency, load, &c, &err), RW_E_NOSOLVE);
	assert_true(c.off == 7.0 && err.what[0] && err.expected[0]);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_against_network), cmocka_unit_test(test_reciprocity), cmocka_unit_test(test_limits),
		cmocka_unit_test(test_choice),          cmocka_unit_test(test_least_loss),  cmocka_unit_test(test_whole_turns),
		cmocka_unit_test(test_for_current),     cmocka_unit_test(test_refusals),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
