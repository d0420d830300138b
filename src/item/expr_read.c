/* Text -> tree, by recursive descent. A function a level, loosest first:
 * expression (or) - conjunction (and) - negation (not) - comparison - sum - product - sign - power - primary. */
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "item/expr_internal.h"

const rw__function rw__functions[RW__FUNCTIONS] = {
	{"sqrt", 1, 1, RW__OVER_NOTHING},     {"ln", 1, 1, RW__OVER_NOTHING},       {"exp", 1, 1, RW__OVER_NOTHING},
	{"sin", 1, 1, RW__OVER_NOTHING},      {"cos", 1, 1, RW__OVER_NOTHING},      {"tan", 1, 1, RW__OVER_NOTHING},
	{"asin", 1, 1, RW__OVER_NOTHING},     {"acos", 1, 1, RW__OVER_NOTHING},     {"atan", 1, 1, RW__OVER_NOTHING},
	{"abs", 1, 1, RW__OVER_NOTHING},      {"min", 2, 0, RW__OVER_NOTHING},      {"max", 2, 0, RW__OVER_NOTHING},
	{"ceil_to", 2, 2, RW__OVER_NOTHING},  {"floor_to", 2, 2, RW__OVER_NOTHING}, {"digits", 2, 2, RW__OVER_NOTHING},
	{"e24", 1, 1, RW__OVER_NOTHING},      {"meter_scale", 1, 1, RW__OVER_NOTHING}, {"if", 3, 3, RW__OVER_NOTHING},       {"sum", 1, 1, RW__OVER_ELEMENTS},
	{"greatest", 1, 1, RW__OVER_ELEMENTS}, {"least", 1, 1, RW__OVER_ELEMENTS},  {"worst", 1, 1, RW__OVER_CASES},
	{"mildest", 1, 1, RW__OVER_CASES},    {"at_design", 1, 1, RW__OVER_CASES},
};

typedef struct reader {
	rw_arena   *arena;
	const char *text, *at;
	int         depth;
	rw_error   *err;
} reader;

/* An operator between two operands. What rw_expr_write writes is read too: a multiplication sign and a minus. */
typedef struct infix {
	const char *word;
	rw__op      op;
} infix;

#define MINUS "\u2212"
#define EXPECTED_OPERAND "a number, a key, a function or '('"
static const infix or_words[] = {{"or", RW__OP_OR}, {NULL, 0}};
static const infix and_words[] = {{"and", RW__OP_AND}, {NULL, 0}};
static const infix sum_words[] = {{"+", RW__OP_ADD}, {"-", RW__OP_SUB}, {MINUS, RW__OP_SUB}, {NULL, 0}};
static const infix product_words[] = {{"*", RW__OP_MUL}, {"\u00D7", RW__OP_MUL}, {"/", RW__OP_DIV}, {NULL, 0}};
static const infix comparison_words[] = {{"<=", RW__OP_LE}, {">=", RW__OP_GE}, {"==", RW__OP_EQ}, {"!=", RW__OP_NE},
                                         {"<", RW__OP_LT},  {">", RW__OP_GT},  {NULL, 0}};

typedef rw_status level(reader *r, rw_expr **out);
static level expression, conjunction, negation, comparison, sum, product, sign, power, primary, number, word, call, key;

static void skip_blanks(reader *r);
static rw_status misplaced(const reader *r, const char *expected);

rw_status rw_expr_read(rw_arena *arena, const char *text, const rw_expr **out, rw_error *err)
{
	reader r = {.arena = arena, .text = text, .at = text, .err = err};
	rw_expr *tree;
	RW_TRY(expression(&r, &tree));
	skip_blanks(&r);
	if (*r.at)
		return misplaced(&r, "an operator or the end");
	*out = tree;
	return RW_OK;
}

static bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; }
static bool is_digit(char c) { return c >= '0' && c <= '9'; }
static bool is_letter(char c) { return c >= 'a' && c <= 'z'; }
static bool is_inside(char c) { return (unsigned char)c >= 0x80 && (unsigned char)c < 0xC0; }   /* of a UTF-8 character */

