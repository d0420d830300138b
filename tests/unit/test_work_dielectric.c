/* Dielectric work by second routes: a chain of complex admittances, the loss integrated over the stack, drying step by step; bands; what is
 * refused. */
#include <complex.h>
#include <string.h>

#include "base/base.h"
#include "base/bessel.h"
#include "base/numeric.h"
#include "tests/library_bench.h"
#include "tests/material_entry.h"
#include "work/bands.h"
#include "work/dielectric.h"

static const double e0 = 8.8541878128e-12;
static const double frequency = 27.12e6, volts = 4138.0;

/* invented: a board between two films, one of them without loss, under a platen with a gap */
static const rw_plates stack = {0.4173, 3.719e-3, 3, {{0.513e-3, {2.27, 0.0}}, {23.85e-3, {3.37, 0.291}}, {0.771e-3, {4.63, 0.537}}}};

/* Voltage divider of admittances j w e0 eps A/d, the gap the last. */
static double complex chain(const rw_plates *p, double w, double complex y[RW_LAYERS_MAX + 1])
{
	double complex z = 0.0;
	for (int i = 0; i <= p->n_layers; i++) {
		bool air = i == p->n_layers;
		double complex eps = air ? 1.0 : rw_complex(p->layer[i].permittivity.real, -p->layer[i].permittivity.loss);
		double d = air ? p->gap : p->layer[i].thickness;
		y[i] = rw_complex(0.0, w * e0 * p->area / d) * eps;
		z += 1.0 / y[i];
	}
	return 1.0 / z;
}

static void test_chain(void **state)
{
	(void)state;
	double complex y[RW_LAYERS_MAX + 1];
	rw_plates_field f;
	rw_error err;
	for (double gap = 0.137e-3; gap < 0.2; gap *= 2.71) {
		rw_plates p = stack;
		double w = 2.0 * M_PI * frequency, sum = 0.0;
		p.gap = gap;
		double complex total = chain(&p, w, y), current = volts * total;
		CHECK_OK(rw_plates_field_of(&p, frequency, volts, &f, &err), &err);
		CHECK_NEAR(f.load.conductance, creal(total), 1e-11, "chain of admittances");
		CHECK_NEAR(f.load.capacitance, cimag(total) / w, 1e-13, "chain of admittances");
		CHECK_NEAR(f.load.resistance, 1.0 / creal(total), 1e-11, "chain of admittances");
		CHECK_NEAR(f.load.quality, cimag(total) / creal(total), 1e-11, "chain of admittances");
		CHECK_NEAR(f.current_rms, cabs(current), 1e-13, "chain of admittances");
		CHECK_NEAR(f.gap_field_rms, cabs(current / y[p.n_layers]) / gap, 1e-13, "chain of admittances");
		for (int i = 0; i < p.n_layers; i++) {
			double complex drop = current / y[i];
			CHECK_NEAR(f.field_rms[i], cabs(drop) / p.layer[i].thickness, 1e-13, "chain of admittances");
			CHECK_NEAR_SCALE(f.layer_power[i], creal(drop * conj(current)), 1e-11, f.power, "volts across it by current");
			sum += f.layer_power[i];
		}
		CHECK_NEAR(f.power, sum, 1e-13, "layers together");
		assert_true(f.layer_power[0] == 0.0 && f.field_rms[3] == 0.0);
	}
}

/* The loss at depth x, from the displacement that the current carries: sigma E^2 with sigma = w e0 eps''. */
typedef struct depth { const rw_plates *plates; double displacement; } depth;

static rw_status loss_at(void *context, double x, double *y, rw_error *err)
{
	const depth *d = context;
	(void)err;
	int i = 0;
	for (double top = d->plates->layer[0].thickness; x > top && i < d->plates->n_layers - 1; top += d->plates->layer[i].thickness)
		i++;
	double complex eps = rw_complex(d->plates->layer[i].permittivity.real, -d->plates->layer[i].permittivity.loss);
	double complex field = d->displacement / (e0 * eps);
	*y = creal(rw_complex(0.0, 2.0 * M_PI * frequency) * d->displacement * conj(field));
	return RW_OK;
}

