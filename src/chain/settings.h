/* Settings of a job: what is turned on the set for it, within the span and steps the set has. The HT ratio (tap, variac, star/delta) and the
 * firing angle are the operator's; grid and output coupling are the setter's. Rule R23 leaves each at the set's own part; retuning moves
 * them. Reading order: rw_settings_in, rw_settings_choose, rw_settings_retune. */
#ifndef RW_CHAIN_SETTINGS_H
#define RW_CHAIN_SETTINGS_H

#include "chain/chain.h"

typedef struct rw_settings_in {
	double ht_ratio;                      /* 1: of the full no-load volts; R23: 1 */
	double firing_angle;                  /* rad, from natural commutation; R23: the least */
	double grid_mutual;                   /* H: in this job; R23: the tank's */
	double secondary_mutual;              /* H: in this job; R23: the tank's */
} rw_settings_in;

extern const rw_room rw_settings_room;

/* Open settings by the rule; those given must lie in their span and on a step.
 * errs RW_E_VALUE: out of the span, or off the step (the nearest are named), or nothing there to turn it */
RW_MUST_USE rw_status rw_settings_choose(rw_chain *chain, rw_error *err);
RW_MUST_USE rw_status rw_settings_check(rw_chain *chain, rw_error *err);   /* the same of what is given, before the set is sized */

/* Moves what can be turned so that each job's judged state has its heat at nominal mains, and the grid its share of its limit (70 %, R3),
 * by bisection over the steps, each trial the rating itself; says what moved and what is missing. cost about 20 ratings of a case a job */
RW_MUST_USE rw_status rw_settings_retune(rw_chain *chain, rw_error *err);

#endif
