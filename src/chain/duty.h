/* Duty of the jobs and the mains side: followers of the cases, sized on the heaviest duty; nothing of them acts back on a case. */
#ifndef RW_CHAIN_DUTY_H
#define RW_CHAIN_DUTY_H

#include "chain/chain.h"
#include "duty/duty.h"
#include "mains/mains.h"

/* Patterns of all jobs, constants of the mains side. errs those of rw_duty_choose */
RW_MUST_USE rw_status rw_duty_stage_choose(rw_chain *chain, rw_error *err);
/* Figures of duty in all solved cases, open parts of the mains side by the heaviest, notes on the keying. */
RW_MUST_USE rw_status rw_duty_follow(rw_chain *chain, rw_error *err);
/* Figures of one job again, for another pattern in its input struct; parts stay. Cost: a few microseconds. */
RW_MUST_USE rw_status rw_duty_rate(rw_chain *chain, int job, rw_error *err);
/* Time the work of a job takes, s; 0: it tells none. */
double rw_duty_work_time(const rw_chain *chain, int job);

#endif
