/* Choice aids: what other frequencies, or other numbers of turns, would do for one job of a solved set. They change nothing. */
#include <math.h>
#include <string.h>

#include "base/bessel.h"
#include "chain/line.h"
#include "cli/choice_table.h"
#include "cli/cli.h"
#include "coil/choice.h"

enum { LINE_BYTES = RW_CHOICE_LINE_BYTES, ROWS_MAX = RW_CHOICE_ROWS_MAX };

/* What the choices are made from: the frozen set and the one job. */
typedef struct asked {
	const rw_session *session;
	rw_line line;
	rw_choice_job turned;
	rw_choice_table *out;
} asked;

static rw_choice_figure show(const asked *s, const rw_kind *kind, double si, int digits)
{
	return rw_choice_show(s->session->units, kind, si, digits);
}

/* ---- frequency of a bar or tube ---- */

static const double span_low = 1e3, span_high = 5e6, thin_most = 1.5;   /* Hz, Hz, skin depths */

/* From low to high in round numbers, about a dozen, with the wanted one in its place. */
static int round_frequencies(double low, double high, double wanted, double out[ROWS_MAX], int *own)
{
	static const double sparse[] = {1.0, 2.0, 5.0, 0.0}, dense[] = {1.0, 1.5, 2.0, 3.0, 5.0, 7.0, 0.0};
	const double *steps = log10(high / low) > 2.3 ? sparse : dense;
	int n = 0;
	*own = -1;
	for (double decade = pow(10.0, floor(log10(fmin(low, wanted)))); decade <= fmax(high, wanted); decade *= 10.0)
		for (int i = 0; steps[i] > 0.0 && n < ROWS_MAX; i++) {
			double f = steps[i] * decade;
			bool is_wanted = fabs(f - wanted) < 1e-6 * wanted;
			if (*own < 0 && f > wanted && !is_wanted) {
				*own = n;
				out[n++] = wanted;
			}
			if (is_wanted)
				*own = n;
			if (n < ROWS_MAX && (is_wanted || (f > low * (1.0 - 1e-9) && f < high * (1.0 + 1e-9))))
				out[n++] = is_wanted ? wanted : f;
		}
	if (*own < 0 && n < ROWS_MAX) {
		*own = n;
		out[n++] = wanted;
	}
	return n;
}

static const rw_choice_column surface_columns[] = {
    {"frequency", "f", &rw_kind_frequency, 3},
    {"cold_depth", "skin cold", &rw_kind_length, 2},
    {"hot_depth", "skin hot", &rw_kind_length, 2},
    {"thickness", "thick/skin", &rw_kind_number, 2},
    {"cold_efficiency", "eff. cold", &rw_kind_fraction, 2},
    {"hot_efficiency", "eff. hot", &rw_kind_fraction, 2},
    {"voltage_rms", "V_coil", &rw_kind_voltage_rms, 2},
    {"current_rms", "I_coil", &rw_kind_current_rms, 2},
    {"surface_power", "surface power", &rw_kind_surface_power, 2},
    {"surface_temperature", "surface", &rw_kind_temperature, 3},
    {"difference", "to core", &rw_kind_temp_rise, 2},
};

enum { SURFACE_COLUMNS = sizeof surface_columns / sizeof surface_columns[0] };

static const char *const bound_names[] = {"efficiency", "thickness", "surface", "gain", "volts", "span"};

/* Every bound that a row is past, in words. */
static void judge_row(const rw_choice_row *row, const rw_choice_range *range, char *out, size_t room)
{
	static const char *const words[] = {"efficiency low", "too thin", "surface too hot", "no more gain", "volts too high"};
	out[0] = '\0';
	for (int b = 0; b < RW_CHOICE_BOUNDS; b++) {
		bool from_below = b == RW_CHOICE_EFFICIENCY || b == RW_CHOICE_THIN;
		bool past = from_below ? row->frequency < range->bound[b] : row->frequency > range->bound[b];
		if (b == RW_CHOICE_SURFACE)
			past = row->treatment == RW_CHOICE_OVER || row->treatment == RW_CHOICE_MELTS;
		if (b == RW_CHOICE_VOLTS)
			past = row->stress > 1.0;
		size_t n = strlen(out);
		if (past)
			snprintf(out + n, room - n, "%s%s", n ? ", " : "", words[b]);
	}
	if (!out[0])
		snprintf(out, room, "good");
}

