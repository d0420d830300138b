/* The cases rated: in parallel when asked, stored by index, so that the result is the same on any number of threads. A case whose every
 * input is what it was is taken from the memo, bit for bit. */
#include <pthread.h>
#include <stdatomic.h>
#include <string.h>

#include "chain/line.h"

enum { THREADS_MAX = 16 };

/* Names count: inputs name the empty coil and the state the set is sized on. */
static rw_memo_key hash_names(const rw_chain *chain, int job, rw_memo_key key)
{
	const rw_registry *registry = chain->base->stages->registry;
	key = rw_memo_hash(key, chain->full->job_names[job], strlen(chain->full->job_names[job]));
	for (int r = 0; r < registry->n_rooms; r++)
		for (int l = 0; l < registry->rooms[r]->n_lists; l++)
			for (int e = 0; e < rw_design_elements(chain->full, r, l, job); e++) {
				const char *name = chain->full->part[r][registry->rooms[r]->per_job ? job : 0].names[l][e];
				key = rw_memo_hash(key, name, strlen(name));
			}
	return key;
}

/* Everything a case depends on: inputs of all rooms (the job's for per-job ones), names, load ports, the tables' digests, which case it is. */
static rw_memo_key hash_case(const rw_chain *chain, int scase)
{
	const rw_registry *registry = chain->base->stages->registry;
	const rw_case_name *name = &chain->solution->cases[scase];
	rw_memo_key key = rw_memo_hash((rw_memo_key){0x7266U, 1U}, &name->load, sizeof name->load);
	key = rw_memo_hash(key, &name->mains, sizeof name->mains);
	key = rw_memo_hash(key, &name->valve, sizeof name->valve);
	key = hash_names(chain, name->job, key);
	for (int r = 0; r < registry->n_rooms; r++)
		key = rw_memo_hash(key, rw_design_in(chain->full, r, name->job), registry->rooms[r]->in_size);
	for (int k = 0; k < chain->loads[name->job].n; k++) {   /* they rest on the library too */
		const rw_load *load = &chain->loads[name->job].load[k];
		key = rw_memo_hash(key, &load->port, sizeof load->port);
		key = rw_memo_hash(key, load->own_share, sizeof load->own_share);
		key = rw_memo_hash(key, &load->body, sizeof load->body);
	}
	for (int t = 0; t < chain->full->n_tables; t++)
		key = rw_memo_hash(key, chain->full->tables[t].table.digest, sizeof chain->full->tables[t].table.digest);
	return key;
}

static size_t case_bytes(const rw_registry *registry)
{
	size_t n = 0;
	for (int r = 0; r < registry->n_rooms; r++)
		n += registry->rooms[r]->case_size + sizeof(bool);
	return n;
}

/* One case's structs and marks to a buffer, or back. */
static void pack(rw_chain *chain, int scase, unsigned char *buffer, bool into_buffer)
{
	const rw_registry *registry = chain->base->stages->registry;
	rw_solution *s = chain->solution;
	for (int r = 0; r < registry->n_rooms; r++) {
		size_t n = registry->rooms[r]->case_size;
		if (into_buffer) {
			memcpy(buffer, s->kase[r][scase], n);
			memcpy(buffer + n, &s->solved[r][scase], sizeof(bool));
		} else {
			memcpy(s->kase[r][scase], buffer, n);
			memcpy(&s->solved[r][scase], buffer + n, sizeof(bool));
		}
		buffer += n + sizeof(bool);
	}
}

static rw_status rate_one(rw_chain *chain, int scase, rw_work *work, rw_error *err)
{
	const rw_stages *stages = chain->base->stages;
	rw_arena_mark mark = rw_arena_here(&work->scratch);
	size_t n = case_bytes(stages->registry);
	unsigned char *buffer = work->memo ? rw_arena_get(&work->scratch, n) : NULL;
	rw_memo_key key = {0, 0};
	if (buffer)
		key = hash_case(chain, scase);
	if (buffer && rw_memo_get(work->memo, key, buffer, n)) {
		pack(chain, scase, buffer, false);
		rw_arena_rewind(&work->scratch, mark);
		return RW_OK;
	}
	rw_status status = rw_work_poll(work, err);
	for (int i = 0; i < stages->n && status == RW_OK; i++)
		if (stages->stage[i].rate)
			status = stages->stage[i].rate(chain, scase, work, err);
	if (status == RW_OK && buffer && !chain->solution->why_text[scase][0]) {   /* what has words to say is said afresh */
		pack(chain, scase, buffer, true);
		rw_memo_put(work->memo, key, buffer, n);
	}
	rw_arena_rewind(&work->scratch, mark);
	return status;
}

typedef struct crew {
	rw_chain *chain;
	atomic_int next;
	rw_status *status;   /* [n_cases] */
	rw_error *err;       /* [n_cases] */
} crew;

static void *worker(void *context)
{
	crew *c = context;
	rw_work work;
	rw_work_init(&work);
	work.cancel = c->chain->work->cancel;
	for (;;) {
		int k = atomic_fetch_add(&c->next, 1);
		if (k >= c->chain->solution->n_cases)
			break;
		c->status[k] = rate_one(c->chain, k, &work, &c->err[k]);
	}
	rw_work_release(&work);
	return NULL;
}

static rw_status rate_together(rw_chain *chain, int threads, rw_error *err)
{
	int n = chain->solution->n_cases;
	pthread_t thread[THREADS_MAX];
	crew c = {.chain = chain, .status = RW_ARENA_NEW(chain->arena, rw_status, n), .err = RW_ARENA_NEW(chain->arena, rw_error, n)};
	if (!c.status || !c.err)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	int started = 0;
	while (started < threads && started < THREADS_MAX && pthread_create(&thread[started], NULL, worker, &c) == 0)
		started++;
	if (started == 0)
		worker(&c);
	for (int i = 0; i < started; i++)
		pthread_join(thread[i], NULL);
	for (int k = 0; k < n; k++)
		if (c.status[k] != RW_OK) {   /* the first by index, whoever met it first in time */
			if (err)
				*err = c.err[k];
			chain->job_at_fault = chain->solution->cases[k].job;
			return c.status[k];
		}
	return RW_OK;
}

static rw_status rate_in_turn(rw_chain *chain, rw_error *err)
{
	for (int k = 0; k < chain->solution->n_cases; k++) {
		chain->job_at_fault = chain->solution->cases[k].job;
		RW_TRY(rate_one(chain, k, chain->work, err));
		if (chain->work->progress)
			chain->work->progress(chain->work->progress_context, k + 1, chain->solution->n_cases, "cases");
	}
	return RW_OK;
}

rw_status rw_rate_cases(rw_chain *chain, rw_error *err)
{
	const rw_solution *s = chain->solution;
	int threads = chain->base->threads;
	for (int k = 0; k < s->n_cases; k++)
		s->why_text[k][0] = '\0';
	RW_TRY(threads > 1 ? rate_together(chain, threads, err) : rate_in_turn(chain, err));
	for (int k = 0; k < s->n_cases; k++) {
		char title[128];
		if (s->why_not[k] || !s->why_text[k][0])
			continue;
		const rw_case_name *c = &s->cases[k];
		if (c->valve == RW_WORN_VALVE && s->why_text[rw_chain_find_case(chain, c->job, c->load, c->mains, RW_NEW_VALVE)][0])
			continue;   /* said of the new valve already */
		rw_case_title(s, k, title, sizeof title);
		RW_TRY(rw_chain_note(chain, "oscillator.anode_swing_pk", k, err, "%s: %s", title, s->why_text[k]));
	}
	return RW_OK;
}