static void test_power_by_integral(void **state)
{
	(void)state;
	rw_plates_field f;
	rw_error err;
	CHECK_OK(rw_plates_field_of(&stack, frequency, volts, &f, &err), &err);
	depth d = {&stack, f.current_rms / (2.0 * M_PI * frequency * stack.area)};
	double from = 0.0, power = 0.0;
	for (int i = 0; i < stack.n_layers; i++) {
		double part, error, to = from + stack.layer[i].thickness;
		CHECK_OK(rw_integrate(loss_at, &d, from, to, 1e-9, 1e-9, &part, &error, &err), &err);
		CHECK_NEAR_SCALE(f.layer_power[i], part * stack.area, 1e-8, f.power, "integral over depth");
		power += part * stack.area;
		from = to;
	}
	CHECK_NEAR(f.power, power, 1e-8, "integral over depth");
	double density;
	CHECK_OK(rw_dielectric_power_density(0.291, f.field_rms[1], frequency, &density, &err), &err);
	CHECK_NEAR(f.power_density[1], density, 0.0, "same law");
	/* conduction as a loss factor heats as Joule's law says */
	double loss;
	CHECK_OK(rw_dielectric_conduction(0.0137, frequency, &loss, &err), &err);
	CHECK_OK(rw_dielectric_power_density(loss, 5.31e4, frequency, &density, &err), &err);
	CHECK_NEAR(density, 0.0137 * 5.31e4 * 5.31e4, 1e-14, "sigma E^2");
}

/* One layer split in two is the same; no loss is no power; a layer of air is a gap. */
static void test_limits(void **state)
{
	(void)state;
	rw_plates_load whole, parts, air;
	rw_error err;
	rw_plates one = {0.2371, 1.91e-3, 1, {{17.3e-3, {2.83, 0.117}}}};
	rw_plates two = {0.2371, 1.91e-3, 2, {{5.9e-3, {2.83, 0.117}}, {11.4e-3, {2.83, 0.117}}}};
	rw_plates gapless = {0.2371, 0.0, 2, {{17.3e-3, {2.83, 0.117}}, {1.91e-3, {1.0, 0.0}}}};
	CHECK_OK(rw_plates_load_of(&one, frequency, &whole, &err), &err);
	CHECK_OK(rw_plates_load_of(&two, frequency, &parts, &err), &err);
	CHECK_OK(rw_plates_load_of(&gapless, frequency, &air, &err), &err);
	CHECK_NEAR(parts.conductance, whole.conductance, 1e-13, "split");
	CHECK_NEAR(parts.capacitance, whole.capacitance, 1e-13, "split");
	CHECK_NEAR(air.conductance, whole.conductance, 1e-13, "air as a layer");
	CHECK_NEAR(air.capacitance, whole.capacitance, 1e-13, "air as a layer");
	one.layer[0].permittivity.loss = 0.0;
	CHECK_OK(rw_plates_load_of(&one, frequency, &whole, &err), &err);
	assert_true(whole.conductance == 0.0 && isinf(whole.resistance) && isinf(whole.quality));
	CHECK_NEAR(whole.capacitance, e0 * 0.2371 / (1.91e-3 + 17.3e-3 / 2.83), 1e-14, "capacitors in series");
	one.layer[0].permittivity.loss = 1e-9;                         /* a small loss keeps its digits: G = w C eps''/eps' of its share */
	CHECK_OK(rw_plates_load_of(&one, frequency, &whole, &err), &err);
	double share = 17.3e-3 / 2.83 / (1.91e-3 + 17.3e-3 / 2.83);
	CHECK_NEAR(1.0 / whole.quality, share * 1e-9 / 2.83, 1e-13, "small loss");
	/* Debye: the loss is greatest where w tau is 1, half the step there */
	rw_permittivity p;
	CHECK_OK(rw_dielectric_debye(71.3, 4.87, 9.13e-12, 1.0 / (2.0 * M_PI * 9.13e-12), &p, &err), &err);
	CHECK_NEAR(p.loss, 0.5 * (71.3 - 4.87), 1e-14, "w tau = 1");
	CHECK_NEAR(p.real, 0.5 * (71.3 + 4.87), 1e-14, "w tau = 1");
}

