#include <string.h>

#include "yaml/internal.h"

typedef enum manner { PLAIN, SINGLE, DOUBLE, BLOCK } manner;

typedef struct edit {
	const rw_tree *tree;
	const char    *path, *value;   /* value NULL: the entry is taken away */
	size_t         value_n;
	const rw_node *node;           /* the deepest node of the path there is */
	const char    *rest;           /* of the path below it; "": node is the one to be replaced */
	const char    *line_end;       /* of the file */
	size_t         step;           /* columns a level */
} edit;

enum { INDENT_MAX = 80 };

/* ---- paths ---- */

static const char *below(const char *path)
{
	path += strcspn(path, ".");
	return path + (*path == '.');
}

static bool key_is(const rw_node *node, const char *path)
{
	size_t n = strcspn(path, ".");
	return strlen(node->key) == n && memcmp(node->key, path, n) == 0;
}

static const rw_node *child_on(const rw_node *mapping, const char *path)
{
	const rw_node *node = mapping->first;
	while (node && !key_is(node, path))
		node = node->next;
	return node;
}

/* A key that can be written plain, anywhere. */
static bool fit_for_new(const char *path)
{
	size_t n = strcspn(path, ".");
	for (size_t i = 0; i < n; i++) {
		char c = path[i];
		bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_';
		if (!letter && !(c == '-' && i > 0))
			return false;
	}
	return n > 0 && n <= 64;
}

static bool is_empty(const rw_node *node) { return node->value && node->value_at.start == node->value_at.end; }

static bool is_flow(const rw_tree *tree, const rw_node *node)
{
	return !node->value && node->value_at.start < node->value_at.end && tree->bytes[node->value_at.start] == '{';
}

static bool in_flow(const rw_tree *tree, const rw_node *node) { return node->parent && is_flow(tree, node->parent); }

static bool on_one_line(const rw_tree *tree, const rw_node *node)
{
	return !memchr(tree->bytes + node->value_at.start, '\n', node->value_at.end - node->value_at.start);
}

static rw_status refuse(const edit *e, const char *what, const char *expected, rw_error *err)
{
	char path[sizeof(rw_error){0}.key];
	rw_yaml_path(e->node, path, sizeof path);
	RW_RAISE(err, RW_E_KEY, e->path, "'%s' %s", e->node->parent ? path : "the root", what);
	rw_error_expected(err, "%s", expected);
	if (e->node->parent)
		rw_yaml_mark(e->tree, &e->node->key_at, err);
	return RW_E_KEY;
}

static rw_status no_path(const edit *e, rw_error *err)
{
	RW_RAISE(err, RW_E_KEY, e->path, "'%s' holds a key that is no name", e->path);
	rw_error_expected(err, "letters, digits, '_' and '-', parted by points");
	return RW_E_KEY;
}

/* Finds the node to be replaced or to be added to, and checks that the path can be walked. */
static rw_status find_place(edit *e, rw_error *err)
{
	int levels = 1;
	for (const char *point = e->path; (point = strchr(point, '.')) != NULL; point++)
		levels++;
	if (e->path[0] == '.' || (levels > 1 && e->path[strlen(e->path) - 1] == '.') || strstr(e->path, ".."))
		return no_path(e, err);
	e->node = e->tree->root;
	e->rest = e->path;
	for (const rw_node *next; *e->rest && !e->node->value && (next = child_on(e->node, e->rest)); e->rest = below(e->rest))
		e->node = next;
	if (!*e->rest)
		return e->node->value ? RW_OK : refuse(e, "is a mapping, not a value", "the path of a value", err);
	if (levels > RW_YAML_DEPTH_MAX)
		return RW_RAISE(err, RW_E_KEY, e->path, "'%s' has more than %d levels", e->path, RW_YAML_DEPTH_MAX);
	for (const char *rest = e->rest; *rest; rest = below(rest))
		if (!fit_for_new(rest))
			return no_path(e, err);
	if (e->node->value && (!is_empty(e->node) || in_flow(e->tree, e->node)))
		return refuse(e, "is a value and holds no entries", "a mapping", err);
	if (is_flow(e->tree, e->node) && (strchr(e->rest, '.') || !on_one_line(e->tree, e->node)))
		return refuse(e, "is written in braces and cannot be extended", "one 'key: value' a line, or a single entry more on one line", err);
	return RW_OK;
}

/* ---- how a value is written ---- */

