/* Heat wanted: step responses against finite volumes that know nothing of series; limits between the forms; energy and scaling; a journal
 * to be hardened, a billet to be heated through; what is refused. */
#include <string.h>

#include "base/base.h"
#include "base/numeric.h"
#include "tests/library_bench.h"
#include "tests/material_entry.h"
#include "work/heating.h"

/* ---- the second route: implicit finite volumes over the section, unit flux ---- */

enum { CELLS = 2500, STEPS = 800 };

typedef struct section {
	double from, to;         /* m, coordinate of the inner and outer end; plane where from and to are depths turned round */
	bool   plane;
	double skin_depth;       /* m */
	double conductivity, diffusivity;
} section;

/* INT exp(-m (to - r)) r^g dr from the origin of the closed form, g = 0 plane, 1 ring */
static double source_up_to(const section *s, double r)
{
	double m = 2.0 / s->skin_depth;
	return (s->plane ? 1.0 : r - 1.0 / m) / m * exp(-m * (s->to - r));
}

static double face(const section *s, int i) { return s->from + (s->to - s->from) * i / CELLS; }

/* Trapezoidal steps that grow as the square of their number, each one sweep down and up a tridiagonal matrix.
 * out  t [CELLS] rises per flux at the middles of the cells */
static void step_on(const section *s, double time, double *t)
{
	static double gain[CELLS], push[CELLS];
	double dr = (s->to - s->from) / CELLS, end = s->plane ? 1.0 : s->to;
	double whole = source_up_to(s, s->to) - source_up_to(s, s->from), share[CELLS], area[CELLS + 1], volume[CELLS];
	for (int i = 0; i <= CELLS; i++)
		area[i] = i == 0 || i == CELLS ? 0.0 : s->plane ? 1.0 : face(s, i);      /* insulated ends */
	for (int i = 0; i < CELLS; i++) {
		volume[i] = dr * (s->plane ? 1.0 : 0.5 * (face(s, i) + face(s, i + 1)));
		share[i] = i == CELLS - 1 ? end : 0.0;
		if (s->skin_depth > 0.0)
			share[i] = end * (source_up_to(s, face(s, i + 1)) - source_up_to(s, face(s, i))) / whole;
		t[i] = 0.0;
	}
	for (int k = 0; k < STEPS; k++) {
		double dt = time * (2.0 * k + 1.0) / ((double)STEPS * STEPS);
		for (int i = 0; i < CELLS; i++) {
			double c = 0.5 * s->diffusivity * dt / (dr * volume[i]), lower = c * area[i], upper = c * area[i + 1];
			double left = i > 0 ? lower * (t[i - 1] - t[i]) : 0.0, right = i < CELLS - 1 ? upper * (t[i + 1] - t[i]) : 0.0;
			double rhs = t[i] + left + right + dt * s->diffusivity / s->conductivity * share[i] / volume[i];
			double pivot = 1.0 + lower + upper - (i > 0 ? lower * gain[i - 1] : 0.0);
			gain[i] = upper / pivot;
			push[i] = (rhs + (i > 0 ? lower * push[i - 1] : 0.0)) / pivot;
		}
		for (int i = CELLS - 1; i >= 0; i--)
			t[i] = push[i] + (i < CELLS - 1 ? gain[i] * t[i + 1] : 0.0);
	}
}

/* At a depth, by a straight line between middles; at the ends by a parabola with no slope there, or the slope of the flux. */
static double at_depth(const section *s, const double *t, double depth)
{
	double dr = (s->to - s->from) / CELLS, at = (s->to - s->from - depth) / dr - 0.5;
	int i = (int)floor(at);
	if (i >= CELLS - 1)
		return s->skin_depth > 0.0 ? (9.0 * t[CELLS - 1] - t[CELLS - 2]) / 8.0 : t[CELLS - 1] + 0.5 * dr / s->conductivity;
	return i < 0 ? (9.0 * t[0] - t[1]) / 8.0 : t[i] + (at - i) * (t[i + 1] - t[i]);
}

static double rise_of(double radius, double bore, const section *s, double time, double depth)
{
	rw_error err;
	double value;
	rw_heating_body body = {radius, bore};
	CHECK_OK(rw_heating_rise(&body, s->conductivity, s->diffusivity, s->skin_depth, time, depth, &value, &err), &err);
	return value;
}

/* Both routes at nine depths.   out  greatest difference at the surface and anywhere, in parts of the rise of the surface */
typedef struct gap { double surface, anywhere; } gap;

