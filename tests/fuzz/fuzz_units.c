/* Reading of quantities: first byte the kind, the rest the text. What is accepted must survive writing and reading exactly; what is
 * refused must be explained. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static rw_units *units;   /* made once for all inputs; ends with the process */
	if ((!units && rw_units_new(&units, NULL) != RW_OK) || size < 1)
		return 0;
	const rw_kind *kind = rw_kind_at(data[0] % rw_kinds_number());
	char *text = calloc(1, size), written[64], printed[64];
	if (!text)
		return 0;
	memcpy(text, data + 1, size - 1);
	rw_error err;
	double si = 0.0, again = 1.0;
	if (rw_units_read(units, kind, text, &si, &err) == RW_OK) {
		rw_units_write(units, kind, si, written, sizeof written);
		if (rw_units_read(units, kind, written, &again, &err) != RW_OK || again != si)
			abort();
		rw_units_print(units, kind, si, 2 + data[0] % 5, printed, sizeof printed);
		if (strlen(printed) + 1 >= sizeof printed)
			abort();
	} else if (!err.what[0] || !err.expected[0]) {
		abort();
	}
	free(text);
	return 0;
}
