#include <string.h>

#include "base/units.h"

#define RW_KIND(kind, measure_, si_, m, kg, s, a, k, point_, units_, show_) \
	const rw_kind rw_kind_##kind = {#kind, measure_, si_, {m, kg, s, a, k}, point_, units_, show_};
#include "base/kinds.def"
#undef RW_KIND

static const rw_kind *const kinds[] = {
#define RW_KIND(kind, measure_, si_, m, kg, s, a, k, point_, units_, show_) &rw_kind_##kind,
#include "base/kinds.def"
#undef RW_KIND
};

int rw_kinds_number(void) { return (int)(sizeof kinds / sizeof *kinds); }

const rw_kind *rw_kind_at(int i) { return kinds[i]; }

const rw_kind *rw_kind_find(const char *name)
{
	for (int i = 0; i < rw_kinds_number(); i++)
		if (strcmp(kinds[i]->name, name) == 0)
			return kinds[i];
	return NULL;
}