static void tell_end(const asked *s, const rw_choice_range *range, int end)
{
	rw_choice_table *t = s->out;
	const rw_work_in *work = s->line.work;
	int by = end == RW_CHOICE_LOWER ? range->lower_by : range->upper_by;
	bool surface = work->treatment == RW_TREATMENT_SURFACE;
	bool everywhere = end == RW_CHOICE_UPPER && by != RW_CHOICE_SPAN && range->upper <= t->value[0][0];
	char *out = t->end_text[end];
	t->end[end] = end == RW_CHOICE_LOWER ? range->lower : range->upper;
	t->end_by[end] = bound_names[by];
	switch (by) {
	case RW_CHOICE_EFFICIENCY:
		snprintf(out, LINE_BYTES, "the hot efficiency is 0.9 of its best, which is %s", show(s, &rw_kind_fraction, range->efficiency_best, 2).text);
		break;
	case RW_CHOICE_THIN: snprintf(out, LINE_BYTES, "the hot bar is 3 skin depths thick"); break;
	case RW_CHOICE_SURFACE:
		snprintf(out, LINE_BYTES, "the surface passes %s for this depth and time%s",
		    show(s, &rw_kind_temperature, work->surface_temperature_max, 3).text,
		    everywhere ? " at any frequency: a longer time, a lesser depth" : "");
		break;
	case RW_CHOICE_GAIN:
		snprintf(out, LINE_BYTES, "the hot skin depth is a tenth of the %s: less of it gains nothing", surface ? "depth wanted" :
		    work->kind == RW_WORK_BAR ? "radius" : "wall");
		break;
	case RW_CHOICE_VOLTS:
		snprintf(out, LINE_BYTES, "the coil's volts reach its greatest field, %s peak%s",
		    show(s, &rw_kind_stress, s->line.coil->field_pk_max, 3).text,
		    everywhere ? ", at any frequency: more air" : "");
		break;
	default: snprintf(out, LINE_BYTES, "the %s of what was looked at; no bound before", end == RW_CHOICE_LOWER ? "lowest" : "highest"); break;
	}
}

static void fill_surface_row(const rw_choice_row *row, double *v)
{
	const double values[SURFACE_COLUMNS] = {row->frequency, row->cold_depth, row->hot_depth, row->thickness, row->cold_efficiency,
	    row->hot_efficiency, row->voltage_rms, row->current_rms, row->surface_power, row->surface_temperature, row->difference};
	memcpy(v, values, sizeof values);
}

static void title_turned(const asked *s)
{
	const rw_work_in *work = s->line.work;
	const rw_coil_in *coil = s->line.coil;
	char wanted[192], time[64];
	snprintf(time, sizeof time, "%s", show(s, &rw_kind_time, work->time, 2).text);
	if (work->treatment == RW_TREATMENT_SURFACE)
		snprintf(wanted, sizeof wanted, "%s deep in %s", show(s, &rw_kind_length, work->depth, 3).text, time);
	else
		snprintf(wanted, sizeof wanted, "through in %s", time);
	snprintf(s->out->title, LINE_BYTES, "Job %s: %s of %s, %s, heated %s with %s; coil of %g turn%s, bore %s, length %s", s->out->job,
	    work->kind == RW_WORK_BAR ? "bar" : "tube", show(s, &rw_kind_length, work->diameter, 3).text, work->material, wanted,
	    show(s, &rw_kind_power, work->heat_power, 3).text, coil->turns, coil->turns > 1.0 ? "s" : "",
	    show(s, &rw_kind_length, coil->inner_diameter, 3).text, show(s, &rw_kind_length, coil->length, 3).text);
}

static void note_turned(const asked *s, const rw_choice_row *rows)
{
	rw_choice_table *t = s->out;
	int deep = 0;
	rw_choice_note(t, "Cold is %s, hot %s. Volts and amperes of the coil are those for the heat wanted, hot. thick/skin: %s over the hot skin "
	    "depth.", show(s, &rw_kind_temperature, s->line.work->start_temperature, 3).text,
	    show(s, &rw_kind_temperature, s->line.work->target_temperature, 3).text,
	    s->line.work->kind == RW_WORK_BAR ? "diameter" : "wall");
	for (int i = 0; i < t->n_rows; i++)
		deep += rows[i].treatment == RW_CHOICE_DEEP;
	if (deep)
		rw_choice_note(t, "Where no surface power stands the skin depth is too great for the closed form of the heating: the section heats as "
		    "a whole.");
	rw_choice_note(t, "Closed forms of one bar in one coil; the set is not solved again at each frequency.");
}

