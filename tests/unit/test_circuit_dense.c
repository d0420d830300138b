/* The dense equations of the circuit room by themselves: known solutions over many decades, and matrices that must be refused. */
#include "check.h"

#include <string.h>

#include "base/base.h"
#include "circuit/circuit_internal.h"

static const double complex j = (double complex)I;

static double figure(int k) { return 1.7391 * fmod(sin(12.9898 * k + 0.317) * 43758.5453, 1.0); }   /* -1.7..1.7, without pattern */

/* b = A x for a chosen x, rows and columns spread over 24 decades; x comes back. */
static void known_solution(void **state)
{
	enum { N = 23, N_B = 3 };
	(void)state;
	rw_arena scratch;
	rw_arena_init(&scratch);
	rw__dense s;
	assert_true(rw__dense_start(&s, N, N_B, &scratch));
	double complex want[N * N_B];
	for (int k = 0; k < N * N_B; k++)
		want[k] = (figure(k) + j * figure(k + 911)) * pow(10.0, -6.0 * figure(k % N));
	for (int column = 0; column < N; column++)
		for (int row = 0; row < N; row++) {
			double complex a = (figure(31 * row + column) + j * figure(17 * row + 5 * column + 300)) * pow(10.0, 6.0 * (figure(row + 50) + figure(column)));
			s.a[column * N + row] = (row + 2 * column) % 5 ? a : 0.0;
			for (int k = 0; k < N_B; k++)
				s.b[k * N + row] += s.a[column * N + row] * want[k * N + column];
		}
	double correction = 7.0;
	assert_true(rw__dense_solve(&s, &correction));
	assert_true(correction < 1e-12);
	for (int k = 0; k < N * N_B; k++)
		CHECK_NEAR_SCALE(cabs(s.x[k] - want[k]), 0.0, 1e-11, cabs(want[k]), "the x that made b");
	rw_arena_release(&scratch);
}

/* For the right side that A makes of modest figures. */
static bool solves(int n, const double complex *a, double *correction)
{
	rw_arena scratch;
	rw_arena_init(&scratch);
	rw__dense s;
	assert_true(rw__dense_start(&s, n, 1, &scratch));
	memcpy(s.a, a, sizeof *a * (size_t)(n * n));
	for (int k = 0; k < n * n; k++)
		s.b[k % n] += a[k] * figure(k / n);
	bool solved = rw__dense_solve(&s, correction);
	rw_arena_release(&scratch);
	return solved;
}

/* Ones on the diagonal, -1 above it: every pivot is 1, yet the condition is n 2^(n - 1). */
static void ill_conditioned(void **state)
{
	enum { N = 60 };
	(void)state;
	double complex a[N * N] = {0};
	double correction;
	for (int column = 0; column < N; column++)
		for (int row = 0; row <= column; row++)
			a[column * N + row] = row == column ? 1.0 : -1.0 + 0.1 * fabs(figure(61 * row + column));
	assert_false(solves(N, a, &correction));
	assert_true(correction > 1e-6);
}

static void singular(void **state)
{
	(void)state;
	double correction;
	const double complex fine[4] = {2.31, 1.17 * j, -0.44, 3.9};
	assert_true(solves(2, fine, &correction));
	const double complex twice[4] = {2.31, 4.62, 1.17 * j, 2.34 * j};
	assert_false(solves(2, twice, &correction));
	const double complex empty_row[4] = {2.31, 0.0, 1.17 * j, 0.0};
	assert_false(solves(2, empty_row, &correction));
	const double complex empty_column[4] = {2.31, 1.17 * j, 0.0, 0.0};
	assert_false(solves(2, empty_column, &correction));
	const double complex not_finite[4] = {2.31, 1.17 * j, (double)INFINITY, 3.9};
	assert_false(solves(2, not_finite, &correction));
	const double complex not_a_number[4] = {2.31, 1.17 * j, (double)NAN, 3.9};
	assert_false(solves(2, not_a_number, &correction));
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(known_solution), cmocka_unit_test(ill_conditioned), cmocka_unit_test(singular)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
