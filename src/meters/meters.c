/* Readings by place, scales, and what stands on the leads. */
#include "meters/meters.h"

#include <math.h>

#include "base/numeric.h"

static void fill(double *member, double value)
{
	if (isnan(*member))
		*member = value;
}

void rw_meters_choose_places(rw_meters_in *in)
{
	if (in->anode_place < 0)
		in->anode_place = RW_ANODE_HT_NEGATIVE;
	if (in->leak_foot < 0)
		in->leak_foot = RW_FOOT_HT_NEGATIVE;
	if (in->bleeder_foot < 0)
		in->bleeder_foot = RW_FOOT_HT_NEGATIVE;
	if (in->gap < 0)
		in->gap = RW_GAP_FITTED;
	fill(&in->shunt_voltage, 0.06);
	fill(&in->accuracy, 0.015);
	fill(&in->gap_voltage, 230.0);
	fill(&in->lead_voltage_max, 600.0);
	fill(&in->divider_current, 1e-3);
	fill(&in->divider_foot_resistance, 10e3);
}

double rw_anode_reading(const rw_meters_in *in, const rw_metered *c)
{
	switch (in->anode_place) {
	case RW_ANODE_HT_POSITIVE: return c->valves * c->anode_current_dc;
	case RW_ANODE_CATHODE:     return c->anode_current_dc + (in->leak_foot == RW_FOOT_CATHODE ? 0.0 : c->grid_current_dc);
	default: break;
	}
	double grid = in->leak_foot == RW_FOOT_HT_NEGATIVE ? c->grid_current_dc : 0.0;
	double bleeder = in->bleeder_foot == RW_FOOT_EARTH ? c->bleeder_current_dc : 0.0;
	return c->valves * (c->anode_current_dc + grid) + bleeder;
}

static void choose_scale(double *scale, double normal, double on_it)
{
	double least = fmax(normal / 0.8, isnan(on_it) ? 0.0 : on_it);   /* fmax passes over a NAN: without a case there is no scale */
	if (isnan(*scale) && !isnan(normal))
		*scale = rw_meter_scale(least);
}

rw_status rw_meters_choose_scales(rw_meters_in *in, const rw_meters_set *set, const rw_meter_facts *facts, rw_error *err)
{
	choose_scale(&in->anode_scale, set->anode_reading_greatest, facts->anode_over_trip);
	choose_scale(&in->grid_scale, set->grid_reading_greatest, facts->grid_over_trip);
	choose_scale(&in->voltage_scale, set->voltage_reading_greatest, facts->voltage_dc);
	choose_scale(&in->filament_voltage_scale, facts->filament_voltage_rms, 0.0);
	choose_scale(&in->filament_current_scale, facts->filament_current_rms, 0.0);
	if (isnan(in->voltage_scale))
		return RW_OK;
	double foot = in->divider_current * in->divider_foot_resistance;
	if (isnan(in->divider_resistance) && !(in->voltage_scale > 1.01 * foot)) {
		(void)RW_RAISE(err, RW_E_RANGE, "meters.voltage_scale", "a full scale of %.6g V, of which the foot of the divider takes %.6g V, leaves its HT part no resistance",
		    in->voltage_scale, foot);
		rw_error_expected(err, "a full scale well over divider_current times divider_foot_resistance");
		rw_error_hint(err, "give the meter's full scale in volts of the HT, or the divider as built");
		return RW_E_RANGE;
	}
	fill(&in->divider_resistance, rw_round_digits(in->voltage_scale / in->divider_current - in->divider_foot_resistance, 3));
	return RW_OK;
}

/* Volts to earth on a meter's lead when the shunt in a return lead opens: the HT seeks its way through the meter; at HT positive they always
 * stand at the HT. */
static double lead_voltage(const rw_meters_in *in, double voltage_dc)
{
	if (in->anode_place == RW_ANODE_HT_POSITIVE || in->gap == RW_GAP_NONE)
		return voltage_dc;
	return fmin(in->gap_voltage, voltage_dc);
}

void rw_meters_solve(const rw_meters_in *in, const rw_meter_facts *facts, rw_meters_set *out)
{
	out->anode_reading_error = in->accuracy * in->anode_scale;
	out->anode_shunt_resistance = in->shunt_voltage / in->anode_scale;
	out->grid_shunt_resistance = in->shunt_voltage / in->grid_scale;
	out->anode_shunt_power = out->anode_shunt_resistance * out->anode_reading_greatest * out->anode_reading_greatest;
	out->grid_shunt_power = out->grid_shunt_resistance * out->grid_reading_greatest * out->grid_reading_greatest;
	out->fault_voltage_pk = out->anode_shunt_resistance * facts->fault_current;
	out->lead_voltage = lead_voltage(in, facts->voltage_dc);
	double loop = in->divider_resistance + in->divider_foot_resistance;
	out->divider_power = facts->voltage_dc * facts->voltage_dc / loop;
	out->foot_open_voltage = facts->voltage_dc * in->divider_foot_resistance / loop;
	if (in->gap == RW_GAP_FITTED)
		out->foot_open_voltage = fmin(out->foot_open_voltage, in->gap_voltage);
}
