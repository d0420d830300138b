/* Threads: a solve gives the same bits whoever else solves at the same time, on any number of threads, with the memo or without. */
#include <pthread.h>
#include <time.h>

#include "law.h"

enum { TURNS = 3, SETS = 4 };

/* Texts that differ in what is wanted, so that the solves do too. */
static const char *const wanted_heat[SETS] = {"20 kW", "17.3 kW", "14.1 kW", "11.9 kW"};

typedef struct result {
	size_t n;
	unsigned char *bytes;     /* all case structs, set structs and marks, room by room, and the checks */
} result;

static void append(result *r, const void *bytes, size_t n)
{
	if (n == 0)
		return;
	r->bytes = realloc(r->bytes, r->n + n);
	if (!r->bytes)
		abort();
	memcpy(r->bytes + r->n, bytes, n);
	r->n += n;
}

static result keep(const rw_chain *chain)
{
	result r = {0, NULL};
	const rw_registry *registry = chain->full->registry;
	const rw_solution *s = chain->solution;
	for (int room = 0; room < registry->n_rooms; room++) {
		int parts = registry->rooms[room]->per_job ? chain->full->n_jobs : 1;
		for (int j = 0; j < parts; j++) {
			append(&r, s->set[room][j], registry->rooms[room]->set_size);
			append(&r, rw_design_in(chain->full, room, j), registry->rooms[room]->in_size);
		}
		for (int k = 0; k < s->n_cases; k++) {
			append(&r, s->kase[room][k], registry->rooms[room]->case_size);
			append(&r, &s->solved[room][k], sizeof(bool));
		}
	}
	for (int i = 0; i < chain->n_checks; i++) {
		append(&r, &chain->checks[i].value, sizeof(double));
		append(&r, &chain->checks[i].scase, sizeof(int));
	}
	return r;
}

static bool same(const result *a, const result *b) { return a->n == b->n && a->n > 0 && memcmp(a->bytes, b->bytes, a->n) == 0; }

static rw_status solve_one(const law_base *base, const char *bytes, size_t n, result *out)
{
	law_set set;
	rw_error err;
	law_start(&set);
	rw_status status = law_bind(base, &set, "thread", bytes, n, &err);
	if (status == RW_OK)
		status = law_solve(base, &set, set.generator.design, &err);
	if (status == RW_OK)
		*out = keep(&set.chain);
	law_end(&set);
	return status;
}

typedef struct bench {
	law_base base;
	rw_text text[SETS];
	result alone[SETS];
} bench;

typedef struct job { const bench *b; int which; bool good; } job;

static void *work(void *context)
{
	job *j = context;
	j->good = true;
	for (int turn = 0; turn < TURNS; turn++) {
		result r = {0, NULL};
		const rw_text *text = &j->b->text[j->which];
		j->good = j->good && solve_one(&j->b->base, text->bytes, text->n, &r) == RW_OK && same(&r, &j->b->alone[j->which]);
		free(r.bytes);
	}
	return NULL;
}

static void together(const bench *b, int threads)
{
	pthread_t thread[SETS];
	job jobs[SETS];
	for (int i = 0; i < threads; i++) {
		jobs[i] = (job){b, i, false};
		assert_int_equal(pthread_create(&thread[i], NULL, work, &jobs[i]), 0);
	}
	for (int i = 0; i < threads; i++)
		pthread_join(thread[i], NULL);
	for (int i = 0; i < threads; i++)
		assert_true(jobs[i].good);
}

static void solves_at_once_are_bit_equal(void **state)
{
	const bench *b = *state;
	assert_false(same(&b->alone[0], &b->alone[1]));   /* the texts do differ */
	together(b, 2);
	together(b, SETS);
}

/* Threads inside of each solve, and solves at once on top of it. */
static void threads_of_a_solve_are_bit_equal(void **state)
{
	bench *b = *state;
	for (int threads = 1; threads <= 3; threads++) {
		result r = {0, NULL};
		b->base.chain.threads = threads;
		assert_int_equal(solve_one(&b->base, b->text[0].bytes, b->text[0].n, &r), RW_OK);
		assert_true(same(&r, &b->alone[0]));
		free(r.bytes);
	}
	together(b, 2);
	b->base.chain.threads = 0;
}

/* Every example (every file with RW_LONG): on one thread and on two, and by two at once. */
typedef struct twice { const law_base *base; const rw_text *text; const result *alone; bool good; } twice;

