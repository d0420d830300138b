/* Test services on top of cmocka: doubles compared relative to a stated scale, with source and unit in the message. */
#ifndef RW_TESTS_CHECK_H
#define RW_TESTS_CHECK_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "base/error.h"

/* |got - want| <= tolerance * |scale|; a NaN fails. source: where the wanted value is from. */
#define CHECK_NEAR_SCALE(got, want, tolerance, scale, source) \
	rw_check_near((got), (want), (tolerance), (scale), #got, (source), __FILE__, __LINE__)
#define CHECK_NEAR(got, want, tolerance, source) CHECK_NEAR_SCALE(got, want, tolerance, want, source)
#define CHECK_OK(call, err) rw_check_ok((call), (err), #call, __FILE__, __LINE__)

static inline void rw_check_near(double got, double want, double tolerance, double scale, const char *text, const char *source, const char *file, int line)
{
	if (fabs(got - want) <= tolerance * fabs(scale))
		return;
	print_error("%s:%d: %s is %.12g, want %.12g within %g of %.6g (off by %.3g); %s\n", file, line, text, got, want, tolerance, scale,
	            scale != 0.0 ? (got - want) / fabs(scale) : got - want, source ? source : "");
	_fail(file, line);
}

static inline void rw_check_ok(rw_status status, const rw_error *err, const char *text, const char *file, int line)
{
	if (status == RW_OK)
		return;
	print_error("%s:%d: %s: %s: %s; expected %s; %s (line %u)\n", file, line, text, err ? err->key : "", err ? err->what : "",
	            err ? err->expected : "", err ? err->hint : "", err ? err->line : 0U);
	_fail(file, line);
}

#endif
