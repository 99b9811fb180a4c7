/* The builder's files on the disk. See disk.h. */
#include "common/disk.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { most_read = 8 << 20 };

/* --- reading --- */

bool disk_read_open(arena *a, int file, disk_text *text)
{
    size_t room = 64 * 1024, n_bytes = 0;
    char *bytes = arena_take(a, room, 1);
    while (n_bytes < most_read) {
        if (n_bytes + 1 >= room) {
            char *grown = arena_take(a, 2 * room, 1);
            memcpy(grown, bytes, n_bytes);
            bytes = grown;
            room *= 2;
        }
        ssize_t n = read(file, bytes + n_bytes, room - n_bytes - 1);
        if (n == 0) break;
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return false;
        n_bytes += (size_t)n;
    }
    *text = (disk_text){bytes, n_bytes, true};
    return true;
}

static void close_kept(void *what) { close(*(int *)what); }

bool disk_read(arena *a, const char *path, disk_text *text)
{
    int *file = ARENA_NEW(a, int);
    *file = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (*file < 0) {
        *text = (disk_text){"", 0, false};
        return errno == ENOENT;
    }
    arena_defer(a, close_kept, file); /* closed when memory runs out, too */
    struct stat is;
    if (fstat(*file, &is) != 0) return false;
    if (S_ISDIR(is.st_mode)) {
        errno = EISDIR;
        return false;
    }
    return disk_read_open(a, *file, text);
}

bool disk_same(const disk_text *x, const disk_text *y)
{
    return x->is_there == y->is_there && x->n == y->n && memcmp(x->bytes, y->bytes, x->n) == 0;
}

/* --- writing --- */

static bool write_all(int file, const char *bytes, size_t n_bytes)
{
    while (n_bytes > 0) {
        ssize_t n = write(file, bytes, n_bytes);
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return false;
        bytes += n;
        n_bytes -= (size_t)n;
    }
    return true;
}

bool disk_fill(int file, const void *bytes, size_t n)
{
    bool is_written = write_all(file, bytes, n) && fsync(file) == 0;
    int why = errno;
    bool is_closed = close(file) == 0;
    if (!is_written) errno = why;
    return is_written && is_closed;
}

bool disk_take_rights(int file, const struct stat *of)
{
    if (fchown(file, of->st_uid, of->st_gid) != 0 && errno != EPERM) return false;
    return fchmod(file, of->st_mode & 07777) == 0;
}

bool disk_usual_rights(int file)
{
    mode_t mask = umask(0);
    umask(mask);
    return fchmod(file, 0666 & ~mask) == 0;
}

void disk_flush_folder(const char *folder)
{
    int file = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (file < 0) return;
    fsync(file);
    close(file);
}

const char *disk_true_path(arena *a, const char *path)
{
    char *found = realpath(path, NULL);
    if (!found) return NULL;
    const char *kept = arena_text(a, found);
    free(found);
    return kept;
}

const char *disk_folder(arena *a, const char *path)
{
    const char *slash = strrchr(path, '/');
    if (!slash) return ".";
    return slash == path ? "/" : arena_text_n(a, path, (size_t)(slash - path));
}

const char *disk_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

/* --- replacing --- */

/* ".heron.yaml.loomwall-4711-Xy12ab": a name, so long as it may be, and the number of the process. */
enum { most_of_name = 200 };
static const char mark[] = ".loomwall-";

static char *name_beside(arena *a, const char *path)
{
    return arena_printf(a, "%s/.%.*s%s%ld-XXXXXX", disk_folder(a, path), most_of_name, disk_name(path), mark,
                        (long)getpid());
}

/* Writes a new file beside the path, with the rights of the old one. Its name, or NULL. */
static const char *write_beside(arena *a, const char *path, const struct stat *old, const disk_text *text)
{
    char *beside = name_beside(a, path);
    int file = mkostemp(beside, O_CLOEXEC);
    if (file < 0) return NULL;
    bool has_rights = old ? disk_take_rights(file, old) : disk_usual_rights(file);
    if (has_rights && disk_fill(file, text->bytes, text->n)) return beside;
    int why = errno;
    if (!has_rights) close(file);
    unlink(beside);
    errno = why;
    return NULL;
}

static bool exchange(const char *x, const char *y)
{
#ifdef RENAME_EXCHANGE
    return renameat2(AT_FDCWD, x, AT_FDCWD, y, RENAME_EXCHANGE) == 0;
#else
    (void)x, (void)y;
    errno = ENOSYS;
    return false;
#endif
}

static bool is_beyond_the_file_system(int why) { return why == EINVAL || why == ENOSYS || why == ENOTSUP; }

static disk_outcome failed(const char *beside, int why)
{
    unlink(beside);
    errno = why;
    return DISK_FAILED;
}

/* Without a step that exchanges: between the look and the step another may write, for a moment. */
static disk_outcome look_and_rename(arena *a, const char *beside, const char *path, const disk_text *old,
                                    disk_text *found)
{
    if (!disk_read(a, path, found)) return failed(beside, errno);
    if (disk_same(old, found)) return rename(beside, path) == 0 ? DISK_DONE : failed(beside, errno);
    unlink(beside);
    return DISK_OTHER;
}