static void test_closing(void **state)
{
	(void)state;
	enum { N = 7 };
	rw_plates_load points[N], one;
	rw_error err;
	CHECK_OK(rw_plates_closing(&stack, 18.7e-3, 0.0, frequency, N, points, &err), &err);
	for (int i = 0; i < N; i++) {
		rw_plates p = stack;
		p.gap = 18.7e-3 * (N - 1 - i) / (N - 1);
		CHECK_OK(rw_plates_load_of(&p, frequency, &one, &err), &err);
		CHECK_NEAR_SCALE(points[i].gap, p.gap, 1e-15, 18.7e-3, "equal steps");
		CHECK_NEAR(points[i].capacitance, one.capacitance, 1e-13, "one by one");
		CHECK_NEAR(points[i].resistance, one.resistance, 1e-13, "one by one");
		if (i > 0)
			assert_true(points[i].capacitance > points[i - 1].capacitance && points[i].resistance < points[i - 1].resistance);
	}
	assert_true(points[N - 1].gap == 0.0);
}

/* The field at the voltage that the margin allows is the limit; and what air stands, by its own law. */
static void test_margin(void **state)
{
	(void)state;
	rw_gap_margin m, at;
	rw_plates_field f;
	rw_error err;
	double stand, low;
	CHECK_OK(rw_plates_gap_margin(&stack, frequency, volts, 3.07e5, &m, &err), &err);
	CHECK_OK(rw_plates_field_of(&stack, frequency, m.voltage_max_rms, &f, &err), &err);
	CHECK_NEAR(f.gap_field_rms, 3.07e5 / sqrt(2.0), 1e-13, "field at the greatest voltage");
	CHECK_OK(rw_plates_gap_margin(&stack, frequency, m.voltage_max_rms, 3.07e5, &at, &err), &err);
	CHECK_NEAR(at.margin, 1.0, 1e-13, "margin at the greatest voltage");
	CHECK_NEAR(m.margin * m.field_pk, 3.07e5, 1e-14, "definition");
	CHECK_OK(rw_air_breakdown(3.719e-3, frequency, &stand, &err), &err);
	CHECK_OK(rw_air_breakdown(3.719e-3, 50.0, &low, &err), &err);
	CHECK_NEAR(stand, 0.8 * low, 1e-15, "20 % less above 1 MHz");
	CHECK_NEAR(low, 1e3 * (24.22 * 0.3719 + 6.08 * sqrt(0.3719)), 1e-14, "d in cm, kV");
}

/* The batch by small steps of time: first it warms as a whole, then water leaves. */
static void test_drying(void **state)
{
	(void)state;
	static const rw_drying d = {11.83, 1371.0, 2.417, 4187.0, 1.739, 2.257e6, 291.3, 373.15, 613.0};
	double power = 7391.0, step = 0.01, t = 0.0, temperature = d.temperature_from, gone = 0.0, time, heat;
	rw_error err;
	for (; gone < d.evaporated_mass; t += step) {
		double into = (power - d.loss) * step;
		if (temperature < d.temperature_to)
			temperature += into / (d.mass * d.heat_capacity + d.water_mass * d.water_heat_capacity);
		else
			gone += into / d.latent_heat;
	}
	CHECK_OK(rw_drying_time(&d, power, &time, &err), &err);
	CHECK_NEAR_SCALE(time, t, 2.5 * step, 1.0, "step by step");
	CHECK_OK(rw_drying_heat(&d, &heat, &err), &err);
	CHECK_NEAR(heat, (power - d.loss) * time, 1e-14, "energy");
	rw_drying dry = {.mass = 4.71, .heat_capacity = 1713.0, .temperature_from = 290.0, .temperature_to = 353.7};   /* unused figures may be 0 */
	CHECK_OK(rw_drying_time(&dry, 2385.0, &time, &err), &err);
	CHECK_NEAR(time, 4.71 * 1713.0 * 63.7 / 2385.0, 1e-13, "no water");
}

