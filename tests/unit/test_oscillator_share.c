/* Valves that share: the one that takes most, by the corners of the spread, against the spread walked through; and two unlike valves on one
 * tank solved together, against the mean valve that stands for both. */
#include "tests/check.h"

#include "base/base.h"
#include "oscillator/oscillator.h"

static const rw_valve_law mean_law = {.law = RW_LAW_DIVIDED, .perveance = 1.6e-3, .mu = 22.0, .division = 2.4, .emission = 42.0, .exponent = 1.5};
static const double leak = 1100.0, ratio = 0.1557, load = 1120.0;   /* ohm, 1, ohm: a set like the example's, of each valve */
static const double no_load = 9300.0, source = 60.0;                /* V, ohm: a supply for two */

static rw_status supply_of_two(void *context, double current_dc, double *voltage_dc, rw_error *err)
{
	(void)context;
	(void)err;
	*voltage_dc = no_load - source * 2.0 * current_dc;
	return RW_OK;
}

static rw_oscillator_case solved(double resistance)
{
	rw_oscillator_problem problem = {.law = mean_law, .conductance = 1.0 / resistance, .ratio = ratio, .frequency = 400e3, .grid_leak = leak,
	    .supply = supply_of_two, .voltage_scale = no_load};
	rw_oscillator_scan scan;
	rw_oscillator_case out;
	rw_error err;
	rw_work work;
	rw_work_init(&work);
	CHECK_OK(rw_oscillator_solve(&problem, &work, &scan, &out, &err), &err);
	rw_work_release(&work);
	return out;
}

/* A valve on its own leak by halving: another way to the bias than the room's. */
static rw_class_c on_its_leak(const rw_valve_law *law, rw_swing swing, double *bias)
{
	double low = -swing.grid_swing_pk, high = 0.0;
	rw_class_c c;
	rw_error err;
	for (int turn = 0; turn < 60; turn++) {
		swing.grid_bias = 0.5 * (low + high);
		CHECK_OK(rw_class_c_solve(law, &swing, 1e-9, &c, &err), &err);
		if (swing.grid_bias + leak * c.grid_current_dc > 0.0)
			high = swing.grid_bias;
		else
			low = swing.grid_bias;
	}
	*bias = swing.grid_bias;
	return c;
}

static void test_alone(void **state)
{
	(void)state;
	rw_error err;
	rw_oscillator_case out = solved(load);
	const rw_spread none = {0.0, 0.0};
	CHECK_OK(rw_oscillator_share(&mean_law, leak, &none, &out, &err), &err);
	assert_true(out.anode_current_greatest == out.anode_current_dc && out.anode_loss_greatest == out.anode_loss &&
	            out.grid_current_greatest == out.grid_current_dc && out.grid_loss_greatest == out.grid_loss &&
	            out.cathode_current_pk_greatest == out.cathode_current_pk && out.sharing == 1.0);
}

static double greater(double a, double b) { return a > b ? a : b; }

/* A valve inside the spread takes no more than its worst corner by more than 0.1 %, in a heavy, a right and a light load: along an edge the
 * grid's current may bend over. */
static void test_corners_hold_all(void **state)
{
	(void)state;
	double short_of = 0.0;
	const double loads[] = {700.0, load, 9000.0};
	for (size_t l = 0; l < 3; l++) {
		rw_error err;
		rw_oscillator_case out = solved(loads[l]);
		const rw_spread spread = {0.10, 0.05};
		CHECK_OK(rw_oscillator_share(&mean_law, leak, &spread, &out, &err), &err);
		double most[5] = {0.0};
		for (int i = 0; i <= 10; i++)
			for (int k = 0; k <= 10; k++) {
				rw_valve_law law = rw_valve_law_times(&mean_law, 0.9 + 0.02 * i, 0.95 + 0.01 * k);
				double bias;
				rw_class_c c = on_its_leak(&law, (rw_swing){out.anode_voltage_dc, out.anode_swing_pk, 0.0, out.grid_swing_pk}, &bias);
				const double found[5] = {c.anode_current_dc, c.anode_loss, c.grid_current_dc, c.grid_loss, c.cathode_current_pk};
				for (int f = 0; f < 5; f++)
					most[f] = greater(most[f], found[f]);
			}
		const double told[5] = {out.anode_current_greatest, out.anode_loss_greatest, out.grid_current_greatest, out.grid_loss_greatest,
		    out.cathode_current_pk_greatest};
		for (int f = 0; f < 5; f++) {   /* the corners are among the valves walked through: never over, but for class C means to 1e-9 */
			short_of = greater(short_of, 1.0 - told[f] / most[f]);
			assert_true(told[f] <= most[f] * (1.0 + 1e-7));
		}
		assert_true(out.sharing > 1.01);
		printf("load %.0f ohm: the greatest takes %.3f of the mean anode current, %.3f of the grid's\n", loads[l], out.sharing,
		    out.grid_current_greatest / out.grid_current_dc);
	}
	printf("corners short of the greatest in the spread by %.1e at most\n", short_of);
	assert_true(short_of < 1e-3);
}

