/* Figures as people read them: value with digits by uncertainty, symbol, state, how it was got. */
#ifndef RW_ITEM_FIGURE_H
#define RW_ITEM_FIGURE_H

#include "item/design.h"

int  rw_figure_digits(const rw_item *item);                       /* 2 for estimates of 15 % and more, else 3; 4 under 0.1 % */
/* "8.77 kV", "chosen name", the text, "table of 7 rows", an em dash when it does not exist. room >= 80 */
void rw_figure_print(const rw_view *view, const rw_units *units, rw_slot slot, char *out, size_t room);
const char *rw_role_name(rw_role role);
const char *rw_state_name(rw_state state);
const char *rw_by_name(rw_by by);

/* The formula of an item that applies in the view: the first whose `when` holds; NULL: none. errs those of the formula reader */
RW_MUST_USE rw_status rw_figure_formula(const rw_view *view, rw_arena *arena, rw_slot slot, const rw_formula **out, rw_error *err);

#endif
