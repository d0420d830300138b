#include "base/error.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const struct { int exit_code; const char *text; } outcome[] = {
#define RW_STATUS(name, exit_code, text) [RW_##name] = {exit_code, text},
#include "base/status.def"
#undef RW_STATUS
};

int rw_status_exit_code(rw_status status) { return outcome[status].exit_code; }

const char *rw_status_text(rw_status status) { return outcome[status].text; }

/* Drops a UTF-8 character that the end of the field has cut in two. */
static void trim_partial(char *text)
{
	size_t n = strlen(text);
	size_t start = n;
	while (start > 0 && ((unsigned char)text[start - 1] & 0xC0) == 0x80)
		start--;
	if (start == 0)
		return;
	unsigned char lead = (unsigned char)text[start - 1];
	size_t want = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : lead >= 0xC0 ? 2 : 1;
	if (n - (start - 1) < want)
		text[start - 1] = '\0';
}

static RW_PRINTF(3, 0) void put(char *field, size_t size, const char *format, va_list args)
{
	vsnprintf(field, size, format, args);
	trim_partial(field);
}

rw_status rw_error_raise(rw_error *err, const char *c_file, int c_line, rw_status status, const char *key, const char *what, ...)
{
	if (!err)
		return status;
	*err = (rw_error){.status = status, .residual = (double)NAN, .c_file = c_file, .c_line = c_line};
	snprintf(err->key, sizeof err->key, "%s", key ? key : "");
	va_list args;
	va_start(args, what);
	put(err->what, sizeof err->what, what, args);
	va_end(args);
	return status;
}

void rw_error_expected(rw_error *err, const char *format, ...)
{
	if (!err)
		return;
	va_list args;
	va_start(args, format);
	put(err->expected, sizeof err->expected, format, args);
	va_end(args);
}

void rw_error_hint(rw_error *err, const char *format, ...)
{
	if (!err)
		return;
	va_list args;
	va_start(args, format);
	put(err->hint, sizeof err->hint, format, args);
	va_end(args);
}

void rw_error_at(rw_error *err, const char *file, uint32_t line, uint32_t column, uint32_t length)
{
	if (!err)
		return;
	snprintf(err->file, sizeof err->file, "%s", file ? file : "");
	err->line = line;
	err->column = column;
	err->length = length;
}

void rw_errors_add(rw_errors *list, const rw_error *err)
{
	if (!list)
		return;
	if (list->n < RW_ERRORS_MAX)
		list->list[list->n++] = *err;
	else
		list->n_more++;
}
