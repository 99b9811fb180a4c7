/* A table that runs over as many pages as it needs, upright, with its head on each. */
#ifndef SHEETS_TABLE_H
#define SHEETS_TABLE_H

#include "sheets/page.h"

typedef struct table_column {
    const char *head; /* with the unit */
    double share;     /* of the width */
    face face;
    anchor anchor; /* ANCHOR_END for numbers, which then align */
    bool is_box;   /* a box to tick instead of text, where the cell is not "" */
} table_column;

typedef struct table {
    book *book;
    const char *title, *says;
    const table_column *columns;
    int n_columns;
    paper_size size;
    area in;
    scene *scene;
    double y_mm;
    bool has_head; /* on this page */
} table;

table table_start(book *b, const char *title, const char *says, const table_column *columns, int n_columns);
/* Words across the whole width. */
void table_note(table *t, const char *text);
/* Begins a part of the work; the head follows anew. */
void table_section(table *t, const char *text);
/* Begins a group; stays with its first rows. */
void table_heading(table *t, const char *text, const char *beside, int n_rows_to_keep);
void table_row(table *t, const char *id, const char *const *cells);
/* Another table of the same sheet goes on below. */
void table_columns(table *t, const table_column *columns, int n_columns);

#endif
