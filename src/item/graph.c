#include "item/graph.h"

#include <stdio.h>
#include <string.h>

typedef struct builder {
	const rw_registry *registry;
	const int *room_start;
	int *edge;               /* NULL on the counting pass */
	int n_edges;
	const char *bad;         /* a key no table has */
	char bad_text[96];
} builder;

static int find_node(const rw_registry *registry, const int *room_start, const char *key)
{
	const char *dot = strchr(key, '.');
	char room[32] = "";
	if (!dot || (size_t)(dot - key) >= sizeof room)
		return -1;
	memcpy(room, key, (size_t)(dot - key));
	int r = rw_registry_find(registry, room);
	int i = r < 0 ? -1 : rw_item_find(registry->rooms[r], dot + 1);
	return i < 0 ? -1 : room_start[r] + i;
}

static void add_edge(builder *b, int node)
{
	if (b->edge)
		b->edge[b->n_edges] = node;
	b->n_edges++;
}

static void add_key(void *context, const char *key, bool aggregate)
{
	builder *b = context;
	(void)aggregate;
	int node = find_node(b->registry, b->room_start, key);
	if (node >= 0) {
		add_edge(b, node);
	} else if (!b->bad) {
		strncpy(b->bad_text, key, sizeof b->bad_text - 1);
		b->bad = b->bad_text;
	}
}

/* "valve.*" or "work.loads.*": every item whose full key starts so. */
static bool add_below(builder *b, const char *prefix)
{
	bool any = false;
	for (int r = 0; r < b->registry->n_rooms; r++) {
		const rw_room *room = b->registry->rooms[r];
		size_t n = strlen(room->name);
		for (int i = 0; i < room->n_items; i++) {
			char key[160];
			memcpy(key, room->name, n);
			key[n] = '.';
			strncpy(key + n + 1, room->items[i].key, sizeof key - n - 2);
			key[sizeof key - 1] = '\0';
			if (strncmp(key, prefix, strlen(prefix)) == 0 && (any = true))
				add_edge(b, b->room_start[r] + i);
		}
	}
	return any;
}

static void add_reads(builder *b, const char *reads)
{
	char list[RW_READS_BYTES];
	if (strlen(reads) >= sizeof list) {
		b->bad = reads;   /* a list that long is cut off nowhere */
		return;
	}
	strcpy(list, reads);
	char *rest = NULL;
	for (char *key = strtok_r(list, ", ", &rest); key; key = strtok_r(NULL, ", ", &rest)) {
		size_t n = strlen(key);
		bool below = n > 2 && strcmp(key + n - 2, ".*") == 0;
		if (below)
			key[n - 1] = '\0';
		if (!below || !add_below(b, key))
			add_key(b, key, false);
	}
}

static rw_status add_formula(builder *b, rw_arena *arena, const char *text, rw_error *err)
{
	const rw_expr *expr;
	RW_TRY(rw_expr_read(arena, text, &expr, err));
	rw_expr_keys(expr, add_key, b);
	return RW_OK;
}

static rw_status add_item(builder *b, rw_arena *arena, const rw_room *room, const rw_item *item, rw_error *err)
{
	char choice[96];
	if (item->input && item->input->only.key) {   /* whether it is there at all */
		snprintf(choice, sizeof choice, "%s.%s", room->name, item->input->only.key);
		add_key(b, choice, false);
	}
	for (int f = 0; f < item->n_formulas; f++) {
		const rw_formula *formula = &item->formulas[f];
		if (formula->when)
			RW_TRY(add_formula(b, arena, formula->when, err));
		if (formula->kind != RW_METHOD)
			RW_TRY(add_formula(b, arena, formula->text, err));
		if (formula->kind == RW_BALANCE)
			RW_TRY(add_formula(b, arena, formula->scale, err));
		if (formula->kind == RW_METHOD && formula->reads)
			add_reads(b, formula->reads);
	}
	if (b->bad) {
		(void)RW_RAISE(err, RW_E_KEY, item->key, "the formula of '%s' reads '%s', which no table has", item->key, b->bad);
		return RW_E_KEY;
	}
	return RW_OK;
}

static rw_status each_item(builder *b, rw_arena *arena, int *first, rw_error *err)
{
	int node = 0;
	for (int r = 0; r < b->registry->n_rooms; r++)
		for (int i = 0; i < b->registry->rooms[r]->n_items; i++) {
			if (first)
				first[node] = b->n_edges;
			node++;
			RW_TRY(add_item(b, arena, b->registry->rooms[r], &b->registry->rooms[r]->items[i], err));
		}
	if (first)
		first[node] = b->n_edges;
	return RW_OK;
}

