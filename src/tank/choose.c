/* The tank chosen: rules R4 to R7 and R14, for one valve's swings (docs/decisions/0012). */
#include <math.h>
#include <stdio.h>

#include "base/numeric.h"
#include "tank/tank_internal.h"

static const double two_pi = 6.283185307179586476925287;
static const double complex j = (double complex)I;
static const double secondary_coupling = 0.3;   /* R14, memory: of the secondary with an inductive load */
static const double blocking_share = 0.02, choke_times = 10.0;   /* R6, of the anode load resistance */
static const double bypass_share = 0.005;      /* R14, memory: what stands on it comes into the grid's volts of a tapped inductor */
static const double grid_choke_times = 30.0;   /* R14, memory: of what it lies across */

static double or_rule(double given, double rule) { return isnan(given) ? rule : given; }

/* One valve's half of the job: what its tank is to do. */
typedef struct plan {
	const rw_tank_want *want;
	double n, w, va, vg, ratio;    /* valves, rad/s, V, V, 1 */
	double branch;                 /* V pk across the tank capacitor: anode to cathode, or anode to grid */
	double resistance, reactance;  /* ohm: of the load, as the half sees it */
	double strays;                 /* F: the valve's capacitances as one across the tank capacitor, of the same energy */
} plan;

static plan plan_of(const rw_tank_in *in, const rw_tank_want *want, double va, double vg)
{
	double n = rw_tank_sides(in);
	return (plan){want, n, two_pi * want->frequency, va, vg, vg / va, in->feedback == RW_FEEDBACK_WINDING ? va : va + vg,
	    want->load.resistance / n, want->load.reactance / n, 0.0};
}

static double or_none(double capacitance) { return or_rule(capacitance, 0.0); }

static void add_strays(plan *p, const rw_tank_valve *valve)
{
	if (valve)
		p->strays = (or_none(valve->anode_grid) * pow(p->va + p->vg, 2.0) + or_none(valve->anode_cathode) * p->va * p->va +
		             or_none(valve->grid_cathode) * p->vg * p->vg) / (p->branch * p->branch);
}

/* The tank capacitor for so much across half the circuit: what the valve does not bring, of the whole, up to the step. */
static double capacitor_for(const plan *p, const rw_tank_in *tank, double wanted)
{
	double left = (wanted - p->strays) / p->n;
	return left > 0.0 ? rw_ceil_to(left, tank->capacitance_step) : tank->capacitance_step;
}

static double across(const plan *p, double capacitance) { return p->n * capacitance + p->strays; }

static rw_status too_much_reactance(double has, double needed, rw_error *err)
{
	bool plates = has < 0.0;
	(void)RW_RAISE(err, RW_E_NOSOLVE, "work.loads", "the %s more reactance than this anode can drive: %.4g ohm with %s leads, %.4g ohm wanted",
	    plates ? "plates have" : "coil has", fabs(has), plates ? "their" : "its", needed);
	rw_error_expected(err, "a %s and leads of less reactance at the wanted frequency", plates ? "pair of plates" : "coil");
	rw_error_hint(err, plates ? "larger plates, more anode volts, or 'coupling: secondary'" : "fewer turns, or an output transformer");
	return RW_E_NOSOLVE;
}

static rw_status no_resonance(double most, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_NOSOLVE, "tank.capacitance", "the tank does not resonate with so much capacitance: its loaded Q is under 2");
	rw_error_expected(err, "at most %.3g nF, mostly a tenth of it", most * 1e9);
	rw_error_hint(err, "less capacitance, or leave it out and a rule chooses it");
	return RW_E_NOSOLVE;
}

/* The root over 0 of s^2 + b s = c. */
static double positive_root(double b, double c) { return 0.5 * (sqrt(b * b + 4.0 * c) - b); }

/* The tapped inductor of half the circuit: reactances of its parts for what stands across anode part and grid part at one current,
 * load left out. s: root of grid part over anode part. */
typedef struct tapped { double anode, grid, s; } tapped;

