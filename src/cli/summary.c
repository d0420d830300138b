/* The summary of a solve, worth pinning to a wall; the table of checks; the flat table of all figures. */
#include <math.h>
#include <string.h>

#include "base/numeric.h"
#include "cli/cli.h"
#include "item/figure.h"

typedef struct reader { const rw_session *session; rw_view view; } reader;

static void figure_text(const reader *r, const char *key, char *out, size_t room)
{
	rw_key_text(r->session, &r->view, key, out, room);
}

static void heading(const rw_cli *cli, const char *text) { printf("\n%s%s%s\n", cli->color_out ? "\033[1m" : "", text,
    cli->color_out ? "\033[0m" : ""); }

void rw_print_title(const rw_cli *cli, const rw_session *session)
{
	reader r = {session, rw_chain_view(&session->chain, 0, RW_NO_CASE)};
	static const char *const keys[] = {"generator.name", "generator.number", "generator.revision"},
	    *const leads[] = {"", "   number ", "   revision "};
	char text[64], job[64], load[64], plane[64];
	for (int i = 0; i < 3; i++) {
		figure_text(&r, keys[i], text, sizeof text);
		if (strcmp(text, "\u2014") != 0)
			printf("%s%s%s%s", cli->color_out && i == 0 ? "\033[1m" : "", leads[i], text, cli->color_out && i == 0 ? "\033[0m" : "");
	}
	figure_text(&r, "generator.design_job", job, sizeof job);
	figure_text(&r, "generator.design_load", load, sizeof load);
	figure_text(&r, "generator.plane", plane, sizeof plane);
	printf("   file %s, SHA-256 %.12s\n", session->chain.full->file, session->chain.full->digest);
	char valve[96], frequency[64];
	rw_slot slot;
	figure_text(&r, "valve.type", valve, sizeof valve);
	figure_text(&r, "generator.frequency", frequency, sizeof frequency);
	bool doubtful = rw_slot_find(&r.view, "valve.perveance", RW_NO_ELEMENT, &slot, NULL) == RW_OK && rw_chain_unverified(&session->chain, slot);
	printf("Valve %s%s, %s wanted. Sized on job %s, load %s. Rated output is stated at: %s.\n", valve,
	    doubtful ? " (data UNVERIFIED: from memory or invented)" : "",
	       frequency, job, load, plane);
}

/* A line of facts: figures, each with the word that says which it is. */
enum { FACTS_MAX = 7 };
typedef struct facts { const char *name, *watts, *keys[FACTS_MAX], *words[FACTS_MAX]; } facts;

static const facts stations[] = {
    {"Mains, HT", "supply.mains_power", {"supply.mains_current_rms", "supply.power_factor"}, {"rms line", "power factor"}},
    {"HT supply", "supply.output_power", {"supply.voltage_dc", "supply.current_dc", "supply.overlap_angle"}, {"DC", "DC", "overlap"}},
    {"Valve", "oscillator.input_power", {"oscillator.anode_loss", "oscillator.grid_current_dc", "oscillator.grid_bias", "oscillator.efficiency"},
     {"anode loss", "grid", "bias", "efficiency"}},
    {"Tank", "tank.power", {"oscillator.frequency", "tank.loaded_q", "oscillator.anode_swing_pk", "tank.capacitor_reactive"},
        {"", "loaded Q", "peak swing", "in the capacitor"}},
    {"Work coil", "coil.power", {"coil.current_rms", "coil.voltage_rms", "coil.efficiency", "coil.turn_voltage_pk", "coil.capacitance"},
     {"rms", "rms", "efficiency", "peak a turn", "plates"}},
    {"Work", "work.heat", {"work.heat_power", "work.surface_power", "work.heating_time", "work.surface_temperature", "work.field_rms"},
     {"wanted", "on its surface", "", "at the surface then", "rms in it"}},
};

