/* What calls return, who owns texts, and what is wrong with a file. */
#ifndef LOOMWALL_STATUS_H
#define LOOMWALL_STATUS_H

#include <stddef.h>

/* X(NAME, text) */
#define LW_STATUSES(X)                                                                                                 \
    X(OK, "done")                                                                                                      \
    X(REFUSED, "the input can't be used")                                                                              \
    X(NO_MEMORY, "there is not enough memory")                                                                         \
    X(STOPPED, "it was no longer wanted")
typedef enum lw_status {
#define X(NAME, text) LW_##NAME,
    LW_STATUSES(X)
#undef X
} lw_status;

const char *lw_status_text(lw_status status);

/* "0.1.0" */
const char *lw_version(void);

/* Releases a text that a call gave out as `char **`. */
void lw_free(char *text);

/* What is wrong with a file: every fault that it has, in the order of their places. */
typedef struct lw_report lw_report;
typedef struct lw_fault {
    unsigned line, column; /* from 1, in code points; 0 where the fault has no place */
    const char *wrong;     /* what is wrong */
    const char *right;     /* what would be right */
} lw_fault;

/* The first thousand are kept. */
size_t lw_report_count(const lw_report *report);
lw_fault lw_report_fault(const lw_report *report, size_t i);
/* All of them, a line each: `FILE:LINE:COLUMN: error: WRONG; RIGHT`. Lives as long as the report. */
const char *lw_report_text(const lw_report *report);
void lw_report_free(lw_report *report);

#endif
