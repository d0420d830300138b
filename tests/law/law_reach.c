/* The graph against the solve: what moves when an input moves must reach that input in the formulas. */
#include "item/graph.h"
#include "law.h"

/* Figures that differ by less are the same: solver noise is 1e-10 of a current (oscillator/solve.c). */
static const double moved_by = 1e-9;

enum { FIGURES_MAX = 32768 };

/* Not in the graph by intent: the one reads the other only while that is given, and is read by it while it is not. */
static const struct { const char *figure, *input; } either_way[] = {
	{"tank.capacitance", "tank.inductance"},   /* R5: a capacitor to the inductor given, else an inductor to the capacitor */
	/* R14: a divider by its parts as they are given, else by its sum; the inductor and the feedback part on the network as it stands */
	{"tank.capacitance", "tank.divider_anode_capacitance"}, {"tank.capacitance", "tank.divider_grid_capacitance"},
	{"tank.divider_anode_capacitance", "tank.divider_grid_capacitance"}, {"tank.divider_anode_capacitance", "tank.inductance"},
	{"tank.divider_grid_capacitance", "tank.inductance"}, {"tank.divider_grid_capacitance", "tank.grid_choke_inductance"},
	{"tank.inductance", "tank.choke_inductance"}, {"tank.grid_mutual", "tank.choke_inductance"}, {"tank.secondary_mutual", "tank.inductance"},
	{"filament.start_resistor", "filament.series_reactance"},   /* R10, R21: to the resistor given a reactance, else to the reactance a resistor */
	/* a tank whose reactance is given takes other power, and so another point */
	{"oscillator.anode_voltage_min", "tank.inductance"}, {"oscillator.half_angle", "tank.inductance"},
};

/* The values of all figures of a solution, in the order of law_each_figure. */
typedef struct snapshot {
	int n;
	double value[FIGURES_MAX];
	rw_slot slot[FIGURES_MAX];
	uint64_t text[FIGURES_MAX];    /* hash of a text's bytes */
} snapshot;

static void take(void *context, const rw_view *view, rw_slot slot)
{
	snapshot *s = context;
	const rw_item *item = rw_slot_item(view->design, slot);
	assert_true(s->n < FIGURES_MAX);
	s->slot[s->n] = slot;
	s->value[s->n] = rw_slot_get(view, slot);
	s->text[s->n] = 0;
	for (const char *p = item->type == RW_TEXT ? rw_slot_text(view, slot) : ""; *p; p++)
		s->text[s->n] = s->text[s->n] * 31 + (unsigned char)*p;
	s->n++;
}

static void snap(const rw_chain *chain, snapshot *s)
{
	s->n = 0;
	law_each_figure(chain, take, s);
}

static bool moved(const snapshot *a, const snapshot *b, int i)
{
	double x = a->value[i], y = b->value[i];
	if (isnan(x) || isnan(y))
		return isnan(x) != isnan(y) || a->text[i] != b->text[i];
	return fabs(x - y) > moved_by * fmax(fabs(x), fabs(y));
}

typedef struct bench {
	const law_base *base;
	const rw_graph *graph;
	bool *reach;              /* [n x n] row: node, column: what it depends on */
	bool *told;               /* [n x n] pairs already printed */
	const rw_design *from;    /* the design that is moved */
	const char *name;
	int from_share, to_share; /* which of the shares an input is moved by */
	int met, given;           /* of the sample */
	int files, every, first;  /* of the other files every twelfth input, in turn: RW_LONG moves all */
	snapshot before, after;
	int moves, refused, seen, missing;
	int other_states;         /* moves that changed which load states there are */
	int seen_in_all;          /* a sample may meet only inputs that move little: counted over all files */
} bench;

static void describe(const bench *b, int node, char *out, size_t room)
{
	int r, i;
	rw_graph_item(b->graph, node, &r, &i);
	snprintf(out, room, "%s.%s", b->graph->registry->rooms[r]->name, b->graph->registry->rooms[r]->items[i].key);
}

static bool by_intent(const char *figure, const char *input)
{
	for (size_t i = 0; i < sizeof either_way / sizeof either_way[0]; i++)
		if (strcmp(figure, either_way[i].figure) == 0 && strcmp(input, either_way[i].input) == 0)
			return true;
	return false;
}

