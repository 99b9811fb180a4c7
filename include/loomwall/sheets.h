/* Sheets: what the builder holds in the hand, as files in memory. Whoever calls writes them where they belong. */
#ifndef LOOMWALL_SHEETS_H
#define LOOMWALL_SHEETS_H

#include "loomwall/judge.h"

typedef struct lw_sheets lw_sheets;

typedef struct lw_sheets_options {
    const char *only;  /* "diagram", "panel" (all panels), "panel-galley" (one); NULL: all, and the build book */
    const char *date;  /* printed on each: "2026-11-25"; the library has no clock */
    const char *paper; /* "a4" or "letter", with its larger sizes; NULL: as the van's practice has it */
} lw_sheets_options;

typedef struct lw_sheet_file {
    const char *sheet; /* "diagram", "panel-galley", "book" */
    const char *title; /* "Circuit diagram" */
    const char *name;  /* of the file: "diagram.svg" */
    const void *bytes;
    size_t n_bytes;
} lw_sheet_file;

/* LW_REFUSED: there is no such sheet, or a font is missing; *why, if `why` is given, says so; release it with lw_free.
 * The judgement must outlive the sheets. */
lw_status lw_sheets_draw(const lw_judgement *judgement, const lw_sheets_options *options, lw_sheets **sheets,
                         char **why);
void lw_sheets_free(lw_sheets *sheets);

typedef struct lw_book_options {
    const char *date, *paper; /* as for the sheets; the book has no page of another size */
} lw_book_options;

/* The build book alone, as one PDF: cover with the gates and what was left undecided, cautions, contents, the sheets,
 * the findings with their decisions, an index. *bytes is released with lw_free. Refused as above. */
lw_status lw_book_draw(const lw_judgement *judgement, const lw_book_options *options, char **bytes, size_t *n_bytes,
                       char **why);

size_t lw_sheets_count(const lw_sheets *sheets);
lw_sheet_file lw_sheets_file(const lw_sheets *sheets, size_t i);

#endif