/* A row that the closed forms do not reach is left out and told. */
static rw_status solve_rows(const asked *s, const double *frequencies, int n, int wanted, rw_choice_row *rows, rw_error *err)
{
	rw_choice_table *t = s->out;
	t->own = -1;
	for (int i = 0; i < n; i++) {
		rw_status status = rw_choice_at(&s->turned, frequencies[i], true, &rows[t->n_rows], err);
		if (status == RW_E_RANGE || status == RW_E_NOSOLVE) {
			rw_choice_note(t, "Nothing is told of %s: %.200s.", show(s, &rw_kind_frequency, frequencies[i], 3).text, err->what);
			continue;
		}
		RW_TRY(status);
		t->own = i == wanted ? t->n_rows : t->own;
		t->n_rows++;
	}
	return RW_OK;
}

static rw_status choose_frequency_turned(const asked *s, rw_error *err)
{
	rw_choice_table *t = s->out;
	double frequencies[ROWS_MAX], low;
	rw_choice_row rows[ROWS_MAX];
	rw_choice_range range;
	int wanted;
	title_turned(s);
	RW_TRY(rw_choice_thick_at(&s->turned, thin_most, &low, err));
	int n = round_frequencies(fmin(fmax(span_low, low), 0.1 * span_high), span_high, s->line.generator->frequency, frequencies, &wanted);
	t->columns = surface_columns;
	t->n_columns = SURFACE_COLUMNS;
	RW_TRY(solve_rows(s, frequencies, n, wanted, rows, err));
	RW_TRY(rw_choice_range_of(&s->turned, rows, t->n_rows, &range, err));
	for (int i = 0; i < t->n_rows; i++) {
		fill_surface_row(&rows[i], t->value[i]);
		judge_row(&rows[i], &range, t->verdict[i], sizeof t->verdict[i]);
	}
	t->has_range = true;
	t->range_empty = range.empty;
	tell_end(s, &range, RW_CHOICE_LOWER);
	tell_end(s, &range, RW_CHOICE_UPPER);
	note_turned(s, rows);
	return RW_OK;
}

/* ---- frequency of a dielectric ---- */

static const double band_low = 6.7e6, band_high = 41e6;   /* Hz: from 6.78 to 40.68 MHz */

static const rw_choice_column plate_columns[] = {
    {"frequency", "f", &rw_kind_frequency, 4},        {"voltage_rms", "V_plates", &rw_kind_voltage_rms, 3},
    {"current_rms", "I_plates", &rw_kind_current_rms, 3}, {"field_rms", "in the stuff, rms", &rw_kind_stress, 3},
    {"gap_field_pk", "in the air, peak", &rw_kind_stress, 3}, {"quality", "Q of the load", &rw_kind_number, 2},
    {"length_most", "plate, longest", &rw_kind_length, 2},
};

enum { PLATE_COLUMNS = sizeof plate_columns / sizeof plate_columns[0] };

/* The ISM bands' centres; of the band it lies in, or between them, the wanted frequency. */
static int band_frequencies(const rw_bands *bands, double wanted, double out[ROWS_MAX], int *own)
{
	int n = 0;
	*own = -1;
	for (int i = 0; i < bands->n && n < ROWS_MAX - 1; i++) {
		const rw_band *band = &bands->band[i];
		bool inside = wanted >= band->lower && wanted <= band->upper;
		if (*own < 0 && band->lower > wanted) {
			*own = n;
			out[n++] = wanted;
		}
		if (inside)
			*own = n;
		if (inside || (band->centre > band_low && band->centre < band_high))
			out[n++] = inside ? wanted : band->centre;
	}
	if (*own < 0) {
		*own = n;
		out[n++] = wanted;
	}
	return n;
}

