#include <string.h>

#include "cli/cli.h"

/* Said apart from the results: they are dashes. */
static int none_solved(const rw_cli *cli, const rw_session *session)
{
	const rw_solution *s = session->chain.solution;
	for (int k = 0; k < s->n_cases; k++)
		if (!s->why_not[k])
			return 0;
	rw_error err;
	(void)RW_RAISE(&err, RW_E_NOSOLVE, "", "no case was solved: %.200s", s->why_not[s->design_case]);
	rw_error_at(&err, session->chain.full->file, 0, 0, 0);
	rw_error_expected(&err, "at least one case that oscillates");
	rw_error_hint(&err, "'check' tells what is not told; the parts given are where to look");
	rw_print_error(cli, &err);
	return rw_status_exit_code(err.status);
}

static int put(const rw_cli *cli, const rw_options *o, rw_session *session)
{
	int scase = rw_pick_case(cli, &session->chain, o->job, o->kase);
	if (scase < 0)
		return 2;
	int code = 0;
	if (strcmp(o->format, "json") == 0)
		code = rw_put_json(cli, session);
	else if (strcmp(o->format, "csv") == 0)
		rw_print_csv(session, o->kase || o->job ? scase : -1);
	else
		rw_print_summary(cli, session, scase);
	return code ? code : none_solved(cli, session);
}

int rw_cmd_solve(const rw_cli *cli, int argc, char **argv)
{
	rw_options o;
	rw_options_read(&o, argc, argv, 0, "fcjr", "FILE", "Solves the whole set over all its cases: load states by mains low, nominal, high by valve new, worn.\v"
	                                                  "Exits 0 when it solved, whatever the checks say; 'check' judges them. 4 when no "
	                                                              "case was solved.");
	int code = rw_options_format(cli, &o, true);
	return code ? code : rw_on_solved(cli, &o, put);
}
