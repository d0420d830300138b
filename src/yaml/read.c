#include <stdio.h>
#include <string.h>

#include "yaml/internal.h"

typedef struct key_slot { const rw_node *node; uint64_t hash; } key_slot;

typedef struct reader {
	rw_arena     *arena, scratch;
	yaml_parser_t parser;
	const char   *name, *bytes;
	size_t        n;
	size_t        at_character, at_byte;   /* the same place twice; the scanner counts characters behind the byte-order mark */
	size_t        last_end;                /* of the last event, in characters */
	rw_node      *here;                    /* the last key read, for the scanner's faults */
	size_t        last_quoted_line;        /* where the last scalar began, 1-based, when it is a quoted one of several lines; else 0 */
	key_slot     *slots;                   /* open addressing over (parent, key) */
	size_t        n_slots, n_keys;
	rw_errors    *errs;
	rw_error     *err;
	rw_status     status;                  /* of the first fault */
} reader;

static bool read_mapping(reader *r, rw_node *mapping, int depth);

/* ---- faults ---- */

static void report(reader *r, const rw_span *at, rw_error *fault)
{
	bool first = r->status == RW_OK;
	if (first || (r->errs && r->errs->n < RW_ERRORS_MAX))
		rw__mark(r->name, r->bytes, r->n, at, fault);
	if (first)
		r->status = fault->status;
	if (first && r->err)
		*r->err = *fault;
	rw_errors_add(r->errs, fault);
}

/* A fault at key or value of node (may be NULL). */
static void fault(reader *r, const rw_node *node, const rw_span *at, const char *what, const char *expected, const char *hint)
{
	char path[sizeof(rw_error){0}.key] = "";
	if (node)
		rw_yaml_path(node, path, sizeof path);
	rw_error e;
	RW_RAISE(&e, RW_E_SYNTAX, path, "%s", what);
	rw_error_expected(&e, "%s", expected);
	rw_error_hint(&e, "%s", hint);
	report(r, at, &e);
}

static bool out_of_memory(reader *r)
{
	rw_error e;
	RW_RAISE(&e, RW_E_MEMORY, "", "memory ran out while '%s' was read", r->name);
	report(r, &(rw_span){.line = 1, .column = 1}, &e);
	return false;
}

/* ---- events and marks ---- */

static bool continues(char byte) { return ((unsigned char)byte & 0xC0) == 0x80; }

static size_t byte_of(reader *r, size_t character)
{
	while (r->at_character < character && r->at_byte < r->n) {
		do
			r->at_byte++;
		while (r->at_byte < r->n && continues(r->bytes[r->at_byte]));
		r->at_character++;
	}
	while (r->at_character > character && r->at_character > 0) {
		do
			r->at_byte--;
		while (continues(r->bytes[r->at_byte]));
		r->at_character--;
	}
	return r->at_byte;
}

static uint32_t first_line_length(const reader *r, size_t start, size_t end)
{
	uint32_t length = 0;
	for (size_t at = start; at < end && r->bytes[at] != '\n' && r->bytes[at] != '\r'; at++)
		length += !continues(r->bytes[at]);
	return length;
}

static rw_span span_of(reader *r, const yaml_mark_t *start, const yaml_mark_t *end)
{
	rw_span span = {.start = byte_of(r, start->index), .line = (uint32_t)start->line + 1, .column = (uint32_t)start->column + 1};
	span.end = byte_of(r, end->index);
	span.length = first_line_length(r, span.start, span.end);
	return span;
}

/* True when a value, or part of one, stands on the line of the key. */
static bool has_text_behind(const reader *r, const rw_node *node)
{
	size_t at = node->key_at.end, end = rw__line_end(r->bytes, r->n, at);
	while (at < end && strchr(" \t:", r->bytes[at]))
		at++;
	return at < end && r->bytes[at] != '#';
}

/* The key the scanner's fault belongs to: the last one read when it stands on that line, else the one it is indented under;
 * how deep a tab indents nobody knows. */
static const rw_node *owner_of(const reader *r, const rw_span *at)
{
	const rw_node *node = r->here;
	if (at->start < r->n && r->bytes[at->start] == '\t')
		return node && node->parent && has_text_behind(r, node) ? node->parent : node;
	while (node && node->parent && node->key_at.line != at->line && node->key_at.column >= at->column)
		node = node->parent;
	return node;
}

