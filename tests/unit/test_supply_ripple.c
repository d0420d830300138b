/* Phase control and the HT over one pulse: closed forms against sums over equal steps, means of products against those of a plain
 * resistor, convergence of the means, and what is refused. */
#include <math.h>

#include "base/base.h"
#include "check.h"
#include "supply/control.h"
#include "supply/ripple.h"

static const double pi = 3.14159265358979323846;
static const double degree = 3.14159265358979323846 / 180.0;

/* ---- closed forms against the wave itself ---- */

typedef struct sums { double mean, square, greatest, least; } sums;

/* The pulse of a bridge on resistance, sampled in the middle of equal steps. */
static sums bridge_by_steps(double pulses, double angle, int steps)
{
	double half = pi / pulses, crest = half / sin(half);
	sums s = {.least = INFINITY};
	for (int k = 0; k < steps; k++) {
		double v = fmax(crest * cos(angle - half + 2.0 * half * (k + 0.5) / steps), 0.0);
		s.mean += v / steps;
		s.square += v * v / steps;
		s.greatest = fmax(s.greatest, v);
		s.least = fmin(s.least, v);
	}
	return s;
}

static void bridge_is_its_wave(void **state)
{
	(void)state;
	static const double pulses[] = {2.0, 3.0, 6.0, 12.0}, angles[] = {0.0, 11.0, 29.0, 44.0, 61.0, 83.0, 97.0};
	const char source[] = "midpoint sums over 200000 steps: 1e-8 at the corner where the volts reach nought";
	for (int p = 0; p < 4; p++)
		for (int k = 0; k < 7; k++) {
			double angle = angles[k] * degree;
			if (angle > pi / 2.0 + pi / pulses[p])
				continue;
			rw_controlled_bridge b;
			rw_error err;
			sums s = bridge_by_steps(pulses[p], angle, 200000);
			CHECK_OK(rw_control_bridge(pulses[p], angle, &b, &err), &err);
			CHECK_NEAR_SCALE(b.mean_ratio, s.mean, 1e-8, 1.0, source);
			CHECK_NEAR_SCALE(b.rms_ratio * b.rms_ratio, s.square, 1e-8, 1.0, source);
			CHECK_NEAR_SCALE(b.ripple_ratio * b.mean_ratio, sqrt(s.square - s.mean * s.mean), 1e-7, 1.0, source);
			CHECK_NEAR_SCALE(b.ripple_pp_ratio, s.greatest - s.least, 3e-5, 1.0, "samples lie half a step beside the ends");
		}
}

static void pairs_are_their_waves(void **state)
{
	(void)state;
	enum { STEPS = 200000 };
	for (double a = 95.0; a < 175.0; a += 13.0) {
		rw_controlled_pair r, l;
		rw_error err;
		double rms = 0.0, mean = 0.0, volts = 0.0, current = 0.0, fundamental = 0.0, angle = a * degree;
		for (int k = 0; k < STEPS; k++) {
			double t = pi * (k + 0.5) / STEPS, v = t > angle ? sin(t) : 0.0, u = pi - angle, x = t - pi / 2.0;
			double i = fabs(x) < u ? cos(x) - cos(u) : 0.0;   /* of a pure inductance, about its crest a quarter behind */
			rms += 2.0 * v * v / STEPS;
			mean += v * pi / 2.0 / STEPS;
			volts += fabs(x) < u ? 2.0 * sin(x) * sin(x) / STEPS : 0.0;
			current += 2.0 * i * i / STEPS;
			fundamental += 2.0 * i * cos(x) / STEPS;
		}
		CHECK_OK(rw_control_pair_resistive(angle, &r, &err), &err);
		CHECK_OK(rw_control_pair_inductive(angle, &l, &err), &err);
		const char source[] = "midpoint sums; a corner inside a step costs up to 1e-5";
		CHECK_NEAR_SCALE(r.rms_ratio * r.rms_ratio, rms, 2e-5, 1.0, source);
		CHECK_NEAR_SCALE(r.rectified_mean_ratio, mean, 2e-5, 1.0, source);
		CHECK_NEAR_SCALE(l.rms_ratio * l.rms_ratio, volts, 2e-5, 1.0, source);
		CHECK_NEAR_SCALE(l.current_rms_ratio * l.current_rms_ratio, current, 2e-5, 1.0, source);
		CHECK_NEAR_SCALE(l.current_fund_ratio, fundamental, 2e-5, 1.0, source);
	}
}

