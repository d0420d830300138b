/* The quantities that belong to no physics room: the generator's name and wants, the site, the mains cases, and what a case is. */
#ifndef RW_CHAIN_SET_ROOMS_H
#define RW_CHAIN_SET_ROOMS_H

#include "item/item.h"

enum { RW_NEW_VALVE, RW_WORN_VALVE };          /* of a case */
enum { RW_VALVES_BOTH, RW_VALVES_NEW };
enum { RW_PLANE_ANODE, RW_PLANE_TERMINALS, RW_PLANE_COIL, RW_PLANE_WORK };

typedef struct rw_generator_in {
	double frequency;                     /* Hz wanted */
	double frequency_tolerance;           /* 1: how far the frequency may lie from the wanted one; R5: 2 % */
	double rated_output;                  /* W at the reference plane; optional */
	double band_low, band_high;           /* Hz it must stay in; R19: the ISM band of the wanted frequency, if it lies in one */
	int32_t plane, unused;                /* choice: reference plane of the rated output */
	char name[RW_TEXT_BYTES], number[RW_TEXT_BYTES], revision[RW_TEXT_BYTES];
	char design_job[RW_TEXT_BYTES], design_load[RW_TEXT_BYTES];   /* the state the set is sized on */
} rw_generator_in;

typedef struct rw_site_in {
	double mains_voltage_rms;             /* V line to line, nominal */
	double mains_frequency;               /* Hz */
	double fault_level_greatest;          /* VA at the set's terminals; R22: 1e12, stiff */
	double fault_level_least;             /* VA; optional */
	int32_t harmonic_limits, unused;      /* choice none | ieee_519; optional */
} rw_site_in;

enum { RW_HARMONICS_NONE, RW_HARMONICS_IEEE_519 };

typedef struct rw_cases_in {
	double mains_low, mains_nominal, mains_high;   /* 1, of nominal */
	int32_t valves, unused;               /* choice: cases of a worn valve beside those of a new one, or not; R20: both */
} rw_cases_in;

typedef struct rw_case_case {
	double mains_factor;                  /* 1 */
	double is_nominal, is_empty, is_design_load, is_job_load, is_worn;   /* 1 or 0 */
	double output_at_plane;               /* W: output at the reference plane */
} rw_case_case;

extern const rw_room rw_generator_room, rw_site_room, rw_cases_room, rw_case_room;

#endif
