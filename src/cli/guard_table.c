/* Trips and meters, as they stand on the wall: what each pointer shows, and where its trip is. */
#include <stdio.h>
#include <string.h>

#include "cli/cli.h"

/* One meter: its scale, the figures its pointer goes through, the trips on it. */
typedef struct meter { const char *name, *scale, *least, *normal, *greatest, *under, *over; } meter;

static const meter meters[] = {
    {"HT", "meters.voltage_scale", "meters.voltage_reading_least", "meters.voltage_reading_normal", "meters.voltage_reading_greatest", "", ""},
    {"Anode", "meters.anode_scale", "meters.anode_reading_least", "meters.anode_reading_normal", "meters.anode_reading_greatest", "",
     "protection.anode_over_trip"},
    {"Grid, each valve", "meters.grid_scale", "meters.grid_reading_least", "meters.grid_reading_normal", "meters.grid_reading_greatest",
     "protection.grid_under_trip", "protection.grid_over_trip"},
    {"Filament, volts", "meters.filament_voltage_scale", "", "filament.voltage_rms", "", "", ""},
    {"Filament, amps", "meters.filament_current_scale", "", "filament.current_rms", "", "", ""},
    {"Frequency", "", "meters.frequency_least", "meters.frequency_normal", "meters.frequency_greatest", "", ""},
};

/* A line of figures with words between them: "%" stands for the next figure. A line whose figure is missing is left out. */
static void put_line(const rw_session *session, const rw_view *view, const char *words, const char *const *keys)
{
	char text[96], line[600];
	size_t n = 0;
	for (const char *p = words; *p && n + sizeof text < sizeof line; p++) {
		if (*p != '%') {
			line[n++] = *p;
			continue;
		}
		rw_key_text(session, view, *keys++, text, sizeof text);
		if (strcmp(text, "\u2014") == 0)
			return;
		n += (size_t)snprintf(line + n, sizeof line - n, "%s", text);
	}
	line[n] = '\0';
	printf("%s\n", line);
}

void rw_print_guards(const rw_cli *cli, const rw_session *session)
{
	const char *const headings[] = {"Meter", ">Scale", ">Least", ">Normal", ">Greatest", ">Trip under", ">Trip over"};
	rw_view view = rw_chain_view(&session->chain, 0, RW_NO_CASE);
	printf("\n%sTrips and meters%s\n", cli->color_out ? "\033[1m" : "", cli->color_out ? "\033[0m" : "");
	rw_grid *grid = rw_grid_new(headings, 7);
	for (size_t i = 0; i < sizeof meters / sizeof meters[0]; i++) {
		const meter *m = &meters[i];
		const char *const keys[] = {m->scale, m->least, m->normal, m->greatest, m->under, m->over};
		char cell[6][96];
		const char *cells[7] = {m->name};
		for (int c = 0; c < 6; c++) {
			cell[c][0] = '\0';
			if (keys[c][0])
				rw_key_text(session, &view, keys[c], cell[c], sizeof cell[c]);
			cells[c + 1] = cell[c];
		}
		rw_grid_row(grid, cells);
	}
	rw_grid_print(grid);
	put_line(session, &view, "The anode meter stands in: %; the grid leak comes back to %, the bleeder to %.",
	    (const char *const[]){"meters.anode_place", "meters.leak_foot", "meters.bleeder_foot"});
	put_line(session, &view, "Not oscillating, the valves take % at mains low: % times the anode trip; the grid-under trip acts in %, then % until cleared: % in each anode at mains high.",
	    (const char *const[]){"fault.stopped_current_low", "protection.stopped_over_share", "protection.grid_under_time", "protection.clearing_time", "protection.stopped_energy"});
	put_line(session, &view, "Flash-arc, its drop % or %: capacitors % or %; supply % or %, cleared in %.",
	    (const char *const[]){"protection.arc_voltage_low", "protection.arc_voltage_high", "protection.arc_capacitor_energy_low",
	        "protection.arc_capacitor_energy_high", "protection.follow_on_energy_low", "protection.follow_on_energy_high",
	        "protection.clearing_time"});
	put_line(session, &view, "The supply cleared in %: % at a drop of %; without a crowbar % would hold it under %.",
	    (const char *const[]){"protection.fast_clearing_time", "protection.follow_on_energy_fast", "protection.arc_voltage_high",
	        "protection.clearing_time_guide", "protection.arc_energy_guide"});
	printf("Trip settings and meters by rule are a proposal: prove each trip at its setting before the set is used.\n");
}