static const facts beside[] = {
    {"Transformer", NULL, {"supply.rated_power", "supply.secondary_voltage_rms", "supply.short_circuit_voltage",
        "supply.duty_secondary_current_rms"},
     {"", "rms line at no load", "impedance", "rms line current of the duty"}},
    {"Rectifier", NULL, {"supply.connection", "supply.diodes_in_series", "supply.diode_voltage_pk", "supply.diode_inverse_voltage_pk"},
        {"", "diodes in each arm", "each", "inverse volts of an arm"}},
    {"HT ripple", NULL, {"supply.ripple_rms", "supply.ripple_pp", "oscillator.power_of_means_error", "oscillator.settling_share"},
     {"rms", "peak to peak", "error of mean volts times mean amps", "of a pulse for valve and tank to follow"}},
    {"Power control", NULL, {"supply.control", "settings.ht_ratio", "settings.firing_angle", "settings.grid_mutual", "settings.secondary_mutual"},
     {"", "HT ratio", "firing angle", "grid coupling", "output coupling"}},
    {"Filament", NULL, {"filament.voltage_rms", "filament.current_rms", "filament.series_reactance", "filament.start_current_rms",
        "filament.start_current_pk"},
     {"rms", "rms hot", "in series", "rms at the start", "greatest peak"}},
    {"Filament start", NULL, {"filament.bypass_at_resistance", "filament.bypass_at_time", "filament.bypass_current_pk", "filament.dip_current_pk",
        "filament.heat_time", "filament.start_current_high_rms", "filament.start_current_high_pk"},
     {"passed at the bypass of its resistor", "after switching on", "peak then", "peak when the mains are back", "to 90 % hot",
         "rms at the start at mains high and the least reactance", "greatest peak then"}},
    {"HT discharge", NULL, {"protection.voltage_dc", "protection.stored_energy", "protection.bleeder_resistance", "protection.discharge_time"},
     {"no load, mains high", "stored", "bleeder", "to safe volts if it is sound"}},
};

static void put_facts(const reader *r, const facts *f, char *out, size_t room)
{
	char text[96];
	out[0] = '\0';
	for (int k = 0; k < FACTS_MAX && f->keys[k]; k++) {
		size_t n = strlen(out);
		figure_text(r, f->keys[k], text, sizeof text);
		if (strcmp(text, "\u2014") == 0)   /* not of this kind */
			continue;
		snprintf(out + n, room - n, "%s%s%s%s", n ? ", " : "", text, f->words[k][0] ? " " : "", f->words[k]);
	}
}

/* Duty of the job shown, and what carries it at the mains end. */
static void put_mains_end(const rw_session *session, int scase, rw_grid *grid)
{
	static const facts breaker = {"Breaker", NULL, {"mains.breaker_current", "mains.breaker_magnetic_multiple", "mains.inrush_current_pk",
	    "mains.fault_current_rms"}, {"rated", "times that its magnetic trip", "peak at switching on", "least short on the HT side"}};
	static const facts contactor = {"Contactor", NULL, {"mains.contactor_current", "mains.contactor_life", "duty.makes_per_year", "duty.contactor_years"},
	    {"rated", "makes it lasts", "makes a year", "years"}};
	reader r = {session, rw_chain_view(&session->chain, session->chain.solution->cases[scase].job, scase)};
	char words[330], power[64], text[500];
	rw_slot slot;
	rw_duty_words(session, &r.view, words, sizeof words);
	figure_text(&r, "mains.transformer_power", power, sizeof power);
	bool sized = strcmp(power, "\u2014") != 0;   /* not when no case was solved */
	snprintf(text, sizeof text, sized ? "%s, transformer %s without a break" : "%s", words, power);
	rw_grid_row(grid, (const char *const[]){"Duty", text});
	put_facts(&r, &breaker, text, sizeof text);
	rw_grid_row(grid, (const char *const[]){"Breaker", text});
	bool told = false;   /* makes a year alone tell nothing of a contactor */
	for (int k = 0; k < 2; k++)
		told = told || (rw_slot_find(&r.view, contactor.keys[k], RW_NO_ELEMENT, &slot, NULL) == RW_OK && isfinite(rw_slot_get(&r.view, slot)));
	put_facts(&r, &contactor, text, sizeof text);
	if (told)
		rw_grid_row(grid, (const char *const[]){"Contactor", text});
}

static int valves_of(const reader *r)
{
	rw_slot slot;
	return rw_slot_find(&r->view, "oscillator.valves", RW_NO_ELEMENT, &slot, NULL) == RW_OK ? (int)rw_slot_get(&r->view, slot) : 1;
}

