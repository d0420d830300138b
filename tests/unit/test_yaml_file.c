/* Files read whole and saved so that no reader ever sees half of one. */
#include <dirent.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "tests/check.h"
#include "yaml/yaml.h"

typedef struct place { char directory[64], file[96], link[96]; } place;

static int set_up(void **state)
{
	place *p = calloc(1, sizeof *p);
	if (!p)
		return -1;
	const char *room = getenv("TMPDIR");
	snprintf(p->directory, sizeof p->directory, "%.40s/rw-file-XXXXXX", room ? room : "/tmp");
	if (!mkdtemp(p->directory))
		return -1;
	snprintf(p->file, sizeof p->file, "%s/set.yaml", p->directory);
	snprintf(p->link, sizeof p->link, "%s/link.yaml", p->directory);
	*state = p;
	return 0;
}

static int count_files(const char *directory, bool remove)
{
	int n = 0;
	DIR *d = opendir(directory);
	for (struct dirent *entry; d && (entry = readdir(d)) != NULL;) {
		if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
			continue;
		n++;
		if (remove)
			unlinkat(dirfd(d), entry->d_name, 0);
	}
	if (d)
		closedir(d);
	return n;
}

static int tear_down(void **state)
{
	place *p = *state;
	count_files(p->directory, true);
	int code = rmdir(p->directory);
	free(p);
	return code;
}

static void expect_content(const char *path, const char *want)
{
	rw_arena arena;
	rw_arena_init(&arena);
	char *bytes = NULL;
	size_t n = 0;
	rw_error err;
	CHECK_OK(rw_file_read(&arena, path, &bytes, &n, &err), &err);
	assert_int_equal(n, strlen(want));
	assert_string_equal(bytes, want);
	rw_arena_release(&arena);
}

static rw_status save(const char *path, const char *was, const char *text, rw_error *err)
{
	return rw_file_save(path, was, was ? strlen(was) : 0, text, strlen(text), err);
}

static void new_then_changed(void **state)
{
	const place *p = *state;
	rw_error err = {0};
	CHECK_OK(save(p->file, NULL, "ht: 8.35 kV\n", &err), &err);
	expect_content(p->file, "ht: 8.35 kV\n");
	assert_int_equal(save(p->file, NULL, "x", &err), RW_E_CHANGED);
	assert_non_null(strstr(err.what, "exists already"));
	assert_int_equal(chmod(p->file, 0640), 0);
	CHECK_OK(save(p->file, "ht: 8.35 kV\n", "ht: 9.17 kV\n", &err), &err);
	expect_content(p->file, "ht: 9.17 kV\n");
	struct stat st;
	assert_int_equal(stat(p->file, &st), 0);
	assert_int_equal(st.st_mode & 07777, 0640);
	assert_int_equal(count_files(p->directory, false), 1);
}

static void mode_of_a_new_file_follows_the_mask(void **state)
{
	const place *p = *state;
	mode_t before = umask(027);
	rw_error err = {0};
	CHECK_OK(save(p->file, NULL, "", &err), &err);
	umask(before);
	struct stat st;
	assert_int_equal(stat(p->file, &st), 0);
	assert_int_equal(st.st_mode & 07777, 0640);
	expect_content(p->file, "");
}

static void conflicts_are_refused(void **state)
{
	const place *p = *state;
	rw_error err = {0};
	CHECK_OK(save(p->file, NULL, "ht: 8.35 kV\n", &err), &err);
	assert_int_equal(save(p->file, "ht: 8.36 kV\n", "mine", &err), RW_E_CHANGED);
	assert_string_equal(err.file, p->file);
	assert_non_null(strstr(err.what, "was changed by another program"));
	assert_int_equal(save(p->file, "ht: 8.35 kV\nmore: 1\n", "mine", &err), RW_E_CHANGED);
	expect_content(p->file, "ht: 8.35 kV\n");
	assert_int_equal(count_files(p->directory, false), 1);
	assert_int_equal(unlink(p->file), 0);
	assert_int_equal(save(p->file, "ht: 8.35 kV\n", "mine", &err), RW_E_CHANGED);
	assert_non_null(strstr(err.what, "is no longer there"));
	assert_int_equal(count_files(p->directory, false), 0);
}

static void links_are_written_through(void **state)
{
	const place *p = *state;
	rw_error err = {0};
	assert_int_equal(symlink("set.yaml", p->link), 0);
	assert_int_equal(save(p->link, NULL, "x", &err), RW_E_IO);   /* points to nothing */
	CHECK_OK(save(p->file, NULL, "a: 2.385\n", &err), &err);
	CHECK_OK(save(p->link, "a: 2.385\n", "a: 3.385\n", &err), &err);
	struct stat st;
	assert_int_equal(lstat(p->link, &st), 0);
	assert_true(S_ISLNK(st.st_mode));
	expect_content(p->file, "a: 3.385\n");
	assert_int_equal(count_files(p->directory, false), 2);
}

static void faults_of_the_system_are_told(void **state)
{
	const place *p = *state;
	rw_arena arena;
	rw_arena_init(&arena);
	char *bytes = NULL;
	size_t n = 0;
	rw_error err = {0};
	assert_int_equal(rw_file_read(&arena, p->file, &bytes, &n, &err), RW_E_IO);
	assert_non_null(strstr(err.what, "No such file or directory"));
	assert_string_equal(err.file, p->file);
	assert_int_equal(rw_file_read(&arena, p->directory, &bytes, &n, &err), RW_E_IO);
	assert_non_null(strstr(err.what, "Is a directory"));
	assert_null(bytes);
	assert_int_equal(save(p->directory, "", "x", &err), RW_E_IO);
	char deep[160];
	snprintf(deep, sizeof deep, "%s/none/set.yaml", p->directory);
	assert_int_equal(save(deep, NULL, "x", &err), RW_E_IO);
	assert_non_null(strstr(err.what, "No such file or directory"));
	if (geteuid() != 0) {   /* the superuser may write anything */
		CHECK_OK(save(p->file, NULL, "a: 1\n", &err), &err);
		assert_int_equal(chmod(p->file, 0444), 0);
		assert_int_equal(save(p->file, "a: 1\n", "a: 2\n", &err), RW_E_IO);
		expect_content(p->file, "a: 1\n");
	}
	rw_arena_release(&arena);
}

static void size_is_limited(void **state)
{
	const place *p = *state;
	rw_arena arena;
	rw_arena_init(&arena);
	char *bytes = NULL;
	size_t n = 0;
	rw_error err = {0};
	int file = open(p->file, O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
	assert_true(file >= 0);
	assert_int_equal(ftruncate(file, RW_YAML_BYTES_MAX), 0);
	CHECK_OK(rw_file_read(&arena, p->file, &bytes, &n, &err), &err);
	assert_int_equal(n, RW_YAML_BYTES_MAX);
	assert_int_equal(ftruncate(file, RW_YAML_BYTES_MAX + 1), 0);
	assert_int_equal(rw_file_read(&arena, p->file, &bytes, &n, &err), RW_E_SYNTAX);
	close(file);
	rw_arena_release(&arena);
}

#define IN_A_PLACE(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
	const struct CMUnitTest tests[] = {
		IN_A_PLACE(new_then_changed),
		IN_A_PLACE(mode_of_a_new_file_follows_the_mask),
		IN_A_PLACE(conflicts_are_refused),
		IN_A_PLACE(links_are_written_through),
		IN_A_PLACE(faults_of_the_system_are_told),
		IN_A_PLACE(size_is_limited),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
