/* Reading of texts: trees, marks, faults in the user's words, memory that runs out. The generator files are invented. */
#include <stdlib.h>
#include <string.h>

#include "tests/check.h"
#include "yaml/yaml.h"

static rw_tree *read_ok(rw_arena *arena, const char *text)
{
	rw_tree *tree = NULL;
	rw_error err;
	CHECK_OK(rw_yaml_read(arena, "set.yaml", text, strlen(text), &tree, NULL, &err), &err);
	return tree;
}

static const char *value_at(const rw_tree *tree, const char *path)
{
	const rw_node *node = rw_yaml_find(tree, path);
	return node && node->value ? node->value : "(none)";
}

/* Reads a text that must fail; *errs holds every fault. */
static rw_error read_bad(const char *text, size_t n, rw_errors *errs)
{
	static rw_errors own;
	errs = errs ? errs : &own;
	errs->n = errs->n_more = 0;
	rw_arena arena;
	rw_arena_init(&arena);
	rw_error err = {0};
	rw_tree *tree = NULL;
	assert_int_not_equal(rw_yaml_read(&arena, "set.yaml", text, n, &tree, errs, &err), RW_OK);
	assert_null(tree);
	assert_true(errs->n >= 1);
	assert_string_equal(errs->list[0].what, err.what);
	for (int i = 0; i < errs->n; i++) {
		assert_string_equal(errs->list[i].file, "set.yaml");
		assert_true(errs->list[i].line >= 1 && errs->list[i].column >= 1 && errs->list[i].length >= 1);
	}
	rw_arena_release(&arena);
	return err;
}

static void tree_with_marks(void **state)
{
	(void)state;
	rw_arena arena;
	rw_arena_init(&arena);
	const char *text = "format: 1\nsupply:\n  ht: 8.35 kV   # set\n  ripple:\njobs:\n  journal: {work: bar, \"coil\": 'two turns'}\n";
	rw_tree *tree = read_ok(&arena, text);
	assert_string_equal(value_at(tree, "format"), "1");
	assert_string_equal(value_at(tree, "supply.ht"), "8.35 kV");
	assert_string_equal(value_at(tree, "supply.ripple"), "");
	assert_string_equal(value_at(tree, "jobs.journal.coil"), "two turns");
	assert_null(rw_yaml_find(tree, "supply.ht."));
	assert_null(rw_yaml_find(tree, "supply..ht"));
	assert_null(rw_yaml_find(tree, "suppl"));
	assert_ptr_equal(rw_yaml_find(tree, ""), tree->root);
	const rw_node *ht = rw_yaml_find(tree, "supply.ht"), *ripple = rw_yaml_child(ht->parent, "ripple");
	assert_int_equal(ht->value_at.line, 3);
	assert_int_equal(ht->value_at.column, 7);
	assert_int_equal(ht->value_at.length, 7);
	assert_memory_equal(text + ht->value_at.start, "8.35 kV", 7);
	assert_int_equal(ht->key_at.column, 3);
	assert_int_equal(ripple->index, 1);
	assert_int_equal(ripple->value_at.start, ripple->value_at.end);
	const rw_node *supply = ht->parent, *journal = rw_yaml_find(tree, "jobs.journal");
	assert_null(supply->value);
	assert_int_equal(supply->value_at.start, ht->key_at.start);
	assert_int_equal(supply->value_at.end, ripple->value_at.end);
	assert_int_equal(text[journal->value_at.start], '{');
	assert_int_equal(text[journal->value_at.end - 1], '}');
	char path[40];
	rw_yaml_path(rw_yaml_find(tree, "jobs.journal.coil"), path, sizeof path);
	assert_string_equal(path, "jobs.journal.coil");
	rw_yaml_path(journal, path, 7);
	assert_string_equal(path, "jobs.j");
	rw_error err = {0};
	rw_yaml_mark(tree, &ht->value_at, &err);
	assert_string_equal(err.source_line, "  ht: 8.35 kV   # set");
	rw_arena_release(&arena);
}

