/* Words that flow down the pages of a sheet, upright, in one column or several: what is no drawing and no table. */
#ifndef SHEETS_FLOW_H
#define SHEETS_FLOW_H

#include "sheets/page.h"

typedef struct flow {
    book *book;
    const char *title, *says;
    paper_size size;
    area in;
    scene *scene;
    double y_mm;       /* base of what was written last */
    double top_mm;     /* of the columns on this page */
    double deepest_mm; /* where the longest of them ends */
    int n_columns, column;
} flow;

#define COLUMN_GAP 6.0

flow flow_start(book *b, const char *title, const char *says);
/* From here on in so many columns of one width; what follows on later pages too. */
void flow_columns(flow *f, int n);
double flow_left(const flow *f);
double flow_width(const flow *f);
/* Goes on in the next column or on the next page unless so much is free. False when it had to. */
bool flow_room(flow *f, double height_mm);
/* Wrapped to the column; each line stays whole. */
void flow_text(flow *f, face of, double height_mm, double indent_mm, const char *text);
void flow_gap(flow *f, double height_mm);
/* A heading in large letters with a line under it, kept with so much of what follows. */
void flow_heading(flow *f, const char *text, double keep_mm);
double flow_height(const flow *f, face of, double height_mm, double indent_mm, const char *text);

#endif
