/* Data entries: whatever is accepted has source, status and value behind every figure, within the text; whatever is refused is told where. */
#include <stdlib.h>
#include <string.h>

#include "library/library.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void visit(const rw_entry *entry, size_t size)
{
	size_t n = strlen(entry->name) + strlen(entry->title);
	for (int i = 0; i < entry->n_facts; i++) {
		const rw_fact *fact = &entry->facts[i];
		n += strlen(fact->block) + strlen(fact->key) + strlen(fact->value) + strlen(fact->source) + strlen(fact->status);
		n += fact->conditions ? strlen(fact->conditions) : 0;
		if (fact->at.start > fact->at.end || fact->at.end > size || fact->at.line == 0 || rw_entry_fact(entry, fact->key) != fact || !fact->value[0])
			abort();
	}
	if (n == 0 || strlen(entry->digest) != 64)
		abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	rw_arena arena;
	rw_entry entry;
	rw_error err;
	rw_arena_init(&arena);
	rw_status status = rw_entry_read(&arena, "fuzz.yaml", (const char *)data, size, &entry, &err);
	if (status == RW_OK)
		visit(&entry, size);
	else if (!err.what[0] || err.status != status)
		abort();
	rw_arena_release(&arena);
	return 0;
}
