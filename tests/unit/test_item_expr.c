#include <stdlib.h>
#include <string.h>

#include "base/base.h"
#include "base/text.h"
#include "item/expr.h"
#include "tests/check.h"

/* A host with invented figures: three branches, four cases of which the second is not solved, sized on the third. */
enum { N_ELEMENTS = 3, N_CASES = 4, DESIGN = 2 };
#define UNSOLVED ((double)NAN)

typedef struct figure {
	const char    *key;
	const rw_kind *kind;
	double         value;               /* of the set */
	const char    *choice;
	double         element[N_ELEMENTS]; /* added by element */
	double         scase[N_CASES];      /* added by case */
} figure;

static const figure figures[] = {
	{"tank.inductance", &rw_kind_inductance, 8.82e-6, NULL, {0}, {0}},
	{"tank.capacitance", &rw_kind_capacitance, 7.7e-9, NULL, {0}, {0}},
	{"supply.voltage_dc", &rw_kind_voltage_dc, 8769.0, NULL, {0}, {0}},
	{"supply.ripple", &rw_kind_fraction, 0.0435, NULL, {0}, {0}},
	{"valve.current_dc", &rw_kind_current_dc, 3.85, NULL, {0}, {0}},
	{"valve.perveance", &rw_kind_perveance, 1.6e-3, NULL, {0}, {0}},
	{"valve.bias", &rw_kind_voltage_dc, -672.0, NULL, {0}, {0}},
	{"valve.cathode", NULL, 1.0, "thoriated", {0}, {0}},
	{"valve.broken", &rw_kind_number, UNSOLVED, NULL, {0}, {0}},
	{"load.power", &rw_kind_power, 2.0e4, NULL, {0}, {5200.0, UNSOLVED, 10030.0, -12800.0}},
	{"load.never", &rw_kind_power, 1.0, NULL, {0}, {UNSOLVED, UNSOLVED, UNSOLVED, UNSOLVED}},
	{"water.branches.*.flow", &rw_kind_flow, 1.0e-4, NULL, {0.25e-4, 1.385e-4, -0.29e-4}, {0}},
	{"water.branches.*.heat", &rw_kind_power, 1000.0, NULL, {310.0, 27.0, 512.5}, {70.0, UNSOLVED, 10.5, 3.0}},
	{"water.spares.*.flow", &rw_kind_flow, 0.0, NULL, {0}, {0}},
};

typedef struct fake {
	int asked;      /* values */
	int n_cases;
} fake;

static const figure *figure_of(const char *key)
{
	for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
		if (strcmp(figures[i].key, key) == 0)
			return &figures[i];
	return NULL;
}

static bool by_case(const figure *f) { return f->scase[0] != 0.0; }

static rw_status fake_value(void *context, const char *key, rw_expr_scope scope, double *value, const char **choice, rw_error *err)
{
	((fake *)context)->asked++;
	const figure *f = figure_of(key);
	if (!f || (strchr(key, '*') && (scope.element < 0 || scope.element >= N_ELEMENTS)))
		return RW_RAISE(err, RW_E_KEY, key, "'%s' does not exist", key);
	double x = f->value;
	if (strchr(key, '*'))
		x += f->element[scope.element];
	if (by_case(f) && (scope.scase < 0 || isnan(f->scase[scope.scase])))
		return RW_RAISE(err, RW_E_MISSING, key, "'%s' has no value", key);
	*value = by_case(f) ? x + f->scase[scope.scase] : x;
	if (choice)
		*choice = f->choice ? f->choice : "";
	return RW_OK;
}

static rw_status fake_elements(void *context, const char *key, rw_expr_scope scope, int *n, rw_error *err)
{
	(void)context, (void)scope;
	if (!figure_of(key))
		return RW_RAISE(err, RW_E_KEY, key, "'%s' does not exist", key);
	*n = strstr(key, "spares") ? 0 : N_ELEMENTS;
	return RW_OK;
}

static rw_status fake_cases(void *context, const char *key, rw_expr_scope scope, int *n, int *design, rw_error *err)
{
	(void)key, (void)scope, (void)err;
	*n = ((fake *)context)->n_cases;
	*design = *n > 0 ? DESIGN : -1;
	return RW_OK;
}

static rw_status fake_kind(void *context, const char *key, const rw_kind **kind, rw_error *err)
{
	(void)context;
	const figure *f = figure_of(key);
	if (!f)
		return RW_RAISE(err, RW_E_KEY, key, "'%s' does not exist", key);
	*kind = f->kind;
	return RW_OK;
}

static rw_expr_host host_on(fake *f) { return (rw_expr_host){f, fake_value, fake_elements, fake_cases, fake_kind}; }

static const rw_expr_scope whole_set = {-1, -1};
#define ARITHMETIC "arithmetic on the fake host's figures"

static double value_at(const char *text, rw_expr_scope scope)
{
	rw_arena arena;
	rw_arena_init(&arena);
	rw_error err = {0};
	const rw_expr *expr;
	fake f = {.n_cases = N_CASES};
	rw_expr_host host = host_on(&f);
	double x = (double)NAN;
	CHECK_OK(rw_expr_read(&arena, text, &expr, &err), &err);
	rw_status status = rw_expr_value(expr, &host, scope, &x, &err);
	if (status != RW_OK)
		print_error("in: %s\n", text);
	CHECK_OK(status, &err);
	rw_arena_release(&arena);
	return x;
}

static double value_of(const char *text) { return value_at(text, whole_set); }

typedef struct worth {
	const char *text;
	double      want;
} worth;

