/* Not oscillating: the static point of valves and supply. And what the earthing device takes. */
#include "fault/fault.h"

#include <math.h>

#include "base/numeric.h"

static const double root_tolerance = 1e-13;   /* of the no-load volts */

static void fill(double *member, double value)
{
	if (isnan(*member))
		*member = value;
}

rw_status rw_fault_choose(rw_fault_in *in, double anode_dissipation_max, rw_error *err)
{
	if (!(anode_dissipation_max > 0.0 && isfinite(anode_dissipation_max))) {
		(void)RW_RAISE(err, RW_E_RANGE, "valve.anode_dissipation_max", "an anode of '%.6g W' bears nothing", anode_dissipation_max);
		rw_error_expected(err, "more than 0 W");
		rw_error_hint(err, "check the valve's ratings");
		return RW_E_RANGE;
	}
	fill(&in->anode_time, 1.0);
	fill(&in->anode_energy, anode_dissipation_max * in->anode_time);
	fill(&in->earthing_resistance, 100.0);
	return RW_OK;
}

/* All valves at zero grid volts: no grid current, so no bias. */
static double valve_current(const rw_stopped_problem *p, double voltage_dc)
{
	double anode, grid;
	rw_valve_currents(&p->law, voltage_dc, 0.0, &anode, &grid);
	return p->valves * anode;
}

/* At so many volts on the anodes. */
static double supply_voltage(const rw_stopped_problem *p, double voltage_dc)
{
	return voltage_dc + p->series_resistance * valve_current(p, voltage_dc);
}

static double supply_current(const rw_stopped_problem *p, double voltage_dc)
{
	return valve_current(p, voltage_dc) + supply_voltage(p, voltage_dc) / p->bleeder_resistance;
}

/* Anode volts over what the supply gives at the current they draw: rises with the volts. */
static rw_status volts_residual(void *context, double voltage_dc, double *y, rw_error *err)
{
	const rw_stopped_problem *p = context;
	double given;
	rw_status status = rw_supply_voltage(p->supply, p->supply_set, p->mains_factor, supply_current(p, voltage_dc), &given, err);
	if (status == RW_E_RANGE) {   /* more than it gives into a short: no volts are left */
		*y = supply_voltage(p, voltage_dc);
		return RW_OK;
	}
	RW_TRY(status);
	*y = supply_voltage(p, voltage_dc) - given;
	return RW_OK;
}

static rw_status limit_residual(void *context, double voltage_dc, double *y, rw_error *err)
{
	const rw_stopped_problem *p = context;
	(void)err;
	*y = supply_current(p, voltage_dc) - p->current_limit_dc;
	return RW_OK;
}

static rw_status no_point(const rw_stopped_problem *p, double voltage_dc, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_RANGE, "supply.secondary_voltage_rms", "no static point for %d valves at %.6g V with a limit of %.6g A", p->valves,
	    voltage_dc, p->current_limit_dc);
	rw_error_expected(err, "a valve, volts and a current limit over zero");
	rw_error_hint(err, "check the secondary volts and 'supply.current_limit_dc'");
	return RW_E_RANGE;
}

rw_status rw_fault_stopped(const rw_stopped_problem *problem, rw_stopped *out, rw_error *err)
{
	rw_stopped_problem p = *problem;
	double highest = p.supply_set->nominal_no_load_voltage_dc * p.mains_factor;
	rw_root root;
	if (p.valves < 1 || !(highest > 0.0) || !(p.current_limit_dc > 0.0) || !(p.bleeder_resistance > 0.0) || !(p.series_resistance >= 0.0))
		return no_point(&p, highest, err);
	RW_TRY(rw_root_find(volts_residual, &p, 0.0, highest, root_tolerance * highest, 0.0, &root, err));
	bool limited = supply_current(&p, root.x) > p.current_limit_dc;
	if (limited)
		RW_TRY(rw_root_find(limit_residual, &p, 0.0, root.x, root_tolerance * highest, 0.0, &root, err));
	double current = valve_current(&p, root.x);
	*out = (rw_stopped){root.x, current, supply_current(&p, root.x), root.x * current / p.valves, limited, 0};
	return RW_OK;
}

rw_earthing rw_fault_earthing(double voltage_dc, double capacitance, double resistance, double safe_voltage_dc)
{
	double constant = resistance * capacitance;
	return (rw_earthing){voltage_dc / resistance, constant, constant * fmax(log(voltage_dc / safe_voltage_dc), 0.0),
	    0.5 * capacitance * voltage_dc * voltage_dc};
}
