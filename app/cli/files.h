/* Files: a van file in, sheets out, labels back. What is written is written whole or not at all: first beside its place, under
 * another name, then renamed. */
#ifndef CLI_FILES_H
#define CLI_FILES_H

#include "base/arena.h"

/* The bytes of a file, or of standard input for "-", followed by a NUL. NULL, having complained, when it can't be read
 * or is a folder. Reads at most 8 MiB: a van file is refused long before. */
const char *file_read(arena *a, const char *path, size_t *n_bytes);

/* Writes a file that must not be there yet. False, having complained, when it is or can't be written. */
bool file_write_new(const char *path, const char *bytes, size_t n_bytes);

/* Puts other bytes in the place of a file that holds `old`, with the same rights; a link to it stays one. False, having
 * complained, when the file holds something else by now, or can't be written: it is left as it is then. */
bool file_replace(arena *a, const char *path, const char *old, const char *bytes);

/* Files to be written together: all are written beside their places before the first is put there. */
typedef struct writing writing;

/* Makes the folder, and those above it, if need be. NULL, having complained, when it can't. What is not put in place
 * is taken away when the arena goes, or when the program is told to stop. */
writing *writing_begin(arena *a, const char *folder);
/* False, having complained, when there is no room or no right to write. */
bool writing_add(writing *w, const char *name, const void *bytes, size_t n_bytes);
bool writing_finish(writing *w);
/* Path of the i-th file. */
const char *writing_path(const writing *w, size_t i);
size_t writing_count(const writing *w);

#endif
