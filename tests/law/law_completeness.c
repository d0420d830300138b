/* Every byte of every room's structs belongs to exactly one row of its table, or is named here as unused. */
#include "law.h"

#include "chain/duty.h"

enum { FILL = 0xA5 };

/* Members that only keep the structs free of padding. element: offset within each element of the room's first list. */
typedef struct spare { const char *room; size_t offset, bytes; bool element; } spare;

static const spare spares[] = {
	{"generator", offsetof(rw_generator_in, unused), sizeof(int32_t), false},
	{"cases", offsetof(rw_cases_in, unused), sizeof(int32_t), false},
	{"site", offsetof(rw_site_in, unused), sizeof(int32_t), false},
	{"supply", offsetof(rw_supply_in, unused), sizeof(int32_t), false},
	{"filament", offsetof(rw_filament_in, unused), sizeof(int32_t), false},
	{"water", offsetof(rw_water_in, unused), sizeof(int32_t), false},
	{"mains", offsetof(rw_mains_in, unused), sizeof(int32_t), false},
	{"duty", offsetof(rw_duty_in, unused), sizeof(int32_t), false},
	{"protection", offsetof(rw_store_in, unused), sizeof(int32_t), true},
	{"output", offsetof(rw_output_in, unused), sizeof(int32_t), false},
	{"tank", offsetof(rw_capacitor_in, unused), sizeof(int32_t), true},
	{"work", offsetof(rw_load_in, unused), sizeof(int32_t), true},
};

static const char *const place_names[] = {"in", "set", "case"};

typedef struct fault { char text[200]; int n; } fault;

static RW_PRINTF(2, 3) void note(fault *f, const char *format, ...)
{
	va_list args;
	va_start(args, format);
	if (f->n++ == 0)
		vsnprintf(f->text, sizeof f->text, format, args);
	va_end(args);
}

typedef struct image {
	const rw_room *room;
	rw_place place;
	size_t size;
	unsigned char *bytes;
	fault *fault;
} image;

/* A row zeroes what is its own; what is zero already was another row's. */
static void zero(image *m, size_t at, size_t n, const char *key)
{
	if (at + n > m->size) {
		note(m->fault, "%s, %s struct: '%s' ends at %zu of %zu bytes", m->room->name, place_names[m->place], key, at + n, m->size);
		return;
	}
	for (size_t i = at; i < at + n; i++)
		if (m->bytes[i] != FILL)
			note(m->fault, "%s, %s struct: '%s' overlaps another row at offset %zu", m->room->name, place_names[m->place], key, i);
	memset(m->bytes + at, 0, n);
}

static void zero_elements(image *m, const rw_list *list, size_t offset, size_t n, const char *key)
{
	size_t at = m->place == RW_IN_INPUT ? list->in_at : m->place == RW_IN_SET ? list->set_at : list->case_at;
	size_t stride = m->place == RW_IN_INPUT ? list->in_stride : m->place == RW_IN_SET ? list->set_stride : list->case_stride;
	if (offset + n > stride)
		note(m->fault, "%s, %s struct: '%s' is not inside its element", m->room->name, place_names[m->place], key);
	for (int k = 0; k < list->capacity; k++)
		zero(m, at + (size_t)k * stride + offset, n, key);
}

static void zero_rows(image *m)
{
	for (int i = 0; i < m->room->n_items; i++) {
		const rw_item *item = &m->room->items[i];
		if (rw_item_place(item) != m->place)
			continue;
		size_t n = rw_type_bytes((rw_type)item->type);
		if (item->offset % (item->type == RW_NUMBER ? sizeof(double) : item->type == RW_TEXT ? 1 : sizeof(int32_t)) != 0)
			note(m->fault, "%s: '%s' is not aligned", m->room->name, item->key);
		if (item->list)
			zero_elements(m, &m->room->lists[item->list - 1], item->offset, n, item->key);
		else
			zero(m, item->offset, n, item->key);
	}
	for (int l = 0; m->place == RW_IN_INPUT && l < m->room->n_lists; l++)
		zero(m, m->room->lists[l].count_at, sizeof(int32_t), m->room->lists[l].key);
}

static void zero_spares(image *m)
{
	for (size_t s = 0; m->place == RW_IN_INPUT && s < sizeof spares / sizeof spares[0]; s++) {
		if (strcmp(spares[s].room, m->room->name) != 0)
			continue;
		if (spares[s].element)
			zero_elements(m, &m->room->lists[0], spares[s].offset, spares[s].bytes, "unused of an element");
		else
			zero(m, spares[s].offset, spares[s].bytes, "unused");
	}
}

