#include <math.h>
#include <string.h>

#include "base/base.h"
#include "check.h"
#include "supply/connection.h"
#include "supply/supply.h"

static const double pi = 3.14159265358979323846;
static const rw_mains mains = {.voltage_rms = 398.6, .frequency = 50.0, .high = 1.087, .fault_level_least = 8.3e6, .low = 0.913};

/* ---- the bridge by a second route ----
 * Smooth direct current I lets each line current lie between -I and I, their sum 0: a hexagon. Behind the reactance the source's volts
 * push the point of the three currents, and diodes keep it inside: projection onto the hexagon after each small step. No modes, no
 * events, no knowledge of which diodes conduct. */

static void clip(double i[3], double limit)
{
	int worst = 0;
	for (int k = 1; k < 3; k++)
		if (fabs(i[k]) > fabs(i[worst]))
			worst = k;
	double beyond = fabs(i[worst]) - limit;
	if (beyond <= 0.0)
		return;
	double shift = copysign(beyond, i[worst]);
	int a = (worst + 1) % 3, b = (worst + 2) % 3;
	i[worst] -= shift;
	i[a] += 0.5 * shift;
	i[b] += 0.5 * shift;
	if (fabs(i[a]) > limit || fabs(i[b]) > limit) {   /* past an edge's end: the corner, where one of the two carries nothing */
		int far = fabs(i[a]) > limit ? a : b, idle = far == a ? b : a;
		i[far] = -i[worst];
		i[idle] = 0.0;
	}
}

typedef struct brute { double voltage, rms, active, reactive; } brute;   /* of the no-load mean; of I */

static void push(double i[3], double limit, double t, double h)
{
	for (int k = 0; k < 3; k++)
		i[k] += h * cos(t + 0.5 * h - k * 2.0 * pi / 3.0);
	clip(i, limit);
}

/* Rounding a corner loses what the step had left along the next edge: close to one the steps are finer. */
static void advance(double i[3], double limit, double t, double h)
{
	enum { FINER = 256 };
	double idle = fmin(fabs(i[0]), fmin(fabs(i[1]), fabs(i[2])));
	bool near_corner = idle > 0.0 && idle < 3.0 * h;
	int n = near_corner ? FINER : 1;
	for (int k = 0; k < n; k++)
		push(i, limit, t + k * h / n, h / n);
}

static brute brute_bridge(double x, int steps, int cycles)
{
	double limit = x * sqrt(3.0) / 2.0, h = 2.0 * pi / steps;   /* phase peak volts 1, reactance 1 */
	double i[3] = {limit, -limit, 0.0};
	brute sum = {0.0, 0.0, 0.0, 0.0};
	for (int n = 0; n < cycles * steps; n++) {
		double before = i[0], t = n * h;
		advance(i, limit, t, h);
		if (n < (cycles - 1) * steps)
			continue;
		double mid = 0.5 * (before + i[0]);
		sum.voltage += 3.0 * mid * cos(t + 0.5 * h);   /* the three phases give alike */
		sum.rms += (before * before + before * i[0] + i[0] * i[0]) / 3.0;
		sum.active += mid * cos(t + 0.5 * h);
		sum.reactive += mid * sin(t + 0.5 * h);
	}
	double no_load = 3.0 * sqrt(3.0) / pi;
	return (brute){sum.voltage / steps / limit / no_load, sqrt(sum.rms / steps) / limit, sqrt(2.0) * sum.active / steps / limit,
	               sqrt(2.0) * sum.reactive / steps / limit};
}

static void bridge_agrees_with_projection(void **state)
{
	(void)state;
	static const double xs[] = {0.0137, 0.0437, 0.1731, 0.4913, 0.5087, 0.7014, 0.8599, 0.8723, 0.9646, 1.1187};
	for (size_t k = 0; k < sizeof xs / sizeof *xs; k++) {
		rw_error err = {0};
		rw_bridge b = {0};
		brute want = brute_bridge(xs[k], 20000, 12);
		CHECK_OK(rw_bridge_at(xs[k], &b, &err), &err);
		CHECK_NEAR_SCALE(b.voltage_ratio, want.voltage, 1e-6, 1.0, "projection onto the hexagon");
		CHECK_NEAR(b.rms_ratio, want.rms, 1e-6, "projection onto the hexagon");
		CHECK_NEAR_SCALE(b.active_ratio, want.active, 1e-6, 1.0, "projection onto the hexagon");
		CHECK_NEAR_SCALE(b.reactive_ratio, want.reactive, 1e-6, 1.0, "projection onto the hexagon");
	}
}

