/* The standing faults in a few lines: what happens, whether it is borne, which device it needs. */
#include <math.h>
#include <stdarg.h>
#include <string.h>

#include "cli/cli.h"
#include "item/figure.h"
#include "protection/protection.h"

typedef struct teller { const rw_session *session; rw_grid *grid; } teller;

static double value(const teller *t, int job, const char *key)
{
	rw_view view = rw_chain_view(&t->session->chain, job, RW_NO_CASE);
	rw_slot slot;
	if (rw_slot_find(&view, key, RW_NO_ELEMENT, &slot, NULL) != RW_OK || !rw_item_exists(&view, slot))
		return (double)NAN;
	return rw_slot_get(&view, slot);
}

/* A figure as it is printed everywhere; "—" when there is none. Takes turns of its buffers, so that a line may hold several. */
static const char *text(const teller *t, int job, const char *key)
{
	enum { TURNS = 8 };
	static _Thread_local char buffer[TURNS][64];
	static _Thread_local int turn;
	rw_view view = rw_chain_view(&t->session->chain, job, RW_NO_CASE);
	char *out = buffer[turn = (turn + 1) % TURNS];
	rw_key_text(t->session, &view, key, out, sizeof buffer[0]);
	return out;
}

static const char *percent(double share)
{
	static _Thread_local char buffer[4][24];
	static _Thread_local int turn;
	char *out = buffer[turn = (turn + 1) % 4];
	snprintf(out, sizeof buffer[0], "%.1f %%", 100.0 * share);
	return out;
}

static RW_PRINTF(4, 5) void row(const teller *t, const char *fault, const char *verdict, const char *format, ...)
{
	char what[400];
	va_list args;
	va_start(args, format);
	vsnprintf(what, sizeof what, format, args);
	va_end(args);
	rw_grid_row(t->grid, (const char *const[]){fault, what, verdict});
}

static void put_stopped(const teller *t)
{
	char verdict[200];
	double loss = value(t, 0, "fault.stopped_loss_high"), rated = value(t, 0, "valve.anode_dissipation_max");
	if (loss <= rated)
		snprintf(verdict, sizeof verdict, "borne: rated %s", text(t, 0, "valve.anode_dissipation_max"));
	else if (isfinite(value(t, 0, "protection.stopped_energy")))
		snprintf(verdict, sizeof verdict, "OVER; %s the trip on absent grid current: %s until cleared, the anode bears %s",
		    value(t, 0, "protection.stopped_energy") <= value(t, 0, "fault.anode_energy") ? "saved by" : "NOT saved by", text(t, 0, "protection.stopped_energy"),
		    text(t, 0, "fault.anode_energy"));
	else
		snprintf(verdict, sizeof verdict, "OVER, and NO TRIP on absent grid current; the anode bears it %s", text(t, 0, "fault.anode_bears_time"));
	row(t, "Not oscillating, mains high", verdict, "%s, %s, %s in each anode; line %s", text(t, 0, "fault.stopped_voltage_high"),
	    text(t, 0, "fault.stopped_current_high"), text(t, 0, "fault.stopped_loss_high"), text(t, 0, "fault.stopped_mains_current_rms"));
	if (value(t, 0, "fault.current_limited") == 1.0)
		row(t, "- at the current limit", value(t, 0, "fault.limited_loss") > rated ? "still OVER, and the limit hides it from the ammeter" : "borne, but the limit hides it from the ammeter", "%s, %s, %s in each anode",
		    text(t, 0, "fault.limited_voltage_dc"), text(t, 0, "fault.limited_current_dc"), text(t, 0, "fault.limited_loss"));
}

/* The job in which a fault of the load circuit takes most grid current; where it oscillates in none, the first. */
static int worst_job(const teller *t, const char *key)
{
	int worst = 0;
	double most = -1.0;
	for (int j = 0; j < t->session->chain.full->n_jobs; j++)
		if (value(t, j, key) > most) {
			most = value(t, j, key);
			worst = j;
		}
	return worst;
}

static void put_load(const teller *t, const char *fault, const char *state)
{
	static const char *const members[] = {"grid_current_dc", "oscillates", "frequency", "capacitor_voltage_pk", "inductor_current_rms",
	    "anode_loss", "trip_sees"};
	char key[7][64], name[96], verdict[120];
	for (int i = 0; i < 7; i++)
		snprintf(key[i], sizeof key[i], "load_fault.%s.%s", state, members[i]);
	int job = worst_job(t, key[0]);
	double oscillates = value(t, job, key[1]), limit = value(t, 0, "valve.grid_current_max_unloaded");
	if (t->session->chain.full->n_jobs > 1)
		snprintf(name, sizeof name, "%s, worst %s", fault, t->session->chain.full->job_names[job]);
	else
		snprintf(name, sizeof name, "%s, mains high", fault);
	if (oscillates == 0.0) {
		row(t, name, "as not oscillating", "does not oscillate");
		return;
	}
	if (oscillates != 1.0) {
		row(t, name, "NOT TOLD", "no balance of valve and tank that can be trusted");
		return;
	}
	bool over = value(t, job, key[0]) > limit, sees = value(t, job, key[6]) == 1.0;
	snprintf(verdict, sizeof verdict, "%s", sees ? "trip on grid current sees it" : over ? "NO TRIP that sees it; grid current is over"
	    : "see the checks of its figures");
	row(t, name, verdict, "%s, tank %s, %s; anode %s, grid %s", text(t, job, key[2]), text(t, job, key[3]), text(t, job, key[4]),
	    text(t, job, key[5]), text(t, job, key[0]));
}

