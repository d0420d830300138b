/* Prints docs/file-reference.md: the hand-written head, then what the program's own tables say of outcomes, units and rooms.
 * usage: file_reference docs/file-reference-head.md >docs/file-reference.md */
#include <stdio.h>
#include <string.h>

#include "base/base.h"
#include "chain/chain.h"
#include "item/figure.h"

static const char *const scope_words[] = {"set", "job", "case"};

/* Words in a cell of a table: what would end the cell or start markup is escaped. */
static void put_words(const char *text)
{
	for (const char *p = text; *p; p++) {
		if (strchr("|<*_`\\", *p))
			putchar('\\');
		putchar(*p);
	}
}

static void put_key(const rw_room *room, const char *key) { printf("`%s.%s`", room->name, key); }

/* Which units are read, or which names, or which columns. */
static void put_accepted_form(const rw_item *item)
{
	const rw_input *in = item->input;
	switch (item->type) {
	case RW_CHOICE:
		for (int i = 0; in->choices[i]; i++)
			printf("%s`%s`", i ? " or " : "", in->choices[i]);
		break;
	case RW_TEXT: printf("text, at most %d bytes", RW_TEXT_BYTES - 1); break;
	case RW_TABLE:
		printf("table, at least %d rows:", in->min_rows);
		for (int i = 0; i < in->n_columns; i++)
			printf("%s %s in %s", i ? "," : "", in->columns[i].name, in->columns[i].kind->units);
		break;
	case RW_INTEGER: printf("whole number"); break;
	default: printf("%s%s%s", item->kind->units, item->kind->measure[0] ? "; " : "", item->kind->measure);
	}
}

static void put_span(const rw_units *units, const rw_item *item)
{
	char low[64], high[64];
	if (item->type != RW_NUMBER && item->type != RW_INTEGER)
		return;
	rw_units_write_limit(units, item->kind, item->input->min, low, sizeof low);
	rw_units_write_limit(units, item->kind, item->input->max, high, sizeof high);
	printf("%s %s to %s%s", item->input->min_open ? "over" : "from", low, item->input->max_open ? "under " : "", high);
}

static void put_owners(const rw_room *room, const rw_only *only)
{
	const rw_item *choice = &room->items[rw_item_find(room, only->key)];
	bool more = false;
	printf("%s ", only->key);
	for (int k = 0; choice->input->choices[k]; k++)
		if (only->kinds >> k & 1U) {
			printf("%s`%s`", more ? ", " : "", choice->input->choices[k]);
			more = true;
		}
}

static void put_when_open(const rw_room *room, const rw_input *in)
{
	if (in->only.key) {
		printf("only with ");
		put_owners(room, &in->only);
		printf("; ");
	}
	if (in->required)
		printf("must be given");
	if (in->required && in->required_only.key) {
		printf(" with ");
		put_owners(room, &in->required_only);
	}
	if (in->rule) {
		printf("%s%s: ", in->required ? "; " : "", in->rule);
		put_words(in->rule_text);
		printf(" (`%s`)", in->rule_source);
	}
	if (in->optional)
		printf("%smay stay open", in->rule ? "; " : "");
}

static void put_input(const rw_units *units, const rw_room *room, const rw_item *item)
{
	printf("| ");
	put_key(room, item->key);
	printf(" | ");
	put_words(item->text);
	printf(" | %s | ", rw_role_name((rw_role)item->role));
	put_accepted_form(item);
	printf(" | ");
	put_span(units, item);
	printf(" | ");
	put_when_open(room, item->input);
	printf(" |\n");
}

static void put_formula(const rw_formula *formula)
{
	if (formula->when)
		printf("when `%s`: ", formula->when);
	if (formula->kind == RW_METHOD)
		put_words(formula->text);
	else
		printf("%s`%s`", formula->kind == RW_BALANCE ? "0 = " : "", formula->text);
	if (formula->kind == RW_BALANCE)
		printf(", relative to `%s`", formula->scale);
}

static void put_result(const rw_room *room, const rw_item *item)
{
	const char *source = NULL;
	printf("| ");
	put_key(room, item->key);
	printf(" | ");
	put_words(item->text);
	printf(" | %s | %s | ", item->kind ? item->kind->si : "", scope_words[item->scope]);
	for (int f = 0; f < item->n_formulas; f++) {
		printf("%s", f ? "; " : "");
		put_formula(&item->formulas[f]);
	}
	printf(" | ");
	for (int f = 0; f < item->n_formulas; f++) {
		const char *next = item->formulas[f].source;
		if (next && (!source || strcmp(source, next) != 0))
			printf("%s`%s`", source ? ", " : "", next);
		source = next ? next : source;
	}
	printf(" | ");
	if (item->uncertainty > 0.0)
		printf("%g %%%s", 100.0 * item->uncertainty, item->by == RW_BY_ESTIMATE ? ", estimate" : "");
	else if (item->by == RW_BY_ESTIMATE)
		printf("estimate");
	printf(" |\n");
}

