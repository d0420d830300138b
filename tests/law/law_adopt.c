/* Adopting: what the rules chose, written into the file, gives the same set again; the file stays the user's. */
#include "law.h"

static const double same_to = 1e-8;   /* what is written reads back exactly; the balances are solved afresh, to better than this */

enum { ROOMS_MAX = 32 };

typedef struct pair {
	const rw_chain *was, *now;
	const char *file;
	bool library_too;         /* the library's figures have been adopted as well */
	int figures, given, faults;
	double worst;
} pair;

static void compare_figure(void *context, const rw_view *view, rw_slot slot)
{
	pair *p = context;
	rw_view was = rw_chain_view(p->was, view->job, view->scase);
	const rw_item *item = rw_slot_item(view->design, slot);
	double a = rw_slot_get(&was, slot), b = rw_slot_get(view, slot);
	char key[128];
	rw_slot_path(view->design, slot, key, sizeof key);
	p->figures++;
	bool same = isnan(a) || isnan(b) ? isnan(a) && isnan(b) && strcmp(rw_slot_text(&was, slot), rw_slot_text(view, slot)) == 0
	                                 : fabs(a - b) <= same_to * fabs(a);
	if (!isnan(a) && !isnan(b) && a != 0.0)
		p->worst = fmax(p->worst, fabs(a - b) / fabs(a));
	if (!same) {
		print_error("%s, case %d: %s was %.12g, is %.12g\n", p->file, view->scase, key, a, b);
		p->faults++;
	}
	if (!item->input)
		return;
	const rw_origin *before = rw_slot_origin(p->was->full, slot), *after = rw_slot_origin(p->now->full, slot);
	bool library = before->state == RW_CHOSEN && strcmp(before->rule, "library") == 0;
	if (before->state == RW_CHOSEN && (p->library_too || !library)) {
		p->given++;
		if (after->state != RW_GIVEN || after->line == 0) {
			print_error("%s: %s was chosen and is %d now, not given\n", p->file, key, after->state);
			p->faults++;
		}
	}
	if (before->unverified != after->unverified) {
		print_error("%s: %s was%s unverified and is%s\n", p->file, key, before->unverified ? "" : " not", after->unverified ? "" : " not");
		p->faults++;
	}
}

static const rw_check *find_check(const rw_chain *chain, const char *key)
{
	for (int i = 0; i < chain->n_checks; i++)
		if (strcmp(chain->checks[i].key, key) == 0)
			return &chain->checks[i];
	return NULL;
}

static void compare_checks(pair *p)
{
	assert_int_equal(p->was->n_checks, p->now->n_checks);
	for (int i = 0; i < p->was->n_checks; i++) {
		const rw_check *a = &p->was->checks[i], *b = find_check(p->now, a->key);
		assert_non_null(b);
		if (a->ok != b->ok || a->unverified != b->unverified || a->near != b->near) {
			print_error("%s: check %s reads otherwise\n", p->file, a->key);
			p->faults++;
		}
	}
}

/* Every line of the old text stands in the new one, in the same order: comments, blanks and values. */
static void compare_lines(pair *p, const char *old, const char *new)
{
	int lines = 0, comments = 0;
	while (*old) {
		size_t n = strcspn(old, "\n");
		bool found = false;
		while (*new && !found) {
			size_t m = strcspn(new, "\n");
			found = n == m && memcmp(old, new, n) == 0;
			new += m + (new[m] == '\n');
		}
		if (!found) {
			print_error("%s: the line '%.*s' has not survived\n", p->file, (int)n, old);
			p->faults++;
			return;
		}
		comments += memchr(old, '#', n) != NULL;
		lines++;
		old += n + (old[n] == '\n');
	}
	printf("  %d lines kept, %d with comments\n", lines, comments);
}

static void adopt(const law_base *base, const law_set *set, const char *const *keys, int n_keys, rw_text *text, int *n_put)
{
	rw_error err;
	CHECK_OK(rw_generator_adopt(&set->generator, base->units, set->chain.full, keys, n_keys, text, n_put, &err), &err);
}

