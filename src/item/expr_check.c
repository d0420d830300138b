/* What is known of a formula without its numbers: dimension, keys, and the text of it. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "item/expr_internal.h"

enum { DIM_BYTES = 80 };
#define DIM_MAX 1000.0   /* no quantity has such a power; keeps the sums of powers finite */

/* any: a literal 0, which agrees with every dimension */
typedef struct measure {
	double dim[5];
	bool   any;
} measure;

static rw_status measured(const rw_expr *expr, const rw_expr_host *host, measure *out, rw_error *err);

rw_status rw_expr_dimension(const rw_expr *expr, const rw_expr_host *host, double dim[5], rw_error *err)
{
	measure m;
	RW_TRY(measured(expr, host, &m, err));
	memcpy(dim, m.dim, sizeof m.dim);
	return RW_OK;
}

bool rw_expr_same_dimension(const double a[5], const double b[5])
{
	for (int i = 0; i < 5; i++)
		if (!(fabs(a[i] - b[i]) <= 1e-9))   /* powers are small fractions */
			return false;
	return true;
}

/* "m2 kg s-3 A-1" */
static void dimension_text(const measure *m, char out[DIM_BYTES])
{
	static const char *const base[5] = {"m", "kg", "s", "A", "K"};
	size_t n = 0;
	for (int i = 0; i < 5; i++) {
		double power = m->dim[i];
		if (fabs(power) <= 1e-9)
			continue;
		n += (size_t)snprintf(out + n, DIM_BYTES - n, "%s%s", n > 0 ? " " : "", base[i]);
		if (fabs(power - 1.0) > 1e-9)
			n += (size_t)snprintf(out + n, DIM_BYTES - n, "%.4g", power);
	}
	if (n == 0)
		snprintf(out, DIM_BYTES, "dimensionless");
}

/* The common dimension of two sides. */
static rw_status agree(const rw_expr *left, const measure *a, const rw_expr *right, const measure *b, measure *out, rw_error *err)
{
	if (a->any || b->any || rw_expr_same_dimension(a->dim, b->dim)) {
		measure common = a->any ? *b : *a;
		*out = common;
		return RW_OK;
	}
	char part[2][RW__PART_BYTES], dim[2][DIM_BYTES];
	rw__expr_part(left, part[0]);
	rw__expr_part(right, part[1]);
	dimension_text(a, dim[0]);
	dimension_text(b, dim[1]);
	RW_RAISE(err, RW_E_UNIT, rw__expr_first_key(left, false), "'%s' and '%s' do not fit together", part[0], part[1]);
	rw_error_expected(err, "one dimension on both sides, not %s and %s", dim[0], dim[1]);
	return RW_E_UNIT;
}

static rw_status need_plain(const rw_expr *expr, const measure *m, const char *where, rw_error *err)
{
	static const measure plain;
	if (rw_expr_same_dimension(m->dim, plain.dim))
		return RW_OK;
	char part[RW__PART_BYTES], dim[DIM_BYTES];
	rw__expr_part(expr, part);
	dimension_text(m, dim);
	RW_RAISE(err, RW_E_UNIT, rw__expr_first_key(expr, false), "'%s' in '%s' is not dimensionless", part, where);
	rw_error_expected(err, "a dimensionless operand, not %s", dim);
	return RW_E_UNIT;
}

static const char *word_of(rw__op op)
{
	static const char *const words[] = {
		[RW__OP_OR] = "or",  [RW__OP_AND] = "and", [RW__OP_NOT] = "not",    [RW__OP_LT] = "<",  [RW__OP_LE] = "<=",
		[RW__OP_GT] = ">",   [RW__OP_GE] = ">=",   [RW__OP_EQ] = "==",      [RW__OP_NE] = "!=", [RW__OP_ADD] = "+",
		[RW__OP_SUB] = "\u2212", [RW__OP_MUL] = "\u00D7", [RW__OP_DIV] = "/", [RW__OP_NEG] = "\u2212", [RW__OP_POW] = "^",
	};
	return rw__op_is_function(op) ? rw__function_of(op)->name : words[op];
}

