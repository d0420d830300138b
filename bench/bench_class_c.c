/* Speed of the class C point: points a second on one core, and the ratio to the floor, evaluations times the time of one evaluation
 * of the characteristic; the same by a table of points, and its ratio to the law. JSON lines. Processor time.
 * bench/bench_class_c.py does the same swings with SciPy. usage: bench_class_c [points] */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "base/arena.h"
#include "valve/valve.h"

static double seconds(void)
{
	struct timespec now;
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
	return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Evenly spread numbers 0..1, the same in the Python bench. */
static double spread(int i, double step)
{
	double x = (i + 1) * step;
	return x - (double)(long)x;
}

static rw_swing swing_of(int i, bool light)
{
	double va = 6000.0 + 5000.0 * spread(i, 0.6180339887498949), bias = -va / 22.0 * (1.1 + 0.9 * spread(i, 0.4142135623730950));
	return (rw_swing){
		.anode_voltage_dc = va,
		.anode_swing_pk = va * ((light ? 0.93 : 0.70) + 0.20 * spread(i, 0.7320508075688772)),
		.grid_bias = bias,
		.grid_swing_pk = -bias * (1.4 + 0.5 * spread(i, 0.2360679774997896)),
	};
}

/* Seconds an evaluation: the same number of evaluations, spread over the cycle of the same swings. */
static double floor_seconds(const rw_valve_law *law, const rw_swing *swings, int n, double *sink)
{
	double start = seconds();
	for (int i = 0; i < n; i++) {
		for (int k = 0; k < 64; k++) {
			double c = 1.0 - k / 64.0, ia, ig;
			rw_valve_currents(law, swings[i].anode_voltage_dc - swings[i].anode_swing_pk * c, swings[i].grid_bias + swings[i].grid_swing_pk * c, &ia, &ig);
			*sink += ia + ig;
		}
	}
	return (seconds() - start) / n / 64.0;
}

typedef struct seconds_of { double evaluation, point[3]; } seconds_of;

/* One law over the swings, a line for each tolerance. */
static bool bench_law(const rw_valve_law *law, const char *name, const rw_swing *swings, int n, seconds_of *out, double *sink)
{
	static const double tolerances[] = {1e-4, 1e-6, 1e-9};
	*out = (seconds_of){.evaluation = floor_seconds(law, swings, n, sink)};
	for (int t = 0; t < 3; t++) {
		long evaluations = 0;
		double start = seconds(), mean = 0.0;
		for (int i = 0; i < n; i++) {
			rw_class_c point;
			rw_error err;
			if (rw_class_c_solve(law, &swings[i], tolerances[t], &point, &err) != RW_OK) {
				fprintf(stderr, "%s\n", err.what);
				return false;
			}
			evaluations += point.evaluations;
			mean += point.anode_current_dc / n;
		}
		double each = (seconds() - start) / n;
		out->point[t] = each;
		printf("{\"bench\": \"class_c\", \"method\": \"rfwright\", \"swings\": \"%s\", \"points\": %d, \"tolerance\": %g, "
		       "\"points_per_second\": %.0f, \"evaluations_per_point\": %.1f, \"ratio_to_floor\": %.2f, \"mean_anode_current_dc\": %.10g}\n",
		       name, n, tolerances[t], 1.0 / each, (double)evaluations / n, each / out->evaluation / ((double)evaluations / n), mean);
	}
	return true;
}

enum { ANODES = 24, GRIDS = 25 };

/* A table sampled from the law, as large as curves are read. NULL: memory ran out. */
static const rw_valve_points *sampled(rw_arena *arena, const rw_valve_law *law)
{
	static double cells[4 * ANODES * GRIDS];
	for (int r = 0; r < ANODES * GRIDS; r++) {
		double *row = &cells[4 * r];
		int i = r / GRIDS, j = r % GRIDS;
		row[0] = 50.0 + 12450.0 * i * i / (double)((ANODES - 1) * (ANODES - 1));
		row[1] = j < 9 ? -800.0 + 100.0 * j : 50.0 * (j - 8);
		rw_valve_currents(law, row[0], row[1], &row[2], &row[3]);
	}
	const rw_table table = {.n_rows = ANODES * GRIDS, .n_columns = 4, .cells = cells};
	const rw_valve_points *points = NULL;
	return rw_valve_points_make(arena, &table, &points, NULL) == RW_OK ? points : NULL;
}

int main(int argc, char **argv)
{
	int n = argc > 1 ? atoi(argv[1]) : 200000;
	rw_swing *swings = malloc(sizeof *swings * (size_t)n);
	if (n < 1 || !swings)
		return 5;
	rw_arena arena;
	rw_arena_init(&arena);
	const rw_valve_law smooth = {.law = RW_LAW_DIVIDED, .perveance = 1.6e-3, .mu = 22.0, .division = 2.4, .emission = 1e9};
	const rw_valve_law table = {.law = RW_LAW_POINTS, .perveance = 1.0, .emission = 1e9, .points = sampled(&arena, &smooth)};
	double sink = 0.0;
	bool good = table.points != NULL;
	for (int light = 0; good && light < 2; light++) {
		seconds_of divided, capped, by_points;
		rw_valve_law emitting = smooth;
		emitting.emission = 14.0;
		for (int i = 0; i < n; i++)
			swings[i] = swing_of(i, light);
		good = bench_law(&smooth, light ? "light" : "loaded", swings, n, &divided, &sink) &&
		    bench_law(&emitting, light ? "light emission" : "loaded emission", swings, n, &capped, &sink) &&
		    bench_law(&table, light ? "light by table" : "loaded by table", swings, n / 10 + 1, &by_points, &sink);
		if (good)
			printf("{\"bench\": \"class_c\", \"method\": \"table of %d by %d points over the law\", \"swings\": \"%s\", "
			       "\"ratio_of_evaluation\": %.2f, \"ratio_at_1e-4\": %.2f, \"ratio_at_1e-6\": %.2f, \"ratio_at_1e-9\": %.2f}\n",
			       (int)ANODES, (int)GRIDS, light ? "light" : "loaded", by_points.evaluation / divided.evaluation,
			       by_points.point[0] / divided.point[0], by_points.point[1] / divided.point[1],
			       by_points.point[2] / divided.point[2]);
	}
	rw_arena_release(&arena);
	free(swings);
	return !good ? 4 : sink > 0.0 ? 0 : 6;
}
