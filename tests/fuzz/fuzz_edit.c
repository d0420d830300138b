/* Path, value and text, parted by zero bytes: a put that succeeds changes that path and no other; then the path drops again. */
#include <stdlib.h>
#include <string.h>

#include "yaml/yaml.h"

#define REQUIRE(condition) do { if (!(condition)) abort(); } while (0)

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n);

/* Every entry of a is at the same place in b, with the same value unless it is the one at path or an empty one that has become a mapping. */
static void compare(const rw_node *a, const rw_node *b, const char *path)
{
	char own[4096];
	rw_yaml_path(a, own, sizeof own);
	size_t n = strlen(own);
	bool on = strcmp(own, path) == 0 || (strncmp(own, path, n) == 0 && path[n] == '.' && a->value && a->value_n == 0);
	REQUIRE(strcmp(a->key, b->key) == 0 && (on || !a->value || (b->value && strcmp(a->value, b->value) == 0)));
	for (a = a->first, b = b->first; a; a = a->next, b = b->next) {
		REQUIRE(b);
		compare(a, b, path);
	}
	REQUIRE(!b || !b->next);   /* at most one new entry */
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
	const char *path = (const char *)data, *value = n ? memchr(data, 0, n) : NULL;
	const char *text = value ? memchr(value + 1, 0, n - (size_t)(value + 1 - path)) : NULL;
	if (!text)
		return 0;
	value++, text++;
	rw_arena arena;
	rw_arena_init(&arena);
	rw_text out;
	rw_text_init(&out);
	rw_tree *was, *is;
	if (rw_yaml_read(&arena, "", text, n - (size_t)(text - path), &was, NULL, NULL) == RW_OK) {
		rw_status status = rw_yaml_put(was->bytes, was->n, path, value, &out, NULL);
		bool tab = strchr(was->bytes, '\t') != NULL;   /* before a comment it is fine behind plain text only: edits may be refused */
		bool end = strstr(was->bytes, "...") != NULL;  /* nor can an end mark stand alone */
		REQUIRE(status != RW_E_INTERNAL || tab);
		if (status == RW_OK) {
			REQUIRE(rw_yaml_read(&arena, "", out.bytes, out.n, &is, NULL, NULL) == RW_OK);
			const rw_node *put = rw_yaml_find(is, path);
			REQUIRE(put && put->value && strcmp(put->value, value) == 0);
			compare(was->root, is->root, path);
			REQUIRE(rw_yaml_drop(is->bytes, is->n, path, &out, NULL) == RW_OK || tab || end);
		}
	}
	rw_text_release(&out);
	rw_arena_release(&arena);
	return 0;
}
