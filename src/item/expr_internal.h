/* The tree of a formula. Shared by expr_read.c, expr_value.c and expr_check.c only. */
#ifndef RW_ITEM_EXPR_INTERNAL_H
#define RW_ITEM_EXPR_INTERNAL_H

#include "item/expr.h"

typedef enum rw__op {
	RW__OP_NUMBER, RW__OP_KEY,
	RW__OP_NAME,                 /* of a choice; only as the right side of == and !=, its left side a key */
	RW__OP_OR, RW__OP_AND, RW__OP_NOT,
	RW__OP_LT, RW__OP_LE, RW__OP_GT, RW__OP_GE, RW__OP_EQ, RW__OP_NE,
	RW__OP_ADD, RW__OP_SUB, RW__OP_MUL, RW__OP_DIV, RW__OP_NEG, RW__OP_POW,
	RW__OP_SQRT, RW__OP_LN, RW__OP_EXP, RW__OP_SIN, RW__OP_COS, RW__OP_TAN, RW__OP_ASIN, RW__OP_ACOS, RW__OP_ATAN, RW__OP_ABS,
	RW__OP_MIN, RW__OP_MAX, RW__OP_CEIL_TO, RW__OP_FLOOR_TO, RW__OP_DIGITS, RW__OP_E24, RW__OP_METER_SCALE, RW__OP_IF,
	RW__OP_SUM, RW__OP_GREATEST, RW__OP_LEAST, RW__OP_WORST, RW__OP_MILDEST, RW__OP_AT_DESIGN
} rw__op;

typedef enum rw__over { RW__OVER_NOTHING, RW__OVER_ELEMENTS, RW__OVER_CASES } rw__over;

enum {
	RW__FUNCTIONS = RW__OP_AT_DESIGN - RW__OP_SQRT + 1,
	RW__DEPTH_MAX = 64,          /* parentheses, signs and powers inside one another */
	RW__HEIGHT_MAX = 1000,       /* of the tree: a long chain of sums is as high as it has terms; bounds the stack of every walk */
	RW__LOOPS_MAX = 4,           /* sums, worsts and the like inside one another; bounds the time of an evaluation */
	RW__PART_BYTES = 88
};

typedef struct rw__function {
	const char *name;
	int         least, most;     /* arguments; most 0: any number */
	rw__over    over;
} rw__function;

extern const rw__function rw__functions[RW__FUNCTIONS];   /* in the order of rw__op */

struct rw_expr {
	rw__op      op;
	int         height, loops;   /* of the tree from here down; iterations inside one another */
	double      number;          /* NUMBER */
	const char *text;            /* KEY, NAME: itself. NUMBER: "pi" or NULL. Aggregates: the key that names the list or the cases */
	rw_expr    *first, *next;    /* operands; each has one parent */
};

static inline bool rw__op_is_function(rw__op op) { return op >= RW__OP_SQRT; }
static inline const rw__function *rw__function_of(rw__op op) { return &rw__functions[op - RW__OP_SQRT]; }

/* First key, left to right; NULL: a constant. starred: the first with a '*' that no sum, greatest or least inside takes. */
const char *rw__expr_first_key(const rw_expr *expr, bool starred);

/* The formula as text for a message, cut to its field on a whole character. */
void rw__expr_part(const rw_expr *expr, char out[RW__PART_BYTES]);

#endif
