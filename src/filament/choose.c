/* Open members of the filament filled: rules R10 and R21. */
#include <math.h>

#include "base/numeric.h"
#include "filament/filament.h"

enum { THORIATED, TUNGSTEN, OXIDE };   /* RW_CATHODE_* of valve/valve.h */

static const double own_leakage = 0.05;      /* of V/I: what any filament transformer has of itself (memory) */
static const double ohm_step = 1e-4;         /* ohm */
static const double bypass_margin = 0.05;    /* how far over its bypass the filament must settle: nearer, the wait for it grows without end */
static const double reactance_most = 10.0;   /* of V/I: further up the peak only creeps */
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

double rw_filament_own_leakage(const rw_filament_in *in) { return rw_ceil_to(own_leakage * in->voltage_rms / in->current_rms, ohm_step); }

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

/* ---- what the reactance must leave: volts within their tolerance, a bypass the filament passes ---- */

/* Volts at the pins, hot resistance held, mains and reactance both at their worst. */
static bool volts_within(const rw_filament_in *in, double low, double high)
{
	double resistance = in->voltage_rms / in->current_rms + in->series_resistance, z = hypot(resistance, in->series_reactance);
	double least = low * z / hypot(resistance, in->series_reactance * (1.0 + in->reactance_tolerance));
	double most = high * z / hypot(resistance, in->series_reactance * (1.0 - in->reactance_tolerance));
	return most <= 1.0 + in->voltage_tolerance && least >= 1.0 - in->voltage_tolerance;
}

/* As they are, or with the stabiliser that may still be chosen. */
static bool volts_can_hold(const rw_filament_in *in, const rw_filament_site *site)
{
	bool raw = in->stabiliser != RW_STABILISER_FITTED && volts_within(in, site->mains_low, site->mains_high);
	bool held = in->stabiliser != RW_STABILISER_NONE && volts_within(in, 1.0 - in->stabiliser_error, 1.0 + in->stabiliser_error);
	return raw || held;
}

/* Resistance at which the filament stands when the start resistor stays in. NAN: not known, as of an oxide cathode. */
static rw_status settled_resistance(const rw_filament_in *in, const rw_filament_site *site, double *out, rw_error *err)
{
	double hot = in->voltage_rms / in->current_rms, temperature;
	*out = (double)NAN;
	if (!site->tungsten || site->cathode == OXIDE)
		return RW_OK;
	rw_wire_want want = {hot, hot / in->cold_ratio, in->voltage_rms * in->current_rms, in->lead_loss_share, in->hot_temperature, in->strands};
	rw_feed feed = {emf(in), in->series_resistance + in->start_resistor, in->series_reactance, site->mains_frequency};
	rw_wire wire;
	rw_wire_size(site->tungsten, &want, &wire);
	rw_hot_wire laws = rw_wire_laws(&wire);
	RW_TRY(rw_feed_steady(&laws, &feed, rw_tungsten_cold(site->tungsten), in->hot_temperature, &temperature, err));
	*out = laws.resistance(laws.laws, temperature);
	return RW_OK;
}

/* Whether, at a reactance, the peak is held from cold to the rule's own bypass, and the filament passes that with a margin. */
static rw_status start_holds(const rw_filament_in *in, const rw_filament_site *site, double reactance, bool *holds, rw_error *err)
{
	rw_filament_in full = *in;
	double peak, angle, settled;
	full.series_reactance = reactance;
	full.bypass_resistance = (double)NAN;
	RW_TRY(choose_resistor(&full, err));
	double cold = full.voltage_rms / full.current_rms / full.cold_ratio + full.series_resistance + full.start_resistor;
	RW_TRY(rw_filament_worst_peak(emf(&full), cold, reactance, &peak, &angle, err));
	*holds = peak <= full.start_limit * (1.0 + 1e-9);
	if (!*holds || !(full.start_resistor > 0.0))
		return RW_OK;
	RW_TRY(choose_bypass(&full, err));
	RW_TRY(settled_resistance(&full, site, &settled, err));
	*holds = !(settled < (1.0 + bypass_margin) * full.bypass_resistance);
	return RW_OK;
}

/* The least reactance from one on with which it does, in steps of the rule; NAN: none. Up by 5 %, then halved between a reactance that
 * does not and one that does. */
static rw_status least_holding(const rw_filament_in *in, const rw_filament_site *site, double from, double *reactance, rw_error *err)
{
	double most = reactance_most * in->voltage_rms / in->current_rms, low = floor(from / ohm_step + 0.5) - 1.0, high = low + 1.0;
	bool holds = false;
	*reactance = (double)NAN;
	for (;; low = high, high = ceil(1.05 * high)) {
		if (high * ohm_step > most)
			return RW_OK;
		RW_TRY(start_holds(in, site, high * ohm_step, &holds, err));
		if (holds)
			break;
	}
	while (high - low > 1.5) {
		double middle = floor(0.5 * (low + high));
		RW_TRY(start_holds(in, site, middle * ohm_step, &holds, err));
		*(holds ? &high : &low) = middle;
	}
	*reactance = rw_ceil_to(high * ohm_step, ohm_step);
	return RW_OK;
}

