/* Law 'points': order kept, C1 across every knot, never negative, the errors of a table, the fit of the law to points, the class C point
 * against plain sums, and how points sampled from the law come to agree with it as they become more. */
#include <gsl/gsl_errno.h>

#include <string.h>

#include "base/arena.h"
#include "tests/check.h"
#include "valve/valve_internal.h"

static const rw_valve_law divided = {.law = RW_LAW_DIVIDED, .perveance = 1.613e-3, .mu = 21.7, .division = 2.385, .emission = (double)INFINITY};

static uint64_t seed = 20313;

static double uniform(double low, double high)
{
	seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
	return low + (high - low) * (double)(seed >> 11) / 9007199254740992.0;
}

enum { NODES_MAX = 64 };
static double cells[NODES_MAX * NODES_MAX * 4];

/* A table of n_anode by n_grid points; order: 1 rows as they come, else in another order. */
static rw_table table_of(const rw_valve_law *law, const double *anode, int n_anode, const double *grid, int n_grid)
{
	int n = 0;
	for (int i = 0; i < n_anode; i++)
		for (int j = 0; j < n_grid; j++, n++) {
			double *row = &cells[4 * n];
			row[0] = anode[i], row[1] = grid[j];
			rw_valve_currents(law, row[0], row[1], &row[2], &row[3]);
		}
	return (rw_table){.n_rows = n, .n_columns = 4, .cells = cells};
}

static int spaced(double *out, int n, double low, double high, double power)
{
	for (int i = 0; i < n; i++)
		out[i] = low + (high - low) * pow(i / (n - 1.0), power);
	return n;
}

/* Grid volts below, at and above 0 V; closer about 0 V. */
static int grid_volts(double *out, int below, int above, double least, double most)
{
	int n = 0;
	for (int i = below; i > 0; i--)
		out[n++] = least * i / below;
	for (int i = 0; i <= above; i++)
		out[n++] = most * pow(i / (double)above, 1.5);
	return n;
}

static const rw_valve_points *made(rw_arena *arena, const rw_table *table)
{
	const rw_valve_points *points;
	rw_error err;
	CHECK_OK(rw_valve_points_make(arena, table, &points, &err), &err);
	return points;
}

static rw_valve_law law_on(const rw_valve_points *points)
{
	return (rw_valve_law){.law = RW_LAW_POINTS, .perveance = 1.0, .emission = (double)INFINITY, .points = points};
}

/* Random points whose currents rise as they must, with steps, flats and a fall of the anode current beyond the diode line. */
static rw_table random_table(double *anode, int *n_anode, double *grid, int *n_grid)
{
	*n_anode = 4 + (int)uniform(0.0, 6.0);
	*n_grid = 5 + (int)uniform(0.0, 6.0);
	double va = uniform(0.0, 1.0) < 0.3 ? 0.0 : uniform(20.0, 200.0);
	for (int i = 0; i < *n_anode; i++, va += exp(uniform(log(20.0), log(3000.0))))
		anode[i] = va;
	int zero = 1 + (int)uniform(0.0, *n_grid - 2.0);
	grid[zero] = 0.0;
	for (int j = zero + 1; j < *n_grid; j++)
		grid[j] = grid[j - 1] + exp(uniform(log(5.0), log(200.0)));
	for (int j = zero - 1; j >= 0; j--)
		grid[j] = grid[j + 1] - exp(uniform(log(5.0), log(200.0)));
	double most_a = 0.0;
	int n = 0;
	for (int i = 0; i < *n_anode; i++)
		for (int j = 0; j < *n_grid; j++, n++) {
			double *row = &cells[4 * n], *left = n >= *n_grid ? row - 4 * *n_grid : NULL, *under = j > 0 ? row - 4 : NULL;
			row[0] = anode[i], row[1] = grid[j];
			double step = uniform(0.0, 1.0) < 0.25 ? 0.0 : exp(uniform(log(0.01), log(5.0)));
			row[2] = fmax(left ? left[2] : 0.0, under ? under[2] : 0.0) + step;
			if (row[0] < row[1] && uniform(0.0, 1.0) < 0.5)
				row[2] = left ? left[2] + 0.1 * step : 0.0;       /* may fall with the grid volts here */
			if (row[1] < -0.5 * row[0] / uniform(3.0, 40.0) && !(left && left[2] > 0.0) && !(under && under[2] > 0.0))
				row[2] = 0.0;
			if (row[0] == 0.0)
				row[2] = 0.0;
			row[3] = row[1] <= 0.0 ? 0.0 : (under ? under[3] : 0.0) + (uniform(0.0, 1.0) < 0.2 ? 0.0 : exp(uniform(log(0.01), log(2.0))));
			most_a = fmax(most_a, row[2]);
		}
	return (rw_table){.n_rows = n, .n_columns = 4, .cells = cells};
}

