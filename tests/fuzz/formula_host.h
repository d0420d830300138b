/* A host of formulas whose every key exists: figures, choices, kinds and unsolved cases follow from a hash of key and scope. */
#ifndef RW_TESTS_FUZZ_FORMULA_HOST_H
#define RW_TESTS_FUZZ_FORMULA_HOST_H

#include <stdlib.h>

#include "item/expr.h"

static inline uint32_t formula_hash(const char *key, rw_expr_scope scope)
{
	uint32_t h = 2166136261U ^ (uint32_t)(scope.element + 1) * 40503U ^ (uint32_t)(scope.scase + 1) * 2654435761U;   /* FNV-1a */
	for (; *key; key++)
		h = (h ^ (unsigned char)*key) * 16777619U;
	return h ^ h >> 15;
}

static inline rw_status formula_value(void *context, const char *key, rw_expr_scope scope, double *value, const char **choice, rw_error *err)
{
	(void)context;
	uint32_t h = formula_hash(key, scope);
	if (h % 11 == 0)
		return RW_RAISE(err, RW_E_MISSING, key, "'%s' has no value", key);
	*value = ((double)(h % 41) - 12.0) * 0.385;
	if (choice)
		*choice = h % 3 == 0 ? "" : h % 3 == 1 ? "ht" : "oxide";
	return RW_OK;
}

static inline rw_status formula_elements(void *context, const char *key, rw_expr_scope scope, int *n, rw_error *err)
{
	(void)context, (void)scope, (void)err;
	*n = (int)(formula_hash(key, (rw_expr_scope){-1, -1}) % 4);
	return RW_OK;
}

static inline rw_status formula_cases(void *context, const char *key, rw_expr_scope scope, int *n, int *design, rw_error *err)
{
	(void)context, (void)key, (void)scope, (void)err;
	*n = 4;
	*design = 2;
	return RW_OK;
}

static inline rw_status formula_kind(void *context, const char *key, const rw_kind **kind, rw_error *err)
{
	(void)context, (void)err;
	uint32_t h = formula_hash(key, (rw_expr_scope){-1, -1});
	*kind = h % 5 == 0 ? NULL : rw_kind_at((int)(h % (uint32_t)rw_kinds_number()));
	return RW_OK;
}

static inline void formula_count_key(void *context, const char *key, bool aggregate)
{
	int *sum = context;
	*sum += (int)(formula_hash(key, (rw_expr_scope){aggregate, -1}) & 0xFFFF);
}

/* Aborts unless both have the same value, dimension and keys, or fail alike. */
static inline void formula_both_alike(const rw_expr *a, const rw_expr *b)
{
	const rw_expr_host host = {NULL, formula_value, formula_elements, formula_cases, formula_kind};
	const rw_expr_scope scopes[] = {{-1, -1}, {1, 3}};
	for (int i = 0; i < 2; i++) {
		double x = 0.0, y = 0.0;
		rw_error err_a, err_b;
		rw_status status = rw_expr_value(a, &host, scopes[i], &x, &err_a);
		if (rw_expr_value(b, &host, scopes[i], &y, &err_b) != status || x != y || x - x != 0.0)
			abort();
	}
	double dim_a[5] = {0}, dim_b[5] = {0};
	if (rw_expr_dimension(a, &host, dim_a, NULL) != rw_expr_dimension(b, &host, dim_b, NULL) || !rw_expr_same_dimension(dim_a, dim_b))
		abort();
	int keys_a = 0, keys_b = 0;
	rw_expr_keys(a, formula_count_key, &keys_a);
	rw_expr_keys(b, formula_count_key, &keys_b);
	if (keys_a != keys_b)
		abort();
}

#endif
