/* Any bytes: a tree whose every byte can be visited, or faults whose places lie inside the text. */
#include <stdlib.h>
#include <string.h>

#include "yaml/yaml.h"

#define REQUIRE(condition) do { if (!(condition)) abort(); } while (0)

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n);

static size_t visit(const rw_tree *tree, const rw_node *node)
{
	char path[96];
	rw_yaml_path(node, path, sizeof path);
	size_t seen = strlen(node->key) + strlen(path);
	REQUIRE(node->value_at.start <= node->value_at.end && node->value_at.end <= tree->n && (!node->value || strlen(node->value) == node->value_n));
	for (size_t at = node->value_at.start; at < node->value_at.end; at++)
		seen += tree->bytes[at] != '\0';
	for (const rw_node *child = node->first; child; child = child->next) {
		REQUIRE(child->parent == node && child->key_at.start >= node->value_at.start && child->key_at.end <= child->value_at.start);
		REQUIRE(child->value_at.end <= node->value_at.end);
		seen += visit(tree, child);
	}
	return seen;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
	rw_arena arena;
	rw_arena_init(&arena);
	rw_tree *tree;
	rw_errors errs = {0};
	size_t lines = 1;
	for (size_t i = 0; i < n; i++)
		lines += data[i] == '\n';
	if (rw_yaml_read(&arena, "fuzz", (const char *)data, n, &tree, &errs, NULL) == RW_OK)
		REQUIRE(visit(tree, tree->root) < SIZE_MAX);
	for (const rw_error *e = errs.list; e < errs.list + errs.n; e++)
		REQUIRE(e->line >= 1 && e->line <= lines && e->column >= 1 && e->column <= n + 1 && e->length >= 1 && e->length <= n + 1);
	rw_arena_release(&arena);
	return 0;
}