static rw_status plates_row(const asked *s, const rw_plates *plates, double frequency, double longest, int i, rw_error *err)
{
	rw_choice_table *t = s->out;
	const rw_work_in *work = s->line.work;
	rw_choice_plates at;
	RW_TRY(rw_choice_plates_at(plates, work->heat_power, frequency, &at, err));
	const double values[PLATE_COLUMNS] = {frequency, at.voltage_rms, at.current_rms, at.field_rms,
	    plates->gap > 0.0 ? at.gap_field_pk : (double)NAN,
	    at.quality, at.length_most};
	memcpy(t->value[i], values, sizeof values);
	bool stuff = at.field_rms > work->field_rms_max, air = at.gap_field_pk > work->gap_field_pk_max, wave = longest > at.length_most;
	snprintf(t->verdict[i], sizeof t->verdict[i], "%s%s%s%s%s%s", stuff ? "field in the stuff" : "", stuff && (air || wave) ? ", " : "",
	    air ? "field in the air" : "", air && wave ? ", " : "", wave ? "plates too long" : "", stuff || air || wave ? "" : "good");
	return RW_OK;
}

/* The field for a heat goes as one over the root of the frequency, the length that is even as one over the frequency. */
static void tell_plates_range(const asked *s, double longest)
{
	rw_choice_table *t = s->out;
	const rw_work_in *work = s->line.work;
	const double *v = t->value[t->own];
	double stuff = v[0] * pow(v[3] / work->field_rms_max, 2.0), air = isnan(v[4]) ? 0.0 : v[0] * pow(v[4] / work->gap_field_pk_max, 2.0);
	t->has_range = true;
	t->end[RW_CHOICE_LOWER] = fmax(stuff, air);
	t->end[RW_CHOICE_UPPER] = v[0] * v[6] / longest;
	t->range_empty = t->end[RW_CHOICE_UPPER] <= t->end[RW_CHOICE_LOWER];
	t->end_by[RW_CHOICE_LOWER] = air > stuff ? "gap_field_pk" : "field_rms";
	t->end_by[RW_CHOICE_UPPER] = "length_most";
	snprintf(t->end_text[RW_CHOICE_LOWER], LINE_BYTES, "the field %s reaches its greatest, %s", air > stuff ? "in the air" : "in the stuff",
	    show(s, &rw_kind_stress, air > stuff ? work->gap_field_pk_max : work->field_rms_max, 3).text);
	snprintf(t->end_text[RW_CHOICE_UPPER], LINE_BYTES, "at the ends of plates of %s, fed in the middle, the volts are a tenth less",
	    show(s, &rw_kind_length, longest, 3).text);
}

static rw_status choose_frequency_plates(const asked *s, rw_error *err)
{
	rw_choice_table *t = s->out;
	const rw_work_in *work = s->line.work;
	const rw_coil_in *coil = s->line.coil;
	int state = s->session->chain.judged_load[s->line.job];
	double frequencies[ROWS_MAX], longest = fmax(coil->plate_length, coil->plate_width);
	rw_plates plates;
	rw_work_plates(work, &work->loads[state], state == s->line.empty, coil->plate_length * coil->plate_width, &plates);
	t->columns = plate_columns;
	t->n_columns = PLATE_COLUMNS;
	t->n_rows = band_frequencies(&s->session->base.bands, s->line.generator->frequency, frequencies, &t->own);
	for (int i = 0; i < t->n_rows; i++)
		RW_TRY(plates_row(s, &plates, frequencies[i], longest, i, err));
	snprintf(t->title, LINE_BYTES, "Job %s: %s, %s thick, %s wanted; plates %s by %s", t->job, work->material,
	    show(s, &rw_kind_length, work->thickness, 3).text, show(s, &rw_kind_power, work->heat_power, 3).text,
	    show(s, &rw_kind_length, coil->plate_length, 3).text, show(s, &rw_kind_length, coil->plate_width, 3).text);
	tell_plates_range(s, longest);
	rw_choice_note(t, "In load state %s, in which the heat is judged, with its permittivity at every frequency.", s->line.load_name[state]);
	rw_choice_note(t, "Bands for industrial use from 6.78 to 40.68 MHz; the administration says which may be used where the set stands.");
	return RW_OK;
}

/* ---- turns ---- */

