/* See flow.h. */
#include "sheets/flow.h"

#include <math.h>

#define HEADING_HEIGHT 10.0

static void new_page(flow *f)
{
    f->scene = page_add(f->book, f->size, f->title, f->says);
    f->y_mm = f->top_mm = f->deepest_mm = f->in.top;
    f->column = 0;
}

flow flow_start(book *b, const char *title, const char *says)
{
    flow f = {.book = b, .title = title, .says = says, .n_columns = 1};
    paper_step(b, 0, false, &f.size);
    f.in = page_area(b, f.size);
    new_page(&f);
    return f;
}

void flow_columns(flow *f, int n)
{
    f->n_columns = n;
    f->column = 0;
    f->top_mm = f->y_mm = fmax(f->deepest_mm, f->y_mm);
}

double flow_width(const flow *f) { return (f->in.right - f->in.left - (f->n_columns - 1) * COLUMN_GAP) / f->n_columns; }

double flow_left(const flow *f) { return f->in.left + f->column * (flow_width(f) + COLUMN_GAP); }

bool flow_room(flow *f, double height_mm)
{
    if (f->y_mm + height_mm <= f->in.bottom || f->y_mm == f->in.top) return true;
    if (f->column + 1 < f->n_columns) {
        f->column++;
        f->deepest_mm = fmax(f->deepest_mm, f->y_mm);
        f->y_mm = f->top_mm;
    } else {
        new_page(f);
    }
    return false;
}

static lines wrapped(const flow *f, face of, double height_mm, double indent_mm, const char *text)
{
    return wrap(f->book, of, height_mm, flow_width(f) - indent_mm, text);
}

double flow_height(const flow *f, face of, double height_mm, double indent_mm, const char *text)
{
    return wrapped(f, of, height_mm, indent_mm, text).n * LINE_PITCH(height_mm);
}

void flow_text(flow *f, face of, double height_mm, double indent_mm, const char *text)
{
    lines l = wrapped(f, of, height_mm, indent_mm, text);
    for (int i = 0; i < l.n; i++) {
        flow_room(f, LINE_PITCH(height_mm) + TEXT_DESCENT * height_mm);
        f->y_mm += LINE_PITCH(height_mm);
        scene_text(f->scene, flow_left(f) + indent_mm, f->y_mm, height_mm, of, ANCHOR_START, INK_INK, l.at[i]);
    }
}

void flow_gap(flow *f, double height_mm)
{
    if (f->y_mm > f->top_mm) f->y_mm += height_mm;
}

void flow_heading(flow *f, const char *text, double keep_mm)
{
    double height = flow_height(f, FACE_SANS_BOLD, TEXT_NORMAL, 0, text) + HEADING_HEIGHT - LINE_PITCH(TEXT_NORMAL);
    flow_room(f, height + keep_mm);
    flow_gap(f, HEADING_HEIGHT - LINE_PITCH(TEXT_NORMAL) - 2);
    flow_text(f, FACE_SANS_BOLD, TEXT_NORMAL, 0, text);
    f->y_mm += 2;
    double x = flow_left(f);
    scene_line(f->scene, stroke(INK_INK, LINE_WIDE), x, f->y_mm, x + flow_width(f), f->y_mm);
}
