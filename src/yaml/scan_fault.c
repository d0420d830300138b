#include <stdio.h>
#include <string.h>

#include "yaml/internal.h"

/* One row a fault of the scanner: the first that matches speaks. A NULL or 0 matches anything. */
typedef struct rule {
	const char *problem, *context;   /* the scanner's words; context by its beginning */
	char        first;               /* the byte at the fault */
	bool        line_start;          /* the fault is the first thing on its line */
	bool        at_context;          /* where it began is the better place */
	const char *subject;             /* NULL: the text at the fault, in quotes */
	const char *what, *expected, *hint;
} rule;

#define NO_TOKEN "found character that cannot start any token"
#define NO_KEY "did not find expected key"
#define NO_CONTENT "did not find expected node content"
#define NO_NAME "did not find expected alphabetic or numeric character"
#define TAB "a tab", "stands where only spaces may indent", "spaces", "replace the tab by spaces, as in the lines around it"
#define START(c) NULL, "begins with '" c "'", "text that does not begin with @ ` % & * or !", "put the text in quotes"
#define LIST NULL, "is an entry of a list without names", "a mapping: every entry has a name, 'name: value'", "replace '- ' by a name and ': '"
#define OPEN_QUOTE NULL, "opens a quote that is not closed", "a closing quote", "close the quote on the same line"
#define ESCAPE "a backslash in double quotes", "begins no known escape", "\\\\, \\\", \\n or \\t", "use single quotes where a backslash is meant"
#define BRACKET NULL, "closes a bracket that is not open", "'key: value'", "put the text in quotes when the bracket belongs to it"
#define CONTENT NULL, "stands where a value is expected", "a value, or nothing", "put the text in quotes"
#define BLOCK NULL, "stands on the line of the '|' or '>'", "the text on the lines below, indented", "end the line after '|'"

static const rule rules[] = {
	{NO_TOKEN, NULL, '\t', false, false, TAB},
	{"found a tab character that violates indentation", NULL, 0, false, false, TAB},
	{"found a tab character where an indentation space is expected", NULL, 0, false, false, TAB},
	{NO_TOKEN, NULL, '@', false, false, START("@")},
	{NO_TOKEN, NULL, '`', false, false, START("`")},
	{NO_TOKEN, NULL, '%', false, false, START("%")},
	{NO_NAME, "while scanning an alias", 0, false, true, START("*")},
	{NO_NAME, "while scanning an anchor", 0, false, true, START("&")},
	{NULL, "while scanning a tag", 0, false, true, START("!")},
	{NULL, "while parsing a tag", 0, false, true, START("!")},
	{"found undefined tag handle", NULL, 0, false, true, START("!")},
	{NULL, "while scanning a directive", 0, false, true, NULL, "is a directive", "'key: value'", "remove the line that begins with '%'"},
	{NULL, "while scanning a %", 0, false, true, NULL, "is a directive", "'key: value'", "remove the line that begins with '%'"},
	{"mapping values are not allowed in this context", NULL, 0, true, false, NULL, "is indented deeper than the entries around it",
	 "the indentation of the entries around it", "line it up with them, or give the key above no value of its own"},
	{"mapping values are not allowed in this context", NULL, 0, false, false, NULL, "holds a second ': '", "one 'key: value' a line",
	 "put the value in quotes, or begin a new line"},
	{"could not find expected ':'", NULL, 0, false, true, NULL, "has no ': ' behind it", "'key: value'",
	    "write a colon and a space behind the key"},
	{"found unexpected end of stream", "while scanning a quoted scalar", 0, false, true, OPEN_QUOTE},
	{"found unexpected document indicator", "while scanning a quoted scalar", 0, false, true, OPEN_QUOTE},
	{NULL, "while parsing a quoted scalar", 0, false, false, ESCAPE},
	{"block sequence entries are not allowed in this context", NULL, 0, false, false, LIST},
	{"mapping keys are not allowed in this context", NULL, 0, false, false, NULL, "begins with '? '", "'key: value'", "put the text in quotes"},
	{"found unexpected ':'", NULL, 0, false, true, NULL, "has no space behind its ':'", "'{key: value}'", "write a space behind the colon"},
	{NO_KEY, NULL, '-', true, false, LIST},
	{NO_KEY, NULL, ':', true, false, NULL, "has no key before its ':'", "'key: value'", "write the key before the colon"},
	{NO_KEY, NULL, '}', false, false, BRACKET},
	{NO_KEY, NULL, ']', false, false, BRACKET},
	{NO_KEY, NULL, 0, true, false, NULL, "is indented unlike the entries around it", "the indentation of the entries around it",
	    "line it up with them"},
	{NO_KEY, NULL, 0, false, false, NULL, "stands behind a value that is complete", "the end of the line",
	 "put the whole value in quotes, or mend the quotes"},
	{NO_CONTENT, NULL, 0, false, false, CONTENT},
	{"did not find expected ',' or '}'", NULL, '\0', false, true, NULL, "opens a bracket that is not closed", "',' or '}'",
	 "close it, or part its entries by commas"},
	{"did not find expected ',' or ']'", NULL, '\0', false, true, NULL, "opens a bracket that is not closed", "',' or ']'",
	 "close it, or put the text in quotes"},
	{"did not find expected <document start>", NULL, 0, false, false, NULL, "stands behind the end of the mapping",
	    "one mapping and nothing behind it",
	 "remove what follows, or move it into the mapping"},
	{NULL, "while scanning a block scalar", 0, false, false, BLOCK},
};

