/* Contracts between the rooms and those who use them: keys stay what they are when a list grows, and a room that nobody knows of takes part
 * in everything. */
#include <jansson.h>

#include "item/explain.h"
#include "item/rows.h"
#include "law.h"

/* ---- figures by name ---- */

enum { FIGURES_MAX = 32768 };

/* whose: "/JOB/LOAD/MAINS" of a case, "/JOB/" of a job, "" of the set: indices move when a list grows, names do not. */
typedef struct figure { char key[96], whose[96]; double value; char text[RW_TEXT_BYTES]; } figure;
typedef struct figures { int n; figure *at; const rw_chain *chain; } figures;

static void name_case(const rw_chain *chain, int scase, char *out, size_t room)
{
	const rw_case_name *name = &chain->solution->cases[scase];
	snprintf(out, room, "/%s/%s/%d", chain->full->job_names[name->job], name->load_name, name->mains);
}

static void keep(void *context, const rw_view *view, rw_slot slot)
{
	figures *f = context;
	assert_true(f->n < FIGURES_MAX);
	figure *one = &f->at[f->n++];
	rw_slot_path(view->design, slot, one->key, sizeof one->key);
	one->whose[0] = '\0';
	if (slot.scase >= 0)
		name_case(f->chain, slot.scase, one->whose, sizeof one->whose);
	else if (view->design->registry->rooms[slot.room]->per_job)
		snprintf(one->whose, sizeof one->whose, "/%s/", view->design->job_names[slot.job]);
	one->value = rw_slot_get(view, slot);
	snprintf(one->text, sizeof one->text, "%s", rw_slot_text(view, slot));
}

static figures all_of(const rw_chain *chain)
{
	figures f = {0, calloc(FIGURES_MAX, sizeof(figure)), chain};
	assert_non_null(f.at);
	law_each_figure(chain, keep, &f);
	return f;
}

/* from: where it was met last, for the order of both is the same but for what is new; kept. */
static const figure *find(const figures *f, const figure *like, int *from)
{
	for (int k = 0; k < f->n; k++) {
		int i = (*from + k) % f->n;
		if (strcmp(f->at[i].key, like->key) == 0 && strcmp(f->at[i].whose, like->whose) == 0) {
			*from = i + 1;
			return &f->at[i];
		}
	}
	return NULL;
}

static bool same(const figure *a, const figure *b)
{
	return strcmp(a->text, b->text) == 0 && (isnan(a->value) ? isnan(b->value) : a->value == b->value);
}

/* ---- a list of the file grown by one ---- */

typedef struct growth {
	const law_base *base;
	const char *path;
	law_set was;
	const char *own;              /* name of what is put in */
	const char *const *moving;    /* keys that move, NULL-ended */
	bool twin;                    /* what is put in is like another: it may take that one's marks, and nothing else moves */
} growth;

static int moving_of(const growth *g, const char *key)
{
	for (int i = 0; g->moving[i]; i++)
		if (strcmp(g->moving[i], key) == 0)
			return i;
	return -1;
}

/* Is this name one of the path's or of the case's? */
static bool is_own(const growth *g, const char *key, const char *whose)
{
	char in_key[40], in_case[40];
	snprintf(in_key, sizeof in_key, ".%s.", g->own);
	snprintf(in_case, sizeof in_case, "/%s/", g->own);
	return strstr(key, in_key) || strstr(whose, in_case);
}

/* A mark that one of two alike has, and the other had. */
static bool passed(const growth *g, const figure *was, const figure *now)
{
	return strcmp(now->text, g->own) == 0 || (was->value == 1.0 && now->value == 0.0);
}

static void compare(const growth *g, const figures *was, const figures *now)
{
	unsigned moved = 0, want = 0;
	int faults = 0, new = 0, from = 0;
	for (int i = 0; i < was->n; i++) {
		const figure *a = &was->at[i], *b = find(now, a, &from);
		int moving = moving_of(g, a->key);
		assert_non_null(b);
		if (same(a, b))
			continue;
		if (moving >= 0 && (!g->twin || passed(g, a, b))) {
			moved |= 1U << moving;
			continue;
		}
		print_error("%s, %s: %s of %s was %.17g %s, is %.17g %s\n", g->path, g->own, a->key, a->whose, a->value, a->text, b->value, b->text);
		faults++;
	}
	from = 0;
	for (int i = 0; i < now->n; i++) {
		const figure *b = &now->at[i];
		if (find(was, b, &from))
			continue;
		new++;
		if (!is_own(g, b->key, b->whose)) {
			print_error("%s, %s: %s of %s is new\n", g->path, g->own, b->key, b->whose);
			faults++;
		}
	}
	assert_int_equal(faults, 0);
	assert_true(new > 0 && now->n == was->n + new);
	for (int i = 0; !g->twin && g->moving[i]; i++)
		want |= 1U << i;
	if ((moved & want) != want)
		fail_msg("%s, %s: not all totals have moved", g->path, g->own);
}

