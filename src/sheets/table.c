/* See table.h. */
#include "sheets/table.h"

#include <math.h>

#define ROW_PAD 1.8
#define CELL_PAD 1.4
#define HEAD_HEIGHT 6.5
#define BOX 3.6

static void new_page(table *t)
{
    t->scene = page_add(t->book, t->size, t->title, t->says);
    t->y_mm = t->in.top;
    t->has_head = false;
}

table table_start(book *b, const char *title, const char *says, const table_column *columns, int n_columns)
{
    table t = {.book = b, .title = title, .says = says, .columns = columns, .n_columns = n_columns};
    paper_step(b, 0, false, &t.size);
    t.in = page_area(b, t.size);
    new_page(&t);
    return t;
}

void table_columns(table *t, const table_column *columns, int n_columns)
{
    t->columns = columns;
    t->n_columns = n_columns;
    t->has_head = false;
}

static double column_x(const table *t, int column)
{
    double x = t->in.left;
    for (int i = 0; i < column; i++) x += t->columns[i].share * (t->in.right - t->in.left);
    return x;
}

static double text_x(const table *t, int column)
{
    return t->columns[column].anchor == ANCHOR_END ? column_x(t, column + 1) - CELL_PAD - 1
                                                   : column_x(t, column) + CELL_PAD;
}

static void draw_head(table *t)
{
    if (t->has_head) return;
    t->y_mm += HEAD_HEIGHT;
    for (int i = 0; i < t->n_columns; i++)
        scene_text(t->scene, text_x(t, i), t->y_mm - 2.2, TEXT_SMALL, FACE_SANS, t->columns[i].anchor, INK_FAINT,
                   t->columns[i].head);
    scene_line(t->scene, stroke(INK_INK, LINE_WIDE), t->in.left, t->y_mm, t->in.right, t->y_mm);
    t->has_head = true;
}

/* Room for something of that height; else the next page. */
static void make_room(table *t, double height_mm)
{
    double head = t->has_head ? 0 : HEAD_HEIGHT;
    if (t->y_mm + head + height_mm > t->in.bottom && t->y_mm > t->in.top) new_page(t);
}

void table_note(table *t, const char *text)
{
    lines l = wrap(t->book, FACE_SANS, TEXT_SMALL, t->in.right - t->in.left - 2 * CELL_PAD, text);
    make_room(t, l.n * LINE_PITCH(TEXT_SMALL) + 2);
    for (int i = 0; i < l.n; i++) {
        t->y_mm += LINE_PITCH(TEXT_SMALL);
        scene_text(t->scene, t->in.left + CELL_PAD, t->y_mm, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, l.at[i]);
    }
    t->y_mm += 2;
}

void table_section(table *t, const char *text)
{
    make_room(t, 30);
    t->y_mm += TEXT_NORMAL + 3.5;
    scene_text(t->scene, t->in.left + CELL_PAD, t->y_mm - 1, TEXT_NORMAL, FACE_SANS, ANCHOR_START, INK_INK, text);
    t->has_head = false;
}

void table_heading(table *t, const char *text, const char *beside, int n_rows_to_keep)
{
    double room = t->in.right - t->in.left - 2 * CELL_PAD;
    lines words = wrap(t->book, FACE_SANS_BOLD, TEXT_NORMAL, room, text),
          small = wrap(t->book, FACE_SANS, TEXT_SMALL, room, beside);
    bool is_below = small.n > 1 || words.n > 1 || words.width_mm + 3 + small.width_mm > room;
    double height = 3.2 + words.n * LINE_PITCH(TEXT_NORMAL) + (is_below ? small.n * LINE_PITCH(TEXT_SMALL) : 0),
           keep = (n_rows_to_keep < 12 ? n_rows_to_keep : 12) * (LINE_PITCH(TEXT_SMALL) + ROW_PAD);
    make_room(t, height + keep);
    draw_head(t);
    double x = t->in.left + CELL_PAD, y = t->y_mm + 1.1;
    for (int i = 0; i < words.n; i++)
        scene_text(t->scene, x, y += LINE_PITCH(TEXT_NORMAL), TEXT_NORMAL, FACE_SANS_BOLD, ANCHOR_START, INK_INK,
                   words.at[i]);
    if (!is_below) {
        x += words.width_mm + 3;
        y -= LINE_PITCH(TEXT_SMALL);
    }
    for (int i = 0; i < small.n; i++)
        scene_text(t->scene, x, y += LINE_PITCH(TEXT_SMALL), TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, small.at[i]);
    t->y_mm += height;
    scene_line(t->scene, stroke(INK_INK, LINE_NORMAL), t->in.left, t->y_mm, t->in.right, t->y_mm);
}

void table_row(table *t, const char *id, const char *const *cells)
{
    lines *l = ARENA_ARRAY(t->book->arena, lines, t->n_columns);
    int most = 1;
    for (int i = 0; i < t->n_columns; i++) {
        if (t->columns[i].is_box) continue;
        l[i] =
            wrap(t->book, t->columns[i].face, TEXT_SMALL, column_x(t, i + 1) - column_x(t, i) - 2 * CELL_PAD, cells[i]);
        if (l[i].n > most) most = l[i].n;
    }
    double height = most * LINE_PITCH(TEXT_SMALL) + ROW_PAD;
    make_room(t, height);
    draw_head(t);
    scene_open(t->scene, id, "row", NULL);
    for (int i = 0; i < t->n_columns; i++) {
        if (t->columns[i].is_box && *cells[i])
            scene_rect(t->scene, stroke(INK_INK, LINE_NORMAL), column_x(t, i) + CELL_PAD, t->y_mm + (height - BOX) / 2,
                       BOX, BOX);
        for (int k = 0; k < l[i].n; k++)
            scene_text(t->scene, text_x(t, i), t->y_mm + ROW_PAD / 2 + 3 + k * LINE_PITCH(TEXT_SMALL), TEXT_SMALL,
                       t->columns[i].face, t->columns[i].anchor, INK_INK, l[i].at[k]);
    }
    t->y_mm += height;
    scene_line(t->scene, stroke(INK_FAINT, LINE_THIN), t->in.left, t->y_mm, t->in.right, t->y_mm);
    scene_close(t->scene);
}
