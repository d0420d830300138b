#include "filament/filament.h"

#include <math.h>

#include "base/numeric.h"

#define PI 3.14159265358979323846

enum { THORIATED, TUNGSTEN, OXIDE };   /* RW_CATHODE_* of valve/valve.h */

static const double own_leakage = 0.05;      /* of V/I: what any filament transformer has of itself (memory) */
static const double reactance_step = 1e-4;   /* ohm */

/* ---- worst first peak ---- */

typedef struct first_peak { double phase, damping; } first_peak;

/* Slope of sin(t - p) + sin p exp(-t R/X) over t. */
static rw_status peak_slope(void *context, double t, double *y, rw_error *err)
{
	const first_peak *c = context;
	(void)err;
	*y = cos(t - c->phase) - cos(c->phase) * exp(-c->damping * t);
	return RW_OK;
}

/* The greatest value over closing angle a and time: both derivatives vanish together only for tan(a - p) = -tan p, so a = 0: closing at
 * the volts' zero is the worst for any R and X. What is left is the first top in time, between p and p + 90 degrees (reached but for rounding
 * without resistance or without reactance). */
rw_status rw_filament_worst_peak(double emf_rms, double resistance, double reactance, double *peak, double *closing_angle, rw_error *err)
{
	double impedance = hypot(resistance, reactance);
	if (!(emf_rms >= 0.0 && resistance >= 0.0 && reactance >= 0.0 && impedance > 0.0 && isfinite(emf_rms) && isfinite(impedance))) {
		(void)RW_RAISE(err, RW_E_RANGE, "filament.series_reactance",
		    "'series_reactance' and the resistances make no impedance that holds a current");
		rw_error_expected(err, "resistance and reactance from 0 up, not both 0");
		rw_error_hint(err, "a transformer has at least its own leakage, about 5 %% of hot volts over hot current");
		return RW_E_RANGE;
	}
	double top = 1.0;   /* of the steady peak: without reactance there is no offset, without resistance all of it */
	if (resistance == 0.0) {
		top = 2.0;
	} else if (reactance > 1e-9 * resistance) {
		first_peak c = {atan2(reactance, resistance), resistance / reactance};
		rw_root root;
		RW_TRY(rw_root_find(peak_slope, &c, c.phase, c.phase + 0.5 * PI + 1e-6, 1e-12, 1e-12, &root, err));
		top = sin(root.x - c.phase) + sin(c.phase) * exp(-c.damping * root.x);
	}
	*peak = sqrt(2.0) * emf_rms / impedance * top;
	*closing_angle = 0.0;
	return RW_OK;
}

/* ---- the reactance that holds the start ---- */

typedef struct circuit { double hot, cold, hot_current_rms, limit; } circuit;   /* resistances with the series one */

static rw_status peak_over_limit(void *context, double reactance, double *y, rw_error *err)
{
	const circuit *c = context;
	double peak, angle;
	RW_TRY(rw_filament_worst_peak(c->hot_current_rms * hypot(c->hot, reactance), c->cold, reactance, &peak, &angle, err));
	*y = peak / c->limit - 1.0;
	return RW_OK;
}

static rw_status limit_too_low(const circuit *c, double least, const char *measure, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_NOSOLVE, "filament.start_limit", "'start_limit' %.5g A %s is not held by any series reactance", c->limit, measure);
	rw_error_expected(err, "over %.5g A %s", least, measure);
	rw_error_hint(err, "a series resistance, or raising the filament volts in steps; ask whether the maker means rms or peak");
	return RW_E_NOSOLVE;
}

static rw_status reactance_for_rms(const circuit *c, double *reactance, rw_error *err)
{
	double k = c->limit / c->hot_current_rms;
	if (!(k > 1.0))
		return limit_too_low(c, c->hot_current_rms, "rms", err);
	*reactance = sqrt(fmax((c->hot * c->hot - k * k * c->cold * c->cold) / (k * k - 1.0), 0.0));
	return RW_OK;
}

/* The peak falls with the reactance, passes a shallow least value (the offset grows towards twice) and creeps up again: the first crossing
 * is wanted, so the reactance goes up in steps of 5 %. */
static rw_status reactance_for_peak(circuit *c, double *reactance, rw_error *err)
{
	double low = 0.0, over, least;
	RW_TRY(peak_over_limit(c, low, &over, err));
	least = over;
	for (double high = 1e-3 * c->hot; over > 0.0 && high < 1e3 * c->hot; high *= 1.05) {
		RW_TRY(peak_over_limit(c, high, &over, err));
		least = fmin(least, over);
		if (over <= 0.0) {
			rw_root root;
			RW_TRY(rw_root_find(peak_over_limit, c, low, high, 0.0, 1e-12, &root, err));
			*reactance = root.x;
			return RW_OK;
		}
		low = high;
	}
	if (over > 0.0)
		return limit_too_low(c, (1.0 + least) * c->limit, "peak", err);
	*reactance = 0.0;
	return RW_OK;
}

