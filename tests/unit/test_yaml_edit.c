/* Edits of a text: what must change does, and nothing else, to the byte. The generator files are invented. */
#include <string.h>

#include "tests/check.h"
#include "yaml/yaml.h"

typedef struct edit_case { const char *before, *path, *value, *after; } edit_case;

static void run(const edit_case *list, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		rw_text text;
		rw_text_init(&text);
		rw_error err = {0};
		const edit_case *c = &list[i];
		rw_status status = c->value ? rw_yaml_put(c->before, strlen(c->before), c->path, c->value, &text, &err)
		                            : rw_yaml_drop(c->before, strlen(c->before), c->path, &text, &err);
		if (status != RW_OK || strcmp(text.bytes, c->after) != 0)
			fail_msg("case %zu: %s: %s\n--- want\n%s\n--- got\n%s", i, c->path, status == RW_OK ? "fine" : err.what, c->after, text.bytes);
		rw_text_release(&text);
	}
}

#define RUN(list) run((list), sizeof (list) / sizeof *(list))

static void scalars_are_replaced(void **state)
{
	(void)state;
	static const edit_case list[] = {
		{"ht: 8 kV\n", "ht", "9.35 kV", "ht: 9.35 kV\n"},
		{"ht:   8 kV   # set \ntank: 3\n", "ht", "9.35 kV", "ht:   9.35 kV   # set \ntank: 3\n"},
		{"# r\xC3\xA9seau \xCE\xA9\ns:\n  n: \xC3\xA9t\xC3\xA9 # x\n  ht: 8 kV\n", "s.ht", "9 kV", "# r\xC3\xA9seau \xCE\xA9\ns:\n  n: \xC3\xA9t\xC3\xA9 # x\n  ht: 9 kV\n"},
		{"\xEF\xBB\xBFht: 8 kV\r\ntank: 3\r\n", "ht", "9 kV", "\xEF\xBB\xBFht: 9 kV\r\ntank: 3\r\n"},
		{"v:\n", "v", "9 kV", "v: 9 kV\n"},
		{"v:", "v", "9 kV", "v: 9 kV"},
		{"v:   # to be set\nw: 1\n", "v", "9 kV", "v: 9 kV   # to be set\nw: 1\n"},
		{"a: 'one'  # c\n", "a", "it's", "a: 'it''s'  # c\n"},
		{"a: \"one\"\n", "a", "two \"2\" \\", "a: \"two \\\"2\\\" \\\\\"\n"},
		{"a: one\n", "a", "", "a: \"\"\n"},
		{"a:\n  one\nb: 2\n", "a", "two", "a:\n  two\nb: 2\n"},
		{"a: one\n  two\n  three # c\nb: 2\n", "a", "four", "a: four # c\nb: 2\n"},
		{"c: {a: 1 V, \"b\":2, c: }\n", "c.a", "3 V", "c: {a: 3 V, \"b\":2, c: }\n"},
		{"c: {a: 1 V, \"b\":2, c: }\n", "c.b", "3", "c: {a: 1 V, \"b\": 3, c: }\n"},
		{"c: {a: 1 V, \"b\":2, c: }\n", "c.c", "3, 4", "c: {a: 1 V, \"b\":2, c: \"3, 4\" }\n"},
		{"c: {a: 1}\n", "c.a", "-5 V", "c: {a: -5 V}\n"},
		{"c: {a: 1}\n", "c.a", "x\ny\n", "c: {a: \"x\\ny\\n\"}\n"},
	};
	RUN(list);
}

