#include "item/explain.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "item/figure.h"

enum { SEEN_MAX = 400, READS_MAX = 64, SOURCES_MAX = 64, ROWS_MAX = 20, TOGETHER_MAX = 40 };

typedef struct explainer {
	const rw_view *view;
	const rw_units *units;
	const rw_graph *graph;
	rw_arena *arena;
	const rw_explain_options *options;
	rw_text *out;
	rw_slot seen[SEEN_MAX];
	int n_seen;
	int element;             /* of the item in hand, for '*' in its formula */
	rw_slot reads[READS_MAX];
	int n_reads;
	const char *told[SOURCES_MAX];   /* sources whose words stand above already */
	int n_told;
	bool *set_told;          /* [components] sets of figures solved together that stand above already */
} explainer;

static bool same_slot(rw_slot a, rw_slot b) { return a.room == b.room && a.item == b.item && a.element == b.element && a.scase == b.scase; }

static bool met_before(explainer *e, rw_slot slot)
{
	for (int i = 0; i < e->n_seen; i++)
		if (same_slot(e->seen[i], slot))
			return true;
	if (e->n_seen < SEEN_MAX)
		e->seen[e->n_seen++] = slot;
	return false;
}

static void indent(explainer *e, int level)
{
	for (int i = 0; i < level; i++)
		rw_text_add(e->out, "  ");
}

static bool told_before(explainer *e, const char *key)
{
	for (int i = 0; i < e->n_told; i++)
		if (strcmp(e->told[i], key) == 0)
			return true;
	if (e->n_told < SOURCES_MAX)
		e->told[e->n_told++] = key;
	return false;
}

static void put_source(explainer *e, const char *key)
{
	const char *words = e->options->source_text && !told_before(e, key) ? e->options->source_text(e->options->source_context, key) : NULL;
	rw_text_addf(e->out, "%s%s%s", key, words ? ": " : "", words ? words : "");
}

/* "tank.loaded_q = 17.2   loaded Q" and how it came. */
static void put_head(explainer *e, rw_slot slot, int level)
{
	char key[128], value[128];
	const rw_item *item = rw_slot_item(e->view->design, slot);
	rw_slot_key(e->view->design, slot, key, sizeof key);
	rw_figure_print(e->view, e->units, slot, value, sizeof value);
	indent(e, level);
	rw_text_addf(e->out, "%s = %s", key, value);
	if (item->kind && item->kind->measure[0] && rw_item_exists(e->view, slot))
		rw_text_addf(e->out, " %s", item->kind->measure);
	if (item->uncertainty > 0.0 && !item->input)
		rw_text_addf(e->out, " (\u00b1%.3g %%)", item->uncertainty * 100.0);
	rw_text_addf(e->out, "   %s", item->text);
	if (!item->input && item->by == RW_BY_ESTIMATE)
		rw_text_add(e->out, ", an estimate");
	if (!item->input && e->options->unverified && e->options->unverified[rw_graph_node(e->graph, slot.room, slot.item)])
		rw_text_add(e->out, "; rests on UNVERIFIED data");
	rw_text_add(e->out, "\n");
}

static void put_origin(explainer *e, rw_slot slot, int level)
{
	const rw_item *item = rw_slot_item(e->view->design, slot);
	const rw_origin *o = rw_slot_origin(e->view->design, slot);
	indent(e, level + 1);
	if (o->state == RW_GIVEN)
		rw_text_addf(e->out, "given, line %u", o->line);
	else if (o->state == RW_CHOSEN)
		rw_text_addf(e->out, "chosen by %s: %s", o->rule, o->note ? o->note : item->input->rule_text);
	else
		rw_text_add(e->out, item->input->optional ? "open: none is given, none is needed" : "open");
	if (o->state == RW_GIVEN && o->note)
		rw_text_addf(e->out, "; as in %s", o->note);
	if (o->unverified)
		rw_text_add(e->out, "; UNVERIFIED data");
	if (o->source) {
		rw_text_add(e->out, "; source ");
		put_source(e, o->source);
	}
	rw_text_add(e->out, "\n");
}

