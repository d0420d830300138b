/* Contracts between the rooms and those who use them: keys stay what they are when a list grows, and a room that nobody knows of takes part
 * in everything. */
#include <jansson.h>

#include "item/explain.h"
#include "item/rows.h"
#include "law.h"

/* ---- a branch inserted ---- */

enum { FIGURES_MAX = 4096 };

typedef struct figure { char key[96]; int scase; double value; char text[RW_TEXT_BYTES]; } figure;
typedef struct figures { int n; figure *at; } figures;

static void keep(void *context, const rw_view *view, rw_slot slot)
{
	figures *f = context;
	assert_true(f->n < FIGURES_MAX);
	figure *one = &f->at[f->n++];
	rw_slot_path(view->design, slot, one->key, sizeof one->key);
	one->scase = slot.scase;
	one->value = rw_slot_get(view, slot);
	snprintf(one->text, sizeof one->text, "%s", rw_slot_text(view, slot));
}

static figures all_of(const rw_chain *chain)
{
	figures f = {0, calloc(FIGURES_MAX, sizeof(figure))};
	assert_non_null(f.at);
	law_each_figure(chain, keep, &f);
	return f;
}

static const figure *find(const figures *f, const char *key, int scase)
{
	for (int i = 0; i < f->n; i++)
		if (f->at[i].scase == scase && strcmp(f->at[i].key, key) == 0)
			return &f->at[i];
	return NULL;
}

static bool same(const figure *a, const figure *b)
{
	return strcmp(a->text, b->text) == 0 && (isnan(a->value) ? isnan(b->value) : a->value == b->value);
}

/* Totals over the branches. All of them must move, and nothing else. */
static const char *const totals[] = {"water.flow_total", "water.heat", "water.leakage_loss"};
enum { N_TOTALS = sizeof totals / sizeof totals[0] };

static int total_of(const char *key)
{
	for (int i = 0; i < N_TOTALS; i++)
		if (strcmp(totals[i], key) == 0)
			return i;
	return -1;
}

static void compare(const figures *was, const figures *now, const char *own)
{
	int moved[N_TOTALS] = {0}, faults = 0, new = 0;
	for (int i = 0; i < was->n; i++) {
		const figure *a = &was->at[i], *b = find(now, a->key, a->scase);
		int total = total_of(a->key);
		assert_non_null(b);
		if (same(a, b))
			continue;
		if (total >= 0) {
			moved[total]++;
			continue;
		}
		print_error("%s of case %d was %.17g, is %.17g\n", a->key, a->scase, a->value, b->value);
		faults++;
	}
	for (int i = 0; i < now->n; i++)
		if (!find(was, now->at[i].key, now->at[i].scase)) {
			new++;
			if (strncmp(now->at[i].key, own, strlen(own)) != 0) {
				print_error("%s is new\n", now->at[i].key);
				faults++;
			}
		}
	assert_int_equal(faults, 0);
	assert_true(new > 0);
	for (int i = 0; i < N_TOTALS; i++)
		if (!moved[i])
			fail_msg("%s has not moved", totals[i]);
}

static void compare_checks(const rw_chain *was, const rw_chain *now, const char *own)
{
	for (int i = 0; i < was->n_checks; i++) {
		const rw_check *a = &was->checks[i], *b = NULL;
		for (int k = 0; k < now->n_checks; k++)
			if (strcmp(now->checks[k].key, a->key) == 0)
				b = &now->checks[k];
		assert_non_null(b);
		assert_true(a->ok == b->ok && a->scase == b->scase && (isnan(a->value) ? isnan(b->value) : a->value == b->value));
	}
	int own_checks = 0;
	for (int k = 0; k < now->n_checks; k++)
		own_checks += strstr(now->checks[k].key, own) != NULL;
	assert_int_equal(now->n_checks, was->n_checks + own_checks);
	assert_true(own_checks > 0);
}

static void insert_before(const law_base *base, const char *mark)
{
	static const char branch[] = "    shield:                # invented, of its own heat\n      takes: given\n      heat: 730 W\n      potential: ht\n";
	law_set was, now;
	rw_text text;
	rw_text_init(&text);
	law_solve_file(base, &was, LAW_EXAMPLE);
	const char *at = strstr(was.bytes, mark);
	assert_non_null(at);
	rw_text_add_n(&text, was.bytes, (size_t)(at - was.bytes));
	rw_text_add(&text, branch);
	rw_text_add(&text, at);
	law_solve_text(base, &now, LAW_EXAMPLE, text.bytes, text.n);
	figures a = all_of(&was.chain), b = all_of(&now.chain);
	compare(&a, &b, "water.branches.shield.");
	compare_checks(&was.chain, &now.chain, ".shield");
	free(a.at);
	free(b.at);
	law_end(&was);
	law_end(&now);
	rw_text_release(&text);
}

static void a_branch_moves_no_other(void **state)
{
	insert_before(*state, "    anode:  ");   /* before the others */
	insert_before(*state, "    tank:  ");    /* between them */
	insert_before(*state, "    coil:  ");
	insert_before(*state, "\nprotection:");  /* after them */
}

/* ---- a room nobody knows of ---- */