static void check_all(const worth *list, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		double got = value_of(list[i].text);
		/* the same operations in the same order on both sides, but for the library functions */
		if (!(fabs(got - list[i].want) <= 4e-16 * fabs(list[i].want)))
			print_error("in: %s\n", list[i].text);
		CHECK_NEAR(got, list[i].want, 4e-16, ARITHMETIC);
	}
}
#define CHECK_ALL(list) check_all((list), sizeof(list) / sizeof *(list))

static void numbers(void **state)
{
	(void)state;
	static const worth list[] = {
		{"2.385", 2.385}, {" 3 ", 3.0}, {"1e-3", 1e-3}, {"4.7E+2", 470.0}, {".5", 0.5}, {"6.", 6.0}, {"pi", 3.14159265358979323846},
		{"\t2\n+ 3\r", 5.0},
	};
	CHECK_ALL(list);
}

static void binds_as_in_books(void **state)
{
	(void)state;
	static const worth list[] = {
		{"2.5 + 3.1 * 4.7", 2.5 + 3.1 * 4.7}, {"(2.5 + 3.1) * 4.7", (2.5 + 3.1) * 4.7},
		{"11.3 - 4.7 - 2.9", 11.3 - 4.7 - 2.9}, {"11.3 - (4.7 - 2.9)", 11.3 - (4.7 - 2.9)},
		{"11.3 / 4.7 / 2.9", 11.3 / 4.7 / 2.9}, {"11.3 / 4.7 * 2.9", 11.3 / 4.7 * 2.9},
		{"2^3^2", 512.0}, {"(2^3)^2", 64.0}, {"-3^2", -9.0}, {"(-3)^2", 9.0}, {"2^-3", 0.125}, {"2^-3^2", 1.0 / 512.0},
		{"2 * -3", -6.0}, {"7 - -3", 10.0}, {"--3", 3.0}, {"-2.5 * 3.1", -2.5 * 3.1}, {"16^(3/2)", 64.0}, {"16^3/2", 2048.0},
		{"6 \u00D7 7 \u2212 \u22122", 44.0}, {"1 + 2 < 4", 1.0},
	};
	CHECK_ALL(list);
}

static void compares_and_joins(void **state)
{
	(void)state;
	static const worth list[] = {
		{"2 < 3", 1}, {"3 < 3", 0}, {"3 <= 3", 1}, {"4 <= 3", 0}, {"4 > 3", 1}, {"3 > 3", 0}, {"3 >= 3", 1}, {"2 >= 3", 0},
		{"3 == 3", 1}, {"3 == 4", 0}, {"3 != 4", 1}, {"3 != 3", 0},
		{"5 and 7", 1}, {"5 and 0", 0}, {"0 or 7", 1}, {"0 or 0", 0}, {"not 7", 0}, {"not 0", 1}, {"not not 7", 1},
		{"not 2 == 3", 1}, {"1 or 0 and 0", 1}, {"(1 or 0) and 0", 0}, {"not 0 and 0", 0}, {"2 < 3 and 3 < 4", 1}, {"-(3 > 2)", -1},
		{"valve.cathode == thoriated", 1}, {"valve.cathode == oxide", 0}, {"valve.cathode != oxide", 1}, {"valve.cathode != thoriated", 0},
		{"valve.cathode == thoriated and supply.voltage_dc > 8000", 1}, {"(valve.cathode) == thoriated", 1}, {"valve.cathode == 1", 1},
		{"valve.cathode == android", 0},   /* begins with an operator's word */
	};
	CHECK_ALL(list);
}

static void functions(void **state)
{
	(void)state;
	const worth list[] = {
		{"sqrt(2.385)", sqrt(2.385)}, {"ln(2.385)", log(2.385)}, {"exp(2.385)", exp(2.385)}, {"sin(2.385)", sin(2.385)},
		{"cos(2.385)", cos(2.385)}, {"tan(2.385)", tan(2.385)}, {"asin(0.385)", asin(0.385)}, {"acos(0.385)", acos(0.385)},
		{"atan(2.385)", atan(2.385)}, {"abs(-2.385)", 2.385}, {"abs (2.385)", 2.385},
		{"min(3.7, 2.9, 4.1)", 2.9}, {"max(3.7, 2.9, 4.1)", 4.1}, {"max(-3.7, -2.9)", -2.9}, {"min(3.7, 2.9)", 2.9},
		{"ceil_to(8.13, 2.5)", 10.0}, {"ceil_to(7.5, 2.5)", 7.5}, {"floor_to(8.13, 2.5)", 7.5}, {"floor_to(7.5, 2.5)", 7.5},
		{"floor_to(-8.13, 2.5)", -10.0}, {"digits(0.0087654, 3)", 0.00877}, {"digits(123456, 1)", 1e5}, {"e24(907)", 910.0}, {"meter_scale(5.0001)", 6.0}, {"meter_scale(8.1)", 10.0},
		{"e24(3.4e-9)", 3.3e-9}, {"if(2 < 3, 4.7, 5.6)", 4.7}, {"if(2 > 3, 4.7, 5.6)", 5.6},
		{"1 / (2 * pi * sqrt(tank.inductance * tank.capacitance))", 1.0 / (2.0 * 3.14159265358979323846 * sqrt(8.82e-6 * 7.7e-9))},
	};
	CHECK_ALL(list);
}

static void evaluates_only_what_decides(void **state)
{
	(void)state;
	static const worth list[] = {
		{"if(1, 4.7, valve.broken)", 4.7}, {"if(0, 1 / 0, 4.7)", 4.7}, {"0 and no.such", 0}, {"5 or no.such", 1},
		{"if(valve.cathode == oxide, no.such, 5.6)", 5.6},
	};
	CHECK_ALL(list);
}

