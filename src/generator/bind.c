/* Tree to design, by the item tables. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "generator/generator.h"

typedef struct binder {
	rw_arena *arena;
	const rw_units *units;
	const rw_tree *tree;
	rw_design *design;
	rw_errors *errs;
	rw_error first;         /* status RW_OK until something is wrong */
	const struct meant *meant;
	bool out_of_memory;
} binder;

/* Paths that misspelt keys were meant to be: what is required there is not told as missing too. */
typedef struct meant { const char *path; const struct meant *next; } meant;

/* Where in a room a mapping stands: "branches.*." with the element chosen. */
typedef struct place {
	int room, job, list, element;   /* list, element -1: none */
	char prefix[96];                /* of relative item keys, with '*' */
} place;

static void report(binder *b, const rw_node *node, const rw_span *span, rw_error *err)
{
	char path[96];
	if (node) {
		rw_yaml_path(node, path, sizeof path);
		snprintf(err->key, sizeof err->key, "%s", path);
	}
	if (span)
		rw_yaml_mark(b->tree, span, err);
	else
		rw_error_at(err, b->tree->name, 1, 1, 1);   /* of the whole text: no line is shown */
	if (b->first.status == RW_OK)
		b->first = *err;
	rw_errors_add(b->errs, err);
}

static rw_part *part_at(const binder *b, const place *at)
{
	return &b->design->part[at->room][b->design->registry->rooms[at->room]->per_job ? at->job : 0];
}

static void given(const binder *b, rw_slot slot, const rw_node *node)
{
	rw_origin *origin = rw_slot_origin(b->design, slot);
	*origin = (rw_origin){.state = RW_GIVEN, .line = node->value_at.line, .column = node->value_at.column, .length = node->value_at.length,
	                      .as_written = node->value};
}

static unsigned char *member_of(const binder *b, rw_slot slot)
{
	const rw_room *room = b->design->registry->rooms[slot.room];
	const rw_item *item = &room->items[slot.item];
	unsigned char *base = rw_design_in(b->design, slot.room, slot.job);
	if (item->list) {
		const rw_list *list = &room->lists[item->list - 1];
		base += list->in_at + (uint32_t)slot.element * list->in_stride;
	}
	return base + item->offset;
}

static void bind_number(binder *b, const rw_node *node, rw_slot slot, const rw_item *item)
{
	rw_error err;
	double si;
	rw_status status = rw_units_read(b->units, item->kind, node->value, &si, &err);
	if (status == RW_OK)
		status = rw_item_accepts(item, b->units, si, &err);
	if (status != RW_OK) {
		report(b, node, &node->value_at, &err);
		return;
	}
	if (item->type == RW_NUMBER) {
		memcpy(member_of(b, slot), &si, sizeof si);
	} else {
		int32_t whole = (int32_t)si;
		memcpy(member_of(b, slot), &whole, sizeof whole);
	}
	given(b, slot, node);
}

static void list_names(const char *const *names, char *out, size_t room)
{
	out[0] = '\0';
	for (int i = 0; names[i]; i++) {
		size_t n = strlen(out);
		snprintf(out + n, room - n, "%s%s", i ? ", " : "", names[i]);
	}
}

static void bind_choice(binder *b, const rw_node *node, rw_slot slot, const rw_item *item)
{
	int32_t n = 0;
	for (; item->input->choices[n]; n++)
		if (strcmp(item->input->choices[n], node->value) == 0) {
			memcpy(member_of(b, slot), &n, sizeof n);
			given(b, slot, node);
			return;
		}
	rw_error err;
	(void)RW_RAISE(&err, RW_E_VALUE, "", "'%s' is not one of the choices", node->value);
	if (!rw_text_expect(&err, node->value, item->input->choices, n))
		rw_error_hint(&err, "write one of the names");
	report(b, node, &node->value_at, &err);
}

static void bind_text(binder *b, const rw_node *node, rw_slot slot)
{
	if (node->value_n >= RW_TEXT_BYTES || node->value_n == 0 || strchr(node->value, '\n')) {
		rw_error err;
		(void)RW_RAISE(&err, RW_E_VALUE, "", node->value_n ? "the text is too long" : "the value is empty");
		rw_error_expected(&err, "one line of 1 to %d bytes", RW_TEXT_BYTES - 1);
		rw_error_hint(&err, node->value_n ? "shorten it" : "write the text behind the colon");
		report(b, node, &node->value_at, &err);
		return;
	}
	memcpy(member_of(b, slot), node->value, node->value_n + 1);
	given(b, slot, node);
}

