/* Addresses of figures: key to slot and back, reading and range-checked writing. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "item/design.h"

const rw_item *rw_slot_item(const rw_design *design, rw_slot slot)
{
	return &design->registry->rooms[slot.room]->items[slot.item];
}

static const rw_room *room_of(const rw_design *design, rw_slot slot) { return design->registry->rooms[slot.room]; }

static int part_index(const rw_design *design, rw_slot slot) { return room_of(design, slot)->per_job ? slot.job : 0; }

static rw_part *part_of(const rw_design *design, rw_slot slot) { return &design->part[slot.room][part_index(design, slot)]; }

rw_origin *rw_slot_origin(const rw_design *design, rw_slot slot)
{
	if (!rw_slot_item(design, slot)->input)
		return NULL;
	return &part_of(design, slot)->origin[rw_room_instance(room_of(design, slot), slot.item, slot.element)];
}

/* The member's bytes, or NULL when its struct has not been solved. */
static void *member(const rw_view *view, rw_slot slot)
{
	const rw_design *design = view->design;
	const rw_room *room = room_of(design, slot);
	const rw_item *item = &room->items[slot.item];
	const rw_list *list = item->list ? &room->lists[item->list - 1] : NULL;
	rw_place place = rw_item_place(item);
	const rw_solution *solution = view->solution;
	unsigned char *base = NULL;
	uint32_t at = 0, stride = 0;
	if (place == RW_IN_INPUT) {
		base = part_of(design, slot)->in;
		if (list)
			at = list->in_at, stride = list->in_stride;
	} else if (!solution) {
		return NULL;
	} else if (place == RW_IN_SET) {
		int part = part_index(design, slot);
		base = solution->set_solved[slot.room][part] ? solution->set[slot.room][part] : NULL;
		if (list)
			at = list->set_at, stride = list->set_stride;
	} else if (slot.scase >= 0 && solution->solved[slot.room][slot.scase]) {
		base = solution->kase[slot.room][slot.scase];
		if (list)
			at = list->case_at, stride = list->case_stride;
	}
	if (!base)
		return NULL;
	return base + item->offset + (list ? at + (uint32_t)slot.element * stride : 0U);
}

static bool is_open(const rw_item *item, const void *bytes)
{
	double x;
	int32_t i;
	if (!bytes)
		return true;
	switch (item->type) {
	case RW_NUMBER:
		memcpy(&x, bytes, sizeof x);
		return isnan(x);
	case RW_INTEGER:
		memcpy(&i, bytes, sizeof i);
		return i == INT32_MIN;
	case RW_TEXT: return *(const char *)bytes == '\0';
	default:
		memcpy(&i, bytes, sizeof i);
		return i < 0;
	}
}

rw_state rw_slot_state(const rw_view *view, rw_slot slot)
{
	const rw_item *item = rw_slot_item(view->design, slot);
	if (item->input)
		return (rw_state)rw_slot_origin(view->design, slot)->state;
	return is_open(item, member(view, slot)) ? RW_OPEN : RW_DERIVED;
}

bool rw_item_exists(const rw_view *view, rw_slot slot)
{
	return !is_open(rw_slot_item(view->design, slot), member(view, slot));
}

double rw_slot_get(const rw_view *view, rw_slot slot)
{
	const rw_item *item = rw_slot_item(view->design, slot);
	const void *bytes = member(view, slot);
	if (is_open(item, bytes) || item->type == RW_TEXT || item->type == RW_TABLE)
		return NAN;
	double x;
	int32_t i;
	if (item->type == RW_NUMBER) {
		memcpy(&x, bytes, sizeof x);
		return x;
	}
	memcpy(&i, bytes, sizeof i);
	return i;
}

const char *rw_slot_text(const rw_view *view, rw_slot slot)
{
	const rw_item *item = rw_slot_item(view->design, slot);
	const void *bytes = member(view, slot);
	if (is_open(item, bytes))
		return "";
	if (item->type == RW_TEXT)
		return bytes;
	if (item->type != RW_CHOICE || !item->input)
		return "";
	int32_t i;
	memcpy(&i, bytes, sizeof i);
	return item->input->choices[i];
}

