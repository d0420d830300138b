#include "supply/connection.h"

#include <math.h>

#define PI    3.14159265358979323846
#define ROOT2 1.41421356237309504880
#define ROOT3 1.73205080756887729353
#define D30   (PI / 6.0)
#define COS15 0.96592582628906828675

static const rw_connection connections[RW_CONNECTIONS] = {
	[RW_CONNECT_BRIDGE] = {
		.voltage_factor = 1.3504744742356594, .peak_factor = ROOT2, .rating_factor = ROOT2, .primary_factor = 1.0, .bridge_share = 1.0,
		.fundamental_factor = ROOT2 * ROOT3 / PI, .phase_factor = ROOT3, .resistance_factor = 2.0, .overlap_end = 0.5, .short_circuit = 2.0 / ROOT3,
		.diode_mean = 1.0 / 3.0, .diode_rms = 1.0 / ROOT3, .pulses = 6, .secondaries = 1, .arms_in_series = 2, .arms = 6},
	[RW_CONNECT_TWELVE_SERIES] = {
		.voltage_factor = 2.0 * 1.3504744742356594, .peak_factor = 2.0 * ROOT2 * COS15, .rating_factor = 2.0 * ROOT2, .primary_factor = COS15,
		.bridge_share = 1.0, .fundamental_factor = ROOT2 * ROOT3 / PI, .phase_factor = ROOT3, .resistance_factor = 4.0, .overlap_end = 0.5,
		.short_circuit = 2.0 / ROOT3, .diode_mean = 1.0 / 3.0, .diode_rms = 1.0 / ROOT3, .pulses = 12, .secondaries = 2, .arms_in_series = 4,
		.arms = 12},
	[RW_CONNECT_TWELVE_PARALLEL] = {   /* without load the interphase transformer holds nothing apart: the higher bridge's crest */
		.voltage_factor = 1.3504744742356594, .peak_factor = ROOT2, .rating_factor = ROOT2, .primary_factor = COS15, .bridge_share = 0.5,
		.fundamental_factor = ROOT2 * ROOT3 / PI, .phase_factor = ROOT3, .resistance_factor = 1.0, .overlap_end = 0.5, .short_circuit = 2.0 / ROOT3,
		.diode_mean = 1.0 / 6.0, .diode_rms = 0.5 / ROOT3, .pulses = 12, .secondaries = 2, .arms_in_series = 2, .arms = 12},
	[RW_CONNECT_HALF_WAVE] = {
		.voltage_factor = 0.5 * 1.3504744742356594, .peak_factor = ROOT2 / ROOT3, .rating_factor = 1.0, .primary_factor = ROOT2 / ROOT3,
		.bridge_share = 1.0, .fundamental_factor = ROOT2 * ROOT3 / (2.0 * PI), .phase_factor = ROOT3, .resistance_factor = 1.0, .overlap_end = 1.0,
		.short_circuit = 2.0 * ROOT3, .diode_mean = 1.0 / 3.0, .diode_rms = 1.0 / ROOT3, .pulses = 3, .secondaries = 1, .arms_in_series = 1,
		.arms = 3},
	[RW_CONNECT_SINGLE_PHASE] = {
		.voltage_factor = 2.0 * ROOT2 / PI, .peak_factor = ROOT2, .rating_factor = 1.0, .primary_factor = 1.0, .bridge_share = 1.0,
		.fundamental_factor = 2.0 * ROOT2 / PI, .phase_factor = 1.0, .resistance_factor = 1.0, .overlap_end = 2.0, .short_circuit = 2.0,
		.diode_mean = 0.5, .diode_rms = 1.0 / ROOT2, .pulses = 2, .secondaries = 1, .arms_in_series = 2, .arms = 4},
};

const rw_connection *rw_connection_of(int kind)
{
	return &connections[kind > 0 && kind < RW_CONNECTIONS ? kind : RW_CONNECT_BRIDGE];
}

static bool in_bridges(int kind) { return kind != RW_CONNECT_HALF_WAVE && kind != RW_CONNECT_SINGLE_PHASE; }

static rw_status refuse_current(int kind, double x, rw_error *err)
{
	double most = rw_connection_of(kind)->short_circuit;
	if (x >= 0.0 && x <= most)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "supply.current_dc", "'current_dc' makes a commutation ratio of %.4g", x);
	rw_error_expected(err, "0 to %.4g, where the volts are gone", most);
	rw_error_hint(err, "less current, or a transformer of less reactance");
	return RW_E_RANGE;
}

