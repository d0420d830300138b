/* The whole set solved: the page that lists the stages. */
#include <stdio.h>
#include <string.h>

#include "chain/followers.h"
#include "chain/line.h"

static rw_status read_ratios(rw_arena *arena, const rw_chain_base *base, const rw_entry *entry, const char *key, const rw_column *columns,
    int n_columns, rw_table *out, rw_error *err)
{
	const rw_fact *fact = rw_entry_fact(entry, key);
	if (!fact)
		return RW_RAISE(err, RW_E_MISSING, key, "'%s' has no table '%s'", entry->file, key);
	rw_status status = rw_table_read(arena, base->units, columns, n_columns, 2, fact->value, out, err);
	if (status != RW_OK)
		rw_error_at(err, entry->file, fact->at.line + (err ? err->line : 0), 1, 1);
	return status;
}

static rw_status read_medhurst(rw_arena *arena, rw_chain_base *base, rw_error *err)
{
	const rw_entry *entry;
	RW_TRY(rw_library_entry(base->library, arena, "tables", "medhurst", &entry, err));
	RW_TRY(read_ratios(arena, base, entry, "resistance_ratio_short", rw_medhurst_short_columns, RW_MEDHURST_COLUMNS, &base->medhurst.short_coils, err));
	return read_ratios(arena, base, entry, "resistance_ratio_long", rw_medhurst_long_columns, RW_MEDHURST_COLUMNS, &base->medhurst.long_coils, err);
}

static rw_status read_harmonics(rw_arena *arena, rw_chain_base *base, rw_error *err)
{
	const rw_entry *entry;
	RW_TRY(rw_library_entry(base->library, arena, "tables", "ieee-519", &entry, err));
	RW_TRY(read_ratios(arena, base, entry, "rows_read", rw_harmonic_columns, RW_HARMONIC_COLUMNS, &base->harmonics[0], err));
	return read_ratios(arena, base, entry, "rows_recalled", rw_harmonic_columns, RW_HARMONIC_COLUMNS, &base->harmonics[1], err);
}

static const char *text_of(const void *entry, const char *key)
{
	const rw_fact *fact = rw_entry_fact(entry, key);
	return fact ? fact->value : NULL;
}

static rw_status read_bands(rw_arena *arena, rw_chain_base *base, rw_error *err)
{
	const rw_entry *entry;
	RW_TRY(rw_library_entry(base->library, arena, "tables", "ism-bands", &entry, err));
	return rw_bands_read(arena, base->units, text_of, entry, &base->bands, err);
}

rw_status rw_chain_base_open(rw_arena *arena, const rw_stages *stages, const rw_units *units, const char *data_dir, rw_chain_base *out,
    rw_error *err)
{
	rw_chain_base base = {.stages = stages, .units = units};
	const rw_entry *water;
	RW_TRY(rw_library_open(arena, data_dir, &base.library, err));
	RW_TRY(rw_library_entry(base.library, arena, "tables", "water", &water, err));
	const rw_fact *fact = rw_entry_fact(water, "properties");
	if (!fact)
		return RW_RAISE(err, RW_E_MISSING, "properties", "'%s' has no table 'properties'", water->file);
	rw_status status = rw_table_read(arena, units, rw_water_columns, 4, 2, fact->value, &base.water, err);
	if (status != RW_OK) {
		rw_error_at(err, water->file, fact->at.line + (err ? err->line : 0), 1, 1);
		return status;
	}
	RW_TRY(read_medhurst(arena, &base, err));
	RW_TRY(read_harmonics(arena, &base, err));
	RW_TRY(read_bands(arena, &base, err));
	RW_TRY(rw_read_tungsten(arena, &base, &base.tungsten, err));
	*out = base;
	return RW_OK;
}

/* New and worn, or new only. */
static int n_valves(const rw_chain *chain)
{
	return ((const rw_cases_in *)rw_chain_in(chain, "cases", 0))->valves == RW_VALVES_NEW ? 1 : 2;   /* open: both */
}

