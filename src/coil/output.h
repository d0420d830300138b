/* What the generator's terminals see: leads, coil and work (and the output transformer, where one is fitted) as one series impedance.
 * The leads stand between the terminals (or the transformer's secondary) and the coil. */
#ifndef RW_COIL_OUTPUT_H
#define RW_COIL_OUTPUT_H

#include "item/item.h"

typedef struct rw_output_case {
	double resistance, reactance;    /* ohm at the terminals, at the case's frequency */
	double current_rms, voltage_rms; /* A, V there */
	double power;                    /* W through them */
} rw_output_case;

extern const rw_room rw_output_room;

#endif