static void compare(bench *b, int input)
{
	if (b->before.n != b->after.n) {   /* other load states are proposed: nothing to lay side by side */
		b->other_states++;
		return;
	}
	for (int i = 0; i < b->after.n; i++) {
		int node = rw_graph_node(b->graph, b->after.slot[i].room, b->after.slot[i].item);
		size_t pair = (size_t)node * (size_t)b->graph->n + (size_t)input;
		if (!moved(&b->before, &b->after, i))
			continue;
		b->seen++;
		if (b->reach[pair] || b->told[pair])
			continue;
		char figure[128], key[128];
		describe(b, node, figure, sizeof figure);
		describe(b, input, key, sizeof key);
		if (by_intent(figure, key))
			continue;
		print_error("%s: %s moves %s (%.12g to %.12g), which does not reach it\n", b->name, key, figure, b->before.value[i], b->after.value[i]);
		b->told[pair] = true;
		b->missing++;
	}
}

/* Solves a copy of the design in which one input has moved; false: it was refused. */
static bool solve_moved(bench *b, rw_slot slot, double value)
{
	law_set set;
	rw_design *copy;
	rw_error err;
	law_start(&set);
	CHECK_OK(rw_design_copy(&set.arena, b->from, &copy, &err), &err);
	bool done = rw_slot_set(copy, slot, value, &err) == RW_OK && law_solve(b->base, &set, copy, &err) == RW_OK;
	if (done)
		snap(&set.chain, &b->after);
	law_end(&set);
	return done;
}

/* One per cent up, or down; a zero to a thousandth; an integer or a choice to its neighbour. */
static bool move(bench *b, rw_slot slot, double share)
{
	const rw_item *item = rw_slot_item(b->from, slot);
	rw_view view = {b->from, NULL, slot.job, RW_NO_CASE};
	double x = rw_slot_get(&view, slot);
	if (item->type == RW_NUMBER)
		return x == 0.0 ? solve_moved(b, slot, item->kind == &rw_kind_count ? 1.0 : 1e-3) : solve_moved(b, slot, x * (1.0 + share)) || solve_moved(b, slot, x * (1.0 - share));
	bool last = item->type == RW_CHOICE && !item->input->choices[(int)x + 1];
	return (!last && solve_moved(b, slot, x + 1.0)) || (x > 0.0 && solve_moved(b, slot, x - 1.0));
}

static void move_input(void *context, rw_slot slot)
{
	bench *b = context;
	const rw_item *item = rw_slot_item(b->from, slot);
	static const double shares[] = {0.01, 0.083};   /* the second gets over the roundings of chosen parts */
	rw_view view = {b->from, NULL, slot.job, RW_NO_CASE};
	if (slot.scase != RW_NO_CASE || !item->input || (item->type != RW_NUMBER && item->type != RW_INTEGER && item->type != RW_CHOICE) ||
	    !rw_item_exists(&view, slot) || (slot.job > 0 && !b->from->registry->rooms[slot.room]->per_job))
		return;
	if (!law_sampled(b->met++, b->every, b->first))
		return;
	for (int s = b->from_share; s < (item->type == RW_NUMBER ? b->to_share : b->from_share + 1); s++) {
		b->moves++;
		if (move(b, slot, shares[s])) {
			compare(b, rw_graph_node(b->graph, slot.room, slot.item));
			continue;
		}
		char key[128];
		rw_slot_path(b->from, slot, key, sizeof key);
		if (s == b->from_share)
			printf("  refused: %s moved by %g\n", key, item->type == RW_NUMBER ? shares[s] : 1.0);
		b->refused += s == b->from_share;
	}
}

static void move_all(bench *b, const rw_design *from, bool is_open)
{
	law_set set;
	rw_error err;
	const char *name = is_open ? "open" : "frozen";
	b->from = from;
	b->name = name;
	b->from_share = 0;
	b->to_share = is_open ? 2 : 1;
	b->moves = b->refused = b->seen = 0;
	law_start(&set);
	CHECK_OK(law_solve(b->base, &set, from, &err), &err);
	snap(&set.chain, &b->before);
	law_end(&set);
	for (int job = 0; job < from->n_jobs; job++) {
		rw_view view = {from, NULL, job, RW_NO_CASE};
		rw_each_slot(&view, move_input, b);
	}
	printf("%s: %d moves, %d inputs refused, %d figures moved, %d pairs not in the graph\n", name, b->moves, b->refused, b->seen, b->missing);
	b->seen_in_all += b->seen;
}

typedef struct partly { bench *b; const law_set *set; } partly;

