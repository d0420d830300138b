/* Figures of the valve's part of the generator file. Limits on them stand in the oscillator room. */
#include "item/rows.h"
#include "valve/valve.h"

#define LIBRARY RW_FORMULAS(RW_BY_METHOD("value of the library entry", "valve.type", "valve-data"))
#define ENTRY   RW_RULE("library", "the valve's entry", "valve-data")
#define PART(member, kind, symbol, text) RW_NUMBER_OF(rw_valve_in, member, kind, symbol, text), .role = RW_PART, .scope = RW_PER_SET, LIBRARY
#define SHARE(member, text, role_) RW_NUMBER_OF(rw_valve_in, member, fraction, "", text), .role = (role_), .scope = RW_PER_SET
#define SEVERAL(several, alone) RW_FORMULAS(RW_IS_WHEN("oscillator.valves > 1", several, "valve-practice"), \
                                            RW_IS_WHEN("oscillator.valves <= 1", alone, "valve-practice"))
#define CHOICE(member, text_) \
	.key = #member, .offset = offsetof(rw_valve_in, member), .type = RW_CHOICE, .role = RW_PART, .scope = RW_PER_SET, .symbol = "", .text = (text_)

static const char *const laws[] = {"divided", "points", NULL};
static const char *const cathodes[] = {"thoriated", "tungsten", "oxide", NULL};