static bool scanner_failed(reader *r)
{
	const yaml_parser_t *parser = &r->parser;
	if (parser->error == YAML_MEMORY_ERROR || !parser->problem)
		return out_of_memory(r);
	rw_error e;
	size_t at, problem_at = byte_of(r, parser->problem_mark.index), context_at = byte_of(r, parser->context_mark.index);
	rw__scan_fault(parser, r->bytes, r->n, problem_at, context_at, &e, &at);
	size_t stop = rw__line_end(r->bytes, r->n, at);
	rw_span span = rw__span_of_bytes(r->bytes, r->n, at, stop);
	const rw_node *owner = owner_of(r, &span);
	if (owner)
		rw_yaml_path(owner, e.key, sizeof e.key);
	if (r->last_quoted_line > 0 && parser->error == YAML_PARSER_ERROR)
		rw_error_hint(&e, "the quote opened on line %zu may lack its closing one", r->last_quoted_line);
	report(r, &span, &e);
	return false;
}

static bool next_event(reader *r, yaml_event_t *event)
{
	if (!yaml_parser_parse(&r->parser, event))
		return scanner_failed(r);
	r->last_end = event->end_mark.index;
	if (event->type == YAML_SCALAR_EVENT) {
		yaml_scalar_style_t style = event->data.scalar.style;
		bool quoted = style == YAML_SINGLE_QUOTED_SCALAR_STYLE || style == YAML_DOUBLE_QUOTED_SCALAR_STYLE;
		r->last_quoted_line = quoted && event->end_mark.line > event->start_mark.line ? event->start_mark.line + 1 : 0;
	}
	return true;
}

static bool too_deep(reader *r, const rw_span *at)
{
	char expected[64];
	snprintf(expected, sizeof expected, "at most %d levels", RW_YAML_DEPTH_MAX);
	fault(r, r->here, at, "the text is nested too deeply", expected, "bring the entries nearer to the root");
	return false;
}

static bool opens(const yaml_event_t *event) { return event->type == YAML_MAPPING_START_EVENT || event->type == YAML_SEQUENCE_START_EVENT; }

/* Passes over events until the openings are closed; with none open, over one value. */
static bool skip(reader *r, int open, int depth)
{
	do {
		yaml_event_t event;
		if (!next_event(r, &event))
			return false;
		rw_span at = span_of(r, &event.start_mark, &event.end_mark);
		open += opens(&event);
		open -= event.type == YAML_MAPPING_END_EVENT || event.type == YAML_SEQUENCE_END_EVENT;
		yaml_event_delete(&event);
		if (depth + open > RW_YAML_DEPTH_MAX)
			return too_deep(r, &at);
	} while (open > 0);
	return true;
}

/* ---- keys ---- */

static uint64_t hash_key(const rw_node *parent, const char *key)
{
	uint64_t hash = 0xCBF29CE484222325U ^ (uint64_t)(uintptr_t)parent;   /* FNV-1a */
	for (; *key; key++)
		hash = (hash ^ (unsigned char)*key) * 0x100000001B3U;
	return hash ^ hash >> 29;
}

static key_slot *slot_of(key_slot *slots, size_t n_slots, const rw_node *parent, const char *key, uint64_t hash)
{
	size_t at = (size_t)hash & (n_slots - 1);
	while (slots[at].node && (slots[at].hash != hash || slots[at].node->parent != parent || strcmp(slots[at].node->key, key) != 0))
		at = (at + 1) & (n_slots - 1);
	return &slots[at];
}

static bool widen_slots(reader *r)
{
	size_t n_slots = r->n_slots ? 2 * r->n_slots : 256;
	key_slot *slots = RW_ARENA_NEW(&r->scratch, key_slot, n_slots);
	if (!slots)
		return out_of_memory(r);
	for (size_t i = 0; i < r->n_slots; i++)
		if (r->slots[i].node)
			*slot_of(slots, n_slots, r->slots[i].node->parent, r->slots[i].node->key, r->slots[i].hash) = r->slots[i];
	r->slots = slots;
	r->n_slots = n_slots;
	return true;
}

/* False when memory is out; out *first the entry of the same parent and key there was before, or NULL. */
static bool note_key(reader *r, const rw_node *node, const rw_node **first)
{
	if (2 * r->n_keys >= r->n_slots && !widen_slots(r))
		return false;
	uint64_t hash = hash_key(node->parent, node->key);
	key_slot *slot = slot_of(r->slots, r->n_slots, node->parent, node->key, hash);
	*first = slot->node;
	if (!slot->node) {
		*slot = (key_slot){node, hash};
		r->n_keys++;
	}
	return true;
}