static bool plain_fits(const char *value, bool flow)
{
	size_t n = strlen(value);
	if (n == 0 || strchr(" \t", value[0]) || strchr(" \t:", value[n - 1]) || strchr(",[]{}#&*!|>'\"%@`", value[0]))
		return false;
	if (strchr("-?:", value[0]) && (n == 1 || strchr(" \t", value[1])))
		return false;
	if (flow && strpbrk(value, ",[]{}?:#"))
		return false;
	for (size_t i = 0; i + 1 < n; i++)
		if ((value[i] == ':' && strchr(" \t", value[i + 1])) || (value[i + 1] == '#' && strchr(" \t", value[i])))
			return false;
	return true;
}

static bool block_fits(const char *value, size_t n)
{
	return strchr(value, '\n') && !strchr(" \t\n", value[0]) && !(n >= 2 && value[n - 1] == '\n' && value[n - 2] == '\n');
}

/* The first manner to try; double quotes can write anything and are the second. */
static manner first_manner(const edit *e)
{
	bool flow = is_flow(e->tree, e->node) || in_flow(e->tree, e->node);
	if (strchr(e->value, '\n'))
		return !flow && block_fits(e->value, e->value_n) ? BLOCK : DOUBLE;
	const char *old = *e->rest || is_empty(e->node) ? "" : e->tree->bytes + e->node->value_at.start;
	if (*old == '"' || *old == '\'')
		return *old == '"' ? DOUBLE : SINGLE;
	return plain_fits(e->value, flow) ? PLAIN : DOUBLE;
}

static void add_quoted(rw_text *out, const char *value, manner how)
{
	const char *quote = how == SINGLE ? "'" : "\"";
	rw_text_add(out, quote);
	for (; *value; value++) {
		if (how == SINGLE)
			rw_text_add(out, *value == '\'' ? "'" : "");
		else if (strchr("\"\\\n\t", *value))
			rw_text_add(out, "\\");
		bool named = how == DOUBLE && (*value == '\n' || *value == '\t');
		rw_text_add_n(out, named ? (*value == '\n' ? "n" : "t") : value, 1);
	}
	rw_text_add(out, quote);
}

static void add_head(const edit *e, manner how, rw_text *out)
{
	if (how == BLOCK)
		rw_text_add(out, e->value[e->value_n - 1] == '\n' ? "|" : "|-");
	else if (how == PLAIN)
		rw_text_add_n(out, e->value, e->value_n);
	else
		add_quoted(out, e->value, how);
}

static void add_spaces(rw_text *out, size_t n)
{
	while (n-- > 0)
		rw_text_add(out, " ");
}

/* The lines of a block, each behind a line end; blank ones without indentation. */
static void add_body(const edit *e, size_t indent, rw_text *out)
{
	for (const char *line = e->value; *line;) {
		size_t n = strcspn(line, "\n");
		rw_text_add(out, e->line_end);
		add_spaces(out, n > 0 ? indent : 0);
		rw_text_add_n(out, line, n);
		line += n + (line[n] == '\n');
	}
}

/* ---- lines ---- */

/* Start of the line behind the one that holds at, or the end of the text. */
static size_t next_line(const rw_tree *tree, size_t at)
{
	size_t end = rw__line_end(tree->bytes, tree->n, at);
	end += end < tree->n && tree->bytes[end] == '\r';
	return end + (end < tree->n);
}

typedef struct line { size_t spaces; bool blank, comment; } line;

static line line_at(const rw_tree *tree, size_t at)
{
	size_t end = rw__line_end(tree->bytes, tree->n, at), first = at;
	while (first < end && tree->bytes[first] == ' ')
		first++;
	return (line){first - at, first == end, first < end && tree->bytes[first] == '#'};
}

/* Columns for the lines of a block so that blank lines and comments behind it, from line start at on, do not become part of it. */
static size_t block_indent(const edit *e, size_t indent, size_t at)
{
	for (; at < e->tree->n; at = next_line(e->tree, at)) {
		line l = line_at(e->tree, at);
		if (!l.blank && !l.comment)
			break;
		size_t least = l.spaces + l.comment;
		indent = least > indent ? least : indent;
	}
	return indent < INDENT_MAX ? indent : INDENT_MAX;
}

/* ---- putting ---- */

static bool is_block(const rw_tree *tree, const rw_node *node)
{
	return node->value && !is_empty(node) && strchr("|>", tree->bytes[node->value_at.start]);
}

