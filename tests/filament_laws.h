/* A filament of simple laws for tests, not of any material: resistivity 5.65e-8 (T/300)^1.2 ohm m, emissivity 1.5e-4 T against 293 K,
 * specific heat 128 + 0.017 T J/kgK, density 19250; round strands in parallel, ends ignored. And a run of it by the classical Runge-Kutta method
 * with equal steps, which shares nothing with the program's. */
#ifndef RW_TESTS_FILAMENT_LAWS_H
#define RW_TESTS_FILAMENT_LAWS_H

#include <math.h>

#include "filament/start.h"

#define TEST_COLD 293.0

typedef struct test_strands { double n, diameter, length; } test_strands;

static const double test_pi = 3.14159265358979323846;

static inline double test_mass(const test_strands *s) { return 19250.0 * s->n * 0.25 * test_pi * s->diameter * s->diameter * s->length; }

static inline double test_resistance(const void *laws, double temperature)
{
	const test_strands *s = laws;
	return 5.65e-8 * pow(temperature / 300.0, 1.2) * s->length / (s->n * 0.25 * test_pi * s->diameter * s->diameter);
}

static inline double test_loss(const void *laws, double temperature)
{
	const test_strands *s = laws;
	return 1.5e-4 * 5.670374e-8 * s->n * test_pi * s->diameter * s->length * (pow(temperature, 5.0) - pow(TEST_COLD, 5.0));
}

static inline double test_capacity(const void *laws, double temperature) { return test_mass(laws) * (128.0 + 0.017 * temperature); }

static inline rw_hot_wire test_wire(const test_strands *s) { return (rw_hot_wire){test_resistance, test_loss, test_capacity, s}; }

static inline void test_rates(const rw_hot_wire *w, const rw_feed *f, double angle, double t, const double y[2], double rate[2])
{
	double omega = 2.0 * test_pi * f->frequency, r = w->resistance(w->laws, y[1]);
	rate[0] = (sqrt(2.0) * f->emf_rms * sin(omega * t + angle) - (f->resistance + r) * y[0]) * omega / f->reactance;
	rate[1] = (y[0] * y[0] * r - w->loss(w->laws, y[1])) / w->capacity(w->laws, y[1]);
}

/* Greatest |i| in a cycle of n steps, by a parabola through the greatest sample and its neighbours; current and temperature at the end. */
static inline double test_cycle(const rw_hot_wire *w, const rw_feed *f, double angle, int n, double y[2])
{
	double h = 1.0 / (f->frequency * n), k[4][2], at[2], last[3] = {0.0, 0.0, fabs(y[0])}, most = last[2];
	for (int s = 0; s < n; s++) {
		test_rates(w, f, angle, s * h, y, k[0]);
		for (int i = 0; i < 2; i++)
			at[i] = y[i] + 0.5 * h * k[0][i];
		test_rates(w, f, angle, (s + 0.5) * h, at, k[1]);
		for (int i = 0; i < 2; i++)
			at[i] = y[i] + 0.5 * h * k[1][i];
		test_rates(w, f, angle, (s + 0.5) * h, at, k[2]);
		for (int i = 0; i < 2; i++)
			at[i] = y[i] + h * k[2][i];
		test_rates(w, f, angle, (s + 1) * h, at, k[3]);
		for (int i = 0; i < 2; i++)
			y[i] += h / 6.0 * (k[0][i] + 2.0 * k[1][i] + 2.0 * k[2][i] + k[3][i]);
		last[0] = last[1], last[1] = last[2], last[2] = fabs(y[0]);
		double bend = last[0] - 2.0 * last[1] + last[2], slope = 0.5 * (last[2] - last[0]);
		if (s > 0 && last[1] >= last[0] && last[1] >= last[2] && bend < 0.0)
			most = fmax(most, last[1] - 0.5 * slope * slope / bend);
	}
	return fmax(most, last[2]);
}

#endif
