/* Phase control and the HT over one pulse: closed forms against sums over equal steps, means of products against those of a plain
 * resistor, convergence of the means, and what is refused. */
#include <math.h>

#include "base/numeric.h"
#include "base/base.h"
#include "check.h"
#include "supply/control.h"
#include "supply/bridge.h"
#include "supply/ripple.h"
#include "supply/supply.h"

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
		rw_gauss_legendre(counts[c], x, w);
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

/* Line a of six arms at an instant: the pair that is fired last carries the current while its volts drive it. */
static double line_current(const rw_ripple_source *source, load *l, rw_ripple_load load_at, double t)
{
	double q[4];
	rw_error err;
	for (int pair = 0; pair < 6; pair++) {   /* ab, ac, bc, ba, ca, cb: each crest 60 degrees after the one before, the first at -30 */
		double since = remainder(t - (pair - 0.5) * pi / 3.0, 2.0 * pi);
		if (!(since >= source->angle - pi / 6.0 && since < source->angle + pi / 6.0 && source->crest * cos(since) > source->arms))
			continue;
		const rw_ripple_instant at = {source->crest * cos(since), sin(since)};
		CHECK_OK(load_at(l, &at, q, &err), &err);
		return pair < 2 ? q[1] : pair == 3 || pair == 4 ? -q[1] : 0.0;
	}
	return 0.0;
}

/* Rms of the harmonics of a whole cycle of that line, by equal steps. */
static void harmonics_by_steps(const rw_ripple_source *source, load *l, rw_ripple_load load_at, double rms[51])
{
	enum { STEPS = 72000 };
	double in_phase[51] = {0.0}, behind[51] = {0.0};
	for (int i = 0; i < STEPS; i++) {
		double t = 2.0 * pi * (i + 0.5) / STEPS, amps = line_current(source, l, load_at, t);
		for (int order = 1; order <= 50; order++) {
			in_phase[order] += amps * cos(order * t) * 2.0 / STEPS;
			behind[order] += amps * sin(order * t) * 2.0 / STEPS;
		}
	}
	for (int order = 1; order <= 50; order++)
		rms[order] = hypot(in_phase[order], behind[order]) / sqrt(2.0);
}

/* q of the load with the current last, as the trace wants it. */
static rw_status current_last(void *context, const rw_ripple_instant *at, double *q, rw_error *err)
{
	RW_TRY(resistor_at(context, at, q, err));
	q[3] = q[1];
	return RW_OK;
}

static rw_status kinked_last(void *context, const rw_ripple_instant *at, double *q, rw_error *err)
{
	RW_TRY(valve_like_at(context, at, q, err));
	q[3] = q[1];
	return RW_OK;
}

/* Harmonics of the line current from the pulse against a whole cycle of the line in steps; the share of the 5th on a resistance. */
static void line_harmonics_of_the_pulse(void **state)
{
	(void)state;
	static const struct { double angle, fifth; } of[] = {{0.0, 0.226}, {15.0, 0.0}, {30.0, 0.261}, {60.0, 0.447}, {75.0, 0.0}, {105.0, 0.0}};
	double before = 0.0;
	for (int k = 0; k < 6; k++) {
		rw_ripple_source source = {8713.0, 6.0, of[k].angle * degree, 0.0}, kinked = {8713.0, 6.0, of[k].angle * degree, 46.0};
		load l = {.resistance = 2317.0}, told = {2.1e5, 6000.0, 0};
		double steps[51];
		rw_ripple_means m;
		rw_error err;
		CHECK_OK(rw_ripple_mean(&source, NULL, 0, current_last, &l, 4, judged, &m, &err), &err);
		harmonics_by_steps(&source, &l, resistor_at, steps);
		for (int order = 1; order <= 50; order++)
			CHECK_NEAR_SCALE(rw_ripple_line_harmonic(&m.last, order), steps[order], 3e-6, steps[1], "a cycle of 72000 steps: (50 h)^2/24 is 1e-6");
		double fifth = rw_ripple_line_harmonic(&m.last, 5) / rw_ripple_line_harmonic(&m.last, 1);
		if (of[k].fifth > 0.0)
			CHECK_NEAR_SCALE(fifth, of[k].fifth, 5e-4, 1.0, "integrated by another hand, to three digits");
		assert_true(fifth > before);
		before = fifth;
		if (kinked.crest * cos(fmax(kinked.angle - pi / 6.0, 0.0)) < told.threshold)
			continue;
		CHECK_OK(rw_ripple_mean(&kinked, &told.threshold, 1, kinked_last, &told, 4, judged, &m, &err), &err);
		harmonics_by_steps(&kinked, &told, valve_like_at, steps);
		for (int order = 1; order <= 50; order++)
			CHECK_NEAR_SCALE(rw_ripple_line_harmonic(&m.last, order), steps[order], 3e-5, steps[1], "the means are good to 1e-5 there");
	}
}

