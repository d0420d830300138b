#include <math.h>
#include <string.h>

#include "item/design.h"

size_t rw_type_bytes(rw_type type)
{
	switch (type) {
	case RW_NUMBER: return sizeof(double);
	case RW_TEXT:   return RW_TEXT_BYTES;
	default:        return sizeof(int32_t);
	}
}

static void blank_member(const rw_item *item, void *member)
{
	const double open_number = (double)NAN;
	const int32_t open_integer = INT32_MIN, open_index = -1;
	switch (item->type) {
	case RW_NUMBER:  memcpy(member, &open_number, sizeof open_number); break;
	case RW_INTEGER: memcpy(member, &open_integer, sizeof open_integer); break;
	case RW_TEXT:    memset(member, 0, RW_TEXT_BYTES); break;
	default:         memcpy(member, &open_index, sizeof open_index); break;
	}
}

static void blank_item(const rw_room *room, const rw_item *item, unsigned char *base)
{
	if (item->list == 0) {
		blank_member(item, base + item->offset);
		return;
	}
	const rw_list *list = &room->lists[item->list - 1];
	rw_place place = rw_item_place(item);
	uint32_t at = place == RW_IN_INPUT ? list->in_at : place == RW_IN_SET ? list->set_at : list->case_at;
	uint32_t stride = place == RW_IN_INPUT ? list->in_stride : place == RW_IN_SET ? list->set_stride : list->case_stride;
	for (int k = 0; k < list->capacity; k++)
		blank_member(item, base + at + (uint32_t)k * stride + item->offset);
}

void rw_room_blank(const rw_room *room, void *in, void *set, void *kase)
{
	if (in)
		memset(in, 0, room->in_size);
	if (set)
		memset(set, 0, room->set_size);
	if (kase)
		memset(kase, 0, room->case_size);
	for (int i = 0; i < room->n_items; i++) {
		const rw_item *item = &room->items[i];
		rw_place place = rw_item_place(item);
		unsigned char *base = place == RW_IN_INPUT ? in : place == RW_IN_SET ? set : kase;
		if (base)
			blank_item(room, item, base);
	}
}

int rw_room_instance(const rw_room *room, int item, int element)
{
	int n = 0;
	for (int i = 0; i < item; i++)
		n += room->items[i].list ? room->lists[room->items[i].list - 1].capacity : 1;
	return n + (element > 0 ? element : 0);
}

int rw_room_instances(const rw_room *room) { return rw_room_instance(room, room->n_items, 0); }

int rw_registry_find(const rw_registry *registry, const char *room_name)
{
	for (int i = 0; i < registry->n_rooms; i++)
		if (strcmp(registry->rooms[i]->name, room_name) == 0)
			return i;
	return -1;
}

int rw_item_find(const rw_room *room, const char *key)
{
	for (int i = 0; i < room->n_items; i++)
		if (strcmp(room->items[i].key, key) == 0)
			return i;
	return -1;
}

bool rw_only_holds(const rw_only *only, const void *in)
{
	int32_t kind;
	if (!only->key)
		return true;
	memcpy(&kind, (const unsigned char *)in + only->at, sizeof kind);
	return (only->kinds >> (kind < 0 ? 0 : kind) & 1U) != 0;
}
