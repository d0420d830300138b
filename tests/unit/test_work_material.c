/* Materials: every entry of the library reads; the curves between the rows against the closed forms they came from; the model of
 * permeability; heat by the midpoint rule; what is not known or outside is refused. */
#include <string.h>

#include "base/base.h"
#include "tests/library_bench.h"
#include "tests/material_entry.h"
#include "work/dielectric.h"

static const rw_entry *material(bench *b, const char *name, rw_material *out)
{
	return rw_material_entry(&b->arena, b->units, b->library, name, out);
}

/* Each figure of an entry is one the room reads, or one of those that are told for the reader alone. */
static void test_every_entry(void **state)
{
	bench *b = *state;
	static const char *const told[] = {"conductivity_annealed", "resistivity_melting", "density_melting"};
	assert_true(rw_library_count(b->library, "materials") >= 22);
	for (int i = 0; i < rw_library_count(b->library, "materials"); i++) {
		rw_material m;
		const rw_entry *entry = material(b, rw_library_name(b->library, "materials", i), &m);
		int known = 0;
		for (int p = 0; p < RW_PROPERTIES; p++) {
			bool has = rw_entry_fact(entry, rw_property_key((rw_property)p)) != NULL;
			known += has;
			assert_int_equal(has, m.table[p].n_rows > 0 || isfinite(m.figure[p]));
		}
		for (int k = 0; k < RW_MATERIAL_FIGURES; k++)
			known += rw_entry_fact(entry, rw_material_figure_key(k)) != NULL;
		for (size_t k = 0; k < sizeof told / sizeof *told; k++)
			known += rw_entry_fact(entry, told[k]) != NULL;
		int dielectric = 0;
		for (int k = 0; k < RW_DIELECTRIC_FIGURES; k++)
			dielectric += rw_entry_fact(entry, rw_dielectric_key(k)) != NULL;
		assert_true(dielectric == 0 || dielectric == RW_DIELECTRIC_FIGURES);
		assert_int_equal(known + dielectric, entry->n_facts);
		if (dielectric > 0 && isnan(m.density)) {              /* an entry may have its dielectric figures alone */
			rw_dielectric d;
			rw_error err;
			CHECK_OK(rw_dielectric_read(b->units, entry->name, rw_entry_text, entry, &d, &err), &err);
			assert_int_equal(known, 0);
		} else {
			assert_true(m.density > 1000.0 && m.density < 9000.0);
		}
		assert_string_equal(m.name, entry->name);
	}
	assert_null(rw_material_figure_key(-1));
	assert_null(rw_material_figure_key(RW_MATERIAL_FIGURES));
}

/* EN 1993-1-2, 3.4.1; t in degC */
static double steel_capacity(double t)
{
	return t < 600.0 ? 425.0 + 0.773 * t - 1.69e-3 * t * t + 2.22e-6 * t * t * t : t < 735.0 ? 666.0 + 13002.0 / (738.0 - t) :
	       t < 900.0 ? 545.0 + 17820.0 / (t - 731.0) : 650.0;
}

static void test_steel_between_rows(void **state)
{
	bench *b = *state;
	rw_material m;
	rw_error err;
	double c, k;
	material(b, "carbon-steel", &m);
	for (double t = 21.37; t < 1200.0; t += 3.71) {
		double near_peak = fabs(t - 735.0) < 1.0 ? 6e-3 : 2e-3;   /* the peak is a corner, which a smooth curve rounds */
		CHECK_OK(rw_material_at(&m, RW_HEAT_CAPACITY, t + 273.15, &c, &err), &err);
		CHECK_NEAR(c, steel_capacity(t), near_peak, "EN 1993-1-2");
		CHECK_OK(rw_material_at(&m, RW_CONDUCTIVITY, t + 273.15, &k, &err), &err);
		CHECK_NEAR(k, t < 800.0 ? 54.0 - 0.0333 * t : 27.3, 2e-3, "EN 1993-1-2");
	}
}

/* Midpoints of many strips: a route that knows nothing of rows. */
static double by_strips(const rw_material *m, double from, double to)
{
	enum { STRIPS = 60000 };
	double sum = 0.0, step = (to - from) / STRIPS, c;
	rw_error err;
	for (int i = 0; i < STRIPS; i++) {
		CHECK_OK(rw_material_at(m, RW_HEAT_CAPACITY, from + (i + 0.5) * step, &c, &err), &err);
		sum += c * step;
	}
	return sum;
}

