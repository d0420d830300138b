/* Cooling water: for each branch the flow its heat wants, the bore and length of its two hoses, outlet temperature, velocity, and the
 * current the water leaks from what stands at HT. Rules R11; friction and networks come later.
 * Model: flow = heat / (rho cp rise), properties of air-free water at the mean temperature from a table; conductivity of a hose's water at
 * its own temperature: kappa(T) = kw(T) + (kappa25 - kw(25)) (1 + 0.02 (T - 25)); two hoses, cold and hot, of equal length. */
#ifndef RW_WATER_WATER_H
#define RW_WATER_WATER_H

#include "item/item.h"

enum { RW_BRANCHES_MAX = 64 };
enum { RW_TAKES_VALVE, RW_TAKES_TANK, RW_TAKES_COIL, RW_TAKES_GIVEN };   /* whose heat a branch takes */
enum { RW_POTENTIAL_EARTH, RW_POTENTIAL_HT };

typedef struct rw_water_branch_in {
	double heat;                 /* W, takes: given only */
	double flow;                 /* m3/s; R11 */
	double bore;                 /* m, of its hoses; R11 */
	double length;               /* m, of each of its two hoses; R11 (branches at HT only) */
	int32_t takes;               /* choice valve | tank | coil | given; required */
	int32_t potential;           /* choice earth | ht; required */
} rw_water_branch_in;

typedef struct rw_water_in {
	double inlet_temperature;    /* K, hottest; required */
	double outlet_limit;         /* K; R11: 65 degC */
	double conductivity;         /* S/m at 25 degC; R11: 1 uS/cm */
	double velocity_limit;       /* m/s; R11: 2 */
	double leakage_limit;        /* A DC a hose; R11: 0.25 mA */
	double stress_limit;         /* V/m along a hose; R11: 2.5 kV/m */
	double flow_step;            /* m3/s; R11: 0.5 L/min */
	double length_step;          /* m; R11: 0.25 m */
	double filament_share;       /* 1: of filament power that reaches the anode's water; R11: 0.8 */
	int32_t n_branches, unused;
	rw_water_branch_in branches[RW_BRANCHES_MAX];
} rw_water_in;

typedef struct rw_water_branch_set {
	double heat_greatest;        /* W: of all cases */
	double voltage_greatest;     /* V DC: no-load HT, mains high, across each hose; 0 at earth */
	double flow_least;           /* m3/s: what the valves it cools want at full dissipation; 0: none is told */
} rw_water_branch_set;
typedef struct rw_water_set {
	double flow_total;           /* m3/s */
	rw_water_branch_set branches[RW_BRANCHES_MAX];
} rw_water_set;

typedef struct rw_water_branch_case {
	double heat_taken;           /* W */
	double outlet_temperature;   /* K */
	double velocity;             /* m/s in the hose */
	double leakage_cold, leakage_hot;   /* A DC of each hose */
	double leakage_loss;         /* W of both */
	double stress;               /* V/m */
} rw_water_branch_case;
typedef struct rw_water_case {
	double heat;                 /* W, all branches */
	double leakage_loss;         /* W, all branches */
	rw_water_branch_case branches[RW_BRANCHES_MAX];
} rw_water_case;

/* Properties over temperature, from data/tables/water.yaml: columns temperature, density, heat_capacity, pure_conductivity. */
extern const rw_column rw_water_columns[4];
extern const rw_room rw_water_room;

/* Fills the open members that depend on nothing (limits, steps, filament_share): for who needs filament_share before there is a heat.
 * rw_water_choose does it too. */
void rw_water_choose_assumed(rw_water_in *in);

/* Opens filled for one branch from its greatest heat and volts. properties: table with rw_water_columns. errs RW_E_RANGE (a temperature
 * outside the table; outlet limit not above the inlet; no standard bore wide enough, naming the flow); RW_E_MISSING (a branch takes a given
 * heat and none is given). A branch at fault is named by its place, counted from 1: water.branches.2.flow */
RW_MUST_USE rw_status rw_water_choose(rw_water_in *in, rw_water_set *set, const rw_table *properties, rw_error *err);
/* One case: heat and HT volts of each branch given. errs RW_E_RANGE when a branch would boil or leave the table */
RW_MUST_USE rw_status rw_water_solve(const rw_water_in *in, const double *heat, double voltage_dc, const rw_table *properties,
                                     rw_water_case *out, rw_error *err);

RW_MUST_USE rw_status rw_water_flow(double heat, double inlet, double outlet, const rw_table *properties, double *flow, rw_error *err);
RW_MUST_USE rw_status rw_water_conductivity(double conductivity_25, double temperature, const rw_table *properties, double *conductivity,
                                            rw_error *err);
double rw_water_column_resistance(double conductivity, double bore, double length);   /* ohm: L/(kappa A) */

#endif
