#include "base/text.h"

#include <ctype.h>
#include <float.h>
#include <locale.h>
#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/text_internal.h"

/* What bytes points to while nothing was added. */
static const char nothing[1];

void rw_text_init(rw_text *text) { *text = (rw_text){.bytes = (char *)nothing}; }

void rw_text_release(rw_text *text)
{
	if (text->room > 0)
		free(text->bytes);
	rw_text_init(text);
}

void rw_text_clear(rw_text *text)
{
	text->n = 0;
	text->failed = false;
	if (text->room > 0)
		text->bytes[0] = '\0';
}

/* Room for n more bytes and the closing zero. */
static bool reserve(rw_text *text, size_t n)
{
	if (text->failed || n >= SIZE_MAX / 2 - text->n) {
		text->failed = true;
		return false;
	}
	size_t need = text->n + n + 1;
	if (need <= text->room)
		return true;
	size_t room = need + need / 2 + 64;
	char *bytes = realloc(text->room > 0 ? text->bytes : NULL, room);
	if (!bytes) {
		text->failed = true;
		return false;
	}
	text->bytes = bytes;
	text->room = room;
	text->bytes[text->n] = '\0';
	return true;
}

void rw_text_add(rw_text *text, const char *bytes) { rw_text_add_n(text, bytes, strlen(bytes)); }

void rw_text_add_n(rw_text *text, const char *bytes, size_t n)
{
	if (!reserve(text, n))
		return;
	if (n > 0)
		memcpy(text->bytes + text->n, bytes, n);
	text->n += n;
	text->bytes[text->n] = '\0';
}

/* The C locale; the C library keeps it itself, so nothing is allocated and freelocale has nothing to do. */
static locale_t c_locale(void) { return newlocale(LC_ALL_MASK, "C", (locale_t)0); }

void rw_text_addf(rw_text *text, const char *format, ...)
{
	locale_t c = c_locale(), before = uselocale(c);   /* this thread only */
	va_list args, again;
	va_start(args, format);
	va_copy(again, args);
	int n = vsnprintf(NULL, 0, format, args);
	va_end(args);
	if (n < 0)
		text->failed = true;
	else if (reserve(text, (size_t)n)) {
		vsnprintf(text->bytes + text->n, (size_t)n + 1, format, again);
		text->n += (size_t)n;
	}
	va_end(again);
	uselocale(before);
	freelocale(c);
}

/* Next character of UTF-8; a byte that is none stands for itself. */
static uint32_t next_character(const unsigned char **at)
{
	const unsigned char *p = *at;
	int more = p[0] >= 0xF0 ? 3 : p[0] >= 0xE0 ? 2 : p[0] >= 0xC0 ? 1 : 0;
	uint32_t c = more == 3 ? p[0] & 0x07U : more == 2 ? p[0] & 0x0FU : more == 1 ? p[0] & 0x1FU : p[0];
	for (int i = 1; i <= more; i++) {
		if ((p[i] & 0xC0) != 0x80) {
			*at = p + 1;
			return p[0];
		}
		c = c << 6 | (p[i] & 0x3FU);
	}
	*at = p + 1 + more;
	return c;
}

static bool takes_no_column(uint32_t c)
{
	static const uint32_t spans[][2] = {{0x01, 0x1F}, {0x7F, 0x9F}, {0x300, 0x36F}, {0x1AB0, 0x1AFF}, {0x1DC0, 0x1DFF},
	                                    {0x200B, 0x200F}, {0x20D0, 0x20FF}, {0x2060, 0x2060}, {0xFE00, 0xFE0F}, {0xFE20, 0xFE2F},
	                                                {0xFEFF, 0xFEFF}};
	for (size_t i = 0; i < sizeof spans / sizeof *spans; i++)
		if (c >= spans[i][0] && c <= spans[i][1])
			return true;
	return false;
}

size_t rw_text_width(const char *utf8)
{
	size_t width = 0;
	for (const unsigned char *p = (const unsigned char *)utf8; *p;) {
		const unsigned char *start = p;
		uint32_t c = next_character(&p);
		width += p - start == 1 && c >= 0x80 ? 1 : !takes_no_column(c);
	}
	return width;
}

/* Optimal string alignment; names over 63 bytes are as far apart as the longer is long. */
int rw_text_distance(const char *a, const char *b)
{
	enum { LONGEST = 63 };
	size_t n = strlen(a), m = strlen(b);
	if (n > LONGEST || m > LONGEST)
		return strcmp(a, b) == 0 ? 0 : (int)(n > m ? n : m);
	int rows[3][LONGEST + 1];
	int *above2 = rows[0], *above = rows[1], *row = rows[2];
	for (size_t j = 0; j <= m; j++)
		above[j] = (int)j;
	for (size_t i = 1; i <= n; i++) {
		row[0] = (int)i;
		for (size_t j = 1; j <= m; j++) {
			int best = above[j - 1] + (a[i - 1] != b[j - 1]);
			best = above[j] + 1 < best ? above[j] + 1 : best;
			best = row[j - 1] + 1 < best ? row[j - 1] + 1 : best;
			if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] && above2[j - 2] + 1 < best)
				best = above2[j - 2] + 1;
			row[j] = best;
		}
		int *spare = above2;
		above2 = above;
		above = row;
		row = spare;
	}
	return above[m];
}