/* An input a rule has chosen, given just so in the open design, then moved: what is chosen around it moves too. */
static void give_and_move(void *context, rw_slot slot)
{
	const partly *p = context;
	bench *b = p->b;
	const rw_chain *chain = &p->set->chain;
	const rw_item *item = rw_slot_item(chain->full, slot);
	if (slot.scase != RW_NO_CASE || !item->input || (item->type != RW_NUMBER && item->type != RW_INTEGER && item->type != RW_CHOICE) ||
	    rw_slot_origin(chain->full, slot)->state != RW_CHOSEN || (slot.job > 0 && !chain->full->registry->rooms[slot.room]->per_job))
		return;
	if (!law_sampled(p->b->given++, 3, 0))
		return;
	b->met = 0;
	rw_view view = {chain->full, NULL, slot.job, RW_NO_CASE};
	law_set set;
	rw_design *copy;
	rw_error err;
	law_start(&set);
	CHECK_OK(rw_design_copy(&set.arena, p->set->generator.design, &copy, &err), &err);
	CHECK_OK(rw_slot_set(copy, slot, rw_slot_get(&view, slot), &err), &err);
	b->from = copy;
	if (law_solve(b->base, &set, copy, &err) == RW_OK) {
		snap(&set.chain, &b->before);
		move_input(b, slot);
	}
	law_end(&set);
}

static void move_each_given(bench *b, const law_set *set)
{
	partly p = {b, set};
	b->name = "partly given";
	b->from_share = getenv("RW_LONG") ? 0 : 1;
	b->to_share = 2;
	b->moves = b->refused = b->seen = 0;
	for (int job = 0; job < set->chain.full->n_jobs; job++) {
		rw_view view = {set->chain.full, NULL, job, RW_NO_CASE};
		rw_each_slot(&view, give_and_move, &p);
	}
	printf("%s: %d moves, %d inputs refused, %d figures moved, %d pairs not in the graph\n", b->name, b->moves, b->refused, b->seen, b->missing);
	b->seen_in_all += b->seen;
}

/* The text with one column of one table scaled. */
static void scaled_text(const law_set *set, int t, const rw_input *input, int column, rw_text *out)
{
	const rw_bound_table *bound = &set->generator.design->tables[t];
	rw_text cells;
	rw_error err;
	rw_text_init(&cells);
	for (int c = 0; c < input->n_columns; c++)
		rw_text_addf(&cells, "%s/%s%s", input->columns[c].name, input->columns[c].kind->si, c + 1 < input->n_columns ? " " : "\n");
	for (int row = 0; row < bound->table.n_rows; row++)
		for (int c = 0; c < bound->table.n_columns; c++)
			rw_text_addf(&cells, "%.17g%s", rw_table_cell(&bound->table, row, c) * (c == column ? 1.01 : 1.0), c + 1 < bound->table.n_columns ? " " : "\n");
	CHECK_OK(rw_yaml_put(set->bytes, set->n, bound->path, cells.bytes, out, &err), &err);
	rw_text_release(&cells);
}

/* Bound anew from a text with one column scaled; on the frozen design the new tables stand in place of the old. false: it was refused. */
static bool solve_scaled(bench *b, const law_set *set, int t, rw_slot slot, int column, bool frozen)
{
	law_set other;
	rw_design *copy;
	rw_text text;
	rw_error err;
	rw_text_init(&text);
	scaled_text(set, t, rw_slot_item(b->from, slot)->input, column, &text);
	law_start(&other);
	CHECK_OK(law_bind(b->base, &other, "scaled", text.bytes, text.n, &err), &err);
	CHECK_OK(rw_design_copy(&other.arena, frozen ? b->from : other.generator.design, &copy, &err), &err);
	copy->tables = other.generator.design->tables;
	bool done = law_solve(b->base, &other, copy, &err) == RW_OK;
	if (done) {
		snap(&other.chain, &b->after);
		compare(b, rw_graph_node(b->graph, slot.room, slot.item));
	}
	law_end(&other);
	rw_text_release(&text);
	return done;
}