/* keys NULL: all that rules chose. */
static void adopt_and_compare(const law_base *base, const char *file, const char *const *keys, int n_keys, bool library_too, bool block)
{
	law_set set, again;
	rw_text text, twice;
	int n_put, n_again = 0;
	rw_error err;
	rw_text_init(&text);
	rw_text_init(&twice);
	law_solve_file(base, &set, file);
	adopt(base, &set, keys, n_keys, &text, &n_put);
	assert_true(n_put > 0);
	law_solve_text(base, &again, file, text.bytes, text.n);
	pair p = {&set.chain, &again.chain, file, library_too, 0, 0, 0, 0.0};
	law_each_figure(&again.chain, compare_figure, &p);
	compare_checks(&p);
	if (block)
		compare_lines(&p, set.bytes, text.bytes);
	rw_status status = rw_generator_adopt(&again.generator, base->units, again.chain.full, NULL, 0, &twice, &n_again, &err);
	assert_int_equal(status, RW_OK);
	assert_int_equal(n_again, 0);
	assert_int_equal(twice.n, text.n);
	assert_memory_equal(twice.bytes, text.bytes, text.n);
	printf("  %s: %d put, %d figures, worst %.2g, %d given now\n", file, n_put, p.figures, p.worst, p.given);
	assert_int_equal(p.faults, 0);
	assert_true(p.given >= n_put || !library_too);
	law_end(&set);
	law_end(&again);
	rw_text_release(&text);
	rw_text_release(&twice);
}

static void adopt_rules(void *context, const char *path)
{
	/* Flow mappings ({a: b}) are extended within their line, so lines are compared where there are none. */
	law_set set;
	law_solve_file(context, &set, path);
	bool block = strchr(set.bytes, '{') == NULL;
	law_end(&set);
	adopt_and_compare(context, path, NULL, 0, false, block);
}

static void adopt_library_too(void *context, const char *path)
{
	law_set set;
	rw_text text;
	rw_error err;
	const char *keys[ROOMS_MAX];
	const rw_registry *rooms = rw_all_stages.registry;
	int n = 0, n_put;
	rw_text_init(&text);
	law_solve_file(context, &set, path);
	assert_true(rooms->n_rooms <= ROOMS_MAX);
	for (int i = 0; i < rooms->n_rooms; i++)   /* a room in which nothing is chosen cannot be named */
		if (rw_generator_adopt(&set.generator, ((const law_base *)context)->units, set.chain.full, &rooms->rooms[i]->name, 1, &text, &n_put, &err) == RW_OK)
			keys[n++] = rooms->rooms[i]->name;
	law_end(&set);
	rw_text_release(&text);
	adopt_and_compare(context, path, keys, n, true, false);
}

static void adopting_all_changes_nothing(void **state) { law_each_file(adopt_rules, *state); }

static void adopting_the_library_too_changes_nothing(void **state) { law_each_file(adopt_library_too, *state); }

/* Figures of the valve taken into the file keep their mark; one that is then altered is the user's own. */
static void valve_keeps_its_mark(void **state)
{
	const law_base *base = *state;
	static const char *const valve = "valve";
	law_set set, again, altered;
	rw_text text, other;
	rw_error err;
	rw_slot slot;
	int n_put;
	rw_text_init(&text);
	rw_text_init(&other);
	law_solve_file(base, &set, LAW_EXAMPLE);
	adopt(base, &set, &valve, 1, &text, &n_put);
	law_solve_text(base, &again, LAW_EXAMPLE, text.bytes, text.n);
	rw_view view = rw_chain_view(&again.chain, 0, RW_NO_CASE);
	CHECK_OK(rw_slot_find(&view, "valve.mu", RW_NO_ELEMENT, &slot, &err), &err);
	assert_true(rw_slot_origin(set.chain.full, slot)->unverified);
	assert_true(rw_slot_origin(again.chain.full, slot)->unverified);
	assert_int_equal(rw_slot_origin(again.chain.full, slot)->state, RW_GIVEN);
	assert_true(find_check(&again.chain, "valve.anode_dissipation")->unverified);
	CHECK_OK(rw_yaml_put(text.bytes, text.n, "valve.mu", "23.1", &other, &err), &err);
	law_solve_text(base, &altered, LAW_EXAMPLE, other.bytes, other.n);
	assert_false(rw_slot_origin(altered.chain.full, slot)->unverified);
	law_end(&set);
	law_end(&again);
	law_end(&altered);
	rw_text_release(&text);
	rw_text_release(&other);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(adopting_all_changes_nothing), cmocka_unit_test(adopting_the_library_too_changes_nothing), cmocka_unit_test(valve_keeps_its_mark),
	};
	return cmocka_run_group_tests(tests, law_group_open, law_group_close);
}