/* Every operand dimensionless, and so is the result. */
static rw_status all_plain(const rw_expr *expr, const rw_expr_host *host, measure *out, rw_error *err)
{
	for (const rw_expr *operand = expr->first; operand; operand = operand->next) {
		measure m;
		RW_TRY(measured(operand, host, &m, err));
		RW_TRY(need_plain(operand, &m, word_of(expr->op), err));
	}
	*out = (measure){0};
	return RW_OK;
}

/* Operands from first on all of one dimension, which is the result's. */
static rw_status all_agree(const rw_expr *first, const rw_expr_host *host, measure *out, rw_error *err)
{
	RW_TRY(measured(first, host, out, err));
	const rw_expr *before = first;   /* the last that has a dimension of its own */
	for (const rw_expr *operand = first->next; operand; operand = operand->next) {
		measure m;
		RW_TRY(measured(operand, host, &m, err));
		RW_TRY(agree(before, out, operand, &m, out, err));
		before = m.any ? before : operand;
	}
	return RW_OK;
}

static rw_status scaled(const rw_expr *expr, double factor, measure *m, rw_error *err)
{
	m->any = false;
	for (int i = 0; i < 5; i++) {
		m->dim[i] *= factor;
		if (!(fabs(m->dim[i]) <= DIM_MAX)) {
			char part[RW__PART_BYTES];
			rw__expr_part(expr, part);
			return RW_RAISE(err, RW_E_UNIT, rw__expr_first_key(expr, false), "'%s' is of no dimension a quantity can have", part);
		}
	}
	return RW_OK;
}

static rw_status measured_power(const rw_expr *expr, const rw_expr_host *host, measure *out, rw_error *err)
{
	const rw_expr *exponent = expr->first->next;
	const char *key = rw__expr_first_key(exponent, false);
	if (key) {
		char part[RW__PART_BYTES];
		rw__expr_part(exponent, part);
		return RW_RAISE(err, RW_E_UNIT, key, "the exponent '%s' is not constant", part);
	}
	double power = 0.0;
	RW_TRY(rw_expr_value(exponent, host, (rw_expr_scope){-1, -1}, &power, err));   /* no key in it: the host is not asked */
	RW_TRY(measured(expr->first, host, out, err));
	return scaled(expr, power, out, err);
}

static rw_status measured_product(const rw_expr *expr, const rw_expr_host *host, measure *out, rw_error *err)
{
	measure a, b;
	RW_TRY(measured(expr->first, host, &a, err));
	RW_TRY(measured(expr->first->next, host, &b, err));
	for (int i = 0; i < 5; i++)
		a.dim[i] += expr->op == RW__OP_MUL ? b.dim[i] : -b.dim[i];
	*out = a;
	return scaled(expr, 1.0, out, err);
}

static rw_status measured_comparison(const rw_expr *expr, const rw_expr_host *host, measure *out, rw_error *err)
{
	const rw_expr *right = expr->first->next;
	const rw_kind *kind = NULL;
	if (right->op == RW__OP_NAME) {
		RW_TRY(host->kind(host->context, expr->first->text, &kind, err));
		if (kind)
			return RW_RAISE(err, RW_E_UNIT, expr->first->text, "'%s' is no choice and cannot be compared with '%s'", expr->first->text,
			                right->text);
	} else {
		RW_TRY(all_agree(expr->first, host, out, err));
	}
	*out = (measure){0};
	return RW_OK;
}

/* ceil_to(x, step), digits(x, n): the dimension of x */
static rw_status measured_rounding(const rw_expr *expr, const rw_expr_host *host, measure *out, rw_error *err)
{
	const rw_expr *second = expr->first->next;
	measure m;
	RW_TRY(measured(expr->first, host, out, err));
	RW_TRY(measured(second, host, &m, err));
	if (expr->op == RW__OP_DIGITS)
		return need_plain(second, &m, word_of(expr->op), err);
	m.any |= second->op == RW__OP_NUMBER;
	return agree(expr->first, out, second, &m, out, err);
}

static rw_status measured_key(const rw_expr *expr, const rw_expr_host *host, measure *out, rw_error *err)
{
	const rw_kind *kind = NULL;
	RW_TRY(host->kind(host->context, expr->text, &kind, err));
	*out = (measure){0};
	if (kind)
		memcpy(out->dim, kind->dim, sizeof out->dim);
	return RW_OK;
}

