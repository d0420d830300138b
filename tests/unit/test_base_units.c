#include <locale.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "base/base.h"
#include "base/units.h"
#include "tests/check.h"

static rw_units *units;

static int make(void **state)
{
	(void)state;
	rw_error err;
	return rw_units_new(&units, &err) == RW_OK ? 0 : -1;
}

static int drop(void **state)
{
	(void)state;
	rw_units_free(units);
	return 0;
}

static double reads(const rw_kind *kind, const char *text)
{
	rw_error err;
	double si = (double)NAN;
	CHECK_OK(rw_units_read(units, kind, text, &si, &err), &err);
	return si;
}

#define CHECK_READS(kind, text, want) assert_true(reads(&rw_kind_##kind, text) == (want))
#define CHECK_READS_NEAR(kind, text, want, source) CHECK_NEAR(reads(&rw_kind_##kind, text), want, 4e-16, source)

static void plain_and_prefixed(void **state)
{
	(void)state;
	CHECK_READS(voltage_dc, "8.77 kV", 8770.0);
	CHECK_READS(voltage_pk, "  -38.5   mV ", -0.0385);
	CHECK_READS(current_dc, "1.024e0 A", 1.024);
	CHECK_READS(capacitance, "20 uF", 20e-6);
	CHECK_READS(capacitance, "365 pF", 365e-12);
	CHECK_READS(inductance, "11.3 nH", 11.3e-9);
	CHECK_READS(frequency, "385.2 kHz", 385.2e3);
	CHECK_READS(length, "42.5 mm", 0.0425);
	CHECK_READS(reactive_power, "2.31 Mvar", 2.31e6);
	CHECK_READS(apparent_power, "75 kVA", 75e3);
	CHECK_READS(heat_capacity, "4.182 kJ/kg/K", 4182.0);
	CHECK_READS(density, "7.85 g/cm3", 7850.0);
	CHECK_READS(conductivity, "23 uS/cm", 23e-4);
	CHECK_READS(stress, "1.2 kV/mm", 1.2e6);
	CHECK_READS(viscosity, "890 uPa.s", 890e-6);
	CHECK_READS(perveance, "2.35 mA/V^1.5", 2.35e-3);
	CHECK_READS(transconductance, "30 mA/V", 0.03);
	CHECK_READS(pressure, "3.5 bar", 350e3);
	CHECK_READS(time, "2.5 h", 9000.0);
}

static void without_unit(void **state)
{
	(void)state;
	CHECK_READS(fraction, "0.3", 0.3);
	CHECK_READS(fraction, "30 %", 0.3);
	CHECK_READS(fraction, "4.5%", 0.045);
	CHECK_READS(number, "2.385", 2.385);
	CHECK_READS(count, "6", 6.0);
}

static void spellings(void **state)
{
	(void)state;
	CHECK_READS(capacitance, "20 \u00B5F", 20e-6);
	CHECK_READS(capacitance, "20 \u03BCF", 20e-6);
	CHECK_READS(resistance, "2.2 k\u03A9", 2200.0);
	CHECK_READS(resistance, "2.2k\u2126", 2200.0);
	CHECK_READS_NEAR(angle, "75\u00B0", 1.308996938995747, "75 pi / 180");
	CHECK_READS_NEAR(angle, "75 deg", 1.308996938995747, "75 pi / 180");
	CHECK_READS_NEAR(temperature, "40\u00A0\u00B0C", 313.15, "SI");
	CHECK_READS(density, "998.2 kg/m\u00B3", 998.2);
	CHECK_READS(viscosity, "1.002 mPa\u00B7s", 1.002e-3);
	CHECK_READS(perveance, "2.35 mA/V\u00B9\u00B7\u2075", 2.35e-3);
	CHECK_READS(voltage_dc, "8.77\u202FkV", 8770.0);
	CHECK_READS(voltage_dc, "8kV", 8000.0);
}

