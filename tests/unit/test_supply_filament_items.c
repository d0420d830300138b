/* The item tables of supply and filament: every member has its row, every formula its dimension, exactly one alternative holds, and a
 * closed one gives what the code gives. All modes of overlap and all ways of choosing are visited, which the examples do not do. */
#include <math.h>
#include <string.h>

#include "base/base.h"
#include "check.h"
#include "filament/filament.h"
#include "item/expr.h"
#include "supply/connection.h"
#include "supply/supply.h"
#include "tungsten_table.h"

enum { ALTERNATIVES_MAX = 8, ITEMS_MAX = 160 };

typedef struct foreign { const char *key; double value; const rw_kind *kind; const char *choice; } foreign;

/* A solved room and the figures of other rooms that its formulas read. */
typedef struct bench {
	const rw_room *room;
	void *in, *set, *kase;
	const foreign *others;
	int n_others;
	bool reached[ITEMS_MAX][ALTERNATIVES_MAX];
} bench;

static const foreign *other(const bench *b, const char *key)
{
	for (int i = 0; i < b->n_others; i++)
		if (!strcmp(b->others[i].key, key))
			return &b->others[i];
	return NULL;
}

static const rw_item *own(const bench *b, const char *key)
{
	size_t n = strlen(b->room->name);
	for (int i = 0; i < b->room->n_items; i++)
		if (!strncmp(key, b->room->name, n) && key[n] == '.' && !strcmp(b->room->items[i].key, key + n + 1))
			return &b->room->items[i];
	return NULL;
}

static double member(const bench *b, const rw_item *item)
{
	rw_place place = rw_item_place(item);
	const unsigned char *at = (const unsigned char *)(place == RW_IN_INPUT ? b->in : place == RW_IN_SET ? b->set : b->kase) + item->offset;
	double x;
	int32_t i;
	if (item->type == RW_NUMBER) {
		memcpy(&x, at, sizeof x);
		return x;
	}
	memcpy(&i, at, sizeof i);
	return i;
}

static rw_status host_value(void *context, const char *key, rw_expr_scope scope, double *value, const char **choice, rw_error *err)
{
	const bench *b = context;
	(void)scope;
	const rw_item *item = own(b, key);
	const foreign *f = other(b, key);
	if (!item && !f)
		return RW_RAISE(err, RW_E_KEY, key, "there is no figure '%s'", key);
	*value = item ? member(b, item) : f->value;
	const char *name = item && item->type == RW_CHOICE && *value >= 0.0 ? item->input->choices[(int)*value] : f && f->choice ? f->choice : "";
	if (choice)
		*choice = name;
	return RW_OK;
}

static rw_status host_kind(void *context, const char *key, const rw_kind **kind, rw_error *err)
{
	const bench *b = context;
	const rw_item *item = own(b, key);
	const foreign *f = other(b, key);
	if (!item && !f)
		return RW_RAISE(err, RW_E_KEY, key, "there is no figure '%s'", key);
	*kind = item ? item->kind : f->kind;
	return RW_OK;
}

static double formula_value(rw_arena *arena, const bench *b, const char *text, const rw_kind *kind)
{
	rw_error err = {0};
	const rw_expr *expr;
	double value = (double)NAN, dim[5];
	rw_expr_host host = {.context = (void *)b, .value = host_value, .kind = host_kind};
	CHECK_OK(rw_expr_read(arena, text, &expr, &err), &err);
	CHECK_OK(rw_expr_dimension(expr, &host, dim, &err), &err);
	if (kind && !rw_expr_same_dimension(dim, kind->dim)) {
		print_error("dimension of %s is not that of %s\n", text, kind->name);
		_fail(__FILE__, __LINE__);
	}
	CHECK_OK(rw_expr_value(expr, &host, (rw_expr_scope){-1, -1}, &value, &err), &err);
	return value;
}