static void report_double(reader *r, const rw_node *node, const rw_node *first)
{
	char path[sizeof(rw_error){0}.key];
	rw_yaml_path(node, path, sizeof path);
	rw_error e;
	RW_RAISE(&e, RW_E_KEY, path, "'%s' stands twice: on line %u and on line %u", node->key, first->key_at.line, node->key_at.line);
	rw_error_expected(&e, "every key once in its mapping");
	rw_error_hint(&e, "remove one of the two");
	report(r, &node->key_at, &e);
}

static void refuse_properties(reader *r, const rw_node *node, const yaml_event_t *event, const rw_span *at)
{
	bool scalar = event->type == YAML_SCALAR_EVENT, mapping = event->type == YAML_MAPPING_START_EVENT;
	if (!scalar && !mapping)
		return;
	const void *anchor = scalar ? event->data.scalar.anchor : event->data.mapping_start.anchor;
	const void *tag = scalar ? event->data.scalar.tag : event->data.mapping_start.tag;
	bool bare_tag = scalar && at->start < r->n && r->bytes[at->start] == '!';   /* the scanner drops a lone '!' */
	if (anchor)
		fault(r, node, at, "an anchor ('&') is not accepted", "the value itself",
		      "write the value out where it is used; quote a text that begins with '&'");
	if (tag || bare_tag)
		fault(r, node, at, "a tag ('!') is not accepted", "the value itself", "leave the tag out; quote a text that begins with '!'");
}

static void refuse_value(reader *r, const rw_node *node, const yaml_event_t *event, const rw_span *at)
{
	if (event->type == YAML_ALIAS_EVENT)
		fault(r, node, at, "an alias ('*') is not accepted", "the value itself", "write the value out; quote a text that begins with '*'");
	else
		fault(r, node, at, "a list without names is not accepted", "a mapping: every entry has a name, 'name: value'", "give each entry a name");
}

/* True when a '? ' stands between the end of the last thing and the key. */
static bool is_marked(const reader *r, size_t from, size_t key)
{
	while (from < key && strchr(" \t\r\n,#", r->bytes[from]))
		from = r->bytes[from] == '#' ? rw__line_end(r->bytes, r->n, from) : from + 1;
	return from < key && r->bytes[from] == '?';
}

/* What makes a key unfit, or NULL. before: end of what stands before it */
static const char *key_fault(const reader *r, const yaml_event_t *event, size_t before, const rw_span *at, const char **hint)
{
	*hint = "write 'key: value'";
	if (event->type != YAML_SCALAR_EVENT)
		return event->type == YAML_ALIAS_EVENT ? "an alias ('*') is not accepted as a key" : "a mapping or a list is not accepted as a key";
	char what[64];
	const char *key = (const char *)event->data.scalar.value;
	size_t n = event->data.scalar.length;
	if (n == 0)
		return "a key is empty";
	if (rw__text_refused(key, n, false, what, sizeof what) < n || strpbrk(key, "\n\t"))
		return "a key holds a control character";
	if (event->data.scalar.style == YAML_PLAIN_SCALAR_STYLE && strcmp(key, "<<") == 0) {
		*hint = "write the entries out";
		return "a merge key ('<<') is not accepted";
	}
	if (is_marked(r, before, at->start))
		return "a key behind '? ' is not accepted";
	size_t colon = at->end;
	while (colon < r->n && (r->bytes[colon] == ' ' || r->bytes[colon] == '\t'))
		colon++;
	*hint = "write the colon on the line of the key, and a space behind it";
	return colon < r->n && r->bytes[colon] == ':' ? NULL : "a key has no ':' behind it";
}

/* ---- values ---- */