/* Two unlike valves, each on its leak, at one swing and one supply: what both give over what the tank takes. */
typedef struct pair { rw_valve_law law[2]; rw_class_c of[2]; double voltage_dc, bias; } pair;

static double surplus_of(pair *p, double swing_pk, double conductance)
{
	p->voltage_dc = no_load;
	for (int turn = 0; turn < 60; turn++) {   /* contracts by source over the valves' own resistance, some hundredths a turn */
		for (int v = 0; v < 2; v++)
			p->of[v] = on_its_leak(&p->law[v], (rw_swing){p->voltage_dc, swing_pk, 0.0, ratio * swing_pk}, &p->bias);
		double next = no_load - source * (p->of[0].anode_current_dc + p->of[1].anode_current_dc);
		if (fabs(next - p->voltage_dc) < 1e-9 * no_load)
			break;
		p->voltage_dc = next;
	}
	double given = 0.0;
	for (int v = 0; v < 2; v++)
		given += p->of[v].anode_current_fund_pk - ratio * p->of[v].grid_current_fund_pk;
	return given / swing_pk - conductance;
}

static double balance(pair *p, double near, double conductance)
{
	double low = 0.9 * near, high = 1.1 * near;
	assert_true(surplus_of(p, low, conductance) > 0.0 && surplus_of(p, high, conductance) < 0.0);
	for (int turn = 0; turn < 45; turn++) {
		double middle = 0.5 * (low + high);
		if (surplus_of(p, middle, conductance) > 0.0)
			low = middle;
		else
			high = middle;
	}
	return 0.5 * (low + high);
}

static double worst_of(const pair *p, const rw_oscillator_case *mean, double swing)
{
	double current = (p->of[0].anode_current_dc + p->of[1].anode_current_dc) / (2.0 * mean->anode_current_dc) - 1.0;
	double loss = (p->of[0].anode_loss + p->of[1].anode_loss) / (2.0 * mean->anode_loss) - 1.0;
	double stronger = greater(p->of[0].anode_current_dc, p->of[1].anode_current_dc);
	double hotter = greater(p->of[0].anode_loss, p->of[1].anode_loss);
	printf("  two unlike, each side by side with the mean: swing %+.2e, current %+.2e, loss %+.2e; of the greater one: current %+.2e, loss %+.2e\n",
	    swing / mean->anode_swing_pk - 1.0, current, loss, mean->anode_current_greatest / stronger - 1.0, mean->anode_loss_greatest / hotter - 1.0);
	return greater(greater(fabs(swing / mean->anode_swing_pk - 1.0), fabs(current)), fabs(loss));
}

/* The mean valve for two at opposite corners of the spread. */
static void test_mean_for_two_unlike(void **state)
{
	(void)state;
	const double loads[] = {700.0, load, 9000.0};
	const double corner[2][2] = {{0.10, -0.05}, {0.10, 0.05}};
	double worst = 0.0, under = 1.0;
	for (size_t l = 0; l < 3; l++) {
		rw_error err;
		rw_oscillator_case mean = solved(loads[l]);
		const rw_spread spread = {0.10, 0.05};
		CHECK_OK(rw_oscillator_share(&mean_law, leak, &spread, &mean, &err), &err);
		for (int k = 0; k < 2; k++) {
			pair p = {.law = {rw_valve_law_times(&mean_law, 1.0 + corner[k][0], 1.0 + corner[k][1]),
			    rw_valve_law_times(&mean_law, 1.0 - corner[k][0], 1.0 - corner[k][1])}};
			double swing = balance(&p, mean.anode_swing_pk, 2.0 / loads[l]);
			worst = greater(worst, worst_of(&p, &mean, swing));
			for (int v = 0; v < 2; v++)
				under = fmin(under, mean.anode_current_greatest / p.of[v].anode_current_dc);
		}
	}
	printf("worst %.2e, greatest over true %.4f\n", worst, under);
	assert_true(worst < 0.02);    /* second order in the spread: 0.1^2 and what the curvature of the laws makes of it */
	assert_true(worst > 1e-5);    /* the two really are unlike */
	assert_true(under > 0.99);    /* what is told of the greatest is not under the true one by more than that */
}