static tapped tap(const rw_tank_in *in, const plan *p, double across_anode, double across_grid)
{
	double k = in->grid_coupling, ratio = across_grid / across_anode, given = p->w * in->inductance / p->n;
	double s = isnan(given) ? positive_root(k * (1.0 - ratio), ratio) : positive_root(k, across_grid / given);
	double anode = or_rule(given, across_anode / (1.0 + k * s));
	return (tapped){anode, s * s * anode, s};
}

/* ---- load in the tank's branch ---- */

static double series_reactance(const plan *p) { return p->branch / (sqrt(2.0) * p->want->output_current_rms); }

/* What is left of the branch for the inductor, from anode to tap or to the end. */
static rw_status room_for_inductor(const rw_tank_in *in, const plan *p, double x, double *reactance, rw_error *err)
{
	double part = in->feedback == RW_FEEDBACK_INDUCTIVE ? x * p->va / p->branch : x;
	*reactance = part - p->reactance;
	return *reactance > 0.0 ? RW_OK : too_much_reactance(p->n * p->reactance, p->n * part, err);
}

static rw_status series_power(const rw_tank_in *in, const plan *p, double *power, rw_error *err)
{
	double x = series_reactance(p), inductance = in->inductance / p->n, left, i = p->want->output_current_rms;
	if (in->feedback == RW_FEEDBACK_INDUCTIVE) {
		RW_TRY(room_for_inductor(in, p, x, &left, err));
		tapped t = tap(in, p, left, x * p->vg / p->branch);
		inductance = (t.anode + t.grid) / p->w;
	} else if (isnan(in->inductance)) {
		inductance = (x - p->reactance) / p->w;
		if (inductance <= 0.0)
			return too_much_reactance(p->n * p->reactance, p->n * x, err);
	}
	double resistance = p->resistance + p->w * inductance / in->inductor_q;
	*power = i * i * resistance + 0.5 * p->branch * p->branch / x * in->loss_tangent;
	return RW_OK;
}

/* ---- load behind a secondary ---- */

/* The mesh of half the circuit at the wanted frequency. */
typedef struct mesh { double inductance, capacitance, resistance, reactance; } mesh;

static mesh mesh_of(const rw_tank_in *in, const plan *p)
{
	double w = p->w, d = in->loss_tangent;
	double k2 = secondary_coupling * secondary_coupling * in->q_wanted;
	mesh m = {in->secondary_inductance / p->n, p->n * in->secondary_capacitance, 0.0, 0.0};
	if (isnan(m.inductance)) {
		double tuned = isnan(m.capacitance) ? -p->reactance : 1.0 / (w * m.capacitance) - p->reactance;
		/* with an inductive load the capacitor tunes, and the coil only couples: k^2 Q_L Q_mesh = 1 */
		double couples = p->resistance / (k2 - 1.0 / in->secondary_q);
		m.inductance = rw_round_digits((tuned > 0.0 ? tuned : couples) / w * p->n, 4) / p->n;
	}
	double inductive = p->reactance + w * m.inductance;
	if (isnan(m.capacitance) && p->reactance >= 0.0)
		m.capacitance = rw_round_digits(1.0 / (w * inductive) / p->n, 4) * p->n;
	m.resistance = p->resistance + w * m.inductance / in->secondary_q;
	m.reactance = inductive;
	if (!isnan(m.capacitance)) {
		m.resistance += d / (w * m.capacitance * (1.0 + d * d));
		m.reactance -= 1.0 / (w * m.capacitance * (1.0 + d * d));
	}
	return m;
}

/* Reactance of the tank at the wanted frequency by what is given of it; NAN: nothing is. */
static double given_reactance(const rw_tank_in *in, const plan *p)
{
	if (!isnan(in->capacitance))
		return 1.0 / (p->w * across(p, in->capacitance));
	double x = p->w * in->inductance / p->n;
	if (in->feedback != RW_FEEDBACK_INDUCTIVE || isnan(x))
		return x;
	double s = positive_root(in->grid_coupling * (1.0 - p->ratio), p->ratio);
	return x * (1.0 + s * s + 2.0 * in->grid_coupling * s);
}