static const rw_item items[] = {
	{.key = "type", .offset = offsetof(rw_valve_in, type), .type = RW_TEXT, .role = RW_PART, .scope = RW_PER_SET, .symbol = "",
	 .text = "type of the valve: its library entry", RW_INPUT(.required = true)},
	{CHOICE(law, "law of the characteristic"),
	 RW_FORMULAS(RW_BY_METHOD("points when the file gives them, else divided", "valve.points", "rules-of-practice")),
	     RW_INPUT(.choices = laws, RW_RULE("R1", "points when the file gives them, else divided", "rules-of-practice"))},
	{.key = "points", .offset = offsetof(rw_valve_in, points), .type = RW_TABLE, .role = RW_PART, .scope = RW_PER_SET, .symbol = "",
	 .text = "published points of the characteristic", .uncertainty = 0.05, LIBRARY,
	 RW_INPUT(.columns = rw_valve_points_columns, .n_columns = 4, .min_rows = RW_POINTS_LEAST * RW_POINTS_LEAST, .optional = true, ENTRY)},
	{PART(perveance, perveance, "P", "perveance of the space current"), .uncertainty = 0.1, RW_INPUT(RW_OVER_TO(0.0, 1.0), ENTRY)},
	{PART(mu, number, "\u03bc", "amplification factor"), .uncertainty = 0.05, RW_INPUT(RW_OVER_TO(1.0, 1000.0), ENTRY)},
	{PART(division, number, "d", "anode to grid current at equal volts"), .uncertainty = 0.3, RW_INPUT(RW_OVER_TO(0.0, 100.0), ENTRY)},
	{PART(emission, current_pk, "I_s", "greatest space current the cathode gives"), .uncertainty = 0.2,
	    RW_INPUT(RW_OVER_TO(0.0, 1e5), .optional = true, ENTRY)},
	{CHOICE(cathode, "kind of cathode"), LIBRARY, RW_INPUT(.choices = cathodes, ENTRY)},
	{PART(anode_voltage_max, voltage_dc, "V_A,max", "greatest anode volts"), RW_INPUT(RW_OVER_TO(0.0, 1e5), ENTRY)},
	{PART(anode_dissipation_max, power, "P_a,max", "greatest anode dissipation"), RW_INPUT(RW_OVER_TO(0.0, 1e7), ENTRY)},
	{PART(anode_current_max, current_dc, "I_a,max", "greatest anode current"), RW_INPUT(RW_OVER_TO(0.0, 1e4), .optional = true, ENTRY)},
	{PART(grid_current_max, current_dc, "I_g,max", "greatest grid current, loaded"), RW_INPUT(RW_OVER_TO(0.0, 1e3), ENTRY)},
	{PART(grid_current_max_unloaded, current_dc, "I_g,max0", "greatest grid current without load"),
	    RW_INPUT(RW_OVER_TO(0.0, 1e3), .optional = true, ENTRY)},
	{PART(grid_dissipation_max, power, "P_g,max", "greatest grid dissipation"), RW_INPUT(RW_OVER_TO(0.0, 1e6), .optional = true, ENTRY)},
	{PART(cathode_current_pk_max, current_pk, "i_k,max", "greatest cathode current, peak"),
	    RW_INPUT(RW_OVER_TO(0.0, 1e5), .optional = true, ENTRY)},
	{PART(grid_voltage_min, voltage_dc, "V_g,min", "greatest negative grid bias"), RW_INPUT(RW_FROM_TO(-1e5, 0.0), .optional = true, ENTRY)},
	{PART(anode_grid_capacitance, capacitance, "C_ag", "capacitance from anode to grid"), RW_INPUT(RW_OVER_TO(0.0, 1e-8), .optional = true, ENTRY)},
	{PART(grid_cathode_capacitance, capacitance, "C_gk", "capacitance from grid to cathode"),
	    RW_INPUT(RW_OVER_TO(0.0, 1e-8), .optional = true, ENTRY)},
	{PART(anode_cathode_capacitance, capacitance, "C_ak", "capacitance from anode to cathode"),
	    RW_INPUT(RW_OVER_TO(0.0, 1e-8), .optional = true, ENTRY)},
	{.key = "parallel", .offset = offsetof(rw_valve_in, parallel), .type = RW_INTEGER, .role = RW_PART, .scope = RW_PER_SET, .kind = &rw_kind_count,
	 .symbol = "n_p", .text = "valves side by side on each side of the tank, each with its own grid leak", RW_FORMULAS(RW_IS("1", "rules-of-practice")),
	 RW_INPUT(RW_FROM_TO(1, 16), RW_RULE("R20", "one", "rules-of-practice"))},
	{SHARE(spread_perveance, "how far the perveance of one valve may lie from the mean of the type", RW_ASSUMED), SEVERAL("0.1", "0"),
	 RW_INPUT(.min = 0.0, .max = 0.5, RW_RULE("R20", "10 % where several valves share, 0 for one alone", "valve-practice"))},
	{SHARE(spread_mu, "how far the amplification factor of one valve may lie from the mean of the type", RW_ASSUMED), SEVERAL("0.05", "0"),
	 RW_INPUT(.min = 0.0, .max = 0.5, RW_RULE("R20", "5 % where several valves share, 0 for one alone", "valve-practice"))},
	{SHARE(parallel_derating, "share of anode dissipation and anode current allowed where several valves share", RW_PART), SEVERAL("0.9", "1"),
	 RW_INPUT(RW_OVER_TO(0.0, 1.0), RW_RULE("R20", "90 % where several valves share, all of it for one alone", "valve-practice"))},
	{SHARE(grid_margin, "share of the grid current's limits to keep free where several valves share", RW_PART), SEVERAL("0.3", "0"),
	 RW_INPUT(.min = 0.0, .max = 0.9, RW_RULE("R20", "30 % where several valves share, 0 for one alone", "valve-practice"))},
	{RW_NUMBER_OF(rw_valve_in, worn_perveance, fraction, "", "perveance a worn valve has left"), .role = RW_ASSUMED, .scope = RW_PER_SET,
	 RW_FORMULAS(RW_IS("0.9", "valve-practice")), RW_INPUT(RW_OVER_TO(0.0, 1.0), RW_RULE("R20", "90 %", "valve-practice"))},
	{RW_NUMBER_OF(rw_valve_in, worn_emission, fraction, "", "emission a worn valve has left, where its emission is given"), .role = RW_ASSUMED,
	 .scope = RW_PER_SET, RW_FORMULAS(RW_IS("0.7", "valve-practice")), RW_INPUT(RW_OVER_TO(0.0, 1.0), RW_RULE("R20", "70 %", "valve-practice"))},
	{PART(frequency_max, frequency, "f_max", "greatest frequency at full ratings"), RW_INPUT(RW_OVER_TO(0.0, 1e11), .optional = true, ENTRY)},
	{PART(frequency_max_derated, frequency, "f_max'", "greatest frequency with the derated share of anode volts and dissipation"),
	    RW_INPUT(RW_OVER_TO(0.0, 1e11), .optional = true, ENTRY)},
	{PART(derated_share, fraction, "", "share of anode volts and dissipation at that frequency"),
	    RW_INPUT(RW_OVER_TO(0.0, 1.0), .optional = true, ENTRY)},
	{PART(grid_resistance_max, resistance, "R_g,max", "greatest resistance of the grid's circuit"),
	    RW_INPUT(RW_OVER_TO(0.0, 1e9), .optional = true, ENTRY)},
	{PART(seal_temperature_max, temperature, "T_seal,max", "greatest temperature of seals and envelope"),
	    RW_INPUT(RW_FROM_TO(273.15, 1000.0), .optional = true, ENTRY)},
	{PART(water_flow_min, flow, "Q_min", "least water of each valve at full anode dissipation"),
	    RW_INPUT(RW_OVER_TO(0.0, 1.0), .optional = true, ENTRY)},
	{PART(water_flow_filament, flow, "Q_fil", "least water of each valve with the filament alone"),
	    RW_INPUT(RW_OVER_TO(0.0, 1.0), .optional = true, ENTRY)},
	{PART(air_flow_min, flow, "Q_air", "least air of each valve at seals and socket"), RW_INPUT(RW_OVER_TO(0.0, 100.0), .optional = true, ENTRY)},
	{PART(flash_arc_energy_max, energy, "W_arc,max", "greatest energy of a flash-arc, by its maker"),
	    RW_INPUT(RW_OVER_TO(0.0, 1e5), .optional = true, ENTRY)},
};

const rw_room rw_valve_room = {
	.name = "valve", .text = "Valve", .in_size = sizeof(rw_valve_in), .items = items, .n_items = (int)(sizeof items / sizeof items[0]),
};