/* Through every point; over 300 random tables the currents go between neighbouring points without passing them, rise with the anode volts
 * everywhere, with the grid volts in rectangles that do. */
static void test_order(void **state)
{
	(void)state;
	int used = 0, falling = 0;
	for (int turn = 0; turn < 400; turn++) {
		rw_arena arena;
		rw_arena_init(&arena);
		double anode[NODES_MAX], grid[NODES_MAX];
		int m, n;
		rw_table table = random_table(anode, &m, grid, &n);
		const rw_valve_points *points;
		rw_error err;
		if (rw_valve_points_make(&arena, &table, &points, &err) != RW_OK) {   /* the flats at its lowest currents are refused */
			assert_non_null(strstr(err.what, "lowest grid volts"));
			rw_arena_release(&arena);
			continue;
		}
		used++;
		rw_valve_law law = law_on(points);
		for (int r = 0; r < table.n_rows; r++) {
			double ia, ig;
			rw_valve_currents(&law, cells[4 * r], cells[4 * r + 1], &ia, &ig);
			CHECK_NEAR_SCALE(ia, cells[4 * r + 2], 1e-12, points->span.anode_current_most, "the point itself");
			CHECK_NEAR_SCALE(ig, cells[4 * r + 3], 1e-12, points->span.grid_current_most, "the point itself");
		}
		double slack_a = 1e-10 * points->span.anode_current_most, slack_g = 1e-10 * points->span.grid_current_most;
		for (int i = 0; i + 1 < m; i++) {
			for (int j = 0; j + 1 < n; j++) {
				const double *p = &cells[4 * (i * n + j)], *q = p + 4 * n;
				bool rises = p[6] >= p[2] && q[6] >= q[2];
				falling += !rises;
				for (int k = 0; k <= 6; k++) {
					double before[2] = {-1.0, -1.0}, across[2] = {-1.0, -1.0};
					for (int l = 0; l <= 6; l++) {
						double ia, ig, va = anode[i] + (anode[i + 1] - anode[i]) * k / 6.0, vg = grid[j] + (grid[j + 1] - grid[j]) * l / 6.0;
						rw_valve_currents(&law, va, vg, &ia, &ig);
						assert_true(ia >= 0.0 && ig >= 0.0);
						assert_true(!rises || ia >= before[0] - slack_a);
						assert_true(ig >= before[1] - slack_g);
						before[0] = ia, before[1] = ig;
						va = anode[i] + (anode[i + 1] - anode[i]) * l / 6.0, vg = grid[j] + (grid[j + 1] - grid[j]) * k / 6.0;
						rw_valve_currents(&law, va, vg, &ia, &ig);
						assert_true(ia >= across[0] - slack_a);
						bool ig_up = q[3] >= p[3] && q[7] >= p[7], ig_down = q[3] <= p[3] && q[7] <= p[7];
						assert_true(l == 0 || !ig_up || ig >= across[1] - slack_g);
						assert_true(l == 0 || !ig_down || ig <= across[1] + slack_g);
						across[0] = ia, across[1] = ig;
					}
				}
			}
		}
		rw_arena_release(&arena);
	}
	print_message("%d random tables, %d rectangles with a fall of anode current\n", used, falling);
	assert_true(used > 150 && falling > 50);
}

