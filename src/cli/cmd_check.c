#include <string.h>

#include "cli/cli.h"

/* A limit nobody gave is told and does not fail; one that could not be judged does. */
static bool all_pass(const rw_chain *chain)
{
	for (int i = 0; i < chain->n_checks; i++)
		if (chain->checks[i].ok == 0 || (chain->checks[i].ok < 0 && !chain->checks[i].no_limit))
			return false;
	return true;
}

static int put(const rw_cli *cli, const rw_options *o, rw_session *session)
{
	int code = 0;
	if (strcmp(o->format, "json") == 0)
		code = rw_put_json(cli, session);
	else {
		rw_print_title(cli, session);
		if (session->chain.asked)
			rw_print_verdict(cli, session);
		rw_print_checks(cli, session, session->chain.n_checks);
		if (!session->chain.asked) {
			rw_print_guards(cli, session);
			rw_print_faults(cli, session);
		}
	}
	return code ? code : all_pass(&session->chain) ? 0 : 1;
}

/* A job the set cannot even be tried on is one it cannot do. */
static int ask(const rw_cli *cli, const rw_options *o)
{
	rw_session session;
	rw_session_init(&session);
	int code = rw_session_ask(&session, cli, o);
	if (code == 0)
		code = put(cli, o, &session);
	rw_session_release(&session);
	return code;
}

int rw_cmd_check(const rw_cli *cli, int argc, char **argv)
{
	rw_options o;
	rw_options_read(&o, argc, argv, 0, "fjr", "FILE", "Every limit of every room against its worst case; with a job: can the set as it stands do "
	                                                 "that job?\v"
	                                                 "Exits 1 when a figure is over its limit or could not be told. With a job, parts left open are "
	                                                 "chosen without it. No output says that a set is safe.");
	int code = rw_options_format(cli, &o, false);
	if (code)
		return code;
	return o.job ? ask(cli, &o) : rw_on_solved(cli, &o, put);
}
