/* A page of a sheet: border and zones after ISO 5457, title strip after ISO 7200, the cautions that apply. Sheets fill
 * the area between; the frame is drawn last, when the number of pages of the whole set is known. */
#ifndef SHEETS_PAGE_H
#define SHEETS_PAGE_H

#include "sheets/sheets.h"

/* X(NAME, word, width in mm, height in mm), as they stand upright. */
#define PAPERS(X)                                                                                                      \
    X(A4, "A4", 210, 297)                                                                                              \
    X(A3, "A3", 297, 420)                                                                                              \
    X(A2, "A2", 420, 594)                                                                                              \
    X(A1, "A1", 594, 841)                                                                                              \
    X(A0, "A0", 841, 1189)                                                                                             \
    X(LETTER, "Letter", 215.9, 279.4)                                                                                  \
    X(TABLOID, "Tabloid", 279.4, 431.8)                                                                                \
    X(C, "ANSI C", 431.8, 558.8) X(D, "ANSI D", 558.8, 863.6) X(E, "ANSI E", 863.6, 1117.6)
typedef enum paper {
#define X(NAME, word, width, height) PAPER_##NAME,
    PAPERS(X)
#undef X
        N_PAPERS
} paper;

/* A page on which an item or a wire is dealt with: what the index of a build book points at. */
typedef struct mention {
    bool is_wire;
    int index; /* of the item or the wire */
    int page;  /* from 0 */
} mention;

/* What all sheets of a set share. */
typedef struct book {
    arena *arena;
    const fonts *fonts;
    const study *study;
    const van *van;
    const sheet_options *options; /* NULL for the screen */
    bool is_screen;               /* drawn for the screen: every state of every switch, every terminal */
    bool has_mains;               /* an inverter or a shore charger: mains cautions apply */
    ARRAY(scene *) pages;         /* of the set so far */
    bool is_one_size;             /* a book to bind: no page on larger paper than the others */
    ARRAY(const char *) scales;   /* of each page */
    ARRAY(mention) mentions;      /* in no order, some twice */
} book;

typedef struct area {
    double left, top, right, bottom;
} area;

typedef struct paper_size {
    double width_mm, height_mm;
    const char *name;
} paper_size;
/* The smallest paper of the set, upright or lying; then the next larger ones (`step` 0, 1 ...). Past the last step, or
 * the first one where all pages are of one size: false. */
bool paper_step(const book *b, int step, bool is_lying, paper_size *out);

/* Where a sheet may draw on such a page. */
area page_area(const book *b, paper_size size);
/* Zone of a point on such a page: "B3". */
const char *page_zone(const book *b, paper_size size, double x_mm, double y_mm);

/* Adds a page to the book. `title` is that of the sheet. */
scene *page_add(book *b, paper_size size, const char *title, const char *says);
/* Notes that the page added last deals with an item, with a wire. */
void page_names_item(book *b, int item);
void page_names_wire(book *b, int wire);
/* A bar of 100 mm with its words, from (x, y) down, by which a print is checked; the page added last is then to scale. */
void page_scale_bar(book *b, double x_mm, double y_mm);
#define SCALE_BAR_MM 100.0
#define SCALE_BAR_HEIGHT 9.0
/* The mark of something that needs care: a triangle (ISO 7010, W001 in outline) from its lower left corner, `by` times
 * 4 mm wide. Its words stand beside it. */
void warning_draw(scene *s, double x_mm, double y_mm, double by);
/* Draws border, title strip and cautions on all pages, once all are there. */
void pages_finish(book *b);

/* Text in lines of at most width_mm, broken at spaces; a longer word stands alone. */
typedef struct lines {
    const char **at;
    int n;
    double width_mm;
} lines;
lines wrap(const book *b, face f, double height_mm, double width_mm, const char *text);
/* A text that is too long for its field, shortened with an ellipsis; the file holds it whole. */
const char *fitted(const book *b, face f, double height_mm, double width_mm, const char *text);
double widest_word(const book *b, face f, double height_mm, const char *text);

#define LINE_PITCH(height_mm) ((height_mm)*1.6)

static inline pen stroke(ink i, line_width w) { return (pen){.stroke = i, .fill = INK_NONE, .width = w}; }
static inline pen solid(ink i) { return (pen){.stroke = INK_NONE, .fill = i}; }
static inline pen paper_box(ink i, line_width w) { return (pen){.stroke = i, .fill = INK_PAPER, .width = w}; }

#endif