/* Two alike are the mean itself: the other way of solving agrees with the room's. */
static void test_two_alike(void **state)
{
	(void)state;
	rw_oscillator_case mean = solved(load);
	pair p = {.law = {mean_law, mean_law}};
	double swing = balance(&p, mean.anode_swing_pk, 2.0 / load);
	CHECK_NEAR(swing, mean.anode_swing_pk, 1e-8, "halving to 1e-13 over class C means to 1e-9");
	CHECK_NEAR(p.of[1].anode_current_dc, mean.anode_current_dc, 1e-7, "two alike");
	CHECK_NEAR(p.of[0].grid_current_dc, mean.grid_current_dc, 1e-7, "two alike");
}

/* The greatest of five figures over the corners, the law read at anode volts over its factor of mu: what stands for another mu of a table. */
static void greatest_by_volts(const rw_spread *spread, const rw_oscillator_case *mean, double most[5])
{
	for (int corner = 0; corner < 4; corner++) {
		double mu = 1.0 + (corner & 1 ? spread->mu : -spread->mu), bias;
		rw_valve_law law = rw_valve_law_times(&mean_law, 1.0 + (corner & 2 ? spread->perveance : -spread->perveance), 1.0);
		rw_class_c c = on_its_leak(&law, (rw_swing){mean->anode_voltage_dc / mu, mean->anode_swing_pk / mu, 0.0, mean->grid_swing_pk}, &bias);
		const double found[5] = {c.anode_current_dc, mu * c.anode_loss, c.grid_current_dc, c.grid_loss, c.cathode_current_pk};
		for (int f = 0; f < 5; f++)
			most[f] = greater(most[f], found[f]);
	}
}

/* A table made from the law takes what the law takes, but for the surface between its points. */
static void test_by_points(void **state)
{
	(void)state;
	enum { ANODE = 24, GRID = 26 };
	static double cell[ANODE * GRID][4];
	rw_valve_law uncapped = mean_law;   /* the cap is the law's over any table */
	uncapped.emission = (double)INFINITY;
	for (int i = 0; i < ANODE * GRID; i++) {
		cell[i][0] = 20.0 * pow(600.0, i / GRID / (ANODE - 1.0));   /* 20 V to 12 kV */
		cell[i][1] = -750.0 + 75.0 * (i % GRID);
		rw_valve_currents(&uncapped, cell[i][0], cell[i][1], &cell[i][2], &cell[i][3]);
	}
	const rw_table table = {.n_rows = ANODE * GRID, .n_columns = 4, .cells = &cell[0][0]};
	rw_arena arena;
	rw_error err;
	rw_arena_init(&arena);
	const rw_valve_points *points;
	CHECK_OK(rw_valve_points_make(&arena, &table, &points, &err), &err);
	rw_valve_law by_points = {.law = RW_LAW_POINTS, .perveance = 1.0, .mu = 22.0, .emission = mean_law.emission, .points = points};
	const rw_spread spreads[] = {{0.1, 0.0}, {0.0, 0.05}, {0.1, 0.05}};
	for (int k = 0; k < 3; k++) {
		rw_oscillator_case law = solved(load), tabled = law;
		double most[5] = {0.0};
		CHECK_OK(rw_oscillator_share(&mean_law, leak, &spreads[k], &law, &err), &err);
		CHECK_OK(rw_oscillator_share(&by_points, leak, &spreads[k], &tabled, &err), &err);
		greatest_by_volts(&spreads[k], &law, most);
		CHECK_NEAR(tabled.anode_current_greatest, most[0], 0.004, "surface through points");
		CHECK_NEAR(tabled.anode_loss_greatest, most[1], 0.004, "surface through points");
		CHECK_NEAR(tabled.grid_current_greatest, most[2], 0.004, "surface through points");
		CHECK_NEAR(tabled.grid_loss_greatest, most[3], 0.004, "surface through points");
		CHECK_NEAR(tabled.cathode_current_pk_greatest, most[4], 0.004, "surface through points");
		printf("by points, over the law: anode current %.4f, dissipation %.4f, grid current %.4f, peak %.4f\n",
		    tabled.anode_current_greatest / law.anode_current_greatest, tabled.anode_loss_greatest / law.anode_loss_greatest,
		    tabled.grid_current_greatest / law.grid_current_greatest, tabled.cathode_current_pk_greatest / law.cathode_current_pk_greatest);
	}
	rw_arena_release(&arena);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_alone), cmocka_unit_test(test_corners_hold_all), cmocka_unit_test(test_two_alike),
		cmocka_unit_test(test_mean_for_two_unlike), cmocka_unit_test(test_by_points),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
