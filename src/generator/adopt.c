/* Design back to text: chosen values written into the file, and the commented lines of a template. */
#include <stdio.h>
#include <string.h>

#include "generator/generator.h"

void rw_generator_mark(const rw_generator *generator, int job, rw_error *err)
{
	if (!err || err->line > 0)
		return;
	const rw_design *design = generator->design;
	char path[192];
	const char *dot = strchr(err->key, '.');
	char room[32] = "";
	if (dot && (size_t)(dot - err->key) < sizeof room)
		memcpy(room, err->key, (size_t)(dot - err->key));
	int r = rw_registry_find(design->registry, room);
	if (r >= 0 && design->registry->rooms[r]->per_job && job < design->n_jobs)
		snprintf(path, sizeof path, "jobs.%s.%s", design->job_names[job], err->key);
	else
		snprintf(path, sizeof path, "%s", err->key);
	snprintf(err->key, sizeof err->key, "%.*s", (int)sizeof err->key - 1, path);
	for (;;) {
		const rw_node *node = rw_yaml_find(generator->tree, path);
		if (node && node->key[0]) {
			rw_yaml_mark(generator->tree, node->value && !node->block ? &node->value_at : &node->key_at, err);
			return;
		}
		char *last = strrchr(path, '.');
		if (!last)
			break;
		*last = '\0';
	}
	const rw_node *whole = rw_yaml_find(generator->tree, "generator");   /* the room is not in the file: a fault of the whole set */
	rw_yaml_mark(generator->tree, whole ? &whole->key_at : &generator->tree->root->value_at, err);
}

/* What the file would say. */
static void written(const rw_view *view, const rw_units *units, rw_slot slot, char *out, size_t room)
{
	const rw_item *item = rw_slot_item(view->design, slot);
	if (item->type == RW_NUMBER && item->kind)
		rw_units_write(units, item->kind, rw_slot_get(view, slot), out, room);
	else if (item->type == RW_INTEGER)
		snprintf(out, room, "%.0f", rw_slot_get(view, slot));
	else
		snprintf(out, room, "%s", rw_slot_text(view, slot));
}

typedef struct adoption {
	const rw_units *units;
	const rw_view *view;
	const char *const *keys;
	int n_keys, n_put;
	bool *met;              /* [n_keys] */
	rw_text *text;
	rw_status status;
	rw_error *err;
} adoption;

static bool wanted(adoption *a, rw_slot slot, const rw_origin *origin)
{
	char key[128], path[128];
	if (!a->keys)
		return strcmp(origin->rule, "library") != 0;
	rw_slot_key(a->view->design, slot, key, sizeof key);
	rw_slot_path(a->view->design, slot, path, sizeof path);
	for (int k = 0; k < a->n_keys; k++) {
		size_t n = strlen(a->keys[k]);
		bool below = (strncmp(key, a->keys[k], n) == 0 && key[n] == '.') ||   /* a whole room or element */
		             (strncmp(path, a->keys[k], n) == 0 && path[n] == '.');
		if (strcmp(a->keys[k], key) == 0 || strcmp(a->keys[k], path) == 0 || below)
			return a->met[k] = true;
	}
	return false;
}

static void adopt_one(void *context, rw_slot slot)
{
	adoption *a = context;
	const rw_origin *origin = rw_slot_item(a->view->design, slot)->input ? rw_slot_origin(a->view->design, slot) : NULL;
	bool set_again = slot.job > 0 && !a->view->design->registry->rooms[slot.room]->per_job;   /* the set's inputs are met once a job */
	if (a->status != RW_OK || set_again || !origin || origin->state != RW_CHOSEN ||
	    rw_slot_item(a->view->design, slot)->type == RW_TABLE || !wanted(a, slot, origin))
		return;
	char path[128], value[80];
	rw_slot_path(a->view->design, slot, path, sizeof path);
	written(a->view, a->units, slot, value, sizeof value);
	rw_text next;
	rw_text_init(&next);
	a->status = rw_yaml_put(a->text->bytes, a->text->n, path, value, &next, a->err);
	if (a->status == RW_OK) {
		rw_text_clear(a->text);
		rw_text_add_n(a->text, next.bytes, next.n);
		a->n_put++;
	}
	rw_text_release(&next);
}

static rw_status not_chosen(const rw_design *design, const char *key, rw_error *err)
{
	rw_slot slot;
	rw_view view = {design, NULL, 0, RW_NO_CASE};
	bool room = rw_registry_find(design->registry, key) >= 0;
	if (!room && strncmp(key, "jobs.", 5) != 0)
		RW_TRY(rw_slot_find(&view, key, RW_NO_ELEMENT, &slot, err));
	(void)RW_RAISE(err, RW_E_KEY, key, room ? "nothing of '%s' is chosen and left to adopt" : "'%s' is not a chosen input", key);
	rw_error_expected(err, "the key of an input that a rule has chosen");
	if (room)
		rw_error_hint(err, "'solve FILE' lists what was chosen");
	else
		rw_error_hint(err, "'explain FILE %s' says what it is", key);
	return RW_E_KEY;
}

rw_status rw_generator_adopt(const rw_generator *generator, const rw_units *units, const rw_design *full, const char *const *keys, int n_keys,
                             rw_text *text, int *n_put, rw_error *err)
{
	bool met[64] = {false};
	if (n_keys > 64)
		return RW_RAISE(err, RW_E_USAGE, "", "more than 64 keys");
	rw_text_clear(text);
	rw_text_add_n(text, generator->tree->bytes, generator->tree->n);
	adoption a = {units, NULL, keys, n_keys, 0, met, text, RW_OK, err};
	for (int job = 0; job < full->n_jobs; job++) {
		rw_view view = {full, NULL, job, RW_NO_CASE};
		a.view = &view;
		rw_each_slot(&view, adopt_one, &a);
		RW_TRY(a.status);
	}
	for (int k = 0; k < n_keys; k++)
		if (!met[k])
			return not_chosen(full, keys[k], err);
	*n_put = a.n_put;
	return text->failed ? RW_RAISE(err, RW_E_MEMORY, "", "memory ran out") : RW_OK;
}

/* "W kW MW" -> ", in W, kW, MW" */
static void put_units(const char *units, rw_text *out)
{
	rw_text_add(out, ", in ");
	for (; *units; units++)
		rw_text_add_n(out, *units == ' ' ? ", " : units, *units == ' ' ? 2 : 1);
}

void rw_generator_comment_open(const rw_design *design, const char *room_name, const char *indent, rw_text *out)
{
	int r = rw_registry_find(design->registry, room_name);
	const rw_room *room = design->registry->rooms[r];
	for (int i = 0; i < room->n_items; i++) {
		const rw_item *item = &room->items[i];
		rw_slot slot = {(int16_t)r, (int16_t)i, RW_NO_ELEMENT, 0, RW_NO_CASE};
		if (!item->input || item->list || rw_slot_origin(design, slot)->state != RW_OPEN || item->internal ||
		    !rw_only_holds(&item->input->only, rw_design_in(design, r, 0)))
			continue;
		rw_text_addf(out, "%s# %s:%*s# %s", indent, item->key, (int)(26 - (int)strlen(item->key) > 1 ? 26 - (int)strlen(item->key) : 1), "",
		    item->text);
		if (item->kind && item->kind->si[0] != '1')
			put_units(item->kind->units, out);
		if (item->input->rule)
			rw_text_addf(out, " (%s: %s)", item->input->rule, item->input->rule_text);
		else if (item->input->optional)
			rw_text_add(out, " (may stay open)");
		rw_text_add(out, "\n");
	}
}