/* Bytes of a name [a-z][a-z0-9_]*; 0: none starts here. */
static size_t name_bytes(const char *p)
{
	size_t n = is_letter(*p);
	while (n > 0 && (is_letter(p[n]) || is_digit(p[n]) || p[n] == '_'))
		n++;
	return n;
}

/* End of the name or single character that starts at p, for messages. */
static const char *token_end(const char *p)
{
	size_t n = name_bytes(p);
	if (n == 0 && *p)
		for (n = 1; is_inside(p[n]);)
			n++;
	return p + n;
}

static uint32_t characters(const char *from, const char *to)
{
	uint32_t n = 0;
	for (; from < to; from++)
		n += !is_inside(*from);
	return n;
}

/* Says where the fault just raised stands. */
static rw_status placed(const reader *r, const char *from, const char *to)
{
	uint32_t length = characters(from, to);
	rw_error_at(r->err, "", 1, 1 + characters(r->text, from), length > 0 ? length : 1);
	if (r->err && strlen(r->text) < sizeof r->err->source_line)
		snprintf(r->err->source_line, sizeof r->err->source_line, "%s", r->text);
	return RW_E_SYNTAX;
}

/* What stands at r->at does not belong there. */
static rw_status misplaced(const reader *r, const char *expected)
{
	const char *end = token_end(r->at);
	if (*r->at)
		RW_RAISE(r->err, RW_E_SYNTAX, "", "'%.*s' does not belong here", (int)(end - r->at), r->at);
	else
		RW_RAISE(r->err, RW_E_SYNTAX, "", "the formula breaks off");
	rw_error_expected(r->err, "%s", expected);
	if (*r->at == '=')
		rw_error_hint(r->err, "equality is written '=='");
	return placed(r, r->at, end);
}

static rw_status no_memory(const reader *r) { return RW_RAISE(r->err, RW_E_MEMORY, "", "memory ran out reading a formula"); }

static void skip_blanks(reader *r)
{
	while (is_blank(*r->at))
		r->at++;
}

static bool taken(reader *r, const char *wanted)
{
	skip_blanks(r);
	size_t n = strlen(wanted);
	if (strncmp(r->at, wanted, n) != 0)
		return false;
	if (is_letter(wanted[0]) && (name_bytes(r->at) != n || r->at[n] == '.'))
		return false;
	r->at += n;
	return true;
}

static const infix *operator_taken(reader *r, const infix *words)
{
	for (; words->word; words++)
		if (taken(r, words->word))
			return words;
	return NULL;
}

static bool minus_taken(reader *r) { return taken(r, "-") || taken(r, MINUS); }

/* Reads with one more level of nesting around it, which began at from. */
static rw_status deeper(reader *r, level *read, const char *from, rw_expr **out)
{
	if (r->depth >= RW__DEPTH_MAX) {
		RW_RAISE(r->err, RW_E_SYNTAX, "", "the formula is nested more than %d deep", RW__DEPTH_MAX);
		return placed(r, from, token_end(from));
	}
	r->depth++;
	RW_TRY(read(r, out));
	r->depth--;
	return RW_OK;
}

static int greater(int a, int b) { return a > b ? a : b; }

/* from: where to point when the tree grows too high */
static rw_status node(reader *r, rw__op op, rw_expr *first, const char *from, rw_expr **out)
{
	rw_expr made = {.op = op, .first = first};
	for (const rw_expr *operand = first; operand; operand = operand->next) {
		made.height = greater(made.height, operand->height + 1);
		made.loops = greater(made.loops, operand->loops);
	}
	made.loops += rw__op_is_function(op) && rw__function_of(op)->over != RW__OVER_NOTHING;
	if (made.height > RW__HEIGHT_MAX)
		RW_RAISE(r->err, RW_E_SYNTAX, "", "the formula has more than %d operators in a row", RW__HEIGHT_MAX);
	else if (made.loops > RW__LOOPS_MAX)
		RW_RAISE(r->err, RW_E_SYNTAX, "", "more than %d of sum, worst and the like inside one another", RW__LOOPS_MAX);
	if (made.height > RW__HEIGHT_MAX || made.loops > RW__LOOPS_MAX)
		return placed(r, from, token_end(from));
	*out = rw_arena_copy(r->arena, &made, sizeof made);
	return *out ? RW_OK : no_memory(r);
}