static void over_elements(void **state)
{
	(void)state;
	const double flow[] = {1.0e-4 + 0.25e-4, 1.0e-4 + 1.385e-4, 1.0e-4 - 0.29e-4};
	const worth list[] = {
		{"sum(water.branches.*.flow)", flow[0] + flow[1] + flow[2]}, {"greatest(water.branches.*.flow)", flow[1]},
		{"least(water.branches.*.flow)", flow[2]}, {"sum(water.branches.*.flow^2)", flow[0] * flow[0] + flow[1] * flow[1] + flow[2] * flow[2]},
		{"sum(2 * supply.ripple + water.branches.*.flow)", 0.0 + (2 * 0.0435 + flow[0]) + (2 * 0.0435 + flow[1]) + (2 * 0.0435 + flow[2])},
		{"sum(water.spares.*.flow)", 0.0},
		/* the star of an inner aggregate is not the outer's: the outer runs over the branches, the inner is 0 each time */
		{"sum(sum(water.spares.*.flow) + water.branches.*.flow)", flow[0] + flow[1] + flow[2]},
		{"greatest(water.branches.*.flow / sum(water.branches.*.flow))", flow[1] / (flow[0] + flow[1] + flow[2])},
	};
	CHECK_ALL(list);
	CHECK_NEAR(value_at("2 * water.branches.*.flow", (rw_expr_scope){1, -1}), 2.0 * flow[1], 0.0, ARITHMETIC);
}

static void over_cases(void **state)
{
	(void)state;
	static const worth list[] = {
		{"worst(load.power)", 30030.0}, {"mildest(load.power)", 7200.0}, {"at_design(load.power)", 30030.0},
		{"worst(-load.power)", -7200.0}, {"worst(load.power / at_design(load.power))", 1.0},
		{"worst(load.power - mildest(load.power))", 22830.0},
		{"worst(supply.voltage_dc)", 8769.0},
		{"worst(sum(water.branches.*.heat))", 3849.5 + 3 * 70.0}, {"sum(worst(water.branches.*.heat))", 3849.5 + 3 * 70.0},
		{"mildest(greatest(water.branches.*.heat))", 1515.5}, {"at_design(least(water.branches.*.heat))", 1037.5},
	};
	CHECK_ALL(list);
	CHECK_NEAR(value_at("load.power", (rw_expr_scope){-1, 3}), 7200.0, 0.0, ARITHMETIC);
	CHECK_NEAR(value_at("worst(water.branches.*.heat)", (rw_expr_scope){2, -1}), 1582.5, 0.0, ARITHMETIC);
	/* the scope comes back: case 0 outside, the design's inside */
	CHECK_NEAR(value_at("load.power + at_design(load.power)", (rw_expr_scope){-1, 0}), 25200.0 + 30030.0, 0.0, ARITHMETIC);
	CHECK_NEAR(value_at("at_design(load.power) + load.power", (rw_expr_scope){-1, 0}), 25200.0 + 30030.0, 0.0, ARITHMETIC);
}

typedef struct refusal {
	const char *text;
	uint32_t    column, length;
	const char *what;
} refusal;

