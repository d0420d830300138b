/* The rectified waveform with a phase missing, and what it leaves of mean, ripple and line current. */
#include "fault/phase.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "base/numeric.h"

enum { PHASES = 3, PIECES = 24, NODES = 8 };

static const double pi = 3.141592653589793238462643;
static const double tied = 1e-9;   /* of the peak: two lines at one potential share the current */

/* What goes round: delta windings lie between lines k and k + 1. */
static int after(int k) { return (k + 1) % PHASES; }
static int before(int k) { return (k + PHASES - 1) % PHASES; }

/* Volts of the primary windings; line 0 is the one that goes missing. */
static void primary_volts(int connection, bool lost, double angle, double e[PHASES])
{
	double line[PHASES];
	for (int k = 0; k < PHASES; k++)
		line[k] = cos(angle - 2.0 * pi * k / PHASES);
	double left = line[1];   /* between the two lines that remain */
	for (int k = 0; k < PHASES; k++)
		e[k] = connection == RW_WINDING_DELTA ? line[k] : (line[k] - line[before(k)]) / 3.0;
	if (lost && connection == RW_WINDING_DELTA)
		e[0] = e[2] = -0.5 * left, e[1] = left;
	else if (lost)
		e[0] = 0.0, e[1] = 0.5 * left, e[2] = -0.5 * left;
}

/* Turns that give both secondaries the same line volts. */
static double turns(int connection) { return connection == RW_WINDING_STAR ? 1.0 / sqrt(3.0) : 1.0; }

static void secondary_potentials(int connection, const double e[PHASES], double v[PHASES])
{
	for (int k = 0; k < PHASES; k++)
		v[k] = turns(connection) * (connection == RW_WINDING_STAR ? e[k] : (e[k] - e[before(k)]) / 3.0);
}

/* Greatest and least potential of the live lines, and the current of each line for 1 A of load. */
static double bridge(const double v[PHASES], bool lost, double line[PHASES])
{
	int first = lost ? 1 : 0, n_high = 0, n_low = 0;
	double high = v[first], low = v[first];
	for (int k = first; k < PHASES; k++) {
		high = fmax(high, v[k]);
		low = fmin(low, v[k]);
	}
	for (int k = first; k < PHASES; k++) {
		n_high += v[k] > high - tied;
		n_low += v[k] < low + tied;
	}
	for (int k = 0; k < PHASES; k++) {
		bool live = k >= first;
		line[k] = (live && v[k] > high - tied ? 1.0 / n_high : 0.0) - (live && v[k] < low + tied ? 1.0 / n_low : 0.0);
	}
	return high - low;
}

/* Ampere-turns of the secondary's windings. */
static void add_windings(int connection, const double line[PHASES], double current, double w[PHASES])
{
	for (int k = 0; k < PHASES; k++)
		w[k] += turns(connection) * current * (connection == RW_WINDING_STAR ? line[k] : (line[k] - line[after(k)]) / 3.0);
}

static bool in_bridges(int connection) { return connection != RW_CONNECT_HALF_WAVE; }
static int bridges_of(int connection) { return connection == RW_CONNECT_TWELVE_SERIES || connection == RW_CONNECT_TWELVE_PARALLEL ? 2 : 1; }

/* Star with its neutral as the return: the greatest potential, and the current of each line for 1 A of load. */
static double half_wave(const double v[PHASES], bool lost, double line[PHASES])
{
	double high = 0.0;
	int n = 0;
	for (int k = lost ? 1 : 0; k < PHASES; k++)
		high = fmax(high, v[k]);
	for (int k = lost ? 1 : 0; k < PHASES; k++)
		n += v[k] > high - tied;
	for (int k = 0; k < PHASES; k++)   /* below zero in all of them no diode conducts */
		line[k] = !(lost && k == 0) && v[k] > high - tied ? 1.0 / n : 0.0;
	return high;
}

/* Volts of the bridges together, and the share of the current in each. In series all; side by side halves of both, until something is lost:
 * no interphase transformer bears a difference of means, and the greater one has it all. */
static double together(int connection, int lost, const double volts[2], double share[2])
{
	bool both = bridges_of(connection) == 2, halves = connection == RW_CONNECT_TWELVE_PARALLEL;
	share[0] = halves ? 0.5 : 1.0;
	share[1] = halves ? 0.5 : both;
	double difference = volts[0] - volts[1];
	if (!halves || lost == RW_LOST_NOTHING || fabs(difference) < tied)
		return share[0] * volts[0] + share[1] * volts[1];
	share[0] = difference > 0.0;
	share[1] = difference < 0.0;
	return fmax(volts[0], volts[1]);
}

/* Lines of the primary by ampere-turns of its windings; in a star without neutral what all live windings have alike finds no way. */
static void primary_lines(int connection, bool lost, const double w[PHASES], double line[PHASES])
{
	double alike = (w[1] + w[2] + (lost ? 0.0 : w[0])) / (lost ? 2.0 : 3.0);
	for (int k = 0; k < PHASES; k++)
		line[k] = connection == RW_WINDING_DELTA ? w[k] - w[before(k)] : lost && k == 0 ? 0.0 : w[k] - alike;
}