/* Slopes on both sides of every knot agree, at 0 V anode, the outermost volts, and beyond; the difference of two one-sided slopes shrinks
 * with the step, as it would not at a kink. */
static void check_slopes(const rw_valve_law *law, double va, double vg, bool along_anode, double scale_i)
{
	double jump[2][2];
	for (int t = 0; t < 2; t++) {
		double h = t ? 1e-5 : 1e-3, i[3][2];
		for (int k = -1; k <= 1; k++)
			rw_valve_currents(law, va + (along_anode ? k * h : 0.0), vg + (along_anode ? 0.0 : k * h), &i[k + 1][0], &i[k + 1][1]);
		for (int e = 0; e < 2; e++)
			jump[t][e] = fabs(i[2][e] - 2.0 * i[1][e] + i[0][e]) / h;
	}
	for (int e = 0; e < 2; e++) {
		double noise = 1e-15 * scale_i / 1e-5 * 64.0;
		if (jump[1][e] > noise + 0.25 * jump[0][e]) {
			print_error("kink at %g V, %g V along %s: %g and %g A/V\n", va, vg, along_anode ? "anode" : "grid", jump[0][e], jump[1][e]);
			fail();
		}
	}
}

static void test_smooth(void **state)
{
	(void)state;
	for (int turn = 0; turn < 60; turn++) {
		rw_arena arena;
		rw_arena_init(&arena);
		double anode[NODES_MAX], grid[NODES_MAX];
		int m = 7, n = 9;
		rw_table table;
		if (turn == 0) {
			spaced(anode, m, 200.0, 11000.0, 1.5);
			n = grid_volts(grid, 4, 4, -600.0, 500.0);
			table = table_of(&divided, anode, m, grid, n);
		} else {
			table = random_table(anode, &m, grid, &n);
		}
		const rw_valve_points *points;
		if (rw_valve_points_make(&arena, &table, &points, NULL) == RW_OK) {
			rw_valve_law law = law_on(points);
			double most = points->span.anode_current_most + points->span.grid_current_most;
			for (int i = 0; i < points->n_anode; i++)
				for (int k = 0; k < 12; k++)
					check_slopes(&law, points->anode[i], uniform(points->grid[0] * 1.5, points->grid[points->n_grid - 1] * 1.3), true, most);
			for (int j = 0; j < points->n_grid; j++)
				for (int k = 0; k < 12; k++)
					check_slopes(&law, uniform(-500.0, points->anode[points->n_anode - 1] * 1.3), points->grid[j], false, most);
		}
		rw_arena_release(&arena);
	}
}