static void refused_texts(void **state)
{
	(void)state;
	static const refusal list[] = {
		{"", 1, 1, "the formula breaks off"}, {"2 +", 4, 1, "the formula breaks off"}, {"2 3", 3, 1, "'3' does not belong here"},
		{"3x", 2, 1, "'x' does not belong here"}, {"2 + * 3", 5, 1, "'*' does not belong here"}, {"a.b = 3", 5, 1, "'=' does not belong here"},
		{"pi \u00D7 \u00E9", 6, 1, "'\u00E9' does not belong here"}, {"(2 + 3", 1, 1, "a parenthesis is not closed"},
		{"(2 + 3 4)", 8, 1, "'4' does not belong here"}, {"2)", 2, 1, "')' does not belong here"}, {"()", 2, 1, "')' does not belong here"},
		{"1 < 2 < 3", 7, 1, "one comparison follows another"}, {"1 < 2 == 0", 7, 2, "one comparison follows another"},
		{"and", 1, 3, "'and' does not belong here"}, {"2 * not 3", 5, 3, "'not' does not belong here"},
		{"inductance", 1, 10, "'inductance' is neither a key nor a function"}, {"thoriated == valve.cathode", 1, 9, "'thoriated' is neither a key nor a function"},
		{"3 + squrt(4)", 5, 5, "there is no function 'squrt'"}, {"a.b == oxide(2)", 8, 5, "there is no function 'oxide'"},
		{"sqrt", 1, 4, "the function 'sqrt' has no arguments"}, {"a.b == sqrt", 8, 4, "the function 'sqrt' has no arguments"},
		{"sqrt()", 1, 4, "'sqrt' with 0 arguments"}, {"sqrt(1, 2)", 1, 4, "'sqrt' with 2 arguments"}, {"1 + min(1)", 5, 3, "'min' with 1 argument"},
		{"if(1, 2)", 1, 2, "'if' with 2 arguments"}, {"max(1, )", 8, 1, "')' does not belong here"}, {"ln(2", 3, 1, "a parenthesis is not closed"},
		{"2 == oxide", 6, 5, "the name 'oxide' is compared with something that is no key"}, {"a.b < oxide", 7, 5, "'oxide' is neither a key nor a function"},
		{"a.", 3, 1, "'a.' is no whole key"}, {"a.b.", 5, 1, "'a.b.' is no whole key"}, {"a.*", 3, 1, "'a.*' is no whole key"},
		{"a.*.b.*.c", 7, 1, "'a.*.b.*' is no whole key"}, {"a.B", 3, 1, "'a.B' is no whole key"}, {"a. b", 3, 1, "'a. ' is no whole key"},
		{"Tank.x", 1, 1, "'T' does not belong here"}, {"1e999", 1, 5, "'1e999' is no number that can be held"}, {"0x1F", 1, 4, "'0x1F' is no number that can be held"},
		{"sum(a.b)", 1, 3, "'sum' has no key with '*' to run over"}, {"sum(sum(a.*.b))", 1, 3, "'sum' has no key with '*' to run over"},
		{"2 * worst(3)", 5, 5, "'worst' has no key that could differ by case"}, {"at_design(2)", 1, 9, "'at_design' has no key that could differ by case"},
		{"worst(worst(worst(worst(worst(a.b)))))", 1, 5, "more than 4 of sum, worst and the like inside one another"},
	};
	rw_arena arena;
	rw_arena_init(&arena);
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		rw_error err = {0};
		const rw_expr *untouched = (const rw_expr *)&arena, *expr = untouched;
		rw_status status = rw_expr_read(&arena, list[i].text, &expr, &err);
		if (status != RW_E_SYNTAX || err.column != list[i].column || err.length != list[i].length || strcmp(err.what, list[i].what) != 0)
			print_error("in '%s': status %d, column %u, length %u: %s\n", list[i].text, status, err.column, err.length, err.what);
		assert_int_equal(status, RW_E_SYNTAX);
		assert_ptr_equal(expr, untouched);
		assert_string_equal(err.what, list[i].what);
		assert_int_equal(err.line, 1);
		assert_int_equal(err.column, list[i].column);
		assert_int_equal(err.length, list[i].length);
		assert_string_equal(err.source_line, list[i].text);
		assert_int_equal(rw_expr_read(&arena, list[i].text, &expr, NULL), RW_E_SYNTAX);
	}
	rw_error err;
	const rw_expr *expr;
	assert_int_equal(rw_expr_read(&arena, "squrt(4)", &expr, &err), RW_E_SYNTAX);
	assert_string_equal(err.hint, "'sqrt'?");
	assert_int_equal(rw_expr_read(&arena, "a.b = 3", &expr, &err), RW_E_SYNTAX);
	assert_string_equal(err.hint, "equality is written '=='");
	rw_arena_release(&arena);
}

/* before repeated n times, then middle, then after repeated n times */
static rw_status read_repeated(const char *before, int n, const char *middle, const char *after, rw_error *err)
{
	rw_arena arena;
	rw_arena_init(&arena);
	rw_text text;
	rw_text_init(&text);
	for (int i = 0; i < n; i++)
		rw_text_add(&text, before);
	rw_text_add(&text, middle);
	for (int i = 0; i < n; i++)
		rw_text_add(&text, after);
	const rw_expr *expr;
	rw_status status = rw_expr_read(&arena, text.bytes, &expr, err);
	rw_text_release(&text);
	rw_arena_release(&arena);
	return status;
}

static void bounds_its_depth(void **state)
{
	(void)state;
	static const char *const around[][2] = {{"(", ")"}, {"-", ""}, {"not ", ""}, {"2^", ""}, {"sqrt(", ")"}, {"", "^2"}};
	for (size_t i = 0; i < sizeof around / sizeof *around; i++) {
		rw_error err = {0};
		CHECK_OK(read_repeated(around[i][0], 64, "1", around[i][1], &err), &err);
		assert_int_equal(read_repeated(around[i][0], 65, "1", around[i][1], &err), RW_E_SYNTAX);
		assert_string_equal(err.what, "the formula is nested more than 64 deep");
	}
	rw_error err = {0};
	CHECK_OK(read_repeated("", 1000, "1", "+1", &err), &err);
	assert_int_equal(read_repeated("", 1001, "1", "+1", &err), RW_E_SYNTAX);
	assert_string_equal(err.what, "the formula has more than 1000 operators in a row");
	assert_int_equal(err.column, 2 + 2 * 1000);
	CHECK_OK(read_repeated("max(1,", 1, "1,1,1,1,1,1,1,1", ")", &err), &err);
}

static void *no_block(void *context, size_t bytes)
{
	(void)context, (void)bytes;
	return NULL;
}

static void memory_runs_out(void **state)
{
	(void)state;
	rw_arena arena;
	rw_arena_init_from(&arena, (rw_block_source){no_block, NULL, NULL});
	rw_error err = {0};
	const rw_expr *expr;
	assert_int_equal(rw_expr_read(&arena, "2 * a.b", &expr, &err), RW_E_MEMORY);
	rw_arena_release(&arena);
}

typedef struct failure {
	const char *text;
	rw_status   status;
	const char *key, *what, *expected;
} failure;

