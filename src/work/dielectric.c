#include "work/dielectric.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double e0 = 8.8541878128e-12;   /* F/m, CODATA 2018 */

/* Finite, and at least (or, open, above) a bound. */
static rw_status bounded(double value, double least, bool open, const char *what, const char *unit, rw_error *err)
{
	if (isfinite(value) && (open ? value > least : value >= least))
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "%s of '%.6g%s' is outside the model", what, value, unit);
	rw_error_expected(err, "a finite value %s %.6g%s", open ? "above" : "of at least", least, unit);
	return RW_E_RANGE;
}

static rw_status frequency_check(double frequency, rw_error *err) { return bounded(frequency, 0.0, true, "a frequency", " Hz", err); }

rw_status rw_dielectric_power_density(double loss_factor, double field_rms, double frequency, double *density, rw_error *err)
{
	RW_TRY(bounded(loss_factor, 0.0, false, "a loss factor", "", err));
	RW_TRY(bounded(field_rms, 0.0, false, "a field", " V/m", err));
	RW_TRY(frequency_check(frequency, err));
	*density = 2.0 * M_PI * frequency * e0 * loss_factor * field_rms * field_rms;
	return RW_OK;
}

rw_status rw_dielectric_conduction(double conductivity, double frequency, double *loss_factor, rw_error *err)
{
	RW_TRY(bounded(conductivity, 0.0, false, "a conductivity", " S/m", err));
	RW_TRY(frequency_check(frequency, err));
	*loss_factor = conductivity / (2.0 * M_PI * frequency * e0);
	return RW_OK;
}

rw_status rw_dielectric_debye(double static_permittivity, double infinite_permittivity, double relaxation_time, double frequency,
                              rw_permittivity *out, rw_error *err)
{
	RW_TRY(bounded(infinite_permittivity, 1.0, false, "a permittivity without limit of frequency", "", err));
	RW_TRY(bounded(static_permittivity, infinite_permittivity, false, "a static permittivity", "", err));
	RW_TRY(bounded(relaxation_time, 0.0, true, "a relaxation time", " s", err));
	RW_TRY(frequency_check(frequency, err));
	double x = 2.0 * M_PI * frequency * relaxation_time, step = (static_permittivity - infinite_permittivity) / (1.0 + x * x);
	*out = (rw_permittivity){infinite_permittivity + step, step * x};
	return RW_OK;
}

static const struct { const char *key; size_t offset; double min, max; } figures[RW_DIELECTRIC_FIGURES] = {
	{"permittivity_min", offsetof(rw_dielectric, min.real), 1.0, 1e5}, {"permittivity_max", offsetof(rw_dielectric, max.real), 1.0, 1e5},
	{"loss_factor_min", offsetof(rw_dielectric, min.loss), 0.0, 1e6},  {"loss_factor_max", offsetof(rw_dielectric, max.loss), 0.0, 1e6},
};

const char *rw_dielectric_key(int i) { return i >= 0 && i < RW_DIELECTRIC_FIGURES ? figures[i].key : NULL; }

static rw_status read_figure(const rw_units *units, const char *name, int i, const char *text, double *value, rw_error *err)
{
	if (!text) {
		(void)RW_RAISE(err, RW_E_MISSING, figures[i].key, "the material '%s' has no %s", name, figures[i].key);
		rw_error_expected(err, "a material whose entry has it");
		rw_error_hint(err, "'rfwright material show %s' lists what it has", name);
		return RW_E_MISSING;
	}
	rw_status status = rw_units_read(units, &rw_kind_number, text, value, err);
	if (status != RW_OK) {
		if (err)
			snprintf(err->key, sizeof err->key, "%s", figures[i].key);
		return status;
	}
	if (*value >= figures[i].min && *value <= figures[i].max)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_VALUE, figures[i].key, "'%s' is no %s of a material", text, figures[i].key);
	rw_error_expected(err, "%.4g to %.4g", figures[i].min, figures[i].max);
	return RW_E_VALUE;
}

rw_status rw_dielectric_read(const rw_units *units, const char *name, rw_text_of text_of, const void *context, rw_dielectric *out, rw_error *err)
{
	rw_dielectric d;
	for (int i = 0; i < RW_DIELECTRIC_FIGURES; i++) {
		double value;
		RW_TRY(read_figure(units, name, i, text_of(context, figures[i].key), &value, err));
		memcpy((char *)&d + figures[i].offset, &value, sizeof value);
	}
	if (d.min.real > d.max.real)
		return RW_RAISE(err, RW_E_VALUE, figures[0].key, "'%s' has a permittivity_min above its permittivity_max", name);
	if (d.min.loss > d.max.loss)
		return RW_RAISE(err, RW_E_VALUE, figures[2].key, "'%s' has a loss_factor_min above its loss_factor_max", name);
	*out = d;
	return RW_OK;
}