static void put_beside(const rw_session *session, int scase)
{
	const char *const headings[] = {"Beside the line", "What rules it"};
	const rw_registry *registry = rw_all_stages.registry;
	reader r = {session, rw_chain_view(&session->chain, 0, scase)};
	char text[500], title[64];
	putchar('\n');
	rw_grid *grid = rw_grid_new(headings, 2);
	for (size_t i = 0; i < sizeof beside / sizeof beside[0]; i++) {
		put_facts(&r, &beside[i], text, sizeof text);
		if (!text[0] || strncmp(text, "none,", 5) == 0)   /* there is no such thing in this set */
			continue;
		bool each = beside[i].keys[0] && strncmp(beside[i].keys[0], "filament.", 9) == 0 && valves_of(&r) > 1;
		snprintf(title, sizeof title, "%s%s", beside[i].name, each ? ", each valve" : "");
		rw_grid_row(grid, (const char *const[]){title, text});
	}
	put_mains_end(session, scase, grid);
	int water = rw_registry_find(registry, "water");
	for (int b = 0; b < rw_design_elements(session->chain.full, water, 0, 0); b++) {
		const char *name = session->chain.full->part[water][0].names[0][b];
		static const char *const members[] = {"heat_greatest", "flow", "bore", "length", "outlet_temperature"};
		static const char *const words[] = {"at most", "", "hose bore", "each hose", "outlet in this case"};
		char key[5][96];
		facts f = {.name = title};
		int n = 0;
		for (int m = 0; m < 5; m++) {
			char value[96];
			snprintf(key[n], sizeof key[n], "water.branches.%s.%s", name, members[m]);
			figure_text(&r, key[n], value, sizeof value);
			if (strcmp(value, "\u2014") != 0) {
				f.keys[n] = key[n];
				f.words[n++] = words[m];
			}
		}
		snprintf(title, sizeof title, "Water, %s", name);
		put_facts(&r, &f, text, sizeof text);
		rw_grid_row(grid, (const char *const[]){title, n ? text : "not sized: no case solved"});
	}
	rw_grid_print(grid);
}

static void put_path(const rw_cli *cli, const rw_session *session, int scase)
{
	reader r = {session, rw_chain_view(&session->chain, 0, scase)};
	const char *const headings[] = {"Station", ">Power", "What rules it"};
	char title[128], line[160], watts[96], text[500];
	rw_case_title(session->chain.solution, scase, title, sizeof title);
	snprintf(line, sizeof line, "Power path: %s", title);
	heading(cli, line);
	if (session->chain.solution->why_not[scase]) {
		printf("not solved: %s\n", session->chain.solution->why_not[scase]);
		return;
	}
	rw_grid *grid = rw_grid_new(headings, 3);
	for (size_t i = 0; i < sizeof stations / sizeof stations[0]; i++) {
		figure_text(&r, stations[i].watts, watts, sizeof watts);
		put_facts(&r, &stations[i], text, sizeof text);
		bool each = strcmp(stations[i].name, "Valve") == 0 && valves_of(&r) > 1;
		rw_grid_row(grid, (const char *const[]){each ? "Each valve" : stations[i].name, watts, text});
	}
	rw_grid_print(grid);
}

typedef struct column { const char *heading, *key; } column;

static const column case_columns[] = {
    {"f", "oscillator.frequency"},          {"V_A", "oscillator.anode_voltage_dc"}, {"swing/V_A", "oscillator.swing_ratio"},
        {"bias", "oscillator.grid_bias"},
    {"I_a", "oscillator.anode_current_dc"}, {"I_g", "oscillator.grid_current_dc"},  {"input", "oscillator.input_power"},
            {"anode", "oscillator.anode_loss"},
    {"drive", "oscillator.drive_power"},    {"tank", "tank.power"},                 {"I_coil", "coil.current_rms"},
                 {"work", "work.heat"},
    {"Q", "tank.loaded_q"},
};

enum { N_CASE_COLUMNS = sizeof case_columns / sizeof case_columns[0] };

/* One unit for a column, of its greatest figure, and one number of decimals, of the least that still counts beside it. */
typedef struct scale { char heading[48]; double factor; int decimals, digits; } scale;