/* Loss of the inductor over that of one coil of the same reactance. */
static double inductor_share(const rw_tank_in *in, const plan *p)
{
	if (in->feedback != RW_FEEDBACK_INDUCTIVE)
		return 1.0;
	double s = positive_root(in->grid_coupling * (1.0 - p->ratio), p->ratio);
	return (1.0 + s * s) / (1.0 + s * s + 2.0 * in->grid_coupling * s);
}

static rw_status secondary_power(const rw_tank_in *in, const plan *p, double *power, rw_error *err)
{
	double i = p->want->output_current_rms, to_mesh = i * i * mesh_of(in, p).resistance, x = given_reactance(in, p);
	double per_reactive = inductor_share(in, p) / in->inductor_q + in->loss_tangent, left = 1.0 - in->q_wanted * per_reactive;
	if (!isnan(x)) {
		*power = to_mesh + 0.5 * p->branch * p->branch / x * per_reactive;
		return RW_OK;
	}
	if (left > 0.0) {
		*power = to_mesh / left;
		return RW_OK;
	}
	(void)RW_RAISE(err, RW_E_NOSOLVE, "tank.q_wanted", "a tank of this unloaded Q has no loaded Q of %.3g", in->q_wanted);
	rw_error_expected(err, "less than %.3g", 1.0 / per_reactive);
	rw_error_hint(err, "leave it out for 15, or give better parts");
	return RW_E_NOSOLVE;
}

rw_status rw_tank_power_for(const rw_tank_in *in, const rw_tank_want *want, double anode_swing_pk, double grid_swing_pk, double *power,
                            rw_error *err)
{
	plan p = plan_of(in, want, anode_swing_pk, grid_swing_pk);
	return in->coupling == RW_COUPLING_SECONDARY ? secondary_power(in, &p, power, err) : series_power(in, &p, power, err);
}

/* ---- parts ---- */

/* Capacitor up to its step, inductor for the wanted frequency (rules R4, R5): exact with a winding and the load in the branch, a
 * first guess with a divider. */
static rw_status choose_series(const plan *p, rw_tank_in *tank, rw_error *err)
{
	double outside = p->reactance / p->w, w = p->w, fixed = p->resistance;
	bool given = !isnan(tank->capacitance);
	if (!given) {
		double x = series_reactance(p), wanted = 1.0 / (w * x);
		if (!isnan(tank->inductance)) {
			double r = fixed + w * tank->inductance / p->n / tank->inductor_q;
			x = w * (tank->inductance / p->n + outside);
			wanted = x / (w * (r * r + x * x));
		}
		tank->capacitance = capacitor_for(p, tank, wanted);
	}
	if (!isnan(tank->inductance))
		return RW_OK;
	double inductance = 0.0, x = 0.0, capacitance = across(p, tank->capacitance);
	for (int turn = 0; turn < 60; turn++) {
		double r = fixed + w * inductance / tank->inductor_q, under = 1.0 - pow(2.0 * r * w * capacitance, 2.0);
		if (under < 0.0)
			return no_resonance(1.0 / (2.0 * r * w) / p->n, err);
		x = (1.0 + sqrt(under)) / (2.0 * w * capacitance);
		inductance = x / w - outside;
	}
	if (inductance <= 0.0 && given) {
		(void)RW_RAISE(err, RW_E_NOSOLVE, "tank.capacitance", "'capacitance' leaves no room for a tank inductor at the frequency wanted");
		rw_error_expected(err, "less than %.4g nF, with which coil and leads alone resonate", 1e9 / (w * w * outside) / p->n);
		rw_error_hint(err, "leave it open, or give less");
		return RW_E_NOSOLVE;
	}
	if (inductance <= 0.0)
		return too_much_reactance(p->n * p->reactance, p->n * x, err);
	tank->inductance = rw_round_digits(inductance * p->n, 3);
	return RW_OK;
}

