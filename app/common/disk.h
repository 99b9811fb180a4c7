/* The builder's files on the disk: read whole, and replaced whole or not at all, whoever else writes to them.
 *
 * A text is written beside its place under a name of our own, flushed, and then exchanged with what stands there, in one
 * step of the file system. So what stood there is in hand: if it is not what was expected, somebody else wrote in between,
 * and it is put back. Where the file system can't exchange, the file is compared and then renamed over.
 *
 * Nothing here prints: a failure leaves its reason in errno. */
#ifndef COMMON_DISK_H
#define COMMON_DISK_H

#include "base/arena.h"
#include <sys/stat.h>

/* What a path holds: a text with a NUL behind it, or nothing at all. */
typedef struct disk_text {
    const char *bytes;
    size_t n;
    bool is_there;
} disk_text;

/* Everything that an open file has left, at most 8 MiB: a van file is refused long before. In the arena. */
bool disk_read_open(arena *a, int file, disk_text *text);
/* A file that is not there is an answer (is_there is false), not a failure. */
bool disk_read(arena *a, const char *path, disk_text *text);
bool disk_same(const disk_text *x, const disk_text *y);

/* Writes, flushes to the disk, and closes. */
bool disk_fill(int file, const void *bytes, size_t n);
/* Gives an open file the mode of another, and its owner where we may. */
bool disk_take_rights(int file, const struct stat *of);
/* Those that any new file gets. */
bool disk_usual_rights(int file);
/* Flushes the names in a folder. Some file systems can't, and lose nothing by it. */
void disk_flush_folder(const char *folder);

/* The path without links, in the arena; NULL when there is nothing there. */
const char *disk_true_path(arena *a, const char *path);
/* The folder of a path, in the arena: "." when it names none. And the name in it. */
const char *disk_folder(arena *a, const char *path);
const char *disk_name(const char *path);

/* DISK_OTHER: the path holds something else than expected, and is left so; *found is that. */
typedef enum disk_outcome { DISK_DONE, DISK_OTHER, DISK_FAILED } disk_outcome;

/* Puts `fresh` where `old` is; with an `old` that is not there, a new file. The path has no links in it. */
disk_outcome disk_replace(arena *a, const char *path, const disk_text *old, const disk_text *fresh, disk_text *found);

/* Takes away what a killed program of ours left beside the path. */
void disk_tidy(arena *a, const char *path);

#endif