static void test_refusals(void **state)
{
	(void)state;
	static const double bad[] = {(double)NAN, (double)INFINITY, -1.0};
	rw_error err;
	rw_plates_load load[2] = {{.gap = 7.0}, {.gap = 7.0}};
	rw_plates_field f = {.power = 7.0};
	rw_gap_margin m = {.margin = 7.0};
	double x = 7.0;
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		for (int which = 0; which < 5; which++) {
			rw_plates p = stack;
			double *part[] = {&p.area, &p.gap, &p.layer[2].thickness, &p.layer[1].permittivity.real, &p.layer[0].permittivity.loss};
			*part[which] = bad[i];
			assert_int_equal(rw_plates_load_of(&p, frequency, load, &err), RW_E_RANGE);
			assert_int_equal(rw_plates_field_of(&p, frequency, volts, &f, &err), RW_E_RANGE);
			if (which != 1)
				assert_int_equal(rw_plates_closing(&p, 1e-3, 0.0, frequency, 2, load, &err), RW_E_RANGE);
		}
		assert_int_equal(rw_plates_load_of(&stack, bad[i], load, &err), RW_E_RANGE);
		assert_int_equal(rw_plates_field_of(&stack, frequency, bad[i], &f, &err), RW_E_RANGE);
		assert_int_equal(rw_plates_closing(&stack, 1e-3, bad[i], frequency, 2, load, &err), RW_E_RANGE);
		assert_int_equal(rw_plates_gap_margin(&stack, frequency, volts, bad[i], &m, &err), RW_E_RANGE);
		assert_int_equal(rw_air_breakdown(bad[i], frequency, &x, &err), RW_E_RANGE);
		assert_int_equal(rw_dielectric_power_density(0.1, bad[i], frequency, &x, &err), RW_E_RANGE);
		assert_int_equal(rw_dielectric_conduction(bad[i], frequency, &x, &err), RW_E_RANGE);
	}
	rw_plates p = stack;
	p.gap = 0.0;
	assert_int_equal(rw_plates_gap_margin(&p, frequency, volts, 3e5, &m, &err), RW_E_RANGE);
	assert_string_equal(err.what, "an air gap of '0 m' is outside the model");
	assert_string_equal(err.expected, "a finite value above 0 m");
	p.n_layers = 9;
	assert_int_equal(rw_plates_load_of(&p, frequency, load, &err), RW_E_RANGE);
	p.n_layers = 0;
	assert_int_equal(rw_plates_load_of(&p, frequency, load, NULL), RW_E_RANGE);
	assert_int_equal(rw_plates_closing(&stack, 1e-3, 0.0, frequency, 1, load, &err), RW_E_RANGE);
	rw_permittivity e = {7.0, 7.0};
	assert_int_equal(rw_dielectric_debye(4.0, 5.0, 1e-12, frequency, &e, &err), RW_E_RANGE);
	rw_drying d = {.water_mass = 2.0, .water_heat_capacity = 4186.0, .evaporated_mass = 2.1, .latent_heat = 2.257e6, .temperature_from = 290.0,
	               .temperature_to = 373.0};
	assert_int_equal(rw_drying_heat(&d, &x, &err), RW_E_RANGE);
	assert_string_equal(err.what, "'2.1 kg' cannot evaporate from less water");
	d.evaporated_mass = 1.9, d.loss = 5000.0;
	assert_int_equal(rw_drying_time(&d, 5000.0, &x, &err), RW_E_NOSOLVE);
	d.temperature_to = 289.0;
	assert_int_equal(rw_drying_heat(&d, &x, &err), RW_E_RANGE);
	d.temperature_to = 290.0, d.evaporated_mass = 0.0;
	assert_int_equal(rw_drying_heat(&d, &x, &err), RW_E_RANGE);
	assert_true(load[0].gap == 7.0 && load[1].gap == 7.0 && f.power == 7.0 && m.margin == 7.0 && x == 7.0 && e.real == 7.0);
}