/* given: the inputs that stand in the file in this situation, so that no rule chose them. */
static void check_figures(bench *b, const char *given)
{
	rw_arena arena;
	rw_arena_init(&arena);
	for (int i = 0; i < b->room->n_items; i++) {
		const rw_item *item = &b->room->items[i];
		int holds = 0;
		if ((item->partial || (item->input && item->input->optional)) && isnan(member(b, item))) {
			for (int k = 0; k < item->n_formulas; k++)   /* no value to hold a formula against; a method has nothing to reach */
				b->reached[i][k] = b->reached[i][k] || (item->formulas[k].kind == RW_METHOD && !item->formulas[k].when);
			continue;
		}
		for (int k = 0; k < item->n_formulas; k++) {
			const rw_formula *f = &item->formulas[k];
			if (f->when && formula_value(&arena, b, f->when, NULL) == 0.0)
				continue;
			holds++;
			b->reached[i][k] = true;
			if (f->kind != RW_CLOSED || strstr(given, item->key))
				continue;
			double want = member(b, item);
			rw_check_near(formula_value(&arena, b, f->text, item->kind), want, 1e-9, fmax(fabs(want), 1e-3), item->key, f->text, __FILE__, __LINE__);
		}
		if (item->n_formulas == 0) {   /* an optional input that no rule chooses */
			assert_true(item->input && item->input->optional);
			continue;
		}
		if (holds != 1)
			print_error("%d alternatives of %s hold\n", holds, item->key);
		assert_int_equal(holds, 1);
	}
	for (int i = 0; i < b->room->n_limits; i++) {   /* limits can be read and compare like with like */
		const rw_limit *l = &b->room->limits[i];
		if (l->when && formula_value(&arena, b, l->when, NULL) == 0.0)
			continue;
		const rw_item *figure = own(b, l->figure);
		assert_non_null(figure);
		assert_true(formula_value(&arena, b, l->limit, figure->kind) > 0.0);
	}
	rw_arena_release(&arena);
}

static void check_all_reached(const bench *b)
{
	for (int i = 0; i < b->room->n_items; i++) {
		assert_true(b->room->items[i].n_formulas <= ALTERNATIVES_MAX);
		for (int k = 0; k < b->room->items[i].n_formulas; k++) {
			if (b->room->items[i].input && !b->room->items[i].input->rule)
				continue;
			if (!b->reached[i][k])
				print_error("alternative %d of %s was never reached\n", k, b->room->items[i].key);
			assert_true(b->reached[i][k]);
		}
	}
}

/* ---- supply ---- */

static const double mains_high = 1.087, bleeder = 1.33e6;
static const rw_mains mains = {.voltage_rms = 398.6, .frequency = 50.0, .high = 1.087, .fault_level_greatest = 21.7e6, .fault_level_least = 8.3e6, .low = 0.913};

/* Behind the source's resistance a plain resistor: what each instant of a pulse holds, and what its means come from. */
typedef struct resistor { double arms, source, load; } resistor;

static rw_status resistor_at(void *context, const rw_ripple_instant *at, double *q, rw_error *err)
{
	const resistor *r = context;
	(void)err;
	double i = (at->source - r->arms) / (r->source + r->load), v = i * r->load;
	q[0] = v, q[1] = v * v, q[2] = i, q[3] = i * i, q[4] = at->source * i, q[5] = v * i, q[6] = i * at->sine, q[7] = i;
	return RW_OK;
}

static rw_supply_cycle resistor_cycle(const rw_supply_in *in, const rw_supply_set *set, double factor, const rw_supply_setting *setting, double load)
{
	static const bool judged[8] = {true, true, true, true, true, true, false, true};
	rw_error err = {0};
	rw_ripple_source source = rw_supply_source(in, set, factor, setting);
	resistor r = {source.arms, rw_supply_resistance(in, set), load};
	rw_ripple_means means;
	CHECK_OK(rw_ripple_mean(&source, NULL, 0, resistor_at, &r, 8, judged, &means, &err), &err);
	const double *m = means.mean;
	rw_supply_cycle cycle = {m[0], sqrt(m[1]), 0.0, m[2], sqrt(m[3]), m[4], m[5], 2.0 * sqrt(6.0) / source.pulses * m[6], {0.0}};
	for (int order = 1; order <= RW_LINE_ORDERS; order++)
		cycle.line_rms[order] = rw_ripple_line_harmonic(&means.last, order);
	return cycle;
}

