/* The command line: one table of commands (main.c), one file a command. Results on stdout, talk on stderr; only this folder prints and exits. */
#ifndef RW_CLI_CLI_H
#define RW_CLI_CLI_H

#include <stdio.h>

#include "chain/chain.h"
#include "generator/generator.h"

/* Options every command knows. */
typedef struct rw_cli {
	const char *data_dir;       /* --data, else RFWRIGHT_DATA, else the installed one */
	bool debug;
	bool color_out, color_err;  /* terminal and no NO_COLOR */
} rw_cli;

/* One run of the program on one file. */
typedef struct rw_session {
	rw_arena arena;
	rw_work work;
	rw_units *units;
	rw_chain_base base;
	char *bytes;                /* of the file, as read */
	size_t n;
	rw_generator generator;
	rw_chain chain;
} rw_session;

typedef struct rw_command {
	const char *name, *arguments, *text;
	int (*run)(const rw_cli *cli, int argc, char **argv);   /* the program's exit code */
} rw_command;

int rw_cmd_new(const rw_cli *cli, int argc, char **argv);
int rw_cmd_solve(const rw_cli *cli, int argc, char **argv);
int rw_cmd_check(const rw_cli *cli, int argc, char **argv);
int rw_cmd_explain(const rw_cli *cli, int argc, char **argv);
int rw_cmd_adopt(const rw_cli *cli, int argc, char **argv);
int rw_cmd_valve(const rw_cli *cli, int argc, char **argv);
int rw_cmd_material(const rw_cli *cli, int argc, char **argv);
int rw_cmd_choose(const rw_cli *cli, int argc, char **argv);

struct rw_options;

/* session.c: each prints its error and returns an exit code; 0 is fine. The session must be released whatever they return. */
void rw_session_init(rw_session *session);
void rw_session_release(rw_session *session);
int  rw_session_base(rw_session *session, const rw_cli *cli);
int  rw_session_read(rw_session *session, const rw_cli *cli, const char *file);     /* base, text, binding */
int  rw_session_ask(rw_session *session, const rw_cli *cli, const struct rw_options *o);      /* can the set do o->job? 1: it cannot be tried */
int  rw_session_solve(rw_session *session, const rw_cli *cli, const struct rw_options *o);    /* all of it */

/* options.c: what the commands that read a file share. letters: which of the options f c j d s w r it knows. */
enum { RW_KEYS_MAX = 64 };
enum { RW_TAKES_KEYS = 1, RW_TAKES_A_KEY = 2, RW_TAKES_OPTIONAL_FILE = 4 };
typedef struct rw_options {
	const char *file, *format, *job, *kase, *work, *key[RW_KEYS_MAX];
	int n_keys, depth;
	unsigned takes;
	bool show, retune;
	bool unrated;               /* solved as if no rated output were given */
} rw_options;
void rw_options_read(rw_options *o, int argc, char **argv, unsigned takes, const char *letters, const char *arguments, const char *words);
int  rw_options_format(const rw_cli *cli, const rw_options *o, bool csv_too);    /* 0, or prints and returns 2 */
int  rw_put_json(const rw_cli *cli, const rw_session *session);
int  rw_on_solved(const rw_cli *cli, const rw_options *o, int (*then)(const rw_cli *cli, const rw_options *o, rw_session *session));

/* entries.c: what the commands on the shelves of the library share. */
enum { RW_ENTRY_ACTIONS_MAX = 8 };
typedef struct rw_entry_action {
	const char *name;
	bool takes_name;                                          /* of an entry, behind it */
	int (*run)(const rw_cli *cli, rw_session *session, const char *name);   /* base is open; name NULL where none is taken */
} rw_entry_action;
int         rw_entry_command(const rw_cli *cli, const rw_entry_action *actions, int n, const char *usage, int argc, char **argv);
int         rw_entry_show(const rw_cli *cli, rw_session *session, const char *shelf, const char *name);
int         rw_entry_report(const rw_cli *cli, const rw_error *err);      /* prints; 2 for a name that is not there */
const char *rw_entry_value(const rw_entry *entry, const char *key);       /* as written; a dash where there is none */

/* print.c */
void rw_print_error(const rw_cli *cli, const rw_error *err);
void rw_print_errors(const rw_cli *cli, const rw_errors *errs);
int  rw_usage_error(const rw_cli *cli, const char *format, ...) RW_PRINTF(2, 3);

/* Which case and job an option names. "cold/high", "cold", "high"; job by name. Returns -1 and prints when there is none.
 * NULL, NULL: the case the set is sized on. */
int rw_pick_case(const rw_cli *cli, const rw_chain *chain, const char *job, const char *name);

/* key_text.c: a figure by its key, with its unit; "\u2014" where there is none. */
void rw_key_text(const rw_session *session, const rw_view *view, const char *key, char *out, size_t room);

/* verdict.c: of a chain that was asked about a job. */
void rw_print_verdict(const rw_cli *cli, const rw_session *session);
void rw_duty_words(const rw_session *session, const rw_view *view, char *out, size_t room);   /* duty of the view's job */

/* summary.c */
void rw_print_title(const rw_cli *cli, const rw_session *session);
void rw_print_summary(const rw_cli *cli, const rw_session *session, int scase);
void rw_print_guards(const rw_cli *cli, const rw_session *session);   /* trips and meters */
void rw_print_checks(const rw_cli *cli, const rw_session *session, int most);
void rw_print_faults(const rw_cli *cli, const rw_session *session);
void rw_print_csv(const rw_session *session, int scase);

/* A table on stdout: rows of text, columns marked right-aligned by a leading '>' in their heading. */
typedef struct rw_grid rw_grid;
rw_grid *rw_grid_new(const char *const *headings, int n);     /* NULL when memory is out */
void rw_grid_row(rw_grid *grid, const char *const *cells);
void rw_grid_print(rw_grid *grid);                            /* and frees it; takes NULL */

#endif
