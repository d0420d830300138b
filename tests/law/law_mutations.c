/* Faulty files: whatever is wrong with one value, the set is solved with finite figures, or refused with a place, what was expected and what
 * helps. Every value of each example, every choice in place of every other, every cell of the tables, every input of every job left open.
 * With RW_LONG set all of them, and a share of those of each set that another choice makes; else a share of each example, by the cases its
 * solve has. All in one process. */
#include <time.h>

#include "law.h"

enum { TOLD_MOST = 40, VARIANTS_MOST = 96 };
enum { CHOICES_MORE = 6, CASES_MOST = 3200, VARIANT_CASES_MOST = 1500 };   /* cases tried of an example and of a variant of it, were all mutations solved */
static const double seconds_most = 60.0;      /* of the sample in a debug build, processor */

typedef struct bench {
	const law_base *base;
	const law_set *example;
	rw_text text;             /* the mutated one */
	bool count;               /* only how many there are */
	bool variant;             /* of an example: sampled always, but for its choices, so that every two are tried */
	int every;                /* one of so many is tried */
	bool choosing;            /* a choice: few, and each is another set */
	bool kept;                /* was the last one tried, and solved? */
	char *variants[VARIANTS_MOST];   /* texts with another choice that solve */
	int n_variants;
	int met, choices, given, tried, solved, refused_bound, refused_solved, faults;
	const char *file;
	double slowest;           /* s, of one mutation */
	char label[256], slowest_label[256];
} bench;

static RW_PRINTF(2, 3) void fault(bench *b, const char *format, ...)
{
	char told[700];
	va_list args;
	va_start(args, format);
	vsnprintf(told, sizeof told, format, args);
	va_end(args);
	if (b->faults++ < TOLD_MOST)
		print_error("%s: %s: %s\n", b->file, b->label, told);
}

/* ---- what came of it ---- */

static void check_place(bench *b, const rw_error *err)
{
	const char *p = b->text.bytes;
	uint32_t line = 1;
	while (line < err->line && *p) {
		p += strcspn(p, "\n");
		p += *p == '\n';
		line++;
	}
	char text[4096];
	size_t n = strcspn(p, "\n");
	snprintf(text, sizeof text, "%.*s", (int)(n < sizeof text ? n : sizeof text - 1), p);
	if (err->line < 1 || line != err->line || err->column < 1 || err->column > rw_text_width(text) + 1)
		fault(b, "'%s' (%s) stands at line %u, column %u, which the text has not", err->what, err->key, err->line, err->column);
}

static void check_error(bench *b, const rw_error *err)
{
	if (!err->what[0] || !err->expected[0] || !err->hint[0])
		fault(b, "%s:%d: '%s' at '%s'; expected '%s'; hint '%s'", strrchr(err->c_file, '/') ? strrchr(err->c_file, '/') + 1 : err->c_file, err->c_line,
		      err->what, err->key, err->expected, err->hint);
	if (err->status == RW_E_INTERNAL || err->status == RW_E_MEMORY || err->status == RW_OK)
		fault(b, "'%s' has status %d", err->what, (int)err->status);
	check_place(b, err);
}

static void check_figure(void *context, const rw_view *view, rw_slot slot)
{
	bench *b = context;
	const rw_item *item = rw_slot_item(view->design, slot);
	if (item->type != RW_NUMBER || !law_solved(view->solution, slot) || ((item->input || item->partial) && !rw_item_exists(view, slot)))
		return;
	double x = rw_slot_get(view, slot);
	if (isfinite(x) || (isnan(x) && view->scase >= 0 && view->solution->why_not[view->scase]))
		return;   /* of a case that has no solution only what it is stands there */
	char key[128];
	rw_slot_path(view->design, slot, key, sizeof key);
	fault(b, "solved, and %s of case %d is %g", key, view->scase, x);
}

