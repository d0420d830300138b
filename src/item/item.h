/* The description of a quantity: one const table a room, from which reader, printers, explain, documents and forms are made.
 * Knows no room. Reading order: rw_item (a row), rw_room (a table), item/design.h (where the numbers live), item/expr.h (formulas). */
#ifndef RW_ITEM_ITEM_H
#define RW_ITEM_ITEM_H

#include <stddef.h>
#include <stdint.h>

#include "base/table.h"
#include "base/units.h"

typedef enum rw_role { RW_WANT, RW_PART, RW_SETTING, RW_ASSUMED, RW_RESULT } rw_role;
typedef enum rw_state { RW_OPEN, RW_GIVEN, RW_CHOSEN, RW_DERIVED } rw_state;      /* of one instance; OPEN on a result: not solved */
typedef enum rw_scope { RW_PER_SET, RW_PER_JOB, RW_PER_CASE } rw_scope;
typedef enum rw_by { RW_BY_CLOSED, RW_BY_FIELD, RW_BY_PERIODIC, RW_BY_ESTIMATE } rw_by;  /* how a figure was got */
typedef enum rw_type { RW_NUMBER, RW_INTEGER, RW_CHOICE, RW_TEXT, RW_TABLE } rw_type;
typedef enum rw_formula_kind { RW_CLOSED, RW_BALANCE, RW_METHOD } rw_formula_kind;

enum { RW_TEXT_BYTES = 64, RW_NAME_BYTES = 25, RW_JOBS_MAX = 256 };

/* What a member of each type is in its struct:
 * RW_NUMBER double (NAN: open); RW_INTEGER int32_t (INT32_MIN: open); RW_CHOICE int32_t index into choices (-1: open);
 * RW_TEXT char[RW_TEXT_BYTES] ("": open); RW_TABLE int32_t index into the design's tables (-1: open). */

typedef struct rw_formula {
	rw_formula_kind kind;
	const char *when;    /* NULL, or a condition over keys; alternatives exclude one another */
	const char *text;    /* CLOSED: the value. BALANCE: zero at the solution. METHOD: what is done, and the section of the theory */
	const char *scale;   /* BALANCE: what zero is relative to */
	const char *reads;   /* METHOD: the keys it depends on, comma separated, a key may end in ".*" for all below it */
	const char *source;  /* key into data/sources */
} rw_formula;

/* Members that exist in some kinds of a room only: the choice that tells the kind, where it is in the input struct, a bit for each kind.
 * An open choice is its first name. key NULL: in all kinds. */
typedef struct rw_only { const char *key; uint32_t at, kinds; } rw_only;

typedef struct rw_input {
	double min, max;               /* accepted span, SI */
	bool min_open, max_open;       /* the bound itself is not accepted */
	bool required;                 /* missing is an error */
	rw_only required_only;         /* of required: in these kinds; in the others a rule or nothing */
	bool optional;                 /* may stay open: the figure then does not exist */
	const char *const *choices;    /* RW_CHOICE: names, NULL-ended */
	const rw_column *columns;      /* RW_TABLE */
	int n_columns, min_rows;
	const char *rule, *rule_text, *rule_source;   /* how an open one is chosen; its value by the item's formulas */
	rw_only only;                  /* given elsewhere is an error */
} rw_input;

typedef struct rw_item {
	const char *key;               /* relative: "branches.*.bore"; '*' stands for the element's name; at most one */
	uint32_t offset;               /* in the room's input struct (inputs), set struct or case struct (results); within the element when listed */
	uint8_t list;                  /* 0: none, else 1 + index into the room's lists */
	uint8_t type, role, scope, by;
	double uncertainty;            /* relative half-width, about 95 %; 0: that of its inputs. Declared, not propagated */
	const rw_kind *kind;           /* NULL for choices, texts, tables */
	const char *symbol;            /* markup: "V_d0": what follows _ is a subscript */
	const char *text;              /* one line, the trade's words */
	const rw_formula *formulas;
	int n_formulas;
	const rw_input *input;         /* NULL for results */
	bool internal;                 /* bookkeeping: not printed in summaries */
	bool partial;                  /* a result that only some kinds or cases have */
	const char *only;              /* NULL, or when a partial result of the set exists: "with a start resistor" */
} rw_item;

/* A named list: a mapping of names to elements, so that keys stay stable when one is inserted. */
typedef struct rw_list {
	const char *key;               /* "branches" */
	const char *text;
	int capacity;
	uint32_t count_at;             /* int32_t in the input struct */
	uint32_t in_at, in_stride;     /* array in the input struct */
	uint32_t set_at, set_stride;   /* array in the set struct; stride 0: none */
	uint32_t case_at, case_stride; /* array in the case struct; stride 0: none */
	bool required;                 /* at least one element */
	rw_only required_only;         /* of required: in these kinds */
} rw_list;

typedef enum rw_sense { RW_AT_MOST, RW_AT_LEAST } rw_sense;

/* A check: figure against limit, in every case (or once, for a figure of the set). */
typedef struct rw_limit {
	const char *key;               /* stable name of the check: "valve.anode_dissipation" */
	const char *figure, *limit;    /* formulas; may hold '*' for each element of the list */
	rw_sense sense;
	const char *when;              /* NULL, or a condition: the check applies only where it holds */
	const char *needs;             /* NULL, or the optional input without which there is no limit: the check then reads 'no limit given' */
	const char *text;              /* what it says on paper */
	const char *source;            /* key into data/sources */
	const char *remedy;            /* what helps, in the trade's words */
} rw_limit;

struct rw_view;                    /* item/design.h: a design, a solution, a case */

/* A curve or waveform, made on demand. */
typedef struct rw_series {
	const char *key, *text;
	const char *x_text; const rw_kind *x_kind;
	int n_curves;
	const char *const *curve_text; const rw_kind *const *curve_kind;   /* [n_curves] */
} rw_series;

typedef struct rw_room {           /* one const object a room, in src/ROOM/ROOM_items.c */
	const char *name;
	const char *text;              /* heading on paper */
	bool per_job;                  /* its part of the file stands under jobs.NAME */
	uint32_t in_size, set_size, case_size;    /* bytes of the structs; 0: none. set struct of a per-job room: one a job */
	const rw_item *items;    int n_items;
	const rw_list *lists;    int n_lists;
	const rw_series *series; int n_series;
	const rw_limit *limits;  int n_limits;
} rw_room;

/* Shorthand of the item tables. A room's file defines IN, SET and CASE as its structs.
 * rw_item_of_struct fills an empty struct: doubles NAN, integers open, so that nothing is ever zero by accident. */
void rw_room_blank(const rw_room *room, void *in, void *set, void *kase);   /* each may be NULL */

typedef enum rw_place { RW_IN_INPUT, RW_IN_SET, RW_IN_CASE } rw_place;
static inline rw_place rw_item_place(const rw_item *item)
{
	return item->input ? RW_IN_INPUT : item->scope == RW_PER_CASE ? RW_IN_CASE : RW_IN_SET;
}
bool rw_only_holds(const rw_only *only, const void *in);   /* in: the room's input struct */
size_t rw_type_bytes(rw_type type);   /* of a member of that type in its struct */

#endif
