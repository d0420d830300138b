#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "yaml/internal.h"

static rw_status io_fault(const char *path, const char *what, int code, rw_error *err)
{
	RW_RAISE(err, RW_E_IO, "", "the file %s: %s", what, strerror(code));
	rw_error_at(err, path, 0, 0, 0);
	return RW_E_IO;
}

static rw_status changed(const char *path, const char *what, const char *hint, rw_error *err)
{
	RW_RAISE(err, RW_E_CHANGED, "", "'%s' %s", path, what);
	rw_error_at(err, path, 0, 0, 0);
	rw_error_hint(err, "%s", hint);
	return RW_E_CHANGED;
}

/* Appends what is in the file, up to one byte more than a text may have. errno's value, or 0 */
static int read_all(int file, rw_text *text)
{
	char part[16 * 1024];
	while (text->n <= RW_YAML_BYTES_MAX && !text->failed) {
		ssize_t n = read(file, part, sizeof part);
		if (n < 0 && errno == EINTR)
			continue;
		if (n <= 0)
			return n < 0 ? errno : 0;
		rw_text_add_n(text, part, (size_t)n);
	}
	return text->failed ? ENOMEM : 0;
}

/* Opens and reads; errno's value, or 0. */
static int read_path(const char *path, rw_text *text)
{
	int file = open(path, O_RDONLY | O_CLOEXEC);
	if (file < 0)
		return errno;
	int code = read_all(file, text);
	close(file);
	return code;
}

rw_status rw_file_read(rw_arena *arena, const char *path, char **bytes, size_t *n, rw_error *err)
{
	rw_text text;
	rw_text_init(&text);
	rw_status status = RW_OK;
	int code = read_path(path, &text);
	char *copy = NULL;
	if (code == 0 && text.n > RW_YAML_BYTES_MAX) {
		status = RW_RAISE(err, RW_E_SYNTAX, "", "'%s' is larger than a text may be", path);
		rw_error_at(err, path, 1, 1, 1);
		rw_error_expected(err, "at most 1 MiB (%d bytes)", RW_YAML_BYTES_MAX);
	} else if (code == 0 && (copy = rw_arena_text(arena, text.bytes, text.n)) != NULL) {
		*bytes = copy;
		*n = text.n;
	} else if (code == 0 || code == ENOMEM)
		status = RW_RAISE(err, RW_E_MEMORY, "", "memory ran out while '%s' was read", path);
	else
		status = io_fault(path, "cannot be read", code, err);
	rw_text_release(&text);
	return status;
}

/* ---- saving ---- */

typedef struct save {
	const char *path;                       /* as the user named it */
	char        target[PATH_MAX];           /* the file itself, links followed */
	char        beside[PATH_MAX];           /* the new text until it is complete */
	char        directory[PATH_MAX];
	struct stat was;
	bool        exists;
} save;

static void split_directory(save *s)
{
	const char *slash = strrchr(s->target, '/');
	size_t n = slash ? (size_t)(slash - s->target) : 0;
	snprintf(s->directory, sizeof s->directory, "%.*s", slash ? (n > 0 ? (int)n : 1) : 1, slash ? s->target : ".");
}

/* Where the text goes, and whether it may. */
static rw_status find_target(save *s, bool wanted, rw_error *err)
{
	struct stat link;
	if (realpath(s->path, s->target)) {
		s->exists = true;
		if (!wanted)
			return changed(s->path, "exists already", "choose another name, or open the file first", err);
	} else if (errno != ENOENT)
		return io_fault(s->path, "cannot be written", errno, err);
	else if (wanted)
		return changed(s->path, "is no longer there", "save under another name", err);
	else if (lstat(s->path, &link) == 0)
		return io_fault(s->path, "is a link to a file that is not there", ENOENT, err);
	else if (strlen(s->path) >= sizeof s->target)
		return io_fault(s->path, "cannot be written", ENAMETOOLONG, err);
	else
		snprintf(s->target, sizeof s->target, "%s", s->path);
	split_directory(s);
	if (!s->exists)
		return RW_OK;
	if (stat(s->target, &s->was) != 0 || access(s->target, W_OK) != 0)   /* a rename would pass over a write protection */
		return io_fault(s->path, "cannot be written", errno, err);
	return S_ISREG(s->was.st_mode) ? RW_OK : io_fault(s->path, "is not a plain file", S_ISDIR(s->was.st_mode) ? EISDIR : EINVAL, err);
}