static void refused_values(void **state)
{
	(void)state;
	static const failure list[] = {
		{"3 + sqrt(valve.bias - 3)", RW_E_NOSOLVE, "valve.bias", "'sqrt(valve.bias \u2212 3)' has no finite value", "0 or more under the root, not -675"},
		{"2 / (3 - 3)", RW_E_NOSOLVE, "", "'2 / (3 \u2212 3)' has no finite value", "a divisor away from 0, not 0"},
		{"0 / 0", RW_E_NOSOLVE, "", "'0 / 0' has no finite value", "a divisor away from 0, not 0"},
		{"ln(0)", RW_E_NOSOLVE, "", "'ln(0)' has no finite value", "more than 0 in the logarithm, not 0"},
		{"asin(1.5)", RW_E_NOSOLVE, "", "'asin(1.5)' has no finite value", "an argument from -1 to 1, not 1.5"},
		{"acos(-1.5)", RW_E_NOSOLVE, "", "'acos(\u22121.5)' has no finite value", "an argument from -1 to 1, not -1.5"},
		{"(-8)^(1/3)", RW_E_NOSOLVE, "", "'(\u22128)^(1 / 3)' has no finite value", "a base over 0, or 0 or more with an exponent over 0, not -8"},
		{"10^400", RW_E_NOSOLVE, "", "'10^400' has no finite value", ""}, {"exp(800)", RW_E_NOSOLVE, "", "'exp(800)' has no finite value", ""},
		{"1e200 * 1e200", RW_E_NOSOLVE, "", "'1e200 \u00D7 1e200' has no finite value", ""},
		{"ceil_to(3, 0)", RW_E_NOSOLVE, "", "'ceil_to(3, 0)' has no finite value", "a step over 0, not 0"},
		{"floor_to(3, -1)", RW_E_NOSOLVE, "", "'floor_to(3, \u22121)' has no finite value", "a step over 0, not -1"},
		{"digits(3, 2.5)", RW_E_NOSOLVE, "", "'digits(3, 2.5)' has no finite value", "a whole number of digits from 1 to 17, not 2.5"},
		{"digits(3, 18)", RW_E_NOSOLVE, "", "'digits(3, 18)' has no finite value", "a whole number of digits from 1 to 17, not 18"},
		{"e24(0)", RW_E_NOSOLVE, "", "'e24(0)' has no finite value", "a value over 0, not 0"},
		{"2 * valve.broken", RW_E_NOSOLVE, "valve.broken", "'valve.broken' has no finite value", ""},
		{"sum(1e308 + water.branches.*.flow)", RW_E_NOSOLVE, "water.branches.*.flow", "'sum(1e308 + water.branches.*.flow)' has no finite value", ""},
		{"2 * no.such", RW_E_KEY, "no.such", "'no.such' does not exist", ""}, {"sum(no.*.such)", RW_E_KEY, "no.*.such", "'no.*.such' does not exist", ""},
		{"water.branches.*.flow", RW_E_KEY, "water.branches.*.flow", "'water.branches.*.flow' does not exist", ""},
		{"load.power", RW_E_MISSING, "load.power", "'load.power' has no value", ""},
		{"worst(2 * load.never)", RW_E_MISSING, "load.never", "'2 \u00D7 load.never' has a value in no case", ""},
		{"mildest(load.never)", RW_E_MISSING, "load.never", "'load.never' has a value in no case", ""},
		{"worst(1 / (load.power - 7200))", RW_E_NOSOLVE, "load.power", "'1 / (load.power \u2212 7200)' has no finite value", "a divisor away from 0, not 0"},
		{"worst(no.such)", RW_E_KEY, "no.such", "'no.such' does not exist", ""},
		{"greatest(water.spares.*.flow)", RW_E_MISSING, "water.spares.*.flow", "'water.spares.*.flow' has no element to take the greatest of", ""},
		{"least(water.spares.*.flow)", RW_E_MISSING, "water.spares.*.flow", "'water.spares.*.flow' has no element to take the least of", ""},
		{"tank.inductance == oxide", RW_E_VALUE, "tank.inductance", "'tank.inductance' is no choice and cannot be compared with 'oxide'", ""},
		{"no.such == oxide", RW_E_KEY, "no.such", "'no.such' does not exist", ""},
	};
	rw_arena arena;
	rw_arena_init(&arena);
	fake f = {.n_cases = N_CASES};
	rw_expr_host host = host_on(&f);
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		rw_error err = {0};
		const rw_expr *expr;
		double x = 2.385;
		CHECK_OK(rw_expr_read(&arena, list[i].text, &expr, &err), &err);
		rw_status status = rw_expr_value(expr, &host, whole_set, &x, &err);
		if (status != list[i].status || strcmp(err.what, list[i].what) != 0 || strcmp(err.expected, list[i].expected) != 0)
			print_error("in '%s': status %d: %s; %s\n", list[i].text, status, err.what, err.expected);
		assert_int_equal(status, list[i].status);
		assert_int_equal(err.status, list[i].status);
		assert_true(x == 2.385);
		assert_string_equal(err.key, list[i].key);
		assert_string_equal(err.what, list[i].what);
		assert_string_equal(err.expected, list[i].expected);
		assert_int_equal(rw_expr_value(expr, &host, whole_set, &x, NULL), list[i].status);
	}
	f.n_cases = 0;
	const rw_expr *expr;
	rw_error err = {0};
	double x;
	CHECK_OK(rw_expr_read(&arena, "at_design(load.power)", &expr, &err), &err);
	assert_int_equal(rw_expr_value(expr, &host, whole_set, &x, &err), RW_E_MISSING);
	assert_string_equal(err.what, "'load.power' has no case the set is sized on");
	CHECK_OK(rw_expr_read(&arena, "worst(load.power)", &expr, &err), &err);
	assert_int_equal(rw_expr_value(expr, &host, whole_set, &x, &err), RW_E_MISSING);
	assert_string_equal(err.hint, "");
	rw_arena_release(&arena);
}

