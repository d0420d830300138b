/* The formulas of the tables against the code: what a row says of a figure is what the figure is, in every example, job, case and element. */
#include "item/graph.h"
#include "law.h"

/* Figures got by a method, not by a formula. More of them is a loss: what one can compute from other figures should say how. */
enum { METHODS_MOST = 403 };

/* CLOSED: code and formula round differently, a dozen operations each. Scale: the figure itself.
 * BALANCE: the swing is found to 1e-12 of it over currents good to 1e-10 (oscillator/solve.c: fine), the bias to 1e-12 of the grid swing. */
static const double closed_tolerance = 1e-9, balance_tolerance = 1e-8;

/* The example with one value put in: situations no file of the tree is in. */
typedef struct variant { const char *path, *value; } variant;

static const variant variants[] = {
	{"generator.plane", "anode"}, {"generator.plane", "coil"}, {"supply.duty_basis", "no_load"}, {"supply.rated_power", "63.7 kVA"},
	{"valve.cathode", "tungsten"}, {"mains.keying", "thyristor_gate"}, {"supply.control", "primary_thyristor"},
	{"supply.control", "variac"}, {"meters.anode_place", "ht_positive"},
};

/* Alternatives no set here comes by, and the unit test that does: an overlap over 60 degrees is a supply close to its short circuit. */
typedef struct elsewhere { const char *key, *when, *test; } elsewhere;

#define BRIDGES   "supply.connection != half_wave and supply.connection != single_phase"
#define FIRST_END "if(supply.connection == single_phase, 2, if(supply.connection == half_wave, 1, 0.5))"
#define MODE_1    "supply.commutation_ratio <= " FIRST_END
#define MODE_2    "(" BRIDGES ") and supply.commutation_ratio > 0.5 and supply.commutation_ratio <= sqrt(3) / 2"
#define MODE_3    "(" BRIDGES ") and supply.commutation_ratio > sqrt(3) / 2"
#define HALF_2    "supply.connection == half_wave and supply.commutation_ratio > 1 and supply.commutation_ratio <= 3 - sqrt(3)"
#define HALF_3    "supply.connection == half_wave and supply.commutation_ratio > 3 - sqrt(3)"
#define ITEMS     "test_supply_filament_items"

static const elsewhere not_by_examples[] = {
	{"supply.overlap_delay", MODE_2, ITEMS},      {"supply.overlap_delay", MODE_3, ITEMS},
	{"supply.overlap_delay", HALF_2, ITEMS},      {"supply.overlap_delay", HALF_3, ITEMS},
	{"supply.overlap_angle", MODE_2, ITEMS},      {"supply.overlap_angle", MODE_3, ITEMS},
	{"supply.overlap_angle", HALF_2, ITEMS},      {"supply.overlap_angle", HALF_3, ITEMS},
	{"supply.overlap_drop_dc", MODE_2, ITEMS},    {"supply.overlap_drop_dc", MODE_3, ITEMS}, {"supply.overlap_drop_dc", HALF_3, ITEMS},
	{"supply.secondary_current_rms", "not ((" MODE_1 ") or (" MODE_2 "))", ITEMS}, {"supply.secondary_current_fund_rms", "supply.ripple_counted == mean and " MODE_3, ITEMS},
	{"supply.secondary_current_fund_rms", "supply.ripple_counted == mean and supply.connection == half_wave and supply.commutation_ratio > 1", ITEMS},
	{"filament.cold_ratio", "valve.cathode == oxide", ITEMS},
	{"filament.bypass_resistance", "filament.start_measure == rms", ITEMS}, {"filament.bypass_resistance", "filament.start_measure == none", ITEMS},
	{"filament.bypass_current_rms", "valve.cathode == oxide", ITEMS},
	{"protection.surge_current_pk", "protection.surge_inductance > 0 and protection.surge_damped == 0", "test_protection_arc"},
};
enum { N_ELSEWHERE = sizeof not_by_examples / sizeof not_by_examples[0] };