static const char *line_behind(const char *p, const char *end)
{
	while (p < end && *p != '\n')
		p++;
	return p < end ? p + 1 : end;
}

static uint32_t spaces(const char *p, const char *end)
{
	const char *first = p;
	while (p < end && *p == ' ')
		p++;
	return (uint32_t)(p - first);
}

/* The place in the file of a fault in a block's text; behind the text's last line it is that line. */
static rw_span in_block(const rw_tree *tree, const rw_node *node, const rw_error *err)
{
	const char *end = tree->bytes + tree->n, *p = line_behind(tree->bytes + node->value_at.start, end);
	const char *text = node->value, *text_end = text + node->value_n, *next = line_behind(text, text_end);
	uint32_t line = 1;
	for (; line < err->line && next < text_end; line++) {
		p = line_behind(p, end);
		text = next;
		next = line_behind(text, text_end);
	}
	uint32_t indent = spaces(p, end) - spaces(text, text_end);
	rw_span span = {.start = (size_t)(p - tree->bytes), .end = (size_t)(p - tree->bytes), .line = node->value_at.line + line,
	                .column = indent + err->column, .length = err->length};
	if (line < err->line)
		span.length = (uint32_t)strcspn(text, "\n");
	return span;
}

static void bind_table(binder *b, const rw_node *node, rw_slot slot, const rw_item *item)
{
	rw_error err;
	rw_table table;
	rw_bound_table *grown = RW_ARENA_NEW(b->arena, rw_bound_table, b->design->n_tables + 1);
	char path[96];
	rw_yaml_path(node, path, sizeof path);
	if (!grown) {
		b->out_of_memory = true;
		return;
	}
	rw_status status = rw_table_read(b->arena, b->units, item->input->columns, item->input->n_columns, item->input->min_rows, node->value,
	    &table, &err);
	if (status != RW_OK) {
		rw_span span = node->block && err.line > 0 ? in_block(b->tree, node, &err) : node->value_at;
		if (!node->block)
			rw_error_hint(&err, "write '|' behind the colon and the table on the lines below, indented");
		report(b, node, &span, &err);
		return;
	}
	if (b->design->n_tables)
		memcpy(grown, b->design->tables, sizeof *grown * (size_t)b->design->n_tables);
	grown[b->design->n_tables] = (rw_bound_table){table, rw_arena_text(b->arena, path, strlen(path))};
	b->design->tables = grown;
	int32_t index = b->design->n_tables++;
	memcpy(member_of(b, slot), &index, sizeof index);
	given(b, slot, node);
}

static void bind_scalar(binder *b, const rw_node *node, rw_slot slot)
{
	const rw_item *item = rw_slot_item(b->design, slot);
	if (!item->input) {
		rw_error err;
		(void)RW_RAISE(&err, RW_E_KEY, "", "'%s' is a result and cannot be given", node->key);
		rw_error_expected(&err, "an input of this part of the file");
		rw_error_hint(&err, "take the line out; 'solve' computes it");
		report(b, node, &node->key_at, &err);
		return;
	}
	switch (item->type) {
	case RW_NUMBER:
	case RW_INTEGER: bind_number(b, node, slot, item); break;
	case RW_CHOICE:  bind_choice(b, node, slot, item); break;
	case RW_TEXT:    bind_text(b, node, slot); break;
	default:         bind_table(b, node, slot, item); break;
	}
}

/* Names that may stand below a prefix: the next word of every input key, and lists. */
static int names_below(const binder *b, const place *at, const char **names, int room_for)
{
	const rw_room *room = b->design->registry->rooms[at->room];
	size_t n = strlen(at->prefix);
	int count = 0;
	for (int i = 0; i < room->n_items; i++) {
		const rw_item *item = &room->items[i];
		if (!item->input || strncmp(item->key, at->prefix, n) != 0)
			continue;
		size_t m = strcspn(item->key + n, ".");
		char *word = rw_arena_text(b->arena, item->key + n, m);
		bool seen = !word;
		for (int k = 0; k < count && !seen; k++)
			seen = strcmp(names[k], word) == 0;
		if (!seen && count < room_for)
			names[count++] = word;
	}
	return count;
}