static rw_status new_solution(rw_chain *chain, rw_error *err)
{
	const rw_registry *registry = chain->base->stages->registry;
	rw_solution *s = RW_ARENA_NEW(chain->arena, rw_solution, 1);
	if (!s)
		goto out_of_memory;
	s->design = chain->full;
	for (int j = 0; j < chain->full->n_jobs; j++)
		s->n_cases += 3 * n_valves(chain) * ((const rw_work_in *)rw_chain_in(chain, "work", j))->n_loads;
	chain->judged_load = RW_ARENA_NEW(chain->arena, int, chain->full->n_jobs);
	s->cases = RW_ARENA_NEW(chain->arena, rw_case_name, s->n_cases);
	s->why_not = RW_ARENA_NEW(chain->arena, const char *, s->n_cases);
	s->why_text = rw_arena_get(chain->arena, sizeof *s->why_text * (size_t)s->n_cases);
	s->set = RW_ARENA_NEW(chain->arena, void **, registry->n_rooms);
	s->kase = RW_ARENA_NEW(chain->arena, void **, registry->n_rooms);
	s->solved = RW_ARENA_NEW(chain->arena, bool *, registry->n_rooms);
	s->set_solved = RW_ARENA_NEW(chain->arena, bool *, registry->n_rooms);
	if (!chain->judged_load || !s->cases || !s->why_not || !s->why_text || !s->set || !s->kase || !s->solved || !s->set_solved)
		goto out_of_memory;
	for (int r = 0; r < registry->n_rooms; r++) {
		const rw_room *room = registry->rooms[r];
		int parts = room->per_job ? chain->full->n_jobs : 1;
		s->set[r] = RW_ARENA_NEW(chain->arena, void *, parts);
		s->kase[r] = RW_ARENA_NEW(chain->arena, void *, s->n_cases);
		s->solved[r] = RW_ARENA_NEW(chain->arena, bool, s->n_cases);
		s->set_solved[r] = RW_ARENA_NEW(chain->arena, bool, parts);
		if (!s->set[r] || !s->kase[r] || !s->solved[r] || !s->set_solved[r])
			goto out_of_memory;
		for (int j = 0; j < parts; j++) {
			if (!(s->set[r][j] = rw_arena_get(chain->arena, room->set_size)))
				goto out_of_memory;
			rw_room_blank(room, NULL, s->set[r][j], NULL);
		}
		for (int k = 0; k < s->n_cases; k++) {
			if (!(s->kase[r][k] = rw_arena_get(chain->arena, room->case_size)))
				goto out_of_memory;
			rw_room_blank(room, NULL, NULL, s->kase[r][k]);
		}
	}
	chain->solution = s;
	return RW_OK;
out_of_memory:
	return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
}

/* Those of the new valve first, then the same of the worn one. */
static void name_cases(rw_chain *chain)
{
	rw_solution *s = chain->solution;
	int n = 0;
	for (int valve = 0; valve < n_valves(chain); valve++)
		for (int j = 0; j < chain->full->n_jobs; j++)
			for (int k = 0; k < ((const rw_work_in *)rw_chain_in(chain, "work", j))->n_loads; k++)
				for (int mains = 0; mains < 3; mains++, n++) {
					s->cases[n] = (rw_case_name){.job = j, .load = k, .mains = mains, .valve = valve};
					snprintf(s->cases[n].load_name, RW_NAME_BYTES, "%s", rw_line_load_name(chain, j, k));
				}
}

static void find_design_case(rw_chain *chain)
{
	const rw_generator_in *generator = rw_chain_in(chain, "generator", 0);
	rw_solution *s = chain->solution;
	for (int k = 0; k < s->n_cases; k++)
		if (s->cases[k].mains == 1 && s->cases[k].valve == RW_NEW_VALVE && strcmp(s->cases[k].load_name, generator->design_load) == 0 &&
		    strcmp(chain->full->job_names[s->cases[k].job], generator->design_job) == 0)
			s->design_case = k;
}

/* A net below the rooms: what a root or a table deep inside raises has no words for the user. */
static rw_status tell(rw_status status, rw_error *err)
{
	if (status == RW_OK || status == RW_E_CANCELLED || status == RW_E_MEMORY || !err)
		return status;
	if (!err->expected[0])
		rw_error_expected(err, "figures of ordinary size");
	if (!err->hint[0])
		rw_error_hint(err, "look for a given value that is far too small or too great");
	return status;
}

static rw_status solve(rw_chain *chain, rw_error *err);

rw_status rw_chain_solve(const rw_chain_base *base, const rw_design *design, rw_arena *arena, rw_work *work, rw_chain *chain, rw_error *err)
{
	*chain = (rw_chain){.base = base, .arena = arena, .work = work};
	RW_TRY(rw_design_copy(arena, design, &chain->full, err));
	return tell(solve(chain, err), err);
}

static rw_status solve(rw_chain *chain, rw_error *err)
{
	const rw_stages *stages = chain->base->stages;
	RW_TRY(rw_take_library(chain, err));
	RW_TRY(rw_loads_choose(chain, err));                 /* what is heated, in which states: the cases */
	RW_TRY(new_solution(chain, err));
	name_cases(chain);

	for (int i = 0; i < stages->n; i++)                  /* choose the open parts, round, freeze */
		if (stages->stage[i].choose)
			RW_TRY(stages->stage[i].choose(chain, err));
	find_design_case(chain);
	for (int i = 0; i < stages->n; i++)                  /* figures of the frozen set */
		if (stages->stage[i].settle)
			RW_TRY(stages->stage[i].settle(chain, err));
	if (chain->base->retune)                             /* what can be turned, job by job */
		RW_TRY(rw_settings_retune(chain, err));
	RW_TRY(rw_rate_cases(chain, err));                   /* what the set then does, case by case */
	for (int i = 0; i < stages->n; i++)                  /* followers, sized on the worst case */
		if (stages->stage[i].follow)
			RW_TRY(stages->stage[i].follow(chain, err));
	RW_TRY(rw_chain_budget(chain, NULL, err));
	return rw_chain_check(chain, err);
}
