/* Arenas: memory that dies together. No single frees, no reference counts.
 * Invariants: what rw_arena_get returns is zeroed, aligned for any type, and lives until a rewind past it or the release.
 * The block source can be replaced, so that tests can make every allocation fail once. */
#ifndef RW_BASE_ARENA_H
#define RW_BASE_ARENA_H

#include <stddef.h>

#include "base/error.h"

typedef struct rw_block_source {
	void *(*get)(void *context, size_t bytes);   /* NULL when memory is out */
	void (*put)(void *context, void *block);
	void *context;
} rw_block_source;

typedef struct rw_arena {
	struct rw_arena_block *top;
	rw_block_source        source;
} rw_arena;

typedef struct rw_arena_mark {
	struct rw_arena_block *block;
	size_t                 used;
} rw_arena_mark;

void rw_arena_init(rw_arena *arena);                                  /* blocks from malloc */
void rw_arena_init_from(rw_arena *arena, rw_block_source source);
void rw_arena_release(rw_arena *arena);                               /* all of it; the arena may be used again */

/* NULL when memory is out. */
void *rw_arena_get(rw_arena *arena, size_t bytes);
void *rw_arena_copy(rw_arena *arena, const void *bytes, size_t n);
char *rw_arena_text(rw_arena *arena, const char *text, size_t n);     /* n bytes of text and a closing zero */
char *rw_arena_format(rw_arena *arena, const char *format, ...) RW_PRINTF(2, 3);

/* Scratch: what was taken after the mark is given back at once. */
rw_arena_mark rw_arena_here(const rw_arena *arena);
void          rw_arena_rewind(rw_arena *arena, rw_arena_mark mark);

#define RW_ARENA_NEW(arena, type, n) ((type *)rw_arena_get((arena), sizeof(type) * (size_t)(n)))

#endif