/* The modes join, and the series of small overlap joins the closed form. */
static void bridge_is_continuous(void **state)
{
	(void)state;
	const double joints[] = {0.5, sqrt(3.0) / 2.0, 1.0 - cos(0.3)};
	for (size_t k = 0; k < sizeof joints / sizeof *joints; k++) {
		rw_bridge below = {0}, above = {0};
		CHECK_OK(rw_bridge_at(joints[k] * (1.0 - 1e-12), &below, NULL), NULL);
		CHECK_OK(rw_bridge_at(joints[k] * (1.0 + 1e-12), &above, NULL), NULL);
		CHECK_NEAR(above.voltage_ratio, below.voltage_ratio, 1e-10, "joint of modes");
		CHECK_NEAR_SCALE(above.overlap, below.overlap, 1e-5, 1.0, "joint of modes; the angle goes as a root at the third");
		CHECK_NEAR(above.rms_ratio, below.rms_ratio, 1e-10, "joint of modes");
		CHECK_NEAR(above.active_ratio, below.active_ratio, 1e-10, "joint of modes");
		CHECK_NEAR(above.reactive_ratio, below.reactive_ratio, 1e-10, "joint of modes");
	}
	rw_bridge none = {0};
	CHECK_OK(rw_bridge_at(0.0, &none, NULL), NULL);
	CHECK_NEAR(none.rms_ratio, sqrt(2.0 / 3.0), 1e-15, "no overlap");
	CHECK_NEAR_SCALE(none.reactive_ratio, 0.0, 1e-15, 1.0, "no overlap");
	rw_bridge kept = none;
	assert_int_equal(rw_bridge_at(1.1548, &kept, NULL), RW_E_RANGE);
	assert_int_equal(rw_bridge_at((double)NAN, &kept, NULL), RW_E_RANGE);
	assert_int_equal(rw_bridge_at(-1e-9, &kept, NULL), RW_E_RANGE);
	assert_memory_equal(&kept, &none, sizeof none);
}

/* ---- the other connections by projection ----
 * Half-wave: each current from 0 up, their sum I: a triangle. Single phase: one current between -I and I: a span. */

static void onto_triangle(double i[3], double sum)
{
	double over = (i[0] + i[1] + i[2] - sum) / 3.0;
	for (int k = 0; k < 3; k++)
		i[k] -= over;
	for (int turn = 0; turn < 3; turn++)
		for (int k = 0; k < 3; k++)
			if (i[k] < 0.0) {
				double share = i[k] / ((i[(k + 1) % 3] > 0.0) + (i[(k + 2) % 3] > 0.0));
				for (int m = 0; m < 3; m++)
					if (m != k && i[m] > 0.0)
						i[m] += share;
				i[k] = 0.0;
			}
}

static void push_half_wave(double i[3], double sum, double t, double h)
{
	for (int k = 0; k < 3; k++)
		i[k] += h * cos(t + 0.5 * h - k * 2.0 * pi / 3.0);
	onto_triangle(i, sum);
}

static brute brute_half_wave(double x, int steps, int cycles)
{
	double limit = x * sqrt(3.0) / 2.0, h = 2.0 * pi / steps, i[3] = {limit, 0.0, 0.0};
	brute sum = {0.0, 0.0, 0.0, 0.0};
	for (int n = 0; n < cycles * steps; n++) {
		double before = i[0], t = n * h;
		push_half_wave(i, limit, t, h);
		if (n < (cycles - 1) * steps)
			continue;
		double mid = 0.5 * (before + i[0]);
		sum.voltage += 3.0 * mid * cos(t + 0.5 * h);
		sum.rms += (before * before + before * i[0] + i[0] * i[0]) / 3.0;
		sum.active += mid * cos(t + 0.5 * h);
		sum.reactive += mid * sin(t + 0.5 * h);
	}
	double no_load = 1.5 * sqrt(3.0) / pi;
	return (brute){sum.voltage / steps / limit / no_load, sqrt(sum.rms / steps) / limit, sqrt(2.0) * sum.active / steps / limit,
	               sqrt(2.0) * sum.reactive / steps / limit};
}

static brute brute_single(double x, int steps, int cycles)
{
	double limit = 0.5 * x, h = 2.0 * pi / steps, i = -limit;   /* 2 I = x (peak volts/X) */
	brute sum = {0.0, 0.0, 0.0, 0.0};
	for (int n = 0; n < cycles * steps; n++) {
		double before = i, t = n * h - 0.5 * pi;
		i = fmin(fmax(i + h * cos(t + 0.5 * h), -limit), limit);
		if (n < (cycles - 1) * steps)
			continue;
		double mid = 0.5 * (before + i);
		sum.voltage += mid * cos(t + 0.5 * h);
		sum.rms += (before * before + before * i + i * i) / 3.0;
		sum.active += mid * cos(t + 0.5 * h);
		sum.reactive += mid * sin(t + 0.5 * h);
	}
	return (brute){sum.voltage / steps / limit / (2.0 / pi), sqrt(sum.rms / steps) / limit, sqrt(2.0) * sum.active / steps / limit,
	               sqrt(2.0) * sum.reactive / steps / limit};
}

