/* A figure by its key, as it is printed everywhere. */
#include "cli/cli.h"
#include "item/figure.h"

void rw_key_text(const rw_session *session, const rw_view *view, const char *key, char *out, size_t room)
{
	rw_slot slot;
	snprintf(out, room, "\u2014");
	if (rw_slot_find(view, key, RW_NO_ELEMENT, &slot, NULL) == RW_OK && rw_item_exists(view, slot))
		rw_figure_print(view, session->units, slot, out, room);
}
