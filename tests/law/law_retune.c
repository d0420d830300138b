/* Retuning against the sets it would have found by trying: at the setting it takes the wanted holds, one step further it does not; what was
 * not moved gives the set as it stands, and a set retuned twice stays. */
#include "law.h"

/* The design with one setting of a job written as given. */
static void solve_with(const law_base *base, law_set *set, const rw_design *from, const char *key, int job, double value)
{
	rw_design *copy;
	rw_slot slot;
	rw_error err;
	law_start(set);
	CHECK_OK(rw_design_copy(&set->arena, from, &copy, &err), &err);
	rw_view view = {copy, NULL, job, RW_NO_CASE};
	CHECK_OK(rw_slot_find(&view, key, RW_NO_ELEMENT, &slot, &err), &err);
	CHECK_OK(rw_slot_set(copy, slot, value, &err), &err);
	CHECK_OK(law_solve(base, set, copy, &err), &err);
}

static void retune(const law_base *base, law_set *set, const rw_design *from)
{
	law_base turning = *base;
	rw_error err;
	law_start(set);
	turning.chain.retune = true;
	CHECK_OK(law_solve(&turning, set, from, &err), &err);
	set->chain.base = &base->chain;   /* turning ends here */
}

static int judged(const rw_chain *chain, int job) { return rw_chain_find_case(chain, job, chain->judged_load[job], 1, RW_NEW_VALVE); }

static double heat_of(const rw_chain *chain, int job) { return ((const rw_work_case *)rw_chain_case(chain, "work", judged(chain, job)))->heat; }

static double grid_of(const rw_chain *chain, int job)
{
	return ((const rw_oscillator_case *)rw_chain_case(chain, "oscillator", judged(chain, job)))->grid_current_dc;
}

static const rw_settings_in *settings_of(const rw_chain *chain, int job) { return rw_chain_in(chain, "settings", job); }

/* The set of the file with that setting one step on, all others as they were retuned: chain->full, in which they count as given. */
static double heat_one_on(const law_base *base, const law_set *turned, const char *key, double value)
{
	law_set on;
	solve_with(base, &on, turned->chain.full, key, 0, value);
	double heat = heat_of(&on.chain, 0);
	law_end(&on);
	return heat;
}

static void angle_is_the_greatest_that_does(void **state)
{
	const law_base *base = *state;
	static const char *const files[] = {"tests/files/ok/thyristor.yaml", "tests/files/ok/thyristor-deep.yaml", "tests/files/ok/thyristor-mean.yaml"};
	for (int f = 0; f < 3; f++) {
		law_set set, turned;
		law_solve_file(base, &set, files[f]);
		retune(base, &turned, set.generator.design);
		const rw_supply_in *supply = rw_chain_in(&turned.chain, "supply", 0);
		double angle = settings_of(&turned.chain, 0)->firing_angle, wanted = ((const rw_work_in *)rw_chain_in(&turned.chain, "work", 0))->heat_power;
		double before = settings_of(&set.chain, 0)->firing_angle;
		printf("  %s: %.4g to %.4g deg, heat %.5g to %.5g kW\n", files[f], before * 57.29578, angle * 57.29578, heat_of(&set.chain, 0) / 1e3,
		    heat_of(&turned.chain, 0) / 1e3);
		double steps = (angle - supply->firing_angle_min) / supply->firing_angle_step;
		assert_true(fabs(steps - round(steps)) < 1e-6 && angle < before);
		assert_true(heat_of(&set.chain, 0) < wanted && heat_of(&turned.chain, 0) >= wanted);
		assert_true(heat_one_on(base, &turned, "settings.firing_angle", angle + supply->firing_angle_step) < wanted);
		law_end(&turned);
		law_end(&set);
	}
}