/* The empty coil at mains high is a case of the set: its greatest grid current against the limit without load. */
static void put_empty(const teller *t)
{
	const rw_chain *chain = &t->session->chain;
	const rw_solution *s = chain->solution;
	double most = -1.0, limit = value(t, 0, "valve.grid_current_max_unloaded"), share = value(t, 0, "fault.empty_voltage_share");
	char current[64] = "";
	for (int k = 0; k < s->n_cases; k++) {
		rw_view view = rw_chain_view(chain, s->cases[k].job, k);
		rw_slot empty, slot;
		if (s->why_not[k] || s->cases[k].mains != 2 || rw_slot_find(&view, "case.is_empty", RW_NO_ELEMENT, &empty, NULL) != RW_OK ||
		    rw_slot_get(&view, empty) != 1.0 || rw_slot_find(&view, "oscillator.grid_current_greatest", RW_NO_ELEMENT, &slot, NULL) != RW_OK ||
		    rw_slot_get(&view, slot) <= most)
			continue;
		most = rw_slot_get(&view, slot);
		rw_figure_print(&view, t->session->units, slot, current, sizeof current);
	}
	if (most < 0.0)
		return;
	row(t, "Empty coil, mains high", isnan(limit) ? "no limit given" : most > limit ? "OVER: what helps stands at its check"
	    : most > limit * (1.0 - value(t, 0, "valve.grid_margin")) ? "OVER with the margin kept: what helps stands at its check" : "borne",
	    "grid %s, limit without load %s; tank volts %s of the greatest loaded", current, text(t, 0, "valve.grid_current_max_unloaded"),
	    isfinite(share) ? percent(share) : "\u2014");
}

static void put_phase(const teller *t, const char *fault, const char *side)
{
	char key[3][64];
	static const char *const members[] = {"share", "ripple", "current"};
	for (int i = 0; i < 3; i++)
		snprintf(key[i], sizeof key[i], "fault.%s_line_%s", side, members[i]);
	double share = value(t, 0, key[0]), low = value(t, 0, "cases.mains_low"), high = value(t, 0, "cases.mains_high");
	bool told = share * high < 0.95 * low, fitted = value(t, 0, "protection.phase_loss") == RW_GUARD_FITTED;
	if (share == 0.0) {
		row(t, fault, "nothing takes harm by it", "no HT: a single-phase supply hangs on two lines; the filament may hang on a third");
		return;
	}
	row(t, fault, fitted ? (told ? "phase-loss relay; the HT meter tells it too" : "phase-loss relay; the HT meter does not tell it")
	    : told ? "NO RELAY; the HT meter tells it from low mains" : "NO RELAY, and the HT meter does not tell it",
	    "HT reads %s of normal, %s rms ripple at twice the mains frequency, line current up to %s", percent(share), percent(value(t, 0, key[1])),
	    percent(value(t, 0, key[2])));
}

void rw_print_faults(const rw_cli *cli, const rw_session *session)
{
	const char *const headings[] = {"Fault", "What happens", "Verdict and device"};
	teller t = {session, rw_grid_new(headings, 3)};
	printf("\n%sStanding faults%s\n", cli->color_out ? "\033[1m" : "", cli->color_out ? "\033[0m" : "");
	put_stopped(&t);
	put_load(&t, "Coil shorted", "shorted");
	put_load(&t, "Leads open", "open");
	put_empty(&t);
	if (isfinite(value(&t, 0, "fault.primary_line_share"))) {
		put_phase(&t, "Primary line missing", "primary");
		put_phase(&t, "Secondary line missing", "secondary");
	}
	row(&t, "Bleeder open", "earthing device; prove it dead", "%s stays, %s; through %s %s peak, %s to safe volts",
	    text(&t, 0, "protection.voltage_dc"), text(&t, 0, "protection.stored_energy"), text(&t, 0, "fault.earthing_resistance"),
	    text(&t, 0, "fault.earthing_current_pk"), text(&t, 0, "fault.earthing_time"));
	if (isfinite(value(&t, 0, "fault.choke_energy")))
		row(&t, "Feed choke open", "earth the anode too: the bleeder does not reach it", "up to %s and %s stay on the blocking capacitor",
		    text(&t, 0, "fault.choke_voltage_dc"), text(&t, 0, "fault.choke_energy"));
	rw_grid_print(t.grid);
}