static bool case_figure(const rw_session *session, const char *key, int k, double *x, const rw_item **item)
{
	rw_view view = rw_chain_view(&session->chain, 0, k);
	rw_slot slot;
	if (rw_slot_find(&view, key, RW_NO_ELEMENT, &slot, NULL) != RW_OK || !rw_item_exists(&view, slot))
		return false;
	*x = rw_slot_get(&view, slot);
	*item = rw_slot_item(view.design, slot);
	return true;
}

static int decimals_for(double x, int digits)
{
	int before = x > 0.0 ? (int)floor(log10(x)) + 1 : 1;
	return digits > before ? digits - before : 0;
}

/* Of the worn valve's cases those that tell what is lost: nominal mains in the state its job's heat is judged in. */
static bool row_shown(const rw_session *session, int k)
{
	const rw_case_name *c = &session->chain.solution->cases[k];
	return c->valve == 0 || (c->mains == 1 && c->load == session->chain.judged_load[c->job]);
}

static scale scale_of(const rw_session *session, const column *c)
{
	scale out = {.factor = 1.0, .digits = 3};
	double most = 0.0, least, x, factor, offset;
	const rw_item *item = NULL;
	for (int k = 0; k < session->chain.solution->n_cases; k++)
		if (row_shown(session, k) && case_figure(session, c->key, k, &x, &item))
			most = fmax(most, fabs(x));
	snprintf(out.heading, sizeof out.heading, ">%s", c->heading);
	if (!item)
		return out;
	const char *unit = rw_units_customary(session->units, item->kind, most);
	if (rw_units_factor(session->units, item->kind, unit, &factor, &offset, NULL) == RW_OK && strcmp(unit, "1") != 0) {
		out.factor = factor;
		snprintf(out.heading, sizeof out.heading, ">%s/%s", c->heading, unit);
	}
	least = most;
	for (int k = 0; k < session->chain.solution->n_cases; k++)
		if (row_shown(session, k) && case_figure(session, c->key, k, &x, &item) && fabs(x) > 0.1 * most)
			least = fmin(least, fabs(x));
	out.digits = rw_figure_digits(item);
	out.decimals = decimals_for(least / out.factor, out.digits);
	return out;
}

/* A figure in the column's unit with its own digits, a real minus sign, and blanks that keep the decimal points under one another. */
static void put_scaled(const scale *s, double x, char *out, size_t room)
{
	double shown = rw_round_digits(fabs(x) / s->factor, s->digits);
	int decimals = decimals_for(shown, s->digits) < s->decimals ? decimals_for(shown, s->digits) : s->decimals;
	int pad = s->decimals - decimals + (decimals == 0 && s->decimals > 0);
	snprintf(out, room, "%s%.*f%*s", x < 0.0 && shown > 0.0 ? "\u2212" : "", shown > 0.0 ? decimals : 0, shown,
	    shown > 0.0 ? pad : s->decimals + (s->decimals > 0), "");
}

/* The same case with the new valve. */
static int new_of(const rw_session *session, int k)
{
	const rw_case_name *c = &session->chain.solution->cases[k];
	return rw_chain_find_case(&session->chain, c->job, c->load, c->mains, 0);
}

static void put_cases(const rw_cli *cli, const rw_session *session)
{
	const rw_solution *s = session->chain.solution;
	const char *headings[N_CASE_COLUMNS + 1] = {"Case"};
	scale scales[N_CASE_COLUMNS];
	for (int i = 0; i < N_CASE_COLUMNS; i++) {
		scales[i] = scale_of(session, &case_columns[i]);
		headings[i + 1] = scales[i].heading;
	}
	heading(cli, "Cases");
	rw_grid *grid = rw_grid_new(headings, N_CASE_COLUMNS + 1);
	for (int k = 0; k < s->n_cases; k++) {
		char cell[N_CASE_COLUMNS + 1][96];
		const char *cells[N_CASE_COLUMNS + 1];
		const rw_item *item;
		double x;
		if (!row_shown(session, k))
			continue;
		rw_case_title(s, k, cell[0], sizeof cell[0]);
		cells[0] = cell[0];
		for (int i = 0; i < N_CASE_COLUMNS; i++) {
			snprintf(cell[i + 1], sizeof cell[i + 1], "\u2014");
			if (case_figure(session, case_columns[i].key, k, &x, &item))
				put_scaled(&scales[i], x, cell[i + 1], sizeof cell[i + 1]);
			cells[i + 1] = cell[i + 1];
		}
		rw_grid_row(grid, cells);
	}
	rw_grid_print(grid);
	reader r = {session, rw_chain_view(&session->chain, 0, RW_NO_CASE)};
	if (valves_of(&r) > 1)
		printf("I_a, I_g, input, anode and drive are those of each of %d valves.\n", valves_of(&r));
	for (int k = 0; k < s->n_cases; k++)
		if (s->why_not[k] && (row_shown(session, k) || !s->why_not[new_of(session, k)])) {
			char title[128];
			rw_case_title(s, k, title, sizeof title);
			printf("%s: not solved: %s\n", title, s->why_not[k]);
		}
}

