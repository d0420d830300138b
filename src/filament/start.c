#include "filament/start.h"

#include <math.h>

#include "base/numeric.h"
#include "base/ode.h"

#define PI 3.14159265358979323846

enum { CURRENT, KELVIN, SQUARE, UNKNOWNS, ANGLES = 36, STEPS_MAX = 4 };

static const double accuracy = 1e-7;           /* of current and temperature, local */
static const double angle_accuracy = 8.7e-3;   /* rad: half a degree */
static const double least_reactance = 1e-4;    /* of the resistances */

double rw_feed_current(const rw_feed *feed, double resistance)
{
	return feed->emf_rms / hypot(feed->resistance + resistance, feed->reactance);
}

/* ---- time domain ---- */

typedef struct run {
	const rw_hot_wire *wire;
	double emf_pk, omega, angle, resistance, inductance;
	double stop_resistance;
} run;

static run run_of(const rw_hot_wire *wire, const rw_feed *feed, double angle, double temperature)
{
	double omega = 2.0 * PI * feed->frequency, cold = feed->resistance + wire->resistance(wire->laws, temperature);
	return (run){wire, sqrt(2.0) * feed->emf_rms, omega, angle, feed->resistance, fmax(feed->reactance, least_reactance * cold) / omega, 0.0};
}

static double slope(const run *r, double t, const double *y)
{
	double resistance = r->resistance + r->wire->resistance(r->wire->laws, y[KELVIN]);
	return (r->emf_pk * sin(r->omega * t + r->angle) - resistance * y[CURRENT]) / r->inductance;
}

static rw_status rates(void *context, double t, const double *y, double *rate, rw_error *err)
{
	const run *r = context;
	const rw_hot_wire *w = r->wire;
	double square = y[CURRENT] * y[CURRENT];
	(void)err;
	rate[CURRENT] = slope(r, t, y);
	rate[KELVIN] = (square * w->resistance(w->laws, y[KELVIN]) - w->loss(w->laws, y[KELVIN])) / w->capacity(w->laws, y[KELVIN]);
	rate[SQUARE] = square;
	return RW_OK;
}

/* A top of the current; the resistance reached. */
static void stops(void *context, double t, const double *y, double *g)
{
	const run *r = context;
	g[0] = slope(r, t, y);
	g[1] = r->wire->resistance(r->wire->laws, y[KELVIN]) - r->stop_resistance;
}

static rw_ode_problem problem_of(run *r, double frequency, double temperature)
{
	double cold = r->resistance + r->wire->resistance(r->wire->laws, temperature);
	double scale = r->emf_pk / hypot(cold, r->omega * r->inductance);
	return (rw_ode_problem){.n = UNKNOWNS, .rate = rates, .events = stops, .context = r, .tolerance_rel = accuracy,
	                        .tolerance_abs = {accuracy * scale, accuracy * temperature, accuracy * scale * scale / frequency},
	                        .step_max = 0.125 / frequency, .steps_max = 100000000};
}

static rw_status peak_of(rw_ode *ode, double cycle, double *y, rw_start_peak *out, rw_error *err)
{
	double t = 0.0;
	int event = 0;
	*out = (rw_start_peak){.peak = fabs(y[CURRENT])};
	while (event != RW_ODE_END) {
		RW_TRY(rw_ode_advance(ode, cycle, &t, y, &event, err));
		if (fabs(y[CURRENT]) > out->peak)
			*out = (rw_start_peak){.peak = fabs(y[CURRENT]), .time = t};
	}
	return RW_OK;
}

rw_status rw_start_peak_at(const rw_hot_wire *wire, const rw_feed *feed, double angle, double current, double temperature,
                           rw_start_peak *out, rw_error *err)
{
	run r = run_of(wire, feed, angle, temperature);
	rw_ode_problem p = problem_of(&r, feed->frequency, temperature);
	rw_ode *ode;
	double y[UNKNOWNS] = {current, temperature, 0.0};
	rw_start_peak found;
	p.n_events = 1;
	RW_TRY(rw_ode_new(&p, 0.0, y, &ode, err));
	rw_status status = peak_of(ode, 1.0 / feed->frequency, y, &found, err);
	rw_ode_free(ode);
	if (status != RW_OK)
		return status;
	found.angle = angle;
	*out = found;
	return RW_OK;
}

/* ---- the worst angle ---- */

typedef struct search {
	const rw_hot_wire *wire;
	const rw_feed *feed, *before;
	double temperature, resistance;   /* of the filament, held */
	rw_start_peak best;
} search;

