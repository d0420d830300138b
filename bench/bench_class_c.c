/* Speed of the class C point: points a second on one core, and the ratio to the floor, evaluations times the time of one evaluation
 * of the characteristic. JSON lines. Processor time. bench/bench_class_c.py does the same swings with SciPy. usage: bench_class_c [points] */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

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

int main(int argc, char **argv)
{
	int n = argc > 1 ? atoi(argv[1]) : 200000;
	rw_swing *swings = malloc(sizeof *swings * (size_t)n);
	if (n < 1 || !swings)
		return 5;
	const double tolerances[] = {1e-4, 1e-6, 1e-9};
	double sink = 0.0;
	for (int light = 0; light < 2; light++) {
		for (int emission = 0; emission < 2; emission++) {
			rw_valve_law law = {.law = RW_LAW_DIVIDED, .perveance = 1.6e-3, .mu = 22.0, .division = 2.4, .emission = emission ? 14.0 : 1e9};
			for (int i = 0; i < n; i++)
				swings[i] = swing_of(i, light);
			double one = floor_seconds(&law, swings, n, &sink);
			for (int t = 0; t < 3; t++) {
				long evaluations = 0;
				double start = seconds(), mean = 0.0;
				for (int i = 0; i < n; i++) {
					rw_class_c point;
					rw_error err;
					if (rw_class_c_solve(&law, &swings[i], tolerances[t], &point, &err) != RW_OK) {
						fprintf(stderr, "%s\n", err.what);
						return 4;
					}
					evaluations += point.evaluations;
					mean += point.anode_current_dc / n;
				}
				double each = (seconds() - start) / n;
				printf("{\"bench\": \"class_c\", \"method\": \"rfwright\", \"swings\": \"%s%s\", \"points\": %d, \"tolerance\": %g, \"points_per_second\": %.0f, "
				       "\"evaluations_per_point\": %.1f, \"ratio_to_floor\": %.2f, \"mean_anode_current_dc\": %.10g}\n",
				       light ? "light" : "loaded", emission ? " emission" : "", n, tolerances[t], 1.0 / each, (double)evaluations / n,
				       each / one / ((double)evaluations / n), mean);
			}
		}
	}
	free(swings);
	return sink > 0.0 ? 0 : 6;
}