static rw_status leaf(reader *r, rw__op op, size_t text_bytes, rw_expr **out)
{
	const char *from = r->at;
	RW_TRY(node(r, op, NULL, from, out));
	(*out)->text = rw_arena_text(r->arena, from, text_bytes);
	r->at += text_bytes;
	return (*out)->text ? RW_OK : no_memory(r);
}

static rw_status pair(reader *r, rw__op op, rw_expr *left, rw_expr *right, const char *from, rw_expr **out)
{
	if (!left)
		RW_BUG(r->err, "an operator without its left side");
	left->next = right;
	return node(r, op, left, from, out);
}

/* operand { operator operand }, left to right */
static rw_status chain(reader *r, const infix *words, level *operand, rw_expr **out)
{
	RW_TRY(operand(r, out));
	for (;;) {
		skip_blanks(r);
		const char *from = r->at;
		const infix *found = operator_taken(r, words);
		if (!found)
			return RW_OK;
		rw_expr *right;
		RW_TRY(operand(r, &right));
		RW_TRY(pair(r, found->op, *out, right, from, out));
	}
}

static rw_status expression(reader *r, rw_expr **out) { return chain(r, or_words, conjunction, out); }
static rw_status conjunction(reader *r, rw_expr **out) { return chain(r, and_words, negation, out); }
static rw_status sum(reader *r, rw_expr **out) { return chain(r, sum_words, product, out); }
static rw_status product(reader *r, rw_expr **out) { return chain(r, product_words, sign, out); }

static rw_status negation(reader *r, rw_expr **out)
{
	skip_blanks(r);
	const char *from = r->at;
	if (!taken(r, "not"))
		return comparison(r, out);
	rw_expr *operand;
	RW_TRY(deeper(r, negation, from, &operand));
	return node(r, RW__OP_NOT, operand, from, out);
}

static int function_named(const char *name, size_t n)
{
	for (int i = 0; i < RW__FUNCTIONS; i++)
		if (strlen(rw__functions[i].name) == n && memcmp(rw__functions[i].name, name, n) == 0)
			return i;
	return -1;
}

static bool is_reserved(const char *name, size_t n)
{
	static const char *const reserved[] = {"and", "or", "not", "pi"};
	for (size_t i = 0; i < sizeof reserved / sizeof *reserved; i++)
		if (strlen(reserved[i]) == n && memcmp(reserved[i], name, n) == 0)
			return true;
	return false;
}

/* Length of the bare name of a choice at r->at; 0: something else stands there. */
static size_t bare_name(const reader *r)
{
	size_t n = name_bytes(r->at);
	const char *after = r->at + n;
	if (n == 0 || *after == '.' || is_reserved(r->at, n) || function_named(r->at, n) >= 0)
		return 0;
	while (is_blank(*after))
		after++;
	return *after == '(' ? 0 : n;
}

/* The right side of == or !=, which may be a bare name. */
static rw_status sum_or_name(reader *r, const rw_expr *left, rw_expr **out)
{
	skip_blanks(r);
	size_t n = bare_name(r);
	if (n == 0)
		return sum(r, out);
	if (left->op != RW__OP_KEY) {
		RW_RAISE(r->err, RW_E_SYNTAX, "", "the name '%.*s' is compared with something that is no key", (int)n, r->at);
		rw_error_expected(r->err, "the key of a choice on the left, as in valve.cathode == thoriated");
		return placed(r, r->at, r->at + n);
	}
	return leaf(r, RW__OP_NAME, n, out);
}

