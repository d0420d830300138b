/* The working of a figure: formula, the same with the numbers, where each number came from, down to what is given; what is solved
 * together as its balances with residuals. */
#ifndef RW_ITEM_EXPLAIN_H
#define RW_ITEM_EXPLAIN_H

#include "item/graph.h"

typedef struct rw_explain_options {
	int depth;                       /* how many steps back; 0: only this figure */
	const char *(*source_text)(void *context, const char *key);   /* words for a source key; may be NULL */
	void *source_context;
	const bool *unverified;          /* [graph->n] figures that rest on unverified data; may be NULL */
} rw_explain_options;

/* Appends plain UTF-8 text. view says which case. errs RW_E_KEY for an unknown key */
RW_MUST_USE rw_status rw_explain(const rw_view *view, const rw_units *units, const rw_graph *graph, rw_arena *arena, const char *key,
                                 const rw_explain_options *options, rw_text *out, rw_error *err);

#endif
