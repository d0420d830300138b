#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "base/text_internal.h"
#include "base/units_internal.h"

#define NARROW "\u202F"
#define MINUS "\u2212"

static const rw__unit *unit_named(const rw__kind_units *of, const char *name)
{
	for (int i = 0; i < of->n; i++)
		if (strcmp(of->list[i].name, name) == 0)
			return &of->list[i];
	return &of->list[0];
}

static const rw__unit *customary(const rw_units *units, const rw_kind *kind, double si)
{
	const rw__kind_units *of = rw__kind_units_of(units, kind);
	const rw__unit *best = NULL;
	const char *rest = kind->show;
	char word[RW__UNIT_BYTES];
	while (rw__next_word(&rest, word)) {
		const rw__unit *unit = unit_named(of, word);
		if (!best || (si == 0.0 ? strcmp(word, kind->si) == 0 : fabs(rw__unit_from_si(unit, si)) >= 1.0))
			best = unit;
	}
	return best;
}

const char *rw_units_customary(const rw_units *units, const rw_kind *kind, double si) { return customary(units, kind, si)->name; }

/* Paper's spelling of a unit of the list. */
static void spell(const char *name, char *out, size_t room)
{
	static const struct { const char *from, *to; } spelling[] = {
		{"degC", "\u00B0C"}, {"degF", "\u00B0F"}, {"deg", "\u00B0"}, {"ohm", "\u03A9"}, {"/kg/K", "/(kg\u00B7K)"}, {"/m/K", "/(m\u00B7K)"},
		{"^1.5", "\u00B9\u00B7\u2075"}, {"3", "\u00B3"}, {".", "\u00B7"},
	};
	size_t used = 0;
	if (*name == 'u') {   /* no unit begins with u but those with the prefix */
		used = (size_t)snprintf(out, room, "\u00B5");
		name++;
	}
	while (*name && used + 1 < room) {
		size_t taken = 0;
		for (size_t i = 0; i < sizeof spelling / sizeof *spelling && taken == 0; i++)
			if (strncmp(name, spelling[i].from, strlen(spelling[i].from)) == 0) {
				used += (size_t)snprintf(out + used, room - used, "%s", spelling[i].to);
				taken = strlen(spelling[i].from);
			}
		if (taken == 0) {
			out[used++] = *name;
			out[used] = '\0';
			taken = 1;
		}
		name += taken;
	}
}

typedef struct figure {
	char   bytes[64];
	size_t n;
} figure;

static void put(figure *f, const char *bytes, size_t n)
{
	if (n >= sizeof f->bytes - f->n)
		return;
	memcpy(f->bytes + f->n, bytes, n);
	f->n += n;
	f->bytes[f->n] = '\0';
}

/* The part before the point, in groups of three from five digits up. */
static void put_whole(figure *f, const char *digits, int power)
{
	int have = (int)strlen(digits);
	for (int i = 0; i <= power; i++) {
		if (i > 0 && power >= 4 && (power - i + 1) % 3 == 0)
			put(f, NARROW, strlen(NARROW));
		put(f, i < have ? &digits[i] : "0", 1);
	}
}

static void put_power_of_ten(figure *f, int power)
{
	static const char *const raised[] = {"\u2070", "\u00B9", "\u00B2", "\u00B3", "\u2074", "\u2075", "\u2076", "\u2077", "\u2078", "\u2079"};
	char plain[8];
	snprintf(plain, sizeof plain, "%d", power);
	put(f, NARROW "\u00D7" NARROW "10", strlen(NARROW "\u00D7" NARROW "10"));
	for (const char *c = plain; *c; c++) {
		const char *up = *c == '-' ? "\u207B" : raised[*c - '0'];
		put(f, up, strlen(up));
	}
}

/* digits[0].digits[1]... times 10 to the power; as a power of ten only where zeros would fill the cell. */
static void put_figure(figure *f, const char *digits, int power)
{
	bool scale = power < -5 || power >= 12;
	int shown = scale ? 0 : power;
	if (shown >= 0)
		put_whole(f, digits, shown);
	else
		put(f, "0", 1);
	int have = (int)strlen(digits);
	if (have > shown + 1) {
		put(f, ".", 1);
		for (int i = -1; i > shown; i--)
			put(f, "0", 1);
		int from = shown >= 0 ? shown + 1 : 0;
		put(f, digits + from, (size_t)(have - from));
	}
	if (scale)
		put_power_of_ten(f, power);
}

