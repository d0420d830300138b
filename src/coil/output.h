/* What the generator's terminals see: leads, coil and work, and the output transformer where one is fitted, as one series impedance.
 * The leads stand between the terminals, or the transformer's secondary, and the coil. */
#ifndef RW_COIL_OUTPUT_H
#define RW_COIL_OUTPUT_H

#include "item/item.h"

enum { RW_OUTPUT_NONE, RW_OUTPUT_FITTED };

typedef struct rw_output_in {
	double ratio;                    /* turns, primary to secondary; R18 */
	double primary_inductance;       /* H; R18 */
	double coupling;                 /* 1; R18 */
	double primary_q, secondary_q;   /* 1, unloaded; R18 */
	int32_t transformer, unused;     /* choice: none, fitted */
} rw_output_in;

/* At the wanted frequency, with the heat wanted in the state the job is judged in: what the tank is made for. */
typedef struct rw_output_set {
	double wanted_resistance, wanted_reactance;   /* ohm at the terminals */
	double wanted_current_rms;                    /* A there */
	double coil_at_ht;           /* 1: the work coil stands at the high tension; 0: it does not */
} rw_output_set;

typedef struct rw_output_case {
	double resistance, reactance;    /* ohm at the terminals, at the case's frequency */
	double current_rms, voltage_rms; /* A, V there */
	double power;                    /* W through them */
	double current_ratio;            /* 1: coil current over terminal current */
	double loss;                     /* W in the transformer */
} rw_output_case;

extern const rw_room rw_output_room;

#endif
