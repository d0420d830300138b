#include <argp.h>
#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/base.h"
#include "cli/cli.h"

#ifndef RW_DATA_DIR
#define RW_DATA_DIR "data"
#endif
#ifndef RW_VERSION
#define RW_VERSION "0"
#endif

/* The table of commands. To add one: a line here, a prototype in cli.h, a file src/cli/cmd_NAME.c, a section in docs/man. */
static const rw_command commands[] = {
    {"new", "[FILE]", "write a commented generator file to start from", rw_cmd_new},
    {"solve", "FILE", "solve the whole set over all its cases", rw_cmd_solve},
    {"check", "FILE", "every limit against its worst case; exit 1 when one is over or untold", rw_cmd_check},
    {"explain", "FILE KEY...", "the working of a figure, back to what is given", rw_cmd_explain},
    {"adopt", "FILE [KEY...]", "write chosen values into the file", rw_cmd_adopt},
    {"valve", "list | show NAME | fit NAME|FILE", "valves of the library", rw_cmd_valve},
    {"material", "list | show NAME", "materials of the library", rw_cmd_material},
    {"choose", "FILE frequency|coil", "what another frequency or other turns would do for one job", rw_cmd_choose},
};

enum { N_COMMANDS = sizeof commands / sizeof commands[0] };

static void put_help(FILE *out)
{
	fprintf(out, "Usage: rfwright [--data DIR] [--debug] COMMAND ...\n"
	             "The workbench for industrial RF heating generators: one generator file in, the whole set computed, checked and "
	                         "explained.\n\nCommands\n");
	for (int i = 0; i < N_COMMANDS; i++)
		fprintf(out, "  %-8s %-28s %s\n", commands[i].name, commands[i].arguments, commands[i].text);
	fprintf(out, "\nOptions\n"
	             "  --data DIR   folder of valves, materials, tables, sources (else RFWRIGHT_DATA, else the installed one)\n"
	             "  --debug      say where in the program an error was raised\n"
	             "  --help       this text; 'rfwright COMMAND --help' for one command\n"
	             "  --version\n\n"
	             "Exit codes: 0 fine, 1 a check failed, 2 usage, 3 generator file, 4 no solution or out of range, 5 system, 6 internal.\n"
	             "The figures are a calculation, not permission to energise: HT kills. Local codes and licensed practice decide.\n");
}

static const rw_command *find_command(const char *name)
{
	for (int i = 0; i < N_COMMANDS; i++)
		if (strcmp(commands[i].name, name) == 0)
			return &commands[i];
	return NULL;
}

static int no_command(const rw_cli *cli, const char *name)
{
	const char *names[N_COMMANDS];
	for (int i = 0; i < N_COMMANDS; i++)
		names[i] = commands[i].name;
	const char *nearest = rw_text_nearest(name, names, N_COMMANDS);
	if (nearest)
		return rw_usage_error(cli, "there is no command '%s'; did you mean '%s'?", name, nearest);
	return rw_usage_error(cli, "there is no command '%s'; 'rfwright --help' lists them", name);
}

static bool color_wanted(int fd)
{
	const char *no = getenv("NO_COLOR");
	const char *term = getenv("TERM");
	return isatty(fd) && !(no && *no) && !(term && strcmp(term, "dumb") == 0);
}

int main(int argc, char **argv)
{
	if (!setlocale(LC_CTYPE, "") || MB_CUR_MAX < 2)   /* widths only; numbers stay in the C locale */
		setlocale(LC_CTYPE, "C.UTF-8");
	argp_err_exit_status = 2;
	setenv("ARGP_HELP_FMT", "no-dup-args-note", 0);   /* options here are few enough to do without the note */
	rw_base_init();
	const char *data = getenv("RFWRIGHT_DATA");
	rw_cli cli = {.data_dir = data && *data ? data : RW_DATA_DIR, .color_out = color_wanted(STDOUT_FILENO),
	    .color_err = color_wanted(STDERR_FILENO)};
	int i = 1;
	for (; i < argc && argv[i][0] == '-'; i++) {
		if (strcmp(argv[i], "--help") == 0) {
			put_help(stdout);
			return 0;
		}
		if (strcmp(argv[i], "--version") == 0) {
			printf("rfwright %s\n", RW_VERSION);
			return 0;
		}
		if (strcmp(argv[i], "--debug") == 0)
			cli.debug = true;
		else if (strcmp(argv[i], "--data") == 0 && i + 1 < argc)
			cli.data_dir = argv[++i];
		else if (strncmp(argv[i], "--data=", 7) == 0)
			cli.data_dir = argv[i] + 7;
		else if (strcmp(argv[i], "--data") == 0)
			return rw_usage_error(&cli, "option '--data' wants the folder of data behind it");
		else
			return rw_usage_error(&cli, "option '%s' is not known before the command; a command's own stand behind it, 'rfwright --help' "
			    "lists the others", argv[i]);
	}
	if (i == argc) {
		put_help(stderr);
		return 2;
	}
	const rw_command *command = find_command(argv[i]);
	return command ? command->run(&cli, argc - i, argv + i) : no_command(&cli, argv[i]);
}