typedef struct dummy_in { double share; } dummy_in;
typedef struct dummy_case { double warmth; } dummy_case;

static const rw_item dummy_items[] = {
	{RW_NUMBER_OF(dummy_in, share, fraction, "k_x", "share of the anode's loss that warms the hall"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_IS("0.0385", "rules-of-practice")), RW_INPUT(RW_FROM_TO(0.0, 1.0), RW_RULE("R99", "3.85 %, invented", "rules-of-practice"))},
	{RW_NUMBER_OF(dummy_case, warmth, power, "P_x", "heat into the hall"), .role = RW_RESULT, .scope = RW_PER_CASE,
	 RW_FORMULAS(RW_IS("dummy.share * oscillator.anode_loss", "energy"))},
};

static const rw_limit dummy_limits[] = {
	{.key = "dummy.warmth", .figure = "dummy.warmth", .limit = "0.1 * work.heat_power", .sense = RW_AT_MOST, .text = "heat into the hall",
	 .source = "rules-of-practice", .remedy = "open a window"},
};

static const rw_room dummy_room = {
	.name = "dummy", .text = "Dummy", .in_size = sizeof(dummy_in), .case_size = sizeof(dummy_case), .items = dummy_items, .n_items = 2,
	.limits = dummy_limits, .n_limits = 1,
};

static rw_status dummy_choose(rw_chain *chain, rw_error *err)
{
	(void)err;
	dummy_in *in = rw_chain_in(chain, "dummy", 0);
	if (isnan(in->share))
		in->share = 0.0385;
	rw_chain_mark_filled(chain, "dummy", NULL);
	return RW_OK;
}

static rw_status dummy_rate(rw_chain *chain, int scase, rw_work *work, rw_error *err)
{
	(void)work, (void)err;
	if (chain->solution->why_not[scase])
		return RW_OK;
	const dummy_in *in = rw_chain_in(chain, "dummy", 0);
	const rw_oscillator_case *oscillator = rw_chain_case(chain, "oscillator", scase);
	((dummy_case *)rw_chain_case(chain, "dummy", scase))->warmth = in->share * oscillator->anode_loss;
	rw_chain_case_done(chain, "dummy", scase);
	return RW_OK;
}

typedef struct extended {
	rw_stage stage[32];
	const rw_room *room[32];
	rw_registry registry;
	rw_stages stages;
} extended;

static void extend(extended *e)
{
	int n = rw_all_stages.n;
	assert_true(n < 32);
	memcpy(e->stage, rw_all_stages.stage, sizeof *e->stage * (size_t)n);
	memcpy(e->room, rw_all_stages.registry->rooms, sizeof *e->room * (size_t)n);
	e->stage[n] = (rw_stage){.room = &dummy_room, .choose = dummy_choose, .rate = dummy_rate};
	e->room[n] = &dummy_room;
	e->registry = (rw_registry){e->room, n + 1};
	e->stages = (rw_stages){e->stage, n + 1, &e->registry};
}

static double warmth(const rw_chain *chain, int scase)
{
	rw_view view = rw_chain_view(chain, 0, scase);
	rw_slot slot;
	rw_error err;
	CHECK_OK(rw_slot_find(&view, "dummy.warmth", RW_NO_ELEMENT, &slot, &err), &err);
	return rw_slot_get(&view, slot);
}

static double anode_loss(const rw_chain *chain, int scase)
{
	return ((const rw_oscillator_case *)rw_chain_case(chain, "oscillator", scase))->anode_loss;
}

static void check_explain(const law_base *base, law_set *set)
{
	const rw_graph *graph;
	rw_text text;
	rw_error err;
	rw_text_init(&text);
	CHECK_OK(rw_graph_new(&set->arena, base->chain.stages->registry, &graph, &err), &err);
	rw_view view = rw_chain_view(&set->chain, 0, set->chain.solution->design_case);
	rw_explain_options options = {.depth = 2};
	CHECK_OK(rw_explain(&view, base->units, graph, &set->arena, "dummy.warmth", &options, &text, &err), &err);
	assert_non_null(strstr(text.bytes, "heat into the hall"));
	assert_non_null(strstr(text.bytes, "dummy.share"));
	assert_non_null(strstr(text.bytes, "R99"));
	assert_non_null(strstr(text.bytes, "oscillator.anode_loss"));
	rw_text_release(&text);
}