static void check_solved(bench *b, const rw_chain *chain)
{
	law_each_figure(chain, check_figure, b);
	for (int i = 0; i < chain->n_checks; i++) {
		const rw_check *c = &chain->checks[i];
		if (c->ok >= 0 && !(isfinite(c->value) && isfinite(c->limit) && isfinite(c->margin)))
			fault(b, "check %s is %g against %g, margin %g", c->key, c->value, c->limit, c->margin);
		if (c->ok < 0 && !(c->why_not && c->why_not[0]))
			fault(b, "check %s is not told, and not why", c->key);
	}
	for (int i = 0; i < chain->n_budgets; i++) {
		const rw_budget *e = &chain->budgets[i];
		if (!(isfinite(e->in) && isfinite(e->out) && isfinite(e->closure)))
			fault(b, "budget of case %d: %g in, %g out, closure %g", e->scase, e->in, e->out, e->closure);
	}
	for (int k = 0; k < chain->solution->n_cases; k++)
		if (chain->solution->why_not[k] && !chain->solution->why_not[k][0])
			fault(b, "case %d is not solved, and not told why", k);
}

static double seconds(void)
{
	struct timespec t;
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
	return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void try(bench *b)
{
	law_set set;
	rw_error err = {0};
	double began = seconds();
	b->tried++;
	law_start(&set);
	if (law_bind(b->base, &set, "mutated", b->text.bytes, b->text.n, &err) != RW_OK) {
		b->refused_bound++;
		check_error(b, &err);
		for (int i = 0; i < set.errs.n; i++)
			check_error(b, &set.errs.list[i]);
	} else if (law_solve(b->base, &set, set.generator.design, &err) != RW_OK) {
		b->refused_solved++;
		rw_generator_mark(&set.generator, set.chain.job_at_fault, &err);
		check_error(b, &err);
	} else {
		b->solved++;
		b->kept = true;
		check_solved(b, &set.chain);
	}
	law_end(&set);
	if (seconds() - began > b->slowest) {
		b->slowest = seconds() - began;
		memcpy(b->slowest_label, b->label, sizeof b->label);
	}
}

/* Is this one of the sample? Drawn by a hash: what is done to a value comes round in a fixed order, and a fixed step could miss some of it. */
static bool next(bench *b)
{
	int n = (int)((uint32_t)b->met++ * 2654435769U >> 12);
	int every = !b->choosing ? b->every : b->variant ? 1 : b->every / CHOICES_MORE + 1;
	b->kept = false;
	return !b->count && (b->variant ? n % every == 0 : law_sampled(n, every, 0));
}

/* ---- edits of the text ---- */

/* Bytes [start, end) of the example replaced. */
static void replace(bench *b, size_t start, size_t end, const char *with)
{
	if (!next(b))
		return;
	rw_text_clear(&b->text);
	rw_text_add_n(&b->text, b->example->bytes, start);
	rw_text_add(&b->text, with);
	rw_text_add(&b->text, b->example->bytes + end);
	try(b);
}

static void label(bench *b, const char *where, const char *what) { snprintf(b->label, sizeof b->label, "%.180s %.60s", where, what); }

/* "8.8 kV" to "8.8" and "kV". */
static void split(const char *value, char *number, char *unit, size_t room)
{
	const char *end;
	rw_text_number(value, &end);
	snprintf(number, room, "%.*s", (int)(end - value), value);
	while (*end == ' ')
		end++;
	snprintf(unit, room, "%s", end);
}

/* Values that are wrong in form or in size, for one that was written so. */
enum { BAD_VALUES = 10 };
static const char *bad_value(int i, const char *value, char *out, size_t room)
{
	static const char *const what[BAD_VALUES] = {"negative", "zero", "huge", "tiny", "without unit", "in a unit of another kind", "no number", "tenfold", "a tenth", "empty"};
	char number[128], unit[128];
	split(value, number, unit, sizeof number);
	const char *blank = unit[0] ? " " : "", *end;
	double x = rw_text_number(value, &end);
	switch (i) {
	case 0: snprintf(out, room, "%s%s", value[0] == '-' ? "" : "-", value[0] == '-' ? value + 1 : value); break;
	case 1: snprintf(out, room, "0%s%s", blank, unit); break;
	case 2: snprintf(out, room, "1e30%s%s", blank, unit); break;
	case 3: snprintf(out, room, "1e-30%s%s", blank, unit); break;
	case 4: snprintf(out, room, "%s", number[0] ? number : "3"); break;
	case 5: snprintf(out, room, "%s %s", number[0] ? number : "3", strcmp(unit, "s") == 0 ? "kHz" : "s"); break;
	case 6: snprintf(out, room, "much%s%s", blank, unit); break;
	case 7: snprintf(out, room, "%.9g%s%s", end == value ? 10.0 : 10.0 * x, blank, unit); break;
	case 8: snprintf(out, room, "%.9g%s%s", end == value ? 0.1 : 0.1 * x, blank, unit); break;
	default: out[0] = '\0'; break;
	}
	return what[i];
}

static void drop_letter(const char *word, char *out, size_t room)
{
	size_t n = strlen(word), gone = n / 2;
	snprintf(out, room, "%.*s%s", (int)gone, word, word + gone + 1);
}

static void mutate_key(bench *b, const rw_node *node, const char *path)
{
	char wrong[64];
	rw_error err;
	drop_letter(node->key, wrong, sizeof wrong);
	label(b, path, "misspelt");
	replace(b, node->key_at.start, node->key_at.end, wrong);
	label(b, path, "deleted");
	if (next(b)) {
		CHECK_OK(rw_yaml_drop(b->example->bytes, b->example->n, path, &b->text, &err), &err);
		try(b);
	}
	/* Doubled: its lines once more, below. */
	size_t start = node->key_at.start, end = node->value_at.end;
	while (start > 0 && b->example->bytes[start - 1] != '\n')
		start--;
	if (!node->block)
		end += strcspn(b->example->bytes + end, "\n") + 1;
	rw_text lines;
	rw_text_init(&lines);
	rw_text_add_n(&lines, b->example->bytes + start, end - start);
	label(b, path, "doubled");
	replace(b, end, end, lines.bytes);
	rw_text_release(&lines);
}

/* What another choice has made is tried as an example is, later. */
static void keep_variant(bench *b)
{
	if (!b->kept || b->variant || !getenv("RW_LONG"))
		return;
	assert_true(b->n_variants < VARIANTS_MOST);
	b->variants[b->n_variants] = strdup(b->text.bytes);
	assert_non_null(b->variants[b->n_variants++]);
}

/* A choice that is given, by each of the others. */
static void mutate_choice(bench *b, const rw_node *node, const char *path)
{
	rw_view open = {b->example->generator.design, NULL, 0, RW_NO_CASE};
	rw_slot slot;
	if (rw_slot_find(&open, path, RW_NO_ELEMENT, &slot, NULL) != RW_OK)
		return;   /* of the file, not of a room */
	const rw_item *item = rw_slot_item(open.design, slot);
	for (int i = 0; item->type == RW_CHOICE && item->input->choices[i]; i++) {
		if (strcmp(item->input->choices[i], node->value) == 0)
			continue;
		b->choices++;
		b->choosing = true;
		label(b, path, item->input->choices[i]);
		replace(b, node->value_at.start, node->value_at.end, item->input->choices[i]);
		b->choosing = false;
		keep_variant(b);
	}
}

static void mutate_value(bench *b, const rw_node *node, const char *path)
{
	mutate_choice(b, node, path);
	for (int i = 0; i < BAD_VALUES; i++) {
		char value[300];
		label(b, path, bad_value(i, node->value, value, sizeof value));
		replace(b, node->value_at.start, node->value_at.end, value);
	}
}

/* ---- tables ---- */

static void mutate_cell(bench *b, const char *path, size_t start, size_t end, int row, int column)
{
	char cell[128], value[300], where[160];
	snprintf(cell, sizeof cell, "%.*s", (int)(end - start), b->example->bytes + start);
	snprintf(where, sizeof where, "%.100s, row %d, column %d", path, row, column);
	for (int i = 0; i < BAD_VALUES; i++) {
		if (i == 4)
			continue;   /* a cell has no unit */
		label(b, where, bad_value(i, cell, value, sizeof value));
		replace(b, start, end, value);
	}
}

static void mutate_heading(bench *b, const char *path, size_t start, size_t end, int column)
{
	char heading[128], wrong[128], where[160];
	snprintf(heading, sizeof heading, "%.*s", (int)(end - start), b->example->bytes + start);
	snprintf(where, sizeof where, "%.100s, heading %d", path, column);
	label(b, where, "misspelt");
	drop_letter(heading, wrong, sizeof wrong);
	replace(b, start, end, wrong);
	label(b, where, "deleted");
	replace(b, start, end, "");
	label(b, where, "doubled");
	snprintf(wrong, sizeof wrong, "%.60s %.60s", heading, heading);
	replace(b, start, end, wrong);
	*strchr(heading, '/') = '\0';
	label(b, where, "without unit");
	replace(b, start, end, heading);
	label(b, where, "in a unit of another kind");
	snprintf(wrong, sizeof wrong, "%.100s/s", heading);
	replace(b, start, end, wrong);
}

static void mutate_table(bench *b, const rw_node *node, const char *path)
{
	const char *bytes = b->example->bytes;
	size_t at = node->value_at.start + strcspn(bytes + node->value_at.start, "\n") + 1;
	label(b, path, "emptied");
	replace(b, at, node->value_at.end, "");
	for (int row = 0; at < node->value_at.end; row++) {
		size_t end = at + strcspn(bytes + at, "\n"), p = at;
		char line[256], where[160];
		snprintf(line, sizeof line, "%.*s", (int)(end + 1 - at), bytes + at);
		snprintf(where, sizeof where, "%.100s, row %d", path, row);
		label(b, where, "deleted");
		replace(b, at, end + 1, "");
		label(b, where, "doubled");
		replace(b, at, at, line);
		for (int column = 0; p < end; column++) {
			p += strspn(bytes + p, " ");
			size_t n = strcspn(bytes + p, " \n");
			if (row == 0)
				mutate_heading(b, path, p, p + n, column);
			else
				mutate_cell(b, path, p, p + n, row, column);
			p += n;
		}
		at = end + 1;
	}
}

static void mutate_node(bench *b, const rw_node *node)
{
	char path[128];
	if (node->key[0]) {
		rw_yaml_path(node, path, sizeof path);
		mutate_key(b, node, path);
	}
	if (!node->value)
		for (const rw_node *child = node->first; child; child = child->next)
			mutate_node(b, child);
	else if (node->block)
		mutate_table(b, node, path);
	else
		mutate_value(b, node, path);
}

/* ---- open inputs ---- */

static void give(bench *b, const char *path, const char *value, const char *what)
{
	rw_error err;
	label(b, path, what);
	if (!next(b))
		return;
	if (rw_yaml_put(b->example->bytes, b->example->n, path, value, &b->text, &err) == RW_OK)
		try(b);
	else
		fault(b, "'%s' cannot be put: %s", value, err.what);
}

static void mutate_open(void *context, rw_slot slot)
{
	bench *b = context;
	const rw_design *open = b->example->generator.design;
	const rw_item *item = rw_slot_item(open, slot);
	if (!item->input || rw_slot_origin(open, slot)->state != RW_OPEN || item->type == RW_TABLE)
		return;
	if (slot.job > 0 && !open->registry->rooms[slot.room]->per_job)
		return;   /* met with the first job */
	rw_view full = rw_chain_view(&b->example->chain, slot.job, RW_NO_CASE);
	char path[128], wrong[128], as_chosen[96] = "1", value[300];
	rw_slot_path(open, slot, path, sizeof path);
	const char *chosen = rw_slot_text(&full, slot);
	for (int i = 0; item->type == RW_CHOICE && item->input->choices[i]; i++) {
		b->choosing = true;
		give(b, path, item->input->choices[i], item->input->choices[i]);
		b->choosing = false;
		if (strcmp(item->input->choices[i], chosen) != 0)
			keep_variant(b);
	}
	if (item->type == RW_CHOICE || item->type == RW_TEXT)
		snprintf(as_chosen, sizeof as_chosen, "%s", rw_item_exists(&full, slot) ? rw_slot_text(&full, slot) : "word");
	else
		rw_units_write(b->base->units, item->kind, rw_item_exists(&full, slot) ? rw_slot_get(&full, slot) : fmax(item->input->min, 1.0), as_chosen, sizeof as_chosen);
	for (int i = 0; i < BAD_VALUES; i++) {
		const char *what = bad_value(i, as_chosen, value, sizeof value);
		give(b, path, value, what);
	}
	give(b, path, as_chosen, "as chosen");
	drop_letter(strrchr(path, '.') + 1, value, sizeof value);
	snprintf(wrong, sizeof wrong, "%.*s%.60s", (int)(strrchr(path, '.') + 1 - path), path, value);
	give(b, wrong, as_chosen, "misspelt");
}

static void mutate_all(bench *b)
{
	const rw_design *design = b->example->generator.design;
	b->met = b->choices = 0;
	mutate_node(b, b->example->generator.tree->root);
	b->given = b->met;
	for (int job = 0; job < design->n_jobs; job++) {
		rw_view open = {design, NULL, job, RW_NO_CASE};
		rw_each_slot(&open, mutate_open, b);
	}
}

static void try_all(bench *b, int cases_most)
{
	b->count = true;
	mutate_all(b);
	b->count = false;
	b->every = b->met * b->example->chain.solution->n_cases / cases_most + 1;
	mutate_all(b);
}

/* What is rare in the sample of one example is asked of all together. */
typedef struct sums { const law_base *base; int files, tried, solved, refused_bound, refused_solved, faults; } sums;

static void add(sums *all, const bench *b)
{
	all->tried += b->tried;
	all->solved += b->solved;
	all->refused_bound += b->refused_bound;
	all->refused_solved += b->refused_solved;
	all->faults += b->faults;
}

static void try_variants(sums *all, const bench *of)
{
	sums here = {.base = all->base};
	for (int i = 0; i < of->n_variants; i++) {
		law_set set;
		char name[128];
		snprintf(name, sizeof name, "%.80s, variant %d", of->file, i);
		bench b = {.base = of->base, .example = &set, .file = name, .variant = true};
		rw_text_init(&b.text);
		law_solve_text(b.base, &set, name, of->variants[i], strlen(of->variants[i]));
		try_all(&b, VARIANT_CASES_MOST);
		add(&here, &b);
		add(all, &b);
		if (b.faults)
			print_error("%s:\n%s\n", name, of->variants[i]);
		law_end(&set);
		rw_text_release(&b.text);
		free(of->variants[i]);
	}
	printf("%s: %d variants, %d mutations: %d solved, %d refused when read, %d refused when solved\n", of->file, of->n_variants, here.tried,
	       here.solved, here.refused_bound, here.refused_solved);
	assert_true(of->n_variants > 3);
}

static void try_file(void *context, const char *path)
{
	sums *all = context;
	law_set example;
	double began = seconds();
	if (!law_is_example(path))
		return;
	bench b = {.base = all->base, .example = &example, .file = path};
	rw_text_init(&b.text);
	law_solve_file(b.base, &example, path);
	try_all(&b, CASES_MOST);
	printf("%s: %d of %d mutations (%d of what is given, %d of them choices, %d of what is open): ", path, b.tried, b.met, b.given, b.choices,
	       b.met - b.given);
	printf("%d solved, %d refused when read, %d refused when solved; %.1f s, %.2f s with %s\n", b.solved, b.refused_bound, b.refused_solved, seconds() - began, b.slowest,
	       b.slowest_label);
	assert_true(b.given > 450 && b.met - b.given > 700 && b.choices > 5);
	all->files++;
	add(all, &b);
	if (getenv("RW_LONG"))
		try_variants(all, &b);
	law_end(&example);
	rw_text_release(&b.text);
}

static void faulty_values_are_solved_or_refused(void **state)
{
	sums all = {.base = *state};
	double began = seconds();
	law_each_file(try_file, &all);
	printf("%d examples, %d mutations: %d solved, %d refused when read, %d refused when solved; %.1f s\n", all.files, all.tried, all.solved,
	       all.refused_bound, all.refused_solved, seconds() - began);
	assert_true(all.files >= 3 && all.solved > all.tried / 20 && all.refused_bound > all.tried / 5 && all.refused_solved > all.tried / 100);
	assert_true(getenv("RW_LONG") || seconds() - began < seconds_most);
	if (all.faults)
		fail_msg("%d faults", all.faults);
}

int main(void)
{
	const struct CMUnitTest tests[] = {cmocka_unit_test(faulty_values_are_solved_or_refused)};
	return cmocka_run_group_tests(tests, law_group_open, law_group_close);
}
