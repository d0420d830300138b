/* Shared inside the library room only. */
#ifndef RW_LIBRARY_LIBRARY_INTERNAL_H
#define RW_LIBRARY_LIBRARY_INTERNAL_H

#include "library/library.h"

/* As rw_entry_read; library NULL: sources are not looked up. name: of the entry, or NULL when it may be any; file: for messages. */
RW_MUST_USE rw_status rw__entry_read(rw_arena *arena, const rw_library *library, const char *name, const char *file, const char *bytes, size_t n,
                                     rw_entry *out, rw_error *err);

/* Raises with the place: key is the node's path, line and column those of its value (of its key for a mapping). Returns status. */
RW_MUST_USE rw_status rw__fault(const rw_tree *tree, const rw_node *node, rw_status status, rw_error *err, const char *format,
    ...) RW_PRINTF(5, 6);

/* The first line of every data file: 'format: 1'. */
RW_MUST_USE rw_status rw__format_check(const rw_tree *tree, rw_error *err);

/* A status of the list read, derived, memory, invented. node: where it stands */
RW_MUST_USE rw_status rw__status_check(const rw_tree *tree, const rw_node *node, rw_error *err);

/* Scalar text of a child, NULL when there is none. errs RW_E_VALUE for a mapping or an empty text */
RW_MUST_USE rw_status rw__text_of(const rw_tree *tree, const rw_node *mapping, const char *key, const rw_node **node, const char **text,
    rw_error *err);

#endif