double rw_connection_source(int kind) { return in_bridges(kind) ? ROOT3 : 1.0; }

rw_status rw_connection_voltage_ratio(int kind, double x, double *ratio, rw_error *err)
{
	if (in_bridges(kind))
		return rw_bridge_voltage_ratio(x, ratio, err);
	RW_TRY(refuse_current(kind, x, err));
	*ratio = kind == RW_CONNECT_HALF_WAVE && x > 3.0 - ROOT3 ? fmax(1.0 / ROOT3 - x / 6.0, 0.0) : 1.0 - 0.5 * x;
	return RW_OK;
}

/* How long three phases of half-wave conduct together, in its modes 2 and 3. */
static double together(int mode, double x)
{
	return D30 + (mode == 2 ? -asin(0.5 * ROOT3 * (1.0 - x) + 0.5) : asin(fmin(x / ROOT3 - 1.0, 1.0)));
}

static void half_wave(double x, rw_bridge *b)
{
	if (x <= 1.0) {
		b->mode = 1;
		b->overlap = 2.0 * asin(sqrt(0.5 * x));
		b->rms_ratio = sqrt((1.0 - 1.5 / PI * rw_overlap_share(b->overlap)) / 3.0);
		b->active_ratio = ROOT2 * ROOT3 / (2.0 * PI) * b->voltage_ratio;
		b->reactive_ratio = ROOT2 * ROOT3 / (2.0 * PI) * rw_overlap_lag(b->overlap);
		return;
	}
	rw_wave line;
	b->mode = x <= 3.0 - ROOT3 ? 2 : 3;
	b->overlap = together(b->mode, x) + (b->mode == 2 ? 3.0 : 4.0) * D30;
	b->delay = b->mode == 2 ? 0.0 : -D30;
	rw_connection_line(RW_CONNECT_HALF_WAVE, x, b, &line);
	b->rms_ratio = rw_wave_rms(&line);
	rw_wave_harmonic(&line, 1, &b->active_ratio, &b->reactive_ratio);
}

rw_status rw_connection_at(int kind, double x, rw_bridge *out, rw_error *err)
{
	rw_bridge b = {.mode = 1};
	if (in_bridges(kind))
		return rw_bridge_at(x, out, err);
	RW_TRY(rw_connection_voltage_ratio(kind, x, &b.voltage_ratio, err));
	if (kind == RW_CONNECT_HALF_WAVE) {
		half_wave(x, &b);
	} else {
		b.overlap = 2.0 * asin(sqrt(fmin(0.5 * x, 1.0)));
		b.rms_ratio = sqrt(1.0 - 2.0 / PI * rw_overlap_share(b.overlap));
		b.active_ratio = 2.0 * ROOT2 / PI * b.voltage_ratio;
		b.reactive_ratio = 2.0 * ROOT2 / PI * rw_overlap_lag(b.overlap);
	}
	*out = b;
	return RW_OK;
}

/* ---- waves ---- */

/* constant + size sin(t + phase) */
static void sine_piece(rw_wave *w, double from, double to, double constant, double size, double phase)
{
	rw_wave_piece(w, from, to, constant, size * cos(phase), size * sin(phase));
}

/* The half-cycle so far, turned over half a cycle later. */
static void mirror(rw_wave *w)
{
	for (int k = 0, n = w->n; k < n; k++) {
		const rw_piece p = w->piece[k];
		rw_wave_piece(w, p.from + PI, p.to + PI, -p.constant, p.sine, p.cosine);
	}
}

/* Taken over from -60 degrees on, given away from 60 degrees on, each later by the delay, along (cos a - cos t)/(cos a - cos(a + u)). */
static void block(double x, double a, double u, rw_wave *w)
{
	double up = -2.0 * D30, down = 2.0 * D30;
	if (x > 0.0)
		sine_piece(w, up + a, up + a + u, cos(a) / x, -1.0 / x, -up + 3.0 * D30);
	rw_wave_piece(w, up + a + u, down + a, 1.0, 0.0, 0.0);
	if (x > 0.0)
		sine_piece(w, down + a, down + a + u, 1.0 - cos(a) / x, 1.0 / x, -down + 3.0 * D30);
}

