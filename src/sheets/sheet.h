/* What the sheets share with each other inside this folder: each draws its pages into the book. */
#ifndef SHEETS_SHEET_H
#define SHEETS_SHEET_H

#include "sheets/page.h"

typedef ARRAY(sheet) sheet_list;

/* Starts a set of the van; no page yet. */
book *book_start(arena *a, const fonts *f, const study *s, const sheet_options *o);
/* Draws every sheet of the set, each with its pages, after those that are there. */
void draw_all_sheets(book *b, sheet_list *list);
/* Notes a sheet of the set that has drawn its pages from `first` on. */
void add_sheet(book *b, sheet_list *list, sheet_id id, const char *name, const char *title, int first, const char *csv);
/* Frames all pages and gives each sheet its own; nothing is drawn after. */
sheet *finish_sheets(book *b, const sheet_list *list, int *n_sheets);

/* Pages [first, book.pages.n) become the sheet's. */
void diagram_draw(book *b);
void panel_draw(book *b, const char *panel, const char *title);
scene *panel_screen(book *b, const char *panel, const char *title);
void front_draw(book *b, const char *panel, const char *title);
/* `panel` NULL: what a hand moves but no panel carries. */
scene *front_screen(book *b, const char *panel, const char *title);
bool front_has_loose(const van *v);
/* The name of a panel as part of a file name or an id. */
const char *panel_word(arena *a, const char *panel);
const char *connections_draw(book *b); /* returns the CSV */
const char *labels_draw(book *b);
const char *buying_draw(book *b);

/* How a wire is drawn: kind of line and width tell its service, colour only adds. */
pen wire_pen(const book *b, int w, bool is_high);
/* "P3: fuses.1 to pump-switch.feed, 16 AWG". */
const char *wire_title(const book *b, int w);

#endif