/* Below the table and to its right: no current in deep cut-off at twice the anode volts, order kept while the current ends, none at va <= 0. */
static void test_beyond(void **state)
{
	(void)state;
	rw_arena arena;
	rw_arena_init(&arena);
	double anode[NODES_MAX], grid[NODES_MAX];
	int m = spaced(anode, 8, 250.0, 11000.0, 1.0), n = grid_volts(grid, 3, 5, -300.0, 500.0);   /* -300 V does not cut 11 kV off */
	rw_table table = table_of(&divided, anode, m, grid, n);
	rw_valve_law law = law_on(made(&arena, &table));
	double ia, ig, before = -1.0, bend = 0.0;
	for (int k = 0; k <= 1000; k++) {
		rw_valve_currents(&law, 10500.0, -900.0 + k, &ia, &ig);
		double want_a, want_g;
		rw_valve_currents(&divided, 10500.0, -900.0 + k, &want_a, &want_g);
		if (-900.0 + k <= -100.0)
			CHECK_NEAR_SCALE(ia, want_a, 1e-10, 10.0, "where the grid is negative the law is met exactly: it is straight in ia^(2/3)");
		else if (-900.0 + k <= 0.0)
			bend = fmax(bend, fabs(ia / want_a - 1.0));
		assert_true(ia >= before);
		before = ia;
	}
	print_message("in the last 100 V before grid current up to %.2g off the law\n", bend);
	assert_true(bend < 0.01);                       /* it bends towards the grid current behind 0 V */
	rw_valve_currents(&law, 2.2 * 11000.0, -1500.0, &ia, &ig);
	assert_true(ia == 0.0 && ig == 0.0);
	for (int k = 0; k <= 20; k++) {
		rw_valve_currents(&law, -100.0 * k, 37.0 * k - 300.0, &ia, &ig);
		assert_true(ia == 0.0 && (ig > 0.0) == (37.0 * k - 300.0 > 0.0));
	}
	CHECK_NEAR(rw_valve_cutoff(&law, 8123.0), -8123.0 / divided.mu, 1e-9, "the law's own cut-off");
	CHECK_NEAR(rw_valve_cutoff(&law, 10900.0), -10900.0 / divided.mu, 1e-9, "the law's own cut-off, below the table");
	CHECK_NEAR(rw_valve_cutoff(&divided, 8123.0), -8123.0 / divided.mu, 1e-14, "definition");
	/* a factor on the currents, and a cap on their sum */
	double a, g;
	rw_valve_currents(&law, 3111.0, 171.3, &ia, &ig);
	law.perveance = 0.83;
	rw_valve_currents(&law, 3111.0, 171.3, &a, &g);
	CHECK_NEAR(a, 0.83 * ia, 1e-14, "factor");
	CHECK_NEAR(g, 0.83 * ig, 1e-14, "factor");
	law.emission = 0.7 * (a + g);
	rw_valve_currents(&law, 3111.0, 171.3, &ia, &ig);
	CHECK_NEAR(ia, 0.7 * a, 1e-14, "capped");
	CHECK_NEAR(ig, 0.7 * g, 1e-14, "capped");
	rw_arena_release(&arena);
}

/* ------------------------------------------------ class C */

enum { FIGURES = 8 };

static void plain_sums(const rw_valve_law *law, const rw_swing *s, int steps, double figures[FIGURES], double pk[3])
{
	memset(figures, 0, sizeof(double) * FIGURES);
	memset(pk, 0, sizeof(double) * 3);
	double at[3] = {0.0};
	for (int k = 0; k < steps; k++) {
		double t = M_PI * (k + 0.5) / steps, c = cos(t), ia, ig, va = s->anode_voltage_dc - s->anode_swing_pk * c, vg = s->grid_bias + s->grid_swing_pk * c;
		rw_valve_currents(law, va, vg, &ia, &ig);
		const double all[FIGURES] = {ia, 2.0 * ia * c, 2.0 * ia * cos(2.0 * t), 2.0 * ia * cos(3.0 * t), ig, 2.0 * ig * c, va * ia, vg * ig};
		for (int f = 0; f < FIGURES; f++)
			figures[f] += all[f] / steps;
		const double now[3] = {ia, ig, ia + ig};
		for (int e = 0; e < 3; e++)
			if (now[e] > pk[e])
				pk[e] = now[e], at[e] = t;
	}
	for (int e = 0; e < 3; e++)                     /* each summit once more, finely: it may be a corner */
		for (int k = -1000; k <= 1000; k++) {
			double c = cos(at[e] + k * M_PI / steps / 1000.0), ia, ig;
			rw_valve_currents(law, s->anode_voltage_dc - s->anode_swing_pk * c, s->grid_bias + s->grid_swing_pk * c, &ia, &ig);
			pk[e] = fmax(pk[e], e == 0 ? ia : e == 1 ? ig : ia + ig);
		}
}

