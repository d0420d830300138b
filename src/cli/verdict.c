/* The verdict of 'check --job': can this set do that job, what decides, what would help. */
#include <math.h>
#include <string.h>

#include "cli/cli.h"
#include "item/figure.h"

/* First line: yes or no, and what decides it. */
static void put_answer(const rw_cli *cli, const rw_session *session)
{
	const rw_chain *chain = &session->chain;
	const rw_asked *a = chain->asked;
	int near = 0, said = 0;
	printf("\n%sJob %s: %s", cli->color_out ? "\033[1m" : "", chain->full->job_names[a->job], a->can ? "can do" : "cannot do");
	for (int i = 0; i < chain->n_checks; i++) {
		const rw_check *c = &chain->checks[i];
		near += c->near;
		if (c->ok == 0 || (c->ok < 0 && !c->no_limit))
			printf("%s %s%s", said++ ? ";" : ":", c->figure_text, c->ok < 0 ? " (not told)" : "");
	}
	if (a->can && near)
		printf(", near the limit in %d check%s", near, near == 1 ? "" : "s");
	printf("%s\n", cli->color_out ? "\033[0m" : "");
}

static void put_heat(const rw_session *session)
{
	const rw_asked *a = session->chain.asked;
	char given[64], wanted[64];
	const rw_solution *s = session->chain.solution;
	const char *state = "";
	for (int k = 0; k < s->n_cases; k++)
		if (s->cases[k].job == a->job && s->cases[k].load == session->chain.judged_load[a->job])
			state = s->cases[k].load_name;
	rw_units_print(session->units, &rw_kind_power, a->heat_wanted, 3, wanted, sizeof wanted);
	if (!isfinite(a->heat_given)) {
		printf("Heat in the work, %s, mains nominal: none, the case is not solved; %s wanted\n", state, wanted);
		return;
	}
	rw_units_print(session->units, &rw_kind_power, a->heat_given, 3, given, sizeof given);
	double more = a->heat_given / a->heat_wanted - 1.0;
	printf("Heat in the work, %s, mains nominal: %s given, %s wanted (%s%.1f %%)\n", state, given, wanted, more < 0.0 ? "\u2212" : "+",
	    fabs(more) * 100.0);
}

void rw_duty_words(const rw_session *session, const rw_view *view, char *out, size_t room)
{
	char on[64], period[64], share[64], shots[64], hours[64];
	rw_key_text(session, view, "duty.on_time", on, sizeof on);
	rw_key_text(session, view, "duty.period", period, sizeof period);
	rw_key_text(session, view, "duty.duty_cycle", share, sizeof share);
	rw_key_text(session, view, "duty.shots_per_year", shots, sizeof shots);
	rw_key_text(session, view, "duty.hours_per_year", hours, sizeof hours);
	if (strcmp(period, "\u2014") == 0)
		snprintf(out, room, "continuous, %s a year", hours);
	else
		snprintf(out, room, "%s on in %s (%s), %s shots a year", on, period, share, shots);
}

static void put_duty(const rw_session *session)
{
	rw_view view = rw_chain_view(&session->chain, session->chain.asked->job, RW_NO_CASE);
	char words[330];
	rw_duty_words(session, &view, words, sizeof words);
	printf("Duty: %s\n", words);
}

static void put_pattern(const rw_session *session)
{
	const rw_asked *a = session->chain.asked;
	char on[64], in[64], period[64];
	if (!a->duty_decides)
		return;
	rw_units_print(session->units, &rw_kind_time, a->period, 3, in, sizeof in);
	rw_units_print(session->units, &rw_kind_time, a->longest_on_time, 3, on, sizeof on);
	rw_units_print(session->units, &rw_kind_time, isfinite(a->shortest_period) ? a->shortest_period : a->longest_tried, 3, period, sizeof period);
	printf("Only the duty stands in the way. ");
	if (a->longest_on_time > 0.0)
		printf("At most %s on in %s would pass.", on, in);
	else
		printf("No on-time in %s would pass.", in);
	if (isfinite(a->shortest_period))
		printf(" With this on-time a shot every %s would pass.", period);
	else if (isfinite(a->longest_tried))
		printf(" With this on-time no period would pass, tried up to %s.", period);
	putchar('\n');
}

void rw_print_verdict(const rw_cli *cli, const rw_session *session)
{
	put_answer(cli, session);
	put_heat(session);
	put_duty(session);
	put_pattern(session);
	printf("%s\n", session->chain.asked->sized_on_it ? "The set is sized on this job: what the file leaves open is chosen for it." :
	                                                   "Parts as the file gives them; what it leaves open as chosen without this job.");
}