/* The steps lose what a corner cuts off: first order, so 2e-5 with 400,000 of them, where the phases go out one after another. */
static void other_connections_agree_with_projection(void **state)
{
	(void)state;
	static const double halves[] = {0.0137, 0.0437, 0.331, 0.913, 1.07, 1.19, 1.257, 1.31, 1.9, 2.77, 3.2}, singles[] = {0.0137, 0.119, 0.77, 1.31, 1.83};
	for (size_t k = 0; k < sizeof halves / sizeof *halves; k++) {
		rw_error err = {0};
		rw_bridge b = {0};
		brute want = brute_half_wave(halves[k], 400000, 8);
		CHECK_OK(rw_connection_at(RW_CONNECT_HALF_WAVE, halves[k], &b, &err), &err);
		CHECK_NEAR_SCALE(b.voltage_ratio, want.voltage, 2e-5, 1.0, "projection onto the triangle");
		CHECK_NEAR(b.rms_ratio, want.rms, 2e-5, "projection onto the triangle");
		CHECK_NEAR_SCALE(b.active_ratio, want.active, 2e-5, 1.0, "projection onto the triangle");
		CHECK_NEAR_SCALE(b.reactive_ratio, want.reactive, 2e-5, 1.0, "projection onto the triangle");
	}
	for (size_t k = 0; k < sizeof singles / sizeof *singles; k++) {
		rw_error err = {0};
		rw_bridge b = {0};
		brute want = brute_single(singles[k], 400000, 3);
		CHECK_OK(rw_connection_at(RW_CONNECT_SINGLE_PHASE, singles[k], &b, &err), &err);
		CHECK_NEAR_SCALE(b.voltage_ratio, want.voltage, 2e-5, 1.0, "projection onto the span");
		CHECK_NEAR(b.rms_ratio, want.rms, 2e-5, "projection onto the span");
		CHECK_NEAR_SCALE(b.active_ratio, want.active, 2e-5, 1.0, "projection onto the span");
		CHECK_NEAR_SCALE(b.reactive_ratio, want.reactive, 2e-5, 1.0, "projection onto the span");
	}
}

/* The waves, piece by piece, have the mean, rms and fundamental of the closed forms, in all modes of all connections. */
static void waves_are_the_closed_forms(void **state)
{
	(void)state;
	for (int kind = 0; kind < RW_CONNECTIONS; kind++)
		for (double share = 0.013; share < 1.0; share += 0.0371) {
			double x = share * rw_connection_of(kind)->short_circuit, in_phase, behind;
			rw_bridge b = {0};
			rw_wave line, mains_side, volts;
			CHECK_OK(rw_connection_at(kind, x, &b, NULL), NULL);
			rw_connection_line(kind, x, &b, &line);
			rw_connection_mains(kind, x, &b, &mains_side);
			rw_connection_volts(kind, x, &b, &volts);
			CHECK_NEAR_SCALE(rw_wave_mean(&volts), b.voltage_ratio, 1e-12, 1.0, "mean of the direct volts");
			CHECK_NEAR(rw_wave_rms(&line), b.rms_ratio, 1e-12, "rms of the line current");
			rw_wave_harmonic(&line, 1, &in_phase, &behind);
			CHECK_NEAR_SCALE(in_phase, b.active_ratio, 1e-12, 1.0, "fundamental of the line current");
			CHECK_NEAR_SCALE(behind, b.reactive_ratio, 1e-12, 1.0, "fundamental of the line current");
			double mean = kind == RW_CONNECT_HALF_WAVE ? 1.0 / 3.0 : 0.0, sum = mean * mean;
			CHECK_NEAR_SCALE(rw_wave_mean(&line), mean, 1e-12, 1.0, "mean of the line current");
			CHECK_NEAR_SCALE(rw_wave_mean(&mains_side), 0.0, 1e-12, 1.0, "no direct current through the transformer");
			for (int order = 1; order <= 2000; order++)
				sum += pow(rw_wave_harmonic_rms(&line, order), 2.0);
			CHECK_NEAR(sqrt(sum), b.rms_ratio, 2e-6, "sum of 2000 harmonics; the rest falls as 1/n^4 from the edges on");
			if (rw_connection_of(kind)->secondaries == 2) {
				CHECK_NEAR_SCALE(rw_wave_harmonic_rms(&mains_side, 5), 0.0, 1e-13, 1.0, "the 5th cancels");
				CHECK_NEAR_SCALE(rw_wave_harmonic_rms(&mains_side, 7), 0.0, 1e-13, 1.0, "the 7th cancels");
				CHECK_NEAR_SCALE(rw_wave_harmonic_rms(&mains_side, 11), 2.0 * rw_wave_harmonic_rms(&line, 11), 1e-13, 1.0, "the 11th adds up");
				CHECK_NEAR_SCALE(rw_wave_harmonic_rms(&mains_side, 13), 2.0 * rw_wave_harmonic_rms(&line, 13), 1e-13, 1.0, "the 13th adds up");
			}
		}
}

