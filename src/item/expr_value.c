/* Tree -> number. Every part is checked to be finite, so that a fault is named where it arises. */
#include <math.h>
#include <string.h>

#include "base/numeric.h"
#include "item/expr_internal.h"

/* What an evaluation carries down the tree. */
typedef struct place {
	const rw_expr_host *host;
	rw_expr_scope       scope;
} place;

static rw_status evaluate(const rw_expr *expr, place at, double *out, rw_error *err);

rw_status rw_expr_value(const rw_expr *expr, const rw_expr_host *host, rw_expr_scope scope, double *value, rw_error *err)
{
	double x = 0.0;
	RW_TRY(evaluate(expr, (place){host, scope}, &x, err));
	*value = x;
	return RW_OK;
}

/* What an operand must be for a finite result; NULL: no one operand is at fault. *which: the operand. */
static const char *need_of(rw__op op, int *which)
{
	*which = 0;
	switch (op) {
	case RW__OP_SQRT:     return "0 or more under the root";
	case RW__OP_LN:       return "more than 0 in the logarithm";
	case RW__OP_ASIN:
	case RW__OP_ACOS:     return "an argument from -1 to 1";
	case RW__OP_POW:      return "a base over 0, or 0 or more with an exponent over 0";
	case RW__OP_E24:
	case RW__OP_METER_SCALE: return "a value over 0";
	case RW__OP_DIV:      *which = 1; return "a divisor away from 0";
	case RW__OP_CEIL_TO:
	case RW__OP_FLOOR_TO: *which = 1; return "a step over 0";
	case RW__OP_DIGITS:   *which = 1; return "a whole number of digits from 1 to 17";
	default:              return NULL;
	}
}

/* operand: as evaluated; only of those that need_of knows */
static rw_status not_finite(const rw_expr *expr, const double operand[2], rw_error *err)
{
	char part[RW__PART_BYTES];
	rw__expr_part(expr, part);
	RW_RAISE(err, RW_E_NOSOLVE, rw__expr_first_key(expr, false), "'%s' has no finite value", part);
	int which;
	const char *need = need_of(expr->op, &which);
	bool too_great = expr->op == RW__OP_POW && operand && operand[0] > 0.0;
	if (need && operand && !too_great)
		rw_error_expected(err, "%s, not %.6g", need, operand[which]);
	return RW_E_NOSOLVE;
}

static double calculated(rw__op op, double a, double b)
{
	switch (op) {
	case RW__OP_NOT:      return a == 0.0;
	case RW__OP_LT:       return a < b;
	case RW__OP_LE:       return a <= b;
	case RW__OP_GT:       return a > b;
	case RW__OP_GE:       return a >= b;
	case RW__OP_EQ:       return a == b;
	case RW__OP_NE:       return a != b;
	case RW__OP_ADD:      return a + b;
	case RW__OP_SUB:      return a - b;
	case RW__OP_MUL:      return a * b;
	case RW__OP_DIV:      return a / b;
	case RW__OP_NEG:      return -a;
	case RW__OP_POW:      return pow(a, b);
	case RW__OP_SQRT:     return sqrt(a);
	case RW__OP_LN:       return log(a);
	case RW__OP_EXP:      return exp(a);
	case RW__OP_SIN:      return sin(a);
	case RW__OP_COS:      return cos(a);
	case RW__OP_TAN:      return tan(a);
	case RW__OP_ASIN:     return asin(a);
	case RW__OP_ACOS:     return acos(a);
	case RW__OP_ATAN:     return atan(a);
	case RW__OP_ABS:      return fabs(a);
	case RW__OP_CEIL_TO:  return rw_ceil_to(a, b);
	case RW__OP_FLOOR_TO: return -rw_ceil_to(-a, b);
	case RW__OP_DIGITS:   return b >= 1.0 && b <= 17.0 && b == floor(b) ? rw_round_digits(a, (int)b) : (double)NAN;
	case RW__OP_E24:      return rw_round_e24(a);
	case RW__OP_METER_SCALE: return rw_meter_scale(a);
	default:              return (double)NAN;
	}
}

/* Operators and functions of one or two operands, all of them evaluated. */
static rw_status calculate(const rw_expr *expr, place at, double *out, rw_error *err)
{
	double operand[2] = {0.0, 0.0};
	RW_TRY(evaluate(expr->first, at, &operand[0], err));
	if (expr->first->next)
		RW_TRY(evaluate(expr->first->next, at, &operand[1], err));
	*out = calculated(expr->op, operand[0], operand[1]);
	return isfinite(*out) ? RW_OK : not_finite(expr, operand, err);
}

static rw_status key_value(const rw_expr *expr, place at, double *out, rw_error *err)
{
	RW_TRY(at.host->value(at.host->context, expr->text, at.scope, out, NULL, err));
	return isfinite(*out) ? RW_OK : not_finite(expr, NULL, err);
}

/* key == name */
static rw_status compare_choice(const rw_expr *expr, place at, double *out, rw_error *err)
{
	const char *key = expr->first->text, *name = expr->first->next->text, *choice = "";
	double index;
	RW_TRY(at.host->value(at.host->context, key, at.scope, &index, &choice, err));
	if (!choice || !*choice) {
		RW_RAISE(err, RW_E_VALUE, key, "'%s' is no choice and cannot be compared with '%s'", key, name);
		return RW_E_VALUE;
	}
	bool same = strcmp(choice, name) == 0;
	*out = same == (expr->op == RW__OP_EQ);
	return RW_OK;
}