static void says_why_no_case_has_a_value(void **state)
{
	(void)state;
	rw_arena arena;
	rw_arena_init(&arena);
	fake f = {.n_cases = N_CASES};
	rw_expr_host host = host_on(&f);
	const rw_expr *expr;
	rw_error err = {0};
	double x;
	CHECK_OK(rw_expr_read(&arena, "worst(load.power + load.never)", &expr, &err), &err);
	assert_int_equal(rw_expr_value(expr, &host, whole_set, &x, &err), RW_E_MISSING);
	assert_string_equal(err.hint, "'load.never' has no value");
	assert_int_equal(f.asked, 3 * 2 + 1);   /* the second case stops at load.power */
	rw_arena_release(&arena);
}

typedef struct sized {
	const char *text;
	double      dim[5];   /* m kg s A K */
} sized;

static void dimensions(void **state)
{
	(void)state;
	static const sized list[] = {
		{"2.385", {0}}, {"0", {0}}, {"pi", {0}}, {"tank.inductance", {2, 1, -2, -2, 0}},
		{"1 / (2 * pi * sqrt(tank.inductance * tank.capacitance))", {0, 0, -1, 0, 0}},
		{"tank.inductance / tank.capacitance", {4, 2, -6, -4, 0}}, {"sqrt(tank.inductance / tank.capacitance)", {2, 1, -3, -2, 0}},
		{"valve.perveance * supply.voltage_dc^(3/2)", {0, 0, 0, 1, 0}}, {"valve.perveance * supply.voltage_dc^1.5", {0, 0, 0, 1, 0}},
		{"supply.voltage_dc^-1", {-2, -1, 3, 1, 0}}, {"supply.voltage_dc + valve.bias", {2, 1, -3, -1, 0}}, {"-supply.voltage_dc", {2, 1, -3, -1, 0}},
		{"supply.voltage_dc - 0", {2, 1, -3, -1, 0}}, {"0 + supply.voltage_dc", {2, 1, -3, -1, 0}}, {"0 * supply.voltage_dc", {2, 1, -3, -1, 0}},
		{"max(0, supply.voltage_dc, valve.bias)", {2, 1, -3, -1, 0}}, {"min(valve.bias, -0)", {2, 1, -3, -1, 0}},
		{"if(valve.bias < 0, valve.bias, 0)", {2, 1, -3, -1, 0}}, {"if(0, 0, 0)", {0}}, {"supply.voltage_dc > valve.bias", {0}}, {"valve.bias == 0", {0}},
		{"valve.cathode == thoriated", {0}}, {"valve.cathode == 1", {0}}, {"not (valve.bias < 0 or supply.ripple)", {0}},
		{"exp(valve.bias / supply.voltage_dc)", {0}}, {"sin(supply.ripple)", {0}}, {"abs(valve.bias)", {2, 1, -3, -1, 0}},
		{"ceil_to(valve.bias, 50)", {2, 1, -3, -1, 0}}, {"floor_to(valve.bias, valve.bias)", {2, 1, -3, -1, 0}},
		{"digits(tank.capacitance, 3)", {-2, -1, 4, 2, 0}}, {"e24(tank.capacitance)", {-2, -1, 4, 2, 0}}, {"meter_scale(tank.capacitance)", {-2, -1, 4, 2, 0}},
		{"sum(water.branches.*.flow)", {3, 0, -1, 0, 0}}, {"greatest(water.branches.*.flow)", {3, 0, -1, 0, 0}},
		{"least(water.branches.*.flow)", {3, 0, -1, 0, 0}}, {"worst(load.power)", {2, 1, -3, 0, 0}}, {"mildest(load.power)", {2, 1, -3, 0, 0}},
		{"at_design(load.power) / supply.voltage_dc", {0, 0, 0, 1, 0}}, {"(tank.inductance^(1/3))^3", {2, 1, -2, -2, 0}},
	};
	rw_arena arena;
	rw_arena_init(&arena);
	fake f = {.n_cases = N_CASES};
	rw_expr_host host = host_on(&f);
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		const rw_expr *expr;
		rw_error err = {0};
		double dim[5];
		CHECK_OK(rw_expr_read(&arena, list[i].text, &expr, &err), &err);
		CHECK_OK(rw_expr_dimension(expr, &host, dim, &err), &err);
		if (!rw_expr_same_dimension(dim, list[i].dim))
			print_error("in '%s': %g %g %g %g %g\n", list[i].text, dim[0], dim[1], dim[2], dim[3], dim[4]);
		assert_true(rw_expr_same_dimension(dim, list[i].dim));
	}
	assert_int_equal(f.asked, 0);
	assert_false(rw_expr_same_dimension((double[5]){0, 0.5, 0, 0, 0}, (double[5]){0, 0, 0, 0, 0}));
	rw_arena_release(&arena);
}

