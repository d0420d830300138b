#include <stdio.h>
#include <string.h>

#include "yaml/internal.h"

static bool continues(char byte) { return ((unsigned char)byte & 0xC0) == 0x80; }

size_t rw__utf8_next(const char *bytes, size_t n, uint32_t *code)
{
	static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
	if (n == 0)
		return 0;
	unsigned char lead = (unsigned char)bytes[0];
	if (lead < 0x80) {
		*code = lead;
		return 1;
	}
	size_t size = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
	if (lead < 0xC2 || lead > 0xF4 || n < size)
		return 0;
	uint32_t c = lead & (0x7FU >> size);
	for (size_t i = 1; i < size; i++) {
		if (!continues(bytes[i]))
			return 0;
		c = c << 6 | ((unsigned char)bytes[i] & 0x3FU);
	}
	if (c < least[size] || c > 0x10FFFF || (c >= 0xD800 && c <= 0xDFFF))
		return 0;
	*code = c;
	return size;
}

size_t rw__bom(const char *bytes, size_t n) { return n >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0; }

/* Controls, and what the scanner takes for line ends or cannot read. */
static bool refused(uint32_t c)
{
	return (c < 0x20 && c != '\t' && c != '\n') || (c >= 0x7F && c <= 0x9F) || c == 0x2028 || c == 0x2029 || c == 0xFEFF || c == 0xFFFE || c == 0xFFFF;
}

static void name_character(uint32_t c, char *what, size_t room)
{
	if (c == 0)
		snprintf(what, room, "a zero byte");
	else if (c == '\r')
		snprintf(what, room, "a carriage return without a line feed");
	else if (c == 0x85 || c == 0x2028 || c == 0x2029)
		snprintf(what, room, "the line separator U+%04X", (unsigned)c);
	else if (c == 0xFEFF)
		snprintf(what, room, "a byte-order mark inside the text");
	else
		snprintf(what, room, "the control character U+%04X", (unsigned)c);
}

size_t rw__text_refused(const char *bytes, size_t n, bool lines, char *what, size_t room)
{
	for (size_t at = 0; at < n;) {
		uint32_t c;
		size_t size = rw__utf8_next(bytes + at, n - at, &c);
		if (size == 0) {
			snprintf(what, room, "the byte 0x%02X, which is not UTF-8", (unsigned)(unsigned char)bytes[at]);
			return at;
		}
		if (refused(c) && !(lines && c == '\r' && at + 1 < n && bytes[at + 1] == '\n')) {
			name_character(c, what, room);
			return at;
		}
		at += size;
	}
	return n;
}

size_t rw__line_start(const char *bytes, size_t at)
{
	while (at > 0 && bytes[at - 1] != '\n')
		at--;
	return at;
}

size_t rw__line_end(const char *bytes, size_t n, size_t at)
{
	const char *end = at < n ? memchr(bytes + at, '\n', n - at) : NULL;
	size_t stop = end ? (size_t)(end - bytes) : n;
	return end && stop > at && bytes[stop - 1] == '\r' ? stop - 1 : stop;
}

size_t rw__block_header(const char *bytes, size_t n, size_t start, bool *keep, bool *strip, size_t *indent)
{
	size_t at = start + 1;
	for (; at < n && (bytes[at] == '+' || bytes[at] == '-' || (bytes[at] >= '1' && bytes[at] <= '9')); at++) {
		if (keep && bytes[at] == '+')
			*keep = true;
		if (strip && bytes[at] == '-')
			*strip = true;
		if (indent && bytes[at] >= '1')
			*indent = (size_t)(bytes[at] - '0');
	}
	return at;
}

rw_span rw__span_of_bytes(const char *bytes, size_t n, size_t start, size_t end)
{
	if (start >= n) {
		start = n;
		while (start > 0 && (bytes[start - 1] == '\n' || bytes[start - 1] == '\r'))
			start--;
	}
	end = end < start ? start : end > n ? n : end;
	rw_span span = {.start = start, .end = end, .line = 1, .column = 1};
	for (size_t at = rw__bom(bytes, n); at < start; at++) {
		if (bytes[at] == '\n') {
			span.line++;
			span.column = 1;
		} else if (!continues(bytes[at]))
			span.column++;
	}
	for (size_t at = start; at < end && bytes[at] != '\n' && bytes[at] != '\r'; at++)
		span.length += !continues(bytes[at]);
	return span;
}

/* What cannot be shown becomes '?', one for each character, so that the underline stays in place. */
static void copy_shown(const char *bytes, size_t n, char *out, size_t room)
{
	size_t used = 0;
	for (size_t at = 0; at < n;) {
		uint32_t c;
		size_t size = rw__utf8_next(bytes + at, n - at, &c);
		bool shown = size > 0 && !refused(c);
		size_t take = shown ? size : 1;
		if (used + take >= room)
			break;
		memcpy(out + used, shown ? bytes + at : "?", take);
		used += take;
		at += size > 0 ? size : 1;
	}
	out[used] = '\0';
}

void rw__mark(const char *name, const char *bytes, size_t n, const rw_span *span, rw_error *err)
{
	if (!err)
		return;
	rw_error_at(err, name, span->line, span->column, span->length > 0 ? span->length : 1);
	size_t start = rw__line_start(bytes, span->start);
	start = start == 0 ? rw__bom(bytes, n) : start;
	copy_shown(bytes + start, rw__line_end(bytes, n, start) - start, err->source_line, sizeof err->source_line);
}
