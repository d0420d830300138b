/* Shared inside the base room only. */
#ifndef RW_BASE_UNITS_INTERNAL_H
#define RW_BASE_UNITS_INTERNAL_H

#include "base/units.h"

enum { RW__UNIT_BYTES = 16, RW__UNITS_A_KIND_MAX = 8, RW__KINDS_MAX = 48 };

/* One accepted unit of a kind: si = value * times / by + offset. One of times and by is 1, and the other a whole number where it can
 * be: one rounding only, so that 20 uF is the double nearest to 20e-6. */
typedef struct rw__unit {
	char   name[RW__UNIT_BYTES];
	double times, by, offset;
} rw__unit;

typedef struct rw__kind_units {
	int      n;
	rw__unit list[RW__UNITS_A_KIND_MAX];
} rw__kind_units;

struct rw_units {
	rw__kind_units of[RW__KINDS_MAX];   /* by number of the kind */
};

static inline double rw__unit_to_si(const rw__unit *unit, double value) { return value * unit->times / unit->by + unit->offset; }
static inline double rw__unit_from_si(const rw__unit *unit, double si) { return (si - unit->offset) * unit->by / unit->times; }

/* The accepted units of a kind; NULL when it is none of ours. */
const rw__kind_units *rw__kind_units_of(const rw_units *units, const rw_kind *kind);

/* Next word of a list parted by blanks: true and the word, *list moved behind it. */
bool rw__next_word(const char **list, char word[RW__UNIT_BYTES]);

/* The accepted unit that n bytes of text name, in any of its spellings. errs RW_E_UNIT with expected and hint */
RW_MUST_USE rw_status rw__unit_find(const rw_units *units, const rw_kind *kind, const char *text, size_t n, const rw__unit **out, rw_error *err);

#endif
