/* The flash-arc: what the capacitors put into it and what the supply does until it clears; crowbar, step start and wire test. */
#include <math.h>

#include "base/numeric.h"
#include "protection/protection.h"

static const double copper_density = 8960.0;        /* kg/m3 */
static const double copper_to_melted = 0.665e6;     /* J/kg from 20 degC to fully melted */

double rw_wire_melt_energy(double diameter, double length)
{
	const double quarter_pi = 0.78539816339744830961566;
	return copper_density * quarter_pi * diameter * diameter * length * copper_to_melted;
}

double rw_wire_melt_action(double diameter)
{
	double mils = diameter / 25.4e-6;
	return pow(mils, 4.0) * log10(1.0 + 1043.0 / 274.0) / 33.0;   /* area in circular mils is the square of the diameter in mils */
}

/* Of the stores behind the resistor: greatest current. */
static double peak(const rw_protection_in *in, const rw_protection_set *s)
{
	double over = s->voltage_dc - in->arc_voltage_low, r = s->series_resistance, l = in->surge_inductance, c = s->surge_capacitance;
	if (!(r > 0.0 && c > 0.0))
		return (double)NAN;
	if (l == 0.0)
		return over / r;
	double ratio = 4.0 * l / (r * r * c), x = sqrt(fabs(1.0 - ratio));
	double decay = ratio == 1.0 ? 1.0 : ratio < 1.0 ? 0.5 * log((1.0 + x) / (1.0 - x)) / x : atan(x) / x;
	return over * sqrt(c / l) * exp(-decay);
}

/* Share of the stores' charge that flows before the crowbar fires; all of it without one. power: 1 of the charge, 2 of the action. */
static double until_fired(const rw_protection_in *in, const rw_protection_set *s, double power)
{
	if (in->crowbar != RW_CROWBAR_FITTED || !(s->surge_capacitance > 0.0))
		return 1.0;
	return 1.0 - exp(-power * in->crowbar_time / (s->series_resistance * s->surge_capacitance));
}

static double capacitor_energy(const rw_protection_in *in, const rw_protection_set *s, double drop)
{
	double through = s->surge_damped == 1.0 ? drop * s->surge_capacitance * (s->voltage_dc - drop) * until_fired(in, s, 1.0) : s->surge_energy;
	return s->direct_energy + through;
}

/* Mains current in the valve until cleared; a crowbar leaves it what its drop still drives through the anode resistor. */
static double follow_on(const rw_protection_in *in, const rw_protection_set *s, double drop, double time)
{
	if (in->crowbar != RW_CROWBAR_FITTED)
		return drop * s->fault_current_dc * time;
	double left = fmax(in->crowbar_voltage - drop, 0.0) / in->anode_resistance;
	return drop * (s->fault_current_dc * fmin(in->crowbar_time, time) + left * fmax(time - in->crowbar_time, 0.0));
}

static void crowbar(const rw_protection_in *in, rw_protection_set *s)
{
	s->crowbar_charge = s->crowbar_current_pk = s->crowbar_energy = (double)NAN;
	if (in->crowbar != RW_CROWBAR_FITTED || !(in->surge_resistance > 0.0))
		return;
	double c = s->surge_capacitance;
	s->crowbar_charge = c * (s->voltage_dc - in->arc_voltage_low) * until_fired(in, s, 1.0);
	double left = s->voltage_dc - (c > 0.0 ? s->crowbar_charge / c : 0.0);
	s->crowbar_current_pk = c > 0.0 ? fmax(left - in->crowbar_voltage, 0.0) / in->surge_resistance : 0.0;
	s->crowbar_energy = in->crowbar_voltage * c * fmax(left - in->crowbar_voltage, 0.0);
}

static rw_status sound(const rw_protection_in *in, const rw_protection_set *s, rw_error *err)
{
	if (in->arc_voltage_low > in->arc_voltage_high) {
		(void)RW_RAISE(err, RW_E_VALUE, "protection.arc_voltage_low", "the arc's drop goes from %.4g V down to %.4g V", in->arc_voltage_low,
		    in->arc_voltage_high);
		rw_error_expected(err, "'arc_voltage_low' not over 'arc_voltage_high'");
		rw_error_hint(err, "leave both out for 20 V to 100 V");
		return RW_E_VALUE;
	}
	if (!(in->arc_voltage_high < s->voltage_dc)) {
		(void)RW_RAISE(err, RW_E_RANGE, "protection.arc_voltage_high", "an arc of %.4g V does not burn on a HT of %.4g V", in->arc_voltage_high,
		    s->voltage_dc);
		rw_error_expected(err, "less than the HT at no load, mains high");
		rw_error_hint(err, "leave it out for 100 V, and check the HT");
		return RW_E_RANGE;
	}
	return RW_OK;
}

