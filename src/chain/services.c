/* Services for stages: finding structs by room name, provenance, notes. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/numeric.h"
#include "chain/chain.h"

static int room_index(const rw_chain *chain, const char *room) { return rw_registry_find(chain->base->stages->registry, room); }

void *rw_chain_in(const rw_chain *chain, const char *room, int job) { return rw_design_in(chain->full, room_index(chain, room), job); }

static int part_index(const rw_chain *chain, int r, int job) { return chain->base->stages->registry->rooms[r]->per_job ? job : 0; }

void *rw_chain_set(const rw_chain *chain, const char *room, int job)
{
	int r = room_index(chain, room);
	return chain->solution->set[r][part_index(chain, r, job)];
}

void *rw_chain_case(const rw_chain *chain, const char *room, int scase) { return chain->solution->kase[room_index(chain, room)][scase]; }

void rw_chain_set_done(rw_chain *chain, const char *room, int job)
{
	int r = room_index(chain, room);
	chain->solution->set_solved[r][part_index(chain, r, job)] = true;
}

void rw_chain_case_done(rw_chain *chain, const char *room, int scase) { chain->solution->solved[room_index(chain, room)][scase] = true; }

int rw_chain_find_case(const rw_chain *chain, int job, int load, int mains, int valve)
{
	const rw_solution *s = chain->solution;
	for (int k = 0; k < s->n_cases; k++)
		if (s->cases[k].job == job && s->cases[k].load == load && s->cases[k].mains == mains && s->cases[k].valve == valve)
			return k;
	return RW_NO_CASE;
}

rw_view rw_chain_view(const rw_chain *chain, int job, int scase) { return (rw_view){chain->full, chain->solution, job, scase}; }

void rw_chain_case_forget(rw_chain *chain, int scase)
{
	const rw_registry *registry = chain->base->stages->registry;
	for (int r = 0; r < registry->n_rooms; r++) {
		chain->solution->solved[r][scase] = false;
		rw_room_blank(registry->rooms[r], NULL, NULL, chain->solution->kase[r][scase]);
	}
}

bool rw_chain_given(const rw_chain *chain, const char *key, int job)
{
	rw_view view = rw_chain_view(chain, job, RW_NO_CASE);
	rw_slot slot;
	rw_status status = rw_slot_find(&view, key, RW_NO_ELEMENT, &slot, NULL);
	return status == RW_OK && rw_slot_origin(chain->full, slot)->state == RW_GIVEN;
}

/* A rounded value as the file would say it: "6.9 nF" read back, not 69 steps of 100 pF, which differs in the last bit. So that what adopt
 * writes is short and is the same value. */
static double as_written(const rw_units *units, const rw_kind *kind, double si)
{
	double factor, offset, read;
	const char *unit = rw_units_customary(units, kind, si);
	if (rw_units_factor(units, kind, unit, &factor, &offset, NULL) != RW_OK)
		return si;
	double x = (si - offset) / factor;
	for (int digits = 1; digits <= 6; digits++) {
		double rounded = rw_round_digits(x, digits);
		char number[40], text[64];
		if (fabs(rounded - x) > 1e-12 * fabs(x))
			continue;
		rw_text_shortest(number, sizeof number, rounded);
		snprintf(text, sizeof text, "%s %s", number, strcmp(unit, "1") == 0 ? "" : unit);
		return rw_units_read(units, kind, text, &read, NULL) == RW_OK ? read : si;
	}
	return si;
}

typedef struct marking { rw_chain *chain; int room; const char *note; } marking;

static void mark(void *context, rw_slot slot)
{
	marking *m = context;
	const rw_item *item = rw_slot_item(m->chain->full, slot);
	if (slot.room != m->room || !item->input)
		return;
	rw_origin *origin = rw_slot_origin(m->chain->full, slot);
	rw_view view = rw_chain_view(m->chain, slot.job, RW_NO_CASE);
	if (origin->state != RW_OPEN || !rw_item_exists(&view, slot))
		return;
	if (item->type == RW_NUMBER) {
		rw_status moved = rw_slot_set(m->chain->full, slot, as_written(m->chain->base->units, item->kind, rw_slot_get(&view, slot)), NULL);
		(void)moved;   /* by a bit at most; what a rule chose outside the accepted span stays as it is */
	}
	rw_origin_choose(origin, item, m->note);
}

void rw_chain_mark_filled(rw_chain *chain, const char *room, const char *note)
{
	marking m = {chain, room_index(chain, room), note};
	for (int job = 0; job < chain->full->n_jobs; job++) {
		rw_view view = rw_chain_view(chain, job, RW_NO_CASE);
		rw_each_slot(&view, mark, &m);
	}
}

rw_status rw_chain_note(rw_chain *chain, const char *key, int scase, rw_error *err, const char *format, ...)
{
	char text[400];
	va_list args;
	va_start(args, format);
	vsnprintf(text, sizeof text, format, args);
	va_end(args);
	rw_solution *s = chain->solution;
	rw_note *grown = RW_ARENA_NEW(chain->arena, rw_note, s->n_notes + 1);
	char *kept = rw_arena_text(chain->arena, text, strlen(text));
	if (!grown || !kept)
		return RW_RAISE(err, RW_E_MEMORY, key, "memory ran out");
	if (s->n_notes)
		memcpy(grown, s->notes, sizeof *grown * (size_t)s->n_notes);
	grown[s->n_notes++] = (rw_note){key, kept, scase};
	s->notes = grown;
	return RW_OK;
}

rw_status rw_chain_remedy(rw_chain *chain, const char *check, const char *text, rw_error *err)
{
	char *kept = rw_arena_text(chain->arena, text, strlen(text));
	if (!kept)
		return RW_RAISE(err, RW_E_MEMORY, check, "memory ran out");
	if (chain->n_remedies < RW_REMEDIES_MAX)
		chain->remedies[chain->n_remedies++] = (rw_remedy){check, kept};
	return RW_OK;
}

void rw_case_title(const rw_solution *solution, int scase, char *out, size_t room)
{
	static const char *const mains[] = {"mains low", "mains nominal", "mains high"};
	if (scase < 0) {
		snprintf(out, room, "the set");
		return;
	}
	const rw_case_name *c = &solution->cases[scase];
	const char *worn = c->valve ? ", worn valve" : "";
	if (solution->design->n_jobs > 1)
		snprintf(out, room, "%s, %s, %s%s", solution->design->job_names[c->job], c->load_name, mains[c->mains], worn);
	else
		snprintf(out, room, "%s, %s%s", c->load_name, mains[c->mains], worn);
}
