#include "base/units.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "base/text.h"
#include "base/units_internal.h"

enum { LABEL_BYTES = 48, QUOTE_BYTES = 48 };

/* Units people write that are none here, and what to write instead. */
static const struct { const char *unit, *hint; } no_units[] = {
	{"rpm", "a frequency is in cycles: revolutions a minute divided by 60 are Hz"},
	{"gpm", "write 'gal/min' (US gallon) or 'galUK/min' (British)"},
	{"gal", "write 'gal/min' (US gallon) or 'galUK/min' (British)"},
	{"l", "the litre is 'L': 'L/min'"},
	{"lpm", "write 'L/min'"},
	{"kWh", "1 kWh is 3.6 MJ"},
	{"Ah", "1 Ah is 3600 C"},
	{"thou", "1 thou is 0.0254 mm"},
	{"mil", "1 mil is 0.0254 mm"},
	{"sec", "write 's'"},
	{"hr", "write 'h'"},
	{"R", "write 'ohm'"},
	{"mho", "write 'S'"},
	{"hp", "write the power in W or kW"},
};

const rw__kind_units *rw__kind_units_of(const rw_units *units, const rw_kind *kind)
{
	for (int i = 0; i < rw_kinds_number(); i++)
		if (rw_kind_at(i) == kind)
			return &units->of[i];
	return NULL;
}

bool rw__next_word(const char **list, char word[RW__UNIT_BYTES])
{
	*list += strspn(*list, " ");
	size_t n = strcspn(*list, " ");
	snprintf(word, RW__UNIT_BYTES, "%.*s", (int)n, *list);
	*list += n;
	return n > 0;
}

/* "voltage" of voltage_dc, "heat capacity" of heat_capacity. */
static void bare_label(const rw_kind *kind, char out[LABEL_BYTES])
{
	snprintf(out, LABEL_BYTES, "%s", kind->name);
	char *measure = kind->measure[0] ? strrchr(out, '_') : NULL;
	if (measure)
		*measure = '\0';
	for (char *c = out; *c; c++)
		*c = *c == '_' ? ' ' : *c;
}

/* "DC voltage in V, kV or mV"; and what to write, until something nearer to the fault is found. */
static void expect(const rw_units *units, const rw_kind *kind, rw_error *err)
{
	char label[LABEL_BYTES], list[96] = "";
	bare_label(kind, label);
	const rw__kind_units *of = rw__kind_units_of(units, kind);
	bool plain = strcmp(kind->si, "1") == 0;
	if (plain && of->n == 1) {
		rw_error_expected(err, "%s, without unit", strcmp(label, "number") == 0 ? "a number" : label);
		rw_error_hint(err, "write the number alone");
		return;
	}
	size_t n = 0;
	for (int i = 0; i < of->n && n < sizeof list; i++) {
		const char *between = i == 0 ? "" : i == of->n - 1 ? " or " : ", ";
		const char *name = strcmp(of->list[i].name, "1") == 0 ? "without unit" : of->list[i].name;
		n += (size_t)snprintf(list + n, sizeof list - n, "%s%s", between, name);
	}
	rw_error_expected(err, "%s%s%s in %s", kind->measure, kind->measure[0] ? " " : "", label, list);
	rw_error_hint(err, "write one number and one of these units");
}

/* At most 40 bytes of the user's text, cut on a whole character, control characters made visible. */
static const char *quote(const char *text, size_t n, char out[QUOTE_BYTES])
{
	enum { KEPT = 40 };
	size_t kept = n <= KEPT ? n : KEPT;
	while (kept < n && kept > 0 && ((unsigned char)text[kept] & 0xC0) == 0x80)
		kept--;
	for (size_t i = 0; i < kept; i++)
		out[i] = iscntrl((unsigned char)text[i]) ? '?' : text[i];
	memcpy(out + kept, n > kept ? "..." : "", n > kept ? 4 : 1);
	return out;
}

