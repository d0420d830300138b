/* Formulas: a small language over keys, read into a tree that four users need: tests evaluate it, explain substitutes it,
 * the dependency graph comes from it, and every formula's dimensions are checked.
 *
 *   number   3, 2.5, 1e-3 (dimensionless, SI); pi
 *   key      tank.inductance, water.branches.*.flow ('*': the element in hand)
 *   + - * / ^ unary -, parentheses; ^ binds strongest, right to left, its right side a number or a fraction of numbers
 *   < <= > >= == != , and, or, not; a key of a choice may be compared with a bare name: valve.cathode == thoriated
 *   sqrt ln exp sin cos tan asin acos atan abs min(a, b, ...) max(a, b, ...)
 *   sum(KEY) greatest(KEY) least(KEY)   over the elements of a list: the argument is an expression with '*' keys in it
 *   worst(e) mildest(e)                 greatest and least of e over all cases
 *   at_design(e)                        e in the case the set is sized on
 *   ceil_to(x, step) floor_to(x, step) digits(x, n) e24(x) meter_scale(x) roundings; a bare number as step takes the dimension of x
 *   if(condition, a, b)
 */
#ifndef RW_ITEM_EXPR_H
#define RW_ITEM_EXPR_H

#include "base/arena.h"
#include "base/units.h"

typedef struct rw_expr rw_expr;

/* errs RW_E_SYNTAX with column (line 1) of the fault in text; RW_E_MEMORY. Depth of nesting at most 64,
 * sums, worsts and the like at most 4 inside one another. Reads what rw_expr_write writes with replace NULL. */
RW_MUST_USE rw_status rw_expr_read(rw_arena *arena, const char *text, const rw_expr **out, rw_error *err);

/* How an evaluation finds its way: a scope is where '*' and the case stand. */
typedef struct rw_expr_scope {
	int element;      /* of the list in hand; -1: none */
	int scase;        /* index of a case; -1: none (figures of the set only) */
} rw_expr_scope;

typedef struct rw_expr_host {
	void *context;
	/* Value of a key. A choice gives its index; *choice, if not NULL, gets the chosen name ("" when the key is no choice).
	 * A key that does not exist, or is not solved, is an error (RW_E_KEY, RW_E_MISSING). */
	rw_status (*value)(void *context, const char *key, rw_expr_scope scope, double *value, const char **choice, rw_error *err);
	rw_status (*elements)(void *context, const char *key, rw_expr_scope scope, int *n, rw_error *err);  /* size of the list of a '*' key */
	rw_status (*cases)(void *context, const char *key, rw_expr_scope scope, int *n, int *design, rw_error *err);   /* how many cases, and which one the set is sized on */
	rw_status (*kind)(void *context, const char *key, const rw_kind **kind, rw_error *err);             /* NULL: a choice, dimensionless */
} rw_expr_host;

/* errs RW_E_NOSOLVE for a result that is not finite (root of a negative number, division by zero), naming the part */
RW_MUST_USE rw_status rw_expr_value(const rw_expr *expr, const rw_expr_host *host, rw_expr_scope scope, double *value, rw_error *err);

/* Dimension of a formula (powers of m, kg, s, A, K). errs RW_E_UNIT naming the two sides that do not fit */
RW_MUST_USE rw_status rw_expr_dimension(const rw_expr *expr, const rw_expr_host *host, double dim[5], rw_error *err);
bool rw_expr_same_dimension(const double a[5], const double b[5]);

/* Calls visit for every key in the formula, left to right; aggregate: inside sum, worst and the like. */
void rw_expr_keys(const rw_expr *expr, void (*visit)(void *context, const char *key, bool aggregate), void *context);

/* Writes the formula with every key replaced by what replace writes for it (its symbol, or its value with unit); operators as read:
 * a multiplication sign U+00D7, a minus U+2212, a root sign as sqrt(...). replace may be NULL: the keys themselves. */
struct rw_text;
void rw_expr_write(const rw_expr *expr, struct rw_text *out, void (*replace)(void *context, const char *key, struct rw_text *out),
    void *context);

#endif
