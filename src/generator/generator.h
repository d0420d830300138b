/* The generator file: text to a bound design and back. Knows no room: the item tables it is handed are the only schema.
 * Top level: format, a mapping for each room of the set, and jobs: NAME: a mapping for each room of the job. */
#ifndef RW_GENERATOR_GENERATOR_H
#define RW_GENERATOR_GENERATOR_H

#include "item/design.h"
#include "yaml/yaml.h"

enum { RW_FILE_FORMAT = 1 };

typedef struct rw_generator {
	const rw_tree *tree;
	rw_design     *design;
} rw_generator;

/* Reads and binds a text. All faults are collected (errs, may be NULL); err is the first of them.
 * errs RW_E_SYNTAX, RW_E_KEY, RW_E_UNIT, RW_E_VALUE, RW_E_MISSING, RW_E_MEMORY; each with file, line, column, path, what, expected, hint */
RW_MUST_USE rw_status rw_generator_bind(rw_arena *arena, const rw_units *units, const rw_registry *registry, const char *name, const char *bytes,
                                        size_t n, rw_generator *out, rw_errors *errs, rw_error *err);

/* Fills file, line, column and source line of an error that a room raised with a figure's key: the nearest mapping that stands in the file. */
void rw_generator_mark(const rw_generator *generator, int job, rw_error *err);

/* Puts the chosen inputs named by keys (NULL: all chosen but those of the library) into the text, each as its rule chose it.
 * in   full the frozen design of a solution
 * out  *text the new text; *n_put how many; errs RW_E_KEY for a key that is not a chosen input */
RW_MUST_USE rw_status rw_generator_adopt(const rw_generator *generator, const rw_units *units, const rw_design *full, const char *const *keys,
                                         int n_keys, rw_text *text, int *n_put, rw_error *err);

/* Appends to a template, for every input that the design leaves open, a commented line: key, kind of unit, rule. */
void rw_generator_comment_open(const rw_design *design, const char *room_name, const char *indent, rw_text *out);

#endif