static void list(const rw_class_c *p, double figures[FIGURES])
{
	const double all[FIGURES] = {p->anode_current_dc, p->anode_current_fund_pk, p->anode_current_2_pk, p->anode_current_3_pk,
	                             p->grid_current_dc,  p->grid_current_fund_pk,  p->anode_loss,         p->grid_loss};
	memcpy(figures, all, sizeof all);
}

static double scale_of(const rw_swing *s, const double want[FIGURES], int f)
{
	return f < 4 ? want[0] : f < 6 ? want[4] : f == 6 ? want[0] * (s->anode_voltage_dc + s->anode_swing_pk) : want[4] * (s->grid_swing_pk - s->grid_bias);
}

static rw_swing draw_swing(void)
{
	double va = uniform(3000.0, 11000.0);
	rw_swing s = {va, va * uniform(0.3, 1.2), -va / 21.7 * uniform(0.2, 3.0), 0.0};
	s.grid_swing_pk = uniform(0.6, 2.5) * -s.grid_bias + uniform(0.0, 300.0);
	return s;
}

static const double errors_of[3] = {1e-4, 1e-6, 1e-8};

/* Against 100 000 equal steps; where the difference is more than the estimate, against 40 times as many: which of the two is off. */
static void test_class_c(void **state)
{
	(void)state;
	enum { SWINGS = 120, STEPS = 100000 };
	rw_arena arena;
	rw_arena_init(&arena);
	double worst[3] = {0.0}, evaluations[3] = {0.0};
	int over = 0, capped = 0;
	for (int turn = 0; turn < SWINGS; turn++) {
		double anode[NODES_MAX], grid[NODES_MAX];
		int m = 7, n;
		rw_table table;
		if (turn % 3 < 2) {
			m = spaced(anode, turn % 3 ? 28 : 7, 200.0, 12000.0, 1.5);
			n = turn % 3 ? grid_volts(grid, 12, 20, -700.0, 900.0) : grid_volts(grid, 4, 4, -600.0, 900.0);
			table = table_of(&divided, anode, m, grid, n);
		} else {
			table = random_table(anode, &m, grid, &n);
		}
		const rw_valve_points *points;
		if (rw_valve_points_make(&arena, &table, &points, NULL) != RW_OK)
			continue;
		rw_valve_law law = law_on(points);
		if (turn % 4 == 3)
			law.emission = uniform(0.2, 0.8) * points->span.anode_current_most;
		capped += turn % 4 == 3;
		rw_swing swing = draw_swing();
		double want[FIGURES], pk[3];
		int finer = 0;
		plain_sums(&law, &swing, STEPS, want, pk);
		for (int t = 0; t < 3; t++) {
			rw_class_c point;
			rw_error err;
			double got[FIGURES];
			CHECK_OK(rw_class_c_solve(&law, &swing, errors_of[t], &point, &err), &err);
			assert_true(point.error <= errors_of[t]);
			list(&point, got);
			for (int f = 0; f < FIGURES; f++) {
				double scale = scale_of(&swing, want, f);
				if (!(scale > 0.0))
					continue;
				double ratio = fabs(got[f] - want[f]) / scale / errors_of[t];
				if (ratio > 1.0 && !finer++)
					plain_sums(&law, &swing, 40 * STEPS, want, pk);
				if (ratio > 1.0)
					ratio = fabs(got[f] - want[f]) / scale / errors_of[t];
				worst[t] = fmax(worst[t], ratio);
				over += ratio > 1.0;
			}
			evaluations[t] += (double)point.evaluations / SWINGS;
			const double summit[3] = {point.anode_current_pk, point.grid_current_pk, point.cathode_current_pk};
			for (int e = 0; e < 3; e++)             /* both are currents that flow: the greater is nearer; the steps may fall beside a narrow one */
				assert_true(summit[e] >= pk[e] * (1.0 - (t > 0 ? 3e-6 : 1e-4)) && summit[e] <= pk[e] * (1.0 + 1e-4));
		}
	}
	for (int t = 0; t < 3; t++)
		print_message("tolerance %g: worst %.3g of it, %.0f evaluations a point\n", errors_of[t], worst[t], evaluations[t]);
	print_message("%d figures over the estimate, %d swings capped\n", over, capped);
	assert_int_equal(over, 0);
	rw_arena_release(&arena);
}