typedef struct parts { rw_grid *grid; const rw_session *session; const rw_view *view; int count; } parts;

static void put_part(void *context, rw_slot slot)
{
	parts *p = context;
	const rw_item *item = rw_slot_item(p->view->design, slot);
	const rw_origin *origin = item->input ? rw_slot_origin(p->view->design, slot) : NULL;
	bool set_again = p->view->job > 0 && !p->view->design->registry->rooms[slot.room]->per_job;
	if (set_again || !origin || origin->state != RW_CHOSEN || strcmp(origin->rule, "library") == 0 || item->role == RW_ASSUMED ||
	    item->type == RW_CHOICE)
		return;
	char key[128], value[96];
	rw_slot_path(p->view->design, slot, key, sizeof key);
	rw_figure_print(p->view, p->session->units, slot, value, sizeof value);
	rw_grid_row(p->grid, (const char *const[]){key, value, origin->rule, item->text});
	p->count++;
}

static void put_chosen(const rw_cli *cli, const rw_session *session)
{
	const char *const headings[] = {"Key", ">Value", "Rule", "What it is"};
	parts p = {.grid = rw_grid_new(headings, 4), .session = session};
	heading(cli, "Chosen by rule (R1 to R27: docs/decisions/0010; 'adopt' writes them into the file)");
	for (int job = 0; job < session->chain.full->n_jobs; job++) {
		rw_view view = rw_chain_view(&session->chain, job, RW_NO_CASE);
		p.view = &view;
		rw_each_slot(&view, put_part, &p);
	}
	rw_grid_print(p.grid);
	if (p.count == 0)
		printf("nothing: every part is given\n");
}

static const char *state_word(const rw_check *c) { return c->no_limit ? "no limit" : c->ok < 0 ? "not told" : c->ok == 0 ? "OVER" : c->near ? "near limit" : "within"; }

static void put_check(const rw_session *session, rw_grid *grid, const rw_check *c)
{
	char value[64] = "\u2014", limit[64] = "\u2014", margin[32] = "\u2014", title[128] = "";
	int digits = c->uncertainty >= 0.15 ? 2 : 3;
	const rw_kind *kind = c->kind ? c->kind : &rw_kind_number;
	if (isfinite(c->value))
		rw_units_print(session->units, kind, c->value, digits, value, sizeof value);
	if (isfinite(c->limit))
		rw_units_print(session->units, kind, c->limit, 3, limit, sizeof limit);
	if (kind == &rw_kind_frequency && isfinite(c->margin) && fabs(c->margin) < 0.1) {   /* a band is narrow: digits that tell it from its edge */
		int more = c->margin == 0.0 ? 6 : (int)fmin(6.0, 2.0 + ceil(-log10(fabs(c->margin))));
		rw_units_print(session->units, kind, c->value, more, value, sizeof value);
		rw_units_print(session->units, kind, c->limit, more, limit, sizeof limit);
	}
	if (fabs(c->margin) > 9.995)
		snprintf(margin, sizeof margin, "%s999 %% and more", c->margin < 0.0 ? "\u2212" : "+");
	else if (isfinite(c->margin))
		snprintf(margin, sizeof margin, "%s%.*f %%", c->margin < 0.0 ? "\u2212" : "+", fabs(c->margin) < 0.0995 ? 1 : 0,
		    fabs(c->margin) * 100.0);
	if (c->scase >= 0 && c->of_job)
		snprintf(title, sizeof title, "job %s", session->chain.full->job_names[c->job]);
	else if (c->scase >= 0)
		rw_case_title(session->chain.solution, c->scase, title, sizeof title);
	else
		snprintf(title, sizeof title, "%s", c->why_not ? c->why_not : "the set");
	char figure[160];
	snprintf(figure, sizeof figure, "%s%s", c->figure_text, c->unverified ? " \u2020" : "");
	rw_grid_row(grid, (const char *const[]){state_word(c), figure, value, c->limit_row->sense == RW_AT_MOST ? "\u2264" : "\u2265", limit,
	    margin, title,
	                                        c->limit_row->source});
}