static void values_are_quoted_when_needed(void **state)
{
	(void)state;
	static const char *const quoted[] = {"@x", "`x", "*x", "&x", "%x", "[x", "{x", "!x", "#x", "a: b", "a #b", "a:", " a", "a ", "- a", "? a", "-", "|", ">", "'", "\"",
	                                     "a:\tb", "a\t#b", ",", "a\t"};
	static const char *const plain[] = {"a#b", "a:b", "-5 V", "a - b", "no", "012", "1:30", "~", "2.5 galUK/min", "\xCE\xA9", "it's", "100 %", "<<", "---", "a, b", "x\\y"};
	for (size_t i = 0; i < sizeof quoted / sizeof *quoted + sizeof plain / sizeof *plain; i++) {
		bool expect_plain = i >= sizeof quoted / sizeof *quoted;
		const char *value = expect_plain ? plain[i - sizeof quoted / sizeof *quoted] : quoted[i];
		rw_text text;
		rw_text_init(&text);
		rw_error err;
		CHECK_OK(rw_yaml_put("a: 1\nb: 2\n", 10, "a", value, &text, &err), &err);
		assert_int_equal(text.bytes[3] != '"', expect_plain);
		rw_text_release(&text);
	}
}

static void blocks_are_written_and_replaced(void **state)
{
	(void)state;
	static const edit_case list[] = {
		{"p: |  # curve\n    a b\n    1 2\n\n# next\nq: 1\n", "p", "a b\n3 4\n\n5 6\n", "p: |  # curve\n    a b\n    3 4\n\n    5 6\n\n# next\nq: 1\n"},
		{"p: |\n    a b\nq: 1\n", "p", "a\nb", "p: |-\n    a\n    b\nq: 1\n"},
		{"p: |\r\n  a b\r\n  1 2\r\nq: 1\r\n", "p", "a b\n3 4\n", "p: |\r\n  a b\r\n  3 4\r\nq: 1\r\n"},
		{"p: |  # c\n  a b\n  1 2\nq: 1\n", "p", "9 kV", "p: 9 kV  # c\nq: 1\n"},
		{"t:\n    p: 1 # c\n    q: 2\n", "t.p", "a\n b\n", "t:\n    p: | # c\n        a\n         b\n    q: 2\n"},
		{"p: 1\n     # deep\nq: 2\n", "p", "a\nb\n", "p: |\n      a\n      b\n     # deep\nq: 2\n"},
		{"p: |\n  a", "p", "b\nc\n", "p: |\n  b\n  c"},
		{"p: |2\n   a\n  b\nq: 1\n", "p", "c\nd\n", "p: |\n   c\n   d\nq: 1\n"},
		{"p:\nq: 1\n", "p", "c\nd\n", "p: |\n  c\n  d\nq: 1\n"},
		{"p: 1\n", "p", " c\nd\n", "p: \" c\\nd\\n\"\n"},
		{"p: 1\n", "p", "c\n\n", "p: \"c\\n\\n\"\n"},
	};
	RUN(list);
}