/* ---- the supply ---- */

static rw_supply_in open_in(double volts, double current)
{
	rw_supply_in in;
	rw_room_blank(&rw_supply_room, &in, NULL, NULL);
	in.duty_voltage_dc = volts;
	in.duty_current_dc = current;
	return in;
}

static double volts_at_duty(const rw_supply_in *in)
{
	rw_error err = {0};
	rw_supply_set set;
	double volts = (double)NAN;
	CHECK_OK(rw_supply_set_solve(in, &mains, &set, &err), &err);
	CHECK_OK(rw_supply_voltage(in, &set, 1.0, in->duty_current_dc, &volts, &err), &err);
	return volts;
}

static void choice_meets_the_duty(void **state)
{
	(void)state;
	static const double duty[][2] = {{8812.0, 3.774}, {5230.0, 1.385}, {12740.0, 9.21}, {1310.0, 0.467}, {22870.0, 31.6}};
	for (size_t k = 0; k < sizeof duty / sizeof *duty; k++) {
		rw_error err = {0};
		rw_supply_in in = open_in(duty[k][0], duty[k][1]);
		CHECK_OK(rw_supply_choose(&in, &mains, &err), &err);
		double rest = remainder(in.secondary_voltage_rms, 50.0);
		CHECK_NEAR_SCALE(rest, 0.0, 1e-9, 50.0, "a multiple of the step");
		for (int side = -1; side <= 1; side += 2) {   /* half a step either way brackets the duty's volts */
			rw_supply_in other = in;
			other.secondary_voltage_rms += side * 0.5 * in.secondary_voltage_step;
			other.rated_power = sqrt(2.0) * other.secondary_voltage_rms * in.duty_current_dc;
			assert_true(side > 0 ? volts_at_duty(&other) >= duty[k][0] : volts_at_duty(&other) <= duty[k][0]);
		}
		double blocked = sqrt(2.0) * in.secondary_voltage_rms * mains.high * in.diode_margin;
		assert_true(in.diodes_in_series * in.diode_voltage_pk >= blocked);
		assert_true((in.diodes_in_series - 1) * in.diode_voltage_pk < blocked);
		assert_true(in.rated_power >= sqrt(2.0) * in.secondary_voltage_rms * in.duty_current_dc);
	}
}

static void choice_keeps_what_is_given(void **state)
{
	(void)state;
	rw_error err = {0};
	rw_supply_in full = open_in(8812.0, 3.774);
	CHECK_OK(rw_supply_choose(&full, &mains, &err), &err);
	for (int open = 0; open < 16; open++) {   /* any subset of what was chosen, given back, gives the same */
		rw_supply_in in = full;
		in.secondary_voltage_rms = open & 1 ? (double)NAN : in.secondary_voltage_rms;
		in.rated_power = open & 2 ? (double)NAN : in.rated_power;
		in.diodes_in_series = open & 4 ? INT32_MIN : in.diodes_in_series;
		in.short_circuit_voltage = open & 8 ? (double)NAN : in.short_circuit_voltage;
		CHECK_OK(rw_supply_choose(&in, &mains, &err), &err);
		assert_memory_equal(&in, &full, sizeof in);
	}
	rw_supply_in in = open_in(8812.0, 3.774);   /* a larger transformer drops less */
	in.rated_power = 84300.0;
	in.secondary_voltage_step = 1.0;
	in.diodes_in_series = 31;
	CHECK_OK(rw_supply_choose(&in, &mains, &err), &err);
	assert_int_equal(in.diodes_in_series, 31);
	assert_true(volts_at_duty(&in) >= 8811.0);
	in.secondary_voltage_rms -= 1.0;
	assert_true(volts_at_duty(&in) < 8812.0);
	in = open_in(8812.0, 3.774);
	in.secondary_voltage_rms = 7133.0;
	in.duty_basis = RW_DUTY_NO_LOAD;
	CHECK_OK(rw_supply_choose(&in, &mains, &err), &err);
	CHECK_NEAR(in.rated_power, 38100.0, 1e-12, "sqrt2 x 7133 x 3.774 = 38070, up to 100 VA");
	assert_int_equal(in.diodes_in_series, 23);   /* 2.5 sqrt2 7133 1.087/1200 = 22.84 */
}