void rw_print_checks(const rw_cli *cli, const rw_session *session, int most)
{
	const char *const headings[] = {"State", "Check", ">Figure", "", ">Limit", ">Margin", "Worst case", "Source of limit"};
	const rw_chain *chain = &session->chain;
	int over = 0, untold = 0, near = 0, shown = 0;
	bool unverified = false;
	char line[256];
	for (int i = 0; i < chain->n_checks; i++) {
		over += chain->checks[i].ok == 0;
		untold += chain->checks[i].ok < 0 && !chain->checks[i].no_limit;
		near += chain->checks[i].ok == 1 && chain->checks[i].near;
		unverified = unverified || chain->checks[i].unverified;
	}
	if (most < chain->n_checks)
		snprintf(line, sizeof line, "Worst %d of %d checks, each in its worst case (%d over, %d not told, %d near the limit)", most,
		    chain->n_checks, over, untold, near);
	else
		snprintf(line, sizeof line, "All %d checks, each in its worst case (%d over, %d not told, %d near the limit)", chain->n_checks,
		    over, untold, near);
	heading(cli, line);
	rw_grid *grid = rw_grid_new(headings, most < chain->n_checks ? 7 : 8);   /* the few of the summary leave the source of the limit to 'check' */
	for (int i = 0; i < chain->n_checks && shown < most; i++, shown++)
		put_check(session, grid, &chain->checks[i]);
	rw_grid_print(grid);
	if (near)
		printf("near limit: within, but by less than 5 %% or than the figure's own uncertainty\n");
	if (unverified)
		printf("\u2020 rests on data from memory or invented: unverified\n");
	const char *told = NULL;
	for (int i = 0; i < chain->n_checks && i < most; i++) {
		const rw_check *c = &chain->checks[i];
		if (c->ok >= 0 || c->no_limit || !c->why_not || c->why_not == told)
			continue;
		char title[128];
		rw_case_title(chain->solution, c->scase, title, sizeof title);
		printf("%s: %s\n", title, c->why_not);
		told = c->why_not;
	}
	for (int i = 0; i < chain->n_checks && i < most; i++)
		if (chain->checks[i].ok == 0)
			printf("%s: %s.\n", chain->checks[i].figure_text, chain->checks[i].remedy);
}

static void put_losses(const rw_session *session, int scase)
{
	const char *const headings[] = {"Where the power goes", ">Power", ">Share", ">By another way"};
	for (int i = 0; i < session->chain.n_budgets; i++) {
		const rw_budget *b = &session->chain.budgets[i];
		if (b->scase != scase)
			continue;
		putchar('\n');
		rw_grid *grid = rw_grid_new(headings, 4);
		for (int r = 0; r < b->n; r++) {
			if (b->watts[r] == 0.0)
				continue;
			char watts[64], share[32], second[64] = "none";
			rw_units_print(session->units, &rw_kind_power, b->watts[r], 3, watts, sizeof watts);
			snprintf(share, sizeof share, "%.1f %%", 100.0 * b->watts[r] / b->in);
			if (isfinite(b->second[r]))
				rw_units_print(session->units, &rw_kind_power, b->second[r], 3, second, sizeof second);
			rw_grid_row(grid, (const char *const[]){b->text[r], watts, share, second});
		}
		rw_grid_print(grid);
		char in[64];
		rw_units_print(session->units, &rw_kind_power, b->in, 3, in, sizeof in);
		char title[128];
		rw_case_title(session->chain.solution, scase, title, sizeof title);
		printf("of %s from the mains, filament with it; %s\n", in, title);
	}
}