/* resistance of the load in ohm: ripple counted with it, load is not asked; NAN: not counted. */
static void controlled_situation(bench *b, rw_supply_in in, double factor, const rw_supply_setting *setting, double load, double resistance,
    const char *given)
{
	rw_error err = {0};
	rw_supply_set set;
	rw_supply_case c;
	rw_supply_cycle cycle;
	bool counted = !isnan(resistance);
	CHECK_OK(rw_supply_choose(&in, &mains, &err), &err);
	CHECK_OK(rw_supply_set_solve(&in, &mains, &set, &err), &err);
	if (counted) {
		cycle = resistor_cycle(&in, &set, factor, setting, resistance);
		load = cycle.current_dc;
	}
	CHECK_OK(rw_supply_controlled(&in, &set, &mains, factor, setting, load, counted ? &cycle : NULL, &c, &err), &err);
	rw_supply_light_load(&in, &set, factor * setting->ht_ratio, bleeder, &c);
	const foreign others[] = {
		{"site.mains_voltage_rms", mains.voltage_rms, &rw_kind_voltage_rms, NULL}, {"site.mains_frequency", mains.frequency, &rw_kind_frequency, NULL},
		{"site.fault_level_greatest", mains.fault_level_greatest, &rw_kind_apparent_power, NULL},
		{"site.fault_level_least", mains.fault_level_least, &rw_kind_apparent_power, NULL}, {"site.harmonic_limits", 0.0, NULL, "none"},
		{"cases.mains_high", mains_high, &rw_kind_number, NULL}, {"cases.mains_low", mains.low, &rw_kind_number, NULL},
		{"case.mains_factor", factor, &rw_kind_number, NULL}, {"protection.bleeder_resistance", bleeder, &rw_kind_resistance, NULL},
		{"oscillator.anode_voltage", 8812.3, &rw_kind_voltage_dc, NULL}, {"protection.series_resistance", 0.0, &rw_kind_resistance, NULL},
		{"oscillator.valves", 1.0, &rw_kind_number, NULL}, {"settings.ht_ratio", setting->ht_ratio, &rw_kind_fraction, NULL},
		{"settings.firing_angle", setting->firing_angle, &rw_kind_angle, NULL}, {"oscillator.input_power", c.output_power, &rw_kind_power, NULL},
		{"protection.bleeder_loss", 0.0, &rw_kind_power, NULL},
		{"oscillator.anode_current_dc", load - c.voltage_dc / bleeder, &rw_kind_current_dc, NULL},
	};
	b->in = &in, b->set = &set, b->kase = &c;
	b->others = others, b->n_others = (int)(sizeof others / sizeof *others);
	check_figures(b, given);
}

static void supply_situation(bench *b, rw_supply_in in, double factor, double load, const char *given)
{
	static const rw_supply_setting full = {1.0, 0.0};
	controlled_situation(b, in, factor, &full, load, (double)NAN, given);
}

/* Every kind of control, ripple counted and not. */
static void control_situations(bench *b, const rw_supply_in *open)
{
	for (int kind = RW_CONTROL_TAP; kind <= RW_CONTROL_STAR_DELTA; kind++) {
		bool fired = kind == RW_CONTROL_THYRISTOR;
		static const double angles[] = {7.3, 41.7, 71.9, 97.7};   /* under and over where the volts reach nought */
		for (size_t k = 0; k < sizeof angles / sizeof *angles; k++) {
			const rw_supply_setting setting = {fired ? 1.0 : 0.61, fired ? angles[k] * 3.14159265358979323846 / 180.0 : 0.0};
			rw_supply_in in = *open;
			in.control = kind;
			in.ripple_counted = RW_RIPPLE_MEAN;
			controlled_situation(b, in, 1.087, &setting, 0.37, (double)NAN, "control ripple_counted");
			if (fired) {
				rw_supply_in behind = in;
				behind.filter_inductance = 1.83, behind.filter_capacitance = 8.7e-6;
				controlled_situation(b, behind, 1.087, &setting, 0.37, (double)NAN, "control ripple_counted filter_inductance filter_capacitance");
			}
			in.ripple_counted = RW_RIPPLE_CYCLE;
			controlled_situation(b, in, 1.087, &setting, 0.0, 2513.0, "control ripple_counted");
		}
	}
}