static void replace(const edit *e, manner how, rw_text *out)
{
	const rw_tree *tree = e->tree;
	const rw_node *node = e->node;
	size_t start = node->value_at.start, head_end = node->value_at.end, body_end = head_end, indent = node->key_at.column - 1 + e->step;
	size_t body = rw__line_end(tree->bytes, tree->n, head_end);
	if (is_block(tree, node)) {
		body = rw__line_end(tree->bytes, tree->n, start);
		head_end = rw__block_header(tree->bytes, tree->n, start, NULL, NULL, NULL);
		for (size_t at = next_line(tree, body); at < body_end; at = next_line(tree, at)) {
			line l = line_at(tree, at);
			if (!l.blank) {
				indent = l.spaces;
				break;
			}
		}
	} else
		body_end = body;
	rw_text_add_n(out, tree->bytes, start);
	if (start > 0 && tree->bytes[start - 1] == ':')
		rw_text_add(out, " ");
	if (node->value_at.line > node->key_at.line && node->value_at.column <= node->key_at.column)   /* only a block may stand so far left */
		add_spaces(out, e->step);
	add_head(e, how, out);
	rw_text_add(out, head_end < body && tree->bytes[head_end] == '#' ? " " : "");
	rw_text_add_n(out, tree->bytes + head_end, body - head_end);
	if (how == BLOCK)
		add_body(e, block_indent(e, indent, next_line(tree, body_end)), out);
	rw_text_add_n(out, tree->bytes + body_end, tree->n - body_end);
}

static void add_in_flow(const edit *e, manner how, rw_text *out)
{
	const rw_tree *tree = e->tree;
	const rw_node *last = e->node->first;
	while (last && last->next)
		last = last->next;
	size_t at = last ? last->value_at.end : e->node->value_at.start + 1;
	rw_text_add_n(out, tree->bytes, at);
	rw_text_add(out, !last ? "" : is_empty(last) ? " , " : ", ");
	rw_text_addf(out, "%s: ", e->rest);
	add_head(e, how, out);
	rw_text_add_n(out, tree->bytes + at, tree->n - at);
}

/* The missing keys of the path, from column on; no line end behind the last. follows: start of the line that will come next */
static void add_entries(const edit *e, manner how, size_t column, size_t follows, rw_text *out)
{
	for (const char *rest = e->rest; *rest; rest = below(rest)) {
		bool last = !strchr(rest, '.');
		add_spaces(out, column);
		rw_text_add_n(out, rest, strcspn(rest, "."));
		rw_text_add(out, last ? ": " : ":");
		if (!last)
			rw_text_add(out, e->line_end);
		column += e->step;
	}
	add_head(e, how, out);
	if (how == BLOCK)
		add_body(e, block_indent(e, column, follows), out);
}

/* Does a blank line stand before some key of the root? Behind a block a blank line might become part of it: then none is added. */
static bool parted_by_blanks(const rw_tree *tree)
{
	const rw_node *last = tree->root;
	while (last->first)
		for (last = last->first; last->next; last = last->next)
			;
	if (is_block(tree, last))
		return false;
	for (const rw_node *node = tree->root->first; node; node = node->next) {
		size_t at = node->key_at.start;
		if (at >= 2 && tree->bytes[at - 1] == '\n' && (tree->bytes[at - 2] == '\n' || (at >= 3 && tree->bytes[at - 2] == '\r' && tree->bytes[at - 3] == '\n')))
			return true;
	}
	return false;
}

static void add(const edit *e, manner how, rw_text *out)
{
	const rw_tree *tree = e->tree;
	const rw_node *node = e->node;
	size_t bom = rw__bom(tree->bytes, tree->n), at = node->value_at.end, column = 0;
	if (node->first)
		column = node->first->key_at.column - 1;
	else if (node->parent)
		column = node->key_at.column - 1 + e->step;
	bool empty_text = !node->first && !node->parent && (at <= bom || tree->bytes[at - 1] == '\n');
	size_t next = empty_text ? at : next_line(tree, at);
	bool ended = next <= bom || tree->bytes[next - 1] == '\n';
	rw_text_add_n(out, tree->bytes, next);
	rw_text_add(out, ended ? "" : e->line_end);
	if (!node->parent && node->first && strchr(e->rest, '.') && parted_by_blanks(tree))
		rw_text_add(out, e->line_end);   /* a new section stands apart as the others do */
	add_entries(e, how, column, next, out);
	rw_text_add(out, ended ? e->line_end : "");
	rw_text_add_n(out, tree->bytes + next, tree->n - next);
}