static bool was_meant(const binder *b, const char *path)
{
	for (const meant *m = b->meant; m; m = m->next) {
		size_t n = strlen(m->path);
		if (strncmp(m->path, path, n) == 0 && (path[n] == '\0' || path[n] == '.'))
			return true;
	}
	return false;
}

static void keep_meant(binder *b, const rw_node *node, const char *nearest)
{
	char above[96] = "";
	meant *m = RW_ARENA_NEW(b->arena, meant, 1);
	if (node->parent && node->parent->key[0])
		rw_yaml_path(node->parent, above, sizeof above);
	const char *path = m ? rw_arena_format(b->arena, "%s%s%s", above, above[0] ? "." : "", nearest) : NULL;
	if (!path) {
		b->out_of_memory = true;
		return;
	}
	*m = (meant){path, b->meant};
	b->meant = m;
}

/* elsewhere: NULL, or where a key of that name does belong. */
static void unknown_key(binder *b, const rw_node *node, const char *const *names, int n, const char *elsewhere)
{
	rw_error err;
	(void)RW_RAISE(&err, RW_E_KEY, "", "unknown key '%s'", node->key);
	const char *nearest = rw_text_expect(&err, node->key, names, n);
	if (nearest && !elsewhere) {
		keep_meant(b, node, nearest);
	} else {
		rw_error_hint(&err, elsewhere ? "'%s' belongs %s" : "take the line out, or see the file reference", node->key, elsewhere);
	}
	report(b, node, &node->key_at, &err);
}

static void wrong_shape(binder *b, const rw_node *node, bool wants_mapping)
{
	rw_error err;
	(void)RW_RAISE(&err, RW_E_VALUE, "", wants_mapping ? "'%s' has a value where a mapping belongs" : "'%s' has keys below it where a "
	    "value belongs", node->key);
	rw_error_expected(&err, wants_mapping ? "keys with values, indented below" : "one value behind the colon");
	size_t n = wants_mapping ? strcspn(node->value, ": ") : 0;
	if (n > 0 && node->value[n] == ':' && node->value[n + 1])
		rw_error_hint(&err, "a blank behind the colon: '%.*s: %.60s'", (int)n, node->value, node->value + n + 1);
	else
		rw_error_hint(&err, wants_mapping ? "indent its keys on the lines below" : "write the value on the same line");
	report(b, node, wants_mapping ? &node->value_at : &node->key_at, &err);
}

static void bind_mapping(binder *b, const rw_node *mapping, const place *at);

static void bad_name(binder *b, const rw_node *node, const char *why)
{
	rw_error err;
	(void)RW_RAISE(&err, RW_E_KEY, "", "'%s' %s", node->key, why);
	rw_error_expected(&err, "a name of small letters, digits and _, starting with a letter, at most 24 long");
	rw_error_hint(&err, "choose another name");
	report(b, node, &node->key_at, &err);
}

static bool is_member_word(const rw_room *room, int list, const char *name)
{
	size_t n = strlen(room->lists[list].key);
	for (int i = 0; i < room->n_items; i++)
		if (room->items[i].list == list + 1 && strcmp(room->items[i].key + n + 3, name) == 0)
			return true;
	return false;
}

static void bind_list(binder *b, const rw_node *mapping, const place *at, int list)
{
	const rw_room *room = b->design->registry->rooms[at->room];
	const rw_list *l = &room->lists[list];
	rw_part *part = part_at(b, at);
	int32_t n = 0;
	for (const rw_node *node = mapping->first; node; node = node->next) {
		if (!rw_text_is_name(node->key)) {
			bad_name(b, node, "is not a name");
			continue;
		}
		if (is_member_word(room, list, node->key)) {
			bad_name(b, node, "is the name of a member");
			continue;
		}
		if (node->value) {
			wrong_shape(b, node, true);
			continue;
		}
		if (n == l->capacity) {
			bad_name(b, node, "is one too many in this list");
			break;
		}
		snprintf(part->names[list][n], RW_NAME_BYTES, "%s", node->key);
		place below = *at;
		below.list = list;
		below.element = n;
		snprintf(below.prefix, sizeof below.prefix, "%s.*.", l->key);
		n++;
		memcpy((char *)part->in + l->count_at, &n, sizeof n);
		bind_mapping(b, node, &below);
	}
}

static int find_list(const rw_room *room, const char *key)
{
	for (int l = 0; l < room->n_lists; l++)
		if (strcmp(room->lists[l].key, key) == 0)
			return l;
	return -1;
}

