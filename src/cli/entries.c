/* What the commands on the shelves of the library share: the choice of what to do, and an entry shown. */
#include <string.h>

#include "cli/cli.h"

int rw_entry_report(const rw_cli *cli, const rw_error *err)
{
	rw_print_error(cli, err);
	return err->status == RW_E_KEY && err->line == 0 ? 2 : rw_status_exit_code(err->status);
}

const char *rw_entry_value(const rw_entry *entry, const char *key)
{
	const rw_fact *fact = rw_entry_fact(entry, key);
	return fact ? fact->value : "\u2014";
}

static bool is_table(const rw_fact *fact) { return strchr(fact->value, '\n') != NULL; }

/* "thermal.density, heat_capacity: conditions", a line for all that share them. */
static void put_conditions(const rw_entry *entry)
{
	for (int i = 0, next; i < entry->n_facts; i = next) {
		const rw_fact *f = &entry->facts[i];
		for (next = i + 1; next < entry->n_facts && entry->facts[next].block == f->block && entry->facts[next].conditions == f->conditions;)
			next++;
		if (!f->conditions)
			continue;
		printf("%s.%s", f->block, f->key);
		for (int k = i + 1; k < next; k++)
			printf(", %s", entry->facts[k].key);
		printf(": %s\n", f->conditions);
	}
}

/* The grid says 'table'; here they stand whole. */
static void put_tables(const rw_entry *entry)
{
	for (int i = 0; i < entry->n_facts; i++) {
		const rw_fact *f = &entry->facts[i];
		if (!is_table(f))
			continue;
		printf("%s.%s\n", f->block, f->key);
		for (const char *line = f->value; *line; line += strcspn(line, "\n") + (line[strcspn(line, "\n")] == '\n'))
			printf("    %.*s\n", (int)strcspn(line, "\n"), line);
	}
}

static void put_sources(const rw_session *session, const rw_entry *entry)
{
	for (int i = 0; i < entry->n_facts; i++) {
		bool told = false;
		for (int k = 0; k < i; k++)
			told = told || strcmp(entry->facts[k].source, entry->facts[i].source) == 0;
		const rw_source *source = rw_library_source(session->base.library, entry->facts[i].source);
		if (!told && source)
			printf("%s: %s (%s)\n", source->key, source->text, source->status);
	}
}

int rw_entry_show(const rw_cli *cli, rw_session *session, const char *shelf, const char *name)
{
	const char *const headings[] = {"Block", "Figure", ">Value", "Status", "Source"};
	const rw_entry *entry;
	rw_error err;
	if (rw_library_entry(session->base.library, &session->arena, shelf, name, &entry, &err) != RW_OK)
		return rw_entry_report(cli, &err);
	printf("%s: %s   SHA-256 %.12s\n\n", entry->name, entry->title, entry->digest);
	rw_grid *grid = rw_grid_new(headings, 5);
	for (int i = 0; i < entry->n_facts; i++) {
		const rw_fact *f = &entry->facts[i];
		rw_grid_row(grid, (const char *const[]){f->block, f->key, is_table(f) ? "table" : f->value, f->status, f->source});
	}
	rw_grid_print(grid);
	putchar('\n');
	put_tables(entry);
	put_conditions(entry);
	put_sources(session, entry);
	return 0;
}

static int not_understood(const rw_cli *cli, const char *command, const rw_entry_action *actions, int n, const char *usage, int argc,
    char **argv)
{
	const char *names[RW_ENTRY_ACTIONS_MAX] = {NULL};
	for (int i = 0; i < n; i++)
		names[i] = actions[i].name;
	const char *nearest = argc > 1 ? rw_text_nearest(argv[1], names, n) : NULL;
	bool takes_name = false;
	for (int i = 0; nearest && i < n; i++)
		takes_name = takes_name || (strcmp(names[i], nearest) == 0 && actions[i].takes_name);
	if (nearest && strcmp(nearest, argv[1]) != 0)
		(void)rw_usage_error(cli, "there is no '%s %s'; did you mean '%s %s'?", command, argv[1], command, nearest);
	else if (nearest && takes_name)
		(void)rw_usage_error(cli, "'%s %s' wants the name of one %s behind it", command, nearest, command);
	else if (nearest)
		(void)rw_usage_error(cli, "'%s %s' wants nothing behind it", command, nearest);
	fputs(usage, stderr);
	return 2;
}

int rw_entry_command(const rw_cli *cli, const rw_entry_action *actions, int n, const char *usage, int argc, char **argv)
{
	if (argc == 2 && strcmp(argv[1], "--help") == 0) {
		fputs(usage, stdout);
		return 0;
	}
	const rw_entry_action *action = NULL;
	for (int i = 0; i < n && argc > 1; i++)
		if (strcmp(argv[1], actions[i].name) == 0 && argc == 2 + actions[i].takes_name)
			action = &actions[i];
	if (!action)
		return not_understood(cli, argv[0], actions, n, usage, argc, argv);
	rw_session session;
	rw_session_init(&session);
	int code = rw_session_base(&session, cli);
	if (code == 0)
		code = action->run(cli, &session, action->takes_name ? argv[2] : NULL);
	rw_session_release(&session);
	return code;
}
