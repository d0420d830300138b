/* Standing faults: the stage that solves them for the frozen set, and what is done about the grid current of an empty coil. */
#ifndef RW_CHAIN_FAULTS_H
#define RW_CHAIN_FAULTS_H

#include "chain/chain.h"
#include "fault/fault.h"

/* Hooks of the registry, see rw_stage. */
rw_status rw_fault_stage_choose(rw_chain *chain, rw_error *err);
rw_status rw_fault_follow(rw_chain *chain, rw_error *err);        /* before the trips, which stand on it */
rw_status rw_load_fault_follow(rw_chain *chain, rw_error *err);   /* after them */

/* A set that does not oscillate at mains over nominal, new valves, no current limit: what rw_fault_stopped takes. */
rw_stopped_problem rw_fault_problem(const rw_chain *chain, double factor);

/* Where the grid current of an empty coil is over its limit: the least leak and the HT that would do, each with its price, rated with the
 * other parts as they are; into *out, the notes and the remedy of the check (empty_coil.c). The cases are left as they were.
 * errs those of rw_line_rate. cost a rating for each leak tried and each step of the HT */
RW_MUST_USE rw_status rw_fault_empty_coil(rw_chain *chain, rw_fault_set *out, rw_error *err);

#endif