static rw_status comparison(reader *r, rw_expr **out)
{
	rw_expr *left, *right;
	RW_TRY(sum(r, &left));
	skip_blanks(r);
	const char *from = r->at;
	const infix *found = operator_taken(r, comparison_words);
	if (!found) {
		*out = left;
		return RW_OK;
	}
	if (found->op == RW__OP_EQ || found->op == RW__OP_NE)
		RW_TRY(sum_or_name(r, left, &right));
	else
		RW_TRY(sum(r, &right));
	skip_blanks(r);
	const char *second = r->at;
	if (operator_taken(r, comparison_words)) {
		RW_RAISE(r->err, RW_E_SYNTAX, "", "one comparison follows another");
		rw_error_hint(r->err, "join two comparisons with 'and'");
		return placed(r, second, r->at);
	}
	return pair(r, found->op, left, right, from, out);
}

static rw_status sign(reader *r, rw_expr **out)
{
	skip_blanks(r);
	const char *from = r->at;
	if (!minus_taken(r))
		return power(r, out);
	rw_expr *operand = NULL;
	RW_TRY(deeper(r, sign, from, &operand));
	return node(r, RW__OP_NEG, operand, from, out);
}

static rw_status power(reader *r, rw_expr **out)
{
	rw_expr *base = NULL, *exponent = NULL;
	RW_TRY(primary(r, &base));
	skip_blanks(r);
	const char *from = r->at;
	if (!taken(r, "^")) {
		*out = base;
		return RW_OK;
	}
	RW_TRY(deeper(r, sign, from, &exponent));   /* right to left, and its own sign: 10^-3 */
	return pair(r, RW__OP_POW, base, exponent, from, out);
}

static rw_status closed(reader *r, const char *opened)
{
	if (taken(r, ")"))
		return RW_OK;
	RW_TRY(*r->at ? misplaced(r, "an operator or ')'") : RW_OK);
	RW_RAISE(r->err, RW_E_SYNTAX, "", "a parenthesis is not closed");
	rw_error_expected(r->err, "')'");
	return placed(r, opened, opened + 1);
}

static rw_status primary(reader *r, rw_expr **out)
{
	skip_blanks(r);
	const char *from = r->at;
	if (is_digit(from[0]) || (from[0] == '.' && is_digit(from[1])))
		return number(r, out);
	if (is_letter(*from))
		return from[name_bytes(from)] == '.' ? key(r, out) : word(r, out);
	if (!taken(r, "("))
		return misplaced(r, EXPECTED_OPERAND);
	RW_TRY(deeper(r, expression, from, out));
	return closed(r, from);
}

static rw_status number(reader *r, rw_expr **out)
{
	const char *end;
	double x = rw_text_number(r->at, &end);
	if (end == r->at) {
		for (end++; is_digit(*end) || is_letter(*end) || (*end >= 'A' && *end <= 'Z') || *end == '.';)
			end++;
		RW_RAISE(r->err, RW_E_SYNTAX, "", "'%.*s' is no number that can be held", (int)(end - r->at), r->at);
		rw_error_expected(r->err, "a decimal number under 1.8e308");
		return placed(r, r->at, end);
	}
	RW_TRY(node(r, RW__OP_NUMBER, NULL, r->at, out));
	(*out)->number = x;
	r->at = end;
	return RW_OK;
}

static rw_status key(reader *r, rw_expr **out)
{
	const char *p = r->at + name_bytes(r->at);
	bool starred = false;
	while (*p == '.') {
		p++;
		bool star = *p == '*' && !starred && p[1] == '.';
		size_t n = star ? 1 : name_bytes(p);
		if (n == 0) {
			RW_RAISE(r->err, RW_E_SYNTAX, "", "'%.*s' is no whole key", (int)(token_end(p) - r->at), r->at);
			rw_error_expected(r->err, "a name after each dot, one of them '*' at most and not the last");
			return placed(r, p, token_end(p));
		}
		starred |= star;
		p += n;
	}
	return leaf(r, RW__OP_KEY, (size_t)(p - r->at), out);
}

