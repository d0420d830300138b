#include "work/material.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double zero_celsius = 273.15;   /* K */
static const double cold = 293.15;           /* K: at which permeability is stated */

/* Spans catch slips of the unit, no more. */
#define OVER_TEMPERATURE {"temperature", &rw_kind_temperature, true, 0.0, 5000.0}

static const rw_column columns[RW_PROPERTIES][2] = {
	[RW_RESISTIVITY] = {OVER_TEMPERATURE, {"resistivity", &rw_kind_resistivity, false, 1e-9, 1e6}},
	[RW_HEAT_CAPACITY] = {OVER_TEMPERATURE, {"heat_capacity", &rw_kind_heat_capacity, false, 10.0, 2e4}},
	[RW_CONDUCTIVITY] = {OVER_TEMPERATURE, {"conductivity", &rw_kind_heat_conductivity, false, 1e-3, 5000.0}},
	[RW_EMISSIVITY] = {OVER_TEMPERATURE, {"emissivity", &rw_kind_number, false, 0.0, 1.0}},
	[RW_PERMEABILITY] = {{"field_strength", &rw_kind_field_strength, true, 0.0, 1e8}, {"permeability", &rw_kind_number, false, 0.9, 1e5}},
};

static const struct { const char *key; const rw_kind *kind; size_t offset; double min, max; } figures[RW_MATERIAL_FIGURES] = {
	{"density", &rw_kind_density, offsetof(rw_material, density), 10.0, 3e4},
	{"melting_temperature", &rw_kind_temperature, offsetof(rw_material, melting_temperature), 1.0, 5000.0},
	{"latent_heat", &rw_kind_heat_of_mass, offsetof(rw_material, latent_heat), 1e3, 1e7},
	{"curie_temperature", &rw_kind_temperature, offsetof(rw_material, curie_temperature), 300.0, 2000.0},
	{"temperature_min", &rw_kind_temperature, offsetof(rw_material, temperature_min), 0.0, 5000.0},
	{"temperature_max", &rw_kind_temperature, offsetof(rw_material, temperature_max), 0.0, 5000.0},
};

const char *rw_property_key(rw_property property) { return columns[property][1].name; }
const rw_column *rw_property_columns(rw_property property) { return columns[property]; }
const char *rw_material_figure_key(int i) { return i >= 0 && i < RW_MATERIAL_FIGURES ? figures[i].key : NULL; }

static rw_status with_key(rw_status status, const char *key, rw_error *err)
{
	if (err)
		snprintf(err->key, sizeof err->key, "%s", key);
	return status;
}

static rw_status read_number(const rw_units *units, const rw_kind *kind, double min, double max, const char *key, const char *text,
    double *out, rw_error *err)
{
	double value;
	rw_status status = rw_units_read(units, kind, text, &value, err);
	if (status != RW_OK)
		return with_key(status, key, err);
	if (value >= min && value <= max) {
		*out = value;
		return RW_OK;
	}
	(void)RW_RAISE(err, RW_E_VALUE, key, "'%s' is no %s of a material", text, key);
	rw_error_expected(err, "%.4g to %.4g %s", min, max, kind->si);
	return RW_E_VALUE;
}

static rw_status read_property(rw_arena *arena, const rw_units *units, rw_property p, const char *text, rw_material *m, rw_error *err)
{
	const rw_column *c = columns[p];
	if (!strchr(text, '\n'))
		return read_number(units, c[1].kind, c[1].min, c[1].max, c[1].name, text, &m->figure[p], err);
	rw_status status = rw_table_read(arena, units, c, 2, 2, text, &m->table[p], err);
	return status == RW_OK ? RW_OK : with_key(status, c[1].name, err);
}

rw_status rw_material_read(rw_arena *arena, const rw_units *units, const char *name, rw_text_of text_of, const void *context,
    rw_material *out, rw_error *err)
{
	rw_material m = {.name = name};
	for (int p = 0; p < RW_PROPERTIES; p++) {
		const char *text = text_of(context, columns[p][1].name);
		m.figure[p] = (double)NAN;
		if (text)
			RW_TRY(read_property(arena, units, (rw_property)p, text, &m, err));
	}
	for (int i = 0; i < RW_MATERIAL_FIGURES; i++) {
		const char *text = text_of(context, figures[i].key);
		double value = (double)NAN;
		if (text)
			RW_TRY(read_number(units, figures[i].kind, figures[i].min, figures[i].max, figures[i].key, text, &value, err));
		memcpy((char *)&m + figures[i].offset, &value, sizeof value);
	}
	if (m.table[RW_PERMEABILITY].n_rows && isnan(m.curie_temperature))
		return RW_RAISE(err, RW_E_MISSING, "curie_temperature", "'%s' has a permeability over field and no Curie point", name);
	*out = m;
	return RW_OK;
}

static rw_status not_known(const rw_material *m, rw_property p, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_MISSING, columns[p][1].name, "the material '%s' has no %s", m->name, columns[p][1].name);
	rw_error_expected(err, "a material whose entry has it");
	rw_error_hint(err, "'rfwright material show %s' lists what it has", m->name);
	return RW_E_MISSING;
}

