#include "filament/filament.h"

#include <math.h>

#include "base/numeric.h"

#define PI 3.14159265358979323846

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

static rw_status peak_over_scale(void *context, double scale, double *y, rw_error *err)
{
	const circuit *c = context;
	return peak_over_limit(context, c->hot * exp(scale), y, err);
}

/* One least value (above); over the logarithm it is as flat on either side. */
rw_status rw_filament_best_reactance(double hot_resistance, double cold_resistance, double hot_current_rms, double *reactance, double *peak,
                                     rw_error *err)
{
	circuit c = {hot_resistance, cold_resistance, hot_current_rms, hot_current_rms};
	double scale, over;
	RW_TRY(rw_least_find(peak_over_scale, &c, log(1e-3), log(1e3), 1e-4, &scale, &over, err));
	*reactance = hot_resistance * exp(scale);
	*peak = (1.0 + over) * hot_current_rms;
	return RW_OK;
}

/* ---- the resistor that holds a peak ---- */

static rw_status resistor_peak_over(void *context, double resistance, double *y, rw_error *err)
{
	const circuit *c = context;   /* hot: the EMF, cold: the reactance */
	double peak, angle;
	RW_TRY(rw_filament_worst_peak(c->hot, resistance, c->cold, &peak, &angle, err));
	*y = peak / c->limit - 1.0;
	return RW_OK;
}

/* The peak falls with the resistance, and is under 2 sqrt2 E/R. */
rw_status rw_filament_resistance_for_peak(double emf_rms, double reactance, double limit, double *resistance, rw_error *err)
{
	circuit c = {emf_rms, reactance, 0.0, limit};
	double most = 2.0 * sqrt(2.0) * emf_rms / limit, low = 1e-9 * most, over;
	rw_root root;
	if (!(emf_rms > 0.0 && reactance >= 0.0 && limit > 0.0 && isfinite(most)))
		return RW_RAISE(err, RW_E_INTERNAL, "filament.start_limit", "a resistance is sought that holds no peak");
	RW_TRY(resistor_peak_over(&c, low, &over, err));
	if (over <= 0.0) {
		*resistance = 0.0;
		return RW_OK;
	}
	RW_TRY(rw_root_find(resistor_peak_over, &c, low, most, 0.0, 1e-12, &root, err));
	*resistance = root.x;
	return RW_OK;
}

/* ---- the transformer ---- */

double rw_filament_inrush(double voltage_rms, double air_reactance, double mains_high, double residual_flux, double saturation_flux)
{
	return fmax(sqrt(2.0) * voltage_rms / air_reactance * (2.0 * mains_high + residual_flux - saturation_flux), 0.0);
}

/* Volts at the pins, hot resistance held, with EMF and impedance changed by factors. */
static double pin_voltage(const rw_filament_in *in, const rw_filament_set *set, double emf, double reactance, double resistance)
{
	return emf * set->transformer_voltage_rms * set->hot_resistance /
	       hypot(set->hot_resistance + resistance * in->series_resistance, reactance * in->series_reactance);
}

typedef struct mains_span { double low, high; } mains_span;   /* what reaches the transformer, over nominal */

static mains_span span_of(const rw_filament_in *in, const rw_filament_site *site)
{
	if (in->stabiliser == RW_STABILISER_FITTED)
		return (mains_span){1.0 - in->stabiliser_error, 1.0 + in->stabiliser_error};
	return (mains_span){site->mains_low, site->mains_high};
}

/* The transformer is wound for the nominal reactance: its volts do not follow what the reactance turned out to be. */
static rw_status worst_start(const rw_filament_in *in, double high, double cold, rw_filament_set *set, rw_error *err)
{
	double emf = high * set->transformer_voltage_rms, reactance = (1.0 - in->reactance_tolerance) * in->series_reactance, angle;
	set->start_current_high_rms = emf / hypot(cold, reactance);
	set->start_current_high_pk = (double)NAN;
	if (in->start_measure != RW_START_PEAK)
		return RW_OK;
	return rw_filament_worst_peak(emf, cold, reactance, &set->start_current_high_pk, &angle, err);
}

static void transformer_figures(const rw_filament_in *in, const rw_filament_site *site, rw_filament_set *set)
{
	double n = in->valves_on_transformer, tolerance = in->reactance_tolerance;
	mains_span mains = span_of(in, site);
	set->regulation = set->transformer_voltage_rms / in->voltage_rms - 1.0;
	set->transformers = site->valves / n;
	set->transformer_current_rms = n * in->current_rms;
	set->transformer_power = n * set->apparent_power;
	set->transformer_reactance = in->series_reactance / n;
	set->transformer_short_circuit_rms = n * set->short_circuit_current_rms;
	set->transformer_inrush_pk = rw_filament_inrush(site->mains_voltage_rms, in->air_reactance * site->mains_voltage_rms *
	    site->mains_voltage_rms / set->transformer_power, site->mains_high, in->residual_flux, in->saturation_flux);
	set->voltage_low_rms = pin_voltage(in, set, mains.low, 1.0 + tolerance, 1.0);
	set->voltage_high_rms = pin_voltage(in, set, mains.high, 1.0 - tolerance, 1.0);
	set->reactance_span = pin_voltage(in, set, 1.0, 1.0 - tolerance, 1.0) / in->voltage_rms - 1.0;
	set->neighbour_voltage_rms = in->valves_on_transformer > 1 ? pin_voltage(in, set, 1.0, (n - 1.0) / n, (n - 1.0) / n) : (double)NAN;
}

/* ---- the set ---- */

rw_status rw_filament_set_solve(const rw_filament_in *in, const rw_filament_site *site, rw_filament_set *out, rw_error *err)
{
	double x = in->series_reactance, rs = in->series_resistance, cold;
	rw_filament_set set = *out;
	if (!(hypot(rs, x) > 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "filament.series_reactance",
		    "'series_reactance' and 'series_resistance' are both 0: nothing limits a short at the pins");
		rw_error_expected(err, "one of them over 0");
		rw_error_hint(err, "leave 'series_reactance' open: a transformer has at least its own leakage");
		return RW_E_RANGE;
	}
	set.hot_resistance = in->voltage_rms / in->current_rms;
	set.power = in->voltage_rms * in->current_rms;
	set.series_loss = in->current_rms * in->current_rms * rs;
	set.cold_resistance = set.hot_resistance / in->cold_ratio;
	cold = set.cold_resistance + rs + in->start_resistor;
	set.transformer_voltage_rms = in->current_rms * hypot(set.hot_resistance + rs, x);
	set.start_current_rms = set.transformer_voltage_rms / hypot(cold, x);
	set.short_circuit_current_rms = set.transformer_voltage_rms / hypot(rs, x);
	set.apparent_power = set.transformer_voltage_rms * in->current_rms;
	set.series_inductance = x / (2.0 * PI * site->mains_frequency);
	RW_TRY(rw_filament_worst_peak(set.transformer_voltage_rms, cold, x, &set.start_current_pk, &set.start_closing_angle, err));
	RW_TRY(worst_start(in, span_of(in, site).high, cold, &set, err));
	RW_TRY(rw_filament_best_reactance(set.hot_resistance + rs, set.cold_resistance + rs, in->current_rms, &set.best_reactance,
	    &set.best_reactance_pk, err));
	set.bypass_current_rms = in->start_resistor > 0.0 ? set.transformer_voltage_rms / hypot(in->bypass_resistance + rs, x) : (double)NAN;
	transformer_figures(in, site, &set);
	*out = set;
	return RW_OK;
}
