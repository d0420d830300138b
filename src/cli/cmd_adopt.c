#include <argp.h>

#include "cli/cli.h"

enum { KEYS_MAX = 64 };
typedef struct options {
	const char *file, *key[KEYS_MAX];
	int n;
	bool show;
} options;

static const struct argp_option table[] = {
    {"show", 's', 0, 0, "print the new text instead of saving it", 0},
    {0},
};

static error_t parse(int key, char *arg, struct argp_state *state)
{
	options *o = state->input;
	switch (key) {
	case 's': o->show = true; return 0;
	case ARGP_KEY_ARG:
		if (!o->file)
			o->file = arg;
		else if (o->n < KEYS_MAX)
			o->key[o->n++] = arg;
		else
			argp_error(state, "at most %d keys at once", KEYS_MAX);
		return 0;
	case ARGP_KEY_END:
		if (!o->file)
			argp_error(state, "which generator file?");
		return 0;
	default: return ARGP_ERR_UNKNOWN;
	}
}

static int put(const rw_cli *cli, rw_session *session, const options *o)
{
	rw_error err;
	rw_text text;
	int n = 0;
	rw_text_init(&text);
	rw_status status = rw_generator_adopt(&session->generator, session->units, session->chain.full, o->n ? o->key : NULL, o->n, &text, &n, &err);
	if (status == RW_OK && o->show)
		fwrite(text.bytes, 1, text.n, stdout);
	else if (status == RW_OK && n)
		status = rw_file_save(o->file, session->bytes, session->n, text.bytes, text.n, &err);
	if (status != RW_OK)
		rw_print_error(cli, &err);
	else
		fprintf(stderr, "%s: %d chosen value%s %s\n", o->file, n, n == 1 ? "" : "s", o->show ? "shown in place" : "written");
	rw_text_release(&text);
	return status == RW_E_KEY ? 2 : rw_status_exit_code(status);
}

int rw_cmd_adopt(const rw_cli *cli, int argc, char **argv)
{
	const struct argp argp = {table, parse, "FILE [KEY...]", "Writes chosen values into the file as given ones; comments and layout stay.\v"
	                                                         "Without keys: all that rules chose, but not what came from the library. A KEY may be a whole room: "
	                                                         "'adopt FILE valve' copies the library's figures in.", NULL, NULL, NULL};
	options o = {0};
	argp_parse(&argp, argc, argv, 0, NULL, &o);
	rw_session session;
	rw_session_init(&session);
	int code = rw_session_solve(&session, cli, o.file);
	if (code == 0)
		code = put(cli, &session, &o);
	rw_session_release(&session);
	return code;
}