static void compare(double radius, double bore, const section *s, double time, double deepest, gap *worst)
{
	static double t[CELLS];
	double top = rise_of(radius, bore, s, time, 0.0);
	step_on(s, time, t);
	for (int i = 0; i <= 8; i++) {
		double depth = deepest * i / 8.0, off = fabs(rise_of(radius, bore, s, time, depth) - at_depth(s, t, depth)) / top;
		worst->surface = fmax(worst->surface, i == 0 ? off : 0.0);
		worst->anywhere = fmax(worst->anywhere, off);
	}
}

/* 2500 cells and 800 steps leave up to 4e-5, where all power is in the outermost cell. */
static const double volumes_known_to = 1e-4;

static void test_bar_and_half_space(void **state)
{
	(void)state;
	static const double times[] = {0.0523, 0.391, 1.93, 17.1}, skin[] = {0.0, 0.00083, 0.0053};
	gap bar = {0.0, 0.0}, half = {0.0, 0.0};
	for (int i = 0; i < 4; i++)
		for (int k = 0; k < 3; k++) {
			section round = {0.0, 0.0193, false, skin[k], 31.7, 7.13e-6}, flat = round;
			compare(0.0193, 0.0, &round, times[i], 0.0193, &bar);
			flat.plane = true;
			flat.to = 10.0 * sqrt(flat.diffusivity * times[i]) + 12.0 * skin[k];      /* no heat comes to its back */
			compare((double)INFINITY, 0.0, &flat, times[i], 0.4 * flat.to, &half);
		}
	print_message("against finite volumes: bar %.2g, half-space %.2g of the surface rise\n", bar.anywhere, half.anywhere);
	assert_true(bar.anywhere < volumes_known_to && half.anywhere < volumes_known_to);
}

/* Its closed form with 60 digits, also where the form in doubles would lose itself: deep, early, wide skins. */
static void test_half_space_digits(void **state)
{
	(void)state;
	static const struct { double spread, skin_depth, depth, rise; } list[] = {
		{1.7, 0.93, 0.0, 1.094718971048824}, {1.7, 0.93, 2.3, 0.2282801110063367},
		{0.9, 2.1, 1.1, 0.334314540260939}, {0.031, 0.11, 0.83, 0.0001168279803797612},
		{0.0011, 0.047, 0.31, 2.77599154451333e-7}, {2.3e-7, 0.31, 0.0, 1.480424297334805e-6},
		{2.3e-7, 0.31, 0.00061, 1.477544496253696e-6}, {4.1e-9, 0.83, 1.7, 1.643229142407049e-10},
	};
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		section s = {0.0, 0.0, true, list[i].skin_depth, 1.0, 1.0};
		double rise = rise_of((double)INFINITY, 0.0, &s, list[i].spread, list[i].depth);
		CHECK_NEAR(rise, list[i].rise, 2e-11, "60 digits; tolerance of the quadrature");
	}
}

/* A wall thin against its radius is flat; thicker ones against the ring they stand for, to the bound the header tells. */
static void test_wall(void **state)
{
	(void)state;
	static const double walls[] = {1e-5, 0.1, 0.2, 0.35, 0.5}, skin[] = {0.0, 0.15, 0.9}, fourier[] = {0.0043, 0.0316, 0.21, 1.37};
	for (int j = 0; j < 5; j++) {
		gap ring = {0.0, 0.0};
		double w = 0.00713, radius = w / walls[j];
		for (int i = 0; i < 4; i++)
			for (int k = 0; k < 3; k++) {
				section s = {radius - w, radius, false, skin[k] * w, 27.3, 5.91e-6};
				if (j == 0)
					s.from = 0.0, s.to = w, s.plane = true;
				compare(radius, radius - w, &s, fourier[i] * w * w / s.diffusivity, w, &ring);
			}
		print_message("wall %g of the radius, against the ring: surface %.2g, anywhere %.2g of the surface rise\n", walls[j],
		              ring.surface, ring.anywhere);
		assert_true(ring.surface < volumes_known_to + 0.12 * walls[j]);
		assert_true(ring.anywhere < volumes_known_to + 0.23 * walls[j]);
	}
}

/* Off by how much of the surface's rise, at some depths, from one radius, skin depth and time to another. */
static double between(double radius, double bore, const section *s, double time, double other_radius, const section *other,
                      double other_time, double deepest)
{
	double worst = 0.0, top = rise_of(radius, bore, s, time, 0.0);
	for (int i = 0; i <= 6; i++) {
		double depth = deepest * i / 6.0;
		double rise = rise_of(radius, bore, s, time, depth), other_rise = rise_of(other_radius, bore, other, other_time, depth);
		worst = fmax(worst, fabs(rise - other_rise) / top);
	}
	return worst;
}

