/* Meters: readings by a network of the places, scales, leads. */
#include "tests/check.h"

#include "base/base.h"
#include "base/numeric.h"
#include "meters/meters.h"

static rw_meters_in placed(int place, int leak, int bleeder)
{
	rw_meters_in in;
	rw_room_blank(&rw_meters_room, &in, NULL, NULL);
	in.anode_place = place;
	in.leak_foot = leak;
	in.bleeder_foot = bleeder;
	rw_meters_choose_places(&in);
	return in;
}

/* Second route: the currents of the loops laid through the branches they run in. Branches: HT positive, cathode (of one valve), return. */
static double by_loops(int place, int leak, int bleeder, const rw_metered *c)
{
	double branch[3] = {0.0, 0.0, 0.0};
	branch[0] += c->valves * c->anode_current_dc;                 /* the anode's loop: out at positive, cathode, earth, return */
	branch[1] += c->anode_current_dc;
	branch[2] += c->valves * c->anode_current_dc;
	if (leak != RW_FOOT_CATHODE)                                  /* the grid's loop: cathode to earth, and back up the leak */
		branch[1] += c->grid_current_dc;
	if (leak == RW_FOOT_HT_NEGATIVE)                              /* and once through the return shunt, to the leak's foot behind it */
		branch[2] += c->valves * c->grid_current_dc;
	if (bleeder == RW_FOOT_EARTH)                                 /* the bleeder's loop: from the supply's own terminal, earth, return */
		branch[2] += c->bleeder_current_dc;
	return place == RW_ANODE_HT_POSITIVE ? branch[0] : place == RW_ANODE_CATHODE ? branch[1] : branch[2];
}

static void test_places(void **state)
{
	(void)state;
	const rw_metered c = {2.0, 3.71, 0.613, 0.0057};
	for (int place = 0; place < 3; place++)
		for (int leak = 0; leak < 3; leak++)
			for (int bleeder = 0; bleeder < 2; bleeder++) {
				rw_meters_in in = placed(place, leak, bleeder);
				CHECK_NEAR(rw_anode_reading(&in, &c), by_loops(place, leak, bleeder, &c), 1e-14, "loop currents");
			}
	rw_meters_in in = placed(-1, -1, -1);
	CHECK_NEAR(rw_anode_reading(&in, &c), 2.0 * (3.71 + 0.613), 1e-14, "rule R27: return, leak to HT negative, bleeder not read");
}

static void test_scales(void **state)
{
	(void)state;
	static const double given[] = {5.0, 5.0001, 7.6, 8.1, 0.99, 1.01, 11.9, 121.0, 1e3, 1.0000001e3, 0.0113}, want[] = {5.0, 6.0, 8.0, 10.0, 1.0, 1.2,
	    12.0, 150.0, 1e3, 1.2e3, 0.012};
	for (size_t k = 0; k < sizeof given / sizeof *given; k++)
		assert_true(rw_meter_scale(given[k]) == want[k]);
	assert_true(rw_meter_scale(5.0 * (1.0 + 1e-12)) == 5.0 && isnan(rw_meter_scale(0.0)) && isnan(rw_meter_scale((double)INFINITY)));
	for (double x = 1e-3; x < 1e3; x *= 1.0173)
		assert_true(rw_meter_scale(x) >= x * (1.0 - 1e-9) && rw_meter_scale(x) <= 1.334 * x);
}

static void test_sized(void **state)
{
	(void)state;
	rw_meters_set set;
	rw_error err;
	rw_meters_in in = placed(-1, -1, -1);
	rw_room_blank(&rw_meters_room, NULL, &set, NULL);
	set.anode_reading_greatest = 4.37;
	set.grid_reading_greatest = 0.97;
	set.voltage_reading_greatest = 9713.0;
	const rw_meter_facts facts = {5.46, 1.16, 10391.0, 7.2, 142.0, 217.0};
	CHECK_OK(rw_meters_choose_scales(&in, &set, &facts, &err), &err);
	rw_meters_solve(&in, &facts, &set);
	CHECK_NEAR(in.anode_scale, 6.0, 1e-15, "4.37/0.8 = 5.4625 up to a scale");
	CHECK_NEAR(in.grid_scale, 1.5, 1e-15, "0.97/0.8 = 1.2125");
	CHECK_NEAR(in.voltage_scale, 15e3, 1e-15, "9713/0.8 = 12141, and 10391 on it");
	CHECK_NEAR(in.divider_resistance, 15e6, 1e-12, "15 kV/1 mA less 10 kohm, three digits");
	CHECK_NEAR(set.fault_voltage_pk, 0.06 / 6.0 * 217.0, 1e-12, "Ohm");
	CHECK_NEAR(set.lead_voltage, 230.0, 1e-15, "the gap");
	CHECK_NEAR(set.foot_open_voltage, 10391.0 * 1e4 / (15e6 + 1e4), 1e-12, "divider");
	in.divider_foot_resistance = 5e6;
	rw_meters_solve(&in, &facts, &set);
	CHECK_NEAR(set.foot_open_voltage, 230.0, 1e-15, "the gap holds a foot that is too great");
	in.gap = RW_GAP_NONE;
	rw_meters_solve(&in, &facts, &set);
	CHECK_NEAR(set.lead_voltage, 10391.0, 1e-15, "an open shunt without a gap brings the HT to the meter");
	CHECK_NEAR(set.foot_open_voltage, 10391.0 * 5.0 / 20.0, 1e-12, "divider");
	in.gap = RW_GAP_FITTED;
	in.anode_place = RW_ANODE_HT_POSITIVE;
	rw_meters_solve(&in, &facts, &set);
	CHECK_NEAR(set.lead_voltage, 10391.0, 1e-15, "at HT always");
}

static void test_scale_under_its_foot(void **state)
{
	(void)state;
	rw_meters_set set;
	rw_error err;
	rw_meters_in in = placed(-1, -1, -1);
	rw_room_blank(&rw_meters_room, NULL, &set, NULL);
	const rw_meter_facts facts = {5.46, 1.16, 10391.0, 7.2, 142.0, 217.0};
	in.voltage_scale = 10.0;   /* 1 mA in 10 kohm */
	assert_int_equal(rw_meters_choose_scales(&in, &set, &facts, &err), RW_E_RANGE);
	assert_string_equal(err.key, "meters.voltage_scale");
	assert_true(isnan(in.divider_resistance));
}

static void test_no_case(void **state)
{
	(void)state;
	rw_meters_set set;
	rw_error err;
	rw_meters_in in = placed(-1, -1, -1);
	rw_room_blank(&rw_meters_room, NULL, &set, NULL);
	const rw_meter_facts facts = {(double)NAN, (double)NAN, 10391.0, 7.2, 142.0, 217.0};
	CHECK_OK(rw_meters_choose_scales(&in, &set, &facts, &err), &err);
	rw_meters_solve(&in, &facts, &set);
	assert_true(isnan(in.anode_scale) && isnan(in.voltage_scale) && isnan(in.divider_resistance) && isnan(set.fault_voltage_pk));
	assert_true(in.filament_voltage_scale == 10.0 && in.filament_current_scale == 200.0);   /* 9 V and 177.5 A, up */
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_places), cmocka_unit_test(test_scales), cmocka_unit_test(test_sized),
	    cmocka_unit_test(test_scale_under_its_foot), cmocka_unit_test(test_no_case)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
