#include "cli/cli.h"

#include <stdio.h>
#include <string.h>

void rw_session_init(rw_session *session)
{
	memset(session, 0, sizeof *session);
	rw_arena_init(&session->arena);
	rw_work_init(&session->work);
}

void rw_session_release(rw_session *session)
{
	rw_units_free(session->units);
	rw_work_release(&session->work);
	rw_arena_release(&session->arena);
}

static int report(const rw_cli *cli, const rw_error *err)
{
	rw_print_error(cli, err);
	return rw_status_exit_code(err->status);
}

int rw_session_base(rw_session *session, const rw_cli *cli)
{
	rw_error err;
	if (rw_units_new(&session->units, &err) != RW_OK ||
	    rw_chain_base_open(&session->arena, &rw_all_stages, session->units, cli->data_dir, &session->base, &err) != RW_OK) {
		if (err.status == RW_E_IO) {
			rw_error_expected(&err, "the folder of data");
			rw_error_hint(&err, "name it by --data or RFWRIGHT_DATA, or install the program");
		}
		return report(cli, &err);
	}
	session->base.threads = 2;
	return 0;
}

int rw_session_read(rw_session *session, const rw_cli *cli, const char *file)
{
	rw_error err;
	rw_errors errs = {0};
	int code = rw_session_base(session, cli);
	if (code)
		return code;
	if (rw_file_read(&session->arena, file, &session->bytes, &session->n, &err) != RW_OK)
		return report(cli, &err);
	if (rw_generator_bind(&session->arena, session->units, rw_all_stages.registry, file, session->bytes, session->n, &session->generator,
	    &errs, &err) == RW_OK)
		return 0;
	if (errs.n)
		rw_print_errors(cli, &errs);
	else
		rw_print_error(cli, &err);
	return rw_status_exit_code(err.status);
}

/* Aids of choice ask what a job wants, not whether the rating brings it. */
static void without_rating(rw_session *session)
{
	rw_design *design = session->generator.design;
	rw_slot slot;
	rw_view view = {design, NULL, 0, RW_NO_CASE};
	if (rw_slot_find(&view, "generator.rated_output", RW_NO_ELEMENT, &slot, NULL) == RW_OK)
		rw_slot_leave_open(design, slot);
}

int rw_session_solve(rw_session *session, const rw_cli *cli, const rw_options *o)
{
	rw_error err;
	int code = rw_session_read(session, cli, o->file);
	if (code)
		return code;
	session->base.retune = o->retune;
	if (o->unrated)
		without_rating(session);
	if (rw_chain_solve(&session->base, session->generator.design, &session->arena, &session->work, &session->chain, &err) == RW_OK)
		return 0;
	rw_generator_mark(&session->generator, session->chain.job_at_fault, &err);
	return report(cli, &err);
}

int rw_session_ask(rw_session *session, const rw_cli *cli, const rw_options *o)
{
	rw_error err;
	const char *job = o->job;
	int code = rw_session_read(session, cli, o->file);
	if (code)
		return code;
	session->base.retune = o->retune;
	rw_status status = rw_chain_can_do(&session->base, session->generator.design, job, &session->arena, &session->work, &session->chain, &err);
	if (status == RW_OK)
		return 0;
	bool of_job = session->chain.job_at_fault >= 0 && strcmp(session->generator.design->job_names[session->chain.job_at_fault], job) == 0;
	if (status != RW_E_USAGE)
		rw_generator_mark(&session->generator, session->chain.job_at_fault, &err);
	if (!of_job || (status != RW_E_NOSOLVE && status != RW_E_RANGE))
		return report(cli, &err);
	printf("Job %s: cannot do: %s\n", job, err.what);
	(void)report(cli, &err);
	return 1;
}