static void *solve_again(void *context)
{
	twice *t = context;
	result r = {0, NULL};
	t->good = solve_one(t->base, t->text->bytes, t->text->n, &r) == RW_OK && same(&r, t->alone);
	free(r.bytes);
	return NULL;
}

static void solve_on_threads(void *context, const char *path)
{
	law_base base = *(const law_base *)context;
	law_set set;
	rw_text text;
	result alone = {0, NULL};
	pthread_t thread[2];
	if (!law_is_example(path) && !getenv("RW_LONG"))
		return;
	law_solve_file(&base, &set, path);
	rw_text_init(&text);
	rw_text_add_n(&text, set.bytes, set.n);
	alone = keep(&set.chain);
	for (base.chain.threads = 1; base.chain.threads <= 2; base.chain.threads++) {
		twice one = {&base, &text, &alone, false};
		solve_again(&one);
		if (!one.good)
			fail_msg("%s is another on %d threads", path, base.chain.threads);
	}
	base.chain.threads = 2;
	twice both[2] = {{&base, &text, &alone, false}, {&base, &text, &alone, false}};
	for (int i = 0; i < 2; i++)
		assert_int_equal(pthread_create(&thread[i], NULL, solve_again, &both[i]), 0);
	for (int i = 0; i < 2; i++)
		pthread_join(thread[i], NULL);
	if (!both[0].good || !both[1].good)
		fail_msg("%s is another when solved twice at once", path);
	free(alone.bytes);
	rw_text_release(&text);
	law_end(&set);
}

static void every_file_is_bit_equal(void **state)
{
	bench *b = *state;
	law_each_file(solve_on_threads, &b->base);
}

static void solve_and_keep(const law_base *base, law_set *set, const rw_design *design, result *out)
{
	rw_error err;
	CHECK_OK(law_solve(base, set, design, &err), &err);
	*out = keep(&set->chain);
}

/* Cases rated anew are told by a stage that counts them. */
static atomic_int rated;

static rw_status count_rating(rw_chain *chain, int scase, rw_work *work_, rw_error *err)
{
	(void)chain, (void)scase, (void)work_, (void)err;
	atomic_fetch_add(&rated, 1);
	return RW_OK;
}

static void memo_gives_the_same_bits(void **state)
{
	bench *b = *state;
	rw_stage stage[32];
	rw_stages counting = rw_all_stages;
	law_base base = b->base;
	law_set set;
	rw_error err;
	result first = {0, NULL}, second = {0, NULL};
	assert_true(rw_all_stages.n <= 32);
	memcpy(stage, rw_all_stages.stage, sizeof *stage * (size_t)rw_all_stages.n);
	for (int i = 0; i < rw_all_stages.n; i++)
		if (strcmp(stage[i].room->name, "generator") == 0)
			stage[i].rate = count_rating;
	counting.stage = stage;
	base.chain.stages = &counting;
	law_start(&set);
	CHECK_OK(law_bind(&base, &set, "memo", b->text[0].bytes, b->text[0].n, &err), &err);
	set.work.memo = rw_memo_new(64);
	assert_non_null(set.work.memo);
	atomic_store(&rated, 0);
	solve_and_keep(&base, &set, set.generator.design, &first);
	int n_first = atomic_load(&rated);
	solve_and_keep(&base, &set, set.generator.design, &second);
	printf("cases rated: %d, then %d\n", n_first, atomic_load(&rated) - n_first);
	assert_int_equal(n_first, set.chain.solution->n_cases);
	assert_int_equal(atomic_load(&rated), n_first);
	assert_true(same(&first, &b->alone[0]) && same(&second, &first));
	rw_memo_free(set.work.memo);
	free(first.bytes);
	free(second.bytes);
	law_end(&set);
}

/* The names of two load states changed over in a frozen design: every number is as it was, and yet another state is the one the set is
 * sized on. The memo must not take the one for the other. */
