/* What the sheets share with each other inside this folder: each draws its pages into the book. */
#ifndef SHEETS_SHEET_H
#define SHEETS_SHEET_H

#include "sheets/page.h"

/* Pages [first, book.pages.n) become the sheet's. */
void diagram_draw(book *b);
void panel_draw(book *b, const char *panel, const char *title);
const char *connections_draw(book *b); /* returns the CSV */
const char *labels_draw(book *b);
const char *buying_draw(book *b);

/* How a wire is drawn: kind of line and width tell its service, colour only adds. */
pen wire_pen(const book *b, int w, bool is_high);
/* "P3: fuses.1 to pump-switch.feed, 16 AWG". */
const char *wire_title(const book *b, int w);

#endif