/* A bridge with three and four diodes conducting: bridge.c, currents_mode_3. */
static void line_mode_3(double x, double u, rw_wave *w)
{
	double id = 0.5 * ROOT3 * x;
	double c2 = id + 0.5 - sin(u - D30);
	double c1 = c2 - 0.5 * ROOT3 * cos(u - D30) - sin(u - PI / 2.0);
	double c6 = id - 1.0 + sin(u + D30) - 0.5 * ROOT3 * cos(u - D30);
	sine_piece(w, -D30, u - PI / 2.0, c1 / id, 1.0 / id, 0.0);
	sine_piece(w, u - PI / 2.0, D30, c2 / id, -0.5 * ROOT3 / id, 5.0 * D30);
	sine_piece(w, D30, u - D30, 1.0 - sin(u - D30) / id, 1.0 / id, 0.0);
	rw_wave_piece(w, u - D30, PI / 2.0, 1.0, 0.0, 0.0);
	sine_piece(w, PI / 2.0, u + D30, 1.0 - 1.0 / id, 1.0 / id, 0.0);
	sine_piece(w, u + D30, 5.0 * D30, c6 / id, 0.5 * ROOT3 / id, D30);
}

/* Half-wave, mode 2: what comes in at -90 degrees goes out before it comes in for good at -60. */
static double goes_out(double d)
{
	double level = 1.0 - cos(d) - 0.5 * ROOT3 * sin(d - 4.0 * D30);
	return D30 - PI - asin(fmax(-2.0 / ROOT3 * level, -1.0));
}

static void half_wave_line(int mode, double x, rw_wave *w)
{
	double id = 0.5 * ROOT3 * x, d = together(mode, x), h = 0.5 * ROOT3;
	double first = 1.0 - cos(d) - h * sin(d - 4.0 * D30), at_30 = mode == 2 ? h : first, gone = goes_out(d);
	double two = at_30 + sin(D30 + d) - 0.5 - h * cos(d - D30);
	sine_piece(w, -3.0 * D30, -3.0 * D30 + d, 1.0 / id, 1.0 / id, 0.0);
	sine_piece(w, -3.0 * D30 + d, mode == 2 ? gone : D30, first / id, h / id, -D30);
	if (mode == 2)
		sine_piece(w, -2.0 * D30, D30, h / id, h / id, -D30);
	sine_piece(w, D30, D30 + d, (at_30 - 0.5) / id, 1.0 / id, 0.0);
	sine_piece(w, D30 + d, mode == 2 ? gone + 4.0 * D30 : 5.0 * D30, two / id, h / id, D30);
	if (mode == 2) {
		rw_wave_piece(w, gone + 4.0 * D30, 2.0 * D30, 1.0, 0.0, 0.0);
		sine_piece(w, 2.0 * D30, 5.0 * D30, 1.0 - h / id, -h / id, -5.0 * D30);
	}
	double left = mode == 2 ? id - h : two;
	sine_piece(w, 5.0 * D30, 5.0 * D30 + d, (left - 0.5) / id, 1.0 / id, 0.0);
}

static void single_phase_line(double x, double u, rw_wave *w)
{
	if (x > 0.0)
		sine_piece(w, -3.0 * D30, -3.0 * D30 + u, 2.0 / x - 1.0, -2.0 / x, 6.0 * D30);
	rw_wave_piece(w, -3.0 * D30 + u, 3.0 * D30, 1.0, 0.0, 0.0);
	mirror(w);
}

void rw_connection_line(int kind, double x, const rw_bridge *b, rw_wave *out)
{
	*out = (rw_wave){.period = 2.0 * PI};
	if (kind == RW_CONNECT_SINGLE_PHASE) {
		single_phase_line(x, b->overlap, out);
	} else if (kind == RW_CONNECT_HALF_WAVE) {
		if (b->mode == 1)
			block(x, 0.0, b->overlap, out);
		else
			half_wave_line(b->mode, x, out);
	} else {
		if (b->mode < 3)
			block(x, b->delay, b->overlap, out);
		else
			line_mode_3(x, b->overlap, out);
		mirror(out);
	}
}