/* A new file in the target's directory, open for writing; -1 and errno. */
static int open_beside(save *s)
{
	for (int i = 0; i < 100; i++) {
		int n = snprintf(s->beside, sizeof s->beside, "%s/.rfwright-%ld-%d.tmp", s->directory, (long)getpid(), i);
		if (n < 0 || (size_t)n >= sizeof s->beside) {
			errno = ENAMETOOLONG;
			return -1;
		}
		int file = open(s->beside, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
		if (file >= 0 || errno != EEXIST)
			return file;
	}
	return -1;
}

/* errno's value, or 0. */
static int write_all(int file, const char *bytes, size_t n)
{
	while (n > 0) {
		ssize_t done = write(file, bytes, n);
		if (done < 0 && errno == EINTR)
			continue;
		if (done <= 0)
			return done < 0 ? errno : EIO;
		bytes += done;
		n -= (size_t)done;
	}
	return 0;
}

/* The new text on the disk, with owner (where allowed) and mode of the old. errno's value, or 0 */
static int fill(const save *s, int file, const char *bytes, size_t n)
{
	int code = write_all(file, bytes, n);
	if (code == 0 && s->exists) {
		if (fchown(file, s->was.st_uid, s->was.st_gid) != 0)
			code = errno == EPERM ? 0 : errno;   /* somebody else's file in a shared directory: it becomes ours */
		if (code == 0 && fchmod(file, s->was.st_mode & 07777) != 0)
			code = errno;
	}
	if (code == 0 && fsync(file) != 0)
		code = errno;
	if (close(file) != 0 && code == 0)
		code = errno;
	return code;
}

static rw_status check_unchanged(const save *s, const char *was, size_t was_n, rw_error *err)
{
	rw_text now;
	rw_text_init(&now);
	int code = read_path(s->target, &now);
	bool same = code == 0 && now.n == was_n && memcmp(now.bytes, was, was_n) == 0;
	rw_text_release(&now);
	if (code == ENOENT)
		return changed(s->path, "is no longer there", "save under another name", err);
	if (code != 0)
		return io_fault(s->path, "cannot be read", code, err);
	return same ? RW_OK : changed(s->path, "was changed by another program", "read it again, then repeat the change", err);
}

/* The new name appears only where there is none. Not every file system can do this in one step. */
static int rename_to_new(const save *s)
{
	if (renameat2(AT_FDCWD, s->beside, AT_FDCWD, s->target, RENAME_NOREPLACE) == 0)
		return 0;
	if (errno != EINVAL && errno != ENOSYS)
		return errno;
	struct stat there;
	if (lstat(s->target, &there) == 0)
		return EEXIST;
	return rename(s->beside, s->target) == 0 ? 0 : errno;
}

static rw_status put_in_place(const save *s, rw_error *err)
{
	int code = s->exists ? (rename(s->beside, s->target) == 0 ? 0 : errno) : rename_to_new(s);
	if (code == EEXIST && !s->exists)
		return changed(s->path, "exists already", "choose another name, or open the file first", err);
	if (code != 0)
		return io_fault(s->path, "cannot be written", code, err);
	int directory = open(s->directory, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
	if (directory < 0)
		return RW_OK;   /* a directory that may not be read: the text is in place, only its name is not synced */
	if (fsync(directory) != 0 && errno != EINVAL && errno != EROFS)
		code = errno;
	close(directory);
	return code == 0 ? RW_OK : io_fault(s->path, "is written, but its directory could not be synced", code, err);
}

rw_status rw_file_save(const char *path, const char *was, size_t was_n, const char *bytes, size_t n, rw_error *err)
{
	save s = {.path = path};
	RW_TRY(find_target(&s, was != NULL, err));
	int file = open_beside(&s);
	if (file < 0)
		return io_fault(path, "cannot be written", errno, err);
	int code = fill(&s, file, bytes, n);
	rw_status status = code == 0 ? RW_OK : io_fault(path, "cannot be written", code, err);
	if (status == RW_OK && was)
		status = check_unchanged(&s, was, was_n, err);
	if (status == RW_OK)
		status = put_in_place(&s, err);
	if (status != RW_OK)
		(void)unlink(s.beside);   /* after a rename there is none */
	return status;
}
