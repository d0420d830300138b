#include <argp.h>
#include <math.h>
#include <string.h>

#include "cli/cli.h"

typedef struct options { const char *file, *format; } options;

static const struct argp_option table[] = {
    {"format", 'f', "text|json", 0, "how to print (text)", 0},
    {0},
};

static error_t parse(int key, char *arg, struct argp_state *state)
{
	options *o = state->input;
	switch (key) {
	case 'f': o->format = arg; return 0;
	case ARGP_KEY_ARG:
		if (o->file)
			argp_error(state, "one file only: '%s' is too many", arg);
		o->file = arg;
		return 0;
	case ARGP_KEY_END:
		if (!o->file)
			argp_error(state, "which generator file?");
		return 0;
	default: return ARGP_ERR_UNKNOWN;
	}
}

/* A limit nobody gave is told and does not fail; one that could not be judged does. */
static bool all_pass(const rw_chain *chain)
{
	for (int i = 0; i < chain->n_checks; i++)
		if (chain->checks[i].ok == 0 || (chain->checks[i].ok < 0 && !(chain->checks[i].limit_row->needs && !isfinite(chain->checks[i].limit))))
			return false;
	return true;
}

int rw_cmd_check(const rw_cli *cli, int argc, char **argv)
{
	const struct argp argp = {table, parse, "FILE", "Every limit of every room against its worst case.\v"
	                                                "Exits 1 when a figure is over its limit or could not be told. No output says that a set is safe.", NULL, NULL, NULL};
	options o = {.format = "text"};
	argp_parse(&argp, argc, argv, 0, NULL, &o);
	if (strcmp(o.format, "text") != 0 && strcmp(o.format, "json") != 0)
		return rw_usage_error(cli, "format '%s' is not known; it is text or json", o.format);
	rw_session session;
	rw_session_init(&session);
	int code = rw_session_solve(&session, cli, o.file);
	if (code == 0 && strcmp(o.format, "json") == 0) {
		rw_error err;
		rw_text text;
		rw_text_init(&text);
		rw_status status = rw_chain_json(&session.chain, &text, &err);
		if (status == RW_OK)
			fputs(text.bytes, stdout);
		else
			rw_print_error(cli, &err);
		code = rw_status_exit_code(status);
		rw_text_release(&text);
	} else if (code == 0) {
		rw_print_checks(cli, &session, session.chain.n_checks);
	}
	if (code == 0)
		code = all_pass(&session.chain) ? 0 : 1;
	rw_session_release(&session);
	return code;
}