static void choice_refuses(void **state)
{
	(void)state;
	rw_error err = {0};
	rw_supply_in in = open_in((double)NAN, 3.774), before = in;
	assert_int_equal(rw_supply_choose(&in, &mains, &err), RW_E_MISSING);
	assert_string_equal(err.key, "supply.duty_voltage_dc");
	assert_memory_equal(&in, &before, sizeof in);
	in = open_in(8812.0, (double)NAN);
	assert_int_equal(rw_supply_choose(&in, &mains, &err), RW_E_MISSING);
	assert_string_equal(err.key, "supply.duty_current_dc");
	in = open_in(8812.0, 3.774);
	in.short_circuit_resistance = 0.0512;
	assert_int_equal(rw_supply_choose(&in, &mains, &err), RW_E_RANGE);
	assert_string_equal(err.key, "supply.short_circuit_resistance");
	in = open_in(8812.0, 3.774);
	in.rated_power = 3170.0;
	assert_int_equal(rw_supply_choose(&in, &mains, &err), RW_E_NOSOLVE);
	assert_string_equal(err.key, "supply.rated_power");
	in = open_in(8812.0, 3.774);
	in.diode_voltage_pk = 3.3;   /* so many diodes that their own drop asks for more of them */
	assert_int_equal(rw_supply_choose(&in, &mains, &err), RW_E_NOSOLVE);
	assert_string_equal(err.key, "supply.diodes_in_series");
}

static void set_of(double volts, double current, rw_supply_in *in, rw_supply_set *set)
{
	rw_error err = {0};
	*in = open_in(volts, current);
	CHECK_OK(rw_supply_choose(in, &mains, &err), &err);
	CHECK_OK(rw_supply_set_solve(in, &mains, set, &err), &err);
}

/* Energy closes on both sides of the transformer, in all modes of overlap. */
static void energy_closes(void **state)
{
	(void)state;
	rw_supply_in in;
	rw_supply_set set;
	set_of(8812.0, 3.774, &in, &set);
	static const double load[] = {0.0213, 0.87, 3.774, 22.7, 43.1, 65.3};
	double volts = 1e9;
	int modes = 0;
	for (size_t k = 0; k < sizeof load / sizeof *load; k++) {
		rw_error err = {0};
		rw_supply_case c;
		CHECK_OK(rw_supply_at(&in, &set, &mains, 0.913, load[k], &c, &err), &err);
		double out = c.output_power + c.copper_loss + c.diode_loss;
		CHECK_NEAR(c.mains_power, out + set.iron_loss, 1e-13, "energy");
		double line = sqrt(3.0) * in.secondary_voltage_rms * 0.913;
		CHECK_NEAR(line * c.secondary_current_fund_rms * c.displacement_factor, out, 1e-9, "power of the fundamental is the power on the direct side");
		CHECK_NEAR(c.apparent_power, sqrt(3.0) * mains.voltage_rms * 0.913 * c.mains_current_rms, 1e-13, "definition");
		assert_true(c.power_factor < 1.0 && c.secondary_current_rms > c.secondary_current_fund_rms && c.voltage_dc < volts);
		volts = c.voltage_dc;
		modes |= c.commutation_ratio <= 0.5 ? 1 : c.commutation_ratio <= sqrt(3.0) / 2.0 ? 2 : 4;
		double alone;
		CHECK_OK(rw_supply_voltage(&in, &set, 0.913, load[k], &alone, &err), &err);
		assert_true(alone == c.voltage_dc);
	}
	assert_int_equal(modes, 7);
	rw_supply_case c = {.voltage_dc = 4.71}, before = c;
	rw_error err = {0};
	assert_int_equal(rw_supply_at(&in, &set, &mains, 0.913, 74.0, &c, &err), RW_E_RANGE);
	assert_string_equal(err.key, "supply.current_dc");
	assert_memory_equal(&c, &before, sizeof c);
	assert_int_equal(rw_supply_at(&in, &set, &mains, 0.913, 1e4, &c, &err), RW_E_RANGE);
	assert_int_equal(rw_supply_at(&in, &set, &mains, 0.913, (double)NAN, &c, &err), RW_E_RANGE);
}

/* ---- short circuit, strings, filter by second routes ---- */

/* Line current of a phase switched into a short when its volts are worst, by steps: all of it squared, and what one arm carries. */
static void offset_by_steps(double current, double x_over_r, double frequency, double time, double *line, double *arm)
{
	enum { N = 400000 };
	double w = 2.0 * pi * frequency, h = time / N, phase = atan(x_over_r), decay = w / x_over_r;
	*line = *arm = 0.0;
	for (int k = 0; k < N; k++) {
		double t = (k + 0.5) * h, i = sqrt(2.0) * current * (sin(w * t - phase) + sin(phase) * exp(-decay * t));
		*line += h * i * i;
		*arm += i > 0.0 ? h * i * i : 0.0;
	}
}

