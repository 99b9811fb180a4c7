/* The sheets that a builder holds in the hand: drawn from the study, which they only read.
 *
 * A set holds them in this order: the circuit diagram, the front and the back of each switch panel, the connection list, the sleeve
 * labels and the buying list. Pages are numbered through the whole set, so that a missing one shows. Lists come as CSV
 * too (RFC 4180, UTF-8). The same study and options give the same bytes. */
#ifndef SHEETS_SHEETS_H
#define SHEETS_SHEETS_H

#include "draw/scene.h"
#include "study/study.h"

/* X(NAME, id for --only, title) */
#define SHEETS(X)                                                                                                      \
    X(DIAGRAM, "diagram", "Circuit diagram")                                                                           \
    X(FRONT, "front", "Front of panel")                                                                                \
    X(PANEL, "panel", "Back of panel")                                                                                 \
    X(CONNECTIONS, "connections", "Connection list")                                                                   \
    X(LABELS, "labels", "Sleeve labels")                                                                               \
    X(BUYING, "buying", "Buying list")
typedef enum sheet_id {
#define X(NAME, id, title) SHEET_##NAME,
    SHEETS(X)
#undef X
        N_SHEETS
} sheet_id;
const char *sheet_word(sheet_id id);
/* The id that a word names; false if none. */
bool sheet_of(const char *word, sheet_id *out);

/* Which paper the sheets are for, with the larger sizes of its series. */
typedef enum paper_series { PAPERS_OF_PRACTICE, PAPERS_A4, PAPERS_LETTER } paper_series;

typedef struct sheet_options {
    const char *file;     /* name of the van file as the sheets show it, without folders */
    const char *date;     /* "2026-11-25"; an input, so that the same day gives the same bytes */
    const char *revision; /* of the file: what `revision:` says, else a short hash of its text */
    paper_series papers;
} sheet_options;

typedef struct sheet {
    sheet_id id;
    const char *name;  /* file name without ending: "diagram", "panel-sampling-wall" */
    const char *title; /* "Back of panel: sampling wall" */
    scene *const *pages;
    int n_pages;
    const char *csv; /* NULL where the sheet is no list */
} sheet;

/* All sheets of the van, in the order of the set, in `a`. */
sheet *sheets_draw(arena *a, const fonts *f, const study *s, const sheet_options *o, int *n_sheets);

#endif