static void test_heat(void **state)
{
	bench *b = *state;
	static const struct { const char *name; double from, to; } list[] = {
		{"carbon-steel", 311.7, 1321.9}, {"copper", 301.3, 1187.6}, {"silicon", 333.3, 359.1}, {"silicon-liquid", 1701.0, 1747.0}, {"graphite", 293.15, 1573.15},
	};
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		rw_material m;
		rw_error err;
		double heat, back, part, rest, middle = 0.37 * list[i].from + 0.63 * list[i].to;
		material(b, list[i].name, &m);
		CHECK_OK(rw_material_heat(&m, list[i].from, list[i].to, &heat, &err), &err);
		CHECK_NEAR(heat, by_strips(&m, list[i].from, list[i].to), 1e-8, "midpoint rule");
		CHECK_OK(rw_material_heat(&m, list[i].to, list[i].from, &back, &err), &err);
		CHECK_OK(rw_material_heat(&m, list[i].from, middle, &part, &err), &err);
		CHECK_OK(rw_material_heat(&m, middle, list[i].to, &rest, &err), &err);
		CHECK_NEAR(back, -heat, 0.0, "reversed");
		CHECK_NEAR(part + rest, heat, 1e-12, "parts");
	}
}

/* The table over field is a saturation curve: 1 + Bs/(mu0 H), Bs = 2.0 T; over temperature it falls to 1 and is never below. */
static void test_permeability(void **state)
{
	bench *b = *state;
	rw_material m;
	rw_error err;
	double mur, before = (double)INFINITY;
	material(b, "carbon-steel", &m);
	for (double field = 17e3; field < 900e3; field *= 1.137) {
		CHECK_OK(rw_material_permeability(&m, 293.15, field, &mur, &err), &err);
		CHECK_NEAR(mur, 1.0 + 2.0 / (4e-7 * M_PI * field), 0.02, "saturation at 2.0 T, rows to three digits");
		assert_true(mur < before);
		before = mur;
	}
	for (double t = 250.0; t < 1500.0; t += 13.7) {
		CHECK_OK(rw_material_permeability(&m, t, 31e3, &mur, &err), &err);
		assert_true(mur >= 1.0 && mur <= (t <= 293.15 ? 60.0 : before + 60.0));
		if (t >= 1041.15)
			assert_true(mur == 1.0);
	}
	double cold, half;
	CHECK_OK(rw_material_permeability(&m, 293.15, 31e3, &cold, &err), &err);
	CHECK_OK(rw_material_permeability(&m, 293.15 + 0.5 * 748.0, 31e3, &half, &err), &err);
	CHECK_NEAR(half - 1.0, 0.75 * (cold - 1.0), 1e-12, "half way to the Curie point");
	mur = 7.0;
	assert_int_equal(rw_material_permeability(&m, 300.0, 1.2e6, &mur, &err), RW_E_RANGE);
	assert_string_equal(err.what, "'carbon-steel' in '1200 kA/m' is outside what is known of its permeability");
	assert_string_equal(err.expected, "0 to 1000 kA/m");
	assert_int_equal(rw_material_permeability(&m, 300.0, (double)NAN, &mur, &err), RW_E_RANGE);
	assert_int_equal(rw_material_permeability(&m, (double)NAN, 1e4, &mur, &err), RW_E_RANGE);
	assert_int_equal(rw_material_at(&m, RW_PERMEABILITY, 300.0, &mur, &err), RW_E_INTERNAL);
	assert_true(mur == 7.0);
	CHECK_OK(rw_material_permeability(&m, 1100.0, 1.2e6, &mur, &err), &err);   /* any field, once it is not magnetic */
	assert_true(mur == 1.0);
	material(b, "copper", &m);
	CHECK_OK(rw_material_permeability(&m, 300.0, 1e7, &mur, &err), &err);
	assert_true(mur == 1.0);
}

