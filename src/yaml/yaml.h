/* Text of a generator or data file to a tree with marks, and edits of that text that leave everything else as it was.
 * YAML read as text: no YAML typing, aliases and tags refused, depth and size limited, duplicate keys refused, mappings only
 * (a sequence is an error). The scanner is the library's; marks are brought from characters to bytes here. */
#ifndef RW_YAML_YAML_H
#define RW_YAML_YAML_H

#include <stddef.h>

#include "base/arena.h"
#include "base/text.h"

enum { RW_YAML_BYTES_MAX = 1024 * 1024, RW_YAML_DEPTH_MAX = 16 };

typedef struct rw_span { size_t start, end; uint32_t line, column, length; } rw_span;  /* bytes [start, end); 1-based line, column in characters */

typedef struct rw_node {
	const char     *key;         /* "" for the root */
	const char     *value;       /* scalar text, NULL for a mapping; "" for an empty value */
	size_t          value_n;
	bool            block;       /* literal block scalar (|) */
	rw_span         key_at, value_at;   /* a mapping's value_at spans its entries; a block scalar's text starts on line value_at.line + 1 */
	struct rw_node *parent, *first, *next;
	int             index;       /* place among its siblings, from 0 */
} rw_node;

typedef struct rw_tree {
	const char *name;            /* of the file, as the user named it */
	const char *bytes;           /* the whole text, as read */
	size_t      n;
	rw_node    *root;            /* a mapping */
} rw_tree;

/* Reads a text. All faults the scanner can get past are collected (errs, may be NULL); err is the first.
 * Every error has name, line, column, and source_line filled.
 * errs RW_E_SYNTAX, RW_E_KEY (duplicate), RW_E_MEMORY */
RW_MUST_USE rw_status rw_yaml_read(rw_arena *arena, const char *name, const char *bytes, size_t n, rw_tree **out, rw_errors *errs,
    rw_error *err);

/* Reads a file whole (at most RW_YAML_BYTES_MAX). errs RW_E_IO, RW_E_SYNTAX, RW_E_MEMORY */
RW_MUST_USE rw_status rw_file_read(rw_arena *arena, const char *path, char **bytes, size_t *n, rw_error *err);

/* "jobs.journal.work" from the root; NULL when there is none. */
const rw_node *rw_yaml_find(const rw_tree *tree, const char *path);
const rw_node *rw_yaml_child(const rw_node *mapping, const char *key);

/* Writes the path of a node into out: "water.branches.anode.flow". */
void rw_yaml_path(const rw_node *node, char *out, size_t room);

/* Fills file, line, column, length and source_line of *err from a span of the tree. */
void rw_yaml_mark(const rw_tree *tree, const rw_span *span, rw_error *err);

/* Puts value at path: replaces the scalar there, or adds the key (and missing mappings) at the end of its mapping in that mapping's
 * own indentation. Quotes the value when YAML needs it; a value with line ends is written as a literal block. Comments, order, line
 * ends, byte-order mark and everything else stay to the byte. The new text is read again and compared: all other values unchanged.
 * out  *text the whole new text (initialised by the caller; replaced)
 * errs RW_E_KEY when the path runs through a scalar or a flow mapping it cannot extend; RW_E_VALUE; RW_E_INTERNAL when the comparison fails */
RW_MUST_USE rw_status rw_yaml_put(const char *bytes, size_t n, const char *path, const char *value, rw_text *text, rw_error *err);

/* Takes the key at path away with its line(s). errs RW_E_KEY when absent */
RW_MUST_USE rw_status rw_yaml_drop(const char *bytes, size_t n, const char *path, rw_text *text, rw_error *err);

/* Saves atomically: writes beside, syncs, renames; keeps the mode. Refuses (RW_E_CHANGED) when the file on disk is no longer was[0..was_n).
 * was NULL: the file must not exist yet. errs RW_E_IO, RW_E_CHANGED */
RW_MUST_USE rw_status rw_file_save(const char *path, const char *was, size_t was_n, const char *bytes, size_t n, rw_error *err);

#endif
