#include "filament/wire.h"

#include <math.h>

#define PI 3.14159265358979323846

enum { KELVIN, RESISTIVITY, EMISSIVITY, HEAT_CAPACITY = 1 };

static const double stefan_boltzmann = 5.670374e-8;   /* W/m2/K4 */

const rw_column rw_tungsten_columns[RW_TUNGSTEN_COLUMNS] = {
	{"temperature", &rw_kind_temperature, true, 100.0, 3695.0},
	{"resistivity", &rw_kind_resistivity, false, 1e-9, 2e-6},
	{"emissivity", &rw_kind_number, false, 1e-3, 1.0},
};
const rw_column rw_tungsten_heat_columns[RW_TUNGSTEN_HEAT_COLUMNS] = {
	{"temperature", &rw_kind_temperature, true, 100.0, 3695.0},
	{"heat_capacity", &rw_kind_heat_capacity, false, 10.0, 1000.0},
};

/* By the table; past its ends straight on. */
static double at(const rw_table *table, int column, double temperature)
{
	double low = rw_table_cell(table, 0, KELVIN), high = rw_table_cell(table, table->n_rows - 1, KELVIN);
	double inside = fmin(fmax(temperature, low), high), y = (double)NAN, slope = 0.0;
	if (rw_table_at(table, KELVIN, column, inside, &y, NULL) != RW_OK)
		return (double)NAN;   /* a temperature that is none */
	if (inside != temperature && rw_table_slope(table, KELVIN, column, inside, &slope, NULL) != RW_OK)
		return (double)NAN;
	return y + slope * (temperature - inside);
}

double rw_tungsten_resistivity(const rw_tungsten *tungsten, double temperature) { return at(&tungsten->properties, RESISTIVITY, temperature); }

double rw_tungsten_radiation(const rw_tungsten *tungsten, double temperature)
{
	double square = temperature * temperature;
	return at(&tungsten->properties, EMISSIVITY, temperature) * stefan_boltzmann * square * square;
}

double rw_tungsten_heat_capacity(const rw_tungsten *tungsten, double temperature) { return at(&tungsten->heat, HEAT_CAPACITY, temperature); }

/* Simpson's rule is exact for the table's straight lines between its rows; a step at each row would be wanted for more of them. */
double rw_tungsten_heat(const rw_tungsten *tungsten, double low, double high)
{
	double sum = 0.0, step = (high - low) / 16.0;
	for (int k = 0; k < 16; k++) {
		double from = low + k * step, to = from + step;
		sum += (rw_tungsten_heat_capacity(tungsten, from) + 4.0 * rw_tungsten_heat_capacity(tungsten, 0.5 * (from + to)) +
		        rw_tungsten_heat_capacity(tungsten, to)) * step / 6.0;
	}
	return sum;
}

double rw_tungsten_cold(const rw_tungsten *tungsten) { return rw_table_cell(&tungsten->properties, 0, KELVIN); }

double rw_emission(double a, double b, double temperature) { return a * temperature * temperature * exp(-b / temperature); }

/* Surface n pi d l radiates; resistance 4 rho l/(n pi d^2): hence d^3 = 4 rho A/(n^2 pi^2 R). */
void rw_wire_size(const rw_tungsten *tungsten, const rw_wire_want *want, rw_wire *out)
{
	double hot = want->hot_temperature, cold = rw_tungsten_cold(tungsten), n = want->strands;
	rw_wire w = {.want = *want, .tungsten = tungsten, .resistivity = rw_tungsten_resistivity(tungsten, hot),
	             .cold_resistivity = rw_tungsten_resistivity(tungsten, cold), .cold_radiation = rw_tungsten_radiation(tungsten, cold)};
	w.radiation = rw_tungsten_radiation(tungsten, hot) - w.cold_radiation;
	w.surface = want->power * (1.0 - want->lead_share) / w.radiation;
	w.diameter = cbrt(4.0 * w.resistivity * w.surface / (n * n * PI * PI * want->hot_resistance));
	w.length = want->hot_resistance * n * PI * w.diameter * w.diameter / (4.0 * w.resistivity);
	w.mass = tungsten->density * n * 0.25 * PI * w.diameter * w.diameter * w.length;
	*out = w;
}

static double resistance(const void *laws, double temperature)
{
	const rw_wire *w = laws;
	double share = (rw_tungsten_resistivity(w->tungsten, temperature) - w->cold_resistivity) / (w->resistivity - w->cold_resistivity);
	return w->want.cold_resistance + (w->want.hot_resistance - w->want.cold_resistance) * share;
}

static double loss(const void *laws, double temperature)
{
	const rw_wire *w = laws;
	double cold = rw_tungsten_cold(w->tungsten), rise = (temperature - cold) / (w->want.hot_temperature - cold);
	return w->surface * (rw_tungsten_radiation(w->tungsten, temperature) - w->cold_radiation) + w->want.lead_share * w->want.power * rise;
}

static double capacity(const void *laws, double temperature)
{
	const rw_wire *w = laws;
	return w->mass * rw_tungsten_heat_capacity(w->tungsten, temperature);
}

rw_hot_wire rw_wire_laws(const rw_wire *wire) { return (rw_hot_wire){resistance, loss, capacity, wire}; }
