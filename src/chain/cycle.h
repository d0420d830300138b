/* A case over one pulse of an unfiltered HT: the balance of the valve at each instant, quasi-static, and its means. Level M.
 * Model: source of the pulse behind resistance (supply/ripple.h); at each instant the oscillator's own balance at the HT of that instant, the
 * bleeder beside it; below the HT at which the loop gain is 1 the valve takes its static current without drive. Hysteresis of starting and
 * stopping is left out. Averages are of the powers and direct currents themselves; swings and fundamentals become rms equivalents; peaks
 * are those at the crest of the HT. Holds while grid leak, tank and HT capacitors settle far within a pulse: oscillator.settling_share. */
#ifndef RW_CHAIN_CYCLE_H
#define RW_CHAIN_CYCLE_H

#include "chain/line.h"

typedef struct rw_cycle {
	rw_supply_cycle supply;
	rw_oscillator_case crest;   /* at the crest of the HT */
	double onset;               /* V of the source at which it starts to oscillate; 0: it does all the time */
	double error;               /* 1: of the means, at the last refinement */
	int    instants;
} rw_cycle;

/* in   problem: of the case; its supply is replaced. again: *cycle holds the solution of a problem close by
 * out  *mean the figures of the case, *scan of the crest
 * errs RW_E_NOSOLVE: it does not oscillate at the crest; those of rw_ripple_mean */
RW_MUST_USE rw_status rw_cycle_solve(const rw_line *line, const rw_supply_set *set, double mains_factor, const rw_oscillator_problem *problem,
    bool again, const rw_work *work, rw_oscillator_scan *scan, rw_oscillator_case *mean, rw_cycle *cycle, rw_error *err);

/* The valve and what hangs beside it at one instant: out at source volts. Told apart for the second route of the tests. */
typedef struct rw_cycle_load {
	const rw_work *work;
	rw_oscillator_problem problem;
	rw_oscillator_scan scan;
	rw_oscillator_case crest;
	rw_ripple_source pulse;
	double source, crest_source, onset;   /* V */
	double resistance, bleeder, valves;   /* ohm, ohm, 1 */
} rw_cycle_load;
RW_MUST_USE rw_status rw_cycle_instant(rw_cycle_load *load, double source, rw_oscillator_case *out, rw_error *err);

#endif