static void test_limits(void **state)
{
	(void)state;
	const double a = 0.0213, k = 29.3, alpha = 6.71e-6, second = a * a / alpha, endless = (double)INFINITY;
	for (double fourier = 2.3e-5; fourier < 3.0; fourier *= 9.7) {           /* skin depth to nothing; at once for 1e-300 m */
		double time = fourier * second, s = sqrt(alpha * time);
		section none = {0.0, a, false, 0.0, k, alpha}, thin = none, least = none;
		thin.skin_depth = 1e-6 * s;
		least.skin_depth = 1e-300;
		assert_true(between(a, 0.0, &none, time, a, &thin, time, a) < 1e-6);
		assert_true(between(a, 0.0, &none, time, a, &least, time, a) < 1e-12);
		assert_true(between(endless, 0.0, &none, time, endless, &thin, time, a) < 1e-6);
		assert_true(between(a, 0.7 * a, &none, time, a, &thin, time, 0.3 * a) < 1e-6);
	}
	for (double skin = 1e-4 * a; skin < a; skin *= 7.3) {                     /* a huge bar in a short time is a half-space */
		section s = {0.0, 0.0, false, skin, k, alpha};
		double huge = 3e3 * skin + 200.0 * a, time = 5e-6 * huge * huge / alpha;
		assert_true(between(huge, 0.0, &s, time, endless, &s, time, 5.0 * skin + 0.003 * huge) < 3e-3);
	}
	section s = {0.0, a, false, 0.0013, k, alpha};
	assert_true(rise_of(a, 0.0, &s, 0.0, 0.0) == 0.0 && rise_of(a, 0.9 * a, &s, 0.0, 0.0) == 0.0);
	assert_true(rise_of(endless, 0.0, &s, 0.0, 0.0) == 0.0);
}

/* Where one form takes over from the other the two agree. */
static void test_borders(void **state)
{
	(void)state;
	const double a = 0.0213, k = 29.3, alpha = 6.71e-6, second = a * a / alpha, w = 0.0057, up = 1.0 + 1e-13;
	const double endless = (double)INFINITY, early = 1e-8 * w * w / alpha;
	double crowd = 0.0;
	for (double skin = 1e-5 * a; skin < a; skin *= 3.7) {
		section s = {0.0, 0.0, false, skin, k, alpha}, wider = s;
		double spread = 0.03 * skin / 2.0, summed = spread * spread / alpha;
		crowd = fmax(crowd, between(a, 0.0, &s, 1e-6 * second / up, a, &s, 1e-6 * second * up, fmin(3.0 * skin, 0.9 * a)));
		assert_true(between(endless, 0.0, &s, summed / up, endless, &s, summed * up, 4.0 * skin) < 2e-11);
		assert_true(between(a, a - w, &s, early / up, a, &s, early * up, 0.9 * w) < 1e-8);
		wider.skin_depth = a / 20.0 * up;                                 /* the two series of the exponential integral */
		s.skin_depth = a / 20.0 / up;
		assert_true(between(a, 0.0, &s, skin / a * second, a, &wider, skin / a * second, a) < 1e-12);
	}
	print_message("bar at its earliest, against the flat form: %.2g of the surface rise\n", crowd);
	assert_true(crowd < 5e-4);
}

/* Flux times time is the heat in the section; lengths by 1.7, times by its square: rises by 1.7; warmer with time, cooler inwards. */
static void test_energy_and_scaling(void **state)
{
	(void)state;
	enum { STRIPS = 600 };
	static const double bores[] = {0.0, 0.0103, 0.0157}, skin[] = {0.0, 0.00037, 0.0029};
	const double a = 0.0179, by = 1.7;
	for (int i = 0; i < 9; i++)
		for (double time = 0.137; time < 60.0; time *= 5.3) {
			section s = {0.0, 0.0, false, skin[i % 3], 33.1, 8.3e-6}, large = s;
			double bore = bores[i / 3], sum = 0.0, w = a - bore, last = (double)INFINITY;
			large.skin_depth *= by;
			for (int k = 0; k <= STRIPS; k++) {         /* Simpson over the section, strips crowded to the surface */
				double y = (double)k / STRIPS, depth = w * y * y, value = rise_of(a, bore, &s, time, depth);
				double ring = bore > 0.0 ? 0.5 * (a + bore) : a - depth;   /* flat: its rings are alike */
				sum += (k == 0 || k == STRIPS ? 1.0 : k % 2 ? 4.0 : 2.0) / (3.0 * STRIPS) * 2.0 * w * y * ring * value;
				double later = rise_of(a, bore, &s, 1.01 * time, depth), noise = 1e-13 * a / s.conductivity;
				assert_true(value <= last + noise && value <= later + noise);
				last = value;
			}
			CHECK_NEAR(sum * s.conductivity / s.diffusivity, a * time, 1e-8, "energy; Simpson's rule");
			double top = by * rise_of(a, bore, &s, time, 0.0), within = by * rise_of(a, bore, &s, time, 0.4 * w);
			CHECK_NEAR_SCALE(rise_of(by * a, by * bore, &large, by * by * time, 0.4 * by * w), within, 1e-12, top, "scaling");
		}
}

