#include <string.h>

#include "cli/cli.h"

static int put(const rw_cli *cli, const rw_options *o, rw_session *session)
{
	int scase = rw_pick_case(cli, &session->chain, o->job, o->kase);
	if (scase < 0)
		return 2;
	if (strcmp(o->format, "json") == 0)
		return rw_put_json(cli, session);
	if (strcmp(o->format, "csv") == 0)
		rw_print_csv(session, o->kase || o->job ? scase : -1);
	else
		rw_print_summary(cli, session, scase);
	return 0;
}

int rw_cmd_solve(const rw_cli *cli, int argc, char **argv)
{
	rw_options o;
	rw_options_read(&o, argc, argv, 0, "fcj", "FILE", "Solves the whole set over all its cases: load states by mains low, nominal, high.\v"
	                                                  "Exits 0 when it solved, whatever the checks say; 'check' judges them.");
	int code = rw_options_format(cli, &o, true);
	return code ? code : rw_on_solved(cli, &o, put);
}