/* Steady current of a feed at the angle of its volts. */
static double steady_current(const search *s, const rw_feed *feed, double angle)
{
	double resistance = feed->resistance + s->resistance;
	return sqrt(2.0) * feed->emf_rms / hypot(resistance, feed->reactance) * sin(angle - atan2(feed->reactance, resistance));
}

static double before_current(const search *s, double angle) { return s->before ? steady_current(s, s->before, angle) : 0.0; }

/* Greatest |i| with the resistance held: steady current and dying offset, by 48 instants of the cycle. Only the neighbourhood of the worst angle
 * is wanted of it. */
static double held_peak(const search *s, double angle)
{
	double reactance = fmax(s->feed->reactance, least_reactance * (s->feed->resistance + s->resistance));
	double damping = (s->feed->resistance + s->resistance) / reactance, most = 0.0;
	double offset = before_current(s, angle) - steady_current(s, s->feed, angle);
	for (int k = 0; k <= 48; k++) {
		double turn = 2.0 * PI * k / 48.0;
		most = fmax(most, fabs(steady_current(s, s->feed, angle + turn) + offset * exp(-damping * turn)));
	}
	return most;
}

static rw_status minus_peak(void *context, double angle, double *y, rw_error *err)
{
	search *s = context;
	rw_start_peak found;
	RW_TRY(rw_start_peak_at(s->wire, s->feed, angle, before_current(s, angle), s->temperature, &found, err));
	if (found.peak > s->best.peak)
		s->best = found;
	*y = -found.peak;
	return RW_OK;
}

/* From an angle uphill, in steps that double, until both neighbours are lower. */
static rw_status step_to_top(search *s, double *angle, double *step, rw_error *err)
{
	double here, low, high;
	RW_TRY(minus_peak(s, *angle, &here, err));
	for (int k = 0; k < STEPS_MAX; k++) {
		RW_TRY(minus_peak(s, *angle - *step, &low, err));
		RW_TRY(minus_peak(s, *angle + *step, &high, err));
		if (here <= low && here <= high)
			return RW_OK;
		*angle += low < high ? -*step : *step;
		here = fmin(low, high);
		*step *= 2.0;
	}
	return RW_OK;   /* as good as flat all over */
}

rw_status rw_start_worst(const rw_hot_wire *wire, const rw_feed *feed, const rw_feed *before, double temperature, rw_start_peak *out,
                         rw_error *err)
{
	search s = {wire, feed, before, temperature, wire->resistance(wire->laws, temperature), {0.0, 0.0, 0.0}};
	double step = PI / ANGLES, angle = 0.0, most = -1.0, y;
	for (int k = 0; k < ANGLES; k++) {
		double peak = held_peak(&s, k * step);
		if (peak > most)
			most = peak, angle = k * step;
	}
	RW_TRY(step_to_top(&s, &angle, &step, err));
	RW_TRY(rw_least_find(minus_peak, &s, angle - step, angle + step, angle_accuracy, &angle, &y, err));
	s.best.angle = fmod(s.best.angle + 2.0 * PI, PI);
	*out = s.best;
	return RW_OK;
}

/* ---- longer runs ---- */

rw_status rw_start_cycles(const rw_hot_wire *wire, const rw_feed *feed, double angle, double temperature, double resistance, double duration,
                          rw_start_run *out, rw_error *err)
{
	run r = run_of(wire, feed, angle, temperature);
	r.stop_resistance = resistance > 0.0 ? resistance : 2.0 * (r.resistance + wire->resistance(wire->laws, 1e4));   /* never reached */
	rw_ode_problem p = problem_of(&r, feed->frequency, temperature);
	rw_ode *ode;
	double y[UNKNOWNS] = {0.0, temperature, 0.0}, cycle = 1.0 / feed->frequency, t = 0.0, first = 0.0;
	int event = 0;
	p.n_events = 2;
	RW_TRY(rw_ode_new(&p, 0.0, y, &ode, err));
	rw_status status = RW_OK;
	while (status == RW_OK && event != RW_ODE_END)
		status = rw_ode_advance(ode, cycle, &t, y, &event, err);
	if (status == RW_OK)
		first = sqrt(y[SQUARE] / cycle);
	for (event = 0; status == RW_OK && event == 0;)
		status = rw_ode_advance(ode, fmax(duration, cycle), &t, y, &event, err);
	rw_ode_free(ode);
	if (status != RW_OK)
		return status;
	*out = (rw_start_run){t, y[CURRENT], y[KELVIN], first};
	return RW_OK;
}