/* Every column of every table but the first, which orders the rows. */
static void move_tables(bench *b, const law_set *set, const rw_design *from, bool frozen)
{
	int n_tables = set->generator.design->n_tables, met = 0, moves = 0;
	if (n_tables == 0)   /* a computed load has none */
		return;
	rw_view view = {set->generator.design, NULL, 0, RW_NO_CASE};
	b->from = from;
	b->name = frozen ? "frozen, tables" : "open, tables";
	for (int t = 0; t < n_tables; t++) {
		rw_slot slot;
		rw_error err;
		CHECK_OK(rw_slot_find(&view, set->generator.design->tables[t].path, RW_NO_ELEMENT, &slot, &err), &err);
		for (int column = 1; column < rw_slot_item(from, slot)->input->n_columns; column++)
			moves += law_sampled(met++, 1, 0) && solve_scaled(b, set, t, slot, column, frozen);
	}
	printf("%s: %d tables solved\n", b->name, moves);
	assert_true(moves > 0);
}

static void start(bench *b, law_base *base)
{
	rw_error err;
	b->base = base;
	CHECK_OK(rw_graph_new(&base->arena, rw_all_stages.registry, &b->graph, &err), &err);
	size_t n = (size_t)b->graph->n;
	b->reach = rw_arena_get(&base->arena, n * n);
	b->told = rw_arena_get(&base->arena, n * n);
	assert_true(b->reach && b->told);
	for (size_t i = 0; i < n; i++)
		rw_graph_reach(b->graph, (int)i, b->reach + i * n);
}

static void check_file(void *context, const char *path)
{
	bench *b = context;
	law_set set;
	law_solve_file(b->base, &set, path);
	printf("%s\n", path);
	bool example = strcmp(path, LAW_EXAMPLE) == 0;
	b->every = example ? 1 : 12;
	b->first = example ? 0 : b->files++ % 12;
	move_all(b, set.chain.full, false);
	move_tables(b, &set, set.chain.full, true);
	move_all(b, set.generator.design, true);
	move_tables(b, &set, set.generator.design, false);
	if (example || getenv("RW_LONG"))
		move_each_given(b, &set);
	law_end(&set);
}

static void what_moves_is_reached(void **state)
{
	static bench b;
	start(&b, *state);
	law_each_file(check_file, &b);
	printf("%d moves changed the load states\n", b.other_states);
	assert_true(b.seen_in_all > 50000 / LAW_SHARE && b.other_states < 20);
	assert_int_equal(b.missing, 0);
}

/* An edge taken out of a METHOD's list must be missed, or the law sees nothing. */
static void planted_gap_is_seen(void **state)
{
	law_base *base = *state;
	static bench b;
	law_set set;
	rw_room supply = rw_supply_room;
	rw_item *items = rw_arena_copy(&base->arena, supply.items, sizeof *items * (size_t)supply.n_items);
	const rw_room **rooms = rw_arena_copy(&base->arena, rw_all_stages.registry->rooms, sizeof *rooms * (size_t)rw_all_stages.n);
	assert_true(items && rooms);
	supply.items = items;
	items[rw_item_find(&supply, "phase_resistance")].n_formulas = 0;
	int r = rw_registry_find(rw_all_stages.registry, "supply");
	rooms[r] = &supply;
	rw_registry gapped = {rooms, rw_all_stages.n};
	rw_error err;
	start(&b, base);
	CHECK_OK(rw_graph_new(&base->arena, &gapped, &b.graph, &err), &err);
	size_t n = (size_t)b.graph->n;
	memset(b.reach, 0, n * n);
	for (size_t i = 0; i < n; i++)
		rw_graph_reach(b.graph, (int)i, b.reach + i * n);
	law_solve_file(base, &set, LAW_EXAMPLE);
	snap(&set.chain, &b.before);
	b.from = set.chain.full;
	b.name = "planted, as it should be";
	rw_view view = {b.from, NULL, 0, RW_NO_CASE};
	rw_slot slot;
	CHECK_OK(rw_slot_find(&view, "supply.short_circuit_resistance", RW_NO_ELEMENT, &slot, &err), &err);
	assert_true(move(&b, slot, 0.01));
	compare(&b, rw_graph_node(b.graph, slot.room, slot.item));
	law_end(&set);
	assert_true(b.missing > 0);
}

static int open_base(void **state)
{
	static law_base base;
	law_open(&base);
	base.chain.threads = 2;
	*state = &base;
	return 0;
}

static int close_base(void **state)
{
	law_close(*state);
	return 0;
}

int main(void)
{
	const struct CMUnitTest tests[] = {cmocka_unit_test(what_moves_is_reached), cmocka_unit_test(planted_gap_is_seen)};
	return cmocka_run_group_tests(tests, open_base, close_base);
}
