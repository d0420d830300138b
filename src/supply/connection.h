/* Connections of the rectifier: what each makes of the secondary's volts, and how it commutates behind a reactance in each phase.
 * V_2: line volts of a secondary (of each, when there are two); of single phase the winding's. I: direct current of one bridge, all of I_d
 * but in twelve_parallel, where an interphase transformer shares it in halves. x = sqrt2 X I/V_2, in all of them.
 *   bridge, twelve_series, twelve_parallel   bridge.h; the two bridges 30 degrees apart commutate each behind its own reactance
 *   half_wave      x <= 1: cos u = 1 - x, one commutation at a time. Beyond, the next phase comes in while two still conduct: to
 *                  x = 3 - sqrt 3 it goes out again, the volts stay V_d0 (1 - x/2); then three conduct part of the time, V_d0 (1/sqrt 3 - x/6);
 *                  a dead short at x = 2 sqrt 3
 *   single_phase   x <= 2: cos u = 1 - x, all four diodes conduct meanwhile; V_d0 (1 - x/2); a dead short at x = 2
 * src  supply-and-protection references, section 1 (factors); the overlap of half-wave and single phase is derived in
 *      docs/theory/supply.md and held by a projection of the currents in a test */
#ifndef RW_SUPPLY_CONNECTION_H
#define RW_SUPPLY_CONNECTION_H

#include "supply/bridge.h"
#include "supply/wave.h"

enum { RW_CONNECT_BRIDGE, RW_CONNECT_TWELVE_SERIES, RW_CONNECT_TWELVE_PARALLEL, RW_CONNECT_HALF_WAVE, RW_CONNECT_SINGLE_PHASE, RW_CONNECTIONS };

typedef struct rw_connection {
	double voltage_factor;       /* V_d0 / V_2 */
	double peak_factor;          /* greatest direct volts at no load / V_2 */
	double rating_factor;        /* VA of all secondaries / (V_2 I_d), no overlap */
	double primary_factor;       /* VA of the primary / VA of the secondaries, no overlap */
	double bridge_share;         /* I / I_d */
	double fundamental_factor;   /* rms of the secondary line current's fundamental / I, no overlap */
	double phase_factor;         /* VA of a secondary / (V_2 x line current): sqrt 3, or 1 */
	double resistance_factor;    /* resistive drop / (R I_d), R of one phase */
	double overlap_end;          /* x at which the first mode ends */
	double short_circuit;        /* x of a dead short */
	double diode_mean, diode_rms;   /* of one arm / I_d, no overlap */
	int    pulses, secondaries, arms_in_series, arms;
} rw_connection;

const rw_connection *rw_connection_of(int kind);   /* an open one: bridge */

/* Mean volts over those of no load.   errs RW_E_RANGE: x negative, not finite or beyond the dead short */
RW_MUST_USE rw_status rw_connection_voltage_ratio(int kind, double x, double *ratio, rw_error *err);
/* Overlap and secondary line current, as rw_bridge_at; half_wave: mode 1 (x <= 1), 2, 3; delay under zero in mode 3: commutation sets in
 * before the volts cross. errs as above */
RW_MUST_USE rw_status rw_connection_at(int kind, double x, rw_bridge *out, rw_error *err);

/* The straight line to the dead short that the characteristic never passes: its volts at no current over V_d0. A bridge's last mode is that
 * line, and the whole lies under it; half wave hangs under its chord, single phase is straight. */
double rw_connection_source(int kind);

/* Waves at an overlap of rw_connection_at; t is measured from the crest of the source's phase volts.
 * line: secondary line current over I; mains: transformer's line current on the mains side over I, referred to a secondary (half_wave:
 * to its phase; 12-pulse: sum of the star and the delta secondary's), no magnetising current; volts: direct volts over those of no load */
void rw_connection_line(int kind, double x, const rw_bridge *b, rw_wave *out);
void rw_connection_mains(int kind, double x, const rw_bridge *b, rw_wave *out);
void rw_connection_volts(int kind, double x, const rw_bridge *b, rw_wave *out);

#endif