/* R10: a reactance, in the steps of the rule, that alone holds the start; with the resistor given the cold loop has it. NAN: none does,
 * where a resistor is still open. */
static rw_status reactance_alone(const rw_filament_in *in, double leakage, double *out, rw_error *err)
{
	double hot = in->voltage_rms / in->current_rms, given = isnan(in->start_resistor) ? 0.0 : in->start_resistor, reactance = 0.0;
	if (in->start_measure != RW_START_NONE) {
		/* the resistor is out when hot: only the cold loop has it; more of it than the hot filament is as good as that */
		double all = hot + in->series_resistance, cold = fmin(hot / in->cold_ratio + in->series_resistance + given, all);
		rw_status status = rw_filament_reactance(all, cold, 0.0, in->current_rms, in->start_limit, in->start_measure, &reactance, err);
		if (status == RW_E_NOSOLVE && in->start_measure == RW_START_PEAK && isnan(in->start_resistor)) {
			RW_TRY(check_hot_peak(in, err));
			*out = (double)NAN;
			return RW_OK;
		}
		RW_TRY(status);
	}
	*out = rw_ceil_to(fmax(reactance, leakage), ohm_step);
	return RW_OK;
}

/* R10; and R21, when the limit is a peak: with a resistor the least reactance with which its bypass is passed. The resistor stands back where
 * reactance alone does it, unless that would take the volts out of their tolerance. */
static rw_status choose_reactance(rw_filament_in *in, const rw_filament_site *site, rw_error *err)
{
	double leakage = rw_filament_own_leakage(in), alone, with;
	bool open = isnan(in->start_resistor);
	if (!isnan(in->series_reactance))
		return RW_OK;
	RW_TRY(reactance_alone(in, leakage, &alone, err));
	in->series_reactance = alone;
	if (in->start_measure != RW_START_PEAK || (!open && !(in->start_resistor > 0.0)))
		return RW_OK;
	if (open && !isnan(alone) && volts_can_hold(in, site))
		return RW_OK;
	RW_TRY(least_holding(in, site, open ? leakage : alone, &with, err));
	in->series_reactance = with;
	if (isnan(with) || (open && !isnan(alone) && !volts_can_hold(in, site)))
		in->series_reactance = !isnan(alone) ? alone : leakage;
	return RW_OK;
}

/* A resistor or a bypass of the rule's that the filament never gets past. */
static rw_status check_bypass(const rw_filament_in *given, const rw_filament_in *in, const rw_filament_site *site, rw_error *err)
{
	double settled, with;
	if (!(in->start_resistor > 0.0) || !isnan(given->bypass_resistance) || !isnan(given->bypass_time))
		return RW_OK;
	RW_TRY(settled_resistance(in, site, &settled, err));
	if (!(settled < in->bypass_resistance))
		return RW_OK;
	bool peak = in->start_measure == RW_START_PEAK, open = isnan(given->start_resistor);
	rw_filament_in other = *in;
	other.start_resistor = given->start_resistor;
	(void)RW_RAISE(err, RW_E_NOSOLVE, open ? "filament.start_limit" : "filament.start_resistor", "with a start resistor of %.4g mohm and %.4g mohm of "
	    "reactance in series the filament settles at %.4g mohm, and must have passed %.4g mohm before the resistor is bypassed",
	    1e3 * in->start_resistor, 1e3 * in->series_reactance, 1e3 * settled, 1e3 * in->bypass_resistance);
	rw_error_expected(err, open ? "a starting current that resistor and reactance can hold" : "a resistor with which it does");
	if (peak && least_holding(&other, site, rw_filament_own_leakage(in), &with, NULL) == RW_OK && !isnan(with))
		rw_error_hint(err, "'series_reactance' of %.4g mohm does; or bring the filament volts up in steps", 1e3 * with);
	else if (open)
		rw_error_hint(err, "bring the filament volts up in steps, or by several resistors; ask whether the maker means rms or peak");
	else
		rw_error_hint(err, "less resistance, in two steps; more 'series_reactance'; or a bypass by time ('bypass_time')");
	return RW_E_NOSOLVE;
}

/* R21: a stabiliser where mains and reactance together would take the volts out of the maker's tolerance. */
static void choose_stabiliser(rw_filament_in *in, const rw_filament_site *site)
{
	if (in->stabiliser < 0)
		in->stabiliser = volts_within(in, site->mains_low, site->mains_high) ? RW_STABILISER_NONE : RW_STABILISER_FITTED;
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
	RW_TRY(choose_wire(&full, site->cathode, err));
	RW_TRY(choose_transformer(&full, site, err));
	RW_TRY(choose_reactance(&full, site, err));
	RW_TRY(choose_resistor(&full, err));
	RW_TRY(choose_bypass(&full, err));
	RW_TRY(check_bypass(in, &full, site, err));
	fill(&full.dip_time, 1.0);
	fill(&full.dip_voltage, 0.0);
	fill_choice(&full.dip_bypass, RW_BYPASS_DROPS);
	choose_stabiliser(&full, site);
	*in = full;
	return RW_OK;
}