/* The block's last line that counts: blank lines behind the text belong to what follows, unless '+' keeps them. */
static size_t block_end(const reader *r, const rw_node *node, size_t start, size_t end)
{
	size_t header = rw__line_end(r->bytes, r->n, start), indent = 0;
	bool keep = false;
	rw__block_header(r->bytes, r->n, start, &keep, NULL, &indent);
	indent += indent > 0 ? node->key_at.column - 1 : 0;
	size_t first = header;
	while (indent == 0 && first < end && (r->bytes[first] == '\n' || r->bytes[first] == '\r' || r->bytes[first] == ' '))
		first++;
	if (indent == 0)
		indent = first < end ? first - rw__line_start(r->bytes, first) : r->n;
	if (end > header && r->bytes[end - 1] == '\n')
		end -= end > header + 1 && r->bytes[end - 2] == '\r' ? 2 : 1;
	while (!keep && end > header) {
		size_t line = rw__line_start(r->bytes, end), blank = line;
		while (blank < end && r->bytes[blank] == ' ')
			blank++;
		if (blank < end || blank - line > indent || line <= header)
			break;
		end = line - 1;
		end -= end > header && r->bytes[end - 1] == '\r';
	}
	return end < header ? header : end;
}

static bool take_block(reader *r, rw_node *node, const yaml_event_t *event)
{
	const char *text = (const char *)event->data.scalar.value;
	size_t n = event->data.scalar.length, start = node->value_at.start;
	node->block = event->data.scalar.style == YAML_LITERAL_SCALAR_STYLE;
	node->value_at.end = block_end(r, node, start, node->value_at.end);
	bool strip = false;
	rw__block_header(r->bytes, r->n, start, NULL, &strip, NULL);
	char *value = rw_arena_get(r->arena, n + 2);
	if (!value)
		return out_of_memory(r);
	memcpy(value, text, n);
	if (!strip && n > 0 && value[n - 1] != '\n')   /* whether the file's last line has an end must not change the value */
		value[n++] = '\n';
	node->value = value;
	node->value_n = n;
	return true;
}

/* An empty value stands right behind the colon, wherever the scanner puts it. */
static void place_empty(const reader *r, rw_node *node)
{
	size_t at = node->key_at.end;
	while (r->bytes[at] != ':')   /* key_fault has seen it */
		at++;
	node->value_at = (rw_span){.start = at + 1, .end = at + 1, .line = node->key_at.line, .column = node->key_at.column};
	node->value_at.column += first_line_length(r, node->key_at.start, at + 1);
}

static bool take_scalar(reader *r, rw_node *node, const yaml_event_t *event)
{
	const char *text = (const char *)event->data.scalar.value;
	size_t n = event->data.scalar.length;
	char what[64], message[96];
	if (rw__text_refused(text, n, false, what, sizeof what) < n) {
		snprintf(message, sizeof message, "the value holds %s", what);
		fault(r, node, &node->value_at, message, "text", "leave the escape out");
		return true;
	}
	if (event->data.scalar.style == YAML_LITERAL_SCALAR_STYLE || event->data.scalar.style == YAML_FOLDED_SCALAR_STYLE)
		return take_block(r, node, event);
	if (node->value_at.start == node->value_at.end)
		place_empty(r, node);
	node->value = rw_arena_text(r->arena, text, n);
	node->value_n = n;
	return node->value ? true : out_of_memory(r);
}

static bool read_value(reader *r, rw_node *node, int depth)
{
	yaml_event_t event;
	r->here = node;
	if (!next_event(r, &event))
		return false;
	bool on = true;
	node->value_at = span_of(r, &event.start_mark, &event.end_mark);
	refuse_properties(r, node, &event, &node->value_at);
	if (event.type == YAML_SCALAR_EVENT)
		on = take_scalar(r, node, &event);
	else if (depth >= RW_YAML_DEPTH_MAX && opens(&event))
		on = too_deep(r, &node->value_at);
	else if (event.type == YAML_MAPPING_START_EVENT)
		on = read_mapping(r, node, depth + 1);
	else {
		refuse_value(r, node, &event, &node->value_at);
		on = event.type == YAML_ALIAS_EVENT || skip(r, 1, depth);
	}
	yaml_event_delete(&event);
	return on;
}