static void keys_are_added(void **state)
{
	(void)state;
	static const edit_case list[] = {
		{"s:\n    a: 1 # c\n\n# about t\nt: 2\n", "s.b", "3 V", "s:\n    a: 1 # c\n    b: 3 V\n\n# about t\nt: 2\n"},
		{"s:\n    a: 1 # c\n\n# about t\nt: 2\n", "s.b.c", "3 V", "s:\n    a: 1 # c\n    b:\n        c: 3 V\n\n# about t\nt: 2\n"},
		{"s:\n  a: 1\n", "w.x.y", "3: 4", "s:\n  a: 1\nw:\n  x:\n    y: \"3: 4\"\n"},
		{"s:\n   a: 1", "s.b", "2", "s:\n   a: 1\n   b: 2"},
		{"s:\r\n a: 1\r\nt: 1\r\n", "s.b.c", "2", "s:\r\n a: 1\r\n b:\r\n  c: 2\r\nt: 1\r\n"},
		{"\xEF\xBB\xBF" "a: 1", "b", "2", "\xEF\xBB\xBF" "a: 1\nb: 2"},
		{"jobs:   # none yet\n  # later\nt: 1\n", "jobs.pin.work", "bar", "jobs:   # none yet\n  pin:\n    work: bar\n  # later\nt: 1\n"},
		{"s:\n  p: |\n    a b\n    1 2\n\n  # tail\nt: 1\n", "s.q", "2", "s:\n  p: |\n    a b\n    1 2\n  q: 2\n\n  # tail\nt: 1\n"},
		{"s:\n  p: |+\n    a\n\nt: 1\n", "s.q", "2", "s:\n  p: |+\n    a\n\n  q: 2\nt: 1\n"},
		{"p: |\n  a", "q", "2", "p: |\n  a\nq: 2"},
		{"s:\n  a: 1\nt: 1\n", "s.q", "x y\n1 2\n", "s:\n  a: 1\n  q: |\n    x y\n    1 2\nt: 1\n"},
		{"", "a.b", "2", "a:\n  b: 2\n"},
		{"\xEF\xBB\xBF", "a", "2", "\xEF\xBB\xBF" "a: 2\n"},
		{"# only\n", "a", "2", "# only\na: 2\n"},
		{"# only", "a", "2", "# only\na: 2"},
		{"---\n...\n", "a", "2", "---\na: 2\n...\n"},
		{"a: 1\n...\n", "b", "2", "a: 1\nb: 2\n...\n"},
		{"c: {a: 1}\n", "c.b", "2", "c: {a: 1, b: 2}\n"},
		{"c: {}  # c\n", "c.b", "2", "c: {b: 2}  # c\n"},
		{"c: {a: }\n", "c.b", "2", "c: {a: , b: 2 }\n"},
		{"s:\n  a: {x: 1,\n    y: 2} # c\nt: 1\n", "s.b", "2", "s:\n  a: {x: 1,\n    y: 2} # c\n  b: 2\nt: 1\n"},
	};
	RUN(list);
}

static void keys_are_dropped(void **state)
{
	(void)state;
	static const edit_case list[] = {
		{"a: 1\nb: 2 # c\n\n# c\nc: 3\n", "b", NULL, "a: 1\n\n# c\nc: 3\n"},
		{"a: 1\r\nb: 2", "b", NULL, "a: 1"},
		{"\xEF\xBB\xBF" "a: 1\nb: 2\n", "a", NULL, "\xEF\xBB\xBF" "b: 2\n"},
		{"s:\n  a: 1\n  b:\n    c: |\n      x\n    # of b\n  # of s\n  d: 4\n", "s.b", NULL, "s:\n  a: 1\n  # of s\n  d: 4\n"},
		{"s:\n  a: 1\nt: 2\n", "s.a", NULL, "s:\nt: 2\n"},
		{"a: |\n  x\nb: 1\n      \nc: 2\n", "b", NULL, "a: |\n  x\nc: 2\n"},
		{"a: |\n  x\nb: 1\n\nc: 2\n", "b", NULL, "a: |\n  x\n\nc: 2\n"},
		{"a: |+\n  x\nb: 1\n\nc: 2\n", "b", NULL, "a: |+\n  x\nc: 2\n"},
		{"a: |\n  x\n\nb: 2", "b", NULL, "a: |\n  x\n\n"},
		{"c: {a: 1, b: 2, d: 3}\n", "c.a", NULL, "c: {b: 2, d: 3}\n"},
		{"c: {a: 1, b: 2, d: 3}\n", "c.d", NULL, "c: {a: 1, b: 2}\n"},
		{"c: {a: 1 }\n", "c.a", NULL, "c: { }\n"},
		{"c: {a: , b: 2}\n", "c.b", NULL, "c: {a: }\n"},
		{"a: 1\n", "a", NULL, ""},
	};
	RUN(list);
}