/* Tapped inductor, the load between tap and anode part. */
static rw_status choose_series_tapped(const plan *p, rw_tank_in *tank, rw_error *err)
{
	double x = series_reactance(p), left;
	if (isnan(tank->capacitance)) {
		if (!isnan(tank->inductance)) {
			RW_TRY(room_for_inductor(tank, p, x, &left, err));
			tapped t = tap(tank, p, left, x * p->vg / p->branch);
			x = p->reactance + t.anode + t.grid + 2.0 * tank->grid_coupling * t.s * t.anode;
		}
		tank->capacitance = capacitor_for(p, tank, 1.0 / (p->w * x));
	}
	x = 1.0 / (p->w * across(p, tank->capacitance));
	RW_TRY(room_for_inductor(tank, p, x, &left, err));
	tapped t = tap(tank, p, left, x * p->vg / p->branch);
	tank->grid_inductance = or_rule(tank->grid_inductance, rw_round_digits(t.grid / p->w * p->n, 3));
	tank->inductance = or_rule(tank->inductance, t.anode / p->w * p->n);
	return RW_OK;
}

static rw_status choose_secondary(const plan *p, double power, rw_tank_in *tank, rw_error *err)
{
	mesh m = mesh_of(tank, p);
	bool mutual_given = !isnan(tank->secondary_mutual);
	double x = or_rule(given_reactance(tank, p), 0.5 * p->branch * p->branch / (power * tank->q_wanted));
	tank->capacitance = or_rule(tank->capacitance, capacitor_for(p, tank, 1.0 / (p->w * x)));
	x = 1.0 / (p->w * across(p, tank->capacitance));
	tank->secondary_inductance = or_rule(tank->secondary_inductance, m.inductance * p->n);
	if (isnan(tank->secondary_capacitance))
		tank->secondary_capacitance = m.capacitance / p->n;
	double inductor_current = p->branch / (sqrt(2.0) * x);
	tank->secondary_mutual = or_rule(tank->secondary_mutual,
	    rw_round_digits(p->want->output_current_rms * hypot(m.resistance, m.reactance) / inductor_current / p->w * p->n, 3));
	if (tank->feedback == RW_FEEDBACK_INDUCTIVE) {
		tapped t = tap(tank, p, x * p->va / p->branch, x * p->vg / p->branch);
		tank->grid_inductance = or_rule(tank->grid_inductance, rw_round_digits(t.grid / p->w * p->n, 3));
		tank->inductance = or_rule(tank->inductance, t.anode / p->w * p->n);
	} else {
		tank->inductance = or_rule(tank->inductance, x / p->w * p->n);
	}
	double most = 0.9 * sqrt(tank->inductance * tank->secondary_inductance);
	if (mutual_given || tank->secondary_mutual <= most)
		return RW_OK;   /* a given one is judged with the network */
	(void)RW_RAISE(err, RW_E_NOSOLVE, "tank.secondary_mutual", 
	    "the secondary would have to be coupled more closely than coils can be: %.3g uH",
	    tank->secondary_mutual * 1e6);
	rw_error_expected(err, "at most %.3g uH, a coupling factor of 0.9", most * 1e6);
	rw_error_hint(err, "more 'secondary_inductance', or a greater loaded Q");
	return RW_E_NOSOLVE;
}

/* The wanted divider in series: by what is given of it, else what the resonator is chosen with. */
static void total_of_divider(const plan *p, rw_tank_in *tank)
{
	double c1 = tank->divider_anode_capacitance, c2 = tank->divider_grid_capacitance;
	if (!isnan(tank->capacitance) || (isnan(c1) && isnan(c2)))
		return;
	tank->capacitance = isnan(c2) ? c1 / (1.0 + p->ratio) : isnan(c1) ? c2 * p->ratio / (1.0 + p->ratio) : c1 * c2 / (c1 + c2);
}

static void choose_divider(const plan *p, rw_tank_in *tank)
{
	double c2 = tank->divider_grid_capacitance;
	tank->divider_anode_capacitance = or_rule(tank->divider_anode_capacitance,
	    rw_round_digits(isnan(c2) ? tank->capacitance * (1.0 + p->ratio) : c2 * p->ratio, 3));
	tank->divider_grid_capacitance = or_rule(c2, rw_round_digits(tank->divider_anode_capacitance / p->ratio, 3));
}

/* Impedance of the inductor's branch, half the circuit, with what the secondary reflects. */
static double complex branch_impedance(const plan *p, const rw_tank_in *tank)
{
	double w = p->w;
	double complex z = w * tank->inductance / p->n * (1.0 / tank->inductor_q + j);
	if (tank->coupling == RW_COUPLING_SERIES)
		return z + p->resistance + j * p->reactance;
	mesh m = mesh_of(tank, p);
	return z + pow(w * tank->secondary_mutual / p->n, 2.0) / (m.resistance + j * m.reactance);
}

