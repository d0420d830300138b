/* Machine-readable output: one shape everywhere (docs/file-reference). NaN never reaches it: what is not there is null. */
#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "chain/chain.h"
#include "item/figure.h"

static json_t *number(double x) { return isfinite(x) ? json_real(x) : json_null(); }

typedef struct figures {
	const rw_view *view;
	json_t *object;
	bool of_case;             /* only the figures of a case; else only those of set and job */
	const rw_chain *chain;
} figures;

static json_t *figure_value(const rw_view *view, rw_slot slot, const rw_item *item)
{
	if (!rw_item_exists(view, slot))
		return json_null();
	switch (item->type) {
	case RW_CHOICE:
	case RW_TEXT:    return json_string(rw_slot_text(view, slot));
	case RW_INTEGER: return json_integer((json_int_t)rw_slot_get(view, slot));
	case RW_TABLE: {
		const rw_bound_table *bound = rw_slot_table(view, slot);
		return bound ? json_pack("{s:i, s:s}", "rows", bound->table.n_rows, "digest", bound->table.digest) : json_null();
	}
	default: return number(rw_slot_get(view, slot));
	}
}

static void add_figure(void *context, rw_slot slot)
{
	figures *f = context;
	const rw_item *item = rw_slot_item(f->view->design, slot);
	if (f->of_case != (slot.scase != RW_NO_CASE))
		return;
	char key[160];
	if (f->of_case)
		rw_slot_key(f->view->design, slot, key, sizeof key);
	else
		rw_slot_path(f->view->design, slot, key, sizeof key);
	json_t *figure = json_object();
	json_object_set_new(figure, "value", figure_value(f->view, slot, item));
	json_object_set_new(figure, "unit", item->kind ? json_string(item->kind->si) : json_string(""));
	json_object_set_new(figure, "role", json_string(rw_role_name((rw_role)item->role)));
	json_object_set_new(figure, "state", json_string(rw_state_name(rw_slot_state(f->view, slot))));
	if (item->input) {
		const rw_origin *o = rw_slot_origin(f->view->design, slot);
		if (o->rule)
			json_object_set_new(figure, "rule", json_string(o->rule));
		if (o->line)
			json_object_set_new(figure, "line", json_integer(o->line));
	} else {
		json_object_set_new(figure, "by", json_string(rw_by_name((rw_by)item->by)));
	}
	if (rw_chain_unverified(f->chain, slot))
		json_object_set_new(figure, "unverified", json_true());
	if (item->uncertainty > 0.0)
		json_object_set_new(figure, "uncertainty", json_real(item->uncertainty));
	json_object_set_new(f->object, key, figure);
}

static json_t *set_figures(const rw_chain *chain)
{
	json_t *object = json_object();
	for (int job = 0; job < chain->full->n_jobs; job++) {
		rw_view view = rw_chain_view(chain, job, RW_NO_CASE);
		figures f = {.view = &view, .object = object, .chain = chain};
		rw_each_slot(&view, add_figure, &f);
	}
	return object;
}

static const char *const mains_names[] = {"low", "nominal", "high"};

static json_t *case_name(const rw_chain *chain, int k)
{
	const rw_case_name *c = &chain->solution->cases[k];
	return json_pack("{s:s, s:s, s:s, s:s}", "job", chain->full->job_names[c->job], "load", c->load_name, "mains", mains_names[c->mains],
	    "valve", c->valve ? "worn" : "new");
}

static json_t *all_cases(const rw_chain *chain)
{
	json_t *list = json_array();
	for (int k = 0; k < chain->solution->n_cases; k++) {
		json_t *one = case_name(chain, k), *object = json_object();
		rw_view view = rw_chain_view(chain, chain->solution->cases[k].job, k);
		figures f = {.view = &view, .object = object, .of_case = true, .chain = chain};
		rw_each_slot(&view, add_figure, &f);
		json_object_set_new(one, "figures", object);
		json_object_set_new(one, "solved", json_boolean(!chain->solution->why_not[k]));
		if (chain->solution->why_not[k])
			json_object_set_new(one, "why", json_string(chain->solution->why_not[k]));
		json_array_append_new(list, one);
	}
	return list;
}