static void marks_are_bytes_behind_accents_and_bom(void **state)
{
	(void)state;
	rw_arena arena;
	rw_arena_init(&arena);
	const char *text = "\xEF\xBB\xBF# r\xC3\xA9seau\r\nm\xC3\xBChle: \xCE\xA9 47\r\nht: 9.13 kV\r\n";
	rw_tree *tree = read_ok(&arena, text);
	const rw_node *ohm = rw_yaml_child(tree->root, "m\xC3\xBChle"), *ht = rw_yaml_child(tree->root, "ht");
	assert_memory_equal(text + ohm->value_at.start, "\xCE\xA9 47", 5);
	assert_int_equal(ohm->value_at.end - ohm->value_at.start, 5);
	assert_int_equal(ohm->value_at.column, 8);
	assert_int_equal(ohm->value_at.length, 4);
	assert_memory_equal(text + ht->value_at.start, "9.13 kV\r", 8);
	assert_int_equal(ht->value_at.end - ht->value_at.start, 7);
	assert_int_equal(ht->key_at.line, 3);
	rw_error err = {0};
	rw_yaml_mark(tree, &ohm->value_at, &err);
	assert_string_equal(err.source_line, "m\xC3\xBChle: \xCE\xA9 47");
	rw_arena_release(&arena);
}

static void blocks(void **state)
{
	(void)state;
	rw_arena arena;
	rw_arena_init(&arena);
	const char *text = "points: |  # measured, invented\n  f/kHz r/mohm\n    403 2.385\n\n\nkept: |+\n a\n\nfolded: >-\n b\n c\nlast: |\n  z";
	rw_tree *tree = read_ok(&arena, text);
	const rw_node *points = rw_yaml_child(tree->root, "points"), *kept = rw_yaml_child(tree->root, "kept");
	assert_string_equal(points->value, "f/kHz r/mohm\n  403 2.385\n");
	assert_true(points->block);
	assert_int_equal(points->value_n, strlen(points->value));
	assert_int_equal(text[points->value_at.start], '|');
	assert_memory_equal(text + points->value_at.end - 5, "2.385\n", 6);
	assert_string_equal(kept->value, "a\n\n");
	assert_memory_equal(text + kept->value_at.end, "\nfolded", 7);
	assert_string_equal(value_at(tree, "folded"), "b c");
	assert_false(rw_yaml_child(tree->root, "folded")->block);
	assert_string_equal(value_at(tree, "last"), "z\n");   /* as with a line end behind it */
	rw_arena_release(&arena);
}

static void empty_texts_are_empty_mappings(void **state)
{
	(void)state;
	static const char *const texts[] = {"", "# nothing yet\n", "---\n", "\xEF\xBB\xBF", "{}", "--- # only a comment"};
	for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
		rw_arena arena;
		rw_arena_init(&arena);
		rw_tree *tree = read_ok(&arena, texts[i]);
		assert_null(tree->root->first);
		assert_null(tree->root->value);
		rw_arena_release(&arena);
	}
}

typedef struct bad { const char *text, *key, *what, *hint; unsigned line, column; } bad;