/* ---- hardening ---- */

static const rw_surface_job journal = {0.020, 0.0, 0.060, 0.0020, 293.15, 1153.15, 1373.15, (double)NAN, 0.00085, 293.15, 10.0};

static void steel(bench *b, rw_material *m) { rw_material_entry(&b->arena, b->units, b->library, "carbon-steel", m); }

/* The mean of a property by midpoints of many strips. */
static double mean_of(const rw_material *m, rw_property p, double from, double to)
{
	enum { STRIPS = 20000 };
	rw_error err;
	double sum = 0.0, value;
	for (int i = 0; i < STRIPS; i++) {
		CHECK_OK(rw_material_at(m, p, from + (i + 0.5) * (to - from) / STRIPS, &value, &err), &err);
		sum += value / STRIPS;
	}
	return sum;
}

static void check_heat(const rw_surface_job *job, const rw_surface_heat *h)
{
	section s = {0.0, 0.0, false, job->skin_depth, h->conductivity, h->diffusivity};
	double core = job->radius - job->bore;
	CHECK_NEAR(job->start + h->flux * rise_of(job->radius, job->bore, &s, h->time, job->depth), job->target, 1e-12, "target at depth");
	CHECK_NEAR(job->start + h->flux * rise_of(job->radius, job->bore, &s, h->time, 0.0), h->surface_temperature, 1e-12, "surface");
	CHECK_NEAR(job->start + h->flux * rise_of(job->radius, job->bore, &s, h->time, core), h->core_temperature, 1e-12, "core");
	CHECK_NEAR(h->energy, h->flux * h->time, 1e-14, "flux times time");
	CHECK_NEAR(h->power, (h->flux + h->loss_flux) * 2.0 * M_PI * job->radius * job->length, 1e-14, "area");
	CHECK_NEAR(h->surface_power * h->area, h->power, 1e-14, "area");
}

static void test_journal(void **state)
{
	rw_material m;
	rw_error err;
	rw_surface_heat h, again;
	rw_surface_job job = journal;
	double capacity;
	steel(*state, &m);
	CHECK_OK(rw_heating_surface(&job, &m, &h, &err), &err);
	print_message("journal: %.3f s, %.1f W/cm2, surface %.1f degC, core %.1f degC, %.2f kW\n", h.time, 1e-4 * h.flux,
	              h.surface_temperature - 273.15, h.core_temperature - 273.15, 1e-3 * h.power);
	check_heat(&job, &h);
	CHECK_NEAR(h.surface_temperature, job.surface_max, 1e-9, "surface_max");
	capacity = mean_of(&m, RW_HEAT_CAPACITY, job.start, job.target);
	CHECK_NEAR(h.conductivity, mean_of(&m, RW_CONDUCTIVITY, job.start, job.target), 1e-6, "midpoint rule");
	CHECK_NEAR(h.diffusivity, h.conductivity / (m.density * capacity), 1e-6, "midpoint rule");
	/* 500 kHz, 1.1 to 2.3 mm deep: 460 to 1240 W/cm2 (practice; memory) */
	assert_true(h.surface_power > 460e4 && h.surface_power < 1240e4);
	job.time = h.time;
	CHECK_OK(rw_heating_surface(&job, &m, &again, &err), &err);
	assert_memory_equal(&h, &again, sizeof h);
	for (double hotter = 1383.15; hotter < 1670.0; hotter += 41.3) {          /* a hotter surface: less time, more power, less energy */
		rw_surface_heat before = again;
		job.surface_max = hotter;
		job.time = (double)NAN;
		CHECK_OK(rw_heating_surface(&job, &m, &again, &err), &err);
		check_heat(&job, &again);
		assert_true(again.time < before.time && again.flux > before.flux && again.energy < before.energy);
	}
	job.target = 351.7;                                                       /* far less than the surface: the heat has hardly come */
	job.skin_depth = 0.0001;
	job.surface_max = 1373.15;
	job.time = (double)NAN;
	CHECK_OK(rw_heating_surface(&job, &m, &again, &err), &err);
	check_heat(&job, &again);
	CHECK_NEAR(again.surface_temperature, job.surface_max, 1e-9, "surface_max");
	job = journal;
	job.time = 2.0;                                                           /* over surface_max is told, not refused */
	job.surface_max = 1373.15;
	CHECK_OK(rw_heating_surface(&job, &m, &again, &err), &err);
	assert_true(again.surface_temperature > job.surface_max);
}