static rw_status measured(const rw_expr *expr, const rw_expr_host *host, measure *out, rw_error *err)
{
	switch (expr->op) {
	case RW__OP_NUMBER:   *out = (measure){.any = expr->number == 0.0}; return RW_OK;
	case RW__OP_KEY:      return measured_key(expr, host, out, err);
	case RW__OP_NAME:     RW_BUG(err, "the name of a choice was measured");
	case RW__OP_LT:
	case RW__OP_LE:
	case RW__OP_GT:
	case RW__OP_GE:
	case RW__OP_EQ:
	case RW__OP_NE:       return measured_comparison(expr, host, out, err);
	case RW__OP_MUL:
	case RW__OP_DIV:      return measured_product(expr, host, out, err);
	case RW__OP_POW:      return measured_power(expr, host, out, err);
	case RW__OP_SQRT:
		RW_TRY(measured(expr->first, host, out, err));
		return scaled(expr, 0.5, out, err);
	case RW__OP_CEIL_TO:
	case RW__OP_FLOOR_TO:
	case RW__OP_DIGITS:   return measured_rounding(expr, host, out, err);
	case RW__OP_IF: {
		measure condition;
		RW_TRY(measured(expr->first, host, &condition, err));
		RW_TRY(need_plain(expr->first, &condition, "if", err));
		return all_agree(expr->first->next, host, out, err);
	}
	case RW__OP_ADD:
	case RW__OP_SUB:
	case RW__OP_NEG:
	case RW__OP_ABS:
	case RW__OP_MIN:
	case RW__OP_MAX:
	case RW__OP_E24:
	case RW__OP_METER_SCALE:
	case RW__OP_SUM:
	case RW__OP_GREATEST:
	case RW__OP_LEAST:
	case RW__OP_WORST:
	case RW__OP_MILDEST:
	case RW__OP_AT_DESIGN: return all_agree(expr->first, host, out, err);
	default:               return all_plain(expr, host, out, err);
	}
}

static bool is_aggregate(rw__op op, rw__over over) { return rw__op_is_function(op) && rw__function_of(op)->over == over; }

const char *rw__expr_first_key(const rw_expr *expr, bool starred)
{
	if (expr->op == RW__OP_KEY)
		return !starred || strchr(expr->text, '*') ? expr->text : NULL;
	if (starred && is_aggregate(expr->op, RW__OVER_ELEMENTS))
		return NULL;
	const char *found = NULL;
	for (const rw_expr *operand = expr->first; operand && !found; operand = operand->next)
		found = rw__expr_first_key(operand, starred);
	return found;
}

static void visit_keys(const rw_expr *expr, bool aggregate, void (*visit)(void *context, const char *key, bool aggregate), void *context)
{
	if (expr->op == RW__OP_KEY)
		visit(context, expr->text, aggregate);
	aggregate |= rw__op_is_function(expr->op) && rw__function_of(expr->op)->over != RW__OVER_NOTHING;
	for (const rw_expr *operand = expr->first; operand; operand = operand->next)
		visit_keys(operand, aggregate, visit, context);
}

void rw_expr_keys(const rw_expr *expr, void (*visit)(void *context, const char *key, bool aggregate), void *context)
{
	visit_keys(expr, false, visit, context);
}

typedef struct writer {
	rw_text *out;
	void (*replace)(void *context, const char *key, rw_text *out);
	void *context;
} writer;

/* How strongly the parts of a formula hold together, as the reader reads them. */
enum { HOLD_OR, HOLD_AND, HOLD_NOT, HOLD_COMPARISON, HOLD_SUM, HOLD_PRODUCT, HOLD_SIGN, HOLD_POWER, HOLD_WHOLE };

static int hold_of(rw__op op)
{
	switch (op) {
	case RW__OP_OR:  return HOLD_OR;
	case RW__OP_AND: return HOLD_AND;
	case RW__OP_NOT: return HOLD_NOT;
	case RW__OP_ADD:
	case RW__OP_SUB: return HOLD_SUM;
	case RW__OP_MUL:
	case RW__OP_DIV: return HOLD_PRODUCT;
	case RW__OP_NEG: return HOLD_SIGN;
	case RW__OP_POW: return HOLD_POWER;
	default:         return op >= RW__OP_LT && op <= RW__OP_NE ? HOLD_COMPARISON : HOLD_WHOLE;
	}
}