typedef struct tally {
	const law_base *base;
	const rw_graph *graph;
	bool *reached;            /* [graph->n x 8] alternatives that held somewhere */
	const rw_chain *chain;
	rw_arena *arena;
	const char *file;
	int closed, balances, methods, from_library, faults;
	double worst_closed, worst_balance;
} tally;

enum { ALTERNATIVES_MAX = 8 };

static void fault(tally *t, const rw_view *view, rw_slot slot, const char *what)
{
	char key[128], title[160];
	rw_slot_path(view->design, slot, key, sizeof key);
	rw_case_title(t->chain->solution, view->scase, title, sizeof title);
	print_error("%s, %s: %s: %s\n", t->file, title, key, what);
	t->faults++;
}

static bool value_of(tally *t, const rw_view *view, rw_slot slot, const char *text, double *value)
{
	const rw_expr *expr;
	rw_error err;
	rw_expr_host host = rw_view_host(view);
	if (rw_expr_read(t->arena, text, &expr, &err) == RW_OK &&
	    rw_expr_value(expr, &host, (rw_expr_scope){slot.element, view->scase}, value, &err) == RW_OK)
		return true;
	char told[700];
	snprintf(told, sizeof told, "'%.300s' has no value: %s: %s", text, err.key, err.what);
	fault(t, view, slot, told);
	return false;
}

/* The one alternative that holds; NULL: none or several, which is told. */
static const rw_formula *the_one(tally *t, const rw_view *view, rw_slot slot)
{
	const rw_item *item = rw_slot_item(view->design, slot);
	const rw_formula *one = NULL;
	int n = 0;
	for (int f = 0; f < item->n_formulas; f++) {
		double holds = 1.0;
		if (item->formulas[f].when && !value_of(t, view, slot, item->formulas[f].when, &holds))
			return NULL;
		if (holds == 0.0)
			continue;
		one = &item->formulas[f];
		t->reached[rw_graph_node(t->graph, slot.room, slot.item) * ALTERNATIVES_MAX + f] = true;
		n++;
	}
	if (n == 1)
		return one;
	fault(t, view, slot, n ? "several alternatives hold" : "no alternative holds");
	return NULL;
}

static void check_closed(tally *t, const rw_view *view, rw_slot slot, const rw_formula *formula)
{
	double by_formula, stored = rw_slot_get(view, slot);
	if (!value_of(t, view, slot, formula->text, &by_formula))
		return;
	double off = fabs(by_formula - stored), relative = stored != 0.0 ? off / fabs(stored) : off;
	t->closed++;
	t->worst_closed = fmax(t->worst_closed, relative);
	if (relative <= closed_tolerance)
		return;
	char told[400];
	snprintf(told, sizeof told, "is %.12g, its formula gives %.12g (off by %.2g): %.200s", stored, by_formula, relative, formula->text);
	fault(t, view, slot, told);
}

static void check_balance(tally *t, const rw_view *view, rw_slot slot, const rw_formula *formula)
{
	double left, scale;
	if (!value_of(t, view, slot, formula->text, &left) || !value_of(t, view, slot, formula->scale, &scale))
		return;
	double residual = fabs(left / scale);
	t->balances++;
	t->worst_balance = fmax(t->worst_balance, residual);
	if (residual <= balance_tolerance)
		return;
	char told[400];
	snprintf(told, sizeof told, "leaves %.3g of its scale: %.200s", residual, formula->text);
	fault(t, view, slot, told);
}

static void check_figure(void *context, const rw_view *view, rw_slot slot)
{
	tally *t = context;
	const rw_item *item = rw_slot_item(view->design, slot);
	if (!law_solved(t->chain->solution, slot) || !rw_item_exists(view, slot))
		return;
	if (item->input) {
		const rw_origin *origin = rw_slot_origin(view->design, slot);
		if (origin->state != RW_CHOSEN)
			return;
		if (strcmp(origin->rule, "library") == 0 && strcmp(item->input->rule, "library") != 0) {
			t->from_library++;   /* the entry told it: the rule was not asked */
			return;
		}
	}
	rw_arena_mark mark = rw_arena_here(t->arena);
	const rw_formula *formula = the_one(t, view, slot);
	if (formula && formula->kind == RW_CLOSED)
		check_closed(t, view, slot, formula);
	else if (formula && formula->kind == RW_BALANCE)
		check_balance(t, view, slot, formula);
	else if (formula)
		t->methods++;
	rw_arena_rewind(t->arena, mark);
}

