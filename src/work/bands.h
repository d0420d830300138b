/* ISM bands: in which band a frequency lies, how far its edge is, and whether a frequency that moves stays inside.
 * The bands are data (data/tables/ism-bands.yaml); who calls hands over a way to the texts of the entry.
 * src  ITU Radio Regulations 5.138, 5.150, 5.280; the status of each row stays with the entry
 * SI units: Hz. Outputs are unchanged on error. Only rw_bands_read allocates. */
#ifndef RW_WORK_BANDS_H
#define RW_WORK_BANDS_H

#include "work/material.h"

enum { RW_BANDS_MAX = 24, RW_BAND_COLUMNS = 5, RW_BAND_TEXT = 256 };

typedef struct rw_band {
	double centre, lower, upper;         /* Hz */
	double footnote;                     /* 5.150: for all; 5.138: where the administration authorises it */
	double region;                       /* 1 to 3: in this region only; 0: in all */
} rw_band;

typedef struct rw_bands { int n; rw_band band[RW_BANDS_MAX]; } rw_bands;   /* from low to high, apart from each other */

extern const rw_column rw_band_columns[RW_BAND_COLUMNS];                    /* of either table of the entry */

/* The tables 'bands_read' and 'bands_recalled' of the entry, one after the other.
 * errs those of rw_table_read; RW_E_MISSING; RW_E_VALUE: too many, bands that overlap, a centre outside its edges */
RW_MUST_USE rw_status rw_bands_read(rw_arena *arena, const rw_units *units, rw_text_of text_of, const void *context, rw_bands *out,
    rw_error *err);

typedef struct rw_band_place {
	int    band;                         /* the one it lies in, or whose edge is nearest in Hz */
	bool   inside;                       /* edges are inside */
	double edge;                         /* Hz to the nearest edge of that band: above zero inside, below outside */
} rw_band_place;

/* errs RW_E_RANGE no frequency, no bands */
RW_MUST_USE rw_status rw_band_of(const rw_bands *bands, double frequency, rw_band_place *out, rw_error *err);

typedef struct rw_band_span {
	int    band;                         /* that of the middle of the span */
	bool   held;                         /* the whole span lies in it */
	double low, high;                    /* Hz, as given */
	double moved;                        /* 1, the span over its middle */
	double width;                        /* 1, the band over its centre: more than this no choice of the middle can hold */
	double below, above;                 /* Hz from the band's lower edge up to low, from high up to its upper edge; below zero: outside */
} rw_band_span;

/* A free-running set whose frequency moves from low to high, in any order, as its load changes.   errs as rw_band_of */
RW_MUST_USE rw_status rw_band_hold(const rw_bands *bands, double low, double high, rw_band_span *out, rw_error *err);

/* That as one sentence, without a full stop: "moves by 2.38 % and leaves the band of 13.553 to 13.567 MHz, which is 0.103 % wide". */
void rw_band_tell(const rw_bands *bands, const rw_band_span *span, char text[RW_BAND_TEXT]);

#endif