/* What a stock unit database takes for something else. */
static void false_friends_read_right(void **state)
{
	(void)state;
	CHECK_READS_NEAR(flow, "2.5 gal/min", 2.5 * 3.785411784e-3 / 60.0, "US gallon: 231 cubic inches, NIST SP 811");
	CHECK_READS_NEAR(flow, "2.5 galUK/min", 2.5 * 4.54609e-3 / 60.0, "Weights and Measures Act 1985");
	CHECK_READS(flow, "18 L/min", 18.0 / 60000.0);
	CHECK_READS_NEAR(flow, "1.08 m3/h", 3e-4, "1.08 / 3600");
	CHECK_READS_NEAR(temperature, "40 degC", 313.15, "SI");
	CHECK_READS_NEAR(temperature, "104 degF", 313.15, "NIST SP 811: (104 + 459.67) / 1.8");
	assert_true(fabs(reads(&rw_kind_temperature, "-459.67 degF")) < 1e-12);
	CHECK_READS(temp_rise, "10 K", 10.0);
	CHECK_READS_NEAR(pressure, "50 psi", 344737.8646584180, "50 x 0.45359237 x 9.80665 / 0.0254^2");
	CHECK_READS_NEAR(length, "2.5 in", 0.0635, "25.4 mm");
}

typedef struct refusal {
	const rw_kind *kind;
	const char    *text;
	rw_status      status;
	const char    *what, *expected, *hint;   /* found in the message */
} refusal;

static const refusal refused[] = {
	{&rw_kind_voltage_dc, "8 KV", RW_E_UNIT, "'KV' is not a unit of voltage", "DC voltage in V, kV or mV", "did you mean 'kV'?"},
	{&rw_kind_voltage_dc, "8 MV", RW_E_UNIT, "'MV'", "DC voltage", "'m' is a thousandth, 'M' a million"},
	{&rw_kind_voltage_dc, "8,5 kV", RW_E_VALUE, "'8,5 kV' is not one number", "DC voltage in V, kV or mV", "a point for decimals"},
	{&rw_kind_voltage_dc, ",5 kV", RW_E_VALUE, "',5 kV' does not begin", "DC voltage", "a point for decimals"},
	{&rw_kind_voltage_pk, "8", RW_E_UNIT, "'8' is a number without a unit", "peak voltage in V, kV or mV", "'8 V'"},
	{&rw_kind_voltage_dc, "8 kW", RW_E_UNIT, "'kW' is a unit of power, not of voltage", "DC voltage in V, kV or mV", "write one of these units"},
	{&rw_kind_power, "8 kVA", RW_E_UNIT, "'kVA' is a unit of apparent power, not of power", "power in W, kW, mW or MW", "write one of these units"},
	{&rw_kind_reactive_power, "8 kVAr", RW_E_UNIT, "'kVAr' is not", "reactive power in var", "'kvar'"},
	{&rw_kind_frequency, "60 rpm", RW_E_UNIT, "'rpm' is not a unit of frequency", "frequency in Hz, kHz, MHz or GHz", "cycles"},
	{&rw_kind_frequency, "6.28 rad/s", RW_E_UNIT, "'rad/s'", "Hz", "write one of these units"},
	{&rw_kind_temp_rise, "10 degC", RW_E_UNIT, "'degC' is a unit of temperature, not of temp rise", "temp rise in K", "a difference of temperatures is in K"},
	{&rw_kind_temp_rise, "10 \u00B0C", RW_E_UNIT, "'\u00B0C' is a unit of temperature", "in K", "in K"},
	{&rw_kind_flow, "5 gal", RW_E_UNIT, "'gal' is not a unit of flow", "gal/min or galUK/min", "'gal/min' (US gallon) or 'galUK/min' (British)"},
	{&rw_kind_flow, "18 l/min", RW_E_UNIT, "'l/min'", "flow in L/min", "'L/min'"},
	{&rw_kind_flow, "5 gpm", RW_E_UNIT, "'gpm'", "flow", "US gallon"},
	{&rw_kind_voltage_dc, "8 kV kV", RW_E_UNIT, "'kV kV' is not a unit", "DC voltage", "one number and one unit"},
	{&rw_kind_voltage_dc, "3*4 V", RW_E_VALUE, "'3*4 V' is not one number", "DC voltage", "write one number and one of these units"},
	{&rw_kind_voltage_dc, "3 4 V", RW_E_VALUE, "'3 4 V' is not one number", "DC voltage", "one number only"},
	{&rw_kind_voltage_dc, "8.5.1 V", RW_E_VALUE, "not one number", "DC voltage", "write one number and one of these units"},
	{&rw_kind_voltage_dc, "", RW_E_VALUE, "empty", "DC voltage", "write one number and one of these units"},
	{&rw_kind_voltage_dc, "  ", RW_E_VALUE, "empty", "DC voltage", "write one number and one of these units"},
	{&rw_kind_voltage_dc, "kV", RW_E_VALUE, "'kV' does not begin with a decimal number", "DC voltage", "write one number and one of these units"},
	{&rw_kind_voltage_dc, "\u22125 kV", RW_E_VALUE, "does not begin", "DC voltage", "the minus is written '-'"},
	{&rw_kind_voltage_dc, "nan V", RW_E_VALUE, "'nan V' does not begin", "DC voltage", "write one number and one of these units"},
	{&rw_kind_voltage_dc, "inf V", RW_E_VALUE, "'inf V' does not begin", "DC voltage", "write one number and one of these units"},
	{&rw_kind_voltage_dc, "0x10 V", RW_E_VALUE, "'0x10 V' does not begin with a decimal number", "DC voltage", "write one number and one of these units"},
	{&rw_kind_voltage_dc, "1e999 V", RW_E_VALUE, "too large", "DC voltage", "write one number and one of these units"},
	{&rw_kind_voltage_dc, "1e306 kV", RW_E_VALUE, "too large", "DC voltage", "write one number and one of these units"},
	{&rw_kind_number, "3 pu", RW_E_UNIT, "'pu' is not a unit of number", "a number, without unit", "write the number alone"},
	{&rw_kind_fraction, "3 dB", RW_E_UNIT, "'dB' is not a unit of fraction", "fraction in % or without unit", "write one number and one of these units"},
	{&rw_kind_flow, "3 oz", RW_E_UNIT, "'oz'", "flow", "write one of these units"},
	{&rw_kind_time, "3 mmin", RW_E_UNIT, "'mmin'", "time in s, ms, us, min or h", "'min'"},
	{&rw_kind_time, "3 Gs", RW_E_UNIT, "'Gs'", "time", "write one of these units"},
	{&rw_kind_length, "3 nin", RW_E_UNIT, "'nin'", "length", "'in'"},
	{&rw_kind_length, "3 thou", RW_E_UNIT, "'thou'", "length", "0.0254 mm"},
	{&rw_kind_length, "3 furlong", RW_E_UNIT, "'furlong'", "length in m, mm, cm, um, in or ft", "write one of these units"},
	{&rw_kind_energy, "3 N.m", RW_E_UNIT, "'N.m' is not a unit of energy", "energy in J", "write one of these units"},
	{&rw_kind_energy, "3 kWh", RW_E_UNIT, "'kWh'", "energy", "3.6 MJ"},
	{&rw_kind_voltage_dc, "8 kV DC", RW_E_UNIT, "'kV DC'", "DC voltage", "one number and one unit"},
	{&rw_kind_voltage_dc, "8 \u00E9V", RW_E_UNIT, "'\u00E9V'", "DC voltage", "write one of these units"},
};

