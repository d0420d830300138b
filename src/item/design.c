#include "item/design.h"

#include <stdio.h>
#include <string.h>

static int parts_of(const rw_room *room, int n_jobs) { return room->per_job ? n_jobs : 1; }

static rw_status no_memory(rw_error *err) { return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out"); }

static rw_status new_part(rw_arena *arena, const rw_room *room, rw_part *part, rw_error *err)
{
	part->in = rw_arena_get(arena, room->in_size);
	part->origin = RW_ARENA_NEW(arena, rw_origin, rw_room_instances(room));
	part->names = rw_arena_get(arena, sizeof *part->names * (size_t)room->n_lists);
	if (!part->in || !part->origin || !part->names)
		return no_memory(err);
	for (int l = 0; l < room->n_lists; l++) {
		part->names[l] = rw_arena_get(arena, (size_t)room->lists[l].capacity * RW_NAME_BYTES);
		if (!part->names[l])
			return no_memory(err);
	}
	rw_room_blank(room, part->in, NULL, NULL);
	return RW_OK;
}

rw_status rw_design_new(rw_arena *arena, const rw_registry *registry, int n_jobs, rw_design **out, rw_error *err)
{
	rw_design *design = RW_ARENA_NEW(arena, rw_design, 1);
	if (!design)
		return no_memory(err);
	design->registry = registry;
	design->arena = arena;
	design->file = "";
	design->n_jobs = n_jobs;
	design->job_names = rw_arena_get(arena, (size_t)n_jobs * RW_NAME_BYTES);
	design->part = RW_ARENA_NEW(arena, rw_part *, registry->n_rooms);
	if (!design->job_names || !design->part)
		return no_memory(err);
	for (int r = 0; r < registry->n_rooms; r++) {
		int n = parts_of(registry->rooms[r], n_jobs);
		design->part[r] = RW_ARENA_NEW(arena, rw_part, n);
		if (!design->part[r])
			return no_memory(err);
		for (int j = 0; j < n; j++)
			RW_TRY(new_part(arena, registry->rooms[r], &design->part[r][j], err));
	}
	*out = design;
	return RW_OK;
}

rw_status rw_design_copy(rw_arena *arena, const rw_design *design, rw_design **out, rw_error *err)
{
	rw_design *copy;
	RW_TRY(rw_design_new(arena, design->registry, design->n_jobs, &copy, err));
	copy->file = design->file;
	memcpy(copy->digest, design->digest, sizeof copy->digest);
	memcpy(copy->job_names, design->job_names, (size_t)design->n_jobs * RW_NAME_BYTES);
	copy->n_tables = design->n_tables;
	copy->tables = design->tables;
	for (int r = 0; r < design->registry->n_rooms; r++) {
		const rw_room *room = design->registry->rooms[r];
		for (int j = 0; j < parts_of(room, design->n_jobs); j++) {
			const rw_part *from = &design->part[r][j];
			rw_part *to = &copy->part[r][j];
			memcpy(to->in, from->in, room->in_size);
			memcpy(to->origin, from->origin, sizeof(rw_origin) * (size_t)rw_room_instances(room));
			for (int l = 0; l < room->n_lists; l++)
				memcpy(to->names[l], from->names[l], (size_t)room->lists[l].capacity * RW_NAME_BYTES);
		}
	}
	*out = copy;
	return RW_OK;
}

void *rw_design_in(const rw_design *design, int room, int job)
{
	return design->part[room][design->registry->rooms[room]->per_job ? job : 0].in;
}

const void *rw_solution_set(const rw_solution *solution, int room, int job)
{
	return solution->set[room][solution->design->registry->rooms[room]->per_job ? job : 0];
}

const void *rw_solution_case(const rw_solution *solution, int room, int scase) { return solution->kase[room][scase]; }

int rw_design_elements(const rw_design *design, int room, int list, int job)
{
	const rw_list *l = &design->registry->rooms[room]->lists[list];
	int32_t n;
	memcpy(&n, (const char *)rw_design_in(design, room, job) + l->count_at, sizeof n);
	return n;
}

const rw_table *rw_design_table(const rw_design *design, int32_t index)
{
	return index >= 0 && index < design->n_tables ? &design->tables[index].table : NULL;
}

void rw_origin_choose(rw_origin *origin, const rw_item *item, const char *note)
{
	origin->state = RW_CHOSEN;
	origin->rule = item->input->rule;
	origin->source = item->input->rule_source;
	origin->note = note;
}
