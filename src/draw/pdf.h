/* Scenes as one PDF, a page each, true to scale, to memory. The creation date is an input, so that the same scenes and
 * the same date give the same bytes: Cairo would otherwise take the clock (and ignores SOURCE_DATE_EPOCH). */
#ifndef DRAW_PDF_H
#define DRAW_PDF_H

#include "draw/scene.h"

/* A bookmark. One of level 1 stands under the last one of level 0 before it. */
typedef struct pdf_mark {
    const char *title;
    int page; /* from 1 */
    int level;
} pdf_mark;

typedef struct pdf_info {
    const char *title, *author, *subject;
    const char *date;      /* "2026-11-25": shown as the creation date */
    const pdf_mark *marks; /* NULL: one for each page, with the scene's title */
    int n_marks;
} pdf_info;

/* Adds the file to `out`. False, with nothing added, when Cairo could not write it. `pages` is not empty. */
bool pdf_write(const scene *const *pages, int n_pages, const pdf_info *info, sink *out);

#endif
