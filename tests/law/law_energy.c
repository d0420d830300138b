/* Energy: what comes in leaves by the losses told, in every case; each loss is the same by a second route; and a loss left out is missed. */
#include "law.h"

/* Closure: the balance of the anode is solved to 1e-12 of the swing over class C means good to 1e-10. Second routes: the anode's and the
 * grid's sums over 8192 equal steps of a pulse with kinks are good to about 1e-7 of it. */
static const double closure_most = 1e-9, second_most = 1e-6;
/* A loss that is left out must be missed by more than this, or the closure would not see it. */
static const double missed_least = 1e-6;

typedef struct row_tally { const char *key; double greatest, second_off, missed; } row_tally;

typedef struct tally {
	const law_base *base;
	const char *file;
	row_tally row[RW_BUDGET_ROWS_MAX];
	int n_rows, cases, without_second, faults;
	double closure;
} tally;

static row_tally *row_of(tally *t, const char *key)
{
	for (int i = 0; i < t->n_rows; i++)
		if (strcmp(t->row[i].key, key) == 0)
			return &t->row[i];
	assert_true(t->n_rows < RW_BUDGET_ROWS_MAX);
	t->row[t->n_rows] = (row_tally){.key = key};
	return &t->row[t->n_rows++];
}

static void check_case(tally *t, const rw_budget *b)
{
	double sum = 0.0;
	t->cases++;
	t->closure = fmax(t->closure, fabs(b->closure));
	if (!(fabs(b->closure) <= closure_most)) {
		print_error("%s, case %d: closure %.3g\n", t->file, b->scase, b->closure);
		t->faults++;
	}
	for (int i = 0; i < b->n; i++) {
		row_tally *row = row_of(t, b->key[i]);
		double off = fabs(b->watts[i] - b->second[i]) / b->in;
		sum += b->watts[i];
		row->greatest = fmax(row->greatest, fabs(b->watts[i]) / b->in);
		if (isnan(b->second[i])) {
			t->without_second++;
			continue;
		}
		row->second_off = fmax(row->second_off, off);
		if (!(off <= second_most)) {
			print_error("%s, case %d: %s is %.9g W, by the second route %.9g W: %.3g of the input\n", t->file, b->scase, b->key[i], b->watts[i],
			            b->second[i], off);
			t->faults++;
		}
	}
	rw_check_near(sum, b->out, 1e-13, b->out, "sum of the rows", t->file, __FILE__, __LINE__);
	rw_check_near((b->in - b->out) / b->in, b->closure, 1e-15, 1.0, "closure", t->file, __FILE__, __LINE__);
	assert_true(b->in > 0.0 && isfinite(b->in));
}

static void leave_out(tally *t, law_set *set, const char *key)
{
	rw_error err;
	row_tally *row = row_of(t, key);
	CHECK_OK(rw_chain_budget(&set->chain, key, &err), &err);
	for (int i = 0; i < set->chain.n_budgets; i++)
		row->missed = fmax(row->missed, fabs(set->chain.budgets[i].closure));
}

static void check_file(void *context, const char *path)
{
	tally *t = context;
	law_set set;
	const char *key[RW_BUDGET_ROWS_MAX];
	t->file = path;
	law_solve_file(t->base, &set, path);
	int unsolved = 0, n = set.chain.n_budgets ? set.chain.budgets[0].n : 0;
	for (int k = 0; k < set.chain.solution->n_cases; k++)
		unsolved += set.chain.solution->why_not[k] != NULL;
	assert_int_equal(set.chain.n_budgets + unsolved, set.chain.solution->n_cases);
	assert_true(n > 0);
	for (int i = 0; i < set.chain.n_budgets; i++)
		check_case(t, &set.chain.budgets[i]);
	memcpy(key, set.chain.budgets[0].key, sizeof key);
	for (int i = 0; i < n; i++)
		leave_out(t, &set, key[i]);
	law_end(&set);
}

static void energy_closes_and_sees(void **state)
{
	tally t = {.base = *state};
	law_each_file(check_file, &t);
	printf("%d cases, worst closure %.2g, %d rows without a second route\n", t.cases, t.closure, t.without_second);
	for (int i = 0; i < t.n_rows; i++) {
		const row_tally *r = &t.row[i];
		printf("  %-32s up to %8.3g of the input, second route off by %8.2g, left out: closure %8.3g\n", r->key, r->greatest, r->second_off, r->missed);
		if (r->greatest > 0.0 && !(r->missed > missed_least)) {
			print_error("%s left out is not missed\n", r->key);
			t.faults++;
		}
		if (r->greatest == 0.0) {
			print_error("%s is zero in every case of every file: nothing shows that it is counted\n", r->key);
			t.faults++;
		}
	}
	assert_true(t.cases >= 18 && t.n_rows >= 13);
	assert_int_equal(t.faults, 0);
}

int main(void)
{
	const struct CMUnitTest tests[] = {cmocka_unit_test(energy_closes_and_sees)};
	return cmocka_run_group_tests(tests, law_group_open, law_group_close);
}
