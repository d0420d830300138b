/* 'Can this set do that job?': the asked job never sizes the set, and the pattern found is the edge of what passes. */
#include "law.h"

#define HEAVY "tests/files/accept/duty-too-heavy.yaml"

static rw_slot slot_of(const rw_design *design, const char *path)
{
	rw_view view = {design, NULL, 0, RW_NO_CASE};
	rw_slot slot;
	rw_error err;
	CHECK_OK(rw_slot_find(&view, path, RW_NO_ELEMENT, &slot, &err), &err);
	return slot;
}

/* Asks about a job of a file in which one input is given another value; path NULL: as it stands. */
static void ask(const law_base *base, law_set *set, const char *file, const char *job, const char *path, double value)
{
	char *bytes;
	size_t n;
	rw_error err;
	law_start(set);
	CHECK_OK(rw_file_read(&set->arena, file, &bytes, &n, &err), &err);
	CHECK_OK(law_bind(base, set, file, bytes, n, &err), &err);
	if (path)
		CHECK_OK(rw_slot_set(set->generator.design, slot_of(set->generator.design, path), value, &err), &err);
	CHECK_OK(rw_chain_can_do(&base->chain, set->generator.design, job, &set->arena, &set->work, &set->chain, &err), &err);
}

static void can(const law_base *base, const char *path, double value, bool does)
{
	law_set set;
	ask(base, &set, HEAVY, "pin", path, value);
	assert_int_equal(set.chain.asked->can, does);
	law_end(&set);
}

/* Three digits are told: within a hundredth beyond them it no longer passes. */
static void the_pattern_found_is_the_edge(void **state)
{
	law_set set;
	ask(*state, &set, HEAVY, "pin", NULL, 0.0);
	double on = set.chain.asked->longest_on_time, period = set.chain.asked->shortest_period;
	assert_true(set.chain.asked->duty_decides && on > 1.0 && on < 9.0 && period > 20.0 && period < 60.0);
	law_end(&set);
	can(*state, "jobs.pin.duty.on_time", on, true);
	can(*state, "jobs.pin.duty.on_time", 1.01 * on, false);
	can(*state, "jobs.pin.duty.period", period, true);
	can(*state, "jobs.pin.duty.period", 0.99 * period, false);
}

/* Every input of the set, after the job has been asked about with another heat and another duty. */
static void same_set(const rw_chain *a, const rw_chain *b)
{
	int compared = 0;
	for (int r = 0; r < a->full->registry->n_rooms; r++) {
		const rw_room *room = a->full->registry->rooms[r];
		if (room->per_job || room->in_size == 0)
			continue;
		assert_memory_equal(rw_design_in(a->full, r, 0), rw_design_in(b->full, r, 0), room->in_size);
		compared++;
	}
	assert_true(compared > 8);
}

static void the_asked_job_sizes_nothing(void **state)
{
	law_set as_it_is, other;
	ask(*state, &as_it_is, HEAVY, "pin", NULL, 0.0);
	ask(*state, &other, HEAVY, "pin", "jobs.pin.work.heat_power", 45e3);
	same_set(&as_it_is.chain, &other.chain);
	assert_false(other.chain.asked->can || other.chain.asked->duty_decides);
	CHECK_NEAR(other.chain.asked->heat_given, as_it_is.chain.asked->heat_given, 1e-12, "a measured load takes what the set gives");
	law_end(&other);
	ask(*state, &other, HEAVY, "pin", "jobs.pin.duty.on_time", 19.0);
	same_set(&as_it_is.chain, &other.chain);
	law_end(&other);
	law_end(&as_it_is);
}

/* Of a set whose every part is given the answer is that of the plain check, restricted to the job. */
static void a_frozen_set_answers_as_check_does(void **state)
{
	law_base *base = *state;
	law_set set, plain;
	rw_error err;
	ask(base, &set, HEAVY, "ring", NULL, 0.0);   /* the set is sized on it */
	law_solve_file(base, &plain, HEAVY);
	assert_true(set.chain.asked->sized_on_it && set.chain.asked->can);
	same_set(&set.chain, &plain.chain);
	int again = 0;
	for (int i = 0; i < set.chain.n_checks; i++)
		for (int k = 0; k < plain.chain.n_checks; k++) {
			const rw_check *asked = &set.chain.checks[i], *all = &plain.chain.checks[k];
			if (strcmp(asked->key, all->key) != 0 || asked->ok < 0)
				continue;
			assert_true(asked->scase < 0 || asked->job == set.chain.asked->job);
			assert_true(all->ok == 0 || all->margin <= asked->margin);
			again++;
		}
	assert_true(again > 20);
	rw_chain none;
	assert_int_equal(rw_chain_can_do(&base->chain, set.generator.design, "rin", &set.arena, &set.work, &none, &err), RW_E_USAGE);
	law_end(&plain);
	law_end(&set);
}

/* Where the shots of a year are given, no period is told that makes them more than a year. */
static void no_period_beyond_the_year(void **state)
{
	law_set set;
	ask(*state, &set, "tests/files/accept/duty-breaker.yaml", "pin", "jobs.pin.duty.shots_per_year", 20000.0);
	assert_true(set.chain.asked->duty_decides && isnan(set.chain.asked->shortest_period));
	CHECK_NEAR(set.chain.asked->longest_tried, 8766.0 * 3600.0 / 20000.0, 1e-12, "a year of 8766 h");
	law_end(&set);
	ask(*state, &set, HEAVY, "pin", "jobs.pin.duty.shots_per_year", 500000.0);   /* of 63 s at most */
	assert_true(set.chain.asked->shortest_period > 20.0 && set.chain.asked->shortest_period < 63.2);
	law_end(&set);
	ask(*state, &set, HEAVY, "pin", "jobs.pin.duty.shots_per_year", 1.4e6);   /* of 22.5 s at most, and they would need 24 s */
	assert_true(isnan(set.chain.asked->shortest_period) && set.chain.asked->longest_tried < 22.6);
	law_end(&set);
}

int main(void)
{
	const struct CMUnitTest tests[] = {cmocka_unit_test(the_pattern_found_is_the_edge), cmocka_unit_test(the_asked_job_sizes_nothing),
	    cmocka_unit_test(a_frozen_set_answers_as_check_does), cmocka_unit_test(no_period_beyond_the_year)};
	return cmocka_run_group_tests(tests, law_group_open, law_group_close);
}