static void refusals_leave_the_text(void **state)
{
	(void)state;
	static const struct { const char *before, *path, *value; rw_status status; const char *what; } list[] = {
		{"s: 8 kV\n", "s.b", "1", RW_E_KEY, "'s' is a value and holds no entries"},
		{"s:\n  a: 1\n", "s", "1", RW_E_KEY, "'s' is a mapping, not a value"},
		{"s: {a: 1}\n", "s.b.c", "1", RW_E_KEY, "'s' is written in braces and cannot be extended"},
		{"s: {a: 1,\n b: 2}\n", "s.c", "1", RW_E_KEY, "'s' is written in braces and cannot be extended"},
		{"s: {a: }\n", "s.a.c", "1", RW_E_KEY, "'s.a' is a value and holds no entries"},
		{"a: 1\n", "", "1", RW_E_KEY, "'the root' is a mapping, not a value"},
		{"a: 1\n", "a.", "1", RW_E_KEY, "'a.' holds a key that is no name"},
		{"a: 1\n", "b..c", "1", RW_E_KEY, "'b..c' holds a key that is no name"},
		{"a: 1\n", "b c", "1", RW_E_KEY, "'b c' holds a key that is no name"},
		{"a: 1\n", "b.c.d.e.f.g.h.i.j.k.l.m.n.o.p.q.r", "1", RW_E_KEY, "'b.c.d.e.f.g.h.i.j.k.l.m.n.o.p.q.r' has more than 16 levels"},
		{"a: 1\n", "a", "x\x07", RW_E_VALUE, "the new value holds the control character U+0007"},
		{"a: 1\n", "a", "x\xFF", RW_E_VALUE, "the new value holds the byte 0xFF, which is not UTF-8"},
		{"a: 1\na: 2\n", "a", "3", RW_E_KEY, "'a' stands twice: on line 1 and on line 2"},
		{"a: 1\n", "b", NULL, RW_E_KEY, "'b' is not in the text"},
		{"a: 1\n", "", NULL, RW_E_KEY, "'' is not in the text"},
	};
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		rw_text text;
		rw_text_init(&text);
		rw_text_add(&text, "as it was");
		rw_error err = {0};
		rw_status status = list[i].value ? rw_yaml_put(list[i].before, strlen(list[i].before), list[i].path, list[i].value, &text, &err)
		                                 : rw_yaml_drop(list[i].before, strlen(list[i].before), list[i].path, &text, &err);
		if (status != list[i].status || strcmp(err.what, list[i].what) != 0)
			fail_msg("case %zu: status %d: %s", i, (int)status, err.what);
		assert_string_equal(text.bytes, "as it was");
		rw_text_release(&text);
	}
}

/* Many edits one after the other, then all of them undone, give the first text again. */
static void edits_can_be_undone(void **state)
{
	(void)state;
	const char *first = "# set, invented\ns:   # supply\n  ht: 8.35 kV # c\n  t: |\n    a b\n    1 2\n\nw: {x: 1, y: 'two'}\n# end";
	rw_text text, next;
	rw_text_init(&text);
	rw_text_init(&next);
	rw_error err;
	CHECK_OK(rw_yaml_put(first, strlen(first), "s.ht", "9.17 kV", &text, &err), &err);
	CHECK_OK(rw_yaml_put(text.bytes, text.n, "s.t", "a b\n3 4\n5 6\n", &next, &err), &err);
	CHECK_OK(rw_yaml_put(next.bytes, next.n, "w.y", "three", &text, &err), &err);
	CHECK_OK(rw_yaml_put(text.bytes, text.n, "s.new", "7 mm", &text, &err), &err);   /* out may be in */
	CHECK_OK(rw_yaml_drop(text.bytes, text.n, "s.new", &text, &err), &err);
	CHECK_OK(rw_yaml_put(text.bytes, text.n, "w.y", "two", &text, &err), &err);
	CHECK_OK(rw_yaml_put(text.bytes, text.n, "s.t", "a b\n1 2\n", &text, &err), &err);
	CHECK_OK(rw_yaml_put(text.bytes, text.n, "s.ht", "8.35 kV", &text, &err), &err);
	assert_string_equal(text.bytes, first);
	rw_text_release(&text);
	rw_text_release(&next);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(scalars_are_replaced),
		cmocka_unit_test(values_are_quoted_when_needed),
		cmocka_unit_test(blocks_are_written_and_replaced),
		cmocka_unit_test(keys_are_added),
		cmocka_unit_test(keys_are_dropped),
		cmocka_unit_test(refusals_leave_the_text),
		cmocka_unit_test(edits_can_be_undone),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