/* Near enough: only case differs, or one edit in every three letters of the longer name. */
const char *rw_text_nearest(const char *wanted, const char *const *names, int n)
{
	const char *nearest = NULL;
	int least = 0;
	for (int i = 0; i < n; i++) {
		size_t longer = strlen(wanted) > strlen(names[i]) ? strlen(wanted) : strlen(names[i]);
		int distance = strcasecmp(wanted, names[i]) == 0 ? 0 : rw_text_distance(wanted, names[i]);
		if ((size_t)distance <= longer / 3 && (!nearest || distance < least)) {
			nearest = names[i];
			least = distance;
		}
	}
	return nearest;
}

const char *rw_text_expect(rw_error *err, const char *wanted, const char *const *names, int n)
{
	char list[220] = "";
	for (int i = 0; i < n; i++) {
		size_t used = strlen(list);
		if (used + strlen(names[i]) + 6 > sizeof list) {
			snprintf(list + used, sizeof list - used, " ...");
			break;
		}
		snprintf(list + used, sizeof list - used, "%s%s", i ? ", " : "", names[i]);
	}
	rw_error_expected(err, "%s%s", n > 1 ? "one of " : "", list);
	const char *nearest = rw_text_nearest(wanted, names, n);
	if (nearest)
		rw_error_hint(err, "did you mean '%s'?", nearest);
	return nearest;
}

double rw_text_number(const char *start, const char **end)
{
	*end = start;
	const char *p = start;
	while (*p == ' ' || (*p >= '\t' && *p <= '\r'))
		p++;
	p += *p == '+' || *p == '-';
	bool digit_first = (p[0] >= '0' && p[0] <= '9') || (p[0] == '.' && p[1] >= '0' && p[1] <= '9');
	if (!digit_first || (p[0] == '0' && (p[1] == 'x' || p[1] == 'X')))
		return 0.0;
	locale_t c = c_locale();
	char *stop;
	double x = strtod_l(start, &stop, c);
	freelocale(c);
	if (!isfinite(x))
		return 0.0;
	*end = stop;
	return x;
}

int rw__text_digits(double x, int n, char digits[RW__DIGITS_MAX + 1])
{
	char printed[48];
	snprintf(printed, sizeof printed, "%.*e", n - 1, fabs(x));
	int found = 0;
	const char *p = printed;
	for (; *p && *p != 'e'; p++)   /* whatever the locale puts between the digits is passed over */
		if (isdigit((unsigned char)*p) && found < n)
			digits[found++] = *p;
	digits[found] = '\0';
	return *p ? atoi(p + 1) : 0;
}

double rw__text_value(bool negative, const char *digits, int power)
{
	char written[48];
	snprintf(written, sizeof written, "%s%c.%se%d", negative ? "-" : "", digits[0], digits + 1, power);
	const char *end;
	return rw_text_number(written, &end);
}

int rw__text_shortest_digits(double x, char digits[RW__DIGITS_MAX + 1])
{
	/* 15 digits survive in every normal double, so a shorter text is those 15 less the closing zeros */
	int n = fabs(x) < DBL_MIN ? 1 : DBL_DIG;
	int power = rw__text_digits(x, n, digits);
	while (n < RW__DIGITS_MAX && rw__text_value(signbit(x), digits, power) != x)
		power = rw__text_digits(x, ++n, digits);
	for (size_t last = strlen(digits); last > 1 && digits[last - 1] == '0'; last--)
		digits[last - 1] = '\0';
	return power;
}

bool rw__text_is_plain(int power) { return power >= -5 && power < 15; }

void rw__text_plain(char *out, size_t room, bool negative, const char *digits, int power)
{
	const char *sign = negative ? "-" : "";
	int n = (int)strlen(digits);
	while (n > 1 && digits[n - 1] == '0')
		n--;
	if (!rw__text_is_plain(power))
		snprintf(out, room, "%s%c%s%.*se%d", sign, digits[0], n > 1 ? "." : "", n - 1, digits + 1, power);
	else if (power < 0)
		snprintf(out, room, "%s0.%.*s%.*s", sign, -power - 1, "0000", n, digits);
	else if (n <= power + 1)
		snprintf(out, room, "%s%.*s%.*s", sign, n, digits, power + 1 - n, "00000000000000");
	else
		snprintf(out, room, "%s%.*s.%.*s", sign, power + 1, digits, n - power - 1, digits + power + 1);
}

void rw_text_shortest(char *out, size_t room, double x)
{
	if (!isfinite(x)) {
		snprintf(out, room, "%s", isnan(x) ? "nan" : x < 0 ? "-inf" : "inf");
		return;
	}
	char digits[RW__DIGITS_MAX + 1];
	int power = rw__text_shortest_digits(x, digits);
	rw__text_plain(out, room, signbit(x), digits, power);
}

bool rw_text_is_name(const char *text)
{
	enum { LONGEST = 24 };
	size_t n = 0;
	for (; text[n]; n++) {
		char c = text[n];
		bool letter = c >= 'a' && c <= 'z', other = (c >= '0' && c <= '9') || c == '_';
		if (n >= LONGEST || !(letter || (other && n > 0)))
			return false;
	}
	return n > 0;
}