static void check_struct(const rw_room *room, rw_place place, fault *f)
{
	image m = {room, place, place == RW_IN_INPUT ? room->in_size : place == RW_IN_SET ? room->set_size : room->case_size, NULL, f};
	m.bytes = malloc(m.size + 1);
	assert_non_null(m.bytes);
	memset(m.bytes, FILL, m.size);
	zero_rows(&m);
	zero_spares(&m);
	for (size_t i = 0; i < m.size; i++)
		if (m.bytes[i] == FILL) {
			note(f, "%s, %s struct: no row has the byte at offset %zu", room->name, place_names[place], i);
			break;
		}
	free(m.bytes);
}

static void check_keys(const rw_room *room, fault *f)
{
	for (int i = 0; i < room->n_items; i++) {
		const rw_item *a = &room->items[i];
		const char *star = strchr(a->key, '*');
		if ((star != NULL) != (a->list != 0) || a->list > room->n_lists)
			note(f, "%s: '%s' is in no list, or in one without a '*'", room->name, a->key);
		else if (star && (strncmp(a->key, room->lists[a->list - 1].key, (size_t)(star - a->key) - 1) != 0 || strchr(star + 1, '*')))
			note(f, "%s: '%s' does not start with its list's key, or has two '*'", room->name, a->key);
		for (int k = 0; k < i; k++)
			if (strcmp(a->key, room->items[k].key) == 0)
				note(f, "%s: the key '%s' is there twice", room->name, a->key);
		for (int l = 0; l < room->n_lists; l++)
			if (strcmp(a->key, room->lists[l].key) == 0)
				note(f, "%s: '%s' is a list too", room->name, a->key);
	}
}

static void check_room(const rw_room *room, fault *f)
{
	check_keys(room, f);
	check_struct(room, RW_IN_INPUT, f);
	check_struct(room, RW_IN_SET, f);
	check_struct(room, RW_IN_CASE, f);
}

static void every_byte_has_one_row(void **state)
{
	(void)state;
	const rw_registry *registry = rw_all_stages.registry;
	fault f = {"", 0};
	int rows = 0;
	assert_int_equal(registry->n_rooms, rw_all_stages.n);
	for (int r = 0; r < registry->n_rooms; r++) {
		check_room(registry->rooms[r], &f);
		rows += registry->rooms[r]->n_items;
		assert_ptr_equal(registry->rooms[r], rw_all_stages.stage[r].room);
		for (int q = 0; q < r; q++)
			assert_string_not_equal(registry->rooms[r]->name, registry->rooms[q]->name);
	}
	printf("%d rooms, %d rows\n", registry->n_rooms, rows);
	if (f.n)
		fail_msg("%s (%d faults)", f.text, f.n);
}

/* Planted faults, so that the law is known to see them: each row in turn missing, doubled, moved by four bytes. */
static void planted_faults_are_seen(void **state)
{
	(void)state;
	const rw_registry *registry = rw_all_stages.registry;
	for (int r = 0; r < registry->n_rooms; r++) {
		rw_room room = *registry->rooms[r];
		rw_item *rows = calloc((size_t)room.n_items + 1, sizeof *rows);
		assert_non_null(rows);
		for (int gone = 0; gone < room.n_items; gone++) {
			fault missing = {"", 0}, twice = {"", 0}, moved = {"", 0};
			memcpy(rows, room.items, sizeof *rows * (size_t)gone);
			memcpy(rows + gone, room.items + gone + 1, sizeof *rows * (size_t)(room.n_items - gone - 1));
			rw_room less = room, more = room, other = room;
			less.items = more.items = other.items = rows;
			less.n_items--;
			check_room(&less, &missing);
			memcpy(rows, room.items, sizeof *rows * (size_t)room.n_items);
			rows[room.n_items] = room.items[gone];
			more.n_items++;
			check_room(&more, &twice);
			rows[gone].offset += 4;
			check_room(&other, &moved);
			if (!missing.n || !twice.n || !moved.n)
				fail_msg("%s.%s: missing seen %d, doubled seen %d, moved seen %d", room.name, room.items[gone].key, missing.n, twice.n, moved.n);
		}
		free(rows);
	}
}

int main(void)
{
	const struct CMUnitTest tests[] = {cmocka_unit_test(every_byte_has_one_row), cmocka_unit_test(planted_faults_are_seen)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
