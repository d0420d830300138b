/* What the commands that read a file share: their options and arguments. */
#include <argp.h>
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"

static void take_argument(rw_options *o, char *arg, struct argp_state *state)
{
	if (!o->file)
		o->file = arg;
	else if (!(o->takes & RW_TAKES_KEYS))
		argp_error(state, "one file only: '%s' is too many", arg);
	else if (o->n_keys == RW_KEYS_MAX)
		argp_error(state, "at most %d keys at once", RW_KEYS_MAX);
	else
		o->key[o->n_keys++] = arg;
}

static int read_depth(const char *arg, struct argp_state *state)
{
	char *end;
	long depth = strtol(arg, &end, 10);
	if (*end || end == arg || depth < 0 || depth > 50)
		argp_error(state, "depth '%s' is not a whole number from 0 to 50", arg);
	return (int)depth;
}

static error_t parse(int key, char *arg, struct argp_state *state)
{
	rw_options *o = state->input;
	switch (key) {
	case 'f': o->format = arg; return 0;
	case 'c': o->kase = arg; return 0;
	case 'j': o->job = arg; return 0;
	case 'd': o->depth = read_depth(arg, state); return 0;
	case 's': o->show = true; return 0;
	case 'r': o->retune = true; return 0;
	case 'w': o->work = arg; return 0;
	case ARGP_KEY_ARG: take_argument(o, arg, state); return 0;
	case ARGP_KEY_END:
		if (!o->file && !(o->takes & RW_TAKES_OPTIONAL_FILE))
			argp_error(state, "which generator file?");
		if ((o->takes & RW_TAKES_A_KEY) && o->n_keys == 0)
			argp_error(state, "which figure? Its key follows the file");
		return 0;
	default: return ARGP_ERR_UNKNOWN;
	}
}

static const struct argp_option all[] = {
    {"format", 'f', "FORMAT", 0, "how to print: text (when left out) or json; 'solve' has csv too", 0},
    {"case", 'c', "LOAD/MAINS", 0, "the case: cold/high, cold, high; the one the set is sized on when left out", 0},
    {"job", 'j', "NAME", 0, "the job the case is of; 'check': can the set do this job?", 0},
    {"depth", 'd', "N", 0, "how many steps back (2)", 0},
    {"show", 's', 0, 0, "print the new text instead of saving it", 0},
    {"retune", 'r', 0, 0, "move what can be turned (HT, grid coupling) so that each job has its heat at nominal mains", 0},
    {"work", 'w', "KIND", 0, "what the work is: measured (when left out), bar or dielectric", 0},
};

void rw_options_read(rw_options *o, int argc, char **argv, unsigned takes, const char *letters, const char *arguments, const char *words)
{
	struct argp_option table[sizeof all / sizeof all[0] + 1] = {{0}};
	int n = 0;
	for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
		if (strchr(letters, all[i].key))
			table[n++] = all[i];
	const struct argp argp = {n ? table : NULL, parse, arguments, words, NULL, NULL, NULL};
	char name[64], *own = argv[0];
	snprintf(name, sizeof name, "rfwright %s", argv[0]);
	argv[0] = name;   /* what usage lines begin with */
	*o = (rw_options){.format = "text", .depth = 2, .takes = takes};
	argp_parse(&argp, argc, argv, 0, NULL, o);
	argv[0] = own;
}

int rw_options_format(const rw_cli *cli, const rw_options *o, bool csv_too)
{
	if (strcmp(o->format, "text") == 0 || strcmp(o->format, "json") == 0 || (csv_too && strcmp(o->format, "csv") == 0))
		return 0;
	return rw_usage_error(cli, "format '%s' is not known; it is text%s json%s", o->format, csv_too ? "," : " or", csv_too ? " or csv" : "");
}

int rw_put_json(const rw_cli *cli, const rw_session *session)
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

int rw_on_solved(const rw_cli *cli, const rw_options *o, int (*then)(const rw_cli *cli, const rw_options *o, rw_session *session))
{
	rw_session session;
	rw_session_init(&session);
	int code = rw_session_solve(&session, cli, o);
	if (code == 0)
		code = then(cli, o, &session);
	rw_session_release(&session);
	return code;
}