/* The entry whose key's event is given, before: where the event before that ended; *last is the mapping's last entry so far, or NULL. */
static bool read_entry(reader *r, rw_node *mapping, rw_node **last, const yaml_event_t *event, size_t before, int depth)
{
	size_t from = byte_of(r, before);
	rw_span at = span_of(r, &event->start_mark, &event->end_mark);
	const char *hint, *unfit = key_fault(r, event, from, &at, &hint);
	if (unfit) {
		fault(r, mapping, &at, unfit, "'key: value'", hint);
		return (!opens(event) || skip(r, 1, depth)) && skip(r, 0, depth);
	}
	rw_node *node = RW_ARENA_NEW(r->arena, rw_node, 1);
	if (!node || !(node->key = rw_arena_text(r->arena, (const char *)event->data.scalar.value, event->data.scalar.length)))
		return out_of_memory(r);
	node->parent = mapping;
	node->key_at = at;
	refuse_properties(r, node, event, &at);
	const rw_node *first;
	if (!note_key(r, node, &first))
		return false;
	if (first) {
		report_double(r, node, first);
		r->here = node;
		return skip(r, 0, depth);
	}
	node->index = *last ? (*last)->index + 1 : 0;
	*(*last ? &(*last)->next : &mapping->first) = node;
	*last = node;
	return read_value(r, node, depth);
}

static bool read_mapping(reader *r, rw_node *mapping, int depth)
{
	rw_node *last = NULL;
	bool flow = mapping->value_at.end > mapping->value_at.start;   /* a block mapping opens without a character of its own */
	for (;;) {
		size_t before = r->last_end;
		yaml_event_t event;
		if (!next_event(r, &event))
			return false;
		if (event.type == YAML_MAPPING_END_EVENT) {
			if (flow)
				mapping->value_at.end = byte_of(r, event.end_mark.index);
			else if (last)
				mapping->value_at.end = last->value_at.end;
			mapping->value_at.length = first_line_length(r, mapping->value_at.start, mapping->value_at.end);
			yaml_event_delete(&event);
			return true;
		}
		bool on = read_entry(r, mapping, &last, &event, before, depth);
		yaml_event_delete(&event);
		if (!on)
			return false;
	}
}

/* ---- the whole text ---- */

static bool check_text(reader *r)
{
	char what[64], message[96];
	if (r->n > RW_YAML_BYTES_MAX) {
		snprintf(message, sizeof message, "the text is %zu bytes long", r->n);
		fault(r, NULL, &(rw_span){.line = 1, .column = 1}, message, "at most 1 MiB (1048576 bytes)", "is this the file you meant?");
		return false;
	}
	size_t bom = rw__bom(r->bytes, r->n), at = bom + rw__text_refused(r->bytes + bom, r->n - bom, true, what, sizeof what);
	if (at >= r->n)
		return true;
	bool wide = r->n >= 2 && (memcmp(r->bytes, "\xFF\xFE", 2) == 0 || memcmp(r->bytes, "\xFE\xFF", 2) == 0);
	snprintf(message, sizeof message, "the text holds %s", what);
	rw_span span = rw__span_of_bytes(r->bytes, r->n, at, at);
	fault(r, NULL, &span, wide ? "the text is UTF-16" : message, "text in UTF-8 without control characters",
	      "save the file as UTF-8 with line ends LF or CR LF");
	return false;
}

/* An empty text, or an empty document, is an empty mapping: its span is the place where entries may be put. */
static bool read_root(reader *r, rw_node *root)
{
	yaml_event_t event;
	if (!next_event(r, &event))
		return false;
	bool on = true, empty = event.type == YAML_SCALAR_EVENT && event.start_mark.index == event.end_mark.index;
	root->value_at = span_of(r, &event.start_mark, &event.end_mark);
	if (empty) {   /* the scanner's line is beyond the text at its end */
		size_t at = root->value_at.start;
		root->value_at = rw__span_of_bytes(r->bytes, r->n, at, at);
		root->value_at.start = root->value_at.end = at;
	}
	refuse_properties(r, root, &event, &root->value_at);
	if (event.type == YAML_MAPPING_START_EVENT)
		on = read_mapping(r, root, 1);
	else if (event.type == YAML_SCALAR_EVENT && !empty) {
		fault(r, root, &root->value_at, "the text is not a mapping", "lines 'key: value'", "write a colon and a space behind each key");
	} else if (!empty) {
		refuse_value(r, root, &event, &root->value_at);
		on = event.type == YAML_ALIAS_EVENT || skip(r, 1, 1);
	}
	yaml_event_delete(&event);
	return on;
}

/* The events that frame the root: true when the next one is of the wanted type. */
static bool pass(reader *r, yaml_event_type_t wanted, rw_span *at)
{
	yaml_event_t event;
	if (!next_event(r, &event))
		return false;
	bool found = event.type == wanted;
	*at = span_of(r, &event.start_mark, &event.end_mark);
	if (event.type == YAML_DOCUMENT_START_EVENT) {
		const yaml_tag_directive_t *tags = event.data.document_start.tag_directives.start;
		if (event.data.document_start.version_directive || tags)
			fault(r, NULL, at, "a directive ('%') is not accepted", "lines 'key: value'", "remove the line that begins with '%'");
	}
	yaml_event_delete(&event);
	return found;
}