static void star_has_no_jumps(void **state)
{
	(void)state;
	static const double borders[] = {60.0, 90.0};
	rw_error err;
	double before, after;
	for (int k = 0; k < 2; k++) {
		CHECK_OK(rw_control_star((borders[k] - 1e-7) * degree, &before, &err), &err);
		CHECK_OK(rw_control_star((borders[k] + 1e-7) * degree, &after, &err), &err);
		CHECK_NEAR(after, before, 1e-8, "two pieces of one curve meet");
	}
	before = 1.0;
	for (double a = 3.0; a <= 150.0; a += 3.0) {
		CHECK_OK(rw_control_star(a * degree, &after, &err), &err);
		assert_true(after < before);
		before = after;
	}
}

static void angles_out_of_reach_are_refused(void **state)
{
	(void)state;
	rw_controlled_bridge b;
	rw_controlled_pair p;
	double x = -7.0;
	rw_error err;
	assert_int_equal(rw_control_bridge(6.0, 121.0 * degree, &b, &err), RW_E_RANGE);
	assert_int_equal(rw_control_bridge(1.0, 0.1, &b, &err), RW_E_RANGE);
	assert_int_equal(rw_control_pair_resistive(-0.01, &p, &err), RW_E_RANGE);
	assert_int_equal(rw_control_pair_inductive(80.0 * degree, &p, &err), RW_E_RANGE);
	assert_int_equal(rw_control_star(151.0 * degree, &x, &err), RW_E_RANGE);
	assert_int_equal(rw_control_continuous((double)NAN, &x, &err), RW_E_RANGE);
	CHECK_NEAR(x, -7.0, 0.0, "an output is left as it was");
}

/* ---- means over a pulse ---- */

static void nodes_are_exact_for_their_degree(void **state)
{
	(void)state;
	static const int counts[] = {1, 4, 7, 12, 20, 32};
	for (int c = 0; c < 6; c++) {
		double x[RW_RIPPLE_NODES_MAX], w[RW_RIPPLE_NODES_MAX];
		rw_ripple_gauss(counts[c], x, w);
		for (int power = 0; power < 2 * counts[c]; power += 2) {
			double sum = 0.0;
			for (int k = 0; k < counts[c]; k++)
				sum += w[k] * pow(x[k], power);
			CHECK_NEAR(sum, 2.0 / (power + 1.0), 1e-12, "n nodes integrate x^(2n-1)");
		}
	}
}

/* A resistor, and one that draws as the power 3/2 beyond a threshold; both count their calls. */
typedef struct load { double resistance, threshold; int calls; } load;

static rw_status resistor_at(void *context, const rw_ripple_instant *at, double *q, rw_error *err)
{
	load *l = context;
	double i = at->source / l->resistance;
	(void)err;
	l->calls++;
	q[0] = at->source, q[1] = i, q[2] = at->source * i, q[3] = i * at->sine;
	return RW_OK;
}

static rw_status valve_like_at(void *context, const rw_ripple_instant *at, double *q, rw_error *err)
{
	load *l = context;
	double i = at->source > l->threshold ? pow(at->source - l->threshold, 1.5) / l->resistance : 0.0;
	(void)err;
	l->calls++;
	q[0] = at->source, q[1] = i, q[2] = at->source * i, q[3] = i * at->sine;
	return RW_OK;
}

static rw_status step_at(void *context, const rw_ripple_instant *at, double *q, rw_error *err)
{
	const load *l = context;
	(void)err;
	q[0] = at->source > l->threshold ? 1.0 : 0.0;
	return RW_OK;
}

static const bool judged[] = {true, true, true, false};

/* Power of a resistor is the mean of the squares: what mean volts times mean current leaves out is the ripple's own, in closed form. */
static void resistor_takes_the_mean_of_products(void **state)
{
	(void)state;
	static const double angles[] = {0.0, 15.0, 30.0, 60.0, 90.0, 105.0};
	for (int k = 0; k < 6; k++) {
		const double resistance = 2317.0;
		rw_ripple_source source = {8713.0, 6.0, angles[k] * degree, 0.0};
		double half = pi / 6.0, full = source.crest * sin(half) / half;
		load l = {.resistance = resistance};
		rw_controlled_bridge b;
		rw_ripple_means m;
		rw_error err;
		CHECK_OK(rw_ripple_mean(&source, NULL, 0, resistor_at, &l, 4, judged, &m, &err), &err);
		CHECK_OK(rw_control_bridge(6.0, source.angle, &b, &err), &err);
		CHECK_NEAR(m.mean[0], b.mean_ratio * full, 1e-9, "phase control in closed form");
		CHECK_NEAR(m.mean[2], b.rms_ratio * b.rms_ratio * full * full / resistance, 1e-9, "V_rms^2/R");
		CHECK_NEAR(m.mean[0] * m.mean[1] / m.mean[2] - 1.0, 1.0 / (1.0 + b.ripple_ratio * b.ripple_ratio) - 1.0, 1e-6,
		    "mean volts times mean current: off by the ripple's share");
		if (angles[k] == 0.0)
			CHECK_NEAR(m.mean[2] / (m.mean[0] * m.mean[1]), 1.00176, 5e-6, "supply-and-protection section 1: 1.00176, half the last digit");
		CHECK_NEAR(rw_ripple_mean_ratio(&source), b.mean_ratio, 1e-12, "no drop in the arms");
		assert_true(m.error <= 1e-5 && m.instants == l.calls);
	}
}