static void refused_dimensions(void **state)
{
	(void)state;
	static const failure list[] = {
		{"2 * (supply.voltage_dc + valve.current_dc)", RW_E_UNIT, "supply.voltage_dc", "'supply.voltage_dc' and 'valve.current_dc' do not fit together",
		 "one dimension on both sides, not m2 kg s-3 A-1 and A"},
		{"supply.voltage_dc - 2", RW_E_UNIT, "supply.voltage_dc", "'supply.voltage_dc' and '2' do not fit together",
		 "one dimension on both sides, not m2 kg s-3 A-1 and dimensionless"},
		{"valve.perveance < 1", RW_E_UNIT, "valve.perveance", "'valve.perveance' and '1' do not fit together",
		 "one dimension on both sides, not m-3 kg-1.5 s4.5 A2.5 and dimensionless"},
		{"valve.bias == valve.current_dc", RW_E_UNIT, "valve.bias", "'valve.bias' and 'valve.current_dc' do not fit together", NULL},
		{"max(valve.bias, 0, valve.current_dc)", RW_E_UNIT, "valve.bias", "'valve.bias' and 'valve.current_dc' do not fit together", NULL},
		{"min(valve.bias, 3)", RW_E_UNIT, "valve.bias", "'valve.bias' and '3' do not fit together", NULL},
		{"if(1, valve.bias, load.power)", RW_E_UNIT, "valve.bias", "'valve.bias' and 'load.power' do not fit together", NULL},
		{"if(valve.bias, 1, 2)", RW_E_UNIT, "valve.bias", "'valve.bias' in 'if' is not dimensionless", "a dimensionless operand, not m2 kg s-3 A-1"},
		{"not valve.bias", RW_E_UNIT, "valve.bias", "'valve.bias' in 'not' is not dimensionless", NULL},
		{"1 and valve.bias", RW_E_UNIT, "valve.bias", "'valve.bias' in 'and' is not dimensionless", NULL},
		{"valve.bias or 1", RW_E_UNIT, "valve.bias", "'valve.bias' in 'or' is not dimensionless", NULL},
		{"exp(2 * valve.bias)", RW_E_UNIT, "valve.bias", "'2 \u00D7 valve.bias' in 'exp' is not dimensionless", NULL},
		{"ln(valve.bias)", RW_E_UNIT, "valve.bias", "'valve.bias' in 'ln' is not dimensionless", NULL},
		{"atan(valve.bias)", RW_E_UNIT, "valve.bias", "'valve.bias' in 'atan' is not dimensionless", NULL},
		{"ceil_to(valve.bias, valve.current_dc)", RW_E_UNIT, "valve.bias", "'valve.bias' and 'valve.current_dc' do not fit together", NULL},
		{"ceil_to(valve.bias, 5 * 10)", RW_E_UNIT, "valve.bias", "'valve.bias' and '5 \u00D7 10' do not fit together", NULL},
		{"digits(valve.bias, valve.bias)", RW_E_UNIT, "valve.bias", "'valve.bias' in 'digits' is not dimensionless", NULL},
		{"valve.bias^supply.ripple", RW_E_UNIT, "supply.ripple", "the exponent 'supply.ripple' is not constant", NULL},
		{"valve.bias^1e6", RW_E_UNIT, "valve.bias", "'valve.bias^1000000' is of no dimension a quantity can have", NULL},
		{"tank.inductance == oxide", RW_E_UNIT, "tank.inductance", "'tank.inductance' is no choice and cannot be compared with 'oxide'", NULL},
		{"valve.bias^(1/0)", RW_E_NOSOLVE, "", "'1 / 0' has no finite value", NULL}, {"2 + no.such", RW_E_KEY, "no.such", "'no.such' does not exist", NULL},
	};
	rw_arena arena;
	rw_arena_init(&arena);
	fake f = {.n_cases = N_CASES};
	rw_expr_host host = host_on(&f);
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		const rw_expr *expr;
		rw_error err = {0};
		double dim[5] = {2.385};
		CHECK_OK(rw_expr_read(&arena, list[i].text, &expr, &err), &err);
		rw_status status = rw_expr_dimension(expr, &host, dim, &err);
		if (status != list[i].status || strcmp(err.what, list[i].what) != 0)
			print_error("in '%s': status %d: %s; %s\n", list[i].text, status, err.what, err.expected);
		assert_int_equal(status, list[i].status);
		assert_string_equal(err.key, list[i].key);
		assert_string_equal(err.what, list[i].what);
		if (list[i].expected)
			assert_string_equal(err.expected, list[i].expected);
		assert_true(dim[0] == 2.385);
	}
	rw_arena_release(&arena);
}

static void note_key(void *context, const char *key, bool aggregate)
{
	rw_text_addf(context, "%s%s ", key, aggregate ? "!" : "");
}

static void names_its_keys(void **state)
{
	(void)state;
	rw_arena arena;
	rw_arena_init(&arena);
	rw_text text;
	rw_text_init(&text);
	const rw_expr *expr;
	rw_error err = {0};
	CHECK_OK(rw_expr_read(&arena, "a.x * sum(b.*.y / c.z) + if(d.k == oxide, a.x, -at_design(e.w) ^ 2) - worst(least(f.*.v)) + min(g.u, 3)", &expr, &err), &err);
	rw_expr_keys(expr, note_key, &text);
	assert_string_equal(text.bytes, "a.x b.*.y! c.z! d.k a.x e.w! f.*.v! g.u ");
	rw_text_release(&text);
	rw_arena_release(&arena);
}

static const char *const written[][2] = {
	{"2.5+3.1*4.7", "2.5 + 3.1 \u00D7 4.7"}, {"(2.5+3.1)*4.7", "(2.5 + 3.1) \u00D7 4.7"}, {"((a.b))", "a.b"}, {"(2*3)/4", "2 \u00D7 3 / 4"},
	{"2*(3/4)", "2 \u00D7 (3 / 4)"}, {"2-(3-4)", "2 \u2212 (3 \u2212 4)"}, {"(2-3)-4", "2 \u2212 3 \u2212 4"}, {"2-(3*4)", "2 \u2212 3 \u00D7 4"},
	{"-3^2", "\u22123^2"}, {"(-3)^2", "(\u22123)^2"}, {"2^(-3)", "2^\u22123"}, {"2^(3^2)", "2^3^2"}, {"(2^3)^2", "(2^3)^2"}, {"16^(3/2)", "16^(3 / 2)"},
	{"-(2+3)", "\u2212(2 + 3)"}, {"-(2*3)", "\u2212(2 \u00D7 3)"}, {"(-2)*3", "\u22122 \u00D7 3"}, {"--2", "\u2212\u22122"}, {"2*(-3)", "2 \u00D7 \u22123"},
	{"(not (a.b==oxide))and(c.d<3)", "not a.b == oxide and c.d < 3"}, {"not(a.b and c.d)", "not (a.b and c.d)"}, {"(1 or 0)and 0", "(1 or 0) and 0"},
	{"1 or (0 and 0)", "1 or 0 and 0"}, {"1 or (0 or 2)", "1 or (0 or 2)"}, {"(1<2)==(3>=4)", "(1 < 2) == (3 >= 4)"}, {"(not 2)+3", "(not 2) + 3"},
	{"(1!=2)<=pi", "(1 != 2) <= pi"}, {"min(2,(3),a.b)", "min(2, 3, a.b)"}, {"sum((w.*.f)^2)", "sum(w.*.f^2)"}, {"sqrt(2)^2", "sqrt(2)^2"},
	{"1e-9*0.00001", "1e-9 \u00D7 0.00001"}, {"if(a.b > 3 or 0, -2, (4))", "if(a.b > 3 or 0, \u22122, 4)"}, {"floor_to(0.8 * a.b, 100)", "floor_to(0.8 \u00D7 a.b, 100)"},
};