static void faults_in_the_users_words(void **state)
{
	(void)state;
	static const bad list[] = {
		{"tank:\n\tc: 1 nF\n", "tank", "a tab stands where only spaces may indent", "replace the tab", 2, 1},
		{"tank:\n  c: 1 nF\n\tl: 2 uH\n", "tank", "a tab stands", "replace the tab", 3, 1},
		{"tank:\n  c: 'one nF\n  l: 2 uH\n", "tank.c", "''one nF' opens a quote that is not closed", "close the quote", 2, 6},
		{"tank:\n  c: \"1 nF\n  l: \"2 uH\"\n", "tank.c", "'2 uH\"' stands behind a value that is complete", "the quote opened on line 2", 3, 7},
		{"a: b: c\n", "a", "'b: c' holds a second ': '", "quotes", 1, 4},
		{"tank:\n  c: 1 nF\n   l: 2 uH\n", "tank.c", "'l: 2 uH' is indented deeper", "line it up", 3, 4},
		{"tank:\n  c: 1 nF\n l: 2 uH\n", "tank", "'l: 2 uH' is indented unlike", "line it up", 3, 2},
		{"b: @x\n", "b", "'@x' begins with '@'", "quotes", 1, 4},
		{"b: `x\n", "b", "'`x' begins with '`'", "quotes", 1, 4},
		{"b: %x\n", "b", "'%x' begins with '%'", "quotes", 1, 4},
		{"b: * x\n", "b", "'* x' begins with '*'", "quotes", 1, 4},
		{"a: 1\nht 8 kV\nb: 2\n", "", "'ht 8 kV' has no ': ' behind it", "colon and a space", 2, 1},
		{"ht:8 kV\n", "", "the text is not a mapping", "colon and a space", 1, 1},
		{"w:\n  a: {b: 1\n", "w.a.b", "'{b: 1' opens a bracket", "close it", 2, 6},
		{"a: - b\n", "a", "'- b' is an entry of a list", "a name", 1, 4},
		{"a: 1\n- b\n", "", "'- b' is an entry of a list", "a name", 2, 1},
		{"a: \"\\q\"\n", "a", "a backslash in double quotes", "single quotes", 1, 5},
		{"a: ]\n", "a", "']' stands where a value is expected", "quotes", 1, 4},
		{"a: {b:}\n", "a", "'b:}' has no space", "space behind", 1, 5},
		{"a: 1\n...\nb: 2\n", "", "'b: 2' stands behind the end", "remove", 3, 1},
		{"a: 1\n---\nb: 2\n", "", "a second document begins", "remove", 2, 1},
		{"%YAML 1.1\n---\na: 1\n", "", "a directive", "remove", 1, 1},
		{"a:\n  b: &x 8 kV\n", "a.b", "an anchor", "write the value out", 2, 6},
		{"a: *x\n", "a", "an alias", "write the value out", 1, 4},
		{"a: !volts 8\n", "a", "a tag", "leave the tag out", 1, 4},
		{"a: ! 8\n", "a", "a tag", "leave the tag out", 1, 4},
		{"a:\n  <<: {b: 1}\n", "a", "a merge key", "write the entries out", 2, 3},
		{"a:\n  - 1\n  - 2\n", "a", "a list without names", "name", 2, 3},
		{"? a\n: b\n", "", "a key behind '? ' is not accepted", "key: value", 1, 3},
		{"c: {a: 1, # why?\n  ?\n  b: 2}\n", "c", "a key behind '? ' is not accepted", "key: value", 3, 3},
		{"c: {a, b: 2}\n", "c", "a key has no ':' behind it", "colon on the line", 1, 5},
		{"a: \"\\x07\"\n", "a", "the value holds the control character U+0007", "escape", 1, 4},
		{"a: 1\nb: caf\xE9\n", "", "the text holds the byte 0xE9, which is not UTF-8", "UTF-8", 2, 7},
		{"a: 1\rb: 2\n", "", "the text holds a carriage return without", "LF", 1, 5},
		{"a: \x1B[31m\n", "", "the text holds the control character U+001B", "UTF-8", 1, 4},
		{"a: |x\n  1\n", "a", "'x' stands on the line of the '|'", "'|'", 1, 5},
	};
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		rw_error err = read_bad(list[i].text, strlen(list[i].text), NULL);
		if (strncmp(err.what, list[i].what, strlen(list[i].what)) != 0 || strcmp(err.key, list[i].key) != 0 || !strstr(err.hint, list[i].hint)
		    || err.line != list[i].line || err.column != list[i].column || !*err.expected)
			fail_msg("case %zu (%s): %u:%u %s: %s; expected %s; %s", i, list[i].text, err.line, err.column, err.key, err.what, err.expected, err.hint);
		assert_int_equal(err.status, RW_E_SYNTAX);
	}
	rw_error err = read_bad("a: \0b\n", 6, NULL);
	assert_string_equal(err.what, "the text holds a zero byte");
	assert_string_equal(err.source_line, "a: ?b");
	err = read_bad("\xFF\xFE" "a\0", 4, NULL);
	assert_string_equal(err.what, "the text is UTF-16");
}

static void doubled_keys_name_both_lines(void **state)
{
	(void)state;
	rw_errors errs;
	const char *text = "supply:\n  ht: 8 kV\n  feed: {a: 1, a: 2}\n  ht: 9 kV\nsupply: 3\ntank: [1, 2]\nvalve: *v\ncoil:\n\tturns: 3\n";
	rw_error err = read_bad(text, strlen(text), &errs);
	assert_int_equal(err.status, RW_E_KEY);
	assert_int_equal(errs.n, 6);
	assert_string_equal(errs.list[0].key, "supply.feed.a");
	assert_string_equal(errs.list[1].key, "supply.ht");
	assert_string_equal(errs.list[1].what, "'ht' stands twice: on line 2 and on line 4");
	assert_int_equal(errs.list[1].line, 4);
	assert_string_equal(errs.list[1].source_line, "  ht: 9 kV");
	assert_string_equal(errs.list[2].what, "'supply' stands twice: on line 1 and on line 5");
	assert_string_equal(errs.list[3].key, "tank");
	assert_string_equal(errs.list[4].key, "valve");
	assert_string_equal(errs.list[5].key, "coil");
}