static void test_refusals(void **state)
{
	bench *b = *state;
	rw_material m;
	rw_error err;
	double value = 7.0;
	material(b, "silicon", &m);
	assert_int_equal(rw_material_at(&m, RW_RESISTIVITY, 900.0, &value, &err), RW_E_MISSING);
	assert_string_equal(err.what, "the material 'silicon' has no resistivity");
	assert_string_equal(err.key, "resistivity");
	assert_int_equal(rw_material_permeability(&m, 900.0, 1.0, &value, &err), RW_E_MISSING);
	assert_int_equal(rw_material_at(&m, RW_CONDUCTIVITY, 1600.0, &value, &err), RW_E_RANGE);
	assert_string_equal(err.what, "'silicon' at '1326.8 degC' is outside what is known of its conductivity");
	assert_string_equal(err.expected, "26.9 to 1226.8 degC");
	assert_int_equal(rw_material_at(&m, RW_CONDUCTIVITY, (double)NAN, &value, &err), RW_E_RANGE);
	assert_int_equal(rw_material_heat(&m, 310.0, 1600.0, &value, &err), RW_E_RANGE);
	assert_int_equal(rw_material_heat(&m, 250.0, 310.0, &value, &err), RW_E_RANGE);
	material(b, "silicon-liquid", &m);
	assert_int_equal(rw_material_at(&m, RW_RESISTIVITY, 1600.0, &value, &err), RW_E_RANGE);
	assert_string_equal(err.expected, "at least 1413.8 degC");
	assert_true(value == 7.0);
}

static void test_bad_entries(void **state)
{
	bench *b = *state;
	static const struct { given figures[3]; rw_status status; const char *key; } bad[] = {
		{{{"resistivity", "0.171"}}, RW_E_UNIT, "resistivity"},
		{{{"resistivity", "0 uohm.m"}}, RW_E_VALUE, "resistivity"},
		{{{"resistivity", "0.171 W/m/K"}}, RW_E_UNIT, "resistivity"},
		{{{"emissivity", "1.2"}}, RW_E_VALUE, "emissivity"},
		{{{"density", "7850 g/cm3"}}, RW_E_VALUE, "density"},
		{{{"heat_capacity", "temperature/degC heat_capacity/J/kg/K\n20 440\n20 441\n"}}, RW_E_VALUE, "heat_capacity"},
		{{{"heat_capacity", "temperature/degC heat_capacity/J/kg/K\n20 440\n"}}, RW_E_VALUE, "heat_capacity"},
		{{{"heat_capacity", "field_strength/kA/m heat_capacity/J/kg/K\n20 440\n30 450\n"}}, RW_E_SYNTAX, "heat_capacity"},
		{{{"permeability", "field_strength/kA/m permeability\n0 100\n30 50\n"}}, RW_E_MISSING, "curie_temperature"},
	};
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		rw_material m = {.density = 7.0};
		rw_error err;
		rw_status status = rw_material_read(&b->arena, b->units, "x1", text_of_given, bad[i].figures, &m, &err);
		if (status != bad[i].status || strcmp(err.key, bad[i].key) != 0 || m.density != 7.0)
			fail_msg("%zu: status %d, key '%s': %s", i, (int)status, err.key, err.what);
	}
	static const given good[] = {{"density", "7.853 g/cm3"}, {"temperature_max", "400 degC"}, {"conductivity", "37.1 W/m/K"}, {NULL, NULL}};
	rw_material m;
	rw_error err;
	double value = 0.0;
	CHECK_OK(rw_material_read(&b->arena, b->units, "x1", text_of_given, good, &m, &err), &err);
	CHECK_NEAR(m.density, 7853.0, 1e-15, "7.853 g/cm3");
	assert_true(isnan(m.melting_temperature) && isnan(m.figure[RW_RESISTIVITY]));
	CHECK_OK(rw_material_at(&m, RW_CONDUCTIVITY, 673.0, &value, &err), &err);
	CHECK_NEAR(value, 37.1, 1e-15, "as given");
	assert_int_equal(rw_material_at(&m, RW_CONDUCTIVITY, 674.0, &value, &err), RW_E_RANGE);
	assert_string_equal(err.expected, "at most 400.0 degC");
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_every_entry),  cmocka_unit_test(test_steel_between_rows), cmocka_unit_test(test_heat),
		cmocka_unit_test(test_permeability), cmocka_unit_test(test_refusals),           cmocka_unit_test(test_bad_entries),
	};
	return cmocka_run_group_tests(tests, set_up, tear_down);
}
