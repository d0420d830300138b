/* Open members of the filament filled: rules R10 and R21. */
#include <math.h>

#include "base/numeric.h"
#include "filament/filament.h"

enum { THORIATED, TUNGSTEN, OXIDE };   /* RW_CATHODE_* of valve/valve.h */

static const double own_leakage = 0.05;      /* of V/I: what any filament transformer has of itself (memory) */
static const double ohm_step = 1e-4;         /* ohm */
static const double strand_current = 35.0;   /* A: about what a wire of 1 mm takes at these temperatures */

static rw_status missing(rw_error *err, const char *key, const char *what, const char *expected, const char *hint)
{
	(void)RW_RAISE(err, RW_E_MISSING, key, "%s", what);
	rw_error_expected(err, "%s", expected);
	rw_error_hint(err, "%s", hint);
	return RW_E_MISSING;
}

static void fill(double *member, double value)
{
	if (isnan(*member))
		*member = value;
}

static void fill_choice(int32_t *member, int32_t value)
{
	if (*member < 0)   /* an open choice or an open integer */
		*member = value;
}

static rw_status choose_ratio(rw_filament_in *in, int cathode, rw_error *err)
{
	if (!isnan(in->cold_ratio))
		return RW_OK;
	if (cathode != THORIATED && cathode != TUNGSTEN)
		return missing(err, "filament.cold_ratio", "'cold_ratio' is open and no rule gives it for this cathode",
		    "hot over cold resistance, from the valve's maker",
		               "measure the cold filament: hot volts over hot current, over that resistance");
	in->cold_ratio = cathode == THORIATED ? 10.0 : 13.0;
	return RW_OK;
}

/* A limit and its measure belong together; neither is ever guessed. */
static rw_status choose_measure(rw_filament_in *in, rw_error *err)
{
	bool limited = !isnan(in->start_limit), measured = in->start_measure == RW_START_RMS || in->start_measure == RW_START_PEAK;
	if (limited && !measured)
		return missing(err, "filament.start_measure", in->start_measure == RW_START_NONE ? "'start_measure' is none, but a 'start_limit' "
		    "stands, in the file or the library"
		                                               : "'start_measure' is open: a 'start_limit' is given, but not whether rms or peak",
		               "rms or peak, as the valve's maker means it", "ask the maker: the two differ by up to 2.8 times");
	if (!limited && measured)
		return missing(err, "filament.start_limit", "'start_limit' is open: it is told how the maker means it, but not how much it is",
		               "the greatest starting current", "without a limit leave 'start_measure' open");
	if (!limited)
		in->start_measure = RW_START_NONE;
	return RW_OK;
}

static double emf(const rw_filament_in *in)
{
	return in->current_rms * hypot(in->voltage_rms / in->current_rms + in->series_resistance, in->series_reactance);
}

/* A limit no resistor can hold either: once hot and alone, the filament takes more. */
static rw_status check_hot_peak(const rw_filament_in *in, rw_error *err)
{
	double hot = sqrt(2.0) * in->current_rms;
	if (in->start_limit > hot)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_NOSOLVE, "filament.start_limit", "'start_limit' %.5g A peak is not over the peak of the hot current", in->start_limit);
	rw_error_expected(err, "over %.5g A peak", hot);
	rw_error_hint(err, "ask whether the maker means rms or peak");
	return RW_E_NOSOLVE;
}

/* R10, and R21 where reactance alone does not hold a peak: its own leakage, and a resistor until the filament is warm. */
static rw_status choose_reactance(rw_filament_in *in, rw_error *err)
{
	double hot = in->voltage_rms / in->current_rms, leakage = own_leakage * hot, reactance = 0.0;
	double given = isnan(in->start_resistor) ? 0.0 : in->start_resistor;
	rw_status status = RW_OK;
	if (!isnan(in->series_reactance))
		return RW_OK;
	if (in->start_measure != RW_START_NONE) {
		/* the resistor is out when hot: only the cold loop has it; more of it than the hot filament is as good as that */
		double all = hot + in->series_resistance, cold = fmin(hot / in->cold_ratio + in->series_resistance + given, all);
		status = rw_filament_reactance(all, cold, 0.0, in->current_rms, in->start_limit, in->start_measure, &reactance, err);
		if (status == RW_E_NOSOLVE && in->start_measure == RW_START_PEAK && isnan(in->start_resistor)) {
			RW_TRY(check_hot_peak(in, err));
			status = RW_OK;
			reactance = 0.0;
		}
	}
	if (status != RW_OK)
		return status;
	in->series_reactance = rw_ceil_to(fmax(reactance, leakage), ohm_step);
	return RW_OK;
}

/* R21: what the cold filament lacks of the resistance that holds the peak. */
static rw_status choose_resistor(rw_filament_in *in, rw_error *err)
{
	double wanted = 0.0, cold = in->voltage_rms / in->current_rms / in->cold_ratio + in->series_resistance;
	if (!isnan(in->start_resistor))
		return RW_OK;
	if (in->start_measure == RW_START_PEAK) {
		RW_TRY(check_hot_peak(in, err));
		RW_TRY(rw_filament_resistance_for_peak(emf(in), in->series_reactance, in->start_limit, &wanted, err));
		wanted = fmax(wanted - cold, 0.0);
		if (wanted < 1e-9 * cold)   /* the reactance was just made to hold it */
			wanted = 0.0;
	}
	in->start_resistor = wanted > 0.0 ? rw_ceil_to(wanted, ohm_step) : 0.0;
	return RW_OK;
}