/* The rows of a table that was given: what was measured is what everything rests on. */
static void put_rows(explainer *e, rw_slot slot, int level)
{
	const rw_bound_table *bound = rw_slot_table(e->view, slot);
	const rw_input *input = rw_slot_item(e->view->design, slot)->input;
	for (int row = 0; bound && row < bound->table.n_rows && row < ROWS_MAX; row++) {
		indent(e, level + 1);
		for (int c = 0; c < input->n_columns; c++) {
			char cell[64];
			rw_units_print(e->units, input->columns[c].kind, rw_table_cell(&bound->table, row, c), 4, cell, sizeof cell);
			rw_text_addf(e->out, "%s%s %s", c ? ", " : "", input->columns[c].name, cell);
		}
		rw_text_add(e->out, "\n");
	}
	if (bound && bound->table.n_rows > ROWS_MAX) {
		indent(e, level + 1);
		rw_text_addf(e->out, "and %d rows more\n", bound->table.n_rows - ROWS_MAX);
	}
}

static void note_read(void *context, const char *key, bool aggregate)
{
	explainer *e = context;
	rw_slot slot;
	(void)aggregate;
	int element = e->element < 0 ? 0 : e->element;
	if (rw_slot_find(e->view, key, element, &slot, NULL) != RW_OK)
		return;
	for (int i = 0; i < e->n_reads; i++)
		if (same_slot(e->reads[i], slot))
			return;
	if (e->n_reads < READS_MAX)
		e->reads[e->n_reads++] = slot;
}

static void write_value(void *context, const char *key, struct rw_text *out)
{
	explainer *e = context;
	rw_slot slot;
	char text[128];
	if (rw_slot_find(e->view, key, e->element < 0 ? 0 : e->element, &slot, NULL) != RW_OK) {
		rw_text_add(out, key);
		return;
	}
	const rw_item *item = rw_slot_item(e->view->design, slot);
	if (item->type == RW_NUMBER && !item->input && rw_item_exists(e->view, slot))
		rw_units_print(e->units, item->kind, rw_slot_get(e->view, slot), 5, text, sizeof text);
	else
		rw_figure_print(e->view, e->units, slot, text, sizeof text);
	rw_text_add(out, text);
}

static void count_key(void *context, const char *key, bool aggregate)
{
	int *n = context;
	(void)key;
	(void)aggregate;
	++*n;
}

static rw_status put_expression(explainer *e, const char *text, int level, const char *lead, rw_error *err)
{
	const rw_expr *expr;
	RW_TRY(rw_expr_read(e->arena, text, &expr, err));
	indent(e, level + 1);
	int keys = 0;
	rw_expr_keys(expr, count_key, &keys);
	rw_text_add(e->out, lead);
	rw_expr_write(expr, e->out, NULL, NULL);
	rw_text_add(e->out, "\n");
	if (keys == 0)
		return RW_OK;   /* a number put in is the same number */
	indent(e, level + 1);
	rw_text_add(e->out, lead);
	rw_expr_write(expr, e->out, write_value, e);
	rw_text_add(e->out, "\n");
	rw_expr_keys(expr, note_read, e);
	return RW_OK;
}

/* An input that this set has not got: of another kind, or none is needed. */
static bool left_open(const explainer *e, const char *key)
{
	rw_slot slot;
	if (rw_slot_find(e->view, key, e->element < 0 ? 0 : e->element, &slot, NULL) != RW_OK || !rw_slot_item(e->view->design, slot)->input)
		return false;
	const rw_input *input = rw_slot_item(e->view->design, slot)->input;
	return rw_slot_origin(e->view->design, slot)->state == RW_OPEN &&
	       (input->optional || !rw_only_holds(&input->only, rw_design_in(e->view->design, slot.room, slot.job)));
}

/* Notes the members of the element called name in every list of the room whose list members start with prefix; false: there is none. */
static bool note_element(explainer *e, int room, const char *prefix, const char *name)
{
	const rw_room *table = e->view->design->registry->rooms[room];
	bool any = false;
	for (int i = 0; i < table->n_items; i++) {
		const char *star = strchr(table->items[i].key, '*');
		char key[160];
		snprintf(key, sizeof key, "%s.%.*s", table->name, star ? (int)(star - table->items[i].key) : 0, table->items[i].key);
		if (!star || strncmp(key, prefix, strlen(prefix)) != 0)
			continue;
		snprintf(key + strlen(key), sizeof key - strlen(key), "%s%s", name, star + 1);
		rw_slot slot;
		if (rw_slot_find(e->view, key, RW_NO_ELEMENT, &slot, NULL) != RW_OK)
			continue;
		if (!left_open(e, key))
			note_read(e, key, false);
		any = true;
	}
	return any;
}