static void read_stream(reader *r, rw_node *root)
{
	rw_span at;
	if (!pass(r, YAML_STREAM_START_EVENT, &at))
		return;
	if (!pass(r, YAML_DOCUMENT_START_EVENT, &at)) {   /* nothing but comments */
		root->value_at = rw__span_of_bytes(r->bytes, r->n, r->n, r->n);
		root->value_at.start = root->value_at.end = r->n;
		return;
	}
	if (!read_root(r, root) || !pass(r, YAML_DOCUMENT_END_EVENT, &at) || pass(r, YAML_STREAM_END_EVENT, &at))
		return;
	if (r->parser.error == YAML_NO_ERROR)
		fault(r, NULL, &at, "a second document begins", "one document", "remove the line '---' and what follows");
}

rw_status rw_yaml_read(rw_arena *arena, const char *name, const char *bytes, size_t n, rw_tree **out, rw_errors *errs, rw_error *err)
{
	reader r = {.arena = arena, .name = name ? name : "", .bytes = bytes, .n = n, .errs = errs, .err = err, .at_byte = rw__bom(bytes, n)};
	rw_arena_init_from(&r.scratch, arena->source);
	rw_arena_mark mark = rw_arena_here(arena);
	rw_tree *tree = RW_ARENA_NEW(arena, rw_tree, 1);
	rw_node *root = RW_ARENA_NEW(arena, rw_node, 1);
	if (!tree || !root)
		out_of_memory(&r);
	else if (check_text(&r)) {
		*tree = (rw_tree){rw_arena_text(arena, r.name, strlen(r.name)), rw_arena_text(arena, bytes, n), n, root};
		root->key = "";
		r.here = root;
		if (!tree->name || !tree->bytes || !yaml_parser_initialize(&r.parser))
			out_of_memory(&r);
		else {
			yaml_parser_set_encoding(&r.parser, YAML_UTF8_ENCODING);
			yaml_parser_set_input_string(&r.parser, (const unsigned char *)bytes + r.at_byte, n - r.at_byte);
			read_stream(&r, root);
			yaml_parser_delete(&r.parser);
		}
	}
	rw_arena_release(&r.scratch);
	if (r.status == RW_OK)
		*out = tree;
	else
		rw_arena_rewind(arena, mark);
	return r.status;
}

/* ---- looking things up ---- */

static const rw_node *child_n(const rw_node *mapping, const char *key, size_t n)
{
	for (const rw_node *node = mapping->first; node; node = node->next)
		if (strncmp(node->key, key, n) == 0 && node->key[n] == '\0')
			return node;
	return NULL;
}

const rw_node *rw_yaml_child(const rw_node *mapping, const char *key) { return child_n(mapping, key, strlen(key)); }

const rw_node *rw_yaml_find(const rw_tree *tree, const char *path)
{
	const rw_node *node = tree->root;
	bool more = *path != '\0';
	while (node && more) {
		size_t n = strcspn(path, ".");
		node = child_n(node, path, n);
		more = path[n] == '.';
		path += n + more;
	}
	return node;
}

void rw_yaml_path(const rw_node *node, char *out, size_t room)
{
	const rw_node *chain[RW_YAML_DEPTH_MAX + 1];
	int n = 0;
	for (; node->parent && n <= RW_YAML_DEPTH_MAX; node = node->parent)
		chain[n++] = node;
	size_t used = 0;
	if (room > 0)
		out[0] = '\0';
	while (n-- > 0 && used + 1 < room) {
		snprintf(out + used, room - used, "%s%s", used ? "." : "", chain[n]->key);
		used += strlen(out + used);
	}
	size_t last = used;
	while (last > 0 && continues(out[last - 1]))
		last--;
	uint32_t code;
	if (last > 0 && rw__utf8_next(out + last - 1, used - (last - 1), &code) == 0)   /* the end of the room cut a character */
		out[last - 1] = '\0';
}

void rw_yaml_mark(const rw_tree *tree, const rw_span *span, rw_error *err) { rw__mark(tree->name, tree->bytes, tree->n, span, err); }