/* A figure for each property: lengths by 1.3, times by its square, flux by its inverse; tubes; the loss on its own road. */
static void test_surface_scaling(void **state)
{
	bench *b = *state;
	static const given figures[] = {{"density", "7613 kg/m3"}, {"heat_capacity", "641 J/kg/K"}, {"conductivity", "31.7 W/m/K"},
	                                {"emissivity", "0.63"}, {"melting_temperature", "1473 degC"}, {NULL, NULL}};
	rw_material m;
	rw_error err;
	CHECK_OK(rw_material_read(&b->arena, b->units, "invented", text_of_given, figures, &m, &err), &err);
	for (int tube = 0; tube < 2; tube++) {
		rw_surface_heat small, large;
		rw_surface_job job = journal, more;
		double loss = 0.0, by = 1.3, flux;
		job.bore = tube * 0.0137;
		more = job;
		more.radius *= by, more.bore *= by, more.length *= by, more.depth *= by, more.skin_depth *= by;
		CHECK_OK(rw_heating_surface(&job, &m, &small, &err), &err);
		CHECK_OK(rw_heating_surface(&more, &m, &large, &err), &err);
		check_heat(&job, &small);
		CHECK_NEAR(small.conductivity, 31.7, 1e-12, "one figure");
		CHECK_NEAR(small.diffusivity, 31.7 / (7613.0 * 641.0), 1e-12, "one figure");
		CHECK_NEAR(large.time, by * by * small.time, 1e-9, "scaling");
		CHECK_NEAR(large.flux * by, small.flux, 1e-9, "scaling");
		CHECK_NEAR(large.core_temperature, small.core_temperature, 1e-9, "scaling");
		for (int i = 0; i < 4000; i++) {
			double at = job.start + (small.surface_temperature - job.start) * sqrt((i + 0.5) / 4000.0);
			CHECK_OK(rw_heat_loss_flux(0.63, at, job.ambient, job.convection, &flux, &err), &err);
			loss += flux / 4000.0;
		}
		CHECK_NEAR(small.loss_flux, loss, 1e-5, "midpoint rule over the time");
	}
}

static void test_scan(void **state)
{
	(void)state;
	rw_error err;
	rw_surface_heat one = {.time = 3.7, .surface_power = 6.13e6};
	rw_scan s, kept;
	double round = 2.0 * M_PI * 0.0217, whole = 6.13e6 * round * 0.083;
	CHECK_OK(rw_heating_scan(&one, 0.0217, 0.083, 17.9e3, 0.007, &s, &err), &err);
	assert_false(s.fits);
	CHECK_NEAR(s.zone * round * one.surface_power, 17.9e3, 1e-14, "power over the zone");
	CHECK_NEAR(s.zone / s.speed, one.time, 1e-14, "each place is heated as long as in one shot");
	CHECK_NEAR(s.speed * s.time, 0.083 + s.zone, 1e-14, "way");
	CHECK_NEAR(s.power, 17.9e3, 1e-14, "all the power");
	CHECK_OK(rw_heating_scan(&one, 0.0217, 0.083, 1.19 * whole, 0.007, &s, &err), &err);
	assert_true(s.fits && s.zone == 0.083);
	CHECK_NEAR(s.power, whole, 1e-14, "no more than it takes");
	kept = s;
	assert_int_equal(rw_heating_scan(&one, 0.0217, 0.083, 5.1e3, 0.007, &s, &err), RW_E_NOSOLVE);
	assert_non_null(strstr(err.what, "narrow zone"));
	assert_int_equal(rw_heating_scan(&one, 0.0217, 0.0, 5.1e3, 0.007, &s, &err), RW_E_RANGE);
	assert_string_equal(err.key, "length");
	assert_true(kept.zone == s.zone && kept.speed == s.speed && kept.time == s.time && kept.power == s.power && kept.fits == s.fits);
}

/* ---- through-heating ---- */

static const rw_through_job billet = {0.0231, 0.0, 0.117, 301.3, 1423.7, 97.0, 295.1, 11.3};

