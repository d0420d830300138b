/* Stored energy of the HT, its bleeder, the time to safe volts, and the surge resistor. */
#include <math.h>

#include "base/numeric.h"
#include "protection/protection.h"

static double capacitance_of(const rw_protection_in *in, double blocking_capacitance)
{
	double sum = blocking_capacitance;
	for (int i = 0; i < in->n_stores; i++)
		sum += in->stores[i].capacitance;
	return sum;
}

static rw_status sound(const rw_protection_in *in, double voltage_dc, double blocking_capacitance, rw_error *err)
{
	double capacitance = capacitance_of(in, blocking_capacitance);
	if (!(voltage_dc > 0.0 && isfinite(voltage_dc))) {
		(void)RW_RAISE(err, RW_E_RANGE, "protection.voltage_dc", "no-load volts of '%.6g V' have no discharge", voltage_dc);
		rw_error_expected(err, "more than 0 V");
		rw_error_hint(err, "check the secondary volts and the duty of the supply");
		return RW_E_RANGE;
	}
	if (!(capacitance >= 0.0 && isfinite(capacitance) && blocking_capacitance >= 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "protection.capacitance", "capacitance of '%.6g F' on the HT is not one", capacitance);
		rw_error_expected(err, "zero or more");
		rw_error_hint(err, "check the stores and the blocking capacitor");
		return RW_E_RANGE;
	}
	return RW_OK;
}

static void fill(double *member, double value)
{
	if (isnan(*member))
		*member = value;
}

/* The greatest resistance both rules allow, less a half per cent, to three digits: rounding can then not bring it over. */
static double bleeder(const rw_protection_in *in, double voltage_dc, double capacitance)
{
	double by_time = capacitance * log(voltage_dc / in->safe_voltage_dc) / in->safe_time;   /* S; under zero when already safe */
	double by_current = in->bleeder_current / voltage_dc;
	return rw_round_digits(0.995 / fmax(by_time, by_current), 3);
}

double rw_protection_series(const rw_protection_in *in)
{
	return in->surge_resistance + (in->crowbar == RW_CROWBAR_FITTED ? in->anode_resistance : 0.0);
}

/* From memory: a few nF of RF bypass stand at the valve's end of the HT, a filter's microfarads at the supply's. */
static const double bypass_most = 20e-9;

void rw_protection_choose_surge(rw_protection_in *in, double anode_voltage, double mains_high)
{
	double behind = 0.0;
	for (int i = 0; i < in->n_stores; i++) {
		if (in->stores[i].path < 0)
			in->stores[i].path = in->stores[i].capacitance < bypass_most ? RW_STORE_DIRECT : RW_STORE_RESISTOR;
		behind += in->stores[i].path == RW_STORE_RESISTOR ? in->stores[i].capacitance : 0.0;
	}
	if (in->crowbar < 0)
		in->crowbar = RW_CROWBAR_NONE;
	fill(&in->surge_current_pk_max, 400.0);
	fill(&in->surge_resistance, behind > 0.0 ? rw_ceil_to(1.1 * mains_high * anode_voltage / in->surge_current_pk_max, 5.0) : 0.0);
	fill(&in->surge_inductance, 0.0);
	if (in->crowbar == RW_CROWBAR_FITTED) {
		fill(&in->crowbar_time, 10e-6);
		fill(&in->crowbar_voltage, 50.0);
		fill(&in->anode_resistance, 30.0);
	}
}

static void choose_arc(rw_protection_in *in)
{
	fill(&in->arc_voltage_low, 20.0);
	fill(&in->arc_voltage_high, 100.0);
	fill(&in->anode_over_time, 0.05);
	fill(&in->clearing_time, in->anode_over_time + 0.01);
	fill(&in->arc_energy_guide, 50.0);
	fill(&in->step_share, 0.95);
	fill(&in->wire_diameter, 0.2546e-3);
	fill(&in->wire_length, 0.15);
}

rw_status rw_protection_choose(rw_protection_in *in, double voltage_dc, double blocking_capacitance, rw_error *err)
{
	RW_TRY(sound(in, voltage_dc, blocking_capacitance, err));
	fill(&in->safe_voltage_dc, 60.0);
	fill(&in->safe_time, 5.0);
	fill(&in->bleeder_current, 5e-3);
	choose_arc(in);
	if (isnan(in->bleeder_resistance))
		in->bleeder_resistance = bleeder(in, voltage_dc, capacitance_of(in, blocking_capacitance));
	return RW_OK;
}

rw_status rw_protection_solve(const rw_protection_in *in, double voltage_dc, double blocking_capacitance, rw_protection_set *out, rw_error *err)
{
	RW_TRY(sound(in, voltage_dc, blocking_capacitance, err));
	if (!(in->bleeder_resistance > 0.0 && in->safe_voltage_dc > 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "protection.bleeder_resistance", "no discharge time through '%.6g ohm' to '%.6g V'",
		               in->bleeder_resistance, in->safe_voltage_dc);
		rw_error_expected(err, "more than zero of both");
		rw_error_hint(err, "leave 'bleeder_resistance' open for the rule");
		return RW_E_RANGE;
	}
	double capacitance = capacitance_of(in, blocking_capacitance);
	out->voltage_dc = voltage_dc;
	out->capacitance = capacitance;
	out->stored_energy = 0.5 * capacitance * voltage_dc * voltage_dc;
	out->stored_charge = capacitance * voltage_dc;
	out->bleeder_power = voltage_dc * voltage_dc / in->bleeder_resistance;
	out->discharge_time = in->bleeder_resistance * capacitance * fmax(log(voltage_dc / in->safe_voltage_dc), 0.0);
	for (int i = 0; i < in->n_stores; i++)
		out->stores[i].energy = 0.5 * in->stores[i].capacitance * voltage_dc * voltage_dc;
	return RW_OK;
}
