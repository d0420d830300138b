/* One mains phase missing: the waveform behind an ideal transformer and ideal diodes, by superposition, and its means by quadrature.
 * Model: three single-phase cores or a three-limb one, which divide alike; no leakage, no magnetising current; star without neutral; load like
 * a resistance (a valve on a grid leak draws current nearly as its volts), no filter. A bridge gives the greatest less the least of the
 * potentials of its lines, half-wave the greatest over its neutral. Bridges side by side: the greater has the current, since no interphase
 * transformer bears a difference of means; the figure is an upper limit of the volts.
 * What is lost leaves single-phase volts: a primary in star halves one line voltage over two windings and leaves the third dead; one in delta
 * keeps one winding whole and halves it over the other two. */
#ifndef RW_FAULT_PHASE_H
#define RW_FAULT_PHASE_H

#include "supply/connection.h"
#include "supply/supply.h"

enum { RW_LOST_NOTHING, RW_LOST_PRIMARY_LINE, RW_LOST_SECONDARY_LINE };

typedef struct rw_windings {
	int connection;            /* of supply/connection.h; of twelve pulses the second bridge is on the other kind of secondary */
	int primary, secondary;    /* RW_WINDING_STAR, RW_WINDING_DELTA; secondary: of the first bridge; half-wave: star; single phase: not read */
} rw_windings;

typedef struct rw_phase {
	double mean_share;         /* 1: mean over that with all phases */
	double ripple;             /* 1: rms of the component at twice the mains frequency over the mean */
	double ripple_all;         /* 1: rms of all alternating components over the mean */
	double line_share;         /* 1: rms of the most loaded primary line over that with all phases */
	double line_least_share;   /* 1: likewise of the least loaded one; 0: a dead line */
} rw_phase;

/* error control: Gauss-Legendre of 8 nodes between all kinks (every 15 degrees), good to 1e-14
 * errs RW_E_RANGE for a connection that is none. cost about 1200 sines */
RW_MUST_USE rw_status rw_phase_missing(const rw_windings *windings, int lost, rw_phase *out, rw_error *err);

/* Volts at an angle of the mains, of peak line-to-line 1 and turns 1: for tests and plots. */
double rw_phase_voltage(const rw_windings *windings, int lost, double angle);

#endif
