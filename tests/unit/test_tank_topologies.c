/* Every topology of the tank: what is chosen does what was wanted, the network is passive and reciprocal, its losses are those found by hand,
 * and half the circuit of two valves is the whole. Loads and swings are invented. */
#include <complex.h>
#include <string.h>

#include "base/base.h"
#include "check.h"
#include "item/item.h"
#include "tank/tank.h"

static const double two_pi = 6.283185307179586476925287;

typedef struct held { const char *name; double resistance, inductance, capacitance; } held;   /* ohm, H, F (0: none) */

/* A coil with its leads; the same at twice the resistance; plates of a dielectric heater, loss tangent some hundredths. */
static const held loads[] = {{"coil", 2.873, 12.41e-6, 0.0}, {"coil, heavy", 5.311, 11.73e-6, 0.0}, {"plates", 4.137, 0.391e-6, 1.873e-9}};
enum { N_LOADS = sizeof loads / sizeof loads[0] };

static rw_status load_at(void *context, double frequency, rw_tank_load *load, rw_error *err)
{
	const held *h = context;
	double w = two_pi * frequency;
	(void)err;
	*load = (rw_tank_load){h->resistance, w * h->inductance - (h->capacitance > 0.0 ? 1.0 / (w * h->capacitance) : 0.0)};
	return RW_OK;
}

typedef struct point { double va, vg, current; } point;   /* of each valve; through the load */
typedef struct bench {
	rw_work work;
	rw_tank_in in;
	rw_tank_valve valve;
	held load;
	point at;
	char name[128];
	double frequency;
	int tried, refused, given;
	double worst_frequency, worst_ratio, worst_load, worst_closure, worst_hand, worst_current;
} bench;

static const rw_tank_valve no_strays = {(double)NAN, (double)NAN, (double)NAN};
static const rw_tank_valve strays = {23.7e-12, 38.1e-12, 2.3e-12};

static void blank(rw_tank_in *in) { rw_room_blank(&rw_tank_room, in, NULL, NULL); }

static rw_tank_want want_of(bench *b)
{
	rw_tank_want want = {.frequency = b->frequency, .output_current_rms = b->at.current};
	rw_error err = {0};
	CHECK_OK(load_at(&b->load, b->frequency, &want.load, &err), &err);
	return want;
}

static void check_losses(bench *b, const rw_tank_case *c, double frequency)
{
	rw_tank_load load;
	rw_error err = {0};
	CHECK_OK(load_at(&b->load, frequency, &load, &err), &err);
	double in_load = c->output_current_rms * c->output_current_rms * load.resistance;
	const double losses[] = {in_load, c->inductor_loss, c->grid_inductor_loss, c->capacitor_loss, c->secondary_inductor_loss,
	    c->secondary_capacitor_loss};
	rw_tank_losses hand = rw_tank_losses_by_hand(&b->in, &b->valve, &load, frequency, b->at.va);
	const double by_hand[] = {hand.output_rms2 * load.resistance, hand.inductor, hand.grid_inductor, hand.capacitors, hand.secondary_inductor,
	    hand.secondary_capacitor};
	double sum = 0.0;
	for (int i = 0; i < 6; i++) {
		assert_true(losses[i] >= 0.0);
		sum += losses[i];
		b->worst_hand = fmax(b->worst_hand, fabs(losses[i] - by_hand[i]) / c->power);
		rw_check_near(losses[i], by_hand[i], 1e-9, c->power, "the same loss by hand", b->name, __FILE__, __LINE__);
	}
	b->worst_closure = fmax(b->worst_closure, fabs(sum / c->power - 1.0));
	rw_check_near(sum, c->power, 1e-9, c->power, "losses are the power of the port", b->name, __FILE__, __LINE__);
}

/* What the chosen parts give against what was wanted: within the rounding of parts to three digits and steps of the capacitor. */
static void check_chosen(bench *b)
{
	rw_error err;
	rw_tank_want want = want_of(b);
	rw_tank_tuning tuning;
	rw_tank_load load;
	rw_tank_case c;
	double power;
	CHECK_OK(rw_tank_power_for(&b->in, &want, b->at.va, b->at.vg, &power, &err), &err);
	rw_status status = rw_tank_choose(&b->in, &b->valve, &want, b->at.va, b->at.vg, &b->work, &err);
	if (status != RW_OK)
		print_error("%s\n", b->name);
	CHECK_OK(status, &err);
	CHECK_OK(rw_tank_tune(&b->in, &b->valve, load_at, &b->load, 0.71 * b->frequency, 1.37 * b->frequency, &b->work, &tuning, &err), &err);
	CHECK_OK(load_at(&b->load, tuning.frequency, &load, &err), &err);
	CHECK_OK(rw_tank_solve(&b->in, &b->valve, &load, &tuning, b->at.va, 8.73e3, &b->work, &c, &err), &err);
	check_losses(b, &c, tuning.frequency);
	double off[] = {tuning.frequency / b->frequency - 1.0, tuning.ratio * b->at.va / b->at.vg - 1.0,
	    0.5 * b->at.va * b->at.va * tuning.conductance / power - 1.0, c.output_current_rms / b->at.current - 1.0};
	if (fabs(off[0]) > 0.006 || fabs(off[1]) > 0.02 || fabs(off[2]) > 0.08 || fabs(off[3]) > 0.04) {
		print_error("%s: frequency off by %.3g, ratio %.3g, load %.3g, current %.3g\n", b->name, off[0], off[1], off[2], off[3]);
		fail();
	}
	b->worst_frequency = fmax(b->worst_frequency, fabs(off[0]));
	b->worst_ratio = fmax(b->worst_ratio, fabs(off[1]));
	b->worst_load = fmax(b->worst_load, fabs(off[2]));
	b->worst_current = fmax(b->worst_current, fabs(off[3]));
	b->tried++;
}