static void put_closure(const rw_cli *cli, const rw_session *session)
{
	const rw_chain *chain = &session->chain;
	double worst = 0.0, route = 0.0;
	int at = -1, route_row = 0, route_at = 0;
	for (int i = 0; i < chain->n_budgets; i++) {
		const rw_budget *b = &chain->budgets[i];
		if (at < 0 || fabs(b->closure) > worst) {
			worst = fabs(b->closure);
			at = i;
		}
		for (int r = 0; r < b->n; r++)
			if (isfinite(b->second[r]) && fabs(b->watts[r] - b->second[r]) / b->in > route) {
				route = fabs(b->watts[r] - b->second[r]) / b->in;
				route_row = r;
				route_at = i;
			}
	}
	heading(cli, "Energy");
	if (at < 0) {
		printf("no case was solved\n");
		return;
	}
	char title[128];
	rw_case_title(chain->solution, chain->budgets[at].scase, title, sizeof title);
	printf("Worst closure (in less out, over in, without sign): %.1e, %s. ", worst, title);
	printf("Worst difference of a loss by its second route: %.1e of the input (%s).\n", route, chain->budgets[route_at].text[route_row]);
}

static void put_notes(const rw_cli *cli, const rw_session *session)
{
	const rw_solution *s = session->chain.solution;
	if (s->n_notes)
		heading(cli, "Notes");
	for (int i = 0; i < s->n_notes; i++)
		printf("- %s\n", s->notes[i].text);
	printf("\nSquegging, harmonics in the tank and strays are not judged here. Grid currents are good to about 30 %%.\n"
	       "CAUTION: HT and RF burns kill. These figures are a calculation, not permission to energise: discharge and earth first, prove "
	                   "it dead;\n"
	       "local codes and licensed practice decide.\n");
}

void rw_print_summary(const rw_cli *cli, const rw_session *session, int scase)
{
	rw_print_title(cli, session);
	put_path(cli, session, scase);
	put_beside(session, scase);
	put_losses(session, scase);
	put_cases(cli, session);
	rw_print_guards(cli, session);
	rw_print_checks(cli, session, 5);
	rw_print_faults(cli, session);
	put_chosen(cli, session);
	put_closure(cli, session);
	put_notes(cli, session);
}

/* CSV: one figure a line, SI values that read back exactly. */
static void put_csv_text(const char *text)
{
	putchar('"');
	for (const char *p = text; *p; p++) {
		if (*p == '"')
			putchar('"');
		putchar(*p == '\n' ? ' ' : *p);
	}
	putchar('"');
}

static void put_csv_row(void *context, rw_slot slot)
{
	const reader *r = context;
	const rw_item *item = rw_slot_item(r->view.design, slot);
	static const char *const mains[] = {"low", "nominal", "high"};
	char key[160], value[64] = "";
	bool set_again = r->view.scase < 0 && r->view.job > 0 && !r->view.design->registry->rooms[slot.room]->per_job;
	if (set_again || (r->view.scase >= 0 && slot.scase == RW_NO_CASE))
		return;
	rw_slot_path(r->view.design, slot, key, sizeof key);
	double x = rw_slot_get(&r->view, slot);
	if (slot.scase >= 0) {
		const rw_case_name *c = &r->session->chain.solution->cases[slot.scase];
		printf("%s,%s/%s%s,%s,", r->view.design->job_names[c->job], c->load_name, mains[c->mains], c->valve ? "/worn" : "", key);
	} else {
		printf(",,%s,", key);
	}
	if (item->type == RW_TEXT || item->type == RW_CHOICE) {
		put_csv_text(rw_slot_text(&r->view, slot));
	} else if (isfinite(x)) {
		rw_text_shortest(value, sizeof value, x);
		fputs(value, stdout);
	}
	printf(",%s,%s,%s,", item->kind ? item->kind->si : "", rw_role_name((rw_role)item->role), rw_state_name(rw_slot_state(&r->view, slot)));
	put_csv_text(item->text);
	putchar('\n');
}

void rw_print_csv(const rw_session *session, int scase)
{
	const rw_chain *chain = &session->chain;
	printf("job,case,key,value,unit,role,state,text\n");
	for (int job = 0; job < chain->full->n_jobs && scase < 0; job++) {
		reader r = {session, rw_chain_view(chain, job, RW_NO_CASE)};
		rw_each_slot(&r.view, put_csv_row, &r);
	}
	for (int k = 0; k < chain->solution->n_cases; k++) {
		reader r = {session, rw_chain_view(chain, 0, k)};
		if (scase < 0 || k == scase)
			rw_each_slot(&r.view, put_csv_row, &r);
	}
}
