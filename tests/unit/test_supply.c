#include <math.h>
#include <string.h>

#include "base/base.h"
#include "check.h"
#include "supply/connection.h"
#include "supply/supply.h"

static const double pi = 3.14159265358979323846;
static const rw_mains mains = {.voltage_rms = 398.6, .frequency = 50.0, .high = 1.087};

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

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(bridge_agrees_with_projection), cmocka_unit_test(bridge_is_continuous),
		cmocka_unit_test(other_connections_agree_with_projection), cmocka_unit_test(waves_are_the_closed_forms),
		cmocka_unit_test(choice_meets_the_duty),
		cmocka_unit_test(choice_keeps_what_is_given), cmocka_unit_test(choice_refuses), cmocka_unit_test(energy_closes),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
