/* The host of formulas over a design and its solution. */
#include <math.h>
#include <string.h>

#include "item/design.h"

static rw_view at(const rw_view *view, rw_expr_scope scope)
{
	rw_view here = *view;
	here.scase = scope.scase;
	return here;
}

static rw_status host_value(void *context, const char *key, rw_expr_scope scope, double *value, const char **choice, rw_error *err)
{
	rw_view here = at(context, scope);
	rw_slot slot;
	RW_TRY(rw_slot_find(&here, key, scope.element, &slot, err));
	const rw_item *item = rw_slot_item(here.design, slot);
	if (!rw_item_exists(&here, slot))
		return RW_RAISE(err, RW_E_MISSING, key, "'%s' has no value", key);
	double x = rw_slot_get(&here, slot);
	if (choice)
		*choice = item->type == RW_CHOICE || item->type == RW_TEXT ? rw_slot_text(&here, slot) : "";
	*value = isnan(x) ? 0.0 : x;
	return RW_OK;
}

static rw_status host_elements(void *context, const char *key, rw_expr_scope scope, int *n, rw_error *err)
{
	rw_view here = at(context, scope);
	rw_slot slot;
	RW_TRY(rw_slot_find(&here, key, 0, &slot, err));
	const rw_item *item = rw_slot_item(here.design, slot);
	if (!item->list)
		return RW_RAISE(err, RW_E_KEY, key, "'%s' is not in a list", key);
	*n = rw_design_elements(here.design, slot.room, item->list - 1, slot.job);
	return RW_OK;
}

static rw_status host_cases(void *context, const char *key, rw_expr_scope scope, int *n, int *design, rw_error *err)
{
	const rw_view *view = context;
	(void)scope;
	if (!view->solution)
		return RW_RAISE(err, RW_E_MISSING, key, "'%s' needs the cases solved", key);
	*n = view->solution->n_cases;
	*design = view->solution->design_case;
	return RW_OK;
}

static rw_status host_kind(void *context, const char *key, const rw_kind **kind, rw_error *err)
{
	const rw_view *view = context;
	rw_slot slot;
	RW_TRY(rw_slot_find(view, key, 0, &slot, err));
	*kind = rw_slot_item(view->design, slot)->kind;
	return RW_OK;
}

rw_expr_host rw_view_host(const rw_view *view)
{
	union { const void *in; void *out; } context = {.in = view};   /* the host's functions only read it */
	return (rw_expr_host){context.out, host_value, host_elements, host_cases, host_kind};
}