static void writes_least_parentheses(void **state)
{
	(void)state;
	rw_arena arena;
	rw_arena_init(&arena);
	rw_text text;
	rw_text_init(&text);
	for (size_t i = 0; i < sizeof written / sizeof *written; i++) {
		rw_error err = {0};
		const rw_expr *expr;
		for (int again = 0; again < 2; again++) {   /* what was written reads and writes the same */
			CHECK_OK(rw_expr_read(&arena, again ? written[i][1] : written[i][0], &expr, &err), &err);
			rw_text_clear(&text);
			rw_expr_write(expr, &text, NULL, NULL);
			assert_string_equal(text.bytes, written[i][1]);
		}
	}
	rw_text_release(&text);
	rw_arena_release(&arena);
}

static void put_value(void *context, const char *key, rw_text *out)
{
	(void)context;
	rw_text_add(out, strcmp(key, "valve.bias") == 0 ? "\u2212672\u202FV" : strcmp(key, "tank.inductance") == 0 ? "8.82 \u00B5H" : "L_t");
}

static void writes_what_is_put_in(void **state)
{
	(void)state;
	static const char *const list[][2] = {
		{"2 * tank.inductance + 1", "2 \u00D7 8.82 \u00B5H + 1"}, {"tank.inductance^2", "(8.82 \u00B5H)^2"}, {"a.b^2", "L_t^2"},
		{"valve.bias + 3 - valve.bias", "\u2212672\u202FV + 3 \u2212 (\u2212672\u202FV)"}, {"-valve.bias", "\u2212(\u2212672\u202FV)"},
		{"sqrt(valve.bias)", "sqrt(\u2212672\u202FV)"}, {"valve.bias > 0", "\u2212672\u202FV > 0"}, {"valve.bias^2", "(\u2212672\u202FV)^2"},
	};
	rw_arena arena;
	rw_arena_init(&arena);
	rw_text text;
	rw_text_init(&text);
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		rw_error err = {0};
		const rw_expr *expr;
		CHECK_OK(rw_expr_read(&arena, list[i][0], &expr, &err), &err);
		rw_text_clear(&text);
		rw_expr_write(expr, &text, put_value, NULL);
		assert_string_equal(text.bytes, list[i][1]);
	}
	rw_text_release(&text);
	rw_arena_release(&arena);
}

static void written_means_the_same(void **state)
{
	(void)state;
	static const char *const list[] = {
		"1 / (2 * pi * sqrt(tank.inductance * tank.capacitance))", "2.5 - (3.1 - (4.7 - 5.3)) / (2.9 / (1.7 * 3.3))", "-(2.385^-(1/3)) * -(-1.7)",
		"if(not (valve.cathode == oxide or 2 > 3), sum(water.branches.*.flow^2) / 1e-9, 0)", "(1 < 2) - ((2 >= 1) == (supply.ripple != 0))",
		"worst(load.power - mildest(load.power)) / (at_design(load.power) * (1 - supply.ripple))", "digits(e24(907.3), 2) + ceil_to(-(8.13), 2.5)",
	};
	rw_text text;
	rw_text_init(&text);
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		rw_arena arena;
		rw_arena_init(&arena);
		rw_error err = {0};
		const rw_expr *expr;
		CHECK_OK(rw_expr_read(&arena, list[i], &expr, &err), &err);
		rw_text_clear(&text);
		rw_expr_write(expr, &text, NULL, NULL);
		CHECK_NEAR(value_of(text.bytes), value_of(list[i]), 0.0, text.bytes);
		rw_arena_release(&arena);
	}
	rw_text_release(&text);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(numbers),
		cmocka_unit_test(binds_as_in_books),
		cmocka_unit_test(compares_and_joins),
		cmocka_unit_test(functions),
		cmocka_unit_test(evaluates_only_what_decides),
		cmocka_unit_test(over_elements),
		cmocka_unit_test(over_cases),
		cmocka_unit_test(refused_texts),
		cmocka_unit_test(bounds_its_depth),
		cmocka_unit_test(memory_runs_out),
		cmocka_unit_test(refused_values),
		cmocka_unit_test(says_why_no_case_has_a_value),
		cmocka_unit_test(dimensions),
		cmocka_unit_test(refused_dimensions),
		cmocka_unit_test(names_its_keys),
		cmocka_unit_test(writes_least_parentheses),
		cmocka_unit_test(writes_what_is_put_in),
		cmocka_unit_test(written_means_the_same),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