static bool is_prefix_of_some(const rw_room *room, const char *prefix)
{
	for (int i = 0; i < room->n_items; i++)
		if (room->items[i].input && strncmp(room->items[i].key, prefix, strlen(prefix)) == 0)
			return true;
	return false;
}

static void bind_entry(binder *b, const rw_node *node, const place *at)
{
	const rw_room *room = b->design->registry->rooms[at->room];
	char key[192];
	snprintf(key, sizeof key, "%s%s", at->prefix, node->key);
	int item = rw_item_find(room, key), list = at->list < 0 ? find_list(room, key) : -1;
	place below = *at;
	snprintf(below.prefix, sizeof below.prefix, "%.90s.", key);
	bool group = item < 0 && list < 0 && is_prefix_of_some(room, below.prefix);
	if (item >= 0 && !strchr(node->key, '*')) {
		rw_slot slot = {(int16_t)at->room, (int16_t)item, (int16_t)at->element, (int16_t)at->job, RW_NO_CASE};
		if (node->value)
			bind_scalar(b, node, slot);
		else
			wrong_shape(b, node, false);
	} else if (list >= 0 || group) {
		if (node->value)
			wrong_shape(b, node, true);
		else if (list >= 0)
			bind_list(b, node, at, list);
		else
			bind_mapping(b, node, &below);
	} else {
		const char *names[64];
		int n = names_below(b, at, names, 64);
		unknown_key(b, node, names, n, NULL);
	}
}

static void bind_mapping(binder *b, const rw_node *mapping, const place *at)
{
	for (const rw_node *node = mapping->first; node && !b->out_of_memory; node = node->next)
		bind_entry(b, node, at);
}

/* Something required is not there: told at the nearest mapping above it that stands in the file. */
static void missing(binder *b, const char *path, rw_error *err)
{
	char above[128];
	const rw_node *where = NULL;
	snprintf(above, sizeof above, "%s", path);
	for (char *dot = strrchr(above, '.'); dot && !where; dot = strrchr(above, '.')) {
		*dot = '\0';
		where = rw_yaml_find(b->tree, above);
	}
	snprintf(err->key, sizeof err->key, "%s", path);
	report(b, NULL, where ? &where->key_at : NULL, err);
}

static void missing_list(binder *b, const place *at, const rw_list *list)
{
	const rw_room *room = b->design->registry->rooms[at->room];
	const char *job = room->per_job ? b->design->job_names[at->job] : "";
	char path[128];
	rw_error err;
	snprintf(path, sizeof path, "%s%s%s%s.%s", room->per_job ? "jobs." : "", job, room->per_job ? "." : "", room->name, list->key);
	if (was_meant(b, path))
		return;
	(void)RW_RAISE(&err, RW_E_MISSING, "", "'%s' has no entry", list->key);
	rw_error_expected(&err, "at least one named entry: %s", list->text);
	rw_error_hint(&err, "add '%s.NAME:' and its keys", path);
	missing(b, path, &err);
}

/* "Hz kHz" to "Hz, kHz". */
static void list_words(const char *words, char *out, size_t room)
{
	size_t n = 0;
	for (const char *p = words; *p && n + 3 < room; p++) {
		if (*p == ' ')
			out[n++] = ',';
		out[n++] = *p;
	}
	out[n] = '\0';
}

static void missing_item(binder *b, rw_slot slot)
{
	const rw_item *item = rw_slot_item(b->design, slot);
	char path[128], units[96] = "", names[160] = "";
	rw_slot_path(b->design, slot, path, sizeof path);
	if (was_meant(b, path) || rw_yaml_find(b->tree, path))   /* it is there and wrong: told already */
		return;
	rw_error err;
	const char *name = strrchr(path, '.') + 1;
	(void)RW_RAISE(&err, RW_E_MISSING, "", "'%s' is missing", name);
	if (item->kind && item->kind->units[0] != '1')
		list_words(item->kind->units, units, sizeof units);
	if (item->type == RW_CHOICE)
		list_names(item->input->choices, names, sizeof names);
	rw_error_expected(&err, "%s%s%s%s%s", item->text, units[0] ? ", in " : "", units, names[0] ? ": " : "", names);
	rw_error_hint(&err, "no rule can choose it: add '%s:' below '%.*s:'", name, (int)(name - 1 - path), path);
	missing(b, path, &err);
}