rw_status rw_item_accepts(const rw_item *item, const rw_units *units, double si, rw_error *err)
{
	const rw_input *in = item->input;
	bool low_ok = in->min_open ? si > in->min : si >= in->min;
	bool high_ok = in->max_open ? si < in->max : si <= in->max;
	bool whole = item->type != RW_INTEGER || si == floor(si);
	if (isfinite(si) && low_ok && high_ok && whole)
		return RW_OK;
	char got[64], low[64], high[64];
	if (units && item->kind) {
		rw_units_write(units, item->kind, si, got, sizeof got);
		rw_units_write_limit(units, item->kind, in->min, low, sizeof low);
		rw_units_write_limit(units, item->kind, in->max, high, sizeof high);
	} else {
		snprintf(got, sizeof got, "%.9g", si);
		snprintf(low, sizeof low, "%.6g", in->min);
		snprintf(high, sizeof high, "%.6g", in->max);
	}
	if (whole)
		(void)RW_RAISE(err, RW_E_VALUE, item->key, "'%s' is %s", got, low_ok ? "too large" : "too small");
	else
		(void)RW_RAISE(err, RW_E_VALUE, item->key, "'%s' is not a whole number", got);
	rw_error_expected(err, "%s %s to %s%s%s", in->min_open ? "over" : "from", low, in->max_open ? "under " : "", high,
	                  item->type == RW_INTEGER ? ", a whole number" : "");
	rw_error_hint(err, "check the number and its unit");
	return RW_E_VALUE;
}

rw_status rw_slot_set(rw_design *design, rw_slot slot, double si, rw_error *err)
{
	const rw_item *item = rw_slot_item(design, slot);
	if (!item->input || (item->type != RW_NUMBER && item->type != RW_INTEGER && item->type != RW_CHOICE))
		return RW_RAISE(err, RW_E_KEY, item->key, "'%s' is not an input that takes a number", item->key);
	if (item->type != RW_CHOICE)
		RW_TRY(rw_item_accepts(item, NULL, si, err));
	rw_view view = {design, NULL, slot.job, RW_NO_CASE};
	void *bytes = member(&view, slot);
	if (item->type == RW_NUMBER) {
		memcpy(bytes, &si, sizeof si);
	} else {
		int32_t i = (int32_t)si;
		memcpy(bytes, &i, sizeof i);
	}
	*rw_slot_origin(design, slot) = (rw_origin){.state = RW_GIVEN};
	return RW_OK;
}

void rw_slot_leave_open(rw_design *design, rw_slot slot)
{
	rw_view view = {design, NULL, slot.job, RW_NO_CASE};
	const double open = NAN;
	if (rw_slot_item(design, slot)->type == RW_NUMBER)
		memcpy(member(&view, slot), &open, sizeof open);
	*rw_slot_origin(design, slot) = (rw_origin){.state = RW_OPEN};
}

const rw_bound_table *rw_slot_table(const rw_view *view, rw_slot slot)
{
	const rw_item *item = rw_slot_item(view->design, slot);
	const void *bytes = member(view, slot);
	int32_t index;
	if (item->type != RW_TABLE || is_open(item, bytes))
		return NULL;
	memcpy(&index, bytes, sizeof index);
	return rw_design_table(view->design, index) ? &view->design->tables[index] : NULL;
}

/* Splits "branches.anode.flow" by the item key "branches.*.flow"; the name goes to name. */
static bool matches(const char *item_key, const char *key, char *name, size_t room)
{
	name[0] = '\0';
	const char *star = strchr(item_key, '*');
	if (!star)
		return strcmp(item_key, key) == 0;
	size_t head = (size_t)(star - item_key);
	if (strncmp(item_key, key, head) != 0)
		return false;
	size_t n = strcspn(key + head, ".");
	if (strcmp(key + head + n, star + 1) != 0 || n == 0 || n >= room)
		return false;
	memcpy(name, key + head, n);
	name[n] = '\0';
	return true;
}

static int find_element(const rw_design *design, rw_slot slot, const char *name)
{
	int list = rw_slot_item(design, slot)->list - 1;
	for (int k = 0; k < rw_design_elements(design, slot.room, list, slot.job); k++)
		if (strcmp(part_of(design, slot)->names[list][k], name) == 0)
			return k;
	return RW_NO_ELEMENT;
}

typedef struct nearest_search { const rw_design *design; const char *key; int best; char text[96]; } nearest_search;

static void consider(void *context, rw_slot slot)
{
	nearest_search *search = context;
	char key[96];
	rw_slot_key(search->design, slot, key, sizeof key);
	int distance = rw_text_distance(search->key, key);
	if (distance < search->best) {
		search->best = distance;
		snprintf(search->text, sizeof search->text, "%s", key);
	}
}

