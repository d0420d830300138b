#include "item/figure.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/numeric.h"

int rw_figure_digits(const rw_item *item)
{
	if (item->uncertainty >= 0.15)
		return 2;
	return item->uncertainty > 0.0 && item->uncertainty < 1e-3 ? 4 : 3;
}

/* A chosen value was rounded when it was chosen, in the unit it is read in: as many digits as it has there, two at least. */
static int chosen_digits(const rw_units *units, const rw_kind *kind, double si)
{
	double factor, offset;
	if (rw_units_factor(units, kind, rw_units_customary(units, kind, si), &factor, &offset, NULL) != RW_OK)
		return 4;
	double x = (si - offset) / factor;
	int digits = 2;
	while (digits < 5 && fabs(rw_round_digits(x, digits) - x) > 1e-9 * fabs(x))
		digits++;
	return digits;
}

/* "table of 5 rows, 330 kHz to 450 kHz": the span of its first column. */
static void print_table(const rw_view *view, const rw_units *units, rw_slot slot, char *out, size_t room)
{
	const rw_table *table = &rw_slot_table(view, slot)->table;
	const rw_kind *kind = rw_slot_item(view->design, slot)->input->columns[0].kind;
	char low[64], high[64];
	rw_units_print(units, kind, rw_table_cell(table, 0, 0), 3, low, sizeof low);
	rw_units_print(units, kind, rw_table_cell(table, table->n_rows - 1, 0), 3, high, sizeof high);
	snprintf(out, room, "table of %d rows, %s to %s", table->n_rows, low, high);
}

void rw_figure_print(const rw_view *view, const rw_units *units, rw_slot slot, char *out, size_t room)
{
	const rw_item *item = rw_slot_item(view->design, slot);
	const rw_origin *origin = item->input ? rw_slot_origin(view->design, slot) : NULL;
	if (!rw_item_exists(view, slot))
		snprintf(out, room, "\u2014");
	else if (item->type == RW_TABLE)
		print_table(view, units, slot, out, room);
	else if (item->type == RW_CHOICE || item->type == RW_TEXT)
		snprintf(out, room, "%s", rw_slot_text(view, slot));
	else if (origin && origin->state == RW_GIVEN && origin->as_written)
		snprintf(out, room, "%s", origin->as_written);   /* exact givens print as written */
	else if (item->type == RW_INTEGER)
		snprintf(out, room, "%.0f", rw_slot_get(view, slot));
	else
		rw_units_print(units, item->kind, rw_slot_get(view, slot),
		    item->input ? chosen_digits(units, item->kind, rw_slot_get(view, slot)) : rw_figure_digits(item), out, room);
}

const char *rw_role_name(rw_role role)
{
	static const char *const names[] = {"want", "part", "setting", "assumed", "result"};
	return names[role];
}

const char *rw_state_name(rw_state state)
{
	static const char *const names[] = {"open", "given", "chosen", "derived"};
	return names[state];
}

const char *rw_by_name(rw_by by)
{
	static const char *const names[] = {"closed", "field", "periodic", "estimate"};
	return names[by];
}

rw_status rw_figure_formula(const rw_view *view, rw_arena *arena, rw_slot slot, const rw_formula **out, rw_error *err)
{
	const rw_item *item = rw_slot_item(view->design, slot);
	rw_expr_host host = rw_view_host(view);
	rw_expr_scope scope = {slot.element, view->scase};
	*out = NULL;
	for (int f = 0; f < item->n_formulas; f++) {
		const rw_formula *formula = &item->formulas[f];
		double holds = 1.0;
		if (formula->when) {
			const rw_expr *when;
			RW_TRY(rw_expr_read(arena, formula->when, &when, err));
			if (rw_expr_value(when, &host, scope, &holds, NULL) != RW_OK)
				continue;
		}
		if (holds != 0.0) {
			*out = formula;
			return RW_OK;
		}
	}
	return RW_OK;
}