/* Brings micro, ohm, degree, middle dot and superscripts to the list's ASCII; false when it does not fit or another character occurs. */
static bool normalise(const char *text, size_t n, char out[RW__UNIT_BYTES])
{
	static const struct { const char *from, *to; } same[] = {
		{"\u00B0C", "degC"}, {"\u00B0F", "degF"}, {"\u2103", "degC"}, {"\u2109", "degF"}, {"\u00B0", "deg"}, {"\u00B5", "u"}, {"\u03BC", "u"},
		{"\u03A9", "ohm"}, {"\u2126", "ohm"}, {"\u00B9\u00B7\u2075", "^1.5"}, {"\u00B7", "."}, {"\u22C5", "."}, {"\u00B9", "1"},
		    {"\u00B2", "2"}, {"\u00B3", "3"},
	};
	size_t room = RW__UNIT_BYTES - 1;
	while (n > 0) {
		const char *put = text;
		size_t taken = 1, length = 1;
		for (size_t i = 0; i < sizeof same / sizeof *same && (unsigned char)*text >= 0x80; i++) {
			size_t from = strlen(same[i].from);
			if (from > n || memcmp(text, same[i].from, from) != 0)
				continue;
			put = same[i].to;
			taken = from;
			length = strlen(put);
			break;
		}
		if (length > room || (unsigned char)*put >= 0x80 || iscntrl((unsigned char)*put))
			return false;
		memcpy(out, put, length);
		out += length;
		room -= length;
		text += taken;
		n -= taken;
	}
	*out = '\0';
	return true;
}

static const rw__unit *listed(const rw__kind_units *of, const char *name)
{
	for (int i = 0; i < of->n; i++)
		if (strcmp(of->list[i].name, name) == 0)
			return &of->list[i];
	return NULL;
}

static const rw_kind *kind_with(const rw_units *units, const char *name)
{
	for (int i = 0; i < rw_kinds_number(); i++)
		if (listed(&units->of[i], name))
			return rw_kind_at(i);
	return NULL;
}

static void hint(const rw__kind_units *of, const char *name, rw_error *err)
{
	const char *names[RW__UNITS_A_KIND_MAX];
	for (int i = 0; i < of->n; i++) {
		names[i] = of->list[i].name;
		if (strcasecmp(names[i], name) != 0)
			continue;
		bool prefix = (name[0] == 'M' && names[i][0] == 'm') || (name[0] == 'm' && names[i][0] == 'M');
		rw_error_hint(err, "%sdid you mean '%s'?", prefix ? "'m' is a thousandth, 'M' a million: " : "", names[i]);
		return;
	}
	for (size_t i = 0; i < sizeof no_units / sizeof *no_units; i++)
		if (strcmp(no_units[i].unit, name) == 0) {
			rw_error_hint(err, "%s", no_units[i].hint);
			return;
		}
	const char *nearest = rw_text_nearest(name, names, of->n);
	if (nearest)
		rw_error_hint(err, "did you mean '%s'?", nearest);
	else if (strchr(name, ' '))
		rw_error_hint(err, "one number and one unit");
}

rw_status rw__unit_find(const rw_units *units, const rw_kind *kind, const char *text, size_t n, const rw__unit **out, rw_error *err)
{
	const rw__kind_units *of = rw__kind_units_of(units, kind);
	if (!of)
		RW_BUG(err, "a kind of quantity that is not in the list of kinds");
	char name[RW__UNIT_BYTES], quoted[QUOTE_BYTES], own[LABEL_BYTES], other[LABEL_BYTES];
	bool readable = normalise(text, n, name);
	const rw__unit *unit = readable ? listed(of, name) : NULL;
	if (unit) {
		*out = unit;
		return RW_OK;
	}
	const rw_kind *elsewhere = readable ? kind_with(units, name) : NULL;
	bare_label(kind, own);
	quote(text, n, quoted);
	rw_status status;
	if (elsewhere) {
		bare_label(elsewhere, other);
		status = RW_RAISE(err, RW_E_UNIT, "", "'%s' is a unit of %s, not of %s", quoted, other, own);
	} else {
		status = RW_RAISE(err, RW_E_UNIT, "", "'%s' is not a unit of %s", quoted, own);
	}
	expect(units, kind, err);
	if (strcmp(kind->si, "1") != 0)
		rw_error_hint(err, "write one of these units");
	if (elsewhere && elsewhere->point && !kind->point)
		rw_error_hint(err, "a difference of temperatures is in K");
	else if (readable)
		hint(of, name, err);
	return status;
}

