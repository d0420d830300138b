/* Shorthand of the item tables: what one row of a room's table is written with. Included by src/ROOM/ROOM_items.c only. */
#ifndef RW_ITEM_ROWS_H
#define RW_ITEM_ROWS_H

#include "item/item.h"

/* Formulas of a row. */
#define RW_FORMULAS(...) \
	.formulas = (const rw_formula[]){__VA_ARGS__}, .n_formulas = (int)(sizeof((const rw_formula[]){__VA_ARGS__}) / sizeof(rw_formula))
#define RW_IS(formula, from)               {.kind = RW_CLOSED, .text = (formula), .source = (from)}
#define RW_IS_WHEN(condition, formula, from) {.kind = RW_CLOSED, .when = (condition), .text = (formula), .source = (from)}
#define RW_ZERO_OF(balance, against, from) {.kind = RW_BALANCE, .text = (balance), .scale = (against), .source = (from)}
#define RW_BY_METHOD(what, keys, from)     {.kind = RW_METHOD, .text = (what), .reads = (keys), .source = (from)}

/* Inputs: span, whether it may be missing, the rule that chooses it. */
#define RW_INPUT(...)         .input = &(const rw_input){__VA_ARGS__}
#define RW_FROM_TO(low, high) .min = (low), .max = (high)
#define RW_OVER_TO(low, high) .min = (low), .min_open = true, .max = (high)
#define RW_IN_KINDS(type_, member, mask) {.key = #member, .at = offsetof(type_, member), .kinds = (mask)}
#define RW_RULE(name, what, from) .rule = (name), .rule_text = (what), .rule_source = (from)

/* A number of the struct: kind, symbol, words. */
#define RW_NUMBER_OF(type_, member, kind_, symbol_, text_) \
	.key = #member, .offset = offsetof(type_, member), .type = RW_NUMBER, .kind = &rw_kind_##kind_, .symbol = (symbol_), .text = (text_)

#define RW_ROWS(array) (array), (int)(sizeof(array) / sizeof((array)[0]))

#endif
