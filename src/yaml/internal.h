/* Shared inside the yaml room only. */
#ifndef RW_YAML_INTERNAL_H
#define RW_YAML_INTERNAL_H

#include <yaml.h>   /* the scanner */

#include "yaml/yaml.h"

/* Length in bytes of the character that starts at bytes[0], strictly UTF-8; 0 when there is none. out *code */
size_t rw__utf8_next(const char *bytes, size_t n, uint32_t *code);

/* 3 behind a byte-order mark, else 0. */
size_t rw__bom(const char *bytes, size_t n);

/* Where the first byte stands that no text of ours may hold (n when there is none), and what it is, for a message.
 * lines  CR LF is a line end; else LF only */
size_t rw__text_refused(const char *bytes, size_t n, bool lines, char *what, size_t room);

/* Start and end of the line (its line end left out) that holds bytes[at]. */
size_t rw__line_start(const char *bytes, size_t at);
size_t rw__line_end(const char *bytes, size_t n, size_t at);

/* End of the '|' or '>' at start with its indicators; *keep: '+', *strip: '-', *indent: the digit or 0 (each may be NULL). */
size_t rw__block_header(const char *bytes, size_t n, size_t start, bool *keep, bool *strip, size_t *indent);

/* Line, column and length of bytes [start, end); cost O(start). A place behind the last line end is moved before it. */
rw_span rw__span_of_bytes(const char *bytes, size_t n, size_t start, size_t end);

/* Position and source line into *err. */
void rw__mark(const char *name, const char *bytes, size_t n, const rw_span *span, rw_error *err);

/* The scanner's fault in the user's words. in  problem_at, context_at: bytes   out  *at: where the fault stands */
void rw__scan_fault(const yaml_parser_t *parser, const char *bytes, size_t n, size_t problem_at, size_t context_at,
                    rw_error *err, size_t *at);

#endif