void rw_connection_mains(int kind, double x, const rw_bridge *b, rw_wave *out)
{
	rw_wave line, level = {.period = 2.0 * PI};
	rw_connection_line(kind, x, b, &line);
	rw_wave_piece(&level, 0.0, 2.0 * PI, 1.0, 0.0, 0.0);
	const rw_wave_part all[] = {{&line, 1.0, 0.0}};
	const rw_wave_part without_mean[] = {{&line, 1.0, 0.0}, {&level, -1.0 / 3.0, 0.0}};
	/* the delta's line current is the difference of two windings' of the mains: (i(t - 30) - i(t - 150))/sqrt 3, and -i(t - 150) = i(t + 30) */
	const rw_wave_part both[] = {{&line, 1.0, 0.0}, {&line, 1.0 / ROOT3, D30}, {&line, 1.0 / ROOT3, -D30}};
	if (kind == RW_CONNECT_HALF_WAVE)
		rw_wave_sum(without_mean, 2, out);
	else if (rw_connection_of(kind)->secondaries == 2)
		rw_wave_sum(both, 3, out);
	else
		rw_wave_sum(all, 1, out);
}

/* Volts between crossings, phase peak 1. Two phases in commutation show half the sum of their volts, which is minus half the third's. */
static void bridge_volts(const rw_bridge *b, rw_wave *w)
{
	double start = -2.0 * D30 + b->delay, pairs = start;
	w->period = 2.0 * D30;
	if (b->mode == 3)
		pairs = b->overlap - PI / 2.0;   /* before it four diodes short the bridge */
	sine_piece(w, pairs, b->mode == 3 ? D30 : start + b->overlap, 0.0, -1.5, -D30);   /* -1.5 cos(t - 120) */
	if (b->mode < 3)
		sine_piece(w, start + b->overlap, start + 2.0 * D30, 0.0, ROOT3, 4.0 * D30);  /* sqrt3 cos(t + 30) */
	else
		rw_wave_piece(w, -D30, pairs, 0.0, 0.0, 0.0);
}

static void half_wave_volts(double x, const rw_bridge *b, rw_wave *w)
{
	w->period = 4.0 * D30;
	if (b->mode == 1) {
		double start = -2.0 * D30;
		sine_piece(w, start, start + b->overlap, 0.0, -0.5, -D30);
		sine_piece(w, start + b->overlap, 2.0 * D30, 0.0, 1.0, 3.0 * D30);
		return;
	}
	double d = together(b->mode, x), gone = goes_out(d);
	rw_wave_piece(w, -3.0 * D30, -3.0 * D30 + d, 0.0, 0.0, 0.0);
	sine_piece(w, -3.0 * D30 + d, b->mode == 2 ? gone : D30, 0.0, -0.5, -D30);
	if (b->mode == 2) {
		sine_piece(w, gone, -2.0 * D30, 0.0, 1.0, 7.0 * D30);   /* the old phase alone: cos(t + 120) */
		sine_piece(w, -2.0 * D30, D30, 0.0, -0.5, -D30);
	}
}

/* To the no-load mean as one, all pieces. */
static void scale(rw_wave *w, double gain)
{
	for (int k = 0; k < w->n; k++) {
		w->piece[k].constant *= gain;
		w->piece[k].sine *= gain;
		w->piece[k].cosine *= gain;
	}
}

void rw_connection_volts(int kind, double x, const rw_bridge *b, rw_wave *out)
{
	rw_wave one = {.n = 0};
	if (kind == RW_CONNECT_SINGLE_PHASE) {
		one.period = PI;
		rw_wave_piece(&one, -3.0 * D30, -3.0 * D30 + b->overlap, 0.0, 0.0, 0.0);
		sine_piece(&one, -3.0 * D30 + b->overlap, 3.0 * D30, 0.0, 1.0, 3.0 * D30);
		scale(&one, PI / 2.0);
	} else if (kind == RW_CONNECT_HALF_WAVE) {
		half_wave_volts(x, b, &one);
		scale(&one, 2.0 * PI / (3.0 * ROOT3));
	} else {
		bridge_volts(b, &one);
		scale(&one, PI / (3.0 * ROOT3));
	}
	const rw_wave_part halves[] = {{&one, 0.5, 0.0}, {&one, 0.5, D30}};
	if (rw_connection_of(kind)->secondaries == 2)
		rw_wave_sum(halves, 2, out);
	else
		*out = one;
}