static void fault_heats_no_more_than_told(void **state)
{
	(void)state;
	static const double shares[] = {0.03, 0.11, 0.3, 0.53, 0.81};   /* resistive part of the impedance */
	for (int kind = 0; kind < RW_CONNECTIONS; kind++)
		for (size_t k = 0; k < sizeof shares / sizeof *shares; k++) {
			rw_error err = {0};
			rw_supply_in in = open_in(8812.0, 3.774);
			rw_supply_set set;
			in.connection = kind;
			in.short_circuit_resistance = shares[k] * 0.05;
			in.impedance_tolerance = 0.0;
			const rw_mains stiff = {.voltage_rms = 398.6, .frequency = 50.0, .high = 1.0, .low = 1.0, .fault_level_least = 1e18};
			CHECK_OK(rw_supply_choose(&in, &stiff, &err), &err);
			CHECK_OK(rw_supply_set_solve(&in, &stiff, &set, &err), &err);
			double line, arm, current = set.fault_current_rms;
			CHECK_NEAR(current, set.short_circuit_current_rms, 1e-12, "nominal volts, nominal impedance, stiff mains");
			CHECK_NEAR(set.fault_current_least_rms, current, 1e-9, "likewise");
			CHECK_NEAR(set.fault_current_pk, set.short_circuit_current_pk, 1e-12, "likewise");
			offset_by_steps(current, sqrt(1.0 / (shares[k] * shares[k]) - 1.0), 50.0, in.fault_clearing_time, &line, &arm);
			assert_true(arm < set.fault_diode_i2t && arm > 0.5 * current * current * in.fault_clearing_time);
			if (kind != RW_CONNECT_HALF_WAVE)
				CHECK_NEAR(set.fault_diode_i2t, line, 0.05, "the standard's offset decays by its own peak factor, here by R/X: a few per cent of the whole");
		}
}

/* A dead short of half-wave: each arm keeps the offset it began with, so 1 - cos, whose mean square is three of the alternating part's. */
static void half_wave_short_is_all_offset(void **state)
{
	(void)state;
	rw_bridge b = {0};
	double end = rw_connection_of(RW_CONNECT_HALF_WAVE)->short_circuit;
	rw_wave line;
	CHECK_OK(rw_connection_at(RW_CONNECT_HALF_WAVE, end * (1.0 - 1e-9), &b, NULL), NULL);
	rw_connection_line(RW_CONNECT_HALF_WAVE, end * (1.0 - 1e-9), &b, &line);
	/* I_d = sqrt6 V_2/X, I_k = V_2/(sqrt3 X): the line current over I_d is sqrt(3) I_k/I_d */
	CHECK_NEAR(rw_wave_rms(&line), sqrt(3.0) / (sqrt(3.0) * sqrt(6.0)), 1e-4, "rms of 1 - cos, at the end its overlap goes as a root");
}

/* Volts of a string by its balance: the current at which they add up to the arm's, the worst diode leaking least behind the worst parts. */
static double worst_by_balance(const rw_supply_in *in, const rw_supply_set *set)
{
	int n = in->diodes_in_series;
	double t = in->sharing_tolerance, low = 0.0, high = 1e3;
	for (int turn = 0; turn < 200; turn++) {   /* current through the string */
		double current = 0.5 * (low + high), sum = in->sharing_resistance * (1.0 + t) * current;
		for (int k = 1; k < n; k++)
			sum += in->sharing_resistance * (1.0 - t) * (current - in->diode_leakage_spread);
		*(sum < set->diode_inverse_voltage_pk ? &low : &high) = current;
	}
	double slow = in->sharing_resistance * (1.0 + t) * low, charge_low = 0.0, charge_high = 1.0;
	for (int turn = 0; turn < 200; turn++) {   /* charge through the string */
		double charge = 0.5 * (charge_low + charge_high), sum = charge / (in->sharing_capacitance * (1.0 - t));
		for (int k = 1; k < n; k++)
			sum += (charge - in->diode_charge_spread) / (in->sharing_capacitance * (1.0 + t));
		*(sum < set->diode_inverse_voltage_pk ? &charge_low : &charge_high) = charge;
	}
	return fmax(slow, charge_low / (in->sharing_capacitance * (1.0 - t)));
}

/* Mean square of what an arm blocks without load, by its volts: the highest of three less its own; of a pair, half the time all of them. */
static double arm_square(int kind, double line_voltage)
{
	enum { N = 30000 };
	double sum = 0.0, crest = sqrt(2.0) * line_voltage;
	for (int k = 0; k < N; k++) {
		double t = 2.0 * pi * (k + 0.5) / N, own = cos(t), next = cos(t - 2.0 * pi / 3.0), last = cos(t + 2.0 * pi / 3.0);
		double v = kind == RW_CONNECT_SINGLE_PHASE ? crest * fmax(-sin(t), 0.0) : crest / sqrt(3.0) * (fmax(fmax(own, next), last) - own);
		sum += v * v / N;
	}
	return sum;
}

