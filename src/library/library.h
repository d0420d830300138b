/* The library: valves, materials and tables as files under data/, one an entry, each figure with source and status.
 * Knows no room: an entry is a list of facts by key; who asks applies them to his quantities.
 *
 * A file (data/valves/NAME.yaml):
 *   format: 1
 *   name: ...            title: ...
 *   blocks, each a mapping with source (key into data/sources/sources.yaml), status (read | derived | memory | invented),
 *   conditions (text, may be left out), and figures KEY: value with unit. A figure may itself be a mapping {value, source, status,
 *   conditions} to differ from its block. A literal block is a table (typical operation, curve points). */
#ifndef RW_LIBRARY_LIBRARY_H
#define RW_LIBRARY_LIBRARY_H

#include "yaml/yaml.h"

typedef struct rw_fact {
	const char *block, *key, *value;                /* "ratings", "anode_voltage_max", "11 kV" */
	const char *source, *status, *conditions;
	bool unverified;                                /* status is memory or invented */
	rw_span at;
} rw_fact;

typedef struct rw_entry {
	const char *name, *title, *file;
	const rw_tree *tree;
	int n_facts;
	const rw_fact *facts;
	char digest[65];                                /* of the file's bytes */
} rw_entry;

typedef struct rw_source { const char *key, *text, *status; } rw_source;

typedef struct rw_library rw_library;

/* in dir: the data folder. Reads nothing but the sources and the names of the entries. errs RW_E_IO, those of the reader */
RW_MUST_USE rw_status rw_library_open(rw_arena *arena, const char *dir, rw_library **out, rw_error *err);
const char *rw_library_dir(const rw_library *library);

/* Names of the entries in a shelf ("valves", "materials", "tables"), sorted. */
int         rw_library_count(const rw_library *library, const char *shelf);
const char *rw_library_name(const rw_library *library, const char *shelf, int i);

/* One entry, read and checked whole: every figure has a source that exists and a status. errs RW_E_KEY with the nearest name; reader's */
RW_MUST_USE rw_status rw_library_entry(rw_library *library, rw_arena *arena, const char *shelf, const char *name, const rw_entry **out,
    rw_error *err);
const rw_fact *rw_entry_fact(const rw_entry *entry, const char *key);     /* NULL: not there */
const rw_source *rw_library_source(const rw_library *library, const char *key);   /* NULL: unknown */

/* The same checks on bytes in memory: what the fuzz target of the valve data calls. */
RW_MUST_USE rw_status rw_entry_read(rw_arena *arena, const char *name, const char *bytes, size_t n, rw_entry *out, rw_error *err);

#endif