/* Length of a blank at p: a space, a tab, or one of the no-break and thin spaces that paper has there. */
static size_t blank(const char *p)
{
	static const char *const wide[] = {"\u00A0", "\u2009", "\u202F"};
	for (size_t i = 0; i < sizeof wide / sizeof *wide; i++)
		if (strncmp(p, wide[i], strlen(wide[i])) == 0)
			return strlen(wide[i]);
	return *p == ' ' || *p == '\t';
}

static rw_status no_number(const rw_units *units, const rw_kind *kind, const char *text, rw_error *err)
{
	char quoted[QUOTE_BYTES];
	quote(text, strlen(text), quoted);
	const char *p = text + (*text == '+' || *text == '-');
	bool digit = isdigit((unsigned char)*p) != 0, hexadecimal = digit && (p[1] == 'x' || p[1] == 'X');
	rw_status status;
	if (!*text)
		status = RW_RAISE(err, RW_E_VALUE, "", "the text is empty");
	else if (digit && !hexadecimal)
		status = RW_RAISE(err, RW_E_VALUE, "", "'%s' is too large a number", quoted);
	else
		status = RW_RAISE(err, RW_E_VALUE, "", "'%s' does not begin with a decimal number", quoted);
	expect(units, kind, err);
	if (strncmp(text, "\u2212", 3) == 0)
		rw_error_hint(err, "the minus is written '-'");
	else if (*p == ',')
		rw_error_hint(err, "a point for decimals: '0.5'");
	return status;
}

/* What stands behind the number is neither a unit nor the end. */
static rw_status not_one_number(const rw_units *units, const rw_kind *kind, const char *text, const char *rest, rw_error *err)
{
	char quoted[QUOTE_BYTES];
	rw_status status = RW_RAISE(err, RW_E_VALUE, "", "'%s' is not one number and one unit", quote(text, strlen(text), quoted));
	expect(units, kind, err);
	if (*rest == ',')
		rw_error_hint(err, "a point for decimals, nothing between thousands: '8.5', '12000'");
	else if (isdigit((unsigned char)*rest))
		rw_error_hint(err, "one number only, nothing between thousands");
	return status;
}

static rw_status no_unit(const rw_units *units, const rw_kind *kind, const char *text, rw_error *err)
{
	char quoted[QUOTE_BYTES];
	quote(text, strlen(text), quoted);
	rw_status status = RW_RAISE(err, RW_E_UNIT, "", "'%s' is a number without a unit", quoted);
	expect(units, kind, err);
	rw_error_hint(err, "write the unit behind the number: '%s %s'", quoted, rw__kind_units_of(units, kind)->list[0].name);
	return status;
}

rw_status rw_units_read(const rw_units *units, const rw_kind *kind, const char *text, double *si, rw_error *err)
{
	if (!rw__kind_units_of(units, kind))
		RW_BUG(err, "a kind of quantity that is not in the list of kinds");
	while (blank(text))
		text += blank(text);
	const char *rest;
	double value = rw_text_number(text, &rest);
	if (rest == text)
		return no_number(units, kind, text, err);
	while (blank(rest))
		rest += blank(rest);
	size_t n = strlen(rest);
	while (n > 0 && (rest[n - 1] == ' ' || rest[n - 1] == '\t'))
		n--;
	if (n > 0 && strchr("+-*/^.,0123456789", *rest))
		return not_one_number(units, kind, text, rest, err);
	const rw__unit *unit;
	if (n > 0)
		RW_TRY(rw__unit_find(units, kind, rest, n, &unit, err));
	else if (!(unit = listed(rw__kind_units_of(units, kind), "1")))
		return no_unit(units, kind, text, err);
	double read = rw__unit_to_si(unit, value);
	if (!isfinite(read)) {
		char quoted[QUOTE_BYTES];
		rw_status status = RW_RAISE(err, RW_E_VALUE, "", "'%s' is too large a number", quote(text, strlen(text), quoted));
		expect(units, kind, err);
		return status;
	}
	*si = read;
	return RW_OK;
}

rw_status rw_units_factor(const rw_units *units, const rw_kind *kind, const char *unit, double *factor, double *offset, rw_error *err)
{
	const rw__unit *found;
	RW_TRY(rw__unit_find(units, kind, unit, strlen(unit), &found, err));
	*factor = found->times / found->by;
	*offset = found->offset;
	return RW_OK;
}
