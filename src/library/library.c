/* The data folder: sources and the shelves of entries. */
#include <dirent.h>
#include <errno.h>
#include <string.h>

#include "library/library_internal.h"

enum { SHELVES = 3, NAME_MAX_BYTES = 60 };

static const char *const shelf_names[SHELVES] = {"valves", "materials", "tables"};

struct shelf {
	int n;
	const char **names;     /* sorted */
};

struct rw_library {
	const char *dir;
	int n_sources;
	rw_source *sources;
	struct shelf shelves[SHELVES];
};

static rw_status read_sources(rw_arena *arena, rw_library *library, rw_error *err);
static rw_status read_source(const rw_tree *tree, const rw_node *node, rw_source *out, rw_error *err);
static rw_status read_names(rw_arena *arena, const char *dir, const char *name, struct shelf *out, rw_error *err);
static const struct shelf *shelf_of(const rw_library *library, const char *name);
static size_t entry_name_length(const char *file);
static void add_sorted(struct shelf *shelf, const char *name);

rw_status rw_library_open(rw_arena *arena, const char *dir, rw_library **out, rw_error *err)
{
	rw_library *library = RW_ARENA_NEW(arena, rw_library, 1);
	if (!library || !(library->dir = rw_arena_text(arena, dir, strlen(dir))))
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	RW_TRY(read_sources(arena, library, err));
	for (int i = 0; i < SHELVES; i++)
		RW_TRY(read_names(arena, dir, shelf_names[i], &library->shelves[i], err));
	*out = library;
	return RW_OK;
}

const char *rw_library_dir(const rw_library *library)
{
	return library->dir;
}

int rw_library_count(const rw_library *library, const char *shelf_name)
{
	const struct shelf *shelf = shelf_of(library, shelf_name);
	return shelf ? shelf->n : 0;
}

const char *rw_library_name(const rw_library *library, const char *shelf_name, int i)
{
	const struct shelf *shelf = shelf_of(library, shelf_name);
	return shelf && i >= 0 && i < shelf->n ? shelf->names[i] : NULL;
}

const rw_source *rw_library_source(const rw_library *library, const char *key)
{
	for (int i = 0; i < library->n_sources; i++)
		if (strcmp(library->sources[i].key, key) == 0)
			return &library->sources[i];
	return NULL;
}

rw_status rw_library_entry(rw_library *library, rw_arena *arena, const char *shelf_name, const char *name, const rw_entry **out, rw_error *err)
{
	const struct shelf *shelf = shelf_of(library, shelf_name);
	if (!shelf)
		return RW_RAISE(err, RW_E_KEY, "", "the library has no shelf '%s'", shelf_name);
	int i = 0;
	while (i < shelf->n && strcmp(shelf->names[i], name) != 0)
		i++;
	if (i == shelf->n) {                             /* so that nothing but a listed file is ever opened */
		rw_status status = RW_RAISE(err, RW_E_KEY, "", "'%s' is not in the library's %s", name, shelf_name);
		const char *nearest = rw_text_nearest(name, shelf->names, shelf->n);
		rw_error_expected(err, "the name of an entry of the library");
		if (nearest)
			rw_error_hint(err, "did you mean '%s'?", nearest);
		else
			rw_error_hint(err, shelf->n ? "the first of them is '%s'" : "the folder is empty%s", shelf->n ? shelf->names[0] : "");
		return status;
	}
	rw_entry *entry = RW_ARENA_NEW(arena, rw_entry, 1);
	const char *path = rw_arena_format(arena, "%s/%s/%s.yaml", library->dir, shelf_name, name);
	if (!entry || !path)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	char *bytes;
	size_t n;
	RW_TRY(rw_file_read(arena, path, &bytes, &n, err));
	RW_TRY(rw__entry_read(arena, library, name, path, bytes, n, entry, err));
	*out = entry;
	return RW_OK;
}

static rw_status read_sources(rw_arena *arena, rw_library *library, rw_error *err)
{
	const char *path = rw_arena_format(arena, "%s/sources/sources.yaml", library->dir);
	if (!path)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	char *bytes;
	size_t n;
	rw_tree *tree;
	RW_TRY(rw_file_read(arena, path, &bytes, &n, err));
	RW_TRY(rw_yaml_read(arena, path, bytes, n, &tree, NULL, err));
	RW_TRY(rw__format_check(tree, err));
	const rw_node *list = rw_yaml_child(tree->root, "sources");
	if (!list || list->value)
		return rw__fault(tree, list ? list : tree->root, RW_E_MISSING, err, "the file has no mapping 'sources'");
	int count = 0;
	for (const rw_node *node = list->first; node; node = node->next)
		count++;
	library->sources = RW_ARENA_NEW(arena, rw_source, count + 1);
	if (!library->sources)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	for (const rw_node *node = list->first; node; node = node->next)
		RW_TRY(read_source(tree, node, &library->sources[library->n_sources++], err));
	return RW_OK;
}

static rw_status read_source(const rw_tree *tree, const rw_node *node, rw_source *out, rw_error *err)
{
	const rw_node *text = NULL, *status = NULL;
	out->key = node->key;
	if (node->value)
		return rw__fault(tree, node, RW_E_VALUE, err, "the source '%s' is a value, not a mapping of text and status", node->key);
	RW_TRY(rw__text_of(tree, node, "text", &text, &out->text, err));
	RW_TRY(rw__text_of(tree, node, "status", &status, &out->status, err));
	if (!text || !status)
		return rw__fault(tree, node, RW_E_MISSING, err, "the source '%s' has no %s", node->key, text ? "status" : "text");
	return rw__status_check(tree, status, err);
}

static const struct shelf *shelf_of(const rw_library *library, const char *name)
{
	for (int i = 0; i < SHELVES; i++)
		if (strcmp(shelf_names[i], name) == 0)
			return &library->shelves[i];
	return NULL;
}

static rw_status read_names(rw_arena *arena, const char *dir, const char *name, struct shelf *out, rw_error *err)
{
	const char *path = rw_arena_format(arena, "%s/%s", dir, name);
	if (!path)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	DIR *folder = opendir(path);
	if (!folder)
		return RW_RAISE(err, RW_E_IO, "", "the folder '%s' cannot be read: %s", path, strerror(errno));
	rw_status status = RW_OK;
	int count = 0;
	for (const struct dirent *file; (file = readdir(folder)) != NULL;)
		count += entry_name_length(file->d_name) > 0;
	out->names = RW_ARENA_NEW(arena, const char *, count + 1);
	if (!out->names)
		status = RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	rewinddir(folder);
	for (const struct dirent *file; status == RW_OK && out->n < count && (file = readdir(folder)) != NULL;) {
		size_t length = entry_name_length(file->d_name);
		const char *text = length ? rw_arena_text(arena, file->d_name, length) : NULL;
		if (length && !text)
			status = RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
		if (text)
			add_sorted(out, text);
	}
	closedir(folder);
	return status;
}

/* Of NAME.yaml with letters, digits and hyphens in NAME, the first a letter or digit: its length; else 0. */
static size_t entry_name_length(const char *file)
{
	static const char plain[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-";
	size_t length = strspn(file, plain);
	return file[0] != '-' && length <= NAME_MAX_BYTES && strcmp(file + length, ".yaml") == 0 ? length : 0;
}

static void add_sorted(struct shelf *shelf, const char *name)
{
	int i = shelf->n++;
	for (; i > 0 && strcmp(shelf->names[i - 1], name) > 0; i--)
		shelf->names[i] = shelf->names[i - 1];
	shelf->names[i] = name;
}