/* ------------------------------------------------ convergence to the law */

static double off_the_law(int m, int below, int above, const rw_swing *swing, double *grid_off)
{
	rw_arena arena;
	rw_arena_init(&arena);
	double anode[NODES_MAX], grid[NODES_MAX];
	spaced(anode, m, 150.0, 12000.0, 1.6);
	int n = grid_volts(grid, below, above, -600.0, 600.0);
	rw_table table = table_of(&divided, anode, m, grid, n);
	rw_valve_law law = law_on(made(&arena, &table));
	rw_class_c want, got;
	rw_error err;
	CHECK_OK(rw_class_c_solve(&divided, swing, 1e-8, &want, &err), &err);
	CHECK_OK(rw_class_c_solve(&law, swing, 1e-8, &got, &err), &err);
	*grid_off = fabs(got.grid_current_dc / want.grid_current_dc - 1.0);
	rw_arena_release(&arena);
	return fabs(got.anode_current_fund_pk / want.anode_current_fund_pk - 1.0);
}

static void test_convergence(void **state)
{
	(void)state;
	static const rw_swing swings[] = {{8800.0, 7744.0, -682.0, 1177.0}, {8769.0, 7717.0, -672.0, 1170.0}, {9592.0, 7386.0, -606.0, 1120.0}};
	static const int sizes[][3] = {{7, 4, 4}, {14, 8, 8}, {28, 16, 16}, {56, 31, 31}};
	double worst[4][2] = {{0.0}};
	for (int k = 0; k < 4; k++) {
		for (int s = 0; s < 3; s++) {
			double grid_off, anode_off = off_the_law(sizes[k][0], sizes[k][1], sizes[k][2], &swings[s], &grid_off);
			worst[k][0] = fmax(worst[k][0], anode_off);
			worst[k][1] = fmax(worst[k][1], grid_off);
		}
		print_message("%d by %d points: fundamental %.2e, grid current %.2e off the law\n", sizes[k][0], sizes[k][1] + sizes[k][2] + 1, worst[k][0], worst[k][1]);
	}
	for (int k = 1; k < 4; k++)
		assert_true(worst[k][0] < worst[k - 1][0] && worst[k][1] < worst[k - 1][1]);
}

/* ------------------------------------------------ errors */

enum { M = 5, N = 6 };

static rw_table good_table(void)
{
	static const double anode[M] = {100.0, 1000.0, 3000.0, 7000.0, 12000.0}, grid[N] = {-600.0, -300.0, -100.0, 0.0, 200.0, 500.0};
	return table_of(&divided, anode, M, grid, N);
}

static void refused(const rw_table *table, const char *what)
{
	rw_arena arena;
	rw_arena_init(&arena);
	const rw_valve_points *points = NULL;
	rw_error err;
	rw_status status = rw_valve_points_make(&arena, table, &points, &err);
	assert_int_equal(status, RW_E_VALUE);
	assert_string_equal(err.key, "valve.points");
	if (!strstr(err.what, what))
		print_error("'%s' is not in '%s'\n", what, err.what);
	assert_non_null(strstr(err.what, what));
	assert_true(err.expected[0] && err.hint[0] && !points);
	rw_arena_release(&arena);
}