static void refusals_say_what_to_write(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
		const refusal *r = &refused[i];
		rw_error err = {0};
		double si = 2.385;
		rw_status status = rw_units_read(units, r->kind, r->text, &si, &err);
		if (status != r->status || si != 2.385 || err.key[0] || !strstr(err.what, r->what) || !strstr(err.expected, r->expected) || !strstr(err.hint, r->hint))
			fail_msg("'%s': status %d, what \"%s\", expected \"%s\", hint \"%s\"", r->text, (int)status, err.what, err.expected, err.hint);
		assert_int_equal(rw_units_read(units, r->kind, r->text, &si, NULL), r->status);
	}
}

static void long_text_is_quoted_short(void **state)
{
	(void)state;
	char text[600] = "8 ";
	for (int i = 0; i < 100; i++)
		strcat(text, "\u2212\n");
	rw_error err;
	double si;
	assert_int_equal(rw_units_read(units, &rw_kind_voltage_dc, text, &si, &err), RW_E_UNIT);
	assert_non_null(strstr(err.what, "\u2212?...' is not a unit of voltage"));
}

static void factors(void **state)
{
	(void)state;
	rw_error err;
	double factor = 0.0, offset = 7.0;
	CHECK_OK(rw_units_factor(units, &rw_kind_temperature, "degF", &factor, &offset, &err), &err);
	CHECK_NEAR(factor, 5.0 / 9.0, 2e-16, "NIST SP 811");
	CHECK_NEAR(offset, 459.67 * 5.0 / 9.0, 2e-16, "NIST SP 811");
	CHECK_OK(rw_units_factor(units, &rw_kind_resistance, "m\u03A9", &factor, &offset, &err), &err);
	assert_true(factor == 1e-3 && offset == 0.0);
	CHECK_OK(rw_units_factor(units, &rw_kind_number, "1", &factor, &offset, &err), &err);
	assert_true(factor == 1.0 && offset == 0.0);
	factor = 5.5;
	assert_int_equal(rw_units_factor(units, &rw_kind_number, "", &factor, &offset, &err), RW_E_UNIT);
	assert_int_equal(rw_units_factor(units, &rw_kind_frequency, "rpm", &factor, &offset, &err), RW_E_UNIT);
	assert_true(factor == 5.5);
}