/* What is given and belongs to another kind of the room. */
static void foreign(binder *b, rw_slot slot)
{
	const rw_room *room = b->design->registry->rooms[slot.room];
	const rw_input *input = room->items[slot.item].input;
	const rw_item *choice = &room->items[rw_item_find(room, input->only.key)];
	char path[128], kinds[160] = "", one[32] = "";
	int32_t kind, accepted = 0;
	memcpy(&kind, (const char *)rw_design_in(b->design, slot.room, slot.job) + input->only.at, sizeof kind);
	for (int k = 0; choice->input->choices[k]; k++)
		if (input->only.kinds >> k & 1U) {
			size_t n = strlen(kinds);
			snprintf(kinds + n, sizeof kinds - n, "%s%s", n ? ", " : "", choice->input->choices[k]);
			snprintf(one, sizeof one, "%s", choice->input->choices[k]);
			accepted++;
		}
	rw_slot_path(b->design, slot, path, sizeof path);
	const rw_node *node = rw_yaml_find(b->tree, path);
	rw_error err;
	const char *name = strrchr(path, '.') + 1;
	(void)RW_RAISE(&err, RW_E_KEY, path, "'%s' does not belong to '%s: %s'%s", name, choice->key, choice->input->choices[kind < 0 ? 0 : kind],
	    kind < 0 ? ", which it is where nothing is said" : "");
	rw_error_expected(&err, "'%s' only with %s: %s", name, choice->key, kinds);
	if (accepted == 1)
		rw_error_hint(&err, "take the line out, or write '%s: %s'", choice->key, one);
	else
		rw_error_hint(&err, "take the line out, or write one of these kinds");
	report(b, node, node ? &node->key_at : NULL, &err);
}

/* The kind stands in the file and was not understood: what would belong to it nobody knows, and it has been told. */
static bool kind_refused(const binder *b, const place *at)
{
	const rw_room *room = b->design->registry->rooms[at->room];
	for (int i = 0; i < room->n_items; i++) {
		const rw_input *input = room->items[i].input;
		const char *key = input ? input->only.key : NULL;
		if (!key)
			continue;
		char path[128];
		rw_slot slot = {(int16_t)at->room, (int16_t)rw_item_find(room, key), RW_NO_ELEMENT, (int16_t)at->job, RW_NO_CASE};
		rw_slot_path(b->design, slot, path, sizeof path);
		if (rw_slot_origin(b->design, slot)->state == RW_OPEN && rw_yaml_find(b->tree, path))
			return true;
	}
	return false;
}

/* What a room requires and has not got, and what it has got of another kind. */
static void require(binder *b, const place *at)
{
	const rw_room *room = b->design->registry->rooms[at->room];
	const void *in = rw_design_in(b->design, at->room, at->job);
	if (kind_refused(b, at))
		return;
	for (int l = 0; l < room->n_lists; l++)
		if (room->lists[l].required && rw_only_holds(&room->lists[l].required_only, in) && rw_design_elements(b->design, at->room, l, at->job) == 0)
			missing_list(b, at, &room->lists[l]);
	for (int i = 0; i < room->n_items; i++) {
		const rw_item *item = &room->items[i];
		if (!item->input)
			continue;
		bool belongs = rw_only_holds(&item->input->only, in);
		bool required = item->input->required && belongs && rw_only_holds(&item->input->required_only, in);
		int n = item->list ? rw_design_elements(b->design, at->room, item->list - 1, at->job) : 1;
		for (int k = 0; k < n; k++) {
			rw_slot slot = {(int16_t)at->room, (int16_t)i, (int16_t)(item->list ? k : RW_NO_ELEMENT), (int16_t)at->job, RW_NO_CASE};
			rw_state state = (rw_state)rw_slot_origin(b->design, slot)->state;
			if (required && state == RW_OPEN)
				missing_item(b, slot);
			else if (!belongs && state == RW_GIVEN)
				foreign(b, slot);
		}
	}
}

static void bind_room(binder *b, int r, int job, const rw_node *above)
{
	const rw_node *mapping = rw_yaml_child(above, b->design->registry->rooms[r]->name);
	place at = {r, job, -1, -1, ""};
	if (mapping && mapping->value && (mapping->value_n || mapping->block)) {
		wrong_shape(b, mapping, true);
		return;
	}
	if (mapping)
		bind_mapping(b, mapping, &at);
	require(b, &at);
}

