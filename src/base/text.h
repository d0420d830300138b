/* Growing text, and small services on text. All of it independent of the locale. */
#ifndef RW_BASE_TEXT_H
#define RW_BASE_TEXT_H

#include <stddef.h>

#include "base/error.h"

/* Invariant: bytes is zero-ended and never NULL after rw_text_init; once memory ran out, failed stays set and additions do nothing. */
typedef struct rw_text {
	char  *bytes;
	size_t n, room;
	bool   failed;
} rw_text;

void rw_text_init(rw_text *text);
void rw_text_release(rw_text *text);
void rw_text_clear(rw_text *text);
void rw_text_add(rw_text *text, const char *bytes);
void rw_text_add_n(rw_text *text, const char *bytes, size_t n);
void rw_text_addf(rw_text *text, const char *format, ...) RW_PRINTF(2, 3);

/* Columns a UTF-8 text takes on a terminal (combining marks count 0, no wide scripts). */
size_t rw_text_width(const char *utf8);

/* Number of edits (insert, delete, replace, swap of neighbours) between two short names; for nearest-name hints. */
int rw_text_distance(const char *a, const char *b);

/* The nearest of n names to wanted, or NULL when none is near enough to be meant. */
const char *rw_text_nearest(const char *wanted, const char *const *names, int n);

/* Says of *err (may be NULL) that one of n names was expected and, when one is near to what was written, asks whether it was meant;
 * returns that one or NULL. */
const char *rw_text_expect(rw_error *err, const char *wanted, const char *const *names, int n);

/* strtod in the C locale whatever the process's locale is; *end as strtod. Refuses hexadecimal, inf and nan (then *end = start). */
double rw_text_number(const char *start, const char **end);

/* The shortest decimal text that reads back as exactly x (at most 17 digits), without exponent where 1e-5 <= |x| < 1e15. room >= 32. */
void rw_text_shortest(char *out, size_t room, double x);

/* True for [a-z][a-z0-9_]* of at most 24 bytes: the names of jobs, loads and list elements. */
bool rw_text_is_name(const char *text);

#endif