/* "work.loads.*": of a list named like the case's load state, the element the case is about. */
static bool note_element_of_case(explainer *e, const char *list)
{
	const rw_view *view = e->view;
	char prefix[96];
	snprintf(prefix, sizeof prefix, "%.*s", (int)strlen(list) - 1, list);
	const char *dot = strchr(prefix, '.');
	char room[32];
	snprintf(room, sizeof room, "%.*s", dot ? (int)(dot - prefix) : 0, prefix);
	int r = rw_registry_find(view->design->registry, room);
	return view->solution && view->scase >= 0 && r >= 0 && note_element(e, r, prefix, view->solution->cases[view->scase].load_name);
}

/* A text that names an element of its own room's lists ("work.empty") stands for that element too. */
static void note_named(explainer *e, const char *key)
{
	rw_slot slot;
	if (rw_slot_find(e->view, key, RW_NO_ELEMENT, &slot, NULL) == RW_OK && rw_slot_item(e->view->design, slot)->type == RW_TEXT)
		note_element(e, slot.room, e->view->design->registry->rooms[slot.room]->name, rw_slot_text(e->view, slot));
}

/* METHOD: the keys it says it reads; "valve.*" stands for many and is named as such. */
static void note_method_reads(explainer *e, const char *reads)
{
	char list[RW_READS_BYTES];
	char *rest = NULL;
	bool any = false;
	snprintf(list, sizeof list, "%s", reads);
	for (char *key = strtok_r(list, ", ", &rest); key; key = strtok_r(NULL, ", ", &rest)) {
		size_t n = strlen(key);
		bool below = n > 2 && strcmp(key + n - 2, ".*") == 0;
		if (below && note_element_of_case(e, key))
			below = false;
		else if (below)
			rw_text_addf(e->out, "%s %s", any ? "," : "; reads", key);
		else if (!left_open(e, key)) {
			note_read(e, key, false);
			note_named(e, key);
		}
		any = any || below;
	}
}

static rw_status put_formula(explainer *e, rw_slot slot, const rw_formula *formula, int level, rw_error *err)
{
	double residual, scale;
	const rw_expr *expr, *against;
	rw_expr_host host = rw_view_host(e->view);
	rw_expr_scope scope = {slot.element, e->view->scase};
	switch (formula->kind) {
	case RW_CLOSED: RW_TRY(put_expression(e, formula->text, level, "= ", err)); break;
	case RW_BALANCE:
		RW_TRY(put_expression(e, formula->text, level, "0 = ", err));
		RW_TRY(rw_expr_read(e->arena, formula->text, &expr, err));
		RW_TRY(rw_expr_read(e->arena, formula->scale, &against, err));
		if (rw_expr_value(expr, &host, scope, &residual, NULL) == RW_OK && rw_expr_value(against, &host, scope, &scale,
		    NULL) == RW_OK && scale != 0.0) {
			indent(e, level + 1);
			rw_text_addf(e->out, "residual %.1e of %s\n", fabs(residual / scale), formula->scale);
		}
		break;
	default:
		indent(e, level + 1);
		rw_text_addf(e->out, "%s", formula->text);
		if (formula->reads)
			note_method_reads(e, formula->reads);
		rw_text_add(e->out, "\n");
	}
	if (formula->source) {
		indent(e, level + 1);
		rw_text_add(e->out, "source ");
		put_source(e, formula->source);
		rw_text_add(e->out, "\n");
	}
	return RW_OK;
}

/* The other figures found together with this one. */
static void put_together(explainer *e, rw_slot slot, int level)
{
	int node = rw_graph_node(e->graph, slot.room, slot.item), component = e->graph->component[node], n = 0;
	for (int i = 0; i < e->graph->n; i++)
		n += e->graph->component[i] == component;
	if (n < 2)
		return;
	indent(e, level + 1);
	if (e->set_told[component]) {
		rw_text_add(e->out, "solved together with the set named above\n");
		return;
	}
	e->set_told[component] = true;
	rw_text_add(e->out, "solved together with");
	for (int i = 0, put = 0; i < e->graph->n && put < TOGETHER_MAX; i++) {
		int r, it;
		if (i == node || e->graph->component[i] != component)
			continue;
		rw_graph_item(e->graph, i, &r, &it);
		rw_text_addf(e->out, "%s %s.%s", put ? "," : "", e->graph->registry->rooms[r]->name, e->graph->registry->rooms[r]->items[it].key);
		put++;
	}
	if (n - 1 > TOGETHER_MAX)
		rw_text_addf(e->out, " and %d more", n - 1 - TOGETHER_MAX);
	rw_text_add(e->out, "\n");
}