rw_status rw_start_sampled(const rw_hot_wire *wire, const rw_feed *feed, double angle, double temperature, double duration, int n,
                           rw_start_sample sample, void *context, rw_error *err)
{
	run r = run_of(wire, feed, angle, temperature);
	rw_ode_problem p = problem_of(&r, feed->frequency, temperature);
	rw_ode *ode;
	double y[UNKNOWNS] = {0.0, temperature, 0.0};
	RW_TRY(rw_ode_new(&p, 0.0, y, &ode, err));
	rw_status status = RW_OK;
	for (int k = 0; k < n && status == RW_OK; k++) {
		double t = duration * k / (n - 1);
		status = rw_ode_advance(ode, t, NULL, y, NULL, err);
		if (status == RW_OK)
			sample(context, k, t, y[CURRENT], y[KELVIN]);
	}
	rw_ode_free(ode);
	return status;
}

/* ---- over seconds ---- */

typedef struct slow { const rw_hot_wire *wire; const rw_feed *feed; double stop_resistance; } slow;

static rw_status slow_rates(void *context, double t, const double *y, double *rate, rw_error *err)
{
	const slow *s = context;
	const rw_hot_wire *w = s->wire;
	double resistance = w->resistance(w->laws, y[0]), current = rw_feed_current(s->feed, resistance);
	(void)t, (void)err;
	rate[0] = (current * current * resistance - w->loss(w->laws, y[0])) / w->capacity(w->laws, y[0]);
	rate[1] = current * current;
	return RW_OK;
}

static void slow_stop(void *context, double t, const double *y, double *g)
{
	const slow *s = context;
	(void)t;
	*g = s->wire->resistance(s->wire->laws, y[0]) - s->stop_resistance;
}

rw_status rw_warm_up(const rw_hot_wire *wire, const rw_feed *feed, double temperature, double resistance, double time_max, rw_warmed *out,
                     rw_error *err)
{
	slow s = {wire, feed, resistance};
	double first = wire->resistance(wire->laws, temperature), square = pow(fmax(rw_feed_current(feed, first), 1e-3), 2.0);
	double span = fmin(time_max, wire->capacity(wire->laws, temperature) * temperature / (square * first));   /* s, of its warming */
	rw_ode_problem p = {.n = 2, .n_events = 1, .rate = slow_rates, .events = slow_stop, .context = &s, .tolerance_rel = accuracy,
	                    .tolerance_abs = {accuracy * temperature, accuracy * square * span}};
	double y[2] = {temperature, 0.0}, t = 0.0;
	int event = RW_ODE_END;
	bool there = resistance > 0.0 && first == resistance;
	if (there || time_max <= 0.0) {
		*out = (rw_warmed){0.0, temperature, 0.0, there};
		return RW_OK;
	}
	RW_TRY(rw_ode_run(&p, 0.0, time_max, resistance > 0.0, y, &t, &event, err));
	*out = (rw_warmed){t, y[0], y[1], event == 0};
	return RW_OK;
}

/* ---- balances ---- */

static rw_status heat_short(void *context, double temperature, double *y, rw_error *err)
{
	const slow *s = context;
	double resistance = s->wire->resistance(s->wire->laws, temperature), current = rw_feed_current(s->feed, resistance);
	(void)err;
	*y = current * current * resistance - s->wire->loss(s->wire->laws, temperature);
	return RW_OK;
}

static rw_status resistance_off(void *context, double temperature, double *y, rw_error *err)
{
	const slow *s = context;
	(void)err;
	*y = s->wire->resistance(s->wire->laws, temperature) - s->stop_resistance;
	return RW_OK;
}

rw_status rw_feed_steady(const rw_hot_wire *wire, const rw_feed *feed, double low, double high, double *temperature, rw_error *err)
{
	slow s = {wire, feed, 0.0};
	rw_root root;
	RW_TRY(rw_root_find(heat_short, &s, low, high, 0.0, 1e-12, &root, err));
	*temperature = root.x;
	return RW_OK;
}

rw_status rw_wire_at(const rw_hot_wire *wire, double resistance, double low, double high, double *temperature, rw_error *err)
{
	slow s = {wire, NULL, resistance};
	rw_root root;
	RW_TRY(rw_root_find(resistance_off, &s, low, high, 0.0, 1e-13, &root, err));
	*temperature = root.x;
	return RW_OK;
}