static const rw_choice_column coil_columns[] = {
    {"turns", "Turns", &rw_kind_count, 3},
    {"width", "width", &rw_kind_length, 2},
    {"resistance", "R", &rw_kind_resistance, 2},
    {"inductance", "L", &rw_kind_inductance, 2},
    {"efficiency", "eff.", &rw_kind_fraction, 2},
    {"current_rms", "I", &rw_kind_current_rms, 2},
    {"voltage_rms", "V", &rw_kind_voltage_rms, 2},
    {"turn_voltage_pk", "V a turn, peak", &rw_kind_voltage_pk, 2},
    {"water_velocity", "water", &rw_kind_velocity, 2},
    {"reactance_wanted", "X wanted", &rw_kind_resistance, 2},
    {"share_direct", "coil fills", &rw_kind_fraction, 2},
    {"ratio", "ratio", &rw_kind_count, 3},
    {"share", "then fills", &rw_kind_fraction, 2},
};

enum { COIL_COLUMNS = sizeof coil_columns / sizeof coil_columns[0], OF_WATER = 8, FIRST_OF_MATCH = 9 };

/* What drives the branch of the tank that the load is in: the anode swing of the state the set is sized on, with the grid's where the
 * branch goes from anode to grid, of both valves in push-pull. Where that state does not oscillate: what practice has of the volts. */
static double drive_voltage(const asked *s)
{
	const rw_solution *solution = s->session->chain.solution;
	const rw_oscillator_case *found = rw_chain_case(&s->session->chain, "oscillator", solution->design_case);
	const rw_tank_in *tank = s->line.tank;
	bool solved = !solution->why_not[solution->design_case];
	double anode = solved ? found->anode_swing_pk : 0.9 * s->line.oscillator->anode_voltage;
	double grid = solved && tank->feedback == RW_FEEDBACK_CAPACITIVE ? found->grid_swing_pk : 0.0;
	return rw_tank_sides(tank) * (anode + grid);
}

static rw_choice_line line_of(const asked *s)
{
	const rw_chain *chain = &s->session->chain;
	const rw_output_in *o = s->line.output;
	int scase = chain->solution->design_case;
	const rw_tank_case *tank = rw_chain_case(chain, "tank", scase);
	bool fitted = o->transformer == RW_OUTPUT_FITTED, solved = !chain->solution->why_not[scase];
	rw_choice_line out = {.drive_voltage_pk = drive_voltage(s), .leads_resistance = s->line.leads->resistance,
	    .leads_inductance = s->line.leads->inductance, .coupling = fitted ? o->coupling : 0.9, .primary_q = fitted ? o->primary_q : 300.0,
	    .secondary_q = fitted ? o->secondary_q : 300.0};
	if (s->line.tank->coupling == RW_COUPLING_SECONDARY) {
		rw_choice_note(s->out, "The load of this set stands behind a coupled secondary, which takes any coil: what the tank wants is not "
		    "told.");
		return out;
	}
	rw_choice_note(s->out, "Anode volts %s DC; %s peak drive the load's branch of the tank%s%s. X wanted: that over \u221a2 times the coil's "
	    "current; leads and coil together are to fill 0.4 to 0.9 of it.",
	    show(s, &rw_kind_voltage_dc, s->line.oscillator->anode_voltage, 3).text,
	    show(s, &rw_kind_voltage_pk, out.drive_voltage_pk, 3).text,
	    solved ? ", anode load " : " (0.9 of the volts: the state the set is sized on is not solved)",
	    solved ? show(s, &rw_kind_resistance, tank->anode_load_resistance, 3).text : "");
	return out;
}

/* The last columns and the verdict: what the line makes of the coil. */
static rw_status match_row(const asked *s, const rw_choice_line *line, const rw_choice_state *state, double v[4], char *verdict,
    size_t room, rw_error *err)
{
	rw_choice_fit fit;
	for (int i = 0; i < 4; i++)
		v[i] = (double)NAN;
	snprintf(verdict, room, "secondary");
	if (s->line.tank->coupling == RW_COUPLING_SECONDARY)
		return RW_OK;
	double complex coil = rw_complex(state->loaded.resistance, state->loaded.reactance);
	RW_TRY(rw_choice_match(line, s->line.generator->frequency, coil, state->current_rms, &fit, err));
	v[0] = fit.reactance_wanted;
	v[1] = fit.share_direct;
	if (fit.verdict == RW_CHOICE_RATIO) {
		v[2] = fit.ratio;
		v[3] = fit.share;
		snprintf(verdict, room, "ratio %.0f", fit.ratio);
	} else {
		snprintf(verdict, room, "%s", fit.verdict == RW_CHOICE_DIRECT ? "direct" : "too much reactance");
	}
	return RW_OK;
}