/* ---- taking away ---- */

/* The place behind the comma that follows at, comments between passed over; at when there is none. */
static size_t behind_comma(const rw_tree *tree, size_t at)
{
	size_t place = at;
	while (strchr(" \t\r\n#", tree->bytes[place]))   /* ends at the brace */
		place = tree->bytes[place] == '#' ? rw__line_end(tree->bytes, tree->n, place) : place + 1;
	return tree->bytes[place] == ',' ? place + 1 : at;
}

static void cut_from_flow(const edit *e, rw_text *out)
{
	const rw_node *node = e->node, *before = node->parent->first;
	while (before != node && before->next != node)
		before = before->next;
	size_t start = node->key_at.start, end = node->value_at.end;
	if (node->next)
		end = node->next->key_at.start;
	else if (before != node)
		start = before->value_at.end;
	else
		end = behind_comma(e->tree, end);
	rw_text_add_n(out, e->tree->bytes, start);
	rw_text_add(out, !node->next && before != node && is_empty(before) ? " " : "");
	rw_text_add_n(out, e->tree->bytes + end, e->tree->n - end);
}

/* The block scalar with which the text before node's line ends, or NULL. */
static const rw_node *block_before(const edit *e)
{
	const rw_node *node = e->node, *before = node->parent->first;
	if (before == node)
		return NULL;
	while (before->next != node)
		before = before->next;
	while (before->first)
		for (before = before->first; before->next; before = before->next)
			;
	return is_block(e->tree, before) ? before : NULL;
}

static bool keeps_blanks(const edit *e, const rw_node *block)
{
	bool keeps = false;
	if (block)
		rw__block_header(e->tree->bytes, e->tree->n, block->value_at.start, &keeps, NULL, NULL);
	return keeps;
}

/* The entry's lines, and the comments below that are indented deeper than its key. */
static void cut_lines(const edit *e, rw_text *out)
{
	const rw_tree *tree = e->tree;
	size_t start = rw__line_start(tree->bytes, e->node->key_at.start), end = next_line(tree, e->node->value_at.end);
	size_t bom = rw__bom(tree->bytes, tree->n);
	start = start < bom ? bom : start;
	const rw_node *block = block_before(e);
	bool keeps = keeps_blanks(e, block);
	for (size_t at = end; at < tree->n;) {
		line l = line_at(tree, at);
		at = next_line(tree, at);
		if (!l.blank && !(l.comment && l.spaces >= e->node->key_at.column))
			break;
		if (l.comment || (block && l.spaces > 0) || keeps)   /* a blank line that would become part of the block */
			end = at;
	}
	bool unended = !keeps && end == tree->n && end > start && tree->bytes[end - 1] != '\n';
	if (unended && start > bom + 1 && tree->bytes[start - 1] == '\n') {   /* still no line end at the end of the text */
		size_t stop = start - 1 - (tree->bytes[start - 2] == '\r');
		if (stop > bom && tree->bytes[stop - 1] != '\n')
			start = stop;
	}
	rw_text_add_n(out, tree->bytes, start);
	rw_text_add_n(out, tree->bytes + end, tree->n - end);
}

/* ---- the comparison ---- */

static const rw_node nothing;   /* an empty mapping */

/* True when is equals was but for the entry at rest (NULL: not on the path), which has the wanted value, or is gone when value is NULL. */
static bool same_but(const rw_node *was, const rw_node *is, const char *rest, const char *value)
{
	if (rest && !*rest)
		return value && is->value && strcmp(is->value, value) == 0;
	if (was->value && !(rest && is_empty(was)))
		return !rest && is->value && strcmp(is->value, was->value) == 0;
	const rw_node *b = is->first;
	bool met = false;
	if (is->value)   /* the last entry of a mapping was taken away */
		return !value && rest && !*below(rest) && was->first && !was->first->next && key_is(was->first, rest) && is_empty(is);
	for (const rw_node *a = was->first; a; a = a->next) {
		const char *deeper = rest && key_is(a, rest) ? below(rest) : NULL;
		met = met || deeper;
		if (deeper && !*deeper && !value)
			continue;
		if (!b || strcmp(a->key, b->key) != 0 || !same_but(a, b, deeper, value))
			return false;
		b = b->next;
	}
	if (rest && !met && value)
		return b && !b->next && key_is(b, rest) && same_but(&nothing, b, below(rest), value);
	return !b;
}

