/* Every source a table names is in data/sources; every rule has words and a source. */
#include "law.h"

static int missing;

static void want(const rw_library *library, const char *room, const char *key, const char *source)
{
	if (source && rw_library_source(library, source))
		return;
	print_error("%s.%s: source '%s' is not in data/sources/sources.yaml\n", room, key, source ? source : "(none)");
	missing++;
}

static void every_source_exists(void **state)
{
	(void)state;
	law_base base;
	law_open(&base);
	missing = 0;
	const rw_registry *registry = rw_all_stages.registry;
	for (int r = 0; r < registry->n_rooms; r++) {
		const rw_room *room = registry->rooms[r];
		for (int i = 0; i < room->n_items; i++) {
			const rw_item *item = &room->items[i];
			for (int f = 0; f < item->n_formulas; f++)
				want(base.chain.library, room->name, item->key, item->formulas[f].source);
			if (item->input && item->input->rule) {
				want(base.chain.library, room->name, item->key, item->input->rule_source);
				assert_true(item->input->rule_text && item->input->rule_text[0]);
			}
			assert_true(item->text && item->text[0] && item->symbol);
			assert_true(item->input || item->n_formulas > 0);   /* a result without a formula could not be explained */
		}
		for (int l = 0; l < room->n_limits; l++) {
			want(base.chain.library, room->name, room->limits[l].key, room->limits[l].source);
			assert_true(room->limits[l].remedy && room->limits[l].remedy[0] && strlen(room->limits[l].text) < 70);
		}
	}
	assert_int_equal(missing, 0);
	law_close(&base);
}

int main(void)
{
	const struct CMUnitTest tests[] = {cmocka_unit_test(every_source_exists)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