static void check_set(tally *t, const law_set *set, const char *name)
{
	rw_arena arena;
	rw_arena_init(&arena);
	t->chain = &set->chain;
	t->arena = &arena;
	t->file = name;
	law_each_figure(&set->chain, check_figure, t);
	rw_arena_release(&arena);
}

static void check_file(void *context, const char *path)
{
	law_set set;
	tally *t = context;
	law_solve_file(t->base, &set, path);
	check_set(t, &set, path);
	law_end(&set);
}

static void check_variant(tally *t, const law_set *example, const variant *v)
{
	law_set set;
	rw_text text;
	rw_error err;
	rw_text_init(&text);
	CHECK_OK(rw_yaml_put(example->bytes, example->n, v->path, v->value, &text, &err), &err);
	law_solve_text(t->base, &set, v->path, text.bytes, text.n);
	check_set(t, &set, v->path);
	law_end(&set);
	rw_text_release(&text);
}

static void check_variants(tally *t)
{
	law_set example;
	law_solve_file(t->base, &example, LAW_EXAMPLE);
	for (size_t i = 0; i < sizeof variants / sizeof variants[0]; i++)
		check_variant(t, &example, &variants[i]);
	law_end(&example);
}

static const elsewhere *listed(const char *key, const char *when)
{
	for (int i = 0; i < N_ELSEWHERE; i++)
		if (strcmp(not_by_examples[i].key, key) == 0 && strcmp(not_by_examples[i].when, when) == 0)
			return &not_by_examples[i];
	return NULL;
}

/* The alternatives no file reached are those of the list, and no others. */
static void check_reached(tally *t)
{
	int n = 0;
	for (int r = 0; r < t->graph->registry->n_rooms; r++) {
		const rw_room *room = t->graph->registry->rooms[r];
		for (int i = 0; i < room->n_items; i++)
			for (int f = 0; f < room->items[i].n_formulas; f++) {
				const char *when = room->items[i].formulas[f].when;
				if (!when || t->reached[rw_graph_node(t->graph, r, i) * ALTERNATIVES_MAX + f])
					continue;
				char key[96];
				snprintf(key, sizeof key, "%s.%s", room->name, room->items[i].key);
				const elsewhere *other = listed(key, when);
				n++;
				printf("  not reached here: %s when %s: %s\n", key, when, other ? other->test : "NOWHERE");
				if (!other)
					t->faults++;
			}
	}
	if (n != N_ELSEWHERE) {
		print_error("%d alternatives are not reached here, %d are listed\n", n, N_ELSEWHERE);
		t->faults++;
	}
}

static void formulas_are_the_code(void **state)
{
	law_base *base = *state;
	tally t = {.base = base};
	rw_error err;
	CHECK_OK(rw_graph_new(&base->arena, rw_all_stages.registry, &t.graph, &err), &err);
	t.reached = rw_arena_get(&base->arena, (size_t)t.graph->n * ALTERNATIVES_MAX);
	assert_non_null(t.reached);
	law_each_file(check_file, &t);
	check_variants(&t);
	printf("closed %d (worst %.2g), balances %d (worst %.2g), by method %d, told by the library %d\n", t.closed, t.worst_closed, t.balances,
	       t.worst_balance, t.methods, t.from_library);
	assert_true(t.closed > 1000 && t.balances > 30);
	check_reached(&t);
	assert_int_equal(t.faults, 0);
}

/* ---- what can be told without a solution ---- */

typedef struct reader {
	rw_arena *arena;
	rw_expr_host host;
	const char *where;
	int faults, formulas, methods;
} reader;

