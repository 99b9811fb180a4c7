/* What the parts of the build book share inside this folder. */
#ifndef SHEETS_BOOK_PARTS_H
#define SHEETS_BOOK_PARTS_H

#include "judge/judge.h"
#include "sheets/flow.h"
#include "sheets/sheet.h"

/* A place on the cover that waits to be told on which page a finding stands. */
typedef struct awaited {
    scene *scene;
    double x_mm, y_mm; /* its right end */
    int finding;
} awaited;

typedef struct binding {
    book *book;
    const judgement *judgement;
    sheet_list sheets;
    ARRAY(awaited) awaited;
    int *finding_page; /* of each finding, from 0 */
} binding;

void cover_draw(binding *k);
void book_cautions_draw(binding *k);
/* How many pages the contents take for so many sheets, and the contents on pages that were kept free. */
int contents_page_count(const book *b, int n_sheets);
void contents_reserve(binding *k, int n_pages);
void contents_fill(binding *k);
void findings_draw(binding *k);
void index_draw(binding *k);

/* The words of a finding's grade ("STOP", "DECIDED"), and its mark: the base of a text of TEXT_NORMAL is at y. */
const char *finding_word(const finding *n);
void finding_mark(scene *s, double x_mm, double y_mm, const finding *n);
#define MARK_WIDTH 6.0
/* "wire P3, item pump". */
const char *finding_where(arena *a, const finding *n);
/* Does it keep its gate shut? */
bool finding_shuts(const finding *n);

#endif
