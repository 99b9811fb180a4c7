/* Files. See files.h. */
#include "files.h"
#include "common/disk.h"
#include "say.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* --- reading --- */

const char *file_read(arena *a, const char *path, size_t *n_bytes)
{
    bool is_input = strcmp(path, "-") == 0;
    int file = is_input ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC);
    if (file < 0) {
        complain("%s can't be opened: %s; name a van file, or start one with `loomwall new %s`", path, strerror(errno),
                 path);
        return NULL;
    }
    disk_text text;
    bool is_read = disk_read_open(a, file, &text);
    int why = errno;
    if (!is_input) close(file);
    *n_bytes = text.n;
    if (is_read) return text.bytes;
    complain("%s can't be read: %s; name a van file", is_input ? "standard input" : path, strerror(why));
    return NULL;
}

/* --- writing --- */

bool file_write_new(const char *path, const char *bytes, size_t n_bytes)
{
    int file = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (file < 0 && errno == EEXIST) {
        complain("%s is there already, and is left as it is; name another file", path);
        return false;
    }
    if (file < 0) {
        complain("%s can't be made: %s; name a file in a folder that you may write to", path, strerror(errno));
        return false;
    }
    if (disk_fill(file, bytes, n_bytes)) return true;
    complain("%s could not be written: %s; make room and run the command again", path, strerror(errno));
    unlink(path);
    return false;
}

/* One file on its way: `beside` is its name until it is in place. */
typedef struct staged {
    char *beside, *path;
    bool is_beside;
} staged;

struct writing {
    arena *arena;
    const char *folder;
    const char *remedy;     /* when there is no right to write there */
    const struct stat *old; /* the file whose rights a new one takes over; NULL: those of any new file */
    ARRAY(staged) files;
};

/* Taken away by the handler too, which may only read what is complete. */
static writing *volatile current;

static void take_away(void *what)
{
    writing *w = what;
    for (size_t i = 0; i < w->files.n; i++) {
        if (w->files.at[i].is_beside) unlink(w->files.at[i].beside);
        w->files.at[i].is_beside = false;
    }
    current = NULL;
}

static void stop(int signal_number)
{
    const writing *w = current;
    for (size_t i = 0; w && i < w->files.n; i++) {
        if (w->files.at[i].is_beside) unlink(w->files.at[i].beside);
    }
    signal(signal_number, SIG_DFL);
    raise(signal_number);
}

static void watch_for_stops(void)
{
    static const int signals[] = {SIGINT, SIGTERM, SIGHUP, SIGPIPE, SIGXFSZ};
    for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++) {
        if (signal(signals[i], stop) == SIG_IGN) signal(signals[i], SIG_IGN);
    }
    signal(SIGXFSZ, SIG_IGN); /* write() then fails with EFBIG, which is told like a full disk */
}

/* mkdir for each folder of the path. */
static bool make_folder(const char *path, arena *a)
{
    char *part = arena_text(a, path);
    for (char *at = part + 1; *at; at++) {
        if (*at != '/') continue;
        *at = '\0';
        if (mkdir(part, 0777) != 0 && errno != EEXIST) return false;
        *at = '/';
    }
    if (mkdir(part, 0777) == 0) return true;
    struct stat status;
    if (errno != EEXIST) return false;
    if (stat(part, &status) == 0 && S_ISDIR(status.st_mode)) return true;
    errno = ENOTDIR;
    return false;
}

static writing *begin(arena *a, const char *folder, const char *remedy, const struct stat *old)
{
    writing *w = ARENA_NEW(a, writing);
    w->arena = a;
    w->folder = folder;
    w->remedy = remedy;
    w->old = old;
    arena_defer(a, take_away, w);
    current = w;
    watch_for_stops();
    return w;
}