static void test_through(void **state)
{
	rw_material m;
	rw_error err;
	rw_through_heat h;
	rw_through_job job = billet;
	double k, loss;
	steel(*state, &m);
	CHECK_OK(rw_heating_through(&job, &m, &h, &err), &err);
	double volume = M_PI * 0.0231 * 0.0231 * 0.117;
	CHECK_NEAR(h.heat, mean_of(&m, RW_HEAT_CAPACITY, 301.3, 1423.7) * (1423.7 - 301.3), 1e-6, "midpoint rule");
	CHECK_NEAR(h.mass, m.density * volume, 1e-13, "volume");
	CHECK_NEAR(h.energy, h.mass * h.heat, 1e-14, "energy");
	CHECK_NEAR(h.flux * h.area * job.time, h.energy, 1e-13, "flux times time");
	CHECK_NEAR(h.power, (h.flux + h.loss_flux) * 2.0 * M_PI * 0.0231 * 0.117, 1e-14, "area");
	CHECK_OK(rw_heating_loss_mean(0.8, 301.3, h.surface_temperature, 1.0, 295.1, 11.3, &loss, &err), &err);
	CHECK_NEAR(h.loss_flux, loss, 1e-14, "emissivity of the entry, even rise of the surface");
	CHECK_OK(rw_material_at(&m, RW_CONDUCTIVITY, 1423.7, &k, &err), &err);
	CHECK_NEAR(h.difference, h.flux * 0.0231 / (2.0 * k), 1e-14, "q a/(2k)");
	CHECK_NEAR(h.surface_temperature - h.core_temperature, h.difference, 1e-12, "ends");
	/* constant properties: the step response at rest, all power in the surface */
	section s = {0.0, 0.0, false, 0.0, k, 5.93e-6};
	double late = 3.0 * 0.0231 * 0.0231 / s.diffusivity, mean = 2.0 * s.diffusivity * late / (0.0231 * k);
	CHECK_NEAR(h.surface_temperature - job.target, h.flux * (rise_of(0.0231, 0.0, &s, late, 0.0) - mean), 1e-10, "step response");
	CHECK_NEAR(job.target - h.core_temperature, h.flux * (mean - rise_of(0.0231, 0.0, &s, late, 0.0231)), 1e-10, "step response");
	job.time = 2.0 * billet.time;
	double flux = h.flux, difference = h.difference;
	CHECK_OK(rw_heating_through(&job, &m, &h, &err), &err);
	CHECK_NEAR(2.0 * h.flux, flux, 1e-14, "half the flux in twice the time");
	CHECK_NEAR(2.0 * h.difference, difference, 1e-12, "and half the difference");
}

/* The ring at rest: T = (q/k) a/(a^2 - b^2) (r^2/2 - b^2 ln r); its difference is that of the flat wall to 9 %. */
static void test_through_tube(void **state)
{
	rw_material m;
	rw_error err;
	steel(*state, &m);
	for (double ratio = 0.03; ratio < 0.995; ratio += 0.047) {
		rw_through_heat h;
		rw_through_job job = billet;
		double k, b2 = ratio * ratio, off;
		job.bore = ratio * job.radius;
		CHECK_OK(rw_heating_through(&job, &m, &h, &err), &err);
		CHECK_OK(rw_material_at(&m, RW_CONDUCTIVITY, job.target, &k, &err), &err);
		CHECK_NEAR(h.mass, m.density * M_PI * (1.0 - b2) * 0.0231 * 0.0231 * 0.117, 1e-12, "volume");
		CHECK_NEAR(h.difference, h.flux * (job.radius - job.bore) / (2.0 * k), 1e-13, "q w/(2k)");
		CHECK_NEAR(h.surface_temperature - job.target, 2.0 * (job.target - h.core_temperature), 1e-9, "two thirds over the mean");
		off = h.difference / (h.flux * 0.0231 / k * (0.5 + b2 * log(ratio) / (1.0 - b2))) - 1.0;
		assert_true(off < 0.0 && off > -0.09);
	}
}

static rw_status cooling_rate(void *context, double at, double *seconds_per_kelvin, rw_error *err)
{
	const double *c = context;      /* heat_per_area, emissivity, ambient */
	double flux;
	RW_TRY(rw_heat_loss_flux(c[1], at, c[2], 0.0, &flux, err));
	*seconds_per_kelvin = c[0] / flux;
	return RW_OK;
}