static rw_status plates_check(const rw_plates *plates, double frequency, rw_error *err)
{
	RW_TRY(bounded(plates->area, 0.0, true, "a plate area", " m2", err));
	RW_TRY(bounded(plates->gap, 0.0, false, "an air gap", " m", err));
	RW_TRY(frequency_check(frequency, err));
	if (plates->n_layers < 1 || plates->n_layers > RW_LAYERS_MAX) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "'%d' layers between the plates are outside the model", plates->n_layers);
		rw_error_expected(err, "1 to %d", (int)RW_LAYERS_MAX);
		return RW_E_RANGE;
	}
	for (int i = 0; i < plates->n_layers; i++) {
		RW_TRY(bounded(plates->layer[i].thickness, 0.0, true, "a layer thickness", " m", err));
		RW_TRY(bounded(plates->layer[i].permittivity.real, 1.0, false, "a permittivity", "", err));
		RW_TRY(bounded(plates->layer[i].permittivity.loss, 0.0, false, "a loss factor", "", err));
	}
	return RW_OK;
}

/* The air that the stack is worth, sum of d/eps and the gap, as re + j im: sums of terms of one sign, so that a small loss keeps its digits. */
static void air_equivalent(const rw_plates *plates, double *re, double *im)
{
	*re = plates->gap;
	*im = 0.0;
	for (int i = 0; i < plates->n_layers; i++) {
		rw_permittivity p = plates->layer[i].permittivity;
		double per_square = plates->layer[i].thickness / (p.real * p.real + p.loss * p.loss);
		*re += per_square * p.real;
		*im += per_square * p.loss;
	}
}

/* Y = j w e0 A/(re + j im) */
rw_status rw_plates_load_of(const rw_plates *plates, double frequency, rw_plates_load *out, rw_error *err)
{
	double re, im;
	RW_TRY(plates_check(plates, frequency, err));
	air_equivalent(plates, &re, &im);
	double scale = e0 * plates->area / (re * re + im * im), conductance = 2.0 * M_PI * frequency * scale * im;
	double infinite = (double)INFINITY;
	*out = (rw_plates_load){plates->gap, scale * re, conductance, im > 0.0 ? 1.0 / conductance : infinite, im > 0.0 ? re / im : infinite};
	return RW_OK;
}

rw_status rw_plates_closing(const rw_plates *plates, double gap_from, double gap_to, double frequency, int n, rw_plates_load *out, rw_error *err)
{
	rw_plates moved = *plates;
	RW_TRY(bounded(gap_from, 0.0, false, "an air gap", " m", err));
	RW_TRY(bounded(gap_to, 0.0, false, "an air gap", " m", err));
	if (n < 2)
		return RW_RAISE(err, RW_E_RANGE, "", "'%d' points have no two ends", n);
	moved.gap = gap_from;
	RW_TRY(plates_check(&moved, frequency, err));                  /* all that could fail: out stays whole */
	for (int i = 0; i < n; i++) {
		moved.gap = i == n - 1 ? gap_to : gap_from + i * ((gap_to - gap_from) / (n - 1));
		RW_TRY(rw_plates_load_of(&moved, frequency, &out[i], err));
	}
	return RW_OK;
}

rw_status rw_plates_field_of(const rw_plates *plates, double frequency, double voltage_rms, rw_plates_field *out, rw_error *err)
{
	rw_plates_field f = {.gap_field_rms = 0.0};
	double re, im;
	RW_TRY(bounded(voltage_rms, 0.0, false, "a voltage", " V", err));
	RW_TRY(rw_plates_load_of(plates, frequency, &f.load, err));
	air_equivalent(plates, &re, &im);
	f.gap_field_rms = voltage_rms / hypot(re, im);
	f.current_rms = 2.0 * M_PI * frequency * e0 * plates->area * f.gap_field_rms;
	f.power = voltage_rms * voltage_rms * f.load.conductance;
	for (int i = 0; i < plates->n_layers; i++) {
		rw_permittivity p = plates->layer[i].permittivity;
		f.field_rms[i] = f.gap_field_rms / hypot(p.real, p.loss);
		RW_TRY(rw_dielectric_power_density(p.loss, f.field_rms[i], frequency, &f.power_density[i], err));
		f.layer_power[i] = f.power_density[i] * plates->area * plates->layer[i].thickness;
	}
	*out = f;
	return RW_OK;
}

