/* What is chosen before anything is sized, and what cannot be. */
#include <math.h>
#include <stddef.h>
#include <stdio.h>

#include "tank/tank.h"

static double or_rule(double given, double rule) { return isnan(given) ? rule : given; }

static void first_if_open(int32_t *choice)
{
	if (*choice < 0)
		*choice = 0;
}

void rw_tank_choose_constants(rw_tank_in *in)
{
	static const double ten_degrees = 0.174532925199432957692;
	first_if_open(&in->feedback);
	first_if_open(&in->coupling);
	first_if_open(&in->feed);
	first_if_open(&in->earth);
	first_if_open(&in->arrangement);
	in->capacitance_step = or_rule(in->capacitance_step, 100e-12);
	in->inductor_q = or_rule(in->inductor_q, 250.0);
	in->loss_tangent = or_rule(in->loss_tangent, 1e-3);
	in->grid_coupling = or_rule(in->grid_coupling, 0.3);
	in->q_min = or_rule(in->q_min, 8.0);
	in->q_max = or_rule(in->q_max, 40.0);
	in->phase_error_max = or_rule(in->phase_error_max, ten_degrees);
	if (in->coupling == RW_COUPLING_SECONDARY) {
		in->q_wanted = or_rule(in->q_wanted, 15.0);
		in->secondary_q = or_rule(in->secondary_q, 250.0);
	}
	for (int k = 0; k < in->n_capacitors; k++) {
		in->capacitors[k].in_parallel = or_rule(in->capacitors[k].in_parallel, 1.0);
		in->capacitors[k].in_series = or_rule(in->capacitors[k].in_series, 1.0);
	}
}

static rw_status cannot_be(const char *key, const char *what, const char *expected, const char *hint, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_VALUE, key, "%s", what);
	rw_error_expected(err, "%s", expected);
	rw_error_hint(err, "%s", hint);
	return RW_E_VALUE;
}

/* Which parts a topology has. */
typedef enum needs { OF_WINDING, OF_INDUCTOR, OF_DIVIDER, OF_SHUNT, OF_SERIES, OF_GRID_CHOKE, OF_SECONDARY } needs;

static bool has(const rw_tank_in *in, needs what)
{
	switch (what) {
	case OF_WINDING:    return in->feedback == RW_FEEDBACK_WINDING;
	case OF_INDUCTOR:   return in->feedback != RW_FEEDBACK_CAPACITIVE;
	case OF_DIVIDER:    return in->feedback == RW_FEEDBACK_CAPACITIVE;
	case OF_SHUNT:      return in->feed == RW_FEED_SHUNT;
	case OF_SERIES:     return in->feed == RW_FEED_SERIES;
	case OF_GRID_CHOKE: return rw_tank_has_grid_choke(in);
	default:            return in->coupling == RW_COUPLING_SECONDARY;
	}
}

#define PART(member, what) {#member, offsetof(rw_tank_in, member), what}

static rw_status check_parts(const rw_tank_in *in, rw_error *err)
{
	static const struct { const char *key; size_t offset; needs what; } parts[] = {
	    PART(grid_mutual, OF_WINDING), PART(grid_mutual_low, OF_WINDING), PART(grid_mutual_high, OF_WINDING), PART(grid_mutual_step, OF_WINDING),
	    PART(grid_inductance, OF_INDUCTOR), PART(divider_anode_capacitance, OF_DIVIDER),
	    PART(divider_grid_capacitance, OF_DIVIDER), PART(blocking_capacitance, OF_SHUNT), PART(choke_inductance, OF_SHUNT),
	    PART(choke_self_capacitance, OF_SHUNT), PART(bypass_capacitance, OF_SERIES), PART(grid_choke_inductance, OF_GRID_CHOKE),
	    PART(secondary_inductance, OF_SECONDARY), PART(secondary_mutual, OF_SECONDARY), PART(secondary_capacitance, OF_SECONDARY),
	    PART(secondary_q, OF_SECONDARY), PART(q_wanted, OF_SECONDARY),
	};
	static const char *const wants[] = {"feedback: winding", "feedback: winding or inductive", "feedback: capacitive", "feed: shunt",
	    "feed: series", "a grid choke: feedback: capacitive, or inductive with feed: series", "coupling: secondary"};
	for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
		const double *value = (const double *)(const void *)((const char *)in + parts[i].offset);
		if (isnan(*value) || has(in, parts[i].what))
			continue;
		char key[64];
		snprintf(key, sizeof key, "tank.%s", parts[i].key);
		(void)RW_RAISE(err, RW_E_VALUE, key, "'%s' is given, and this tank has no such part", parts[i].key);
		rw_error_expected(err, "it only with %s", wants[parts[i].what]);
		rw_error_hint(err, "take the line out, or change the choice");
		return RW_E_VALUE;
	}
	return RW_OK;
}