static rw_status verify(rw_arena *arena, const edit *e, const rw_text *made, rw_error *err)
{
	if (made->failed)
		return RW_RAISE(err, RW_E_MEMORY, e->path, "memory ran out while '%s' was edited", e->path);
	if (made->n > RW_YAML_BYTES_MAX) {
		RW_RAISE(err, RW_E_VALUE, e->path, "the text would be %zu bytes long", made->n);
		rw_error_expected(err, "at most %d bytes", RW_YAML_BYTES_MAX);
		return RW_E_VALUE;
	}
	rw_arena_mark mark = rw_arena_here(arena);
	rw_tree *again;
	rw_status status = rw_yaml_read(arena, "", made->bytes, made->n, &again, NULL, err);
	if (status == RW_OK && !same_but(e->tree->root, again->root, e->path, e->value))
		status = RW_E_INTERNAL;
	rw_arena_rewind(arena, mark);
	if (status == RW_OK || status == RW_E_MEMORY)
		return status;
	RW_RAISE(err, RW_E_INTERNAL, e->path, "the edit of '%s' would have changed other values", e->path);
	rw_error_hint(err, "edit the file by hand");
	return RW_E_INTERNAL;
}

/* ---- the two edits ---- */

static rw_status begin(rw_arena *arena, const char *bytes, size_t n, edit *e, rw_error *err)
{
	rw_tree *tree;
	RW_TRY(rw_yaml_read(arena, "", bytes, n, &tree, NULL, err));
	e->tree = tree;
	const char *end = memchr(tree->bytes, '\n', n);
	e->line_end = end && end > tree->bytes && end[-1] == '\r' ? "\r\n" : "\n";
	e->step = 2;
	for (const rw_node *node = tree->root->first; node; node = node->next)
		if (node->first && !is_flow(tree, node)) {
			e->step = node->first->key_at.column - node->key_at.column;
			break;
		}
	return RW_OK;
}

static rw_status check_value(edit *e, rw_error *err)
{
	char what[64];
	e->value_n = strlen(e->value);
	if (rw__text_refused(e->value, e->value_n, false, what, sizeof what) == e->value_n)
		return RW_OK;
	RW_RAISE(err, RW_E_VALUE, e->path, "the new value holds %s", what);
	rw_error_expected(err, "text in UTF-8 without control characters");
	return RW_E_VALUE;
}

static rw_status put(rw_arena *arena, edit *e, rw_text *made, rw_error *err)
{
	manner how = first_manner(e);
	for (;;) {
		rw_text_clear(made);
		(*e->rest ? is_flow(e->tree, e->node) ? add_in_flow : add : replace)(e, how, made);
		rw_status status = verify(arena, e, made, err);
		if (status != RW_E_INTERNAL || how == DOUBLE)
			return status;
		how = DOUBLE;
	}
}

static void keep(rw_status status, rw_text *made, rw_text *text)
{
	if (status == RW_OK) {
		rw_text_release(text);
		*text = *made;
	} else
		rw_text_release(made);
}

rw_status rw_yaml_put(const char *bytes, size_t n, const char *path, const char *value, rw_text *text, rw_error *err)
{
	edit e = {.path = path, .value = value};
	RW_TRY(check_value(&e, err));
	rw_arena arena;
	rw_arena_init(&arena);
	rw_text made;
	rw_text_init(&made);
	rw_status status = begin(&arena, bytes, n, &e, err);
	if (status == RW_OK)
		status = find_place(&e, err);
	if (status == RW_OK)
		status = put(&arena, &e, &made, err);
	keep(status, &made, text);
	rw_arena_release(&arena);
	return status;
}

rw_status rw_yaml_drop(const char *bytes, size_t n, const char *path, rw_text *text, rw_error *err)
{
	edit e = {.path = path};
	rw_arena arena;
	rw_arena_init(&arena);
	rw_text made;
	rw_text_init(&made);
	rw_status status = begin(&arena, bytes, n, &e, err);
	if (status == RW_OK) {
		e.node = rw_yaml_find(e.tree, path);
		if (!e.node || !e.node->parent)
			status = RW_RAISE(err, RW_E_KEY, path, "'%s' is not in the text", path);
		else {
			(in_flow(e.tree, e.node) ? cut_from_flow : cut_lines)(&e, &made);
			status = verify(&arena, &e, &made, err);
		}
	}
	keep(status, &made, text);
	rw_arena_release(&arena);
	return status;
}
