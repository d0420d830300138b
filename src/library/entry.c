/* One entry: blocks of figures, each with source and status. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/table.h"
#include "library/library_internal.h"

enum { FIGURES_MAX = 500 };

/* What an entry is read with, and what a figure takes over from its block. */
struct reading {
	rw_arena *arena;
	const rw_library *library;
	const rw_tree *tree;
	rw_fact *facts;
	int n;
};

static rw_status read_head(struct reading *reading, const char *name, rw_entry *out, rw_error *err);
static int count_figures(const rw_tree *tree);
static rw_status read_block(struct reading *reading, const rw_node *block, rw_error *err);
static rw_status read_figure(struct reading *reading, const rw_node *block, const rw_node *figure, const rw_fact *common, rw_error *err);
static rw_status read_provenance(const struct reading *reading, const rw_node *mapping, rw_fact *fact, rw_error *err);

static bool is_head(const char *key)
{
	return strcmp(key, "format") == 0 || strcmp(key, "name") == 0 || strcmp(key, "title") == 0;
}

static bool is_provenance(const char *key)
{
	return strcmp(key, "source") == 0 || strcmp(key, "status") == 0 || strcmp(key, "conditions") == 0;
}

/* As the members of the rooms' structs; they may be longer than the names the user gives. */
static bool is_key(const char *key)
{
	return key[0] >= 'a' && key[0] <= 'z' && strlen(key) <= 40 && key[strspn(key, "abcdefghijklmnopqrstuvwxyz0123456789_")] == 0;
}

rw_status rw_entry_read(rw_arena *arena, const char *name, const char *bytes, size_t n, rw_entry *out, rw_error *err)
{
	return rw__entry_read(arena, NULL, NULL, name, bytes, n, out, err);
}

rw_status rw__entry_read(rw_arena *arena, const rw_library *library, const char *name, const char *file, const char *bytes, size_t n,
                         rw_entry *out, rw_error *err)
{
	rw_tree *tree;
	RW_TRY(rw_yaml_read(arena, file, bytes, n, &tree, NULL, err));
	struct reading reading = {.arena = arena, .library = library, .tree = tree};
	rw_entry entry = {.file = tree->name, .tree = tree};
	RW_TRY(read_head(&reading, name, &entry, err));
	int figures = count_figures(tree);
	if (figures > FIGURES_MAX)
		return RW_RAISE(err, RW_E_VALUE, "", "the entry has %d figures, more than %d", figures, (int)FIGURES_MAX);
	reading.facts = RW_ARENA_NEW(arena, rw_fact, figures + 1);
	if (!reading.facts)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	for (const rw_node *block = tree->root->first; block; block = block->next)
		if (!is_head(block->key))
			RW_TRY(read_block(&reading, block, err));
	entry.facts = reading.facts;
	entry.n_facts = reading.n;
	rw_digest(bytes, n, entry.digest);
	*out = entry;
	return RW_OK;
}

const rw_fact *rw_entry_fact(const rw_entry *entry, const char *key)
{
	for (int i = 0; i < entry->n_facts; i++)
		if (strcmp(entry->facts[i].key, key) == 0)
			return &entry->facts[i];
	return NULL;
}

static rw_status read_head(struct reading *reading, const char *name, rw_entry *out, rw_error *err)
{
	const rw_tree *tree = reading->tree;
	const rw_node *node;
	RW_TRY(rw__format_check(tree, err));
	RW_TRY(rw__text_of(tree, tree->root, "name", &node, &out->name, err));
	if (!out->name)
		return rw__fault(tree, tree->root, RW_E_MISSING, err, "the entry has no 'name'");
	if (name && strcmp(name, out->name) != 0)
		return rw__fault(tree, node, RW_E_VALUE, err, "the entry calls itself '%s' and stands in the file of '%s'", out->name, name);
	RW_TRY(rw__text_of(tree, tree->root, "title", &node, &out->title, err));
	if (!out->title)
		return rw__fault(tree, tree->root, RW_E_MISSING, err, "the entry has no 'title'");
	return RW_OK;
}

static int count_figures(const rw_tree *tree)
{
	int n = 0;
	for (const rw_node *block = tree->root->first; block; block = block->next)
		for (const rw_node *figure = block->first; figure; figure = figure->next)
			n++;
	return n;
}

static rw_status read_block(struct reading *reading, const rw_node *block, rw_error *err)
{
	if (block->value) {
		rw_status status = rw__fault(reading->tree, block, RW_E_VALUE, err, "'%s' is a value, not a block of figures", block->key);
		rw_error_expected(err, "a mapping with source, status and figures");
		return status;
	}
	rw_fact common = {.block = block->key};
	RW_TRY(read_provenance(reading, block, &common, err));
	for (const rw_node *figure = block->first; figure; figure = figure->next)
		if (!is_provenance(figure->key))
			RW_TRY(read_figure(reading, block, figure, &common, err));
	return RW_OK;
}

