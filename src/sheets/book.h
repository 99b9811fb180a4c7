/* The build book: one document for the van, from the same sheets as the set, on one size of paper. Cover with the gates
 * and what was left undecided, cautions, contents; the sheets of the set; the findings with their decisions; an index of
 * items and wires. It judges nothing and computes nothing: it shows what the judgement says. */
#ifndef SHEETS_BOOK_H
#define SHEETS_BOOK_H

#include "draw/pdf.h"
#include "judge/judge.h"
#include "sheets/sheets.h"

typedef struct build_book {
    scene *const *pages;
    int n_pages;
    const pdf_mark *marks; /* bookmarks */
    int n_marks;
} build_book;

/* In `a`. The judgement's study must be whole. */
build_book book_draw(arena *a, const fonts *f, const judgement *j, const sheet_options *o);

#endif