/* and, or: the right side only where it decides */
static rw_status join(const rw_expr *expr, place at, double *out, rw_error *err)
{
	double x;
	RW_TRY(evaluate(expr->first, at, &x, err));
	bool decided = expr->op == RW__OP_OR ? x != 0.0 : x == 0.0;
	if (!decided)
		RW_TRY(evaluate(expr->first->next, at, &x, err));
	*out = x != 0.0;
	return RW_OK;
}

static rw_status branch(const rw_expr *expr, place at, double *out, rw_error *err)
{
	double condition;
	const rw_expr *then = expr->first->next;
	RW_TRY(evaluate(expr->first, at, &condition, err));
	return evaluate(condition != 0.0 ? then : then->next, at, out, err);
}

static bool takes_least(rw__op op) { return op == RW__OP_MIN || op == RW__OP_LEAST || op == RW__OP_MILDEST; }

/* Running result of the n-th value, n from 0. */
static double gathered(rw__op op, int n, double so_far, double x)
{
	if (op == RW__OP_SUM)
		return so_far + x;
	if (n == 0)
		return x;
	return takes_least(op) ? fmin(so_far, x) : fmax(so_far, x);
}

static rw_status extreme(const rw_expr *expr, place at, double *out, rw_error *err)
{
	int n = 0;
	*out = 0.0;
	for (const rw_expr *argument = expr->first; argument; argument = argument->next) {
		double x;
		RW_TRY(evaluate(argument, at, &x, err));
		*out = gathered(expr->op, n++, *out, x);
	}
	return RW_OK;
}

static rw_status over_elements(const rw_expr *expr, place at, double *out, rw_error *err)
{
	int n = 0;
	RW_TRY(at.host->elements(at.host->context, expr->text, at.scope, &n, err));
	if (n <= 0 && expr->op != RW__OP_SUM)
		return RW_RAISE(err, RW_E_MISSING, expr->text, "'%s' has no element to take the %s of", expr->text,
		                rw__function_of(expr->op)->name);
	*out = 0.0;
	for (int i = 0; i < n; i++) {
		double x;
		at.scope.element = i;
		RW_TRY(evaluate(expr->first, at, &x, err));
		*out = gathered(expr->op, i, *out, x);
	}
	return isfinite(*out) ? RW_OK : not_finite(expr, NULL, err);
}

/* Cases without a solution are passed over, unless there is no other. */
static rw_status over_cases(const rw_expr *expr, place at, double *out, rw_error *err)
{
	int n = 0, design = -1, solved = 0;
	RW_TRY(at.host->cases(at.host->context, expr->text, at.scope, &n, &design, err));
	rw_error fault = {0};
	*out = 0.0;
	for (int i = 0; i < n; i++) {
		double x;
		at.scope.scase = i;
		rw_status status = evaluate(expr->first, at, &x, &fault);
		if (status == RW_OK) {
			*out = gathered(expr->op, solved++, *out, x);
		} else if (status != RW_E_MISSING) {
			if (err)
				*err = fault;
			return status;
		}
	}
	if (solved > 0)
		return RW_OK;
	char part[RW__PART_BYTES];
	rw__expr_part(expr->first, part);
	RW_RAISE(err, RW_E_MISSING, expr->text, "'%s' has a value in no case", part);
	if (n > 0)
		rw_error_hint(err, "%s", fault.what);
	return RW_E_MISSING;
}

static rw_status at_design(const rw_expr *expr, place at, double *out, rw_error *err)
{
	int n = 0, design = -1;
	RW_TRY(at.host->cases(at.host->context, expr->text, at.scope, &n, &design, err));
	if (design < 0 || design >= n)
		return RW_RAISE(err, RW_E_MISSING, expr->text, "'%s' has no case the set is sized on", expr->text);
	at.scope.scase = design;
	return evaluate(expr->first, at, out, err);
}

static rw_status evaluate(const rw_expr *expr, place at, double *out, rw_error *err)
{
	switch (expr->op) {
	case RW__OP_NUMBER:    *out = expr->number; return RW_OK;
	case RW__OP_KEY:       return key_value(expr, at, out, err);
	case RW__OP_NAME:      RW_BUG(err, "the name of a choice was evaluated");
	case RW__OP_OR:
	case RW__OP_AND:       return join(expr, at, out, err);
	case RW__OP_IF:        return branch(expr, at, out, err);
	case RW__OP_MIN:
	case RW__OP_MAX:       return extreme(expr, at, out, err);
	case RW__OP_SUM:
	case RW__OP_GREATEST:
	case RW__OP_LEAST:     return over_elements(expr, at, out, err);
	case RW__OP_WORST:
	case RW__OP_MILDEST:   return over_cases(expr, at, out, err);
	case RW__OP_AT_DESIGN: return at_design(expr, at, out, err);
	default:
		if (expr->first->next && expr->first->next->op == RW__OP_NAME)
			return compare_choice(expr, at, out, err);
		return calculate(expr, at, out, err);
	}
}
