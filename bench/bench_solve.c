/* Speed of a whole solve: the program with its start, the solve in process, and its ratio to the floor, evaluations of the characteristic
 * times the time of one. JSON lines. Calls of the class C point and of a case's balance are counted by wrapping them at link time.
 * bench/bench_solve.py solves the same balances with SciPy. usage: bench_solve [file] [program] [runs]; without a file every example. */
#include <fcntl.h>
#include <glob.h>
#include <math.h>
#include <spawn.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "base/base.h"
#include "chain/line.h"
#include "generator/generator.h"

extern char **environ;

/* What is wrapped has no context to count in. */
static atomic_long points, evaluations, balances, balance_nanoseconds;

static double seconds(clockid_t clock)
{
	struct timespec now;
	clock_gettime(clock, &now);
	return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

rw_status __real_rw_class_c_solve(const rw_valve_law *law, const rw_swing *swing, double tolerance, rw_class_c *out, rw_error *err);
rw_status __wrap_rw_class_c_solve(const rw_valve_law *law, const rw_swing *swing, double tolerance, rw_class_c *out, rw_error *err);
rw_status __wrap_rw_class_c_solve(const rw_valve_law *law, const rw_swing *swing, double tolerance, rw_class_c *out, rw_error *err)
{
	rw_status status = __real_rw_class_c_solve(law, swing, tolerance, out, err);
	points++;
	evaluations += status == RW_OK ? out->evaluations : 0;
	return status;
}

rw_status __real_rw_oscillator_solve(const rw_oscillator_problem *problem, const rw_work *work, rw_oscillator_scan *scan, rw_oscillator_case *out,
                                     rw_error *err);
rw_status __wrap_rw_oscillator_solve(const rw_oscillator_problem *problem, const rw_work *work, rw_oscillator_scan *scan, rw_oscillator_case *out,
                                     rw_error *err);
rw_status __wrap_rw_oscillator_solve(const rw_oscillator_problem *problem, const rw_work *work, rw_oscillator_scan *scan, rw_oscillator_case *out,
                                     rw_error *err)
{
	double start = seconds(CLOCK_THREAD_CPUTIME_ID);
	rw_status status = __real_rw_oscillator_solve(problem, work, scan, out, err);
	balances++;
	balance_nanoseconds += lround(1e9 * (seconds(CLOCK_THREAD_CPUTIME_ID) - start));
	return status;
}

/* Wall seconds of the program from its start to its end; negative when it did not solve. */
static double run_program(const char *program, const char *file)
{
	char *const argv[] = {(char[]){"rfwright"}, (char[]){"solve"}, (char *)(uintptr_t)file, NULL};
	posix_spawn_file_actions_t actions;
	pid_t child;
	int state = 1;
	posix_spawn_file_actions_init(&actions);
	posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
	double start = seconds(CLOCK_MONOTONIC);
	if (posix_spawn(&child, program, &actions, NULL, argv, environ) == 0)
		waitpid(child, &state, 0);
	double taken = seconds(CLOCK_MONOTONIC) - start;
	posix_spawn_file_actions_destroy(&actions);
	return state == 0 ? taken : -1.0;
}

static int by_size(const void *a, const void *b)
{
	double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

static bool whole(const char *program, const char *file, int runs, double *taken)
{
	for (int i = 0; i < runs; i++)
		if ((taken[i] = run_program(program, file)) < 0.0) {
			fprintf(stderr, "bench_solve: '%s solve %s' did not solve\n", program, file);
			return false;
		}
	qsort(taken, (size_t)runs, sizeof *taken, by_size);
	printf("{\"bench\": \"solve\", \"method\": \"program, with its start\", \"file\": \"%s\", \"runs\": %d, \"wall_seconds_best\": %.6f, "
	       "\"wall_seconds_median\": %.6f, \"ratio_to_aim\": %.3f}\n", file, runs, taken[0], taken[runs / 2], taken[0] / 0.3);
	return true;
}

/* Seconds of one evaluation of the characteristic, over the cycles of the solved cases. */
static double one_evaluation(const rw_chain *chain, double *sink)
{
	enum { ROUNDS = 4000, PHASES = 64 };
	rw_valve_law law = rw_valve_law_of(rw_chain_in(chain, "valve", 0), chain->valve_points);
	int n = chain->solution->n_cases;
	double start = seconds(CLOCK_PROCESS_CPUTIME_ID);
	for (int i = 0; i < ROUNDS; i++) {
		const rw_oscillator_case *o = rw_chain_case(chain, "oscillator", i % n);
		for (int k = 0; k < PHASES; k++) {
			double c = 1.0 - k / (double)PHASES, ia, ig;
			rw_valve_currents(&law, o->anode_voltage_dc - o->anode_swing_pk * c, o->grid_bias + o->grid_swing_pk * c, &ia, &ig);
			*sink += ia + ig;
		}
	}
	return (seconds(CLOCK_PROCESS_CPUTIME_ID) - start) / ROUNDS / PHASES;
}

typedef struct bench {
	const char *file, *data;
	int threads;
	double wall, processor, balance, one;   /* s: best of the runs; balance: the mean of one case's */
	long points, evaluations, balances;
	int cases;
} bench;

/* Reading the data and the file is in it; only the process is not started. */
static rw_status solve_once(bench *b, double *sink, rw_error *err)
{
	rw_arena arena;
	rw_work work;
	rw_units *units = NULL;
	rw_chain_base base;
	rw_generator generator;
	rw_chain chain;
	char *bytes;
	size_t n;
	rw_arena_init(&arena);
	rw_work_init(&work);
	points = evaluations = balances = balance_nanoseconds = 0;
	double wall = seconds(CLOCK_MONOTONIC), processor = seconds(CLOCK_PROCESS_CPUTIME_ID);
	rw_status status = rw_units_new(&units, err);
	if (status == RW_OK)
		status = rw_chain_base_open(&arena, &rw_all_stages, units, b->data, &base, err);
	base.threads = b->threads;
	if (status == RW_OK)
		status = rw_file_read(&arena, b->file, &bytes, &n, err);
	if (status == RW_OK)
		status = rw_generator_bind(&arena, units, rw_all_stages.registry, b->file, bytes, n, &generator, NULL, err);
	if (status == RW_OK)
		status = rw_chain_solve(&base, generator.design, &arena, &work, &chain, err);
	wall = seconds(CLOCK_MONOTONIC) - wall;
	processor = seconds(CLOCK_PROCESS_CPUTIME_ID) - processor;
	if (status == RW_OK) {
		b->wall = fmin(b->wall, wall);
		b->processor = fmin(b->processor, processor);
		b->balance = fmin(b->balance, 1e-9 * (double)balance_nanoseconds / (double)balances);
		b->points = points;
		b->evaluations = evaluations;
		b->balances = balances;
		b->cases = chain.solution->n_cases;
		b->one = fmin(b->one, one_evaluation(&chain, sink));
	}
	rw_units_free(units);
	rw_work_release(&work);
	rw_arena_release(&arena);
	return status;
}

static bool in_process(const char *file, int threads, int runs, double *sink)
{
	const char *data = getenv("RFWRIGHT_DATA");
	bench b = {.file = file, .data = data ? data : "data", .threads = threads, .wall = INFINITY, .processor = INFINITY, .balance = INFINITY, .one = INFINITY};
	rw_error err;
	for (int i = 0; i < runs; i++)
		if (solve_once(&b, sink, &err) != RW_OK) {
			fprintf(stderr, "bench_solve: %s\n", err.what);
			return false;
		}
	printf("{\"bench\": \"solve\", \"method\": \"in process\", \"file\": \"%s\", \"threads\": %d, \"runs\": %d, \"wall_seconds_best\": %.6f, "
	       "\"processor_seconds_best\": %.6f, \"cases\": %d, \"balances\": %ld, \"class_c_points\": %ld, \"evaluations\": %ld, \"nanoseconds_per_evaluation\": %.2f, "
	       "\"ratio_to_floor\": %.2f, \"seconds_per_balance\": %.7f}\n", file, threads, runs, b.wall, b.processor, b.cases, b.balances, b.points, b.evaluations,
	       b.one * 1e9, b.processor / (b.one * (double)b.evaluations), b.balance);
	return true;
}

int main(int argc, char **argv)
{
	const char *program = argc > 2 ? argv[2] : "build/release/src/rfwright";
	int runs = argc > 3 ? atoi(argv[3]) : 20;
	double *taken = runs > 0 ? malloc(sizeof *taken * (size_t)runs) : NULL, sink = 0.0;
	glob_t found = {0};
	if (!taken || glob(argc > 1 ? argv[1] : "examples/*.yaml", GLOB_NOCHECK, NULL, &found) != 0)
		return 5;
	rw_base_init();
	bool fine = true;
	for (size_t i = 0; fine && i < found.gl_pathc; i++) {
		const char *file = found.gl_pathv[i];
		fine = whole(program, file, runs, taken) && in_process(file, 1, runs, &sink) && in_process(file, 2, runs, &sink);
	}
	globfree(&found);
	free(taken);
	return fine && sink > 0.0 ? 0 : 4;
}