static void test_losses(void **state)
{
	(void)state;
	rw_error err;
	double flux, mean, time, sum, estimate, c[] = {48713.0, 0.71, 297.3};
	CHECK_OK(rw_heat_loss_flux(0.71, 1391.3, 297.3, 13.7, &flux, &err), &err);
	double hot = 1391.3 * 1391.3, cold = 297.3 * 297.3;
	CHECK_NEAR(flux, 0.71 * 5.670374419e-8 * (hot * hot - cold * cold) + 13.7 * 1094.0, 1e-14, "law");
	CHECK_OK(rw_heating_loss_mean(0.71, 1391.3, 1391.3, 0.37, 297.3, 13.7, &mean, &err), &err);
	CHECK_NEAR(mean, flux, 1e-14, "no change");
	CHECK_OK(rw_heating_loss_mean(0.71, 297.3, 297.3, 1.0, 297.3, 13.7, &mean, &err), &err);
	assert_true(mean == 0.0);
	CHECK_OK(rw_heating_loss_mean(0.71, 311.7, 1391.3, 1.0, 297.3, 13.7, &mean, &err), &err);
	sum = 0.0;
	for (int i = 0; i < 2000; i++) {
		CHECK_OK(rw_heat_loss_flux(0.71, 311.7 + 1079.6 * (i + 0.5) / 2000.0, 297.3, 13.7, &flux, &err), &err);
		sum += flux / 2000.0;
	}
	CHECK_NEAR(mean, sum, 1e-6, "midpoint rule");
	CHECK_OK(rw_heating_cooling_time(c[0], c[1], 1391.3, 613.9, c[2], &time, &err), &err);
	CHECK_OK(rw_integrate(cooling_rate, c, 613.9, 1391.3, 0.0, 1e-11, &sum, &estimate, &err), &err);
	CHECK_NEAR(time, sum, 1e-10, "heat over flux, summed");
}

/* ---- what is refused ---- */

static void refused(const rw_material *m, const rw_surface_job *job, rw_status status, const char *key, const char *what)
{
	rw_error err;
	rw_surface_heat out, kept;
	memset(&out, 0x5a, sizeof out);
	kept = out;
	assert_int_equal(rw_heating_surface(job, m, &out, &err), status);
	assert_string_equal(err.key, key);
	if (!strstr(err.what, what))
		print_error("'%s' lacks '%s'\n", err.what, what);
	assert_non_null(strstr(err.what, what));
	assert_memory_equal(&out, &kept, sizeof out);
	assert_int_equal(rw_heating_surface(job, m, &out, NULL), status);
}

static void test_refused_surface(void **state)
{
	rw_material m, melts;
	rw_error err;
	rw_surface_heat h;
	steel(*state, &m);
#define REFUSED(material, status, key, what, ...) \
	do { rw_surface_job job = journal; __VA_ARGS__; refused(material, &job, status, key, what); } while (0)
	REFUSED(&m, RW_E_RANGE, "radius", "radius", job.radius = -0.02);
	REFUSED(&m, RW_E_RANGE, "bore", "no wall", job.bore = 0.02);
	REFUSED(&m, RW_E_RANGE, "bore", "too thick", job.bore = 0.0097);
	REFUSED(&m, RW_E_RANGE, "length", "length", job.length = (double)NAN);
	REFUSED(&m, RW_E_RANGE, "depth", "not a layer", job.depth = 0.02);
	REFUSED(&m, RW_E_RANGE, "depth", "not a layer", job.bore = 0.0181);
	REFUSED(&m, RW_E_RANGE, "target", "target", job.target = 293.15);
	REFUSED(&m, RW_E_RANGE, "surface_max", "surface_max", job.surface_max = job.target);
	REFUSED(&m, RW_E_RANGE, "time", "time", job.time = 0.0);
	REFUSED(&m, RW_E_RANGE, "skin_depth", "through", job.skin_depth = 0.0213);
	REFUSED(&m, RW_E_RANGE, "convection", "convection", job.convection = -1.0);
	REFUSED(&m, RW_E_RANGE, "emissivity", "emissivity", job.surface_max = 1871.0; m.temperature_max = 1673.15);
	REFUSED(&m, RW_E_NOSOLVE, "time", "alone heats", job.skin_depth = 0.0197);
	melts = m;
	melts.melting_temperature = 1763.15;
	REFUSED(&melts, RW_E_RANGE, "surface_max", "melt", job.surface_max = 1773.15);
	REFUSED(&melts, RW_E_RANGE, "time", "would need", job.time = 0.71);
	REFUSED(&m, RW_E_RANGE, "time", "no heat comes", job.time = 0.0003; job.skin_depth = 0.0);
	melts.density = (double)NAN;
	REFUSED(&melts, RW_E_MISSING, "density", "density", (void)0);
	melts = m;
	melts.figure[RW_EMISSIVITY] = (double)NAN;
	REFUSED(&melts, RW_E_MISSING, "emissivity", "emissivity", (void)0);
#undef REFUSED
	/* the least time in the hint is the one found */
	rw_surface_job job = journal;
	CHECK_OK(rw_heating_surface(&job, &m, &h, &err), &err);
	char least[64];
	snprintf(least, sizeof least, "%.4g s keeps", h.time);
	melts = m;
	melts.melting_temperature = 1763.15;
	job.time = 0.71;
	assert_int_equal(rw_heating_surface(&job, &melts, &h, &err), RW_E_RANGE);
	assert_non_null(strstr(err.hint, least));
}