static void memo_tells_names_apart(void **state)
{
	const bench *b = *state;
	law_set set;
	rw_design *renamed;
	rw_error err;
	result first = {0, NULL}, memo = {0, NULL}, without = {0, NULL};
	law_start(&set);
	CHECK_OK(law_bind(&b->base, &set, "memo", b->text[0].bytes, b->text[0].n, &err), &err);
	set.work.memo = rw_memo_new(64);
	assert_non_null(set.work.memo);
	solve_and_keep(&b->base, &set, set.generator.design, &first);
	CHECK_OK(rw_design_copy(&set.arena, set.chain.full, &renamed, &err), &err);
	char (*names)[RW_NAME_BYTES] = renamed->part[rw_registry_find(renamed->registry, "work")][0].names[0];
	assert_string_equal(names[0], "cold");
	assert_string_equal(names[1], "hot");
	snprintf(names[0], RW_NAME_BYTES, "hot");
	snprintf(names[1], RW_NAME_BYTES, "cold");
	free(first.bytes);
	solve_and_keep(&b->base, &set, set.chain.full, &first);
	solve_and_keep(&b->base, &set, renamed, &memo);
	rw_memo_free(set.work.memo);
	set.work.memo = NULL;
	solve_and_keep(&b->base, &set, renamed, &without);
	assert_true(same(&memo, &without));
	assert_false(same(&memo, &first));
	law_end(&set);
	free(first.bytes);
	free(memo.bytes);
	free(without.bytes);
}

static void cancel_ends_a_solve(void **state)
{
	bench *b = *state;
	atomic_bool cancel = true;
	for (int threads = 0; threads <= 2; threads += 2) {
		law_set set;
		rw_error err = {0};
		b->base.chain.threads = threads;
		law_start(&set);
		CHECK_OK(law_bind(&b->base, &set, "cancel", b->text[0].bytes, b->text[0].n, &err), &err);
		set.work.cancel = &cancel;
		assert_int_equal(law_solve(&b->base, &set, set.generator.design, &err), RW_E_CANCELLED);
		assert_true(err.what[0]);
		law_end(&set);
	}
	b->base.chain.threads = 0;
}

typedef struct canceller { atomic_bool *cancel; int after_ms; } canceller;

static void *cancel_later(void *context)
{
	const canceller *c = context;
	nanosleep(&(struct timespec){0, c->after_ms * 1000000L}, NULL);
	atomic_store(c->cancel, true);
	return NULL;
}

/* Cancelled from outside at any moment: either done and right, or cancelled. */
static void cancel_at_any_moment(void **state)
{
	bench *b = *state;
	int done = 0, cancelled = 0;
	b->base.chain.threads = 2;
	for (int after = 0; after <= 80; after += 8) {
		atomic_bool cancel = false;
		canceller c = {&cancel, after};
		pthread_t thread;
		law_set set;
		rw_error err = {0};
		law_start(&set);
		CHECK_OK(law_bind(&b->base, &set, "cancel", b->text[0].bytes, b->text[0].n, &err), &err);
		set.work.cancel = &cancel;
		assert_int_equal(pthread_create(&thread, NULL, cancel_later, &c), 0);
		rw_status status = law_solve(&b->base, &set, set.generator.design, &err);
		pthread_join(thread, NULL);
		if (status == RW_OK) {
			result r = keep(&set.chain);
			assert_true(same(&r, &b->alone[0]));
			free(r.bytes);
			done++;
		} else {
			assert_int_equal(status, RW_E_CANCELLED);
			cancelled++;
		}
		law_end(&set);
	}
	b->base.chain.threads = 0;
	printf("cancelled in flight: %d, done before: %d\n", cancelled, done);
	assert_true(cancelled > 0);
}

static int start(void **state)
{
	static bench b;
	rw_error err;
	law_set example;
	law_open(&b.base);
	law_solve_file(&b.base, &example, LAW_EXAMPLE);
	for (int i = 0; i < SETS; i++) {
		rw_text_init(&b.text[i]);
		CHECK_OK(rw_yaml_put(example.bytes, example.n, "jobs.shaft_end.work.heat_power", wanted_heat[i], &b.text[i], &err), &err);
		assert_int_equal(solve_one(&b.base, b.text[i].bytes, b.text[i].n, &b.alone[i]), RW_OK);
	}
	law_end(&example);
	*state = &b;
	return 0;
}

static int end(void **state)
{
	bench *b = *state;
	for (int i = 0; i < SETS; i++) {
		free(b->alone[i].bytes);
		rw_text_release(&b->text[i]);
	}
	law_close(&b->base);
	return 0;
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(solves_at_once_are_bit_equal), cmocka_unit_test(threads_of_a_solve_are_bit_equal), cmocka_unit_test(every_file_is_bit_equal),
		cmocka_unit_test(memo_gives_the_same_bits), cmocka_unit_test(memo_tells_names_apart), cmocka_unit_test(cancel_ends_a_solve),
		cmocka_unit_test(cancel_at_any_moment),
	};
	return cmocka_run_group_tests(tests, start, end);
}