/* A value put in for a key: "-5 V" and "8.77 kV" under a power, or "-5 V" behind an operator, need parentheses of their own. */
static void write_key(const writer *w, const char *key, int least)
{
	if (!w->replace) {
		rw_text_add(w->out, key);
		return;
	}
	rw_text put;
	rw_text_init(&put);
	w->replace(w->context, key, &put);
	bool negative = put.bytes[0] == '-' || strncmp(put.bytes, "\u2212", strlen("\u2212")) == 0;
	bool several = strpbrk(put.bytes, " +*/^") || strstr(put.bytes, "\u202F") || strstr(put.bytes, "\u00A0");
	bool enclose = (negative && least > HOLD_SUM) || (several && least > HOLD_POWER);
	rw_text_add(w->out, enclose ? "(" : "");
	rw_text_add_n(w->out, put.bytes, put.n);
	rw_text_add(w->out, enclose ? ")" : "");
	w->out->failed |= put.failed;
	rw_text_release(&put);
}

static void write_tree(const writer *w, const rw_expr *expr, int least);

static void write_number(const writer *w, const rw_expr *expr)
{
	char digits[32];
	rw_text_shortest(digits, sizeof digits, expr->number);
	rw_text_add(w->out, expr->text ? expr->text : digits);
}

static void write_call(const writer *w, const rw_expr *expr)
{
	rw_text_add(w->out, word_of(expr->op));
	for (const rw_expr *argument = expr->first; argument; argument = argument->next) {
		rw_text_add(w->out, argument == expr->first ? "(" : ", ");
		write_tree(w, argument, HOLD_OR);
	}
	rw_text_add(w->out, ")");
}

static void write_operator(const writer *w, const rw_expr *expr, int hold)
{
	const rw_expr *left = expr->first, *right = left->next;
	const char *gap = hold == HOLD_POWER ? "" : " ";
	if (!right) {
		rw_text_add(w->out, word_of(expr->op));
		rw_text_add(w->out, hold == HOLD_NOT ? " " : "");
		write_tree(w, left, hold);
		return;
	}
	/* left to right, so an equal on the right is enclosed; comparisons do not chain; a power goes the other way */
	write_tree(w, left, hold == HOLD_COMPARISON || hold == HOLD_POWER ? hold + 1 : hold);
	rw_text_add(w->out, gap);
	rw_text_add(w->out, word_of(expr->op));
	rw_text_add(w->out, gap);
	write_tree(w, right, hold == HOLD_POWER ? HOLD_SIGN : hold + 1);
}

/* least: what holds less strongly is enclosed */
static void write_tree(const writer *w, const rw_expr *expr, int least)
{
	int hold = hold_of(expr->op);
	rw_text_add(w->out, hold < least ? "(" : "");
	if (expr->op == RW__OP_NUMBER)
		write_number(w, expr);
	else if (expr->op == RW__OP_KEY)
		write_key(w, expr->text, least);
	else if (expr->op == RW__OP_NAME)
		rw_text_add(w->out, expr->text);
	else if (hold == HOLD_WHOLE)
		write_call(w, expr);
	else
		write_operator(w, expr, hold);
	rw_text_add(w->out, hold < least ? ")" : "");
}

void rw_expr_write(const rw_expr *expr, rw_text *out, void (*replace)(void *context, const char *key, rw_text *out), void *context)
{
	write_tree(&(writer){out, replace, context}, expr, HOLD_OR);
}

void rw__expr_part(const rw_expr *expr, char out[RW__PART_BYTES])
{
	rw_text text;
	rw_text_init(&text);
	rw_expr_write(expr, &text, NULL, NULL);
	size_t n = text.n;
	if (n < RW__PART_BYTES) {
		memcpy(out, text.bytes, n + 1);
	} else {
		n = RW__PART_BYTES - sizeof " ...";
		while (n > 0 && ((unsigned char)text.bytes[n] & 0xC0) == 0x80)
			n--;
		memcpy(out, text.bytes, n);
		memcpy(out + n, " ...", sizeof " ...");
	}
	rw_text_release(&text);
}
