#include <string.h>

#include "cli/cli.h"

/* Adds to each room's mapping of the set the inputs left open, as comments: what the rules would choose. */
static void comment_rooms(const rw_generator *generator, const rw_tree *tree, rw_text *out)
{
	const rw_registry *registry = rw_all_stages.registry;
	size_t at = 0;
	for (const rw_node *node = tree->root->first; node; node = node->next) {
		int r = rw_registry_find(registry, node->key);
		size_t end = node->next ? node->next->key_at.start : tree->n;
		while (end > at && node->next && tree->bytes[end - 1] != '\n')
			end--;
		size_t stop = end;   /* blank lines and comments before the next key belong to it */
		while (r >= 0 && stop > node->value_at.end && stop >= 2 && tree->bytes[stop - 1] == '\n' && tree->bytes[stop - 2] == '\n')
			stop--;
		rw_text_add_n(out, tree->bytes + at, stop - at);
		if (r >= 0 && !registry->rooms[r]->per_job)
			rw_generator_comment_open(generator->design, node->key, "  ", out);
		rw_text_add_n(out, tree->bytes + stop, end - stop);
		at = end;
	}
	for (int r = 0; r < registry->n_rooms; r++) {
		const rw_room *room = registry->rooms[r];
		if (room->per_job || room->in_size == 0 || rw_yaml_child(tree->root, room->name))
			continue;
		rw_text_addf(out, "\n# %s: all of it chosen; take the # off to give a value\n# %s:\n", room->text, room->name);
		rw_generator_comment_open(generator->design, room->name, "  ", out);
	}
}

/* One template a kind of work. */
static const struct { const char *work, *file; } templates[] = {
    {"measured", "measured-load"}, {"bar", "bar"}, {"dielectric", "dielectric"},
};

static const char *template_of(const char *work)
{
	if (!work)
		return templates[0].file;
	for (size_t i = 0; i < sizeof templates / sizeof *templates; i++)
		if (strcmp(work, templates[i].work) == 0)
			return templates[i].file;
	return NULL;
}

static rw_status make(rw_session *session, const rw_cli *cli, const char *template, rw_text *out, rw_error *err)
{
	rw_generator generator;
	char *path = rw_arena_format(&session->arena, "%s/templates/%s.yaml", cli->data_dir, template);
	char *bytes;
	size_t n;
	if (!path)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	RW_TRY(rw_file_read(&session->arena, path, &bytes, &n, err));
	RW_TRY(rw_generator_bind(&session->arena, session->units, rw_all_stages.registry, path, bytes, n, &generator, NULL, err));
	comment_rooms(&generator, generator.tree, out);
	return out->failed ? RW_RAISE(err, RW_E_MEMORY, "", "memory ran out") : RW_OK;
}

int rw_cmd_new(const rw_cli *cli, int argc, char **argv)
{
	rw_options o;
	rw_options_read(&o, argc, argv, RW_TAKES_OPTIONAL_FILE, "w", "[FILE]",
	                "Writes a commented generator file to start from: to FILE, which must not exist, or to stdout.");
	const char *template = template_of(o.work);
	if (!template)
		return rw_usage_error(cli, "work '%s' is not known; it is measured, bar or dielectric", o.work);
	rw_session session;
	rw_text text;
	rw_error err;
	rw_session_init(&session);
	rw_text_init(&text);
	int code = rw_session_base(&session, cli);
	if (code == 0) {
		rw_status status = make(&session, cli, template, &text, &err);
		if (status == RW_OK && o.file)
			status = rw_file_save(o.file, NULL, 0, text.bytes, text.n, &err);
		else if (status == RW_OK)
			fwrite(text.bytes, 1, text.n, stdout);
		if (status != RW_OK)
			rw_print_error(cli, &err);
		else if (o.file)
			fprintf(stderr, "%s: written; 'rfwright solve %s' solves it\n", o.file, o.file);
		code = rw_status_exit_code(status);
	}
	rw_text_release(&text);
	rw_session_release(&session);
	return code;
}