static void test_refused_others(void **state)
{
	rw_material m;
	rw_error err;
	rw_through_heat h, kept;
	steel(*state, &m);
	m.melting_temperature = 1453.15;
	memset(&h, 0x5a, sizeof h);
	kept = h;
	static const struct { double length, target, time, bore; const char *key, *what; } list[] = {
		{0.117, 1423.7, (double)NAN, 0.0, "time", "time"}, {0.117, 299.1, 97.0, 0.0, "target", "target"},
		{0.0, 1423.7, 97.0, 0.0, "length", "length"}, {0.117, 1423.7, 7.3, 0.0, "time", "under its start"},
		{0.117, 1423.7, 37.0, 0.0, "time", "would melt"},
		{0.117, 1461.7, 97.0, 0.0, "target", "melting"}, {0.117, 1423.7, 97.0, 0.0231, "bore", "no wall"},
	};
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		rw_through_job job = billet;
		job.length = list[i].length, job.target = list[i].target, job.time = list[i].time, job.bore = list[i].bore;
		assert_int_equal(rw_heating_through(&job, &m, &h, &err), RW_E_RANGE);
		if (strcmp(err.key, list[i].key) != 0 || !strstr(err.what, list[i].what))
			print_error("case %zu: %s: %s\n", i, err.key, err.what);
		assert_true(strcmp(err.key, list[i].key) == 0 && strstr(err.what, list[i].what));
		assert_memory_equal(&h, &kept, sizeof h);
	}
	for (int i = 3; i < 5; i++) {                    /* the time expected is where it begins to go */
		rw_through_job job = billet;
		double least = 0.0;
		job.time = list[i].time;
		assert_int_equal(rw_heating_through(&job, &m, &h, &err), RW_E_RANGE);
		assert_int_equal(sscanf(err.expected, "at least %lf s", &least), 1);
		job.time = 0.999 * least;
		assert_int_equal(rw_heating_through(&job, &m, &h, &err), RW_E_RANGE);
		job.time = 1.001 * least;
		CHECK_OK(rw_heating_through(&job, &m, &h, &err), &err);
	}
	double value = 7.3;
	const rw_heating_body bar = {0.0231, 0.0}, endless_tube = {(double)INFINITY, 0.01};
	assert_int_equal(rw_heating_rise(&bar, 31.0, 6e-6, 0.001, 1.3, 0.0232, &value, &err), RW_E_RANGE);
	assert_int_equal(rw_heating_rise(&bar, 0.0, 6e-6, 0.001, 1.3, 0.001, &value, &err), RW_E_RANGE);
	assert_int_equal(rw_heating_rise(&bar, 31.0, (double)NAN, 0.001, 1.3, 0.001, &value, &err), RW_E_RANGE);
	assert_int_equal(rw_heating_rise(&bar, 31.0, 6e200, 0.001, 1e200, 0.001, &value, &err), RW_E_RANGE);
	assert_int_equal(rw_heating_rise(&endless_tube, 31.0, 6e-6, 0.001, 1.3, 0.001, &value, &err), RW_E_RANGE);
	assert_int_equal(rw_heat_loss_flux(1.07, 900.0, 300.0, 10.0, &value, &err), RW_E_RANGE);
	assert_int_equal(rw_heat_loss_flux(0.7, (double)NAN, 300.0, 10.0, &value, &err), RW_E_RANGE);
	assert_int_equal(rw_heating_loss_mean(0.7, 300.0, 900.0, 0.0, 300.0, 10.0, &value, &err), RW_E_RANGE);
	assert_int_equal(rw_heating_cooling_time(5e4, 0.7, 900.0, 300.0, 300.0, &value, &err), RW_E_RANGE);
	assert_int_equal(rw_heating_cooling_time(5e4, 0.7, 600.0, 900.0, 300.0, &value, &err), RW_E_RANGE);
	assert_true(value == 7.3);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_bar_and_half_space), cmocka_unit_test(test_half_space_digits), cmocka_unit_test(test_wall),
		cmocka_unit_test(test_limits), cmocka_unit_test(test_borders), cmocka_unit_test(test_energy_and_scaling),
		cmocka_unit_test(test_journal), cmocka_unit_test(test_surface_scaling), cmocka_unit_test(test_scan),
		cmocka_unit_test(test_through), cmocka_unit_test(test_through_tube), cmocka_unit_test(test_losses),
		cmocka_unit_test(test_refused_surface), cmocka_unit_test(test_refused_others),
	};
	return cmocka_run_group_tests(tests, set_up, tear_down);
}
