#include "duty/duty.h"

#include <math.h>

#include "base/numeric.h"

double rw_duty_thermal_share(double on_time, double period, double time_constant)
{
	return expm1(-on_time / time_constant) / expm1(-period / time_constant);
}

static rw_status on_over_period(const rw_duty_in *in, bool of_work, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_VALUE, of_work ? "duty.period" : "duty.on_time", "power is on for %.4g s in a period of %.4g s%s", in->on_time,
	    in->period, of_work ? ": the work takes so long" : "");
	rw_error_expected(err, "an on-time of at most the period");
	rw_error_hint(err, of_work ? "a longer period, or a shorter time of the work" : "swap them, or check their units");
	return RW_E_VALUE;
}

static rw_status choose_on_time(rw_duty_in *in, double work_time, rw_error *err)
{
	bool of_work = isnan(in->on_time);
	if (of_work && !(work_time > 0.0)) {
		(void)RW_RAISE(err, RW_E_MISSING, "duty.on_time", "there is a period and nothing that says how long power is on in it");
		rw_error_expected(err, "'on_time', or a work with a time of its own");
		rw_error_hint(err, "add 'on_time: 3 s' beside the period");
		return RW_E_MISSING;
	}
	if (of_work)
		in->on_time = work_time;
	return in->on_time <= in->period ? RW_OK : on_over_period(in, of_work, err);
}

static rw_status check_pattern(const rw_duty_in *in, rw_error *err)
{
	bool shots = in->pattern == RW_PATTERN_SHOTS;
	if (isnan(in->period) && (shots || !isnan(in->on_time))) {
		(void)RW_RAISE(err, RW_E_MISSING, "duty.period", "there is no period from shot to shot");
		rw_error_expected(err, "'period', a time of at least the on-time");
		rw_error_hint(err, "add 'period: 20 s', or leave all out for continuous power");
		return RW_E_MISSING;
	}
	if (!isnan(in->period) && !shots) {
		(void)RW_RAISE(err, RW_E_VALUE, "duty.pattern", "continuous power has no period");
		rw_error_expected(err, "'pattern: shots', or no 'period' and no 'on_time'");
		rw_error_hint(err, "leave 'pattern' out: a period says that there are shots");
		return RW_E_VALUE;
	}
	return RW_OK;
}

static rw_status too_many_shots(const rw_duty_in *in, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_VALUE, "duty.shots_per_year", "%.6g shots of %.4g s take %.4g h, the hours of a year are %.4g", in->shots_per_year,
	    in->period, in->shots_per_year * in->period / 3600.0, in->hours_per_year / 3600.0);
	rw_error_expected(err, "shots times period within the hours");
	rw_error_hint(err, "leave 'hours_per_year' out, or a shorter period");
	return RW_E_VALUE;
}

static rw_status more_than_a_year(const rw_duty_in *in, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_RANGE, "duty.shots_per_year", "%.10g 'shots_per_year' in a 'period' of %.4g s take %.6g h, a year has %.0f h",
	    in->shots_per_year, in->period, in->shots_per_year * in->period / 3600.0, RW_DUTY_YEAR / 3600.0);
	rw_error_expected(err, "shots times period within the year: at most %.0f shots, or a period of at most %.4g s",
	    floor(RW_DUTY_YEAR / in->period), RW_DUTY_YEAR / in->shots_per_year);
	rw_error_hint(err, "fewer 'shots_per_year' or a shorter 'period', or leave 'shots_per_year' out: the hours over the period then");
	return RW_E_RANGE;
}

