#include "rows.h"

#include "base/base.h"
#include "circuit/circuit.h"

/* Loop of the anode's capacitance, the lead and the tuning capacitor behind it (none: the lead ends at earth). */
static double loop_frequency(double l, double c, double c_series, rw_work *work)
{
	rw_error err;
	rw_net net;
	rw_net_start(&net, c_series > 0.0 ? 3 : 2);
	rw_net_add(&net, RW_PART_C, 1, 0, c, 0.0);
	rw_net_add(&net, RW_PART_L, 1, c_series > 0.0 ? 2 : 0, l, 0.0);
	if (c_series > 0.0)
		rw_net_add(&net, RW_PART_C, 2, 0, c_series, 0.0);
	rw_net_port(&net, 1, 0);
	double frequency = 0.0;
	int n = 0;
	CHECK_OK(rw_net_resonances(&net, 0, 30e6, 1e9, 60, NULL, NULL, work, &frequency, 1, &n, &err), &err);
	assert_int_equal(n, 1);
	return frequency;
}

static void valve_parasitic(void **state)
{
	(void)state;
	rw_work work;
	rw_work_init(&work);
	rw_rows rows = rw_rows_open("tests/reference/circuit/valve-parasitic.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		rw_row_check(row, loop_frequency(rw_row_input(row, "l"), rw_row_input(row, "c"), rw_row_input(row, "c_series"), &work));
	rw_work_release(&work);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(valve_parasitic)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