/* Each kind's SI unit is accepted
 * and counts 1, its customary units are accepted and grow, names are found again. */
static void list_of_kinds_holds_together(void **state)
{
	(void)state;
	assert_true(rw_kinds_number() >= 34);
	assert_null(rw_kind_find("voltage"));
	for (int i = 0; i < rw_kinds_number(); i++) {
		const rw_kind *kind = rw_kind_at(i);
		assert_ptr_equal(rw_kind_find(kind->name), kind);
		rw_error err;
		double factor, offset, before = 0.0;
		CHECK_OK(rw_units_factor(units, kind, kind->si, &factor, &offset, &err), &err);
		assert_true(factor == 1.0 && offset == 0.0);
		char show[64], *rest = NULL;
		snprintf(show, sizeof show, "%s", kind->show);
		for (char *word = strtok_r(show, " ", &rest); word; word = strtok_r(NULL, " ", &rest)) {
			CHECK_OK(rw_units_factor(units, kind, word, &factor, &offset, &err), &err);
			assert_true(factor > before);
			before = factor;
		}
	}
}

/* The half powers, which the making of the unit system cannot look at. */
static void perveance_dimension(void **state)
{
	(void)state;
	for (int i = 0; i < 5; i++)
		assert_true(rw_kind_perveance.dim[i] == rw_kind_current_dc.dim[i] - 1.5 * rw_kind_voltage_dc.dim[i]);
}

static void customary_units(void **state)
{
	(void)state;
	assert_string_equal(rw_units_customary(units, &rw_kind_voltage_dc, 999.0), "V");
	assert_string_equal(rw_units_customary(units, &rw_kind_voltage_dc, -1000.0), "kV");
	assert_string_equal(rw_units_customary(units, &rw_kind_voltage_dc, 1e9), "kV");
	assert_string_equal(rw_units_customary(units, &rw_kind_voltage_dc, 1e-3), "V");
	assert_string_equal(rw_units_customary(units, &rw_kind_current_dc, 0.0), "A");
	assert_string_equal(rw_units_customary(units, &rw_kind_current_dc, 1e-6), "uA");
	assert_string_equal(rw_units_customary(units, &rw_kind_current_dc, 0.0385), "mA");
	assert_string_equal(rw_units_customary(units, &rw_kind_temperature, 0.0), "degC");
}

static void check_print(const rw_kind *kind, double si, int digits, const char *want)
{
	char got[64];
	rw_units_print(units, kind, si, digits, got, sizeof got);
	assert_string_equal(got, want);
}