static rw_status arguments(reader *r, rw_expr **first, int *n)
{
	rw_expr **last = first;
	*n = 0;
	do {
		RW_TRY(expression(r, last));
		last = &(*last)->next;
		++*n;
	} while (taken(r, ","));
	return RW_OK;
}

/* The key an aggregate runs over must be in its argument. */
static rw_status aim(reader *r, rw__over over, const char *name, size_t n, rw_expr *made)
{
	if (over == RW__OVER_NOTHING)
		return RW_OK;
	made->text = rw__expr_first_key(made->first, over == RW__OVER_ELEMENTS);
	if (made->text)
		return RW_OK;
	if (over == RW__OVER_ELEMENTS)
		RW_RAISE(r->err, RW_E_SYNTAX, "", "'%.*s' has no key with '*' to run over", (int)n, name);
	else
		RW_RAISE(r->err, RW_E_SYNTAX, "", "'%.*s' has no key that could differ by case", (int)n, name);
	return placed(r, name, name + n);
}

static rw_status call(reader *r, rw_expr **out)
{
	const char *name = r->at;
	size_t n = name_bytes(name);
	int function = function_named(name, n);
	const rw__function *f = &rw__functions[function];
	r->at += n;
	skip_blanks(r);
	const char *opened = r->at;
	if (!taken(r, "(")) {
		RW_RAISE(r->err, RW_E_SYNTAX, "", "the function '%s' has no arguments", f->name);
		rw_error_expected(r->err, "'(' after '%s'", f->name);
		return placed(r, name, name + n);
	}
	rw_expr *first = NULL;
	int given = 0;
	if (!taken(r, ")")) {
		RW_TRY(arguments(r, &first, &given));
		RW_TRY(closed(r, opened));
	}
	if (given < f->least || (f->most > 0 && given > f->most)) {
		RW_RAISE(r->err, RW_E_SYNTAX, "", "'%s' with %d argument%s", f->name, given, given == 1 ? "" : "s");
		rw_error_expected(r->err, "%d%s", f->least, f->most > 0 ? "" : " or more");
		return placed(r, name, name + n);
	}
	RW_TRY(node(r, (rw__op)(RW__OP_SQRT + function), first, name, out));
	return aim(r, f->over, name, n, *out);
}

static rw_status unknown_word(reader *r, size_t n)
{
	const char *end = r->at + n, *next = end;
	while (is_blank(*next))
		next++;
	if (*next != '(') {
		RW_RAISE(r->err, RW_E_SYNTAX, "", "'%.*s' is neither a key nor a function", (int)n, r->at);
		rw_error_expected(r->err, "a key with its room, as in tank.inductance; a bare name only right of == or !=");
		return placed(r, r->at, end);
	}
	RW_RAISE(r->err, RW_E_SYNTAX, "", "there is no function '%.*s'", (int)n, r->at);
	const char *names[RW__FUNCTIONS];
	for (int i = 0; i < RW__FUNCTIONS; i++)
		names[i] = rw__functions[i].name;
	char wanted[32] = "";
	memcpy(wanted, r->at, n < sizeof wanted ? n : sizeof wanted - 1);
	const char *nearest = rw_text_nearest(wanted, names, RW__FUNCTIONS);
	if (nearest)
		rw_error_hint(r->err, "'%s'?", nearest);
	return placed(r, r->at, end);
}

/* A name without a dot: pi, or a function with its arguments. */
static rw_status word(reader *r, rw_expr **out)
{
	size_t n = name_bytes(r->at);
	if (function_named(r->at, n) >= 0)
		return deeper(r, call, r->at, out);
	if (!is_reserved(r->at, n))
		return unknown_word(r, n);
	if (strncmp(r->at, "pi", n) != 0)
		return misplaced(r, EXPECTED_OPERAND);
	RW_TRY(leaf(r, RW__OP_NUMBER, n, out));
	(*out)->number = 3.14159265358979323846;
	return RW_OK;
}
