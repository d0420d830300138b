#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <udunits2.h>

#include "base/units_internal.h"

typedef struct definition {
	const char *symbol;
	double      factor;
	const char *of;       /* symbol = factor * of + offset; NULL: a base unit */
	double      offset;   /* in units of itself */
	const char *source;
} definition;

/* V1.5, the perveance's volt to the power 3/2, is a base unit of its own: the library knows whole powers only. */
static const char volt_power[] = "V^1.5", volt_power_symbol[] = "Vthreehalves";

static const definition definitions[] = {
	{"m", 1.0, NULL, 0.0, "SI"},
	{"kg", 1.0, NULL, 0.0, "SI"},
	{"s", 1.0, NULL, 0.0, "SI"},
	{"A", 1.0, NULL, 0.0, "SI"},
	{"K", 1.0, NULL, 0.0, "SI"},
	{volt_power_symbol, 1.0, NULL, 0.0, "see above"},
	{"g", 1e-3, "kg", 0.0, "SI"},
	{"Hz", 1.0, "1/s", 0.0, "SI"},
	{"N", 1.0, "kg.m/s2", 0.0, "SI"},
	{"Pa", 1.0, "N/m2", 0.0, "SI"},
	{"J", 1.0, "N.m", 0.0, "SI"},
	{"W", 1.0, "J/s", 0.0, "SI"},
	{"C", 1.0, "A.s", 0.0, "SI"},
	{"V", 1.0, "W/A", 0.0, "SI"},
	{"F", 1.0, "C/V", 0.0, "SI"},
	{"ohm", 1.0, "V/A", 0.0, "SI"},
	{"S", 1.0, "A/V", 0.0, "SI"},
	{"H", 1.0, "V.s/A", 0.0, "SI"},
	{"VA", 1.0, "V.A", 0.0, "IEC 60027"},
	{"var", 1.0, "V.A", 0.0, "IEC 60027"},
	{"rad", 1.0, "1", 0.0, "SI"},
	{"deg", 3.14159265358979323846 / 180.0, "1", 0.0, "SI"},
	{"%", 1e-2, "1", 0.0, "ISO 80000-1"},
	{"L", 1e-3, "m3", 0.0, "SI"},
	{"min", 60.0, "s", 0.0, "SI"},
	{"h", 3600.0, "s", 0.0, "SI"},
	{"Wh", 3600.0, "J", 0.0, "watt times hour"},
	{"bar", 1e5, "Pa", 0.0, "SI"},
	{"in", 0.0254, "m", 0.0, "international inch, 1959"},
	{"ft", 0.3048, "m", 0.0, "international foot, 1959"},
	{"gal", 3.785411784e-3, "m3", 0.0, "US liquid gallon, 231 cubic inches"},
	{"galUK", 4.54609e-3, "m3", 0.0, "British gallon, 1985"},
	{"psi", 0.45359237 * 9.80665 / (0.0254 * 0.0254), "Pa", 0.0, "pound (1959) times standard gravity a square inch"},
	{"degC", 1.0, "K", 273.15, "SI"},
	{"degF", 5.0 / 9.0, "K", 459.67, "NIST SP 811"},
};

static const struct { const char *symbol; double factor; } prefixes[] = {
	{"p", 1e-12}, {"n", 1e-9}, {"u", 1e-6}, {"m", 1e-3}, {"c", 1e-2}, {"k", 1e3}, {"M", 1e6}, {"G", 1e9},
};

/* The library keeps its parser's state and its last error in globals. */
static pthread_mutex_t library_lock = PTHREAD_MUTEX_INITIALIZER;

static bool define(ut_system *system, const definition *d)
{
	ut_unit *unit;
	if (d->of) {
		/* factors are given as doubles, never as text: the library reads numbers in the process's locale */
		ut_unit *of = ut_parse(system, d->of, UT_ASCII);
		ut_unit *scaled = of ? ut_scale(d->factor, of) : NULL;
		unit = scaled ? ut_offset(scaled, d->offset) : NULL;
		ut_free(scaled);
		ut_free(of);
	} else {
		unit = ut_new_base_unit(system);
	}
	bool done = unit && ut_map_symbol_to_unit(d->symbol, UT_ASCII, unit) == UT_SUCCESS;
	ut_free(unit);
	return done;
}

static ut_system *system_new(void)
{
	ut_system *system = ut_new_system();
	bool done = system != NULL;
	for (size_t i = 0; done && i < sizeof prefixes / sizeof *prefixes; i++)
		done = ut_add_symbol_prefix(system, prefixes[i].symbol, prefixes[i].factor) == UT_SUCCESS;
	for (size_t i = 0; done && i < sizeof definitions / sizeof *definitions; i++)
		done = define(system, &definitions[i]);
	if (done)
		return system;
	if (system)
		ut_free_system(system);
	return NULL;
}

