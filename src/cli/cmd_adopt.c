#include "cli/cli.h"

static int put(const rw_cli *cli, const rw_options *o, rw_session *session)
{
	rw_error err;
	rw_text text;
	int n = 0;
	rw_text_init(&text);
	rw_status status = rw_generator_adopt(&session->generator, session->units, session->chain.full, o->n_keys ? o->key : NULL, o->n_keys,
	    &text, &n, &err);
	if (status == RW_OK && o->show)
		fwrite(text.bytes, 1, text.n, stdout);
	else if (status == RW_OK && n)
		status = rw_file_save(o->file, session->bytes, session->n, text.bytes, text.n, &err);
	if (status != RW_OK)
		rw_print_error(cli, &err);
	else
		fprintf(stderr, "%s: %d chosen value%s %s\n", o->file, n, n == 1 ? "" : "s", o->show ? "shown in place" : "written");
	rw_text_release(&text);
	return status == RW_E_KEY ? 2 : rw_status_exit_code(status);   /* a wrong key came from the command line */
}

int rw_cmd_adopt(const rw_cli *cli, int argc, char **argv)
{
	rw_options o;
	rw_options_read(&o, argc, argv, RW_TAKES_KEYS, "sr", "FILE [KEY...]",
	                "Writes chosen values into the file as given ones; comments and layout stay.\v"
	                "Without keys: all that rules chose, but not what came from the library. A KEY may be a whole room: 'adopt FILE "
	                            "valve' copies the "
	                "library's figures in.");
	return rw_on_solved(cli, &o, put);
}