/* Second route for a load with a kink: midpoint sums, with and without being told where it starts. */
static void kinks_and_convergence(void **state)
{
	(void)state;
	static const double angles[] = {0.0, 23.0, 57.0, 88.0};
	for (int k = 0; k < 4; k++) {
		enum { STEPS = 400000 };
		rw_ripple_source source = {8713.0, 6.0, angles[k] * degree, 46.0};
		rw_ripple_span span = rw_ripple_span_of(&source);
		load told = {2.1e5, 6000.0, 0};
		double brute[4] = {0.0}, q[4];
		rw_ripple_means m;
		rw_error err;
		for (int i = 0; i < STEPS; i++) {
			double angle = span.start + (span.end - span.start) * (i + 0.5) / STEPS;
			const rw_ripple_instant at = {source.crest * cos(angle), sin(angle)};
			CHECK_OK(valve_like_at(&told, &at, q, &err), &err);
			for (int j = 0; j < 4; j++)
				brute[j] += q[j] * (span.end - span.start) / (pi / 3.0) / STEPS;
		}
		told.calls = 0;
		CHECK_OK(rw_ripple_mean(&source, &told.threshold, 1, valve_like_at, &told, 4, judged, &m, &err), &err);
		for (int j = 0; j < 4; j++)
			CHECK_NEAR_SCALE(m.mean[j], brute[j], 1e-5, fabs(brute[j]) + (j == 3 ? fabs(brute[1]) : 0.0), "midpoint sums; 1e-5 is the stated control");
		assert_true(told.calls <= 150);
	}
}

static void a_jump_is_refused(void **state)
{
	(void)state;
	rw_ripple_source source = {8713.0, 6.0, 0.3, 0.0};
	load l = {.threshold = 7707.0};
	rw_ripple_means m = {.instants = -1};
	rw_error err;
	assert_int_equal(rw_ripple_mean(&source, NULL, 0, step_at, &l, 1, judged, &m, &err), RW_E_NOSOLVE);
	assert_int_equal(m.instants, -1);
	assert_true(err.hint[0] && err.expected[0]);
}

static void ends_of_a_pulse(void **state)
{
	(void)state;
	rw_ripple_source full = {1000.0, 6.0, 0.0, 10.0}, deep = {1000.0, 6.0, 75.0 * degree, 10.0};
	CHECK_NEAR(rw_ripple_greatest(&full), 1000.0, 1e-12, "the crest");
	CHECK_NEAR(rw_ripple_least(&full), 1000.0 * cos(pi / 6.0), 1e-12, "the crossing");
	CHECK_NEAR(rw_ripple_greatest(&deep), 1000.0 * cos(45.0 * degree), 1e-12, "where it is fired");
	CHECK_NEAR(rw_ripple_least(&deep), 0.0, 0.0, "the current stops before");
	CHECK_NEAR(rw_ripple_span_of(&full).share, 1.0, 0.0, "all the time");
	CHECK_NEAR(rw_ripple_span_of(&deep).share, (acos(0.01) - 45.0 * degree) / (60.0 * degree), 1e-12, "until the arms' drop is left");
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(bridge_is_its_wave), cmocka_unit_test(pairs_are_their_waves), cmocka_unit_test(star_has_no_jumps),
		cmocka_unit_test(angles_out_of_reach_are_refused), cmocka_unit_test(nodes_are_exact_for_their_degree),
		cmocka_unit_test(resistor_takes_the_mean_of_products), cmocka_unit_test(kinks_and_convergence), cmocka_unit_test(a_jump_is_refused),
		cmocka_unit_test(ends_of_a_pulse),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