/* Checks by key and job; of checks that are as they were, the case they are told of may be the like one put in. */
static void compare_checks(const growth *g, const rw_chain *was, const rw_chain *now)
{
	int own = 0;
	for (int i = 0; i < was->n_checks; i++) {
		const rw_check *a = &was->checks[i], *b = NULL;
		char whose_a[96] = "", whose_b[96] = "";
		for (int k = 0; k < now->n_checks && !b; k++)
			if (strcmp(now->checks[k].key, a->key) == 0)
				b = &now->checks[k];
		assert_non_null(b);
		if (a->scase >= 0 && b->scase >= 0) {
			name_case(was, a->scase, whose_a, sizeof whose_a);
			name_case(now, b->scase, whose_b, sizeof whose_b);
		}
		bool held = a->ok == b->ok && (isnan(a->value) ? isnan(b->value) : a->value == b->value) && (a->scase < 0) == (b->scase < 0);
		if (!held || (strcmp(whose_a, whose_b) != 0 && !is_own(g, "", whose_b)))
			fail_msg("%s, %s: check %s was %.17g in %s, is %.17g in %s", g->path, g->own, a->key, a->value, whose_a, b->value, whose_b);
	}
	for (int k = 0; k < now->n_checks; k++) {
		char key[100];
		snprintf(key, sizeof key, "%s.", now->checks[k].key);
		own += is_own(g, key, "");
	}
	assert_int_equal(now->n_checks, was->n_checks + own);
	assert_true(own > 0 || g->twin);
}

/* The lines put in at that byte. */
static void grow(growth *g, size_t at, const char *lines)
{
	law_set now;
	rw_text text;
	rw_text_init(&text);
	rw_text_add_n(&text, g->was.bytes, at);
	rw_text_add(&text, lines);
	rw_text_add(&text, g->was.bytes + at);
	law_solve_text(g->base, &now, g->path, text.bytes, text.n);
	figures a = all_of(&g->was.chain), b = all_of(&now.chain);
	compare(g, &a, &b);
	compare_checks(g, &g->was.chain, &now.chain);
	free(a.at);
	free(b.at);
	law_end(&now);
	rw_text_release(&text);
}

static size_t line_of(const char *bytes, const rw_node *node)
{
	size_t at = node->key_at.start;
	while (at > 0 && bytes[at - 1] != '\n')
		at--;
	return at;
}

static size_t line_after(const char *bytes, const rw_node *node)
{
	size_t at = node->value_at.end;
	if (at > 0 && bytes[at - 1] == '\n')
		return at;
	at += strcspn(bytes + at, "\n");
	return at + (bytes[at] == '\n');
}

static const rw_node *last_of(const rw_node *list)
{
	const rw_node *last = list->first;
	while (last->next)
		last = last->next;
	return last;
}

/* The element once more under another name, before all and after all. */
static void grow_by_twin(growth *g, const rw_node *list, const rw_node *element)
{
	const char *bytes = g->was.bytes;
	rw_text lines;
	size_t start = line_of(bytes, element);
	rw_text_init(&lines);
	rw_text_add_n(&lines, bytes + start, element->key_at.start - start);
	rw_text_add(&lines, g->own);
	rw_text_add_n(&lines, bytes + element->key_at.end, line_after(bytes, element) - element->key_at.end);
	grow(g, line_of(bytes, list->first), lines.bytes);
	grow(g, line_after(bytes, last_of(list)), lines.bytes);
	rw_text_release(&lines);
}

/* Examples; all files with RW_LONG. */
static bool wanted(const char *path) { return law_is_example(path) || getenv("RW_LONG"); }

/* Totals over the branches. All of them must move, and nothing else. */
static const char *const totals[] = {"water.flow_total", "water.heat", "water.leakage_loss", "duty.water_heat", "duty.resting_water_heat", NULL};

/* Before each branch and after the last; in a list in brackets before each. */
static void grow_branches(void *context, const char *path)
{
	static const char branch[] = "shield: {takes: given, heat: 730 W, potential: ht}";   /* invented, of its own heat */
	growth g = {.base = context, .path = path, .own = "shield", .moving = totals};
	if (!wanted(path))
		return;
	law_solve_file(g.base, &g.was, path);
	const rw_node *branches = rw_yaml_find(g.was.generator.tree, "water.branches");
	assert_non_null(branches);
	bool brackets = g.was.bytes[branches->value_at.start] == '{';
	size_t start = line_of(g.was.bytes, branches->first), end = branches->first->key_at.start;
	rw_text lines;
	rw_text_init(&lines);
	if (!brackets)
		rw_text_add_n(&lines, g.was.bytes + start, end - start);
	rw_text_add(&lines, branch);
	rw_text_add(&lines, brackets ? ", " : "\n");
	for (const rw_node *one = branches->first; one; one = one->next)
		grow(&g, brackets ? one->key_at.start : line_of(g.was.bytes, one), lines.bytes);
	if (!brackets)
		grow(&g, line_after(g.was.bytes, last_of(branches)), lines.bytes);
	rw_text_release(&lines);
	law_end(&g.was);
}