/* `beside` holds what stood at the path and was not expected there. It is put back; and if by then someone wrote over what
 * we had put there, that is the newest, and takes the place in turn. In the end `beside` holds what was last put by us. */
static disk_outcome put_back(arena *a, const char *beside, const char *path, const disk_text *fresh, disk_text *found)
{
    enum { most_turns = 1000 }; /* each is lost only to a write in the few microseconds of its own */
    disk_text placed = *fresh;
    for (int turn = 0; turn < most_turns; turn++) {
        disk_text held;
        if (!exchange(beside, path) || !disk_read(a, beside, &held)) break;
        if (disk_same(&held, &placed)) {
            unlink(beside);
            return DISK_OTHER;
        }
        placed = *found;
        *found = held;
    }
    errno = EBUSY; /* both texts are still there: one at the path, one beside it */
    return DISK_FAILED;
}

static disk_outcome put_over(arena *a, const char *path, const disk_text *old, const disk_text *fresh, disk_text *found)
{
    struct stat is;
    if (stat(path, &is) != 0) {
        *found = (disk_text){"", 0, false};
        return errno == ENOENT ? DISK_OTHER : DISK_FAILED;
    }
    if (!S_ISREG(is.st_mode)) errno = S_ISDIR(is.st_mode) ? EISDIR : EINVAL;
    if (!S_ISREG(is.st_mode) || access(path, W_OK) != 0) return DISK_FAILED;
    const char *beside = write_beside(a, path, &is, fresh);
    if (!beside) return DISK_FAILED;
    if (!exchange(beside, path)) {
        if (is_beyond_the_file_system(errno)) return look_and_rename(a, beside, path, old, found);
        *found = (disk_text){"", 0, false};
        int why = errno;
        unlink(beside);
        errno = why;
        return why == ENOENT ? DISK_OTHER : DISK_FAILED;
    }
    if (!disk_read(a, beside, found)) return DISK_FAILED; /* it stays beside: nothing is lost */
    if (!disk_same(old, found)) return put_back(a, beside, path, fresh, found);
    unlink(beside);
    return DISK_DONE;
}

/* link() refuses to take the place of anything. */
static disk_outcome put_new(arena *a, const char *path, const disk_text *fresh, disk_text *found)
{
    const char *beside = write_beside(a, path, NULL, fresh);
    if (!beside) return DISK_FAILED;
    bool is_put = link(beside, path) == 0;
    int why = errno;
#ifdef RENAME_NOREPLACE
    if (!is_put && why != EEXIST) { /* a file system without links */
        is_put = renameat2(AT_FDCWD, beside, AT_FDCWD, path, RENAME_NOREPLACE) == 0;
        why = errno;
    }
#endif
    unlink(beside);
    if (is_put) return DISK_DONE;
    if (why == EEXIST && disk_read(a, path, found)) return DISK_OTHER;
    errno = why;
    return DISK_FAILED;
}

disk_outcome disk_replace(arena *a, const char *path, const disk_text *old, const disk_text *fresh, disk_text *found)
{
    disk_outcome outcome = old->is_there ? put_over(a, path, old, fresh, found) : put_new(a, path, fresh, found);
    if (outcome == DISK_DONE) disk_flush_folder(disk_folder(a, path));
    return outcome;
}

/* --- what a killed program left --- */

/* The number of the process that wrote a file of this name beside `name`; 0 if it is no such name. */
static long writer_of(const char *entry, const char *name)
{
    size_t n_name = strlen(name) < most_of_name ? strlen(name) : most_of_name, n_mark = sizeof mark - 1;
    if (entry[0] != '.' || strncmp(entry + 1, name, n_name) != 0 || strncmp(entry + 1 + n_name, mark, n_mark) != 0)
        return 0;
    const char *at = entry + 1 + n_name + n_mark;
    char *end;
    if (*at < '1' || *at > '9') return 0;
    long process = strtol(at, &end, 10);
    return *end == '-' && strlen(end + 1) == 6 ? process : 0;
}

static bool is_left_behind(const char *path, long process)
{
    struct stat is;
    if (lstat(path, &is) != 0 || !S_ISREG(is.st_mode) || is.st_uid != geteuid()) return false;
    return process == getpid() || (process <= INT_MAX && kill((pid_t)process, 0) != 0 && errno == ESRCH);
}

void disk_tidy(arena *a, const char *path)
{
    const char *folder = disk_folder(a, path), *name = disk_name(path);
    DIR *in = opendir(folder);
    for (const struct dirent *entry; in && (entry = readdir(in));) {
        long process = writer_of(entry->d_name, name);
        if (process == 0) continue;
        char beside[PATH_MAX];
        int n = snprintf(beside, sizeof beside, "%s/%s", folder, entry->d_name);
        if (n > 0 && n < (int)sizeof beside && is_left_behind(beside, process)) unlink(beside);
    }
    if (in) closedir(in);
}
