/* The band of the wanted frequency (rule R19), and what the set's frequency does in it. */
#include <math.h>
#include <stdio.h>

#include "chain/followers.h"
#include "chain/line.h"

static const double authorised = 5.138;                   /* footnote: where the administration authorises it */
static const double distress_low = 495e3, distress_high = 518e3;   /* Hz: maritime distress and safety traffic, memory */

rw_status rw_band_choose(rw_chain *chain, rw_error *err)
{
	rw_generator_in *generator = rw_chain_in(chain, "generator", 0);
	rw_band_place place;
	RW_TRY(rw_band_of(&chain->base->bands, generator->frequency, &place, err));
	if (place.inside && isnan(generator->band_low) && isnan(generator->band_high)) {
		generator->band_low = chain->base->bands.band[place.band].lower;
		generator->band_high = chain->base->bands.band[place.band].upper;
		rw_chain_mark_filled(chain, "generator", NULL);
	}
	return RW_OK;
}

/* Least and greatest frequency over the solved cases. */
static bool span_of(const rw_chain *chain, double *low, double *high)
{
	const rw_solution *s = chain->solution;
	*low = INFINITY;
	*high = 0.0;
	for (int k = 0; k < s->n_cases; k++)
		if (!s->why_not[k]) {
			double f = ((const rw_oscillator_case *)rw_chain_case(chain, "oscillator", k))->frequency;
			*low = fmin(*low, f);
			*high = fmax(*high, f);
		}
	return *high > 0.0;
}

/* Bands that are not free everywhere. */
static rw_status tell_licence(rw_chain *chain, const rw_band *band, rw_error *err)
{
	if (band->region > 0.0)
		RW_TRY(rw_chain_note(chain, "generator.frequency", RW_NO_CASE, err, "the band around %.4g MHz is one of region %.0f only", band->centre / 1e6,
		    band->region));
	if (band->footnote != authorised)
		return RW_OK;
	return rw_chain_note(chain, "generator.frequency", RW_NO_CASE, err, "the band around %.4g MHz may be used where the administration authorises it "
	    "(Radio Regulations 5.138)", band->centre / 1e6);
}

rw_status rw_band_follow(rw_chain *chain, rw_error *err)
{
	const rw_generator_in *generator = rw_chain_in(chain, "generator", 0);
	rw_band_place place;
	rw_band_span span;
	char text[RW_BAND_TEXT];
	double low, high;
	RW_TRY(rw_band_of(&chain->base->bands, generator->frequency, &place, err));
	if (!span_of(chain, &low, &high))
		return RW_OK;
	if (place.inside) {
		RW_TRY(tell_licence(chain, &chain->base->bands.band[place.band], err));
		if (rw_chain_given(chain, "generator.band_low", 0) || rw_chain_given(chain, "generator.band_high", 0))
			return RW_OK;   /* edges of his own: the checks speak */
		RW_TRY(rw_band_hold(&chain->base->bands, low, high, &span, err));
		rw_band_tell(&chain->base->bands, &span, text);
		return rw_chain_note(chain, "oscillator.frequency", RW_NO_CASE, err, "over its cases the set %s%s", text,
		    span.held ? "" : ": a free-running set does not hold it with this load");
	}
	if (low <= distress_high && high >= distress_low)
		RW_TRY(rw_chain_note(chain, "oscillator.frequency", RW_NO_CASE, err, "it runs within 495 to 518 kHz, frequencies of distress traffic at sea: "
		    "choose another frequency (from memory: ask the administration)"));
	return rw_chain_note(chain, "generator.frequency", RW_NO_CASE, err, "%.4g %s lies in no ISM band: the limits of CISPR 11 for group 2 hold at the "
	    "fundamental too; screening and filters decide", generator->frequency / (generator->frequency < 1e6 ? 1e3 : 1e6),
	    generator->frequency < 1e6 ? "kHz" : "MHz");
}