static bool dimension(reader *d, const char *text, double dim[5])
{
	const rw_expr *expr;
	rw_error err;
	d->formulas++;
	if (rw_expr_read(d->arena, text, &expr, &err) == RW_OK && rw_expr_dimension(expr, &d->host, dim, &err) == RW_OK)
		return true;
	print_error("%s: '%s': %s; %s\n", d->where, text, err.what, err.expected);
	d->faults++;
	return false;
}

static void want_same(reader *d, const char *text, const double dim[5], const double want[5], const char *of)
{
	if (rw_expr_same_dimension(dim, want))
		return;
	print_error("%s: '%s' has not the dimension of %s: m^%g kg^%g s^%g A^%g K^%g\n", d->where, text, of, dim[0], dim[1], dim[2], dim[3], dim[4]);
	d->faults++;
}

static void read_condition(reader *d, const char *text)
{
	static const double none[5] = {0.0};
	double dim[5];
	if (text && dimension(d, text, dim))
		want_same(d, text, dim, none, "a condition");
}

static void read_item(reader *d, const rw_item *item)
{
	static const double none[5] = {0.0};
	bool needs_one = !item->input || item->input->rule;
	if (item->n_formulas > ALTERNATIVES_MAX || (needs_one && item->n_formulas == 0)) {
		print_error("%s: has %d formulas\n", d->where, item->n_formulas);
		d->faults++;
	}
	for (int f = 0; f < item->n_formulas; f++) {
		const rw_formula *formula = &item->formulas[f];
		double dim[5], against[5];
		read_condition(d, formula->when);
		d->methods += formula->kind == RW_METHOD;
		if (formula->kind == RW_METHOD || !dimension(d, formula->text, dim))
			continue;
		if (formula->kind == RW_CLOSED)
			want_same(d, formula->text, dim, item->kind ? item->kind->dim : none, "its figure");
		else if (dimension(d, formula->scale, against))
			want_same(d, formula->text, dim, against, "its scale");
	}
}

static void read_limit(reader *d, const rw_view *view, const rw_limit *limit)
{
	double figure[5], bound[5];
	rw_slot slot;
	rw_error err;
	if (dimension(d, limit->figure, figure) && dimension(d, limit->limit, bound))
		want_same(d, limit->limit, bound, figure, "the figure it limits");
	read_condition(d, limit->when);
	if (limit->needs && rw_slot_find(view, limit->needs, 0, &slot, &err) != RW_OK) {
		print_error("%s: needs '%s': %s\n", d->where, limit->needs, err.what);
		d->faults++;
	}
}

static void formulas_read_and_fit(void **state)
{
	law_base *base = *state;
	const rw_registry *registry = rw_all_stages.registry;
	rw_design *design;
	rw_error err;
	CHECK_OK(rw_design_new(&base->arena, registry, 1, &design, &err), &err);
	rw_view view = {design, NULL, 0, RW_NO_CASE};
	reader d = {.arena = &base->arena, .host = rw_view_host(&view)};
	char where[128];
	d.where = where;
	for (int r = 0; r < registry->n_rooms; r++) {
		const rw_room *room = registry->rooms[r];
		for (int i = 0; i < room->n_items; i++) {
			snprintf(where, sizeof where, "%s.%s", room->name, room->items[i].key);
			read_item(&d, &room->items[i]);
		}
		for (int l = 0; l < room->n_limits; l++) {
			snprintf(where, sizeof where, "limit %s", room->limits[l].key);
			read_limit(&d, &view, &room->limits[l]);
		}
	}
	printf("%d formulas read, %d by method (at most %d)\n", d.formulas, d.methods, METHODS_MOST);
	assert_int_equal(d.faults, 0);
	assert_true(d.methods <= METHODS_MOST);
}

int main(void)
{
	const struct CMUnitTest tests[] = {cmocka_unit_test(formulas_read_and_fit), cmocka_unit_test(formulas_are_the_code)};
	return cmocka_run_group_tests(tests, law_group_open, law_group_close);
}
