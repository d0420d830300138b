#include "base/work.h"

#include <stdlib.h>
#include <string.h>
#include <xxhash.h>

enum { BYTES_PER_ENTRY = 16 * 1024 };   /* on average: bounds what a memo holds in all */

typedef struct entry {
	rw_memo_key key;
	void       *bytes;   /* NULL: emptied before its turn */
	size_t      n;
} entry;

/* A ring: oldest at first. */
struct rw_memo {
	size_t room, first, count;
	size_t bytes, bytes_max;
	entry  ring[];
};

/* The memo belongs to whoever made it: it may outlive many solves. */
void rw_work_init(rw_work *work)
{
	*work = (rw_work){0};
	rw_arena_init(&work->scratch);
}

void rw_work_release(rw_work *work) { rw_arena_release(&work->scratch); }

rw_status rw_work_poll(const rw_work *work, rw_error *err)
{
	if (work->cancel && atomic_load_explicit(work->cancel, memory_order_relaxed))
		return RW_RAISE(err, RW_E_CANCELLED, "", "the work was cancelled");
	return RW_OK;
}

rw_memo *rw_memo_new(int entries)
{
	size_t room = entries > 0 ? (size_t)entries : 1;
	rw_memo *memo = calloc(1, sizeof *memo + room * sizeof(entry));
	if (!memo)
		return NULL;
	memo->room = room;
	memo->bytes_max = room * BYTES_PER_ENTRY;
	return memo;
}

void rw_memo_free(rw_memo *memo)
{
	if (!memo)
		return;
	for (size_t i = 0; i < memo->room; i++)
		free(memo->ring[i].bytes);
	free(memo);
}

/* Hash of the bytes, then of seed and hash together: all 128 bits of the seed count. */
rw_memo_key rw_memo_hash(rw_memo_key seed, const void *bytes, size_t n)
{
	XXH128_hash_t own = XXH3_128bits(bytes, n);
	const uint64_t chain[4] = {seed.low, seed.high, own.low64, own.high64};
	XXH128_hash_t all = XXH3_128bits(chain, sizeof chain);
	return (rw_memo_key){all.low64, all.high64};
}

/* True and its place in the ring, when the key is there. */
static bool find(const rw_memo *memo, rw_memo_key key, size_t *at)
{
	for (size_t i = 0; i < memo->count; i++) {
		*at = (memo->first + i) % memo->room;
		const entry *e = &memo->ring[*at];
		if (e->bytes && e->key.low == key.low && e->key.high == key.high)
			return true;
	}
	return false;
}

bool rw_memo_get(const rw_memo *memo, rw_memo_key key, void *out, size_t n)
{
	size_t at;
	if (!find(memo, key, &at) || memo->ring[at].n != n)
		return false;
	if (n > 0)
		memcpy(out, memo->ring[at].bytes, n);
	return true;
}

static void empty(rw_memo *memo, entry *e)
{
	free(e->bytes);
	memo->bytes -= e->n;
	*e = (entry){0};
}

void rw_memo_put(rw_memo *memo, rw_memo_key key, const void *bytes, size_t n)
{
	void *copy = memo->room > 0 && n <= memo->bytes_max ? malloc(n > 0 ? n : 1) : NULL;
	if (!copy)
		return;
	if (n > 0)
		memcpy(copy, bytes, n);
	size_t at;
	if (find(memo, key, &at))
		empty(memo, &memo->ring[at]);
	while (memo->count == memo->room || memo->bytes + n > memo->bytes_max) {
		empty(memo, &memo->ring[memo->first]);
		memo->first = (memo->first + 1) % memo->room;
		memo->count--;
	}
	memo->ring[(memo->first + memo->count++) % memo->room] = (entry){key, copy, n};
	memo->bytes += n;
}