static int count(const rw_room *room, bool inputs)
{
	int n = 0;
	for (int i = 0; i < room->n_items; i++)
		n += (room->items[i].input != NULL) == inputs;
	return n;
}

static void put_items(const rw_units *units, const rw_room *room)
{
	if (count(room, true))
		printf("\n| input | what it is | role | written as | accepted | when left open |\n| --- | --- | --- | --- | --- | --- |\n");
	for (int i = 0; i < room->n_items; i++)
		if (room->items[i].input)
			put_input(units, room, &room->items[i]);
	if (count(room, false))
		printf("\n| result | what it is | unit | of a | formula | source | good to |\n| --- | --- | --- | --- | --- | --- | --- |\n");
	for (int i = 0; i < room->n_items; i++)
		if (!room->items[i].input)
			put_result(room, &room->items[i]);
}

static void put_limits(const rw_room *room)
{
	if (room->n_limits)
		printf("\n| check | what it says | figure | | limit | source | what helps |\n| --- | --- | --- | --- | --- | --- | --- |\n");
	for (int i = 0; i < room->n_limits; i++) {
		const rw_limit *l = &room->limits[i];
		printf("| `%s` | ", l->key);
		put_words(l->text);
		printf(" | `%s`", l->figure);
		if (l->when)
			printf(" when `%s`", l->when);
		printf(" | %s | `%s`%s | `%s` | ", l->sense == RW_AT_MOST ? "at most" : "at least", l->limit, l->needs ? ", where given" : "", l->source);
		put_words(l->remedy);
		printf(" |\n");
	}
}

static void put_room(const rw_units *units, const rw_room *room)
{
	printf("\n### %s: `%s`\n\n", room->text, room->name);
	if (room->in_size == 0)
		printf("Nothing of it stands in the file: results only.\n");
	else
		printf("In the file: `%s%s`.\n", room->per_job ? "jobs.NAME." : "", room->name);
	for (int i = 0; i < room->n_lists; i++) {
		const rw_list *list = &room->lists[i];
		printf("List `%s.%s`: ", room->name, list->key);
		put_words(list->text);
		printf("; names of your own, at most %d%s.\n", list->capacity, list->required ? ", at least one" : "");
	}
	put_items(units, room);
	put_limits(room);
	for (int i = 0; i < room->n_series; i++) {
		printf("%sCurve `%s.%s`: ", i ? "" : "\n", room->name, room->series[i].key);
		put_words(room->series[i].text);
		printf(".\n");
	}
}

static void put_outcomes(void)
{
	printf("\n## Outcomes and exit codes\n\n| outcome | exit code | what it says |\n| --- | --- | --- |\n");
#define RW_STATUS(name, exit_code, text) printf("| `%s` | %d | %s |\n", #name, exit_code, text);
#include "base/status.def"
#undef RW_STATUS
	printf("\n`check` exits with 1 when all was solved and a check failed or could not be told.\n");
}

static void put_kinds(void)
{
	printf("\n## Kinds of quantity and their units\n\nA unit is read exactly as it stands here, prefix and all. The micro sign may stand for `u`.\n\n"
	       "| kind | measure | SI unit | units read |\n| --- | --- | --- | --- |\n");
	for (int i = 0; i < rw_kinds_number(); i++) {
		const rw_kind *kind = rw_kind_at(i);
		printf("| `%s` | %s | %s | %s |\n", kind->name, kind->measure, kind->si, kind->units);
	}
}

static bool put_head(const char *path)
{
	FILE *head = fopen(path, "r");
	int c;
	if (!head)
		return false;
	while ((c = getc(head)) != EOF)
		putchar(c);
	bool good = !ferror(head);
	return fclose(head) == 0 && good;
}

int main(int argc, char **argv)
{
	rw_units *units;
	rw_error err;
	rw_base_init();
	if (argc != 2) {
		fputs("usage: file_reference HEAD\n", stderr);
		return 2;
	}
	if (rw_units_new(&units, &err) != RW_OK) {
		fprintf(stderr, "file_reference: %s\n", err.what);
		return 6;
	}
	if (!put_head(argv[1])) {
		fprintf(stderr, "file_reference: '%s' could not be read\n", argv[1]);
		rw_units_free(units);
		return 5;
	}
	put_outcomes();
	put_kinds();
	printf("\n## Rooms, mains to work\n");
	for (int r = 0; r < rw_all_stages.registry->n_rooms; r++)
		put_room(units, rw_all_stages.registry->rooms[r]);
	rw_units_free(units);
	return fflush(stdout) == 0 ? 0 : 5;
}