/* Strongly connected sets (Tarjan), without recursion: the explicit stack holds node and next edge. */
typedef struct tarjan { int *index, *low, *stack, *frame, *next; bool *on_stack; int n_stack, n_index, n_component; } tarjan;

static void close_set(tarjan *t, int node, int *component)
{
	int top;
	do {
		top = t->stack[--t->n_stack];
		t->on_stack[top] = false;
		component[top] = t->n_component;
	} while (top != node);
	t->n_component++;
}

static void connect(const rw_graph *g, tarjan *t, int root, int *component)
{
	int depth = 0;
	t->frame[0] = root;
	t->next[root] = g->first[root];
	t->index[root] = t->low[root] = ++t->n_index;
	t->stack[t->n_stack++] = root;
	t->on_stack[root] = true;
	while (depth >= 0) {
		int node = t->frame[depth];
		if (t->next[node] < g->first[node + 1]) {
			int to = g->edge[t->next[node]++];
			if (!t->index[to]) {
				t->index[to] = t->low[to] = ++t->n_index;
				t->next[to] = g->first[to];
				t->stack[t->n_stack++] = to;
				t->on_stack[to] = true;
				t->frame[++depth] = to;
			} else if (t->on_stack[to] && t->index[to] < t->low[node]) {
				t->low[node] = t->index[to];
			}
			continue;
		}
		if (t->low[node] == t->index[node])
			close_set(t, node, component);
		if (--depth >= 0 && t->low[node] < t->low[t->frame[depth]])
			t->low[t->frame[depth]] = t->low[node];
	}
}

rw_status rw_graph_new(rw_arena *arena, const rw_registry *registry, const rw_graph **out, rw_error *err)
{
	rw_graph *g = RW_ARENA_NEW(arena, rw_graph, 1);
	int *start = RW_ARENA_NEW(arena, int, registry->n_rooms);
	if (!g || !start)
		goto out_of_memory;
	int n = 0;
	for (int r = 0; r < registry->n_rooms; r++) {
		start[r] = n;
		n += registry->rooms[r]->n_items;
	}
	builder b = {.registry = registry, .room_start = start};
	RW_TRY(each_item(&b, arena, NULL, err));
	int *first = RW_ARENA_NEW(arena, int, n + 1), *edge = RW_ARENA_NEW(arena, int, b.n_edges + 1), *component = RW_ARENA_NEW(arena, int, n);
	tarjan t = {RW_ARENA_NEW(arena, int, n), RW_ARENA_NEW(arena, int, n), RW_ARENA_NEW(arena, int, n), RW_ARENA_NEW(arena, int, n),
	            RW_ARENA_NEW(arena, int, n), RW_ARENA_NEW(arena, bool, n), 0, 0, 0};
	if (!first || !edge || !component || !t.index || !t.low || !t.stack || !t.frame || !t.next || !t.on_stack)
		goto out_of_memory;
	b = (builder){.registry = registry, .room_start = start, .edge = edge};
	RW_TRY(each_item(&b, arena, first, err));
	*g = (rw_graph){registry, n, start, first, edge, component};
	for (int i = 0; i < n; i++)
		if (!t.index[i])
			connect(g, &t, i, component);
	*out = g;
	return RW_OK;
out_of_memory:
	return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
}

int rw_graph_node(const rw_graph *graph, int room, int item) { return graph->room_start[room] + item; }

void rw_graph_item(const rw_graph *graph, int node, int *room, int *item)
{
	int r = graph->registry->n_rooms - 1;
	while (r > 0 && graph->room_start[r] > node)
		r--;
	while (graph->registry->rooms[r]->n_items == 0)
		r--;
	*room = r;
	*item = node - graph->room_start[r];
}

void rw_graph_reach(const rw_graph *graph, int node, bool *reached)
{
	if (reached[node])
		return;
	reached[node] = true;
	for (int e = graph->first[node]; e < graph->first[node + 1]; e++)
		rw_graph_reach(graph, graph->edge[e], reached);
}

rw_status rw_graph_reads(rw_arena *arena, const rw_graph *graph, const char *formula, int *nodes, int room, int *n, rw_error *err)
{
	builder count = {.registry = graph->registry, .room_start = graph->room_start};
	RW_TRY(add_formula(&count, arena, formula, err));
	if (count.bad)
		return RW_RAISE(err, RW_E_KEY, "", "'%s' is read and no table has it", count.bad);
	if (count.n_edges > room)
		return RW_RAISE(err, RW_E_INTERNAL, "", "a formula reads more than %d keys", room);
	builder fill = {.registry = graph->registry, .room_start = graph->room_start, .edge = nodes};
	RW_TRY(add_formula(&fill, arena, formula, err));
	*n = fill.n_edges;
	return RW_OK;
}
