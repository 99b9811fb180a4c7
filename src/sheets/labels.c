/* Sleeve labels: two for each wire, one an end. A label is the wire's name for life. Cut along the lines, wrap around
 * the conductor, cover with clear sleeve. */
#include "sheets/csv.h"
#include "sheets/sheet.h"

#include <math.h>
#include <string.h>

#define CELL_HEIGHT 16.0
#define N_ACROSS 3
#define HEAD 12.0

typedef struct grid {
    book *book;
    paper_size size;
    area in;
    scene *scene;
    int used; /* cells on this page */
} grid;

static int rows_of(const grid *g) { return (int)floor((g->in.bottom - g->in.top - HEAD) / CELL_HEIGHT); }

static void new_page(grid *g)
{
    g->scene = page_add(g->book, g->size, "Sleeve labels",
                        "One label for each end of each wire, to cut out and wrap around the conductor.");
    g->used = 0;
    lines l = wrap(g->book, FACE_SANS, TEXT_SMALL, g->in.right - g->in.left,
                   "Cut along the lines. First the wire, then the terminal where this end goes (at) and its far end "
                   "(to). A label is "
                   "for life: a new wire gets a new label, and a label that was taken off is never used again.");
    for (int i = 0; i < l.n; i++)
        scene_text(g->scene, g->in.left, g->in.top + 3.5 + i * LINE_PITCH(TEXT_SMALL), TEXT_SMALL, FACE_SANS,
                   ANCHOR_START, INK_INK, l.at[i]);
}

/* The longest front part of a text that fits; all of it if it does. */
static int fitting_length(const book *b, const char *text, double width_mm)
{
    int n = (int)strlen(text);
    while (n > 1 && fonts_width_mm(b->fonts, FACE_SANS, TEXT_SMALL, arena_text_n(b->arena, text, (size_t)n)) > width_mm)
        do n--;
        while (n > 1 && ((unsigned char)text[n] & 0xc0) == 0x80);
    return n;
}

/* A terminal's name in one line, or in two where it is long; nothing is left out. Returns the lines used. */
static int draw_name(grid *g, double x, double y, double width_mm, const char *word, const char *name)
{
    const char *text = arena_printf(g->book->arena, "%s %s", word, name);
    int n = 0;
    while (*text) {
        int fits = fitting_length(g->book, text, width_mm);
        const char *line = arena_text_n(g->book->arena, text, (size_t)fits);
        scene_text(g->scene, x, y + n++ * 3.7, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, line);
        text += fits;
    }
    return n;
}

static void draw_sleeve(grid *g, int w, int end)
{
    if (g->used == N_ACROSS * rows_of(g)) new_page(g);
    const van *v = g->book->van;
    const wire *at = &v->wires[w];
    int column = g->used % N_ACROSS, row = g->used / N_ACROSS;
    double width = (g->in.right - g->in.left) / N_ACROSS;
    double x = g->in.left + column * width, y = g->in.top + HEAD + row * CELL_HEIGHT;
    scene_open(
        g->scene,
        arena_printf(g->book->arena, "%s-%s", scene_id(g->book->arena, "sleeve", at->label), end ? "to" : "from"),
        "sleeve", at->label);
    scene_rect(g->scene, stroke(INK_FAINT, LINE_THIN), x, y, width, CELL_HEIGHT);
    bool is_short = fonts_width_mm(g->book->fonts, FACE_MONO_BOLD, TEXT_NORMAL, at->label) <= width - 4;
    scene_text(g->scene, x + 2, y + 5, is_short ? TEXT_NORMAL : TEXT_SMALL, FACE_MONO_BOLD, ANCHOR_START, INK_INK,
               at->label);
    int n = draw_name(g, x + 2, y + 9, width - 4, "at", v->terminals[end ? at->to : at->from].name);
    draw_name(g, x + 2, y + 9 + n * 3.7, width - 4, "to", v->terminals[end ? at->from : at->to].name);
    scene_close(g->scene);
    g->used++;
}

const char *labels_draw(book *b)
{
    grid g = {.book = b};
    sink out = sink_in(b->arena);
    paper_step(b->van->practice, 0, false, &g.size);
    g.in = page_area(b, g.size);
    new_page(&g);
    csv_row(&out, 3, (const char *[]){"label", "at", "far end"});
    for (int w = 0; w < b->van->n_wires; w++)
        for (int end = 0; end < 2; end++) {
            const wire *at = &b->van->wires[w];
            const char *here = b->van->terminals[end ? at->to : at->from].name,
                       *far = b->van->terminals[end ? at->from : at->to].name;
            draw_sleeve(&g, w, end);
            csv_row(&out, 3, (const char *[]){at->label, here, far});
        }
    return sink_text(&out);
}
