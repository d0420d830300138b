/* Quantities of the user's texts: a number and a unit, read into SI doubles by kind.
 * Our own small unit system on the units library: a whitelist a kind, no prefixes made up, no false friends
 * (gal is the US gallon, galUK the British one; a temperature is not a difference; cycles are not radians).
 * Only for reading and printing: physics rooms never see a unit. */
#ifndef RW_BASE_UNITS_H
#define RW_BASE_UNITS_H

#include <stddef.h>

#include "base/error.h"

typedef struct rw_kind {
	const char *name, *measure, *si;
	double      dim[5];      /* powers of m, kg, s, A, K */
	bool        point;
	const char *units, *show;
} rw_kind;

#define RW_KIND(name, measure, si, m, kg, s, a, k, point, units, show) extern const rw_kind rw_kind_##name;
#include "base/kinds.def"
#undef RW_KIND

const rw_kind *rw_kind_find(const char *name);                /* NULL: no such kind */
int            rw_kinds_number(void);
const rw_kind *rw_kind_at(int i);

typedef struct rw_units rw_units;

/* The unit system; immutable once made, may be shared by threads. Making it takes a lock (the library's parser is not thread-safe).
 * errs RW_E_MEMORY, RW_E_INTERNAL when a listed unit is not understood */
RW_MUST_USE rw_status rw_units_new(rw_units **out, rw_error *err);
void rw_units_free(rw_units *units);

/* "8 kV" -> 8000 by kind voltage_dc. A number without unit is accepted only where the kind's SI unit is 1 ("0.3", "30 %").
 * One or more blanks between number and unit may be missing ("8kV", "75°"). No exponent unit tricks, one number only.
 * out  *si the value in SI (temperatures: K); unchanged on error
 * errs RW_E_UNIT, RW_E_VALUE: with what, expected and a hint (nearest unit; "8 KV" -> "8 kV"; "8,5 kV" -> decimal point); key left "" */
RW_MUST_USE rw_status rw_units_read(const rw_units *units, const rw_kind *kind, const char *text, double *si, rw_error *err);

/* Only the unit: si = factor * value + offset. errs RW_E_UNIT */
RW_MUST_USE rw_status rw_units_factor(const rw_units *units, const rw_kind *kind, const char *unit, double *factor, double *offset,
    rw_error *err);

/* The customary unit in which |si| reads from 1 to under 1000 (the last listed above that, the first listed below; the SI unit for 0
 * where it is customary). NULL never; lives as long as units. */
const char *rw_units_customary(const rw_units *units, const rw_kind *kind, double si);

/* A value for paper: customary unit, engineering steps, digits significant figures (2..6), U+2212 minus, U+202F before the unit,
 * groups of three from 10 000. "8.77 kV". NaN or infinity prints an em dash. room >= 64 */
void rw_units_print(const rw_units *units, const rw_kind *kind, double si, int digits, char *out, size_t room);

/* A value for the file: plain ASCII, a unit of the whitelist, reads back as exactly si (shortest digits that do). room >= 64.
 * NaN or infinity, which no file may hold, writes an empty text. */
void rw_units_write(const rw_units *units, const rw_kind *kind, double si, char *out, size_t room);

/* A limit told to a man: as rw_units_write where that takes no more than six digits, else in the customary unit rounded to six. room >= 64 */
void rw_units_write_limit(const rw_units *units, const rw_kind *kind, double si, char *out, size_t room);

#endif