static void test_bad_entries(void **state)
{
	bench *b = *state;
	static const struct { given figures[5]; rw_status status; const char *key; } bad[] = {
		{{{"permittivity_min", "2.1"}, {"permittivity_max", "2.3"}, {"loss_factor_min", "0.1"}}, RW_E_MISSING, "loss_factor_max"},
		{{{"permittivity_min", "0.9"}}, RW_E_VALUE, "permittivity_min"},
		{{{"permittivity_min", "2.1 mm"}}, RW_E_UNIT, "permittivity_min"},
		{{{"permittivity_min", "2.4"}, {"permittivity_max", "2.3"}, {"loss_factor_min", "0.1"}, {"loss_factor_max", "0.1"}},
		 RW_E_VALUE, "permittivity_min"},
		{{{"permittivity_min", "2.1"}, {"permittivity_max", "2.3"}, {"loss_factor_min", "0.2"}, {"loss_factor_max", "0.1"}},
		 RW_E_VALUE, "loss_factor_min"},
	};
	rw_error err;
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		rw_dielectric d = {.min = {7.0, 7.0}};
		rw_status status = rw_dielectric_read(b->units, "x1", text_of_given, bad[i].figures, &d, &err);
		if (status != bad[i].status || strcmp(err.key, bad[i].key) != 0 || d.min.real != 7.0)
			fail_msg("%zu: status %d, key '%s': %s", i, (int)status, err.key, err.what);
	}
	assert_null(rw_dielectric_key(-1));
	assert_null(rw_dielectric_key(RW_DIELECTRIC_FIGURES));
#define HEAD "centre/MHz lower/MHz upper/MHz footnote region\n"
	static const given overlap[] = {{"bands_read", HEAD "13.56 13.553 13.567 5.15 0\n"},
	                                {"bands_recalled", HEAD "13.58 13.561 13.6 5.15 0\n"}, {NULL, NULL}};
	static const given outside[] = {{"bands_read", HEAD "13.56 13.563 13.567 5.15 0\n"}, {NULL, NULL}};
	static const given half[] = {{"bands_read", HEAD "13.56 13.553 13.567 5.15 0\n"}, {NULL, NULL}};
	rw_bands bands = {.n = 7};
	assert_int_equal(rw_bands_read(&b->arena, b->units, text_of_given, overlap, &bands, &err), RW_E_VALUE);
	assert_string_equal(err.what, "the band at '13.58 MHz' is not above the one before it");
	assert_int_equal(rw_bands_read(&b->arena, b->units, text_of_given, outside, &bands, &err), RW_E_VALUE);
	assert_int_equal(rw_bands_read(&b->arena, b->units, text_of_given, half, &bands, &err), RW_E_MISSING);
	assert_int_equal(bands.n, 7);
}

static void read_bands(bench *b, rw_bands *bands)
{
	rw_error err;
	const rw_entry *entry;
	CHECK_OK(rw_library_entry(b->library, &b->arena, "tables", "ism-bands", &entry, &err), &err);
	CHECK_OK(rw_bands_read(&b->arena, b->units, rw_entry_text, entry, bands, &err), &err);
}

static void test_band_place(void **state)
{
	rw_bands bands;
	rw_band_place at = {.band = 7};
	rw_error err;
	read_bands(*state, &bands);
	static const struct { double frequency; int band; bool inside; double edge; } list[] = {
		{13.5571e6, 1, true, 4100.0},   {13.553e6, 1, true, 0.0},        {13.5523e6, 1, false, -700.0}, {27.27e6, 2, true, 13e3},
		{450e3, 0, false, -6.315e6},    {20.261e6, 1, false, -6.694e6},  {20.263e6, 2, false, -6.694e6}, {2.451e9, 6, true, 49e6},
		{1e12, 11, false, -754e9},
	};
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		CHECK_OK(rw_band_of(&bands, list[i].frequency, &at, &err), &err);
		assert_int_equal(at.band, list[i].band);
		assert_int_equal(at.inside, list[i].inside);
		CHECK_NEAR_SCALE(at.edge, list[i].edge, 1e-14, list[i].frequency, "by hand");
	}
	at.band = 7;
	rw_band_span span;
	rw_bands none = {.n = 0};
	assert_int_equal(rw_band_of(&bands, 0.0, &at, &err), RW_E_RANGE);
	assert_int_equal(rw_band_of(&bands, (double)NAN, &at, &err), RW_E_RANGE);
	assert_int_equal(rw_band_of(&none, 1e6, &at, &err), RW_E_RANGE);
	assert_int_equal(rw_band_hold(&bands, 1e6, -1e6, &span, &err), RW_E_RANGE);
	assert_int_equal(rw_band_hold(&bands, (double)INFINITY, 1e6, &span, &err), RW_E_RANGE);
	assert_int_equal(at.band, 7);
}