static json_t *all_budgets(const rw_chain *chain)
{
	json_t *list = json_array();
	for (int i = 0; i < chain->n_budgets; i++) {
		const rw_budget *b = &chain->budgets[i];
		json_t *rows = json_array();
		for (int r = 0; r < b->n; r++)
			json_array_append_new(rows, json_pack("{s:s, s:o, s:o}", "key", b->key[r], "watts", number(b->watts[r]), "second_route",
			    number(b->second[r])));
		json_array_append_new(list, json_pack("{s:o, s:o, s:o, s:o, s:o}", "case", case_name(chain, b->scase), "rows", rows, "in",
		    number(b->in), "out",
		                                      number(b->out), "closure", number(b->closure)));
	}
	return list;
}

static json_t *all_checks(const rw_chain *chain)
{
	json_t *list = json_array();
	for (int i = 0; i < chain->n_checks; i++) {
		const rw_check *c = &chain->checks[i];
		json_t *one = json_pack("{s:s, s:o, s:o, s:o, s:o, s:o, s:s, s:b, s:b}", "key", c->key, "value", number(c->value), "limit",
		    number(c->limit), "margin",
		                        number(c->margin), "case", c->scase >= 0 ? case_name(chain, c->scase) : json_null(), "ok",
		                        c->ok < 0 ? json_null() : json_boolean(c->ok), "source", c->limit_row->source, "unverified",
		                                    (int)c->unverified, "near_limit",
		                        (int)c->near);
		if (c->why_not)
			json_object_set_new(one, "why", json_string(c->why_not));
		json_array_append_new(list, one);
	}
	return list;
}

static json_t *all_notes(const rw_chain *chain)
{
	json_t *list = json_array();
	for (int i = 0; i < chain->solution->n_notes; i++)
		json_array_append_new(list, json_pack("{s:s, s:s}", "key", chain->solution->notes[i].key, "text", chain->solution->notes[i].text));
	return list;
}

/* Of 'check --job' only. */
static void add_asked(const rw_chain *chain, json_t *root)
{
	const rw_asked *a = chain->asked;
	if (!a || !root)
		return;
	json_object_set_new(root, "asked", json_pack("{s:s, s:b, s:b, s:b, s:o, s:o, s:b, s:o, s:o, s:o, s:o}", "job", chain->full->job_names[a->job],
	    "can_do", (int)a->can, "near_limit", (int)a->near, "sized_on_it", (int)a->sized_on_it, "heat_given", number(a->heat_given),
	    "heat_wanted", number(a->heat_wanted), "duty_decides", (int)a->duty_decides, "longest_on_time", number(a->longest_on_time), "in_period",
	    number(a->period), "shortest_period", number(a->shortest_period), "longest_period_tried", number(a->longest_tried)));
}

rw_status rw_chain_json(const rw_chain *chain, rw_text *out, rw_error *err)
{
	rw_view view = rw_chain_view(chain, 0, RW_NO_CASE);
	rw_slot name;
	RW_TRY(rw_slot_find(&view, "generator.name", RW_NO_ELEMENT, &name, err));
	json_t *root = json_pack("{s:i, s:{s:s, s:s, s:s}, s:o, s:o, s:o, s:o, s:o}", "format", 1, "generator", "name",
	    rw_slot_text(&view, name), "file",
	                         chain->full->file, "digest", chain->full->digest, "figures", set_figures(chain), "cases", all_cases(chain),
	                                     "budget",
	                         all_budgets(chain), "checks", all_checks(chain), "notes", all_notes(chain));
	add_asked(chain, root);
	char *text = root ? json_dumps(root, JSON_INDENT(1) | JSON_REAL_PRECISION(15)) : NULL;
	json_decref(root);
	if (!text)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out, or a text is not UTF-8");
	rw_text_add(out, text);
	rw_text_add(out, "\n");
	free(text);
	return RW_OK;
}