static void strings_share_as_told(void **state)
{
	(void)state;
	for (int kind = 0; kind < RW_CONNECTIONS; kind++)
		for (int turn = 0; turn < 3; turn++) {
			rw_error err = {0};
			rw_supply_in in = open_in(8812.0, 3.774);
			rw_supply_set set;
			in.connection = kind;
			in.diodes_in_series = turn == 1 ? 1 : INT32_MIN;
			in.sharing_tolerance = turn == 2 ? 0.13 : 0.0;
			in.sharing_capacitance = turn == 2 ? 2.3e-9 : (double)NAN;
			CHECK_OK(rw_supply_choose(&in, &mains, &err), &err);
			CHECK_OK(rw_supply_set_solve(&in, &mains, &set, &err), &err);
			CHECK_NEAR(set.diode_share_voltage_pk, worst_by_balance(&in, &set), 1e-9, "the balance by bisection");
			double share = set.diode_share_voltage_pk * in.diodes_in_series / set.diode_inverse_voltage_pk;
			if (turn == 0)
				assert_true(share > 1.13 && share < 1.17);   /* E24 is 5 % apart */
			double square = arm_square(kind, in.secondary_voltage_rms * mains.high) / (in.diodes_in_series * (double)in.diodes_in_series);
			CHECK_NEAR(set.sharing_loss, square / in.sharing_resistance, 1e-6, "sampled");
		}
}

/* Ripple behind choke and capacitor: the circuit stepped over the direct volts' wave until it repeats. */
static double filtered_by_steps(const rw_supply_in *in, double inductance, const rw_wave *volts, double scale, double frequency, double load, double *pp)
{
	enum { N = 3000, CYCLES = 400 };
	double w = 2.0 * pi * frequency, h = 1.0 / frequency / N, mean = scale * rw_wave_mean(volts), i = mean / load, v = mean, square = 0.0, sum = 0.0, least = INFINITY, greatest = 0.0;
	static double wave[N];
	for (int k = 0; k < N; k++) {
		double t = fmod(w * h * (k + 0.5) + 4.0 * pi, volts->period);
		wave[k] = 0.0;
		for (int p = 0; p < volts->n; p++)
			for (int turn = -2; turn <= 2; turn++) {
				const rw_piece *q = &volts->piece[p];
				double at = t + turn * volts->period;
				if (at >= q->from && at < q->to)
					wave[k] += scale * (q->constant + q->sine * sin(at) + q->cosine * cos(at));
			}
	}
	for (int k = 0; k < CYCLES * N; k++) {
		if (in->filter_capacitance > 0.0) {
			double half = 0.5 * h / in->filter_capacitance / load;
			i += h / inductance * (wave[k % N] - v);
			v = (v * (1.0 - half) + h / in->filter_capacitance * i) / (1.0 + half);
		} else {
			double half = 0.5 * h * load / inductance;
			i = (i * (1.0 - half) + h / inductance * wave[k % N]) / (1.0 + half);
			v = load * i;
		}
		if (k >= (CYCLES - 1) * N) {
			sum += v / N;
			square += v * v / N;
			least = fmin(least, v);
			greatest = fmax(greatest, v);
		}
	}
	*pp = greatest - least;
	return sqrt(square - sum * sum);
}

static void filter_leaves_what_steps_leave(void **state)
{
	(void)state;
	static const struct { int kind; double inductance, capacitance; } filters[] = {
		{RW_CONNECT_BRIDGE, 1.7, 3.1e-6}, {RW_CONNECT_TWELVE_SERIES, 0.9, 1.3e-6}, {RW_CONNECT_HALF_WAVE, 2.9, 4.7e-6},
		{RW_CONNECT_SINGLE_PHASE, 9.0, 2.3e-6}, {RW_CONNECT_BRIDGE, 2.3, 0.0},
	};
	for (size_t k = 0; k < sizeof filters / sizeof *filters; k++) {
		rw_error err = {0};
		rw_supply_in in = open_in(8812.0, 3.774);
		rw_supply_set set;
		rw_supply_case c;
		rw_bridge b = {0};
		rw_wave volts;
		in.connection = filters[k].kind;
		in.filter_inductance = filters[k].inductance;
		in.filter_capacitance = filters[k].capacitance;
		CHECK_OK(rw_supply_choose(&in, &mains, &err), &err);
		CHECK_OK(rw_supply_set_solve(&in, &mains, &set, &err), &err);
		CHECK_OK(rw_supply_at(&in, &set, &mains, 1.0, 3.774, &c, &err), &err);
		CHECK_OK(rw_connection_at(in.connection, c.commutation_ratio, &b, &err), &err);
		rw_connection_volts(in.connection, c.commutation_ratio, &b, &volts);
		double inductance = in.filter_inductance + set.resistance_factor * set.phase_reactance / (2.0 * pi * mains.frequency);
		double pp, stepped = filtered_by_steps(&in, inductance, &volts, c.no_load_voltage_dc, mains.frequency, c.voltage_dc / c.current_dc, &pp);
		CHECK_NEAR(c.filtered_ripple_rms, stepped, 2e-3, "3000 steps a cycle, first order at the wave's jumps");
		CHECK_NEAR(c.filtered_ripple_pp, pp, 4e-3, "likewise");
		assert_true(c.filtered_ripple_rms < 0.7 * c.ripple_voltage_rms && c.filtered_ripple_pp < c.ripple_voltage_pp);
	}
}

