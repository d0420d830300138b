/* Leads between generator and work coil: two parallel round tubes, go and return.
 * Model: thin skin. L' = (mu0/pi) acosh(s/d) (external, currents on the proximity-shifted surface); R = 2 rho l / (pi d delta) / sqrt(1 - (d/s)^2);
 * resistivity of copper at the assumed temperature. An estimate: clamps, bends and the coil's own feet are not in it (+-50 %).
 * src  classical two-wire line at high frequency (any text on transmission lines); skin depth delta = sqrt(rho/(pi f mu0)) */
#ifndef RW_COIL_LEADS_H
#define RW_COIL_LEADS_H

#include "item/item.h"

typedef struct rw_leads_in {
	double inductance;      /* H, go and return; from the tubes when open */
	double resistance;      /* ohm, go and return, at the wanted frequency; from the tubes when open */
	double length;          /* m, one way; optional */
	double diameter;        /* m, of each tube; optional */
	double spacing;         /* m, between centres; optional */
	double temperature;     /* K, assumed; R6: 60 degC */
	double voltage_share_max;/* 1; R16 */
} rw_leads_in;

extern const rw_room rw_leads_room;     /* its case figures: rw_leads_case */

typedef struct rw_leads_case {
	double effective_resistance;   /* ohm at the case's frequency: as the square root of frequency from the wanted one */
	double voltage_rms;     /* V along the leads */
	double loss;            /* W */
	double voltage_share;   /* 1: of the volts of leads and coil together */
} rw_leads_case;

/* errs RW_E_MISSING (neither inductance nor tubes given), RW_E_RANGE (spacing not over the diameter; skin depth not under a fifth of the diameter) */
RW_MUST_USE rw_status rw_leads_choose(rw_leads_in *in, double frequency, rw_error *err);
double rw_skin_depth(double resistivity, double frequency);
double rw_copper_resistivity(double temperature);   /* ohm m: 1.7241e-8 (1 + 0.00393 (T - 293.15)), IACS copper (IEC 60028) */
RW_MUST_USE rw_status rw_leads_solve(const rw_leads_in *in, double design_frequency, double frequency, double current_rms,
    rw_leads_case *out, rw_error *err);

#endif
