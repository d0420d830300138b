#include <argp.h>
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"

typedef struct options {
	const char *file, *format, *job, *kase;
} options;

static const struct argp_option table[] = {
    {"format", 'f', "text|json|csv", 0, "how to print (text)", 0},
    {"case", 'c', "LOAD/MAINS", 0, "the case shown: cold/high, cold, high; the one the set is sized on when left out", 0},
    {"job", 'j', "NAME", 0, "the job the case is of", 0},
    {0},
};

static error_t parse(int key, char *arg, struct argp_state *state)
{
	options *o = state->input;
	switch (key) {
	case 'f': o->format = arg; return 0;
	case 'c': o->kase = arg; return 0;
	case 'j': o->job = arg; return 0;
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

static int put_json(const rw_cli *cli, const rw_session *session)
{
	rw_error err;
	rw_text text;
	rw_text_init(&text);
	rw_status status = rw_chain_json(&session->chain, &text, &err);
	if (status == RW_OK)
		fputs(text.bytes, stdout);
	else
		rw_print_error(cli, &err);
	rw_text_release(&text);
	return rw_status_exit_code(status);
}

static int put_result(const rw_cli *cli, const options *o, const rw_session *session)
{
	int scase = rw_pick_case(cli, &session->chain, o->job, o->kase);
	if (scase < 0)
		return 2;
	if (strcmp(o->format, "json") == 0)
		return put_json(cli, session);
	if (strcmp(o->format, "csv") == 0)
		rw_print_csv(session, o->kase || o->job ? scase : -1);
	else
		rw_print_summary(cli, session, scase);
	return 0;
}

int rw_cmd_solve(const rw_cli *cli, int argc, char **argv)
{
	const struct argp argp = {table, parse, "FILE", "Solves the whole set over all its cases: load states by mains low, nominal, high.\v"
	                                                "Exits 0 when it solved, whatever the checks say; 'check' judges them.", NULL, NULL, NULL};
	options o = {.format = "text"};
	argp_parse(&argp, argc, argv, 0, NULL, &o);
	if (strcmp(o.format, "text") != 0 && strcmp(o.format, "json") != 0 && strcmp(o.format, "csv") != 0)
		return rw_usage_error(cli, "format '%s' is not known; it is text, json or csv", o.format);
	rw_session session;
	rw_session_init(&session);
	int code = rw_session_solve(&session, cli, o.file);
	if (code == 0)
		code = put_result(cli, &o, &session);
	rw_session_release(&session);
	return code;
}