/* Fired: what is left of the ideal bridge's volts at the angle. */
static void filter_leaves_what_steps_leave_when_fired(void **state)
{
	(void)state;
	static const double angles[] = {0.4, 1.25};
	for (int k = 0; k < 2; k++) {
		rw_error err = {0};
		rw_supply_in in = open_in(8812.0, 3.774);
		rw_supply_set set;
		rw_supply_case c;
		rw_wave volts = {.period = pi / 3.0};
		in.filter_inductance = 1.7, in.filter_capacitance = 3.1e-6, in.control = RW_CONTROL_THYRISTOR, in.ripple_counted = RW_RIPPLE_MEAN;
		CHECK_OK(rw_supply_choose(&in, &mains, &err), &err);
		CHECK_OK(rw_supply_set_solve(&in, &mains, &set, &err), &err);
		const rw_supply_setting setting = {1.0, angles[k]};
		CHECK_OK(rw_supply_controlled(&in, &set, &mains, 1.0, &setting, 1.7, NULL, &c, &err), &err);
		rw_wave_piece(&volts, angles[k] - pi / 6.0, fmin(angles[k] + pi / 6.0, pi / 2.0), 0.0, 0.0, pi / 3.0);
		double inductance = in.filter_inductance + set.resistance_factor * set.phase_reactance / (2.0 * pi * mains.frequency);
		double pp, stepped = filtered_by_steps(&in, inductance, &volts, c.no_load_voltage_dc, mains.frequency, c.voltage_dc / c.current_dc, &pp);
		CHECK_NEAR(c.ripple_rms, stepped, 2e-3, "3000 steps a cycle, first order at the wave's jumps");
		CHECK_NEAR(c.ripple_pp, pp, 4e-3, "likewise");
	}
}

/* With the bleeder alone the volts are those of the bleeder's current. */
static void light_load_is_the_bleeders(void **state)
{
	(void)state;
	for (int kind = 0; kind < RW_CONNECTIONS; kind++) {
		rw_error err = {0};
		rw_supply_in in = open_in(8812.0, 3.774);
		rw_supply_set set;
		rw_supply_case c = {0};
		double volts = (double)NAN;
		in.connection = kind;
		in.filter_inductance = 3.0;
		in.filter_resistance = 47.0;
		CHECK_OK(rw_supply_choose(&in, &mains, &err), &err);
		CHECK_OK(rw_supply_set_solve(&in, &mains, &set, &err), &err);
		rw_supply_light_load(&in, &set, 0.913, 71e3, &c);
		CHECK_OK(rw_supply_voltage(&in, &set, 0.913, c.light_load_voltage_dc / 71e3, &volts, &err), &err);
		CHECK_NEAR(volts, c.light_load_voltage_dc, 1e-12, "a fixed point");
		assert_true(fabs(volts_at_duty(&in) - in.duty_voltage_dc) < 0.75 * 50.0 * set.voltage_factor);   /* the choke's drop is in the choice */
	}
	rw_error err = {0};
	rw_supply_in in = open_in(8812.0, 3.774);
	in.filter_capacitance = 1e-6;
	assert_int_equal(rw_supply_choose(&in, &mains, &err), RW_E_VALUE);
	assert_string_equal(err.key, "supply.filter_capacitance");
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(bridge_agrees_with_projection), cmocka_unit_test(bridge_is_continuous),
		cmocka_unit_test(other_connections_agree_with_projection), cmocka_unit_test(waves_are_the_closed_forms),
		cmocka_unit_test(choice_meets_the_duty),
		cmocka_unit_test(choice_keeps_what_is_given), cmocka_unit_test(choice_refuses), cmocka_unit_test(energy_closes),
		cmocka_unit_test(fault_heats_no_more_than_told), cmocka_unit_test(half_wave_short_is_all_offset),
		cmocka_unit_test(strings_share_as_told), cmocka_unit_test(filter_leaves_what_steps_leave),
		cmocka_unit_test(filter_leaves_what_steps_leave_when_fired), cmocka_unit_test(light_load_is_the_bleeders),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
