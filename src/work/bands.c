#include "work/bands.h"

#include <math.h>
#include <stdio.h>

const rw_column rw_band_columns[RW_BAND_COLUMNS] = {
	{"centre", &rw_kind_frequency, true, 1e3, 1e12},       {"lower", &rw_kind_frequency, true, 1e3, 1e12},
	{"upper", &rw_kind_frequency, true, 1e3, 1e12},        {"footnote", &rw_kind_number, false, 5.0, 6.0},
	{"region", &rw_kind_number, false, 0.0, 3.0},
};

static rw_status add_table(const char *key, const rw_table *table, rw_bands *bands, rw_error *err)
{
	if (bands->n + table->n_rows > RW_BANDS_MAX)
		return RW_RAISE(err, RW_E_VALUE, key, "'%d' bands are more than %d", bands->n + table->n_rows, (int)RW_BANDS_MAX);
	for (int i = 0; i < table->n_rows; i++) {
		rw_band b = {rw_table_cell(table, i, 0), rw_table_cell(table, i, 1), rw_table_cell(table, i, 2), rw_table_cell(table, i, 3),
		             rw_table_cell(table, i, 4)};
		if (!(b.lower < b.centre && b.centre < b.upper))
			return RW_RAISE(err, RW_E_VALUE, key, "the band at '%.6g MHz' does not hold its centre", b.centre / 1e6);
		if (bands->n > 0 && !(b.lower > bands->band[bands->n - 1].upper))
			return RW_RAISE(err, RW_E_VALUE, key, "the band at '%.6g MHz' is not above the one before it", b.centre / 1e6);
		bands->band[bands->n++] = b;
	}
	return RW_OK;
}

rw_status rw_bands_read(rw_arena *arena, const rw_units *units, rw_text_of text_of, const void *context, rw_bands *out, rw_error *err)
{
	static const char *const keys[] = {"bands_read", "bands_recalled"};
	rw_bands bands = {.n = 0};
	for (size_t k = 0; k < sizeof keys / sizeof *keys; k++) {
		const char *text = text_of(context, keys[k]);
		rw_table table;
		if (!text)
			return RW_RAISE(err, RW_E_MISSING, keys[k], "the table '%s' is not in the entry", keys[k]);
		RW_TRY(rw_table_read(arena, units, rw_band_columns, RW_BAND_COLUMNS, 1, text, &table, err));
		RW_TRY(add_table(keys[k], &table, &bands, err));
	}
	*out = bands;
	return RW_OK;
}

rw_status rw_band_of(const rw_bands *bands, double frequency, rw_band_place *out, rw_error *err)
{
	rw_band_place best = {0, false, -(double)INFINITY};
	if (!(frequency > 0.0 && isfinite(frequency)))
		return RW_RAISE(err, RW_E_RANGE, "", "a frequency of '%.6g Hz' lies in no band and near none", frequency);
	if (bands->n < 1)
		return RW_RAISE(err, RW_E_RANGE, "", "'%.6g MHz' is asked for among no bands", frequency / 1e6);
	for (int i = 0; i < bands->n; i++) {                           /* bands do not overlap: the greatest is the one it lies in */
		double edge = fmin(frequency - bands->band[i].lower, bands->band[i].upper - frequency);
		if (edge > best.edge)
			best = (rw_band_place){i, edge >= 0.0, edge};
	}
	*out = best;
	return RW_OK;
}

rw_status rw_band_hold(const rw_bands *bands, double low, double high, rw_band_span *out, rw_error *err)
{
	double from = fmin(low, high), to = fmax(low, high), middle = 0.5 * (from + to);
	rw_band_place end, at;
	RW_TRY(rw_band_of(bands, low, &end, err));                     /* that either end is a frequency */
	RW_TRY(rw_band_of(bands, high, &end, err));
	RW_TRY(rw_band_of(bands, middle, &at, err));
	const rw_band *b = &bands->band[at.band];
	double below = from - b->lower, above = b->upper - to;
	*out = (rw_band_span){at.band, below >= 0.0 && above >= 0.0, from, to, (to - from) / middle, (b->upper - b->lower) / b->centre, below, above};
	return RW_OK;
}

void rw_band_tell(const rw_bands *bands, const rw_band_span *span, char text[RW_BAND_TEXT])
{
	const rw_band *b = &bands->band[span->band];
	bool apart = span->high < b->lower || span->low > b->upper;
	const char *verb = span->held ? "stays within" : apart ? "lies outside" : "leaves";
	const char *nearest = apart ? "the nearest band, that" : "the band";
	snprintf(text, RW_BAND_TEXT, "moves by %.3g %% and %s %s of %.8g to %.8g MHz, which is %.3g %% wide", 100.0 * span->moved, verb, nearest,
	         b->lower / 1e6, b->upper / 1e6, 100.0 * span->width);
}