/* A press that closes moves the frequency of its tank out of the band; one that settles by 0.2 mm does not. */
static void test_band_hold(void **state)
{
	rw_bands bands;
	rw_band_span span;
	rw_plates_load end[2];
	rw_error err;
	char text[RW_BAND_TEXT];
	read_bands(*state, &bands);
	static const struct { double gap_from, gap_to; bool held; } press[] = {{9.4e-3, 1.7e-3, false}, {1.9e-3, 1.7e-3, true}};
	for (size_t i = 0; i < sizeof press / sizeof *press; i++) {
		CHECK_OK(rw_plates_closing(&stack, press[i].gap_from, press[i].gap_to, 27.12e6, 2, end, &err), &err);
		double fixed = 311e-12, middle = 0.5 * (end[0].capacitance + end[1].capacitance) + fixed;      /* F, invented; tuned at the middle */
		double high = 27.12e6 * sqrt(middle / (end[0].capacitance + fixed)), low = 27.12e6 * sqrt(middle / (end[1].capacitance + fixed));
		CHECK_OK(rw_band_hold(&bands, low, high, &span, &err), &err);
		assert_int_equal(span.band, 2);
		assert_int_equal(span.held, press[i].held);
		assert_int_equal(span.moved < span.width, press[i].held);
		assert_true((span.below >= 0.0) == press[i].held && (span.above >= 0.0) == press[i].held);
	}
	CHECK_OK(rw_band_hold(&bands, 13.692e6, 13.4283e6, &span, &err), &err);      /* in any order */
	assert_false(span.held);
	CHECK_NEAR(span.moved, 0.2637 / 13.56015, 1e-12, "by hand");
	CHECK_NEAR(span.width, 0.014 / 13.56, 1e-12, "by hand");
	CHECK_NEAR(span.below, -124.7e3, 1e-9, "by hand");
	CHECK_NEAR(span.above, -125.0e3, 1e-9, "by hand");
	rw_band_tell(&bands, &span, text);
	assert_string_equal(text, "moves by 1.94 % and leaves the band of 13.553 to 13.567 MHz, which is 0.103 % wide");
	CHECK_OK(rw_band_hold(&bands, 27.01e6, 27.24e6, &span, &err), &err);
	assert_true(span.held && span.moved < span.width);
	rw_band_tell(&bands, &span, text);
	assert_string_equal(text, "moves by 0.848 % and stays within the band of 26.957 to 27.283 MHz, which is 1.2 % wide");
	CHECK_OK(rw_band_hold(&bands, 13.57e6, 13.59e6, &span, &err), &err);
	assert_false(span.held);
	rw_band_tell(&bands, &span, text);
	assert_string_equal(text, "moves by 0.147 % and lies outside the nearest band, that of 13.553 to 13.567 MHz, which is 0.103 % wide");
	CHECK_OK(rw_band_hold(&bands, 13.558e6, 27.1e6, &span, &err), &err);         /* each end in a band, not the same */
	assert_false(span.held);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_chain),      cmocka_unit_test(test_power_by_integral), cmocka_unit_test(test_limits),   cmocka_unit_test(test_closing),
		cmocka_unit_test(test_margin),     cmocka_unit_test(test_drying),            cmocka_unit_test(test_refusals), cmocka_unit_test(test_bad_entries),
		cmocka_unit_test(test_band_place), cmocka_unit_test(test_band_hold),
	};
	return cmocka_run_group_tests(tests, set_up, tear_down);
}