static rw_status read_figure(struct reading *reading, const rw_node *block, const rw_node *figure, const rw_fact *common, rw_error *err)
{
	const rw_tree *tree = reading->tree;
	const rw_node *value = figure;
	rw_fact fact = *common;
	fact.key = figure->key;
	if (!is_key(fact.key))
		return rw__fault(tree, figure, RW_E_KEY, err, "'%s' is not a key of a figure", fact.key);
	if (figure->value) {
		fact.value = figure->value;
	} else {
		RW_TRY(read_provenance(reading, figure, &fact, err));
		for (const rw_node *part = figure->first; part; part = part->next)
			if (!is_provenance(part->key) && strcmp(part->key, "value") != 0)
				return rw__fault(tree, part, RW_E_KEY, err, "a figure has no '%s', only value, source, status and conditions", part->key);
		RW_TRY(rw__text_of(tree, figure, "value", &value, &fact.value, err));
		if (!fact.value)
			return rw__fault(tree, figure, RW_E_MISSING, err, "the figure '%s' has no value", fact.key);
	}
	if (fact.value[0] == 0)
		return rw__fault(tree, value, RW_E_VALUE, err, "the figure '%s' is empty", fact.key);
	if (!fact.source || !fact.status)
		return rw__fault(tree, figure, RW_E_MISSING, err, "the figure '%s' has no %s, nor has its block '%s'", fact.key,
		                 fact.source ? "status" : "source", block->key);
	const rw_entry before = {.facts = reading->facts, .n_facts = reading->n};
	if (rw_entry_fact(&before, fact.key))
		return rw__fault(tree, figure, RW_E_KEY, err, "the figure '%s' stands in two blocks", fact.key);
	fact.unverified = strcmp(fact.status, "memory") == 0 || strcmp(fact.status, "invented") == 0;
	fact.at = value->value_at;
	reading->facts[reading->n++] = fact;
	return RW_OK;
}

/* Source, status and conditions of a block or a figure; what is not there stays as it was. */
static rw_status read_provenance(const struct reading *reading, const rw_node *mapping, rw_fact *fact, rw_error *err)
{
	const rw_tree *tree = reading->tree;
	const rw_node *node;
	const char *text;
	RW_TRY(rw__text_of(tree, mapping, "source", &node, &text, err));
	if (text) {
		if (reading->library && !rw_library_source(reading->library, text))
			return rw__fault(tree, node, RW_E_KEY, err, "the source '%s' is not in the list of sources", text);
		fact->source = text;
	}
	RW_TRY(rw__text_of(tree, mapping, "status", &node, &text, err));
	if (text) {
		RW_TRY(rw__status_check(tree, node, err));
		fact->status = text;
	}
	RW_TRY(rw__text_of(tree, mapping, "conditions", &node, &text, err));
	fact->conditions = text ? text : fact->conditions;
	return RW_OK;
}

rw_status rw__text_of(const rw_tree *tree, const rw_node *mapping, const char *key, const rw_node **node, const char **text, rw_error *err)
{
	*node = rw_yaml_child(mapping, key);
	*text = *node ? (*node)->value : NULL;
	if (*node && (!*text || !**text))
		return rw__fault(tree, *node, RW_E_VALUE, err, "'%s' is not a text", key);
	return RW_OK;
}

rw_status rw__format_check(const rw_tree *tree, rw_error *err)
{
	const rw_node *node = rw_yaml_child(tree->root, "format");
	if (node && node->value && strcmp(node->value, "1") == 0)
		return RW_OK;
	rw_status status = rw__fault(tree, node ? node : tree->root, node ? RW_E_VALUE : RW_E_MISSING, err, "%s",
	                             node ? "the format of the file is not known" : "the file does not tell its format");
	rw_error_expected(err, "format: 1");
	return status;
}

rw_status rw__status_check(const rw_tree *tree, const rw_node *node, rw_error *err)
{
	static const char *const statuses[] = {"read", "derived", "memory", "invented"};
	for (size_t i = 0; i < sizeof statuses / sizeof *statuses; i++)
		if (strcmp(node->value, statuses[i]) == 0)
			return RW_OK;
	rw_status status = rw__fault(tree, node, RW_E_VALUE, err, "'%s' is not a status", node->value);
	rw_error_expected(err, "read, derived, memory or invented");
	return status;
}

rw_status rw__fault(const rw_tree *tree, const rw_node *node, rw_status status, rw_error *err, const char *format, ...)
{
	char what[sizeof err->what], path[sizeof err->key];
	va_list arguments;
	va_start(arguments, format);
	vsnprintf(what, sizeof what, format, arguments);
	va_end(arguments);
	rw_yaml_path(node, path, sizeof path);
	status = RW_RAISE(err, status, path, "%s", what);
	static const rw_span top = {.line = 1, .column = 1};
	rw_yaml_mark(tree, node->value ? &node->value_at : node->parent ? &node->key_at : &top, err);
	return status;
}