void rw_units_print(const rw_units *units, const rw_kind *kind, double si, int digits, char *out, size_t room)
{
	if (!isfinite(si)) {
		snprintf(out, room, "\u2014");
		return;
	}
	int n = digits < 2 ? 2 : digits > 6 ? 6 : digits;
	const rw__unit *unit = customary(units, kind, si);
	double value = rw__unit_from_si(unit, si);
	char shown[RW__DIGITS_MAX + 1] = "0", name[2 * RW__UNIT_BYTES];
	int power = 0;
	if (kind == &rw_kind_count && value == round(value)) {
		power = rw__text_shortest_digits(value, shown);
	} else if (value != 0.0) {
		power = rw__text_digits(value, n, shown);
		/* 999.7 V to three digits is 1.00 kV */
		unit = customary(units, kind, rw__unit_to_si(unit, rw__text_value(value < 0.0, shown, power)));
		value = rw__unit_from_si(unit, si);
		power = rw__text_digits(value, n, shown);
	}
	figure f = {{0}, 0};
	if (value < 0.0)
		put(&f, MINUS, strlen(MINUS));
	put_figure(&f, shown, power);
	spell(unit->name, name, sizeof name);
	bool bare = strcmp(name, "1") == 0, close = strcmp(name, "\u00B0") == 0;
	snprintf(out, room, "%s%s%s", f.bytes, bare || close ? "" : NARROW, bare ? "" : name);
}

/* How a value would be written in one unit. */
typedef struct writing {
	const rw__unit *unit;
	char digits[RW__DIGITS_MAX + 1];
	int  power, n;        /* n: how many digits */
	bool negative, plain; /* plain: without exponent */
} writing;

/* Fewest digits in this unit that read back as exactly si; false when no 17 digits do. */
static bool try_unit(const rw__unit *unit, double si, writing *w)
{
	double value = rw__unit_from_si(unit, si);
	if (!isfinite(value))
		return false;
	w->unit = unit;
	w->negative = value < 0.0;
	for (w->n = 1; w->n <= RW__DIGITS_MAX; w->n++) {
		w->power = rw__text_digits(value, w->n, w->digits);
		w->plain = value == 0.0 || rw__text_is_plain(w->power);
		if (rw__unit_to_si(unit, rw__text_value(w->negative, w->digits, w->power)) == si)
			return true;
	}
	return false;
}

/* Takes the writing in this unit where it is better: without exponent, then fewer digits. */
static void try_better(const rw__unit *unit, double si, writing *best)
{
	writing w;
	if (try_unit(unit, si, &w) && (!best->unit || (w.plain && !best->plain) || (w.plain == best->plain && w.n < best->n)))
		*best = w;
}

/* The customary unit where it does; else the SI unit; any other only to avoid an exponent. unit NULL: none does, which 17 digits never leave. */
static writing best_writing(const rw_units *units, const rw_kind *kind, double si)
{
	enum { CLEAN = 15 };   /* more digits only say how the unit's factor rounds */
	writing best = {0};
	const rw__kind_units *of = rw__kind_units_of(units, kind);
	try_better(customary(units, kind, si), si, &best);
	if (!best.unit || !best.plain || best.n > CLEAN)
		try_better(unit_named(of, kind->si), si, &best);
	for (int i = 0; i < of->n && !best.plain; i++)
		try_better(&of->list[i], si, &best);
	return best;
}

static void put_writing(const writing *w, char *out, size_t room)
{
	char number[40];
	rw__text_plain(number, sizeof number, w->negative, w->digits, w->power);
	bool bare = strcmp(w->unit->name, "1") == 0;
	snprintf(out, room, "%s%s%s", number, bare ? "" : " ", bare ? "" : w->unit->name);
}

void rw_units_write(const rw_units *units, const rw_kind *kind, double si, char *out, size_t room)
{
	out[0] = '\0';
	if (!isfinite(si))
		return;
	writing best = best_writing(units, kind, si);
	if (best.unit)
		put_writing(&best, out, room);
}

void rw_units_write_limit(const rw_units *units, const rw_kind *kind, double si, char *out, size_t room)
{
	enum { SHORT = 6 };
	out[0] = '\0';
	if (!isfinite(si))
		return;
	writing w = best_writing(units, kind, si);
	if (!w.unit || w.n > SHORT) {
		w.unit = customary(units, kind, si);
		double value = rw__unit_from_si(w.unit, si);
		w.negative = value < 0.0;
		w.power = rw__text_digits(value, SHORT, w.digits);
	}
	put_writing(&w, out, room);
}