static void a_branch_moves_no_other(void **state) { law_each_file(grow_branches, *state); }

/* Of what the set is sized on and a job is judged in: of two alike, the first in the file. */
static const char *const marks[] = {"generator.design_job", "generator.design_load", "case.is_design_load", "case.is_job_load", NULL};

static void grow_jobs(void *context, const char *path)
{
	growth g = {.base = context, .path = path, .own = "twin", .moving = marks, .twin = true};
	if (!wanted(path))
		return;
	law_solve_file(g.base, &g.was, path);
	const rw_node *jobs = rw_yaml_find(g.was.generator.tree, "jobs");
	assert_non_null(jobs);
	for (const rw_node *one = jobs->first; one; one = one->next)
		grow_by_twin(&g, jobs, one);
	law_end(&g.was);
}

static void a_job_moves_no_other(void **state) { law_each_file(grow_jobs, *state); }

static void grow_loads(void *context, const char *path)
{
	growth g = {.base = context, .path = path, .own = "twin", .moving = marks, .twin = true};
	if (!wanted(path))
		return;
	law_solve_file(g.base, &g.was, path);
	const rw_node *jobs = rw_yaml_find(g.was.generator.tree, "jobs");
	for (const rw_node *job = jobs->first; job; job = job->next) {
		const rw_node *work = rw_yaml_child(job, "work"), *loads = work ? rw_yaml_child(work, "loads") : NULL;
		const rw_node *empty = work ? rw_yaml_child(work, "empty") : NULL;
		for (const rw_node *one = loads ? loads->first : NULL; one; one = one->next)
			if (!empty || strcmp(one->key, empty->value) != 0)   /* the empty coil is one by its name: a second would be a load */
				grow_by_twin(&g, loads, one);
	}
	law_end(&g.was);
}

static void a_load_state_moves_no_other(void **state) { law_each_file(grow_loads, *state); }

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

static void add_room(void *context, const char *path)
{
	const law_base *base = context;
	law_set set;
	if (!wanted(path))
		return;
	law_solve_file(base, &set, path);
	for (int k = 0; k < set.chain.solution->n_cases; k++)
		assert_true(set.chain.solution->why_not[k] || (warmth(&set.chain, k) == 0.0385 * anode_loss(&set.chain, k) && warmth(&set.chain, k) > 0.0));
	check_explain(base, &set);
	check_json(&set);
	check_sweep(base, &set);
	check_file(base, &set);
	law_end(&set);
}

static void a_room_is_added_without_touching_another(void **state)
{
	(void)state;
	static extended e;
	static law_base base;
	extend(&e);
	law_open_on(&base, &e.stages);
	law_each_file(add_room, &base);
	law_close(&base);
}

/* And every other figure is what it is without that room. */
typedef struct pair { const law_base *with, *without; } pair;

static void compare_rooms(void *context, const char *path)
{
	const pair *bases = context;
	law_set with, without;
	int from = 0;
	if (!wanted(path))
		return;
	law_solve_file(bases->with, &with, path);
	law_solve_file(bases->without, &without, path);
	figures a = all_of(&without.chain), b = all_of(&with.chain);
	for (int i = 0; i < a.n; i++) {
		const figure *other = find(&b, &a.at[i], &from);
		assert_non_null(other);
		assert_true(same(&a.at[i], other));
	}
	assert_int_equal(b.n, a.n + 1 + with.chain.solution->n_cases);
	free(a.at);
	free(b.at);
	law_end(&with);
	law_end(&without);
}

static void the_room_moves_no_other(void **state)
{
	static extended e;
	static law_base base;
	extend(&e);
	law_open_on(&base, &e.stages);
	pair bases = {&base, *state};
	law_each_file(compare_rooms, &bases);
	law_close(&base);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_branch_moves_no_other), cmocka_unit_test(a_job_moves_no_other), cmocka_unit_test(a_load_state_moves_no_other),
		cmocka_unit_test(a_room_is_added_without_touching_another), cmocka_unit_test(the_room_moves_no_other),
	};
	return cmocka_run_group_tests(tests, law_group_open, law_group_close);
}
