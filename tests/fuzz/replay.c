/* Replays a corpus through one fuzz target with any compiler: replay DIRECTORY... ; a fault ends the process as in the fuzzer.
 * Exit code 0: all files replayed; 1: a directory or file could not be read, or there was none. */
#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/base.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { FILE_BYTES_MAX = 1 << 20 };

static int replay_file(const char *path)
{
	FILE *file = fopen(path, "rb");
	uint8_t *data = malloc(FILE_BYTES_MAX);
	int done = 0;
	if (file && data) {
		size_t n = fread(data, 1, FILE_BYTES_MAX, file);
		/* a copy of just that size, so that the sanitizer sees a read past the end */
		uint8_t *exact = malloc(n > 0 ? n : 1);
		done = exact && !ferror(file);
		if (done) {
			memcpy(exact, data, n);
			LLVMFuzzerTestOneInput(exact, n);
		}
		free(exact);
	}
	if (!done)
		fprintf(stderr, "%s could not be read\n", path);
	free(data);
	if (file)
		fclose(file);
	return done;
}

/* Files replayed; 0 on any failure. */
static int replay_directory(const char *name)
{
	DIR *directory = opendir(name);
	if (!directory) {
		perror(name);
		return 0;
	}
	int n = 0, good = 1;
	for (struct dirent *entry; (entry = readdir(directory));) {
		char path[1024];
		if (entry->d_name[0] == '.')
			continue;
		snprintf(path, sizeof path, "%s/%s", name, entry->d_name);
		good = replay_file(path) && good;
		n++;
	}
	closedir(directory);
	return good ? n : 0;
}

int main(int argc, char **argv)
{
	rw_base_init();
	int all = argc > 1;
	for (int i = 1; i < argc; i++) {
		int n = replay_directory(argv[i]);
		printf("%s: %d files\n", argv[i], n);
		all = all && n > 0;
	}
	return all ? 0 : 1;
}