static rw_status coil_row(const asked *s, const rw_choice_line *line, const rw_coil_in *coil, double v[COIL_COLUMNS], char *verdict,
    size_t room, rw_error *err)
{
	double f = s->line.generator->frequency;
	rw_choice_state state;
	RW_TRY(rw_choice_state_at(&s->turned, coil, s->line.work->target_temperature, f, &state, err));
	rw_coil_case at;
	RW_TRY(rw_choice_stress(&s->turned, coil, &state, f, &at, err));
	const double values[FIRST_OF_MATCH] = {coil->turns, coil->width, state.loaded.resistance, state.loaded.reactance / (2.0 * M_PI * f),
	    state.loaded.efficiency, state.current_rms, state.voltage_rms, at.turn_voltage_pk, coil->conductor == RW_WINDING_TUBE ? at.water_velocity : (double)NAN};
	memcpy(v, values, sizeof values);
	return match_row(s, line, &state, v + FIRST_OF_MATCH, verdict, room, err);
}

/* Whole numbers of turns that an engineer would look at, with the file's own among them. */
static int turns_tried(double own, double out[ROWS_MAX])
{
	static const double usual[] = {1, 2, 3, 4, 6, 8, 10, 12, 16, 20, 24, 28, 32, 36, 40};
	int n = 0;
	bool told = false;
	for (size_t i = 0; i < sizeof usual / sizeof usual[0]; i++) {
		if (!told && own < usual[i])
			out[n++] = own;
		told = told || own <= usual[i];
		out[n++] = usual[i];
	}
	if (!told)
		out[n++] = own;
	return n;
}

static void note_coil(const asked *s)
{
	rw_choice_table *t = s->out;
	const rw_coil_in *coil = s->line.coil;
	bool tube = coil->conductor == RW_WINDING_TUBE, one = t->value[0][0] == 1.0 && t->value[0][1] < 0.9 * coil->length;
	char fast[64] = "";
	for (int i = 0; i < t->n_rows; i++) {
		size_t n = strlen(fast);
		if (t->value[i][OF_WATER] > coil->velocity_max)
			snprintf(fast + n, sizeof fast - n, "%s%.0f", n ? ", " : "", t->value[i][0]);
	}
	rw_choice_note(t, "Same bore and length; the %s at most two thirds of the pitch wide, so that a third stays air, at least 3 mm%s; the "
	    "file's own number as it stands.", tube ? "tube" : "strip", tube ? ", its wall in proportion down to 0.5 mm" : "");
	if (one)
		rw_choice_note(t, "One turn is %s long here and heats little more than that; a strip of the whole length would heat all of it.",
		    show(s, &rw_kind_length, t->value[0][1], 2).text);
	if (fast[0])
		rw_choice_note(t, "Water runs faster than %s for its rise of %s at %s turns: more than one path, or a wider bore.",
		    show(s, &rw_kind_velocity, coil->velocity_max, 3).text, show(s, &rw_kind_temp_rise, coil->water_rise, 2).text, fast);
	if (s->line.output->transformer == RW_OUTPUT_FITTED)
		rw_choice_note(t, "The file's set has an output transformer of ratio %.3g.", s->line.output->ratio);
}

static rw_status choose_coil(const asked *s, rw_error *err)
{
	rw_choice_table *t = s->out;
	const rw_coil_in *coil = s->line.coil;
	double tried[ROWS_MAX];
	title_turned(s);
	t->columns = coil_columns;
	t->n_columns = COIL_COLUMNS;
	rw_choice_line line = line_of(s);
	int n = turns_tried(coil->turns, tried);
	for (int i = 0; i < n; i++) {
		rw_coil_in other;
		if (!rw_choice_turns(coil, tried[i], &other))
			continue;
		rw_status status = coil_row(s, &line, &other, t->value[t->n_rows], t->verdict[t->n_rows], sizeof t->verdict[0], err);
		if (status == RW_E_RANGE || status == RW_E_NOSOLVE) {
			rw_choice_note(t, "Nothing is told of %.0f turns: %.200s.", tried[i], err->what);
			continue;
		}
		RW_TRY(status);
		t->own = tried[i] == coil->turns ? t->n_rows : t->own;
		t->n_rows++;
	}
	note_coil(s);
	return RW_OK;
}

