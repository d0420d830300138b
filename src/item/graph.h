/* Which figure depends on which, read off the formulas of the tables; and which are solved together. */
#ifndef RW_ITEM_GRAPH_H
#define RW_ITEM_GRAPH_H

#include "item/design.h"

enum { RW_READS_BYTES = 4096 };   /* of the list of keys that a METHOD names, at most */

/* Nodes are items (not instances): index = offset of the room + item. */
typedef struct rw_graph {
	const rw_registry *registry;
	int n;                     /* nodes */
	const int *room_start;     /* [n_rooms] first node of a room */
	const int *first;          /* [n + 1] into edge: what node i reads */
	const int *edge;
	const int *component;      /* [n] number of the strongly connected set; equal numbers are solved together */
} rw_graph;

/* errs RW_E_KEY for a formula that reads a key no table has; RW_E_SYNTAX */
RW_MUST_USE rw_status rw_graph_new(rw_arena *arena, const rw_registry *registry, const rw_graph **out, rw_error *err);
int  rw_graph_node(const rw_graph *graph, int room, int item);
void rw_graph_item(const rw_graph *graph, int node, int *room, int *item);
/* reached [n] set true for every node that node depends on, itself included. */
void rw_graph_reach(const rw_graph *graph, int node, bool *reached);
/* Nodes a formula text reads (used for checks). */
RW_MUST_USE rw_status rw_graph_reads(rw_arena *arena, const rw_graph *graph, const char *formula, int *nodes, int room, int *n, rw_error *err);

#endif
