/* The invented 40 kW valve at the points of docs/practice-40kw.md: the room's quadrature against a separate one. */
#include "tests/check.h"

#include "base/base.h"
#include "tests/reference/class_c_row.h"

static double figure_of(const rw_class_c *p, const rw_swing *s, const char *key)
{
	double output = 0.5 * s->anode_swing_pk * p->anode_current_fund_pk, drive = 0.5 * s->grid_swing_pk * p->grid_current_fund_pk;
	const named figures[] = {
		{"anode_current", p->anode_current_dc}, {"grid_current", p->grid_current_dc},
		{"output", output},                     {"efficiency", output / (s->anode_voltage_dc * p->anode_current_dc)},
		{"drive", drive},                       {"grid_loss", p->grid_loss},
		{"leak", drive - p->grid_loss},
	};
	return value_named(figures, sizeof figures / sizeof *figures, key);
}

static void test_points(void **state)
{
	(void)state;
	rw_error err;
	int n = 0;
	rw_rows rows = rw_rows_open("tests/reference/valve/practice-40kw.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL; n++) {
		const rw_valve_law law = {.law = RW_LAW_DIVIDED, .perveance = rw_row_input(row, "perveance"), .mu = rw_row_input(row, "mu"),
		                          .division = rw_row_input(row, "division"), .emission = (double)INFINITY};
		const rw_swing swing = class_c_swing(row);
		rw_class_c point;
		CHECK_OK(rw_class_c_solve(&law, &swing, 1e-10, &point, &err), &err);
		rw_row_check(row, figure_of(&point, &swing, row->key));
		/* What the grid does not burn goes into the leak: two integrals and a mean, each to 1e-10 */
		double drive = figure_of(&point, &swing, "drive");
		CHECK_NEAR_SCALE(drive - point.grid_loss, -swing.grid_bias * point.grid_current_dc, 1e-9, drive, "energy");
	}
	assert_int_equal(n, 21);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_points)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