/* R21: the filament that alone holds the limit; without a limit half its hot resistance. */
static rw_status choose_bypass(rw_filament_in *in, rw_error *err)
{
	double hot = in->voltage_rms / in->current_rms, wanted = 0.5 * hot;
	if (!(in->start_resistor > 0.0)) {
		const double *stray = !isnan(in->bypass_resistance) ? &in->bypass_resistance : !isnan(in->bypass_time) ? &in->bypass_time : NULL;
		if (!stray)
			return RW_OK;
		(void)RW_RAISE(err, RW_E_VALUE, stray == &in->bypass_time ? "filament.bypass_time" : "filament.bypass_resistance",
		    "a bypass is given and there is no start resistor to bypass");
		rw_error_expected(err, "'start_resistor' over 0, or no bypass");
		rw_error_hint(err, "leave the bypass out, or give the resistor");
		return RW_E_VALUE;
	}
	if (!isnan(in->bypass_resistance))
		return RW_OK;
	if (in->start_measure == RW_START_RMS) {
		double z = emf(in) / in->start_limit;
		wanted = sqrt(fmax(z * z - in->series_reactance * in->series_reactance, 0.0)) - in->series_resistance;
	} else if (in->start_measure == RW_START_PEAK) {
		RW_TRY(rw_filament_resistance_for_peak(emf(in), in->series_reactance, in->start_limit, &wanted, err));
		wanted -= in->series_resistance;
	}
	in->bypass_resistance = rw_ceil_to(fmax(wanted, hot / in->cold_ratio), ohm_step);
	return RW_OK;
}

static rw_status choose_wire(rw_filament_in *in, int cathode, rw_error *err)
{
	fill(&in->lead_loss_share, 0.05);
	fill_choice(&in->strands, (int32_t)fmin(fmax(rw_ceil_to(in->current_rms / strand_current, 1.0), 1.0), 1e4));
	if (cathode != OXIDE) {
		fill(&in->hot_temperature, cathode == THORIATED ? 1975.0 : 2450.0);
		return RW_OK;
	}
	if (isnan(in->hot_temperature))
		return RW_OK;
	(void)RW_RAISE(err, RW_E_VALUE, "filament.hot_temperature", "'hot_temperature' is given for an oxide cathode, whose heater is not modelled");
	rw_error_expected(err, "no 'hot_temperature', or a cathode of tungsten");
	rw_error_hint(err, "leave it out: its figures over time are not given");
	return RW_E_VALUE;
}

static rw_status choose_transformer(rw_filament_in *in, const rw_filament_site *site, rw_error *err)
{
	fill(&in->voltage_tolerance, 0.05);
	fill(&in->reactance_tolerance, 0.1);
	fill(&in->stabiliser_error, 0.01);
	fill(&in->air_reactance, 0.1);
	fill(&in->residual_flux, 0.6);
	fill(&in->saturation_flux, 4.0 / 3.0);
	fill_choice(&in->valves_on_transformer, 1);
	if (site->valves % in->valves_on_transformer == 0)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_VALUE, "filament.valves_on_transformer", "the set's valves, %d, are not shared out by transformers of %d valves each",
	    site->valves, in->valves_on_transformer);
	rw_error_expected(err, "a whole part of %d", site->valves);
	rw_error_hint(err, "1: each valve its own");
	return RW_E_VALUE;
}

/* R21: a stabiliser where mains and reactance together would take the volts out of the maker's tolerance. */
static void choose_stabiliser(rw_filament_in *in, const rw_filament_site *site)
{
	if (in->stabiliser >= 0)
		return;
	double resistance = in->voltage_rms / in->current_rms + in->series_resistance, z = hypot(resistance, in->series_reactance);
	double low = site->mains_low * z / hypot(resistance, in->series_reactance * (1.0 + in->reactance_tolerance));
	double high = site->mains_high * z / hypot(resistance, in->series_reactance * (1.0 - in->reactance_tolerance));
	bool out = high > 1.0 + in->voltage_tolerance || low < 1.0 - in->voltage_tolerance;
	in->stabiliser = out ? RW_STABILISER_FITTED : RW_STABILISER_NONE;
}

rw_status rw_filament_choose(rw_filament_in *in, const rw_filament_site *site, rw_error *err)
{
	rw_filament_in full = *in;
	if (!(full.voltage_rms > 0.0))
		return missing(err, "filament.voltage_rms", "'voltage_rms' is open", "hot filament volts", "give it, or a valve of the library");
	if (!(full.current_rms > 0.0))
		return missing(err, "filament.current_rms", "'current_rms' is open", "hot filament current", "give it, or a valve of the library");
	fill(&full.series_resistance, 0.0);
	RW_TRY(choose_measure(&full, err));
	RW_TRY(choose_ratio(&full, site->cathode, err));
	RW_TRY(choose_reactance(&full, err));
	RW_TRY(choose_resistor(&full, err));
	RW_TRY(choose_bypass(&full, err));
	RW_TRY(choose_wire(&full, site->cathode, err));
	fill(&full.dip_time, 1.0);
	fill(&full.dip_voltage, 0.0);
	fill_choice(&full.dip_bypass, RW_BYPASS_DROPS);
	RW_TRY(choose_transformer(&full, site, err));
	choose_stabiliser(&full, site);
	*in = full;
	return RW_OK;
}