static void prints_for_paper(void **state)
{
	(void)state;
	check_print(&rw_kind_voltage_dc, 8770.0, 3, "8.77\u202FkV");
	check_print(&rw_kind_voltage_dc, -385.0, 3, "\u2212385\u202FV");
	check_print(&rw_kind_voltage_dc, 999.7, 3, "1.00\u202FkV");
	check_print(&rw_kind_voltage_dc, 999.7, 4, "999.7\u202FV");
	check_print(&rw_kind_voltage_dc, 123.4, 2, "120\u202FV");
	check_print(&rw_kind_voltage_dc, 0.0, 3, "0\u202FV");
	check_print(&rw_kind_voltage_dc, 9.8765e6, 3, "9880\u202FkV");
	check_print(&rw_kind_frequency, -1.2345e9, 5, "\u22121234.5\u202FMHz");
	check_print(&rw_kind_frequency, 12.345e9, 5, "12\u202F345\u202FMHz");
	check_print(&rw_kind_frequency, 1234.567e9, 6, "1\u202F234\u202F570\u202FMHz");
	check_print(&rw_kind_current_dc, 38.25e-6, 4, "38.25\u202F\u00B5A");
	check_print(&rw_kind_current_dc, 2.5e-8, 2, "0.025\u202F\u00B5A");
	check_print(&rw_kind_resistance, 2.2e-3, 2, "2.2\u202Fm\u03A9");
	check_print(&rw_kind_resistance, 47e-6, 2, "47\u202F\u00B5\u03A9");
	check_print(&rw_kind_temperature, 306.55, 3, "33.4\u202F\u00B0C");
	check_print(&rw_kind_temperature, 263.15, 3, "\u221210.0\u202F\u00B0C");
	check_print(&rw_kind_temperature, 273.15, 3, "0\u202F\u00B0C");
	check_print(&rw_kind_angle, 1.308996938995747, 2, "75\u00B0");
	check_print(&rw_kind_fraction, 0.045, 2, "4.5\u202F%");
	check_print(&rw_kind_number, 2.385, 3, "2.38");
	check_print(&rw_kind_count, 6.0, 3, "6");
	check_print(&rw_kind_count, 12345.0, 3, "12\u202F345");
	check_print(&rw_kind_heat_capacity, 4182.0, 4, "4182\u202FJ/(kg\u00B7K)");
	check_print(&rw_kind_density, 998.2, 4, "998.2\u202Fkg/m\u00B3");
	check_print(&rw_kind_viscosity, 1.002e-3, 4, "1.002\u202FmPa\u00B7s");
	check_print(&rw_kind_perveance, 2.35e-3, 3, "2.35\u202FmA/V\u00B9\u00B7\u2075");
	check_print(&rw_kind_voltage_dc, 1.5e-12, 2, "1.5\u202F\u00D7\u202F10\u207B\u00B9\u00B2\u202FV");
	check_print(&rw_kind_voltage_dc, (double)NAN, 3, "\u2014");
	check_print(&rw_kind_voltage_dc, (double)-INFINITY, 3, "\u2014");
	check_print(&rw_kind_voltage_dc, 8.7654321e3, 0, "8.8\u202FkV");
	check_print(&rw_kind_voltage_dc, 8.7654321e3, 99, "8.76543\u202FkV");
}

static void every_print_fits(void **state)
{
	(void)state;
	const double extremes[] = {-1.7976931348623157e308, -2.2250738585072014e-308, 5e-324, -1.23456e-6, -123456789012.0, 123456.5};
	for (int i = 0; i < rw_kinds_number(); i++)
		for (size_t j = 0; j < sizeof extremes / sizeof *extremes; j++) {
			char got[64];
			memset(got, 'x', sizeof got);
			rw_units_print(units, rw_kind_at(i), extremes[j], 6, got, sizeof got);
			assert_true(strlen(got) < 62 && strlen(got) > 0);
		}
}

static void check_write(const rw_kind *kind, double si, const char *want)
{
	char got[64];
	rw_units_write(units, kind, si, got, sizeof got);
	assert_string_equal(got, want);
	if (want[0])
		assert_true(reads(kind, got) == si);
}

static void writes_for_the_file(void **state)
{
	(void)state;
	check_write(&rw_kind_voltage_dc, 8770.0, "8.77 kV");
	check_write(&rw_kind_voltage_dc, -0.0385, "-0.0385 V");
	check_write(&rw_kind_voltage_dc, 0.0, "0 V");
	check_write(&rw_kind_temperature, reads(&rw_kind_temperature, "33.4 degC"), "33.4 degC");
	check_write(&rw_kind_temperature, nextafter(313.15, 400.0), "40.00000000000006 degC");
	check_write(&rw_kind_angle, reads(&rw_kind_angle, "75 deg"), "75 deg");
	check_write(&rw_kind_flow, reads(&rw_kind_flow, "17.3 L/min"), "17.3 L/min");
	check_write(&rw_kind_fraction, 0.3, "30 %");
	check_write(&rw_kind_fraction, 0.07, "7 %");
	check_write(&rw_kind_number, 2.385, "2.385");
	check_write(&rw_kind_capacitance, 365e-12, "365 pF");
	check_write(&rw_kind_length, 2.5e-9, "0.0025 um");
	check_write(&rw_kind_perveance, 2.35e-3, "2.35 mA/V^1.5");
	check_write(&rw_kind_voltage_dc, 1e-30, "1e-30 V");
	check_write(&rw_kind_voltage_dc, (double)NAN, "");
}