static void check_json(law_set *set)
{
	rw_text text;
	rw_error err;
	json_error_t fault;
	rw_text_init(&text);
	CHECK_OK(rw_chain_json(&set->chain, &text, &err), &err);
	json_t *root = json_loads(text.bytes, JSON_REJECT_DUPLICATES, &fault);
	assert_non_null(root);
	json_t *share = json_object_get(json_object_get(root, "figures"), "dummy.share");
	assert_string_equal(json_string_value(json_object_get(share, "state")), "chosen");
	assert_string_equal(json_string_value(json_object_get(share, "rule")), "R99");
	assert_true(json_real_value(json_object_get(share, "value")) == 0.0385);
	json_t *cases = json_object_get(root, "cases");
	assert_int_equal(json_array_size(cases), set->chain.solution->n_cases);
	for (size_t k = 0; k < json_array_size(cases); k++) {
		json_t *figure_ = json_object_get(json_object_get(json_array_get(cases, k), "figures"), "dummy.warmth");
		double want = warmth(&set->chain, (int)k);
		rw_check_near(json_real_value(json_object_get(figure_, "value")), want, 1e-14, want, "dummy.warmth", "JSON, 15 digits", __FILE__, __LINE__);
	}
	bool checked = false;
	for (size_t i = 0; i < json_array_size(json_object_get(root, "checks")); i++)
		checked = checked || strcmp(json_string_value(json_object_get(json_array_get(json_object_get(root, "checks"), i), "key")), "dummy.warmth") == 0;
	assert_true(checked);
	json_decref(root);
	rw_text_release(&text);
}

static void check_sweep(const law_base *base, const law_set *set)
{
	rw_view view = {set->generator.design, NULL, 0, RW_NO_CASE};
	rw_slot slot;
	rw_error err;
	CHECK_OK(rw_slot_find(&view, "dummy.share", RW_NO_ELEMENT, &slot, &err), &err);
	for (double share = 0.013; share < 1.0; share *= 3.7) {
		law_set one;
		rw_design *copy;
		law_start(&one);
		CHECK_OK(rw_design_copy(&one.arena, set->generator.design, &copy, &err), &err);
		CHECK_OK(rw_slot_set(copy, slot, share, &err), &err);
		CHECK_OK(law_solve(base, &one, copy, &err), &err);
		for (int k = 0; k < one.chain.solution->n_cases; k++) {
			assert_true(warmth(&one.chain, k) == share * anode_loss(&one.chain, k));
			assert_true(anode_loss(&one.chain, k) == anode_loss(&set->chain, k));
		}
		law_end(&one);
	}
	rw_design *copy;
	rw_arena arena;
	rw_arena_init(&arena);
	CHECK_OK(rw_design_copy(&arena, set->generator.design, &copy, &err), &err);
	assert_int_equal(rw_slot_set(copy, slot, 1.2, &err), RW_E_VALUE);
	rw_arena_release(&arena);
}

/* Given in the file, misspelt in the file, adopted into the file. */
static void check_file(const law_base *base, const law_set *set)
{
	law_set given, wrong;
	rw_text text;
	rw_error err;
	int n_put;
	static const char *const key = "dummy.share";
	rw_text_init(&text);
	CHECK_OK(rw_yaml_put(set->bytes, set->n, key, "7.3 %", &text, &err), &err);
	law_solve_text(base, &given, "given", text.bytes, text.n);
	assert_true(warmth(&given.chain, 0) == 0.073 * anode_loss(&given.chain, 0));
	law_end(&given);
	CHECK_OK(rw_yaml_put(set->bytes, set->n, "dummy.shore", "7.3 %", &text, &err), &err);
	law_start(&wrong);
	assert_int_equal(law_bind(base, &wrong, "wrong", text.bytes, text.n, &err), RW_E_KEY);
	assert_non_null(strstr(err.hint, "share"));
	law_end(&wrong);
	CHECK_OK(rw_generator_adopt(&set->generator, base->units, set->chain.full, &key, 1, &text, &n_put, &err), &err);
	assert_int_equal(n_put, 1);
	assert_non_null(strstr(text.bytes, "dummy:\n  share: 3.85 %\n"));
	rw_text_release(&text);
}

static void a_room_is_added_without_touching_another(void **state)
{
	(void)state;
	static extended e;
	static law_base base;
	law_set set;
	extend(&e);
	law_open_on(&base, &e.stages);
	law_solve_file(&base, &set, LAW_EXAMPLE);
	for (int k = 0; k < set.chain.solution->n_cases; k++)
		assert_true(warmth(&set.chain, k) == 0.0385 * anode_loss(&set.chain, k) && warmth(&set.chain, k) > 0.0);
	check_explain(&base, &set);
	check_json(&set);
	check_sweep(&base, &set);
	check_file(&base, &set);
	law_end(&set);
	law_close(&base);
}

/* And every other figure is what it is without that room. */
static void the_room_moves_no_other(void **state)
{
	static extended e;
	static law_base base;
	law_set with, without;
	extend(&e);
	law_open_on(&base, &e.stages);
	law_solve_file(&base, &with, LAW_EXAMPLE);
	law_solve_file(*state, &without, LAW_EXAMPLE);
	figures a = all_of(&without.chain), b = all_of(&with.chain);
	for (int i = 0; i < a.n; i++) {
		const figure *other = find(&b, a.at[i].key, a.at[i].scase);
		assert_non_null(other);
		assert_true(same(&a.at[i], other));
	}
	assert_int_equal(b.n, a.n + 1 + with.chain.solution->n_cases);
	free(a.at);
	free(b.at);
	law_end(&with);
	law_end(&without);
	law_close(&base);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_branch_moves_no_other), cmocka_unit_test(a_room_is_added_without_touching_another), cmocka_unit_test(the_room_moves_no_other),
	};
	return cmocka_run_group_tests(tests, law_group_open, law_group_close);
}