static const rule fallback = {.subject = "the text", .what = "is not well formed", .expected = "'key: value'",
    .hint = "put the value in quotes"};

static bool matches(const rule *row, const yaml_parser_t *parser, char first, bool line_start)
{
	return (!row->problem || strcmp(row->problem, parser->problem) == 0)
	       && (!row->context || (parser->context && strncmp(row->context, parser->context, strlen(row->context)) == 0))
	       && (!row->first || row->first == first) && (!row->line_start || line_start);
}

/* The text from at to the end of its line, cut after some characters. */
static void excerpt(const char *bytes, size_t n, size_t at, char *out, size_t room)
{
	size_t end = rw__line_end(bytes, n, at), cut = end;
	while (cut > at && (bytes[cut - 1] == ' ' || bytes[cut - 1] == '\t'))
		cut--;
	const size_t most = 36;
	bool whole = cut - at <= most;
	if (!whole) {
		cut = at + most;
		while (cut > at && ((unsigned char)bytes[cut] & 0xC0) == 0x80)
			cut--;
	}
	snprintf(out, room, "%.*s%s", (int)(cut - at), bytes + at, whole ? "" : "...");
}

/* Where the value or key begins that the ':' at the fault has made impossible: behind the first ": " of the line, else the line's text. */
static size_t before_colon(const char *bytes, size_t at)
{
	size_t start = rw__line_start(bytes, at);
	start += start == 0 ? rw__bom(bytes, at) : 0;
	while (start < at && bytes[start] == ' ')
		start++;
	for (size_t i = start; i + 1 < at; i++)
		if (bytes[i] == ':' && bytes[i + 1] == ' ') {
			start = i + 2;
			break;
		}
	while (start < at && bytes[start] == ' ')
		start++;
	return start;
}

static bool starts_line(const char *bytes, size_t n, size_t at)
{
	size_t start = rw__line_start(bytes, at);
	start += start == 0 ? rw__bom(bytes, n) : 0;
	while (start < at && bytes[start] == ' ')
		start++;
	return start >= at;
}

void rw__scan_fault(const yaml_parser_t *parser, const char *bytes, size_t n, size_t problem_at, size_t context_at,
                    rw_error *err, size_t *at)
{
	bool colon = strcmp(parser->problem, "mapping values are not allowed in this context") == 0;
	size_t place = colon ? before_colon(bytes, problem_at) : problem_at;
	const rule *found = &fallback;
	for (size_t i = sizeof rules / sizeof *rules; i-- > 0;)
		if (matches(&rules[i], parser, place < n ? bytes[place] : '\0', starts_line(bytes, n, place)))
			found = &rules[i];
	*at = found->at_context && context_at < n ? context_at : place;
	char text[64];
	excerpt(bytes, n, *at, text, sizeof text);
	const char *subject = found->subject ? found->subject : text;
	if (!*subject)
		subject = "the end of the line";
	const char *quote = subject == text ? "'" : "";
	RW_RAISE(err, RW_E_SYNTAX, "", "%s%s%s %s", quote, subject, quote, found->what);
	rw_error_expected(err, "%s", found->expected);
	rw_error_hint(err, "%s", found->hint);
}
