#include "base/arena.h"

#include <stdalign.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct rw_arena_block {
	struct rw_arena_block *below;
	size_t                 size, used;
	alignas(max_align_t) unsigned char bytes[];
} rw_arena_block;

enum { BLOCK_BYTES = 32 * 1024 };

static void *heap_get(void *context, size_t bytes)
{
	(void)context;
	return malloc(bytes);
}

static void heap_put(void *context, void *block)
{
	(void)context;
	free(block);
}

void rw_arena_init(rw_arena *arena) { rw_arena_init_from(arena, (rw_block_source){heap_get, heap_put, NULL}); }

void rw_arena_init_from(rw_arena *arena, rw_block_source source) { *arena = (rw_arena){.source = source}; }

static void drop_top(rw_arena *arena)
{
	rw_arena_block *block = arena->top;
	arena->top = block->below;
	arena->source.put(arena->source.context, block);
}

void rw_arena_release(rw_arena *arena)
{
	while (arena->top)
		drop_top(arena);
}

static rw_arena_block *grow(rw_arena *arena, size_t bytes)
{
	size_t size = bytes > BLOCK_BYTES ? bytes : BLOCK_BYTES;
	if (size > SIZE_MAX - sizeof(rw_arena_block))
		return NULL;
	rw_arena_block *block = arena->source.get(arena->source.context, sizeof *block + size);
	if (!block)
		return NULL;
	block->below = arena->top;
	block->size = size;
	block->used = 0;
	arena->top = block;
	return block;
}

void *rw_arena_get(rw_arena *arena, size_t bytes)
{
	const size_t step = alignof(max_align_t);
	if (bytes > SIZE_MAX - step)
		return NULL;
	bytes = (bytes + step - 1) / step * step;
	rw_arena_block *block = arena->top;
	if (!block || block->size - block->used < bytes)
		block = grow(arena, bytes);
	if (!block)
		return NULL;
	void *place = block->bytes + block->used;
	block->used += bytes;
	return memset(place, 0, bytes);
}

void *rw_arena_copy(rw_arena *arena, const void *bytes, size_t n)
{
	void *copy = rw_arena_get(arena, n);
	return copy && n ? memcpy(copy, bytes, n) : copy;
}

char *rw_arena_text(rw_arena *arena, const char *text, size_t n)
{
	char *copy = rw_arena_get(arena, n + 1);
	if (copy && n)
		memcpy(copy, text, n);
	return copy;
}

char *rw_arena_format(rw_arena *arena, const char *format, ...)
{
	va_list args, again;
	va_start(args, format);
	va_copy(again, args);
	int n = vsnprintf(NULL, 0, format, args);
	va_end(args);
	char *text = n < 0 ? NULL : rw_arena_get(arena, (size_t)n + 1);
	if (text)
		vsnprintf(text, (size_t)n + 1, format, again);
	va_end(again);
	return text;
}

rw_arena_mark rw_arena_here(const rw_arena *arena)
{
	return (rw_arena_mark){arena->top, arena->top ? arena->top->used : 0};
}

void rw_arena_rewind(rw_arena *arena, rw_arena_mark mark)
{
	while (arena->top && arena->top != mark.block)
		drop_top(arena);
	if (arena->top)
		arena->top->used = mark.used;
}