/* A limit is read by a man: no digits that only say how a factor rounds, and the customary unit. */
static void writes_limits_short(void **state)
{
	(void)state;
	static const struct { const rw_kind *kind; double si; const char *want; } of[] = {
		{&rw_kind_angle, 2.0943951023931957, "120 deg"}, {&rw_kind_angle, 0.5235987755982989, "30 deg"}, {&rw_kind_angle, 0.0, "0 deg"},
		{&rw_kind_angle, 1.0 / 3.0, "19.0986 deg"}, {&rw_kind_voltage_dc, -1e5, "-100 kV"}, {&rw_kind_voltage_dc, 2e4 / 3.0, "6.66667 kV"},
		{&rw_kind_fraction, 0.9, "90 %"}, {&rw_kind_capacitance, 1e-12, "1 pF"}, {&rw_kind_number, 1e9, "1000000000"}, {&rw_kind_voltage_dc, INFINITY, ""},
	};
	for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
		char got[64];
		rw_units_write_limit(units, of[i].kind, of[i].si, got, sizeof got);
		assert_string_equal(got, of[i].want);
	}
}

/* Doubles of all sizes and of plausible sizes, every kind: the file says exactly what was there. The sequence is fixed. */
static void writing_reads_back_exactly(void **state)
{
	(void)state;
	uint64_t bits = 0x2545F4914F6CDD1DU;
	for (int i = 0; i < 60 * rw_kinds_number(); i++) {
		const rw_kind *kind = rw_kind_at(i % rw_kinds_number());
		bits = bits * 6364136223846793005U + 1442695040888963407U;
		double x;
		memcpy(&x, &bits, sizeof x);
		if (i % 3)
			x = ldexp(1.0 + (double)(bits >> 12) / 4503599627370496.0, (int)(bits % 61) - 40);
		if (!isfinite(x))
			continue;
		char text[64];
		memset(text, 'x', sizeof text);
		rw_units_write(units, kind, x, text, sizeof text);
		assert_true(reads(kind, text) == x);
		if (fabs(x) > 1e-5 && fabs(x) < 1e14)
			assert_null(strchr(text, 'e') && !strstr(text, "deg") ? text : NULL);
	}
}

static void comma_locale(void **state)
{
	if (!setlocale(LC_ALL, "de_DE.UTF-8") && !setlocale(LC_ALL, "fr_FR.UTF-8"))
		skip();
	rw_error err;
	rw_units *again, *kept = units;
	CHECK_OK(rw_units_new(&again, &err), &err);
	units = again;
	plain_and_prefixed(state);
	false_friends_read_right(state);
	refusals_say_what_to_write(state);
	prints_for_paper(state);
	writes_for_the_file(state);
	units = kept;
	rw_units_free(again);
	setlocale(LC_ALL, "C");
}

static void *make_and_read(void *result)
{
	bool *good = result;
	*good = true;
	for (int i = 0; i < 10; i++) {
		rw_units *own;
		double si = 0.0;
		*good = *good && rw_units_new(&own, NULL) == RW_OK;
		if (!*good)
			break;
		*good = rw_units_read(own, &rw_kind_flow, "18 L/min", &si, NULL) == RW_OK && si == 18.0 / 60000.0;
		*good = *good && rw_units_read(units, &rw_kind_voltage_dc, "8.77 kV", &si, NULL) == RW_OK && si == 8770.0;
		rw_units_free(own);
	}
	return NULL;
}

static void threads_may_make_their_own(void **state)
{
	(void)state;
	pthread_t thread[4];
	bool good[4];
	for (int i = 0; i < 4; i++)
		assert_int_equal(pthread_create(&thread[i], NULL, make_and_read, &good[i]), 0);
	for (int i = 0; i < 4; i++)
		assert_int_equal(pthread_join(thread[i], NULL), 0);
	for (int i = 0; i < 4; i++)
		assert_true(good[i]);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(plain_and_prefixed), cmocka_unit_test(without_unit), cmocka_unit_test(spellings),
		cmocka_unit_test(false_friends_read_right), cmocka_unit_test(refusals_say_what_to_write), cmocka_unit_test(long_text_is_quoted_short),
		cmocka_unit_test(factors), cmocka_unit_test(list_of_kinds_holds_together), cmocka_unit_test(perveance_dimension),
		cmocka_unit_test(customary_units), cmocka_unit_test(prints_for_paper), cmocka_unit_test(every_print_fits),
		cmocka_unit_test(writes_for_the_file), cmocka_unit_test(writes_limits_short), cmocka_unit_test(writing_reads_back_exactly), cmocka_unit_test(comma_locale),
		cmocka_unit_test(threads_may_make_their_own),
	};
	return cmocka_run_group_tests(tests, make, drop);
}
