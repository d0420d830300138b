#include <math.h>
#include <string.h>

#include "cli/cli.h"
#include "work/material.h"

static const char shelf[] = "materials";
static const double shown_at = 300.0;   /* K: where the tables of most metals begin */

static const char *text_of(const void *entry, const char *key)
{
	const rw_fact *fact = rw_entry_fact(entry, key);
	return fact ? fact->value : NULL;
}

/* A property as it is printed, at 300 K or where the material begins to be; a dash where it is not known. */
static void put_property(rw_session *session, const rw_material *material, rw_property property, char out[64])
{
	double value, temperature = fmax(shown_at, isnan(material->temperature_min) ? 0.0 : material->temperature_min);
	if (rw_material_at(material, property, temperature, &value, NULL) == RW_OK)
		rw_units_print(session->units, rw_property_columns(property)[1].kind, value, 3, out, 64);
	else
		snprintf(out, 64, "\u2014");
}

/* The worst status of all figures. */
static const char *worst_status(const rw_entry *entry)
{
	static const char *const statuses[] = {"invented", "memory", "derived"};
	for (int s = 0; s < 3; s++)
		for (int i = 0; i < entry->n_facts; i++)
			if (strcmp(entry->facts[i].status, statuses[s]) == 0)
				return statuses[s];
	return "read";
}

static int list(const rw_cli *cli, rw_session *session, const char *name)
{
	(void)name;
	const char *const headings[] = {"Material", "What it is", ">Resistivity", ">Heat capacity", ">Conductivity", "Least sure"};
	static const rw_property properties[] = {RW_RESISTIVITY, RW_HEAT_CAPACITY, RW_CONDUCTIVITY};
	rw_grid *grid = rw_grid_new(headings, 6);
	rw_error err;
	for (int i = 0; i < rw_library_count(session->base.library, shelf); i++) {
		const rw_entry *entry;
		rw_material material;
		char text[3][64];
		if (rw_library_entry(session->base.library, &session->arena, shelf, rw_library_name(session->base.library, shelf, i), &entry,
		    &err) != RW_OK ||
		    rw_material_read(&session->arena, session->units, entry->name, text_of, entry, &material, &err) != RW_OK)
			return rw_entry_report(cli, &err);
		for (int p = 0; p < 3; p++)
			put_property(session, &material, properties[p], text[p]);
		rw_grid_row(grid, (const char *const[]){entry->name, entry->title, text[0], text[1], text[2], worst_status(entry)});
	}
	rw_grid_print(grid);
	printf("At 300 K, liquids at their melting point. Data from memory and invented data are unverified wherever they are used: read the "
	    "maker's sheet.\n");
	return 0;
}

static int show(const rw_cli *cli, rw_session *session, const char *name)
{
	return rw_entry_show(cli, session, shelf, name);
}

int rw_cmd_material(const rw_cli *cli, int argc, char **argv)
{
	static const char usage[] = "Usage: rfwright material list | show NAME\n"
	                            "list: the library's materials at 300 K. show: every figure with status and source, tables whole.\n";
	static const rw_entry_action actions[] = {{"list", false, list}, {"show", true, show}};
	return rw_entry_command(cli, actions, 2, usage, argc, argv);
}