static void supply_formulas_are_the_code(void **state)
{
	(void)state;
	bench b = {.room = &rw_supply_room};
	rw_supply_in open;
	rw_room_blank(&rw_supply_room, &open, NULL, NULL);
	open.duty_voltage_dc = 8812.0;
	open.duty_current_dc = 3.774;
	open.diode_current_mean_max = 31.0;
	open.diode_surge_i2t = 270.0;
	static const double load[] = {0.213, 0.87, 3.774, 22.7, 30.9, 43.1, 65.3};
	for (size_t k = 0; k < sizeof load / sizeof *load; k++)
		supply_situation(&b, open, 0.913, load[k], "");
	rw_supply_in in = open;
	in.duty_basis = RW_DUTY_NO_LOAD;
	supply_situation(&b, in, 1.0, 3.9, "duty_basis");
	in = open;
	in.rated_power = 84300.0;
	in.secondary_voltage_step = 1.0;
	supply_situation(&b, in, 1.0, 3.9, "rated_power secondary_voltage_step");
	in.diode_margin = 2.083;
	in.diodes_in_series = 17;
	in.short_circuit_voltage = 0.0713;
	supply_situation(&b, in, 1.087, 3.9, "rated_power secondary_voltage_step diode_margin diodes_in_series short_circuit_voltage");
	in = open;
	in.filter_inductance = 1.83;
	in.filter_resistance = 17.3;
	in.filter_capacitance = 8.7e-6;
	in.sharing_resistance = 11.3e3;
	in.sharing_capacitance = 310e-9;
	supply_situation(&b, in, 1.087, 3.9, "filter_inductance filter_resistance filter_capacitance sharing_resistance sharing_capacitance");
	for (int kind = 0; kind < RW_CONNECTIONS; kind++) {   /* every connection in every mode of its overlap, both duties, a rating given */
		double end = rw_connection_of(kind)->short_circuit, volts = 8812.0 / rw_connection_of(kind)->voltage_factor;
		static const double of_the_end[] = {0.011, 0.14, 0.33, 0.51, 0.68, 0.84};
		in = open;
		in.connection = kind;
		supply_situation(&b, in, 1.0, 3.9, "connection");
		in.duty_basis = RW_DUTY_NO_LOAD;
		supply_situation(&b, in, 1.0, 3.9, "connection duty_basis");
		in.duty_basis = RW_DUTY_FULL_LOAD;
		in.rated_power = 84300.0;
		in.primary_winding = kind == RW_CONNECT_SINGLE_PHASE ? -1 : RW_WINDING_STAR;
		in.secondary_winding = kind == RW_CONNECT_BRIDGE ? RW_WINDING_DELTA : -1;
		in.short_circuit_resistance = 0.0;
		supply_situation(&b, in, 1.0, 3.9, "connection rated_power winding short_circuit_resistance");
		for (size_t k = 0; k < sizeof of_the_end / sizeof *of_the_end; k++) {
			double reactance = 0.05 * volts * volts * rw_connection_of(kind)->secondaries / in.rated_power;
			double load_of_x = of_the_end[k] * end * volts / (sqrt(2.0) * reactance * rw_connection_of(kind)->bridge_share);
			supply_situation(&b, in, 1.0, load_of_x, "connection rated_power winding short_circuit_resistance");
		}
	}
	control_situations(&b, &open);
	check_all_reached(&b);
}

/* ---- filament ---- */

static const rw_tungsten *tungsten;

static void filament_situation(bench *b, rw_filament_in in, int cathode, const char *given)
{
	static const char *const cathodes[] = {"thoriated", "tungsten", "oxide"};
	const rw_filament_site site = {cathode, 4, 398.6, 50.0, 0.913, 1.087, tungsten};
	rw_error err = {0};
	rw_filament_set set;
	rw_room_blank(&rw_filament_room, NULL, &set, NULL);
	CHECK_OK(rw_filament_choose(&in, &site, &err), &err);
	CHECK_OK(rw_filament_set_solve(&in, &site, &set, &err), &err);
	CHECK_OK(rw_filament_time_solve(&in, &site, tungsten, &set, &err), &err);
	const foreign others[] = {
		{"site.mains_frequency", 50.0, &rw_kind_frequency, NULL}, {"valve.cathode", cathode, NULL, cathodes[cathode]},
		{"site.mains_voltage_rms", 398.6, &rw_kind_voltage_rms, NULL}, {"cases.mains_low", 0.913, &rw_kind_number, NULL},
		{"cases.mains_high", 1.087, &rw_kind_number, NULL}, {"oscillator.valves", 4.0, &rw_kind_count, NULL},
	};
	b->in = &in, b->set = &set, b->kase = NULL;
	b->others = others, b->n_others = (int)(sizeof others / sizeof *others);
	check_figures(b, given);
}