rw_status rw_arc_solve(const rw_protection_in *in, double short_circuit_current_dc, double source_voltage_dc, rw_protection_set *out,
    rw_error *err)
{
	rw_protection_set s = *out;
	RW_TRY(sound(in, &s, err));
	s.series_resistance = rw_protection_series(in);
	s.surge_capacitance = 0.0;
	for (int i = 0; i < in->n_stores; i++)
		s.surge_capacitance += in->stores[i].path == RW_STORE_RESISTOR ? in->stores[i].capacitance : 0.0;
	s.direct_capacitance = fmax(s.capacitance - s.surge_capacitance, 0.0);
	double c = s.surge_capacitance, r = s.series_resistance, over = s.voltage_dc - in->arc_voltage_low;
	s.surge_damped = r > 0.0 && r * r * c >= 4.0 * in->surge_inductance;
	s.surge_current_pk = peak(in, &s);
	s.surge_energy = 0.5 * c * s.voltage_dc * s.voltage_dc;
	s.surge_resistor_energy = r > 0.0 ? 0.5 * c * over * over : 0.0;
	s.surge_action = r > 0.0 ? c * over * over / (2.0 * r) * until_fired(in, &s, 2.0) : (double)NAN;
	s.fault_current_dc = 1.0 / (1.0 / short_circuit_current_dc + in->surge_resistance / source_voltage_dc);
	s.surge_follow_energy = in->surge_resistance * s.fault_current_dc * s.fault_current_dc * in->clearing_time;
	s.direct_energy = 0.5 * s.direct_capacitance * s.voltage_dc * s.voltage_dc;
	s.arc_capacitor_energy_low = capacitor_energy(in, &s, in->arc_voltage_low);
	s.arc_capacitor_energy_high = capacitor_energy(in, &s, in->arc_voltage_high);
	s.follow_on_energy_low = follow_on(in, &s, in->arc_voltage_low, in->clearing_time);
	s.follow_on_energy_high = follow_on(in, &s, in->arc_voltage_high, in->clearing_time);
	s.follow_on_energy_fast = follow_on(in, &s, in->arc_voltage_high, in->fast_clearing_time);
	double flowing = in->crowbar == RW_CROWBAR_FITTED ? fmin(in->crowbar_time, in->clearing_time) : in->clearing_time;
	s.follow_on_action = s.fault_current_dc * s.fault_current_dc * flowing;
	s.arc_energy = fmax(s.arc_capacitor_energy_low + s.follow_on_energy_low, s.arc_capacitor_energy_high + s.follow_on_energy_high);
	s.arc_follow_share = fmax(s.follow_on_energy_low, s.follow_on_energy_high) / s.arc_energy;
	s.clearing_time_guide = fmax(in->arc_energy_guide - s.arc_capacitor_energy_high, 0.0) / (in->arc_voltage_high * s.fault_current_dc);
	crowbar(in, &s);
	double kept = 1.0 - in->step_share;
	s.step_current_pk = s.voltage_dc / in->step_resistance;
	s.step_time = -in->step_resistance * s.capacitance * log(kept);
	bool step = !isnan(in->step_resistance);
	s.step_energy = step ? 0.5 * s.capacitance * s.voltage_dc * s.voltage_dc * (1.0 - kept * kept) : (double)NAN;
	s.step_voltage = step ? s.voltage_dc * kept : (double)NAN;
	s.wire_melt_energy = rw_wire_melt_energy(in->wire_diameter, in->wire_length);
	s.wire_melt_action = rw_wire_melt_action(in->wire_diameter);
	s.wire_share = ((r > 0.0 ? s.surge_action : 0.0) + s.follow_on_action) / s.wire_melt_action;
	*out = s;
	return RW_OK;
}