/* Volts of the rectifier, and currents of the primary lines into a resistance of 1 ohm. */
static double instant(const rw_windings *in, int lost, double angle, double primary_line[PHASES])
{
	double e[PHASES], line[2][PHASES], w[PHASES] = {0.0}, volts[2] = {0.0}, share[2];
	int n = bridges_of(in->connection), kind[2] = {in->secondary, in->secondary == RW_WINDING_STAR ? RW_WINDING_DELTA : RW_WINDING_STAR};
	primary_volts(in->primary, lost == RW_LOST_PRIMARY_LINE, angle, e);
	for (int b = 0; b < n; b++) {
		double v[PHASES];
		bool open = lost == RW_LOST_SECONDARY_LINE && b == 0;
		secondary_potentials(kind[b], e, v);
		volts[b] = in_bridges(in->connection) ? bridge(v, open, line[b]) : half_wave(v, open, line[b]);
	}
	double all = together(in->connection, lost, volts, share);
	for (int b = 0; b < n; b++)
		add_windings(kind[b], line[b], share[b] * all, w);
	primary_lines(in->primary, lost == RW_LOST_PRIMARY_LINE, w, primary_line);
	return all;
}

double rw_phase_voltage(const rw_windings *windings, int lost, double angle)
{
	double line[PHASES];
	return instant(windings, lost, angle, line);
}

typedef struct means { double mean, square, cosine, sine, line[PHASES], line_rms[PHASES]; } means;

/* Over one cycle; kinks and steps all lie at multiples of 15 degrees. A transformer passes no direct current: lines without their means. */
static means over_cycle(const rw_windings *in, int lost)
{
	means m;
	double node[NODES], weight[NODES];
	memset(&m, 0, sizeof m);
	rw_gauss_legendre(NODES, node, weight);
	for (int piece = 0; piece < PIECES; piece++)
		for (int n = 0; n < NODES; n++) {
			double line[PHASES], share = 0.5 * weight[n] / PIECES;
			double angle = 2.0 * pi * (piece + 0.5 + 0.5 * node[n]) / PIECES, v = instant(in, lost, angle, line);
			m.mean += share * v;
			m.square += share * v * v;
			m.cosine += 2.0 * share * v * cos(2.0 * angle);
			m.sine += 2.0 * share * v * sin(2.0 * angle);
			for (int k = 0; k < PHASES; k++) {
				m.line[k] += share * line[k];
				m.line_rms[k] += share * line[k] * line[k];
			}
		}
	for (int k = 0; k < PHASES; k++)
		m.line_rms[k] = sqrt(fmax(m.line_rms[k] - m.line[k] * m.line[k], 0.0));
	return m;
}

static bool sound(const rw_windings *in, int lost)
{
	bool windings = (in->primary == RW_WINDING_STAR || in->primary == RW_WINDING_DELTA) && (in->secondary == RW_WINDING_STAR || in->secondary == RW_WINDING_DELTA);
	bool connected = in->connection >= 0 && in->connection < RW_CONNECTIONS && (in->connection != RW_CONNECT_HALF_WAVE || in->secondary == RW_WINDING_STAR);
	return windings && connected && lost >= RW_LOST_NOTHING && lost <= RW_LOST_SECONDARY_LINE;
}

rw_status rw_phase_missing(const rw_windings *windings, int lost, rw_phase *out, rw_error *err)
{
	if (windings->connection == RW_CONNECT_SINGLE_PHASE) {   /* it hangs on two lines: without one of them there is no HT */
		*out = (rw_phase){.mean_share = lost == RW_LOST_NOTHING, .line_share = lost == RW_LOST_NOTHING};
		return RW_OK;
	}
	if (!sound(windings, lost)) {
		(void)RW_RAISE(err, RW_E_RANGE, "supply.primary_winding", "no waveform for connection %d, windings %d and %d", windings->connection,
		    windings->primary, windings->secondary);
		rw_error_expected(err, "a connection of the supply, star or delta; half-wave on a star");
		rw_error_hint(err, "check the connection of the rectifier and its windings");
		return RW_E_RANGE;
	}
	means all = over_cycle(windings, RW_LOST_NOTHING), left = over_cycle(windings, lost);
	double most = 0.0, least = INFINITY;
	for (int k = 0; k < PHASES; k++) {
		most = fmax(most, left.line_rms[k] / all.line_rms[k]);
		least = fmin(least, left.line_rms[k] / all.line_rms[k]);
	}
	*out = (rw_phase){
	    .mean_share = left.mean / all.mean,
	    .ripple = hypot(left.cosine, left.sine) / sqrt(2.0) / left.mean,
	    .ripple_all = sqrt(fmax(left.square - left.mean * left.mean, 0.0)) / left.mean,
	    .line_share = most,
	    .line_least_share = least,
	};
	return RW_OK;
}