/* What stands around the resonator: feed parts by the anode load resistance (R6, R14), grid winding by the drive (R7). */
static void choose_feed(const plan *p, double anode_load, rw_tank_in *tank)
{
	if (tank->feed == RW_FEED_SHUNT) {
		tank->blocking_capacitance = or_rule(tank->blocking_capacitance,
		    rw_round_digits(1.0 / (p->w * blocking_share * anode_load), 2));
		tank->choke_inductance = or_rule(tank->choke_inductance, rw_round_digits(choke_times * anode_load / p->w, 2));
	} else {
		tank->bypass_capacitance = or_rule(tank->bypass_capacitance, rw_round_digits(1.0 / (p->w * bypass_share * anode_load), 2));
	}
	if (rw_tank_has_grid_choke(tank)) {
		bool divider = tank->feedback == RW_FEEDBACK_CAPACITIVE;
		double reactance = divider ? 1.0 / (p->w * p->n * tank->divider_grid_capacitance)
		                           : p->w * (tank->grid_inductance + rw_tank_tap_mutual(tank)) / p->n;
		tank->grid_choke_inductance = or_rule(tank->grid_choke_inductance, rw_round_digits(grid_choke_times * reactance / p->w, 2));
	}
}

static void choose_winding(const plan *p, double branch, rw_tank_in *tank)
{
	tank->grid_mutual = or_rule(tank->grid_mutual, rw_round_digits(p->vg / p->va * branch / p->w * p->n, 3));
	tank->grid_inductance = or_rule(tank->grid_inductance,
	    rw_round_digits(pow(tank->grid_mutual / tank->grid_coupling, 2.0) / tank->inductance, 3));
}

/* Winding, load in the branch, no strays: the closed forms are the network's but for blocking capacitor and choke. */
static bool closed_form_is_exact(const rw_tank_in *tank, const rw_tank_valve *valve)
{
	rw_tank_set set;
	rw_tank_set_solve(tank, valve, &set);
	return tank->feedback == RW_FEEDBACK_WINDING && tank->coupling == RW_COUPLING_SERIES && set.valve_capacitances == 0.0;
}

static rw_status choose_resonator(const plan *p, double power, rw_tank_in *tank, rw_error *err)
{
	bool divider = tank->feedback == RW_FEEDBACK_CAPACITIVE;
	if (divider)
		total_of_divider(p, tank);
	if (tank->coupling == RW_COUPLING_SECONDARY)
		RW_TRY(choose_secondary(p, power, tank, err));
	else if (tank->feedback == RW_FEEDBACK_INDUCTIVE)
		RW_TRY(choose_series_tapped(p, tank, err));
	else
		RW_TRY(choose_series(p, tank, err));
	if (divider)
		choose_divider(p, tank);
	return RW_OK;
}

rw_status rw_tank_choose(rw_tank_in *in, const rw_tank_valve *valve, const rw_tank_want *want, double anode_swing_pk, double grid_swing_pk,
                         rw_work *work, rw_error *err)
{
	rw_tank_in tank = *in;
	plan p = plan_of(&tank, want, anode_swing_pk, grid_swing_pk);
	double power;
	add_strays(&p, valve);
	RW_TRY(rw_tank_power_for(&tank, want, anode_swing_pk, grid_swing_pk, &power, err));
	RW_TRY(choose_resonator(&p, power, &tank, err));
	double complex z = branch_impedance(&p, &tank);
	double z2 = creal(z) * creal(z) + cimag(z) * cimag(z);
	bool exact = closed_form_is_exact(&tank, valve);
	choose_feed(&p, exact ? z2 / creal(z) : 0.5 * p.va * p.va / power, &tank);
	if (tank.feedback == RW_FEEDBACK_WINDING)
		choose_winding(&p, sqrt(z2), &tank);
	if (!exact)
		RW_TRY(rw__tank_fit(in, &tank, valve, want, p.ratio, work, err));
	*in = tank;
	return RW_OK;
}