/* ---- the command ---- */

static const char *const subjects[] = {"frequency", "coil"};

/* Of a measured coil and a dummy load only what was measured is known. */
static rw_status refuse(const asked *s, rw_error *err)
{
	static const char *const kinds[] = {"measured", "bar", "tube", "dielectric", "dummy"};
	bool coil = strcmp(s->out->subject, "coil") == 0;
	(void)RW_RAISE(err, RW_E_VALUE, "work.kind", "work of kind '%s' gives 'choose %s' nothing to vary", kinds[s->line.work->kind],
	    s->out->subject);
	rw_error_expected(err, "work of kind bar%s with its dimensions and material", coil ? " or tube" : ", tube or dielectric");
	rw_error_hint(err, "describe the work that way, or name another job with '--job'");
	return RW_E_VALUE;
}

static rw_status choose(asked *s, rw_error *err)
{
	int32_t kind = s->line.work->kind;
	bool turned = kind == RW_WORK_BAR || kind == RW_WORK_TUBE, coil = strcmp(s->out->subject, "coil") == 0;
	s->turned = (rw_choice_job){s->line.work, &s->line.loads->stuff, s->line.coil, &s->session->base.medhurst};
	if (turned)
		return coil ? choose_coil(s, err) : choose_frequency_turned(s, err);
	return kind == RW_WORK_DIELECTRIC && !coil ? choose_frequency_plates(s, err) : refuse(s, err);
}

static int put(const rw_cli *cli, const rw_options *o, rw_session *session)
{
	rw_error err;
	int scase = rw_pick_case(cli, &session->chain, o->job, NULL);
	if (scase < 0)
		return 2;
	int job = session->chain.solution->cases[scase].job;
	rw_choice_table *t = RW_ARENA_NEW(&session->arena, rw_choice_table, 1);
	asked s = {.session = session, .out = t};
	rw_status status = t ? RW_OK : RW_RAISE(&err, RW_E_MEMORY, "", "memory ran out");
	if (status == RW_OK) {
		t->subject = o->key[0];
		t->job = session->chain.full->job_names[job];
		t->own = -1;
		status = rw_line_of(&session->chain, job, &s.line, &err);
	}
	if (status == RW_OK)
		status = choose(&s, &err);
	if (status != RW_OK) {
		rw_generator_mark(&session->generator, job, &err);
		rw_print_error(cli, &err);
		return rw_status_exit_code(status);
	}
	return rw_choice_put(cli, session->units, t, o->format);
}

static int wrong_subject(const rw_cli *cli, const char *subject)
{
	const char *nearest = rw_text_nearest(subject, subjects, 2);
	if (nearest)
		return rw_usage_error(cli, "'%s' is nothing to choose; did you mean '%s'?", subject, nearest);
	return rw_usage_error(cli, "'%s' is nothing to choose; it is frequency or coil", subject);
}

int rw_cmd_choose(const rw_cli *cli, int argc, char **argv)
{
	rw_options o;
	rw_options_read(&o, argc, argv, RW_TAKES_KEYS, "fj", "FILE frequency|coil",
	                "What other frequencies, or other numbers of turns, would do for one job; nothing is changed.\v"
	                "frequency: skin depth, efficiency, the surface's power and temperature, and the range with what bounds it. "
	                "coil: turns on the same bore and length, and the ratio of an output transformer that each of them wants. "
	                "csv is known too.");
	if (o.n_keys == 0)
		return rw_usage_error(cli, "what is to be chosen? 'frequency' or 'coil' follows the file");
	if (strcmp(o.key[0], subjects[0]) != 0 && strcmp(o.key[0], subjects[1]) != 0)
		return wrong_subject(cli, o.key[0]);
	if (o.n_keys > 1)
		return rw_usage_error(cli, "one choice at a time: '%s' is too many", o.key[1]);
	int code = rw_options_format(cli, &o, true);
	o.unrated = true;   /* what a job wants, also where the rating does not bring it */
	return code ? code : rw_on_solved(cli, &o, put);
}