rw_status rw_plates_gap_margin(const rw_plates *plates, double frequency, double voltage_rms, double stress_limit_pk, rw_gap_margin *out,
                               rw_error *err)
{
	rw_plates_field f;
	RW_TRY(bounded(plates->gap, 0.0, true, "an air gap", " m", err));
	RW_TRY(bounded(voltage_rms, 0.0, true, "a voltage", " V", err));
	RW_TRY(bounded(stress_limit_pk, 0.0, true, "a limit of stress", " V/m", err));
	RW_TRY(rw_plates_field_of(plates, frequency, voltage_rms, &f, err));
	double field_pk = sqrt(2.0) * f.gap_field_rms, margin = stress_limit_pk / field_pk;
	*out = (rw_gap_margin){field_pk, margin, voltage_rms * margin};
	return RW_OK;
}

rw_status rw_air_breakdown(double gap, double frequency, double *voltage_pk, rw_error *err)
{
	static const double least = 1e-4, most = 0.2, high_frequency = 1e6, reduced = 0.8;
	RW_TRY(frequency_check(frequency, err));
	if (!(gap >= least && gap <= most)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "an air gap of '%.6g mm' is outside what is known of its breakdown", 1e3 * gap);
		rw_error_expected(err, "%.6g to %.6g mm", 1e3 * least, 1e3 * most);
		return RW_E_RANGE;
	}
	double low = 24.22e5 * gap + 6.08e4 * sqrt(gap);
	*voltage_pk = frequency > high_frequency ? reduced * low : low;
	return RW_OK;
}

rw_status rw_drying_heat(const rw_drying *d, double *heat, rw_error *err)
{
	RW_TRY(bounded(d->mass, 0.0, false, "a mass", " kg", err));
	RW_TRY(bounded(d->water_mass, 0.0, false, "a mass of water", " kg", err));
	RW_TRY(bounded(d->evaporated_mass, 0.0, false, "a mass evaporated", " kg", err));
	if (d->mass > 0.0)
		RW_TRY(bounded(d->heat_capacity, 0.0, true, "a heat capacity", " J/(kg K)", err));
	if (d->water_mass > 0.0)
		RW_TRY(bounded(d->water_heat_capacity, 0.0, true, "a heat capacity of water", " J/(kg K)", err));
	if (d->evaporated_mass > 0.0)
		RW_TRY(bounded(d->latent_heat, 0.0, true, "a latent heat", " J/kg", err));
	RW_TRY(bounded(d->temperature_from, 0.0, true, "a temperature", " K", err));
	RW_TRY(bounded(d->temperature_to, d->temperature_from, false, "an end temperature", " K", err));
	if (d->evaporated_mass > d->water_mass) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "'%.6g kg' cannot evaporate from less water", d->evaporated_mass);
		rw_error_expected(err, "at most %.6g kg", d->water_mass);
		return RW_E_RANGE;
	}
	double rise = d->temperature_to - d->temperature_from;
	double warming = (d->mass > 0.0 ? d->mass * d->heat_capacity : 0.0) + (d->water_mass > 0.0 ? d->water_mass * d->water_heat_capacity : 0.0);
	double sum = warming * rise + (d->evaporated_mass > 0.0 ? d->evaporated_mass * d->latent_heat : 0.0);
	if (!(sum > 0.0))
		return RW_RAISE(err, RW_E_RANGE, "", "a batch that rises by '%.6g K' and dries by '%.6g kg' takes no heat", rise, d->evaporated_mass);
	*heat = sum;
	return RW_OK;
}

rw_status rw_drying_time(const rw_drying *drying, double power, double *time, rw_error *err)
{
	double heat;
	RW_TRY(bounded(power, 0.0, true, "a power", " W", err));
	RW_TRY(bounded(drying->loss, 0.0, false, "a loss", " W", err));
	RW_TRY(rw_drying_heat(drying, &heat, err));
	if (!(power > drying->loss)) {
		(void)RW_RAISE(err, RW_E_NOSOLVE, "", "a power of '%.6g W' never gets the batch there: its loss takes all of it", power);
		rw_error_expected(err, "more than %.6g W", drying->loss);
		return RW_E_NOSOLVE;
	}
	*time = heat / (power - drying->loss);
	return RW_OK;
}