static ut_unit *parse(ut_system *system, const char *name)
{
	char text[64];
	const char *power = strstr(name, volt_power);
	if (power)
		snprintf(text, sizeof text, "%.*s%s%s", (int)(power - name), name, volt_power_symbol, power + strlen(volt_power));
	else
		snprintf(text, sizeof text, "%s", name);
	return ut_parse(system, text, UT_ASCII);
}

/* A whole number the factor is within 1e-12 of (the library multiplies prefixes in floating point), or 0. */
static double whole(double factor)
{
	double near = round(factor);
	return near >= 1.0 && fabs(factor - near) <= 1e-12 * near ? near : 0.0;
}

static void set_factor(rw__unit *unit, double factor)
{
	double times = whole(factor), by = whole(1.0 / factor);
	unit->times = times > 0.0 ? times : by > 0.0 ? 1.0 : factor;
	unit->by = times <= 0.0 && by > 0.0 ? by : 1.0;
}

static bool fill(ut_system *system, ut_unit *si, const char *name, bool point, rw__unit *unit)
{
	ut_unit *own = parse(system, name);
	cv_converter *to_si = own && ut_are_convertible(own, si) ? ut_get_converter(own, si) : NULL;
	ut_free(own);
	if (!to_si)
		return false;
	const double far = 1048576.0;   /* far enough that the offset's rounding does not show in the factor; a power of two */
	double offset = cv_convert_double(to_si, 0.0);
	set_factor(unit, offset == 0.0 ? cv_convert_double(to_si, 1.0) : (cv_convert_double(to_si, far) - offset) / far);
	cv_free(to_si);
	snprintf(unit->name, sizeof unit->name, "%s", name);
	unit->offset = offset;
	return point || offset == 0.0;
}

/* The SI unit has the dimension the list says. Half powers are beyond the library; a unit test looks at those. */
static bool dimension_fits(ut_system *system, const ut_unit *si, const rw_kind *kind)
{
	static const char *const base[] = {"m", "kg", "s", "A", "K"};
	char text[64] = "1";
	size_t n = 1;
	for (int i = 0; i < 5; i++) {
		if (kind->dim[i] != round(kind->dim[i]))
			return true;
		if (kind->dim[i] != 0.0)
			n += (size_t)snprintf(text + n, sizeof text - n, ".%s%d", base[i], (int)kind->dim[i]);
	}
	ut_unit *product = ut_parse(system, text, UT_ASCII);
	bool fits = product && ut_compare(product, si) == 0;
	ut_free(product);
	return fits;
}

static rw_status fill_kind(ut_system *system, const rw_kind *kind, rw__kind_units *out, rw_error *err)
{
	ut_unit *si = parse(system, kind->si);
	const char *rest = kind->units;
	char word[RW__UNIT_BYTES];
	rw_status status = RW_OK;
	if (si && !dimension_fits(system, si, kind))
		status = RW_RAISE(err, RW_E_INTERNAL, kind->name, "the SI unit '%s' is of another dimension", kind->si);
	while (status == RW_OK && rw__next_word(&rest, word))
		if (!si || out->n == RW__UNITS_A_KIND_MAX || !fill(system, si, word, kind->point, &out->list[out->n++]))
			status = RW_RAISE(err, RW_E_INTERNAL, kind->name, "unit '%s' of the list of kinds is not understood", word);
	ut_free(si);
	return status;
}

rw_status rw_units_new(rw_units **out, rw_error *err)
{
	if (rw_kinds_number() > RW__KINDS_MAX)
		RW_BUG(err, "more kinds than RW__KINDS_MAX");
	rw_units *units = calloc(1, sizeof *units);
	if (!units)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out for the unit system");
	pthread_mutex_lock(&library_lock);
	ut_error_message_handler before = ut_set_error_message_handler(ut_ignore);
	ut_system *system = system_new();
	rw_status status = system ? RW_OK : RW_RAISE(err, RW_E_INTERNAL, "", "the unit system could not be built");
	for (int i = 0; status == RW_OK && i < rw_kinds_number(); i++)
		status = fill_kind(system, rw_kind_at(i), &units->of[i], err);
	if (system)
		ut_free_system(system);
	ut_set_error_message_handler(before);
	pthread_mutex_unlock(&library_lock);
	if (status != RW_OK)
		free(units);
	else
		*out = units;
	return status;
}

void rw_units_free(rw_units *units) { free(units); }