rw_status rw_duty_choose(rw_duty_in *in, double work_time, double starts_per_year, rw_error *err)
{
	rw_duty_in out = *in;
	if (out.pattern < 0)
		out.pattern = isnan(out.period) ? RW_PATTERN_CONTINUOUS : RW_PATTERN_SHOTS;
	RW_TRY(check_pattern(&out, err));
	bool shots = out.pattern == RW_PATTERN_SHOTS, hours_given = !isnan(out.hours_per_year);
	if (shots)
		RW_TRY(choose_on_time(&out, work_time, err));
	if (!hours_given)
		out.hours_per_year = 2000.0 * 3600.0;
	if (isnan(out.shots_per_year))
		out.shots_per_year = shots ? fmax(-rw_ceil_to(-out.hours_per_year / out.period, 1.0), 1.0) : starts_per_year;
	else if (shots && out.shots_per_year * out.period > RW_DUTY_YEAR * (1.0 + 1e-9))
		return more_than_a_year(&out, err);
	else if (shots && hours_given && out.shots_per_year * out.period > out.hours_per_year * (1.0 + 1e-9))
		return too_many_shots(&out, err);
	*in = out;
	return RW_OK;
}

void rw_duty_set_solve(const rw_duty_in *in, double work_time, double transformer_constant, double breaker_constant, bool keyed_by_contactor,
                       double starts_per_year, double contactor_life, rw_duty_set *out)
{
	bool shots = in->pattern == RW_PATTERN_SHOTS;
	out->work_time = work_time;
	out->duty_cycle = shots ? in->on_time / in->period : 1.0;
	out->rms_factor = sqrt(out->duty_cycle);
	out->transformer_share = shots ? rw_duty_thermal_share(in->on_time, in->period, transformer_constant) : 1.0;
	out->breaker_share = shots ? rw_duty_thermal_share(in->on_time, in->period, breaker_constant) : 1.0;
	out->time_per_year = shots ? fmax(in->hours_per_year, in->shots_per_year * in->period) : in->hours_per_year;
	out->on_per_year = shots ? in->shots_per_year * in->on_time : in->hours_per_year;
	out->makes_per_year = keyed_by_contactor ? in->shots_per_year : starts_per_year;
	out->contactor_years = contactor_life / out->makes_per_year;
}

/* rms of two levels, the first for a share of the heat. */
static double of_two(double share, double on, double rest) { return sqrt(share * on * on + (1.0 - share) * rest * rest); }

void rw_duty_case_solve(const rw_duty_in *in, const rw_duty_set *set, const rw_duty_around *around, rw_duty_case *out)
{
	double d = set->duty_cycle, steady = around->steady_current_rms;
	bool rests = in->pattern == RW_PATTERN_SHOTS && around->standing;
	out->resting_voltage_dc = rests ? around->resting_voltage_dc : 0.0;
	out->resting_anode_current_dc = rests ? around->resting_anode_current_dc : 0.0;
	out->resting_water_heat = around->resting_water_heat;
	out->resting_anode_loss = out->resting_voltage_dc * out->resting_anode_current_dc;
	out->resting_current_dc = around->valves * out->resting_anode_current_dc + out->resting_voltage_dc / around->bleeder_resistance;
	out->resting_share = out->resting_current_dc / around->current_dc;
	out->transformer_factor = of_two(set->transformer_share, 1.0, out->resting_share);
	out->transformer_current_rms = around->secondary_current_rms * out->transformer_factor;
	out->choke_current_rms = of_two(d, around->current_dc, out->resting_current_dc);
	out->rectifier_loss = around->diode_loss * (d + (1.0 - d) * out->resting_share);
	double on_line = around->mains_current_rms + steady, rest_line = around->mains_current_rms * out->resting_share + steady;
	out->shot_line_current_rms = on_line;
	out->line_current_rms = of_two(d, on_line, rest_line);
	out->breaker_current_rms = of_two(set->breaker_share, on_line, rest_line);
	out->water_heat = d * around->water_heat + (1.0 - d) * out->resting_water_heat;
	double rest_power = rests ? out->resting_voltage_dc * out->resting_current_dc + around->iron_loss : 0.0;
	out->mean_power = d * around->mains_power + (1.0 - d) * rest_power + around->filament_power;
	out->shot_energy = in->pattern == RW_PATTERN_SHOTS ? out->mean_power * in->period : (double)NAN;
	double ht = out->mean_power - around->filament_power, under_pattern = set->on_per_year / d;
	out->energy_per_year = ht * under_pattern + around->filament_power * set->time_per_year;
}
