/* Materials for tests: an entry of the library as the room work reads it. From the source root. */
#ifndef RW_TESTS_MATERIAL_ENTRY_H
#define RW_TESTS_MATERIAL_ENTRY_H

#include <string.h>

#include "library/library.h"
#include "tests/check.h"
#include "work/material.h"

static inline const char *rw_entry_text(const void *entry, const char *key)
{
	const rw_fact *fact = rw_entry_fact(entry, key);
	return fact ? fact->value : NULL;
}

static inline const rw_entry *rw_material_entry(rw_arena *arena, const rw_units *units, rw_library *library, const char *name, rw_material *out)
{
	rw_error err;
	const rw_entry *entry;
	CHECK_OK(rw_library_entry(library, arena, "materials", name, &entry, &err), &err);
	CHECK_OK(rw_material_read(arena, units, entry->name, rw_entry_text, entry, out, &err), &err);
	return entry;
}

/* An entry made up in a test: its figures, ended by an empty one. */
typedef struct given { const char *key, *text; } given;

static inline const char *text_of_given(const void *context, const char *key)
{
	for (const given *g = context; g->key; g++)
		if (strcmp(g->key, key) == 0)
			return g->text;
	return NULL;
}

#endif
