/* What goes by the pattern is judged alike in every connection of the supply: the rating chosen by rule bears the duty with its margin of 5 %,
 * half of it does not. */
#include "law.h"

#include "mains/mains.h"
#include "supply/supply.h"

/* Its rating to the volt-ampere, so that rounding is far below the margin. Coil figures invented. */
#define SET_IN \
	"format: 1\n" \
	"generator: {name: Pattern, frequency: 400 kHz, plane: work}\n" \
	"site: {mains_voltage_rms: 400 V, mains_frequency: 50 Hz}\n" \
	"valve: {type: \"810\"}\n" \
	"supply: {connection: %s, rated_power_step: 1 VA}\n" \
	"water: {inlet_temperature: 30 degC, branches: {coil: {takes: coil, potential: earth}}}\n" \
	"jobs:\n" \
	"  a:\n" \
	"    duty: {on_time: 6 s, period: 15 s}\n" \
	"    work:\n" \
	"      heat_power: 300 W\n" \
	"      empty: empty\n" \
	"      loads:\n" \
	"        hot:\n" \
	"          impedance: |\n" \
	"            frequency/kHz resistance/ohm reactance/ohm\n" \
	"            300 2.0 26\n" \
	"            500 2.6 43\n" \
	"        empty:\n" \
	"          impedance: |\n" \
	"            frequency/kHz resistance/ohm reactance/ohm\n" \
	"            300 0.3 32\n" \
	"            500 0.4 53\n" \
	"    leads: {length: 200 mm, diameter: 6 mm, spacing: 15 mm}\n"

/* Solved and checked, the continuous rating of the transformer given; 0: left to the rule. */
static void solve(const law_base *base, law_set *set, const char *name, const char *bytes, size_t n, double transformer_power)
{
	rw_error err;
	rw_slot slot;
	law_start(set);
	CHECK_OK(law_bind(base, set, name, bytes, n, &err), &err);
	rw_view view = {set->generator.design, NULL, 0, RW_NO_CASE};
	if (transformer_power > 0.0) {
		CHECK_OK(rw_slot_find(&view, "mains.transformer_power", RW_NO_ELEMENT, &slot, &err), &err);
		CHECK_OK(rw_slot_set(set->generator.design, slot, transformer_power, &err), &err);
	}
	CHECK_OK(law_solve(base, set, set->generator.design, &err), &err);
	CHECK_OK(rw_chain_check(&set->chain, &err), &err);
}

static const rw_check *check_of(const rw_chain *chain, const char *key)
{
	for (int i = 0; i < chain->n_checks; i++)
		if (strcmp(chain->checks[i].key, key) == 0)
			return &chain->checks[i];
	fail_msg("there is no check '%s'", key);
	return NULL;
}

static double rating(const law_set *set) { return ((const rw_mains_in *)rw_chain_in(&set->chain, "mains", 0))->transformer_power; }

/* Secondaries, and volt-amperes of one over its line volts times line current: counted here, not read from the program. */
static const struct { const char *connection; double secondaries, phases; } wound[] = {
	{"bridge", 1.0, 1.7320508075688773}, {"twelve_series", 2.0, 1.7320508075688773}, {"twelve_parallel", 2.0, 1.7320508075688773},
	{"half_wave", 1.0, 1.7320508075688773}, {"single_phase", 1.0, 1.0},
};

static void the_transformer_bears_what_it_was_chosen_for(void **state)
{
	for (size_t i = 0; i < sizeof wound / sizeof wound[0]; i++) {
		char text[2000];
		law_set chosen, half;
		int n = snprintf(text, sizeof text, SET_IN, wound[i].connection);
		solve(*state, &chosen, wound[i].connection, text, (size_t)n, 0.0);
		const rw_check *c = check_of(&chosen.chain, "duty.transformer_current");
		double volts = ((const rw_supply_in *)rw_chain_in(&chosen.chain, "supply", 0))->secondary_voltage_rms;
		double mains = chosen.chain.solution->cases[c->scase].mains == 2 ? 1.1 : 1.0;   /* the limit goes with mains above nominal */
		CHECK_NEAR(c->margin, 1.0 - wound[i].secondaries * wound[i].phases * volts * c->value / (1.05 * mains * rating(&chosen)), 1e-9,
		    "volt-amperes of all secondaries");
		assert_true(c->ok == 1 && c->margin > 0.04 && c->margin < 0.06);   /* 1 - 1/1.05, overlap, the volt-ampere */
		solve(*state, &half, wound[i].connection, text, (size_t)n, 0.5 * rating(&chosen));
		const rw_check *over = check_of(&half.chain, "duty.transformer_current");
		assert_int_equal(over->ok, 0);
		CHECK_NEAR(over->margin, 2.0 * c->margin - 1.0, 1e-9, "half the rating bears half the current");
		law_end(&half);
		law_end(&chosen);
	}
}

static void a_twelve_pulse_set_of_half_the_rating_is_over(void **state)
{
	law_base *base = *state;
	law_set as_it_is, half;
	law_solve_file(base, &as_it_is, "examples/upset-50.yaml");
	solve(base, &half, "examples/upset-50.yaml", as_it_is.bytes, as_it_is.n, 52e3);
	assert_true(rating(&as_it_is) > 90e3);
	assert_int_equal(check_of(&half.chain, "duty.transformer_current")->ok, 0);
	law_end(&half);
	law_end(&as_it_is);
}

/* The breaker's magnetic trip must see the least short-circuit current: weaker mains of the same set, and it no longer does. */
static void the_least_short_trips_the_breaker(void **state)
{
	law_base *base = *state;
	law_set stiff, weak;
	rw_error err;
	rw_slot slot;
	law_solve_file(base, &stiff, "examples/upset-50.yaml");
	const rw_supply_set *supply = rw_chain_set(&stiff.chain, "supply", 0);
	const rw_supply_in *in = rw_chain_in(&stiff.chain, "supply", 0);
	const rw_mains_set *mains = rw_chain_set(&stiff.chain, "mains", 0);
	CHECK_NEAR(mains->fault_current_rms, 2.0 * supply->fault_current_least_rms * in->secondary_voltage_rms / 400.0, 1e-12,
	    "both secondaries, through the turns");
	CHECK_OK(rw_chain_check(&stiff.chain, &err), &err);
	assert_int_equal(check_of(&stiff.chain, "mains.breaker_fault")->ok, 1);
	law_start(&weak);
	CHECK_OK(law_bind(base, &weak, "weak", stiff.bytes, stiff.n, &err), &err);
	rw_view view = {weak.generator.design, NULL, 0, RW_NO_CASE};
	CHECK_OK(rw_slot_find(&view, "site.fault_level_least", RW_NO_ELEMENT, &slot, &err), &err);
	CHECK_OK(rw_slot_set(weak.generator.design, slot, 2e6, &err), &err);
	CHECK_OK(law_solve(base, &weak, weak.generator.design, &err), &err);
	CHECK_OK(rw_chain_check(&weak.chain, &err), &err);
	assert_int_equal(check_of(&weak.chain, "mains.breaker_fault")->ok, 0);
	law_end(&weak);
	law_end(&stiff);
}

int main(void)
{
	const struct CMUnitTest tests[] = {cmocka_unit_test(the_transformer_bears_what_it_was_chosen_for),
	    cmocka_unit_test(a_twelve_pulse_set_of_half_the_rating_is_over), cmocka_unit_test(the_least_short_trips_the_breaker)};
	return cmocka_run_group_tests(tests, law_group_open, law_group_close);
}
