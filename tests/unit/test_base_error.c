#include <string.h>

#include "base/base.h"
#include "base/error.h"
#include "tests/check.h"

static void raising_fills_afresh(void **state)
{
	(void)state;
	rw_error err;
	memset(&err, 0x5A, sizeof err);
	rw_status status = RW_RAISE(&err, RW_E_VALUE, "anode.voltage_dc", "'%s' is %d too many", "8 kV", 3);
	assert_int_equal(status, RW_E_VALUE);
	assert_int_equal(err.status, RW_E_VALUE);
	assert_string_equal(err.key, "anode.voltage_dc");
	assert_string_equal(err.what, "'8 kV' is 3 too many");
	assert_string_equal(err.expected, "");
	assert_string_equal(err.hint, "");
	assert_string_equal(err.file, "");
	assert_int_equal(err.line, 0);
	assert_true(isnan(err.residual));
	assert_non_null(strstr(err.c_file, "test_base_error.c"));
	assert_int_equal(RW_RAISE(NULL, RW_E_IO, "", "nobody listens"), RW_E_IO);
	rw_error_expected(NULL, "nothing");
	rw_error_hint(NULL, "nothing");
	rw_error_at(NULL, "f", 1, 1, 1);
}

/* n bytes of 'x', then the character, into what[256]: cut, it must vanish as a whole. */
static size_t left_of(size_t n, const char *character)
{
	char text[400];
	memset(text, 'x', n);
	strcpy(text + n, character);
	rw_error err;
	(void)RW_RAISE(&err, RW_E_VALUE, "", "%s", text);
	for (size_t i = 0; i < n && i < strlen(err.what); i++)
		assert_int_equal(err.what[i], 'x');
	return strlen(err.what);
}

static void text_is_cut_on_whole_characters(void **state)
{
	(void)state;
	assert_int_equal(left_of(253, "\u03A9"), 255);       /* two bytes, fits */
	assert_int_equal(left_of(254, "\u03A9"), 254);       /* one of two */
	assert_int_equal(left_of(255, "\u03A9"), 255);
	assert_int_equal(left_of(252, "\u2212"), 255);       /* three bytes, fits */
	assert_int_equal(left_of(253, "\u2212"), 253);
	assert_int_equal(left_of(254, "\u2212"), 254);
	assert_int_equal(left_of(251, "\U0001D70C"), 255);   /* four bytes, fits */
	assert_int_equal(left_of(252, "\U0001D70C"), 252);
	assert_int_equal(left_of(254, "\U0001D70C"), 254);
	assert_int_equal(left_of(300, ""), 255);
}

static void expected_and_hint_are_cut_too(void **state)
{
	(void)state;
	char text[400] = "";
	for (int i = 0; i < 130; i++)
		strcat(text, "\u2212");
	rw_error err;
	(void)RW_RAISE(&err, RW_E_UNIT, "", "short");
	rw_error_expected(&err, "%s", text);
	rw_error_hint(&err, "%s", text);
	assert_int_equal(strlen(err.expected), 255);
	assert_int_equal(strlen(err.hint), 159);
	rw_error_hint(&err, "x%s", text);
	assert_int_equal(strlen(err.hint), 1 + 3 * 52);
}

static void list_counts_what_it_drops(void **state)
{
	(void)state;
	static rw_errors list;
	rw_error err;
	for (int i = 0; i < RW_ERRORS_MAX + 3; i++) {
		(void)RW_RAISE(&err, RW_E_KEY, "", "number %d", i);
		rw_errors_add(&list, &err);
	}
	rw_errors_add(NULL, &err);
	assert_int_equal(list.n, RW_ERRORS_MAX);
	assert_int_equal(list.n_more, 3);
	assert_string_equal(list.list[RW_ERRORS_MAX - 1].what, "number 19");
}

static void exit_codes(void **state)
{
	(void)state;
	assert_int_equal(rw_status_exit_code(RW_OK), 0);
	assert_int_equal(rw_status_exit_code(RW_E_USAGE), 2);
	assert_int_equal(rw_status_exit_code(RW_E_UNIT), 3);
	assert_int_equal(rw_status_exit_code(RW_E_NOSOLVE), 4);
	assert_int_equal(rw_status_exit_code(RW_E_MEMORY), 5);
	assert_int_equal(rw_status_exit_code(RW_E_INTERNAL), 6);
	assert_string_equal(rw_status_text(RW_E_NOSOLVE), "no solution was found");
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(raising_fills_afresh), cmocka_unit_test(text_is_cut_on_whole_characters),
		cmocka_unit_test(expected_and_hint_are_cut_too), cmocka_unit_test(list_counts_what_it_drops), cmocka_unit_test(exit_codes),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