/* Of a chosen tank one part after the other given alone: it stays, and a tank is still found around it. */
static void check_given(bench *b, const rw_tank_in *open)
{
	static const size_t parts[] = {offsetof(rw_tank_in, capacitance), offsetof(rw_tank_in, inductance), offsetof(rw_tank_in, grid_mutual),
	    offsetof(rw_tank_in, grid_inductance), offsetof(rw_tank_in, divider_anode_capacitance), offsetof(rw_tank_in, divider_grid_capacitance),
	    offsetof(rw_tank_in, blocking_capacitance), offsetof(rw_tank_in, choke_inductance), offsetof(rw_tank_in, bypass_capacitance),
	    offsetof(rw_tank_in, grid_choke_inductance), offsetof(rw_tank_in, secondary_inductance), offsetof(rw_tank_in, secondary_mutual),
	    offsetof(rw_tank_in, secondary_capacitance)};
	const rw_tank_in chosen = b->in;
	rw_tank_want want = want_of(b);
	rw_error err;
	for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
		double value, kept;
		memcpy(&value, (const char *)&chosen + parts[i], sizeof value);
		if (isnan(value))
			continue;
		value *= 1.02;
		b->in = *open;
		memcpy((char *)&b->in + parts[i], &value, sizeof value);
		rw_tank_tuning tuning;
		rw_status status = rw_tank_choose(&b->in, &b->valve, &want, b->at.va, b->at.vg, &b->work, &err);
		if (status == RW_OK)
			status = rw_tank_tune(&b->in, &b->valve, load_at, &b->load, 0.71 * b->frequency, 1.37 * b->frequency, &b->work, &tuning, &err);
		if (status != RW_OK)
			print_error("%s, part %zu given: %s\n", b->name, i, err.what);
		assert_int_equal(status, RW_OK);
		memcpy(&kept, (const char *)&b->in + parts[i], sizeof kept);
		rw_check_near(kept, value, 0.0, 1.0, "a part given stays", b->name, __FILE__, __LINE__);
		rw_check_near(tuning.frequency, b->frequency, 0.03, b->frequency, "and the frequency is near", b->name, __FILE__, __LINE__);
		b->given++;
	}
}

static void try_all_loads(bench *b, int feedback, int coupling, int feed, int arrangement)
{
	static const char *const names[3][3] = {{"winding", "capacitive", "inductive"}, {"in the branch", "secondary"}, {"shunt", "series-fed"}};
	rw_error err;
	for (int l = 0; l < N_LOADS; l++)
		for (int own = 0; own < 2; own++) {
			blank(&b->in);
			b->in.feedback = feedback;
			b->in.coupling = coupling;
			b->in.feed = feed;
			b->in.arrangement = arrangement;
			b->in.capacitance_step = 7.3e-12;   /* steps of 100 pF are coarse for what tunes at megahertz */
			b->load = loads[l];
			b->valve = own ? strays : no_strays;
			b->frequency = loads[l].capacitance > 0.0 ? 3.917e6 : 403.7e3;
			double side = arrangement == RW_PUSH_PULL ? 1.3 : 1.0;
			b->at = (point){7.31e3, 1.173e3, side * (loads[l].capacitance > 0.0 ? 71.3 : 93.7)};
			snprintf(b->name, sizeof b->name, "%s, %s, %s, %s, %s%s", names[0][feedback], names[1][coupling], names[2][feed],
			    arrangement == RW_PUSH_PULL ? "two valves" : "one", loads[l].name, own ? ", strays" : "");
			rw_tank_choose_constants(&b->in);
			if (rw_tank_check(&b->in, &err) != RW_OK) {
				assert_true(feedback == RW_FEEDBACK_CAPACITIVE && err.what[0] && err.expected[0] && err.hint[0]);
				assert_true(feed == RW_FEED_SERIES || (arrangement == RW_PUSH_PULL && coupling == RW_COUPLING_SERIES));
				b->refused++;
				continue;
			}
			const rw_tank_in open = b->in;
			check_chosen(b);
			check_given(b, &open);
		}
}

static void every_combination(void **state)
{
	(void)state;
	static bench b;
	rw_work_init(&b.work);
	for (int feedback = 0; feedback < 3; feedback++)
		for (int coupling = 0; coupling < 2; coupling++)
			for (int feed = 0; feed < 2; feed++)
				for (int arrangement = 0; arrangement < 2; arrangement++)
					try_all_loads(&b, feedback, coupling, feed, arrangement);
	printf("%d tanks chosen, %d refused; worst: frequency %.2g, ratio %.2g, anode load %.2g, output current %.2g, closure %.2g, by hand %.2g\n", b.tried,
	       b.refused, b.worst_frequency, b.worst_ratio, b.worst_load, b.worst_current, b.worst_closure, b.worst_hand);
	printf("%d parts given alone\n", b.given);
	assert_int_equal(b.tried, 19 * 6);
	assert_true(b.given > 700);
	assert_int_equal(b.refused, 5 * 6);
	rw_work_release(&b.work);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(every_combination)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
