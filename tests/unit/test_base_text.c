#include <locale.h>
#include <stdlib.h>
#include <string.h>

#include "base/base.h"
#include "base/text.h"
#include "tests/check.h"

static void grows_and_clears(void **state)
{
	(void)state;
	rw_text t;
	rw_text_init(&t);
	assert_string_equal(t.bytes, "");
	rw_text_clear(&t);
	for (int i = 0; i < 300; i++)
		rw_text_addf(&t, "%d,", i);
	assert_false(t.failed);
	assert_int_equal(t.n, 10 * 2 + 90 * 3 + 200 * 4);
	assert_int_equal(strlen(t.bytes), t.n);
	assert_string_equal(t.bytes + t.n - 8, "298,299,");
	rw_text_clear(&t);
	rw_text_add_n(&t, "kilovolt", 4);
	rw_text_add(&t, "hm");
	assert_string_equal(t.bytes, "kilohm");
	rw_text_release(&t);
	assert_string_equal(t.bytes, "");
}

static void failure_stays(void **state)
{
	(void)state;
	rw_text t;
	rw_text_init(&t);
	rw_text_add(&t, "kept");
	rw_text_add_n(&t, "more than there can be", SIZE_MAX - 2);
	assert_true(t.failed);
	rw_text_add(&t, "lost");
	rw_text_addf(&t, "%d", 7);
	assert_string_equal(t.bytes, "kept");
	rw_text_release(&t);
}

static void width_counts_columns(void **state)
{
	(void)state;
	assert_int_equal(rw_text_width(""), 0);
	assert_int_equal(rw_text_width("8.77 kV"), 7);
	assert_int_equal(rw_text_width("\u03C1 = 1.72 \u00B5\u03A9\u00B7cm"), 14);
	assert_int_equal(rw_text_width("e\u0301tage"), 5);        /* combining acute */
	assert_int_equal(rw_text_width("\xC3"), 1);               /* cut short */
	assert_int_equal(rw_text_width("\xE2\x82x"), 3);
}

static void distance_counts_edits(void **state)
{
	(void)state;
	assert_int_equal(rw_text_distance("anode", "anode"), 0);
	assert_int_equal(rw_text_distance("", "grid"), 4);
	assert_int_equal(rw_text_distance("anode", "node"), 1);
	assert_int_equal(rw_text_distance("anode", "anoed"), 1);
	assert_int_equal(rw_text_distance("kitten", "sitting"), 3);
	assert_int_equal(rw_text_distance("ca", "abc"), 3);       /* optimal string alignment, not the unrestricted distance 2 */
}

static void nearest_needs_to_be_near(void **state)
{
	(void)state;
	const char *const names[] = {"anode_voltage", "grid_leak", "kV", "tank"};
	assert_string_equal(rw_text_nearest("anode_volt", names, 4), "anode_voltage");
	assert_string_equal(rw_text_nearest("grid_laek", names, 4), "grid_leak");
	assert_string_equal(rw_text_nearest("KV", names, 4), "kV");
	assert_null(rw_text_nearest("hose", names, 4));
	assert_null(rw_text_nearest("W", names, 4));
	assert_null(rw_text_nearest("tank", names, 0));
}

static void check_number(const char *text, double want, size_t taken)
{
	const char *end;
	double got = rw_text_number(text, &end);
	if (got != want || (size_t)(end - text) != taken)
		fail_msg("'%s' gave %.17g and %zu bytes, want %.17g and %zu", text, got, (size_t)(end - text), want, taken);
}

static void numbers(void **state)
{
	(void)state;
	check_number("2.385", 2.385, 5);
	check_number("-.25e3x", -250.0, 6);
	check_number("+7e", 7.0, 2);
	check_number("8,5", 8.0, 1);
	check_number("1e-400", 0.0, 6);
	const char *const refused[] = {"", "x", "-", ".", ".e3", "inf", "-INF", "nan", "nan(3)", "0x1p3", "-0X10", "1e999", "--3", ",5"};
	for (size_t i = 0; i < sizeof refused / sizeof *refused; i++)
		check_number(refused[i], 0.0, 0);
}

static void check_shortest(double x, const char *want)
{
	char got[32];
	rw_text_shortest(got, sizeof got, x);
	assert_string_equal(got, want);
	assert_true(strtod(got, NULL) == x);
}

static void shortest(void **state)
{
	(void)state;
	check_shortest(0.0, "0");
	check_shortest(0.1, "0.1");
	check_shortest(-2385.0, "-2385");
	check_shortest(0.1 + 0.2, "0.30000000000000004");
	check_shortest(1e-5, "0.00001");
	check_shortest(9.87e-6, "9.87e-6");
	check_shortest(123456789012345.0, "123456789012345");
	check_shortest(100000000000000.0, "100000000000000");
	check_shortest(1e15, "1e15");
	check_shortest(1.7976931348623157e308, "1.7976931348623157e308");
	check_shortest(5e-324, "5e-324");
	check_shortest(-0.000012345678901234567, "-0.000012345678901234568");
	check_shortest(1536.25, "1536.25");
}

/* A thousand doubles of all sizes; the sequence is fixed. */
static void shortest_reads_back(void **state)
{
	(void)state;
	uint64_t bits = 0x9E3779B97F4A7C15U;
	for (int i = 0; i < 1000; i++) {
		bits = bits * 6364136223846793005U + 1442695040888963407U;
		double x;
		memcpy(&x, &bits, sizeof x);
		if (!isfinite(x))
			continue;
		char text[32];
		rw_text_shortest(text, sizeof text, x);
		const char *end;
		assert_true(rw_text_number(text, &end) == x && *end == '\0');
	}
}

static void names(void **state)
{
	(void)state;
	assert_true(rw_text_is_name("a"));
	assert_true(rw_text_is_name("shaft_42crmo4_d60_hard_x"));     /* 24 */
	assert_false(rw_text_is_name("shaft_42crmo4_d60_hard_xy"));
	const char *const refused[] = {"", "_a", "4a", "Anode", "a-b", "a b", "\u00B5a", "a\u00E9"};
	for (size_t i = 0; i < sizeof refused / sizeof *refused; i++)
		assert_false(rw_text_is_name(refused[i]));
}

/* The same where the decimal sign is a comma; skipped where no such locale is installed. */
static void comma_locale(void **state)
{
	static const char *const tried[] = {"de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "fr_FR.utf8"};
	bool set = false;
	for (size_t i = 0; i < sizeof tried / sizeof *tried && !set; i++)
		set = setlocale(LC_ALL, tried[i]) != NULL;
	if (!set)
		skip();
	check_number("2.385", 2.385, 5);
	check_number("8,5", 8.0, 1);
	char got[32];
	rw_text_shortest(got, sizeof got, 0.1 + 0.2);
	rw_text t;
	rw_text_init(&t);
	rw_text_addf(&t, "%.3f", 2.385);
	bool point = strcmp(t.bytes, "2.385") == 0;
	rw_text_release(&t);
	shortest_reads_back(state);
	setlocale(LC_ALL, "C");
	assert_string_equal(got, "0.30000000000000004");
	assert_true(point);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(grows_and_clears), cmocka_unit_test(failure_stays), cmocka_unit_test(width_counts_columns),
		cmocka_unit_test(distance_counts_edits), cmocka_unit_test(nearest_needs_to_be_near), cmocka_unit_test(numbers),
		cmocka_unit_test(shortest), cmocka_unit_test(shortest_reads_back), cmocka_unit_test(names), cmocka_unit_test(comma_locale),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