static void test_errors(void **state)
{
	(void)state;
	rw_table table = good_table();
	table.n_rows--;
	refused(&table, "no row for 12000 V anode, 500 V grid: 29 rows for 5 anode volts by 6 grid volts");
	table = good_table();
	cells[4 * 7 + 1] = cells[4 * 6 + 1];
	refused(&table, "rows 7 and 8 are the same point: 1000 V anode, -600 V grid");
	table = good_table();
	table.n_rows = 3 * N;
	refused(&table, "3 different anode volts only");
	table = good_table();
	for (int r = 0; r < table.n_rows; r++)
		cells[4 * r + 1] += 10.0;
	refused(&table, "none at 0 V grid");
	table = good_table();
	for (int r = 0; r < table.n_rows; r++)
		cells[4 * r + 1] -= 500.0;
	refused(&table, "to one side of it only");
	table = good_table();
	cells[4 * (3 * N + 3) + 2] *= 0.01;
	refused(&table, "anode_current falls from");
	table = good_table();
	cells[4 * (4 * N + 4) + 2] = cells[4 * (4 * N + 3) + 2] - 0.5;
	refused(&table, "(row 28: 12000 V anode, 0 V grid)");
	table = good_table();
	cells[4 * (2 * N + 5) + 3] = 0.001;
	refused(&table, "grid_current falls from");
	table = good_table();
	cells[4 * (2 * N + 2) + 3] = 0.001;
	refused(&table, "row 15 has 0.001 A of grid current at -100 V");
	table = good_table();
	for (int j = 0; j < N; j++)
		cells[4 * j] = 0.0;
	refused(&table, "A of anode current at 0 V");
	table = good_table();
	for (int r = 0; r < table.n_rows; r++)
		cells[4 * r + 2] = 0.0;
	refused(&table, "no anode current flows");
	table = good_table();
	cells[4 * (4 * N + 1) + 2] = cells[4 * (4 * N + 2) + 2];
	refused(&table, "does not rise over the lowest grid volts");
}

/* Any change of a cell is refused with words, or gives numbers: never a crash, a NaN, a negative current. */
static void test_mutations(void **state)
{
	(void)state;
	static const double values[] = {0.0, -1.0, 1e-300, 1e6, -1e5, 12345.6, 3.7, 1e-6};
	int taken = 0, refusals = 0;
	for (int turn = 0; turn < 3000; turn++) {
		rw_arena arena;
		rw_arena_init(&arena);
		rw_table table = good_table();
		for (int k = 0; k <= turn % 3; k++) {
			int cell = (int)uniform(0.0, 4.0 * table.n_rows);
			double was = cells[cell];
			cells[cell] = uniform(0.0, 1.0) < 0.5 ? was * uniform(0.8, 1.2) : values[(int)uniform(0.0, 8.0)];
			if (cell % 4 != 1)
				cells[cell] = fabs(cells[cell]);             /* less than nothing is refused as it is read */
		}
		table.n_rows -= (int)uniform(0.0, 1.2);
		const rw_valve_points *points;
		rw_error err;
		if (rw_valve_points_make(&arena, &table, &points, &err) != RW_OK) {
			refusals++;
			assert_true(err.what[0] && err.expected[0] && err.hint[0]);
		} else {
			taken++;
			rw_valve_law law = law_on(points);
			for (int k = 0; k < 200; k++) {
				double ia, ig;
				rw_valve_currents(&law, uniform(-5000.0, 30000.0), uniform(-2000.0, 1000.0), &ia, &ig);
				assert_true(isfinite(ia) && isfinite(ig) && ia >= 0.0 && ig >= 0.0);
			}
			rw_swing swing = draw_swing();
			rw_class_c point;
			if (rw_class_c_solve(&law, &swing, 1e-6, &point, &err) == RW_OK)
				assert_true(isfinite(point.anode_loss) && isfinite(point.grid_loss) && point.error <= 1e-6);
			else
				assert_true(err.what[0] && err.hint[0]);
		}
		rw_arena_release(&arena);
	}
	print_message("%d changed tables taken, %d refused\n", taken, refusals);
	assert_true(taken > 300 && refusals > 300);
}