static rw_status too_far(const rw_material *m, rw_property p, double temperature, double low, double high, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_RANGE, columns[p][1].name, "'%s' at '%.1f degC' is outside what is known of its %s", m->name,
	    temperature - zero_celsius,
	               columns[p][1].name);
	if (isfinite(low) && isfinite(high))
		rw_error_expected(err, "%.1f to %.1f degC", low - zero_celsius, high - zero_celsius);
	else
		rw_error_expected(err, "%s %.1f degC", isfinite(low) ? "at least" : "at most", (isfinite(low) ? low : high) - zero_celsius);
	return RW_E_RANGE;
}

static bool known(const rw_material *m, rw_property p) { return m->table[p].n_rows > 0 || isfinite(m->figure[p]); }

static void span_of(const rw_material *m, rw_property p, double *low, double *high)
{
	const rw_table *table = &m->table[p];
	if (table->n_rows > 0 && p != RW_PERMEABILITY) {
		*low = rw_table_cell(table, 0, 0);
		*high = rw_table_cell(table, table->n_rows - 1, 0);
	} else {
		*low = isnan(m->temperature_min) ? -(double)INFINITY : m->temperature_min;
		*high = isnan(m->temperature_max) ? (double)INFINITY : m->temperature_max;
	}
}

static rw_status within(const rw_material *m, rw_property p, double temperature, rw_error *err)
{
	double low, high;
	if (!known(m, p))
		return not_known(m, p, err);
	if (!isfinite(temperature))
		return RW_RAISE(err, RW_E_RANGE, columns[p][1].name, "'%s' is asked for its %s at no temperature", m->name, columns[p][1].name);
	span_of(m, p, &low, &high);
	return temperature >= low && temperature <= high ? RW_OK : too_far(m, p, temperature, low, high, err);
}

rw_status rw_material_at(const rw_material *material, rw_property property, double temperature, double *value, rw_error *err)
{
	RW_TRY(within(material, property, temperature, err));
	if (material->table[property].n_rows == 0)
		*value = material->figure[property];
	else if (property == RW_PERMEABILITY)
		return RW_RAISE(err, RW_E_INTERNAL, columns[property][1].name, "a permeability over field is asked for without a field");
	else
		RW_TRY(rw_table_at(&material->table[property], 0, 1, temperature, value, err));
	return RW_OK;
}

rw_status rw_material_permeability(const rw_material *material, double temperature, double field_rms, double *value, rw_error *err)
{
	const rw_table *table = &material->table[RW_PERMEABILITY];
	double in_field;
	if (table->n_rows == 0)
		return rw_material_at(material, RW_PERMEABILITY, temperature, value, err);
	RW_TRY(within(material, RW_PERMEABILITY, temperature, err));
	double warmth = fmax(temperature - cold, 0.0) / (material->curie_temperature - cold);
	if (warmth >= 1.0) {
		*value = 1.0;
		return RW_OK;
	}
	double most = rw_table_cell(table, table->n_rows - 1, 0), least = rw_table_cell(table, 0, 0);
	if (!(field_rms >= least && field_rms <= most)) {
		(void)RW_RAISE(err, RW_E_RANGE, columns[RW_PERMEABILITY][1].name,
		    "'%s' in '%.4g kA/m' is outside what is known of its permeability", material->name,
		               field_rms / 1e3);
		rw_error_expected(err, "%.4g to %.4g kA/m", least / 1e3, most / 1e3);
		return RW_E_RANGE;
	}
	RW_TRY(rw_table_at(table, 0, 1, field_rms, &in_field, err));
	*value = 1.0 + (in_field - 1.0) * (1.0 - warmth * warmth);
	return RW_OK;
}

/* Between two rows the curve is a cubic at most, for which Simpson's rule is exact. */
rw_status rw_material_heat(const rw_material *material, double from, double to, double *heat, rw_error *err)
{
	const rw_table *table = &material->table[RW_HEAT_CAPACITY];
	RW_TRY(within(material, RW_HEAT_CAPACITY, from, err));
	RW_TRY(within(material, RW_HEAT_CAPACITY, to, err));
	double low = fmin(from, to), high = fmax(from, to), sum = 0.0;
	for (int i = 0; i <= table->n_rows; i++) {       /* i: the row that ends the piece */
		double a = i > 0 ? fmax(low, rw_table_cell(table, i - 1, 0)) : low,
		    b = i < table->n_rows ? fmin(high, rw_table_cell(table, i, 0)) : high;
		double c[3];
		if (!(b > a))
			continue;
		for (int k = 0; k < 3; k++)
			RW_TRY(rw_material_at(material, RW_HEAT_CAPACITY, a + 0.5 * k * (b - a), &c[k], err));
		sum += (b - a) * (c[0] + 4.0 * c[1] + c[2]) / 6.0;
	}
	*heat = to >= from ? sum : -sum;
	return RW_OK;
}