static void faults_beyond_twenty_are_counted(void **state)
{
	(void)state;
	char text[400] = "";
	for (int i = 0; i < 38; i++)
		strcat(text, "a: 1\n");
	rw_errors errs;
	read_bad(text, strlen(text), &errs);
	assert_int_equal(errs.n, 20);
	assert_int_equal(errs.n_more, 17);
}

static void depth_and_size_have_limits(void **state)
{
	(void)state;
	char text[800] = "";
	rw_arena arena;
	rw_arena_init(&arena);
	for (int level = 0; level < RW_YAML_DEPTH_MAX; level++)
		snprintf(text + strlen(text), sizeof text - strlen(text), "%*s%s", level, "", level + 1 < RW_YAML_DEPTH_MAX ? "k:\n" : "k: 2.385\n");
	read_ok(&arena, text);
	rw_arena_release(&arena);
	snprintf(text + strlen(text) - 7, 40, "\n%*sk: 2.385\n", RW_YAML_DEPTH_MAX, "");
	rw_error err = read_bad(text, strlen(text), NULL);
	assert_string_equal(err.what, "the text is nested too deeply");
	assert_int_equal(err.line, 17);
	enum { DEEP = 200000, LONG = RW_YAML_BYTES_MAX + 1 };
	char *big = malloc(LONG);
	static const char *const starts[] = {"[", "{", "- ", "? ", "{a: ", "\"\\"};
	for (size_t i = 0; i < sizeof starts / sizeof *starts; i++) {
		for (size_t at = 0; at < DEEP; at++)
			big[at] = starts[i][at % strlen(starts[i])];
		read_bad(big, DEEP, NULL);   /* would take minutes when the scanner were let run */
	}
	memset(big, '#', LONG);
	err = read_bad(big, LONG, NULL);
	assert_string_equal(err.what, "the text is 1048577 bytes long");
	free(big);
}

typedef struct limited { int left, out; } limited;

static void *limited_get(void *context, size_t bytes)
{
	limited *l = context;
	if (l->left-- <= 0)
		return NULL;
	l->out++;
	return malloc(bytes);
}

static void limited_put(void *context, void *block)
{
	((limited *)context)->out--;
	free(block);
}

static void every_allocation_may_fail(void **state)
{
	(void)state;
	enum { KEYS = 1500 };
	rw_text text;
	rw_text_init(&text);
	for (int i = 0; i < KEYS; i++)
		rw_text_addf(&text, "key_%d: %d mm\n", i, 3 * i);
	int blocks = 0;
	for (rw_status status = RW_E_MEMORY; status != RW_OK; blocks++) {
		limited l = {.left = blocks};
		rw_arena arena;
		rw_arena_init_from(&arena, (rw_block_source){limited_get, limited_put, &l});
		rw_tree *tree = NULL;
		rw_error err = {0};
		status = rw_yaml_read(&arena, "set.yaml", text.bytes, text.n, &tree, NULL, &err);
		assert_true(status == RW_OK || (status == RW_E_MEMORY && err.status == RW_E_MEMORY && !tree && l.out == 0));
		if (status == RW_OK)
			assert_string_equal(value_at(tree, "key_1499"), "4497 mm");
		rw_arena_release(&arena);
		assert_int_equal(l.out, 0);
	}
	assert_true(blocks > 6);
	rw_text_release(&text);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(tree_with_marks),
		cmocka_unit_test(marks_are_bytes_behind_accents_and_bom),
		cmocka_unit_test(blocks),
		cmocka_unit_test(empty_texts_are_empty_mappings),
		cmocka_unit_test(faults_in_the_users_words),
		cmocka_unit_test(doubled_keys_name_both_lines),
		cmocka_unit_test(faults_beyond_twenty_are_counted),
		cmocka_unit_test(depth_and_size_have_limits),
		cmocka_unit_test(every_allocation_may_fail),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