/* Balances of the set this figure is solved with. */
static rw_status put_balances(explainer *e, rw_slot slot, int level, rw_error *err)
{
	int component = e->graph->component[rw_graph_node(e->graph, slot.room, slot.item)];
	for (int i = 0; i < e->graph->n; i++) {
		int r, it;
		rw_graph_item(e->graph, i, &r, &it);
		const rw_item *item = &e->graph->registry->rooms[r]->items[it];
		if (e->graph->component[i] != component || item->list)
			continue;
		for (int f = 0; f < item->n_formulas; f++)
			if (item->formulas[f].kind == RW_BALANCE)
				RW_TRY(put_formula(e, slot, &item->formulas[f], level, err));
	}
	return RW_OK;
}

static bool is_coupled(const explainer *e, rw_slot slot)
{
	int node = rw_graph_node(e->graph, slot.room, slot.item), n = 0;
	for (int i = 0; i < e->graph->n; i++)
		n += e->graph->component[i] == e->graph->component[node];
	return n > 1;
}

/* A rule that reads nothing: its value is its text. */
static bool is_constant(const rw_formula *formula)
{
	return formula->kind == RW_METHOD ? !formula->reads : strspn(formula->text, "0123456789.") == strlen(formula->text);
}

static void put_absent(explainer *e, rw_slot slot, int level)
{
	const rw_item *item = rw_slot_item(e->view->design, slot);
	const rw_solution *s = e->view->solution;
	bool per_job = e->view->design->registry->rooms[slot.room]->per_job;
	bool never = item->partial && s && rw_item_place(item) == RW_IN_SET && s->set_solved[slot.room][per_job ? slot.job : 0];
	indent(e, level + 1);
	if (never && item->only)
		rw_text_addf(e->out, "none in this set: it exists only %s\n", item->only);
	else
		rw_text_add(e->out, never ? "none in this set\n" : "not solved in this case\n");
}

static rw_status explain_slot(explainer *e, rw_slot slot, int level, rw_error *err)
{
	const rw_item *item = rw_slot_item(e->view->design, slot);
	put_head(e, slot, level);
	if (met_before(e, slot)) {
		if (item->n_formulas || item->input) {
			indent(e, level + 1);
			rw_text_add(e->out, "shown above\n");
		}
		return RW_OK;
	}
	e->n_reads = 0;
	e->element = slot.element;
	if (item->input)
		put_origin(e, slot, level);
	if (item->type == RW_TABLE)
		put_rows(e, slot, level);
	const rw_formula *formula = NULL;
	if (!item->input || rw_slot_origin(e->view->design, slot)->state == RW_CHOSEN)
		RW_TRY(rw_figure_formula(e->view, e->arena, slot, &formula, err));
	if (formula && item->input && is_constant(formula))
		formula = NULL;   /* the rule's own words say it all */
	if (!item->input && !rw_item_exists(e->view, slot)) {
		put_absent(e, slot, level);
		return RW_OK;
	}
	if (!formula)
		return RW_OK;
	RW_TRY(put_formula(e, slot, formula, level, err));
	if (!item->input && is_coupled(e, slot)) {
		put_together(e, slot, level);
		if (level == 0 && formula->kind != RW_BALANCE) {
			indent(e, level + 1);
			rw_text_add(e->out, "the balances of that set:\n");
			int n = e->n_reads;
			RW_TRY(put_balances(e, slot, level + 1, err));
			e->n_reads = n;
		}
	}
	if (level >= e->options->depth)
		return RW_OK;
	rw_slot reads[READS_MAX];
	int n = e->n_reads;
	memcpy(reads, e->reads, sizeof reads);
	for (int i = 0; i < n; i++)
		if (!same_slot(reads[i], slot))   /* a balance reads the figure it is the balance of */
			RW_TRY(explain_slot(e, reads[i], level + 1, err));
	return RW_OK;
}

rw_status rw_explain(const rw_view *view, const rw_units *units, const rw_graph *graph, rw_arena *arena, const char *key,
                     const rw_explain_options *options, rw_text *out, rw_error *err)
{
	explainer *e = RW_ARENA_NEW(arena, explainer, 1);
	if (!e)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	*e = (explainer){.view = view, .units = units, .graph = graph, .arena = arena, .options = options, .out = out,
	                 .set_told = RW_ARENA_NEW(arena, bool, graph->n)};
	if (!e->set_told)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	rw_slot slot;
	RW_TRY(rw_slot_find(view, key, RW_NO_ELEMENT, &slot, err));
	RW_TRY(explain_slot(e, slot, 0, err));
	return out->failed ? RW_RAISE(err, RW_E_MEMORY, "", "memory ran out") : RW_OK;
}