static void ratio_is_the_least_that_does(void **state)
{
	const law_base *base = *state;
	law_set set, less, turned, twice;
	rw_error err;
	law_solve_file(base, &set, "tests/files/ok/variac.yaml");
	rw_design *design;
	rw_slot slot;
	CHECK_OK(rw_design_copy(&set.arena, set.generator.design, &design, &err), &err);
	rw_view view = {design, NULL, 0, RW_NO_CASE};
	CHECK_OK(rw_slot_find(&view, "work.heat_power", RW_NO_ELEMENT, &slot, &err), &err);
	retune(base, &less, set.chain.full);   /* the set frozen as it was sized; then for less heat */
	CHECK_OK(rw_design_copy(&set.arena, less.chain.full, &design, &err), &err);
	CHECK_OK(rw_slot_set(design, slot, 11.3e3, &err), &err);
	retune(base, &turned, design);
	double ratio = settings_of(&turned.chain, 0)->ht_ratio, step = ((const rw_supply_in *)rw_chain_in(&turned.chain, "supply", 0))->ratio_step;
	printf("  variac: %.5g for %.5g W, %.5g for 11.3 kW\n", settings_of(&less.chain, 0)->ht_ratio, heat_of(&less.chain, 0), ratio);
	assert_true(heat_of(&turned.chain, 0) >= 11.3e3 && ratio < settings_of(&less.chain, 0)->ht_ratio);
	assert_true(heat_one_on(base, &turned, "settings.ht_ratio", ratio - step) < 11.3e3);
	retune(base, &twice, turned.chain.full);
	assert_true(settings_of(&twice.chain, 0)->ht_ratio == ratio);
	assert_true(heat_of(&twice.chain, 0) == heat_of(&turned.chain, 0));
	law_end(&twice);
	law_end(&turned);
	law_end(&less);
	law_end(&set);
}

static void grid_keeps_its_share(void **state)
{
	const law_base *base = *state;
	law_set set, turned, on;
	law_solve_file(base, &set, "tests/files/ok/tap.yaml");
	retune(base, &turned, set.generator.design);
	const rw_tank_in *tank = rw_chain_in(&turned.chain, "tank", 0);
	double most = 0.70 * ((const rw_valve_in *)rw_chain_in(&turned.chain, "valve", 0))->grid_current_max;
	double mutual = settings_of(&turned.chain, 0)->grid_mutual;
	solve_with(base, &on, turned.chain.full, "settings.grid_mutual", 0, mutual + tank->grid_mutual_step);
	printf("  grid at %.4g uH: %.4g A, a step on %.4g A, at most %.4g A\n", mutual * 1e6, grid_of(&turned.chain, 0), grid_of(&on.chain, 0), most);
	assert_true(grid_of(&turned.chain, 0) <= most && grid_of(&on.chain, 0) > most);
	law_end(&on);
	law_end(&turned);
	law_end(&set);
}

/* Asked to turn what cannot be turned: the same figures, and a word on it. */
static int notes_on(const rw_solution *solution, const char *key)
{
	int n = 0;
	for (int i = 0; i < solution->n_notes; i++)
		n += strcmp(solution->notes[i].key, key) == 0;
	return n;
}

static void nothing_to_turn_changes_nothing(void **state)
{
	const law_base *base = *state;
	law_set set, turned;
	law_solve_file(base, &set, LAW_EXAMPLE);
	retune(base, &turned, set.generator.design);
	for (int k = 0; k < set.chain.solution->n_cases; k++)
		assert_memory_equal(rw_chain_case(&set.chain, "oscillator", k), rw_chain_case(&turned.chain, "oscillator", k), rw_oscillator_room.case_size);
	assert_int_equal(notes_on(turned.chain.solution, "supply.control"), 1 + notes_on(set.chain.solution, "supply.control"));
	law_end(&turned);
	law_end(&set);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(angle_is_the_greatest_that_does), cmocka_unit_test(ratio_is_the_least_that_does), cmocka_unit_test(grid_keeps_its_share),
		cmocka_unit_test(nothing_to_turn_changes_nothing),
	};
	return cmocka_run_group_tests(tests, law_group_open, law_group_close);
}