static bool has_place(const rw_tank_in *in, int place)
{
	switch (place) {
	case RW_OF_TANK:      return in->feedback != RW_FEEDBACK_CAPACITIVE;
	case RW_OF_BLOCKING:  return in->feed == RW_FEED_SHUNT;
	case RW_OF_BYPASS:    return in->feed == RW_FEED_SERIES;
	case RW_OF_SECONDARY: return in->coupling == RW_COUPLING_SECONDARY;
	default:              return in->feedback == RW_FEEDBACK_CAPACITIVE;
	}
}

static rw_status check_capacitor(const rw_tank_in *in, int k, rw_error *err)
{
	const rw_capacitor_in *c = &in->capacitors[k];
	char key[64];
	const char *member = "place";
	const char *what = "a tank of this kind has no capacitor in this place",
	    *expected = "tank, blocking, bypass, secondary or the parts of a divider, "
	    "as feedback, coupling and feed have them";
	const double most = 100.0;
	bool wrong = !has_place(in, c->place);
	for (int twice = 0; !wrong && twice < 2; twice++) {
		double n = twice ? c->in_series : c->in_parallel;
		if (n >= 1.0 && n <= most && n == floor(n))
			continue;
		wrong = true;
		member = twice ? "in_series" : "in_parallel";
		what = "the number of units is not whole";
		expected = "a whole number from 1 to 100";
	}
	snprintf(key, sizeof key, "tank.capacitors.%d.%s", k + 1, member);
	return wrong ? cannot_be(key, what, expected, "see 'capacitors' in the file reference", err) : RW_OK;
}

/* Each entry is rated as the whole of its place. */
static rw_status check_once(const rw_tank_in *in, int k, rw_error *err)
{
	for (int other = 0; other < k; other++)
		if (in->capacitors[other].place == in->capacitors[k].place) {
			char key[64];
			snprintf(key, sizeof key, "tank.capacitors.%d.place", k + 1);
			(void)RW_RAISE(err, RW_E_VALUE, key, "an entry before this one stands in the same place");
			rw_error_expected(err, "one entry for a place, which it fills alone");
			rw_error_hint(err, "equal units side by side are 'in_parallel', one after another 'in_series'");
			return RW_E_VALUE;
		}
	return RW_OK;
}

rw_status rw_tank_check(const rw_tank_in *in, rw_error *err)
{
	bool divider = in->feedback == RW_FEEDBACK_CAPACITIVE;
	if (divider && in->feed == RW_FEED_SERIES)
		return cannot_be("tank.feed", "a tank with a capacitive divider cannot be series-fed: its inductor has no end at rest",
		    "feed: shunt", "feed: shunt, or feedback: inductive", err);
	if (divider && in->arrangement == RW_PUSH_PULL && in->coupling == RW_COUPLING_SERIES)
		return cannot_be("tank.coupling", "two valves with capacitive dividers have two tank inductors, and one load cannot be in both",
		    "coupling: secondary", "coupling: secondary, or feedback: winding", err);
	if (!(in->q_min < in->q_max)) {
		(void)RW_RAISE(err, RW_E_VALUE, "tank.q_min", "'q_min' %.4g is not under 'q_max' %.4g", in->q_min, in->q_max);
		rw_error_expected(err, "q_min under q_max");
		rw_error_hint(err, "leave them out for 8 and 40");
		return RW_E_VALUE;
	}
	RW_TRY(check_parts(in, err));
	for (int k = 0; k < in->n_capacitors; k++) {
		RW_TRY(check_capacitor(in, k, err));
		RW_TRY(check_once(in, k, err));
	}
	return RW_OK;
}
