/* Sleeve labels: two for each wire, one an end. A label is the wire's name for life. Cut along the lines, wrap around
 * the conductor, cover with clear sleeve. */
#include "sheets/csv.h"
#include "sheets/sheet.h"

#include <math.h>
#include <string.h>

#define N_ACROSS 3
#define HEAD 13.0
#define PAD 2.0
#define LEAST_HEIGHT 16.0
#define PROPOSED_WIDTH 20.0
#define PITCH 3.8 /* of the lines of a sleeve */

/* What a sleeve says: the label, and the terminals here and at the far end. */
typedef struct sleeve {
    int wire;
    const char *id, *label;
    bool is_proposed;
    double label_mm; /* height of its letters */
    lines head, at, to;
} sleeve;

typedef struct grid {
    book *book;
    paper_size size;
    area in;
    scene *scene;
    double y_mm;
    sleeve row[N_ACROSS]; /* waiting to be drawn side by side */
    int n;
} grid;

static bool has_proposed(const van *v)
{
    for (int w = 0; w < v->n_wires; w++)
        if (v->wires[w].is_label_proposed) return true;
    return false;
}

static void new_page(grid *g)
{
    g->scene = page_add(g->book, g->size, "Sleeve labels",
                        "One label for each end of each wire, to cut out and wrap around the conductor.");
    g->y_mm = g->in.top + HEAD;
    page_scale_bar(g->book, g->in.left, g->in.bottom + 2);
    const char *text =
        "Cut along the lines. First the wire, then the terminal where this end goes (at) and its far end "
        "(to). A label is "
        "for life: a new wire gets a new label, and a label that was taken off is never used again.";
    if (has_proposed(g->book->van))
        text = arena_printf(g->book->arena,
                            "%s A proposed label may change until `loomwall label` has written it to the file: use no "
                            "sleeve marked so.",
                            text);
    lines l = wrap(g->book, FACE_SANS, TEXT_SMALL, g->in.right - g->in.left, text);
    for (int i = 0; i < l.n; i++)
        scene_text(g->scene, g->in.left, g->in.top + 3.5 + i * LINE_PITCH(TEXT_SMALL), TEXT_SMALL, FACE_SANS,
                   ANCHOR_START, INK_INK, l.at[i]);
}

static double cell_width(const grid *g) { return (g->in.right - g->in.left) / N_ACROSS; }

static sleeve sleeve_of(const grid *g, int w, int end)
{
    const book *b = g->book;
    const van *v = b->van;
    const wire *at = &v->wires[w];
    double width = cell_width(g) - 2 * PAD;
    double label_mm = width - (at->is_label_proposed ? PROPOSED_WIDTH : 0);
    bool is_short = fonts_width_mm(b->fonts, FACE_MONO_BOLD, TEXT_NORMAL, at->label) <= label_mm;
    sleeve s = {.wire = w,
                .id = arena_printf(b->arena, "%s-%s", scene_id(b->arena, "sleeve", at->label), end ? "to" : "from"),
                .label = at->label,
                .is_proposed = at->is_label_proposed,
                .label_mm = is_short ? TEXT_NORMAL : TEXT_SMALL};
    const char *here = v->terminals[end ? at->to : at->from].name, *far = v->terminals[end ? at->from : at->to].name;
    s.head = wrap(b, FACE_MONO_BOLD, s.label_mm, label_mm, at->label);
    s.at = wrap(b, FACE_SANS, TEXT_SMALL, width, arena_printf(b->arena, "at\u00a0%s", here));
    s.to = wrap(b, FACE_SANS, TEXT_SMALL, width, arena_printf(b->arena, "to\u00a0%s", far));
    return s;
}

static double sleeve_height(const sleeve *s)
{
    return fmax(LEAST_HEIGHT, PAD + s->label_mm + (s->head.n - 1 + s->at.n + s->to.n) * PITCH + 3);
}

static void draw_lines(grid *g, double x, double *y, lines l, face f, double height_mm)
{
    for (int i = 0; i < l.n; i++, *y += PITCH)
        scene_text(g->scene, x, *y, height_mm, f, ANCHOR_START, INK_INK, l.at[i]);
}

static void draw_sleeve(grid *g, const sleeve *s, double x, double height)
{
    page_names_wire(g->book, s->wire);
    scene_open(g->scene, s->id, "sleeve", s->label);
    scene_rect(g->scene, stroke(INK_FAINT, LINE_THIN), x, g->y_mm, cell_width(g), height);
    double y = g->y_mm + PAD + s->label_mm;
    if (s->is_proposed) /* labels are short: there is room beside them */
        scene_text(g->scene, x + cell_width(g) - PAD, y, TEXT_SMALL, FACE_SANS, ANCHOR_END, INK_INK, "proposed");
    draw_lines(g, x + PAD, &y, s->head, FACE_MONO_BOLD, s->label_mm);
    y += 0.4;
    draw_lines(g, x + PAD, &y, s->at, FACE_SANS, TEXT_SMALL);
    draw_lines(g, x + PAD, &y, s->to, FACE_SANS, TEXT_SMALL);
    scene_close(g->scene);
}

/* The sleeves that wait, side by side and of one height. */
static void draw_row(grid *g)
{
    double height = 0;
    for (int i = 0; i < g->n; i++) height = fmax(height, sleeve_height(&g->row[i]));
    if (g->y_mm + height > g->in.bottom && g->y_mm > g->in.top + HEAD) new_page(g);
    for (int i = 0; i < g->n; i++) draw_sleeve(g, &g->row[i], g->in.left + i * cell_width(g), height);
    g->y_mm += height;
    g->n = 0;
}

const char *labels_draw(book *b)
{
    grid g = {.book = b};
    sink out = sink_in(b->arena);
    paper_step(b, 0, false, &g.size);
    g.in = page_area(b, g.size);
    g.in.bottom -= SCALE_BAR_HEIGHT;
    new_page(&g);
    csv_row(&out, 4, (const char *[]){"label", "at", "far end", "label is"});
    for (int w = 0; w < b->van->n_wires; w++)
        for (int end = 0; end < 2; end++) {
            const wire *at = &b->van->wires[w];
            const char *here = b->van->terminals[end ? at->to : at->from].name,
                       *far = b->van->terminals[end ? at->from : at->to].name;
            g.row[g.n++] = sleeve_of(&g, w, end);
            if (g.n == N_ACROSS) draw_row(&g);
            csv_row(&out, 4, (const char *[]){at->label, here, far, at->is_label_proposed ? "proposed" : "given"});
        }
    if (g.n) draw_row(&g);
    return sink_text(&out);
}