static void check_names(binder *b, const rw_node *above, bool per_job)
{
	const char *names[64];
	int n = 0;
	if (!per_job) {
		names[n++] = "format";
		names[n++] = "jobs";
	}
	for (int r = 0; r < b->design->registry->n_rooms && n < 64; r++) {
		const rw_room *room = b->design->registry->rooms[r];
		if (room->per_job == per_job && room->in_size)
			names[n++] = room->name;
	}
	for (const rw_node *node = above->first; node; node = node->next) {
		bool known = false;
		for (int i = 0; i < n; i++)
			known = known || strcmp(names[i], node->key) == 0;
		int room = rw_registry_find(b->design->registry, node->key);
		bool misplaced = !known && room >= 0 && b->design->registry->rooms[room]->in_size;
		if (!known)
			unknown_key(b, node, names, n, !misplaced ? NULL : per_job ? "to the set: at the left margin, beside 'jobs:'" : "to a job: below 'jobs:' and its name");
	}
}

static void check_format(binder *b)
{
	const rw_node *node = rw_yaml_child(b->tree->root, "format");
	if (node && node->value && strcmp(node->value, "1") == 0)
		return;
	rw_error err;
	if (node)
		(void)RW_RAISE(&err, RW_E_VALUE, "format", "format '%s' is not one this program reads", node->value ? node->value : "");
	else
		(void)RW_RAISE(&err, RW_E_MISSING, "format", "'format' is missing");
	rw_error_expected(&err, "format: %d", RW_FILE_FORMAT);
	rw_error_hint(&err, node ? "a newer program may be needed" : "write 'format: %d' as the first line", RW_FILE_FORMAT);
	report(b, NULL, node ? &node->value_at : NULL, &err);
}

static int count_jobs(binder *b, const rw_node **jobs)
{
	*jobs = rw_yaml_child(b->tree->root, "jobs");
	int n = 0;
	for (const rw_node *node = *jobs && !(*jobs)->value ? (*jobs)->first : NULL; node; node = node->next)
		n++;
	if (n > 0 && n <= RW_JOBS_MAX)
		return n;
	rw_error err;
	(void)RW_RAISE(&err, RW_E_MISSING, "jobs", n ? "there are more than %d jobs" : "there is no job", RW_JOBS_MAX);
	rw_error_expected(&err, "from 1 to %d named jobs below 'jobs:'", RW_JOBS_MAX);
	rw_error_hint(&err, "'rfwright new' writes a file with one job");
	report(b, NULL, *jobs ? &(*jobs)->key_at : NULL, &err);
	return 0;
}

static void bind_jobs(binder *b, const rw_node *jobs)
{
	int j = 0;
	for (const rw_node *node = jobs->first; node; node = node->next, j++) {
		if (!rw_text_is_name(node->key)) {
			bad_name(b, node, "is not a name");
			continue;
		}
		snprintf(b->design->job_names[j], RW_NAME_BYTES, "%s", node->key);
		if (node->value) {
			wrong_shape(b, node, true);
			continue;
		}
		check_names(b, node, true);
		for (int r = 0; r < b->design->registry->n_rooms; r++)
			if (b->design->registry->rooms[r]->per_job)
				bind_room(b, r, j, node);
	}
}

rw_status rw_generator_bind(rw_arena *arena, const rw_units *units, const rw_registry *registry, const char *name, const char *bytes, size_t n,
                            rw_generator *out, rw_errors *errs, rw_error *err)
{
	rw_tree *tree;
	RW_TRY(rw_yaml_read(arena, name, bytes, n, &tree, errs, err));
	binder b = {.arena = arena, .units = units, .tree = tree, .errs = errs};
	const rw_node *jobs;
	int n_jobs = count_jobs(&b, &jobs);
	RW_TRY(rw_design_new(arena, registry, n_jobs, &b.design, err));
	b.design->file = tree->name;
	rw_digest(bytes, n, b.design->digest);
	check_format(&b);
	check_names(&b, tree->root, false);
	for (int r = 0; r < registry->n_rooms; r++)
		if (!registry->rooms[r]->per_job && registry->rooms[r]->in_size)
			bind_room(&b, r, 0, tree->root);
	if (n_jobs)
		bind_jobs(&b, jobs);
	if (b.out_of_memory)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	if (b.first.status != RW_OK) {
		if (err)
			*err = b.first;
		return b.first.status;
	}
	*out = (rw_generator){tree, b.design};
	return RW_OK;
}