writing *writing_begin(arena *a, const char *folder)
{
    if (folder[0] != '\0' && make_folder(folder, a))
        return begin(a, folder, "name a folder that you may write to with --out", NULL);
    complain("the folder `%s` can't be made: %s; name another with --out", folder,
             strerror(folder[0] ? errno : ENOENT));
    return NULL;
}

/* The rights that the file is to have, and the owner if we may give it away. */
static bool set_rights(const writing *w, int file)
{
    return w->old ? disk_take_rights(file, w->old) : disk_usual_rights(file);
}

/* A file that holds these bytes already is left alone: nothing to write, nothing to wait for the disk. */
static bool holds(const char *path, const void *bytes, size_t n_bytes)
{
    int file = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    struct stat is;
    bool is_same = file >= 0 && fstat(file, &is) == 0 && S_ISREG(is.st_mode) && (size_t)is.st_size == n_bytes;
    char part[16 * 1024];
    for (size_t at = 0; is_same && at < n_bytes;) {
        ssize_t n = read(file, part, sizeof part < n_bytes - at ? sizeof part : n_bytes - at);
        is_same = n > 0 && memcmp(part, (const char *)bytes + at, (size_t)n) == 0;
        if (is_same) at += (size_t)n;
    }
    if (file >= 0) close(file);
    return is_same;
}

bool writing_add(writing *w, const char *name, const void *bytes, size_t n_bytes)
{
    staged next = {.beside = arena_printf(w->arena, "%s/.%s.XXXXXX", w->folder, name),
                   .path = arena_printf(w->arena, "%s/%s", w->folder, name)};
    if (holds(next.path, bytes, n_bytes)) {
        *ARRAY_ADD(w->arena, &w->files) = next;
        return true;
    }
    int file = mkstemp(next.beside);
    if (file < 0) {
        complain("%s can't be written: %s; %s", next.path, strerror(errno), w->remedy);
        return false;
    }
    next.is_beside = true;
    *ARRAY_ADD(w->arena, &w->files) = next;
    if (set_rights(w, file) && disk_fill(file, bytes, n_bytes)) return true;
    complain("%s could not be written: %s; the old files are left as they were", next.path, strerror(errno));
    return false;
}

bool writing_finish(writing *w)
{
    bool has_changed = false;
    for (size_t i = 0; i < w->files.n; i++) {
        staged *file = &w->files.at[i];
        if (!file->is_beside) continue;
        if (rename(file->beside, file->path) != 0) {
            complain("%s could not be put in place: %s; its old file is left as it was", file->path, strerror(errno));
            return false;
        }
        file->is_beside = false;
        has_changed = true;
    }
    if (has_changed) disk_flush_folder(w->folder);
    return true;
}

const char *writing_path(const writing *w, size_t i) { return w->files.at[i].path; }
size_t writing_count(const writing *w) { return w->files.n; }

/* --- replacing --- */

static bool holds_still(arena *a, const char *path, const char *old)
{
    size_t n_bytes;
    const char *now = file_read(a, path, &n_bytes);
    if (!now) return false;
    if (n_bytes == strlen(old) && memcmp(now, old, n_bytes) == 0) return true;
    complain("%s was changed by another program meanwhile, and is left as it is; run the command again", path);
    return false;
}

bool file_replace(arena *a, const char *path, const char *old, const char *bytes)
{
    const char *whole = disk_true_path(a, path);
    struct stat *status = ARENA_NEW(a, struct stat);
    if (!whole || stat(whole, status) != 0 || access(whole, W_OK) != 0) {
        complain("%s can't be written: %s; get the right to write to it", path, strerror(errno));
        return false;
    }
    if (!S_ISREG(status->st_mode)) {
        complain("%s is no file that can be replaced; name the van file itself", path);
        return false;
    }
    writing *w = begin(a, disk_folder(a, whole), "get the right to write to its folder", status);
    return writing_add(w, disk_name(whole), bytes, strlen(bytes)) && holds_still(a, path, old) && writing_finish(w);
}
