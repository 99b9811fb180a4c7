/* What is wrong with an input, told so that a builder can mend it: where, what is wrong, what would be right.
 *
 * A report collects; nothing stops at the first fault. It is the second of three kinds of trouble: a programmer's
 * error is an assert, a refusal is an entry here, a finding about the van is a result (judge/). */
#ifndef BASE_REPORT_H
#define BASE_REPORT_H

#include "base/arena.h"
#include <stdint.h>

typedef struct place {
    uint32_t line, column; /* from 1; 0 where there is no place (the file as a whole). Columns count code points */
} place;

typedef struct report_entry {
    place where;
    const char *wrong; /* "`lenght` is not a key of a wire" */
    const char *right; /* "did you mean `length`?"; never empty */
} report_entry;

typedef struct report report;

/* A report lives in the arena. `file` is how messages name the file; at most `report_limit` entries are kept and the
 * rest counted. */
enum { report_limit = 1000 };
report *report_create(arena *a, const char *file);

/* Adds an error. `right` must not be empty. Both are copied. */
void report_error(report *r, place where, const char *wrong, const char *right);

bool report_is_empty(const report *r);
size_t report_count(const report *r); /* all, the dropped ones too */
const char *report_file(const report *r);

/* Entries in the order of their places (stable). */
const report_entry *report_entries(report *r, size_t *n_kept);

/* All entries as `FILE:LINE:COLUMN: error: WRONG; RIGHT\n` (the place is left out where there is none), and a last
 * line that counts what was dropped, if any. */
const char *report_text(report *r, arena *a);

#endif