/* The current of one arm pair's line while the next is fired: it follows the volts' integral from the angle on, by a thousandth of a degree. */
static double fired_block(double x, double angle, double t)
{
	double up = t + pi / 3.0 - angle, down = t - pi / 3.0 - angle;   /* since it is fired, since its successor is */
	double taken = up < 0.0 ? 0.0 : fmin((cos(angle) - cos(angle + up)) / x, 1.0), given = down < 0.0 ? 0.0 : fmin((cos(angle) - cos(angle + down)) / x, 1.0);
	return up > pi || down > pi ? 0.0 : taken - given;
}

/* A commutation that waits for the angle: closed forms against steps, and the supply's harmonics of a smooth current against the same. */
static void fired_commutation_by_steps(void **state)
{
	(void)state;
	enum { STEPS = 360000 };
	static const struct { double x, angle; } of[] = {{0.07, 0.0}, {0.07, 12.0}, {0.31, 33.0}, {0.31, 58.0}};
	for (int k = 0; k < 4; k++) {
		double x = of[k].x, angle = of[k].angle * degree, square = 0.0, in_phase[26] = {0.0}, behind[26] = {0.0};
		for (int i = 0; i < STEPS; i++) {
			double t = -0.5 * pi + 2.0 * pi * (i + 0.5) / STEPS, amps = fired_block(x, angle, t) - fired_block(x, angle, t - pi) - fired_block(x, angle, t + pi);
			square += amps * amps / STEPS;
			for (int order = 1; order <= 25; order++) {
				in_phase[order] += amps * cos(order * t) * sqrt(2.0) / STEPS;
				behind[order] += amps * sin(order * t) * sqrt(2.0) / STEPS;
			}
		}
		rw_bridge b;
		rw_error err;
		CHECK_OK(rw_bridge_fired(x, angle, &b, &err), &err);
		CHECK_NEAR(b.rms_ratio, sqrt(square), 1e-5, "steps of a thousandth of a degree");
		CHECK_NEAR(b.active_ratio, in_phase[1], 1e-5, "likewise");
		CHECK_NEAR(b.reactive_ratio, behind[1], 1e-5, "likewise");
		CHECK_NEAR(b.voltage_ratio, cos(angle) - 0.5 * x, 1e-12, "mean of the volts before and after");

		static const rw_mains mains = {.voltage_rms = 398.6, .frequency = 50.0, .high = 1.087};
		rw_supply_in in;
		rw_supply_set set;
		rw_supply_case c;
		rw_room_blank(&rw_supply_room, &in, NULL, NULL);
		in.duty_voltage_dc = 8812.0, in.duty_current_dc = 3.774, in.control = RW_CONTROL_THYRISTOR, in.ripple_counted = RW_RIPPLE_MEAN;
		CHECK_OK(rw_supply_choose(&in, &mains, &err), &err);
		CHECK_OK(rw_supply_set_solve(&in, &mains, &set, &err), &err);
		const rw_supply_setting setting = {1.0, angle};
		double amps = x * in.secondary_voltage_rms / (sqrt(2.0) * set.phase_reactance), to_mains = amps * in.secondary_voltage_rms / mains.voltage_rms;
		CHECK_OK(rw_supply_controlled(&in, &set, &mains, 1.0, &setting, amps, NULL, &c, &err), &err);
		const struct { double told; int order; } orders[] = {{c.harmonic_5_rms, 5}, {c.harmonic_7_rms, 7}, {c.harmonic_11_rms, 11},
		    {c.harmonic_13_rms, 13}, {c.harmonic_17_rms, 17}, {c.harmonic_19_rms, 19}, {c.harmonic_23_rms, 23}, {c.harmonic_25_rms, 25}};
		for (int i = 0; i < 8; i++)
			CHECK_NEAR_SCALE(orders[i].told, to_mains * hypot(in_phase[orders[i].order], behind[orders[i].order]), 1e-5, to_mains, "likewise");
		CHECK_NEAR(c.primary_current_rms, to_mains * sqrt(square), 1e-5, "so that all harmonics together are what the rms leaves of the fundamental");
		CHECK_NEAR(c.primary_current_fund_rms, to_mains * hypot(in_phase[1], behind[1]), 1e-5, "likewise");
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
		cmocka_unit_test(resistor_takes_the_mean_of_products), cmocka_unit_test(kinks_and_convergence), cmocka_unit_test(line_harmonics_of_the_pulse),
		cmocka_unit_test(fired_commutation_by_steps), cmocka_unit_test(a_jump_is_refused),
		cmocka_unit_test(ends_of_a_pulse),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
