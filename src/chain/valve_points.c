/* The valve's points: from the file or the library entry, made ready once for all cases. */
#include <stdio.h>
#include <string.h>

#include "chain/followers.h"
#include "chain/line.h"

static rw_status bind(rw_chain *chain, const rw_table *table, int32_t *index, rw_error *err)
{
	rw_design *full = chain->full;
	rw_bound_table *grown = RW_ARENA_NEW(chain->arena, rw_bound_table, full->n_tables + 1);
	if (!grown)
		return RW_RAISE(err, RW_E_MEMORY, "valve.points", "memory ran out");
	if (full->n_tables)
		memcpy(grown, full->tables, sizeof *grown * (size_t)full->n_tables);
	grown[full->n_tables] = (rw_bound_table){*table, "valve.points"};
	full->tables = grown;
	*index = full->n_tables++;
	return RW_OK;
}

/* The entry's table where the file gives none. */
rw_status rw_take_points(rw_chain *chain, rw_error *err)
{
	rw_valve_in *valve = rw_chain_in(chain, "valve", 0);
	const rw_fact *fact = rw_entry_fact(chain->valve_entry, "points");
	if (!fact || valve->points >= 0)
		return RW_OK;
	rw_view view = rw_chain_view(chain, 0, RW_NO_CASE);
	rw_slot slot;
	rw_table table;
	RW_TRY(rw_slot_find(&view, "valve.points", RW_NO_ELEMENT, &slot, err));
	const rw_input *input = rw_slot_item(chain->full, slot)->input;
	rw_status status = rw_table_read(chain->arena, chain->base->units, input->columns, input->n_columns, input->min_rows, fact->value, &table, err);
	if (status != RW_OK) {
		rw_error_at(err, chain->valve_entry->file, fact->at.line + (err ? err->line : 0), 1, 1);
		return status;
	}
	RW_TRY(bind(chain, &table, &valve->points, err));
	rw_origin *origin = rw_slot_origin(chain->full, slot);
	*origin = (rw_origin){.state = RW_CHOSEN, .rule = "library", .source = fact->source, .unverified = fact->unverified,
	    .note = rw_arena_format(chain->arena, "valve %s, %s: %s", chain->valve_entry->name, fact->block, fact->status)};
	return origin->note ? RW_OK : RW_RAISE(err, RW_E_MEMORY, "valve.points", "memory ran out");
}

/* Law R1, and the points it stands on. */
rw_status rw_choose_law(rw_chain *chain, rw_error *err)
{
	rw_valve_in *valve = rw_chain_in(chain, "valve", 0);
	if (valve->law < 0)
		valve->law = rw_chain_given(chain, "valve.points", 0) ? RW_LAW_POINTS : RW_LAW_DIVIDED;
	if (valve->law != RW_LAW_POINTS)
		return RW_OK;
	const rw_table *table = rw_design_table(chain->full, valve->points);
	if (table)
		return rw_valve_points_make(chain->arena, table, &chain->valve_points, err);
	(void)RW_RAISE(err, RW_E_MISSING, "valve.law", "the law is 'points', and neither the file nor the library entry '%s' has any",
	    chain->valve_entry->name);
	rw_error_expected(err, "'points' under 'valve', a table of anode_voltage, grid_voltage, anode_current and grid_current");
	rw_error_hint(err, "read points from the maker's curves, or take the law 'divided'");
	return RW_E_MISSING;
}