static rw_status no_such_key(const rw_view *view, const char *key, rw_error *err)
{
	nearest_search search = {view->design, key, (int)strlen(key) / 2 + 2, ""};
	rw_view all = *view;
	rw_each_slot(&all, consider, &search);
	(void)RW_RAISE(err, RW_E_KEY, key, "there is no figure '%s'", key);
	rw_error_expected(err, "the key of a figure, such as oscillator.anode_loss");
	if (search.text[0])
		rw_error_hint(err, "the nearest is '%s'", search.text);
	else
		rw_error_hint(err, "'solve FILE --format csv' lists all keys");
	return RW_E_KEY;
}

/* "jobs.pin.work.heat_power", as files, CSV and JSON write it: the key behind the job's name, and the job. */
static const char *key_of_path(const rw_design *design, const char *path, int *job)
{
	if (strncmp(path, "jobs.", 5) != 0)
		return path;
	size_t n = strcspn(path + 5, ".");
	for (int j = 0; j < design->n_jobs && path[5 + n]; j++)
		if (strlen(design->job_names[j]) == n && strncmp(design->job_names[j], path + 5, n) == 0) {
			*job = j;
			return path + 5 + n + 1;
		}
	return path;
}

rw_status rw_slot_find(const rw_view *view, const char *path, int element, rw_slot *out, rw_error *err)
{
	const rw_design *design = view->design;
	int job = view->scase >= 0 && view->solution ? view->solution->cases[view->scase].job : view->job;
	if (!path)
		RW_BUG(err, "a figure without a key is looked for");
	const char *key = key_of_path(design, path, &job);
	const char *dot = strchr(key, '.');
	char room_name[32] = "", name[64];
	if (dot && (size_t)(dot - key) < sizeof room_name)
		memcpy(room_name, key, (size_t)(dot - key));
	int r = rw_registry_find(design->registry, room_name);
	if (!dot || r < 0)
		return no_such_key(view, key, err);
	const rw_room *room = design->registry->rooms[r];
	for (int i = 0; i < room->n_items; i++) {
		const rw_item *item = &room->items[i];
		if (!matches(item->key, dot + 1, name, sizeof name))
			continue;
		rw_slot slot = {(int16_t)r, (int16_t)i, RW_NO_ELEMENT, (int16_t)job, rw_item_place(item) == RW_IN_CASE ? view->scase : RW_NO_CASE};
		if (item->list) {
			slot.element = (int16_t)(strcmp(name, "*") == 0 ? element : find_element(design, slot, name));
			if (slot.element == RW_NO_ELEMENT)
				break;
		}
		*out = slot;
		return RW_OK;
	}
	return no_such_key(view, key, err);
}

void rw_slot_key(const rw_design *design, rw_slot slot, char *out, size_t room)
{
	const rw_room *r = room_of(design, slot);
	const rw_item *item = &r->items[slot.item];
	const char *star = strchr(item->key, '*');
	if (!star || slot.element == RW_NO_ELEMENT)
		snprintf(out, room, "%s.%s", r->name, item->key);
	else
		snprintf(out, room, "%s.%.*s%s%s", r->name, (int)(star - item->key), item->key,
		    part_of(design, slot)->names[item->list - 1][slot.element],
		         star + 1);
}

void rw_slot_path(const rw_design *design, rw_slot slot, char *out, size_t room)
{
	char key[128];
	rw_slot_key(design, slot, key, sizeof key);
	if (room_of(design, slot)->per_job && rw_item_place(rw_slot_item(design, slot)) != RW_IN_CASE)   /* a case is one of a job already */
		snprintf(out, room, "jobs.%s.%s", design->job_names[slot.job], key);
	else
		snprintf(out, room, "%s", key);
}

void rw_each_slot(const rw_view *view, void (*visit)(void *context, rw_slot slot), void *context)
{
	const rw_design *design = view->design;
	int job = view->scase >= 0 && view->solution ? view->solution->cases[view->scase].job : view->job;
	for (int r = 0; r < design->registry->n_rooms; r++) {
		const rw_room *room = design->registry->rooms[r];
		for (int i = 0; i < room->n_items; i++) {
			const rw_item *item = &room->items[i];
			bool of_case = rw_item_place(item) == RW_IN_CASE;
			if (of_case && view->scase < 0)
				continue;
			rw_slot slot = {(int16_t)r, (int16_t)i, RW_NO_ELEMENT, (int16_t)job, of_case ? view->scase : RW_NO_CASE};
			int n = item->list ? rw_design_elements(design, r, item->list - 1, job) : 1;
			for (int k = 0; k < n; k++) {
				slot.element = (int16_t)(item->list ? k : RW_NO_ELEMENT);
				visit(context, slot);
			}
		}
	}
}
