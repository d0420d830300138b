/* What reads, writes; what was written reads, means the same, and writes the same. A fault stands inside the text. */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "formula_host.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define MUST(condition) do { if (!(condition)) abort(); } while (0)

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	rw_arena arena;
	rw_arena_init(&arena);
	const char *text = rw_arena_text(&arena, (const char *)data, size);
	const rw_expr *expr, *again;
	rw_error err;
	if (rw_expr_read(&arena, text, &expr, &err) == RW_OK) {
		rw_text once, twice;
		rw_text_init(&once);
		rw_text_init(&twice);
		rw_expr_write(expr, &once, NULL, NULL);
		MUST(rw_expr_read(&arena, once.bytes, &again, &err) == RW_OK);
		rw_expr_write(again, &twice, NULL, NULL);
		MUST(strcmp(once.bytes, twice.bytes) == 0);
		formula_both_alike(expr, again);
		rw_text_release(&once);
		rw_text_release(&twice);
	} else {
		MUST(err.line == 1 && err.column >= 1 && err.column + err.length <= strlen(text) + 2);
	}
	rw_arena_release(&arena);
	return 0;
}
