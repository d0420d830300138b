/* What a solve needs besides its arguments: scratch memory, a way to be cancelled and to tell how far it is, and the memo.
 * One rw_work a thread; never shared. */
#ifndef RW_BASE_WORK_H
#define RW_BASE_WORK_H

#include <stdatomic.h>

#include "base/arena.h"

typedef struct rw_memo rw_memo;

typedef struct rw_work {
	rw_arena scratch;
	const atomic_bool *cancel;                                       /* may be NULL */
	void (*progress)(void *context, double done, double total, const char *what);   /* may be NULL */
	void *progress_context;
	rw_memo *memo;                                                   /* may be NULL: nothing is remembered */
} rw_work;

void rw_work_init(rw_work *work);
void rw_work_release(rw_work *work);

/* RW_E_CANCELLED once cancel was set. Called at least every few milliseconds by whatever may take long. */
RW_MUST_USE rw_status rw_work_poll(const rw_work *work, rw_error *err);

/* The memo: a small cache of (hash of everything that goes in) -> (bytes that came out), oldest out first.
 * A hit is bit-equal to what a fresh computation gives, because the hash covers all inputs (128 bit). */
typedef struct rw_memo_key { uint64_t low, high; } rw_memo_key;

rw_memo    *rw_memo_new(int entries);                                /* NULL when memory is out */
void        rw_memo_free(rw_memo *memo);                             /* takes NULL */
rw_memo_key rw_memo_hash(rw_memo_key seed, const void *bytes, size_t n);
bool        rw_memo_get(const rw_memo *memo, rw_memo_key key, void *out, size_t n);    /* false: not there */
void        rw_memo_put(rw_memo *memo, rw_memo_key key, const void *bytes, size_t n);  /* best effort */

#endif