static void filament_formulas_are_the_code(void **state)
{
	(void)state;
	rw_arena arena;
	rw_tungsten table;
	rw_arena_init(&arena);
	rw_tungsten_table(&arena, &table);
	tungsten = &table;
	bench b = {.room = &rw_filament_room};
	rw_filament_in in;
	rw_room_blank(&rw_filament_room, &in, NULL, NULL);
	in.voltage_rms = 8.2;
	in.current_rms = 230.0;
	filament_situation(&b, in, 0, "");
	in.start_resistor = 21.3e-3;
	filament_situation(&b, in, 0, "start_resistor");
	in.start_limit = 600.0;
	in.start_measure = RW_START_RMS;
	filament_situation(&b, in, 1, "start_resistor");
	in.start_resistor = (double)NAN;
	filament_situation(&b, in, 0, "");
	filament_situation(&b, in, 1, "");
	in.start_limit = 2290.0;   /* hardly a limit: the transformer's own leakage is left */
	in.valves_on_transformer = 2;
	filament_situation(&b, in, 0, "valves_on_transformer");
	in.start_limit = 843.0;
	in.start_measure = RW_START_PEAK;
	in.series_resistance = 1.7e-3;
	in.cold_ratio = 6.31;
	in.stabiliser = RW_STABILISER_NONE;
	filament_situation(&b, in, 2, "cold_ratio series_resistance stabiliser valves_on_transformer");
	in.start_limit = 603.0;
	in.dip_bypass = RW_BYPASS_HOLDS;
	in.dip_voltage = 0.37;
	filament_situation(&b, in, 2, "cold_ratio series_resistance stabiliser dip_bypass dip_voltage valves_on_transformer");
	filament_situation(&b, in, 0, "cold_ratio series_resistance stabiliser dip_bypass dip_voltage valves_on_transformer");
	check_all_reached(&b);
	rw_arena_release(&arena);
}

/* ---- both ---- */

/* Bytes full of 0xA5, each row clears its own: what is left has no row, save members called unused. */
static void clear_rows(const rw_room *room, rw_place place, unsigned char *bytes)
{
	for (int i = 0; i < room->n_items; i++)
		if (rw_item_place(&room->items[i]) == place)
			memset(bytes + room->items[i].offset, 0, rw_type_bytes(room->items[i].type));
}

static void assert_cleared(const unsigned char *bytes, size_t n)
{
	for (size_t i = 0; i < n; i++)
		assert_int_equal(bytes[i], 0);
}

static void every_member_has_a_row(void **state)
{
	(void)state;
	unsigned char bytes[2048];
	const rw_room *rooms[] = {&rw_supply_room, &rw_filament_room};
	for (int r = 0; r < 2; r++) {
		const uint32_t size[] = {rooms[r]->in_size, rooms[r]->set_size, rooms[r]->case_size};
		for (rw_place place = RW_IN_INPUT; place <= RW_IN_CASE; place++) {
			assert_true(size[place] <= sizeof bytes);
			memset(bytes, 0xA5, sizeof bytes);
			clear_rows(rooms[r], place, bytes);
			if (rooms[r] == &rw_supply_room && place == RW_IN_INPUT)
				memset(bytes + offsetof(rw_supply_in, unused), 0, sizeof(int32_t));
			if (rooms[r] == &rw_filament_room && place == RW_IN_INPUT)
				memset(bytes + offsetof(rw_filament_in, unused), 0, sizeof(int32_t));
			assert_cleared(bytes, size[place]);
		}
	}
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(every_member_has_a_row), cmocka_unit_test(supply_formulas_are_the_code), cmocka_unit_test(filament_formulas_are_the_code),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