rw_status rw_filament_reactance(double hot_resistance, double cold_resistance, double series_resistance, double hot_current_rms,
                                double limit, int measure, double *reactance, rw_error *err)
{
	circuit c = {hot_resistance + series_resistance, cold_resistance + series_resistance, hot_current_rms, limit};
	if (!(c.cold > 0.0 && c.hot >= c.cold && hot_current_rms > 0.0 && limit > 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "filament.cold_ratio", "'cold_ratio' %.4g makes a filament that is colder when hot",
		    hot_resistance / cold_resistance);
		rw_error_expected(err, "1 or more, with positive hot current and limit");
		rw_error_hint(err, "10 for thoriated tungsten, 13 for tungsten");
		return RW_E_RANGE;
	}
	return measure == RW_START_PEAK ? reactance_for_peak(&c, reactance, err) : reactance_for_rms(&c, reactance, err);
}

/* ---- choice ---- */

static rw_status missing(rw_error *err, const char *key, const char *what, const char *expected, const char *hint)
{
	(void)RW_RAISE(err, RW_E_MISSING, key, "%s", what);
	rw_error_expected(err, "%s", expected);
	rw_error_hint(err, "%s", hint);
	return RW_E_MISSING;
}

static rw_status choose_ratio(rw_filament_in *in, int cathode, rw_error *err)
{
	if (!isnan(in->cold_ratio))
		return RW_OK;
	if (cathode != THORIATED && cathode != TUNGSTEN)
		return missing(err, "filament.cold_ratio", "'cold_ratio' is open and no rule gives it for this cathode",
		    "hot over cold resistance, from the valve's maker",
		               "measure the cold filament: hot volts over hot current, over that resistance");
	in->cold_ratio = cathode == THORIATED ? 10.0 : 13.0;
	return RW_OK;
}

/* A limit and its measure belong together; neither is ever guessed. */
static rw_status choose_measure(rw_filament_in *in, rw_error *err)
{
	bool limited = !isnan(in->start_limit), measured = in->start_measure == RW_START_RMS || in->start_measure == RW_START_PEAK;
	if (limited && !measured)
		return missing(err, "filament.start_measure", in->start_measure == RW_START_NONE ? "'start_measure' is none, but a 'start_limit' "
		    "stands, in the file or the library"
		                                               : "'start_measure' is open: a 'start_limit' is given, but not whether rms or peak",
		               "rms or peak, as the valve's maker means it", "ask the maker: the two differ by up to 2.8 times");
	if (!limited && measured)
		return missing(err, "filament.start_limit", "'start_limit' is open: it is told how the maker means it, but not how much it is",
		               "the greatest starting current", "without a limit leave 'start_measure' open");
	if (!limited)
		in->start_measure = RW_START_NONE;
	return RW_OK;
}

static rw_status choose_reactance(rw_filament_in *in, rw_error *err)
{
	double hot = in->voltage_rms / in->current_rms, reactance = 0.0;
	if (!isnan(in->series_reactance))
		return RW_OK;
	if (in->start_measure != RW_START_NONE)
		RW_TRY(rw_filament_reactance(hot, hot / in->cold_ratio, in->series_resistance, in->current_rms, in->start_limit, in->start_measure,
		                             &reactance, err));
	in->series_reactance = rw_ceil_to(fmax(reactance, own_leakage * hot), reactance_step);
	return RW_OK;
}

rw_status rw_filament_choose(rw_filament_in *in, int cathode, rw_error *err)
{
	rw_filament_in full = *in;
	if (!(full.voltage_rms > 0.0))
		return missing(err, "filament.voltage_rms", "'voltage_rms' is open", "hot filament volts", "give it, or a valve of the library");
	if (!(full.current_rms > 0.0))
		return missing(err, "filament.current_rms", "'current_rms' is open", "hot filament current", "give it, or a valve of the library");
	if (isnan(full.series_resistance))
		full.series_resistance = 0.0;
	RW_TRY(choose_measure(&full, err));
	RW_TRY(choose_ratio(&full, cathode, err));
	RW_TRY(choose_reactance(&full, err));
	*in = full;
	return RW_OK;
}

/* ---- the set ---- */

rw_status rw_filament_set_solve(const rw_filament_in *in, double mains_frequency, rw_filament_set *out, rw_error *err)
{
	double x = in->series_reactance, rs = in->series_resistance;
	rw_filament_set set = {.hot_resistance = in->voltage_rms / in->current_rms, .power = in->voltage_rms * in->current_rms,
	                       .series_loss = in->current_rms * in->current_rms * in->series_resistance};
	if (!(hypot(rs, x) > 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "filament.series_reactance",
		    "'series_reactance' and 'series_resistance' are both 0: nothing limits a short at the pins");
		rw_error_expected(err, "one of them over 0");
		rw_error_hint(err, "leave 'series_reactance' open: a transformer has at least its own leakage");
		return RW_E_RANGE;
	}
	set.cold_resistance = set.hot_resistance / in->cold_ratio;
	set.transformer_voltage_rms = in->current_rms * hypot(set.hot_resistance + rs, x);
	set.start_current_rms = set.transformer_voltage_rms / hypot(set.cold_resistance + rs, x);
	set.short_circuit_current_rms = set.transformer_voltage_rms / hypot(rs, x);
	set.apparent_power = set.transformer_voltage_rms * in->current_rms;
	set.series_inductance = x / (2.0 * PI * mains_frequency);
	RW_TRY(rw_filament_worst_peak(set.transformer_voltage_rms, set.cold_resistance + rs, x, &set.start_current_pk, &set.start_closing_angle,
	    err));
	*out = set;
	return RW_OK;
}