/* A solved cycle may not leave the points while current flows, but on the cut-off side and towards the anode's zero. */
static void test_reach(void **state)
{
	(void)state;
	rw_arena arena;
	rw_arena_init(&arena);
	rw_table table = good_table();
	rw_valve_law law = law_on(made(&arena, &table));
	static const struct { rw_swing swing; bool within; const char *what; } rows[] = {
		{{8800.0, 7744.0, -682.0, 1177.0}, true, ""},
		{{11000.0, 13000.0, -1200.0, 1650.0}, true, ""},                   /* an empty coil: 24 kV in cut-off, below 0 V at the crest */
		{{8800.0, 7744.0, -682.0, 1190.0}, false, "goes to 508 V on the grid"},
		{{13000.0, 3000.0, -300.0, 700.0}, false, "V on the anode while current flows, beyond the points (R13): they span 100 to 1.2e+04 V"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		rw_class_c point;
		rw_error err;
		CHECK_OK(rw_class_c_solve(&law, &rows[i].swing, 1e-6, &point, &err), &err);
		rw_status status = rw_valve_points_reach(&law, &rows[i].swing, &point, &err);
		assert_int_equal(status, rows[i].within ? RW_OK : RW_E_RANGE);
		if (!rows[i].within) {
			assert_string_equal(err.key, "valve.points");
			assert_non_null(strstr(err.what, rows[i].what));
		}
		CHECK_OK(rw_valve_points_reach(&divided, &rows[i].swing, &point, &err), &err);
	}
	rw_arena_release(&arena);
}

/* ------------------------------------------------ the fit */

static void test_fit(void **state)
{
	(void)state;
	rw_table table = good_table();
	rw_valve_point points[M * N];
	rw_points_fit fit;
	rw_error err;
	for (int r = 0; r < table.n_rows; r++)
		points[r] = (rw_valve_point){cells[4 * r], cells[4 * r + 1], cells[4 * r + 2], cells[4 * r + 3]};
	for (int held = 0; held < 2; held++) {
		CHECK_OK(rw_valve_fit_points(points, M * N, held ? divided.mu : (double)NAN, &fit, &err), &err);
		CHECK_NEAR(fit.perveance, divided.perveance, 1e-6, "the law the points are of");
		CHECK_NEAR(fit.mu, divided.mu, 1e-6, "the law the points are of");
		CHECK_NEAR(fit.division, divided.division, 1e-6, "the law the points are of");
		assert_true(fit.anode_error_rms < 1e-6 && fabs(fit.grid_error_most) < 1e-5);
	}
	points[4 * N + 3].anode_current *= 1.3;         /* a slip is found where it is */
	CHECK_OK(rw_valve_fit_points(points, M * N, (double)NAN, &fit, &err), &err);
	assert_int_equal(fit.anode_worst, 4 * N + 3);
	assert_true(fit.anode_error_most < -0.05);
	for (int r = 0; r < M * N; r++)
		points[r].grid_current = 0.0;
	CHECK_OK(rw_valve_fit_points(points, M * N, (double)NAN, &fit, &err), &err);
	assert_true(isnan(fit.division) && fit.grid_error_rms == 0.0);
	assert_int_equal(rw_valve_fit_points(points, 1, (double)NAN, &fit, &err), RW_E_RANGE);
	points[3].anode_current = (double)NAN;
	assert_int_equal(rw_valve_fit_points(points, M * N, (double)NAN, &fit, &err), RW_E_RANGE);
}

int main(void)
{
	gsl_set_error_handler_off();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_order), cmocka_unit_test(test_smooth), cmocka_unit_test(test_beyond), cmocka_unit_test(test_class_c),
		cmocka_unit_test(test_convergence), cmocka_unit_test(test_errors), cmocka_unit_test(test_mutations), cmocka_unit_test(test_reach),
		cmocka_unit_test(test_fit),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
