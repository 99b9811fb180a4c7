/* The back of a switch panel, as whoever wires it sees it: mirrored, each device with its terminals and, at each, the
 * label of the wire that goes on it. The file has no places on the panel yet, so devices stand in the order of the
 * file: on the front from left to right, hence here from right to left. */
#include "sheets/docks.h"
#include "sheets/ends.h"
#include "sheets/plan.h"
#include "sheets/sheet.h"
#include "sheets/symbols.h"

#include <math.h>
#include <string.h>

#define CELL_WIDTH 60.0
#define GAP 4.0
#define TITLE_HEIGHT 27.0
#define NAME_HEIGHT 12.0
#define WIRE_HEIGHT 10.5
#define PAD 3.0
#define TAB_WIDTH 4.0
#define SCREEN_MARGIN 8.0
#define SCREEN_HEAD 20.0

static int shown_terminals(const book *b, int i) { return b->van->items[i].n_terminals; }

static double terminal_height(const plan *p, int t)
{
    int n = plan_wire_count(p, t);
    return (n > 1 ? n : 1) * WIRE_HEIGHT;
}

static double device_height(const plan *p, int i)
{
    const item *it = &p->van->items[i];
    double height = NAME_HEIGHT + PAD;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) height += terminal_height(p, t);
    return height;
}

static void draw_wire_end(const plan *p, scene *s, double x, double y, int t, int w)
{
    book *b = p->book;
    const van *v = p->van;
    const char *label = v->wires[w].label;
    double width = fonts_width_mm(b->fonts, FACE_MONO_BOLD, TEXT_NORMAL, label);
    page_names_wire(b, w);
    int far = plan_other_end(p, w, t);
    scene_text(s, x, y + 3.6, TEXT_NORMAL, FACE_MONO_BOLD, ANCHOR_START, INK_INK, label);
    scene_text(s, x + width + 2, y + 3.6, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, wire_size_text(b, w));
    lines l = wrap(b, FACE_SANS, TEXT_SMALL, 1e9, arena_printf(p->arena, "to %s", v->terminals[far].name));
    scene_text(s, x, y + 7.6, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, l.at[0]);
}

static void draw_terminal(const plan *p, scene *s, double x, double y, double names_mm, int t)
{
    const van *v = p->van;
    const terminal *at = &v->terminals[t];
    double height = terminal_height(p, t), middle = y + height / 2;
    scene_rect(s, stroke(INK_INK, LINE_NORMAL), x + PAD, middle - 1.5, TAB_WIDTH, 3);
    scene_text(s, x + PAD + TAB_WIDTH + 1.5, middle + TEXT_SMALL / 2, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK,
               terminal_word(v, t));
    double wire_x = x + PAD + TAB_WIDTH + 3 + names_mm;
    for (int e = p->first_wire[t], k = 0; e < p->first_wire[t + 1]; e++, k++)
        draw_wire_end(p, s, wire_x, y + k * WIRE_HEIGHT, t, p->wires[e]);
    if (plan_wire_count(p, t)) return;
    bool may_be_open = item_kind(v, at->item)->terminals[at->template_index].may_be_open;
    scene_line(s, stroke(INK_INK, LINE_NORMAL), x + PAD - 0.8, middle + 2.3, x + PAD + TAB_WIDTH + 0.8, middle - 2.3);
    scene_text(s, wire_x, middle + TEXT_SMALL / 2, TEXT_SMALL, may_be_open ? FACE_SANS : FACE_SANS_BOLD, ANCHOR_START,
               INK_INK, may_be_open ? "open on purpose" : "NOT CONNECTED");
}

static double names_width(const plan *p, int i)
{
    const item *it = &p->van->items[i];
    double width = 0;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        width = fmax(width, fonts_width_mm(p->book->fonts, FACE_SANS, TEXT_SMALL, terminal_word(p->van, t)));
    return width;
}

/* Least width in which the words of a device stand side by side. */
static double device_width(const plan *p, int i)
{
    const item *it = &p->van->items[i];
    double left = PAD + TAB_WIDTH + 3 + names_width(p, i),
           widest = fonts_width_mm(p->book->fonts, FACE_SANS, TEXT_SMALL, "NOT CONNECTED ");
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        for (int e = p->first_wire[t]; e < p->first_wire[t + 1]; e++) {
            int w = p->wires[e];
            const char *far = arena_printf(p->arena, "to %s", p->van->terminals[plan_other_end(p, w, t)].name);
            double label = fonts_width_mm(p->book->fonts, FACE_MONO_BOLD, TEXT_NORMAL, p->van->wires[w].label) + 2;
            label += fonts_width_mm(p->book->fonts, FACE_SANS, TEXT_SMALL, wire_size_text(p->book, w));
            widest = fmax(widest, fmax(label, fonts_width_mm(p->book->fonts, FACE_SANS, TEXT_SMALL, far)));
        }
    double name = fonts_width_mm(p->book->fonts, FACE_SANS_BOLD, TEXT_NORMAL, it->name) + 2 * PAD;
    return fmax(left + widest + PAD, name);
}

static void draw_device(const plan *p, scene *s, double x, double y, double width, int i)
{
    const item *it = &p->van->items[i];
    page_names_item(p->book, i);
    scene_open(s, scene_id(p->arena, "item", it->id), "item back", it->name);
    scene_rect(s, stroke(INK_INK, LINE_WIDE), x, y, width, device_height(p, i));
    scene_text(s, x + PAD, y + 5.2, TEXT_NORMAL, FACE_SANS_BOLD, ANCHOR_START, INK_INK, it->name);
    const char *rating = item_rating(p->book, i), *kind_name = item_kind(p->van, i)->name;
    const char *below = *rating ? arena_printf(p->arena, "%s, %s", kind_name, rating) : kind_name;
    scene_text(s, x + PAD, y + 9.6, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, below);
    double at = y + NAME_HEIGHT;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        draw_terminal(p, s, x, at, names_width(p, i), t);
        at += terminal_height(p, t);
    }
    scene_close(s);
}

typedef struct back {
    plan *p;
    book *book;
    const char *panel, *title;
    paper_size size;
    area in;
    scene *scene;
    double y_mm;
    int n_across;
    double width_mm; /* of a device */
    double growth;   /* of all devices, about the upper left corner of their area */
} back;

static double top_of(const back *k) { return k->in.top + TITLE_HEIGHT; }
/* The area before it grows. */
static double room_across(const back *k) { return (k->in.right - k->in.left) / k->growth; }
static double room_down(const back *k) { return (k->in.bottom - top_of(k)) / k->growth; }

/* ---- on the screen ---- */

static void dock_device(const plan *p, docks *d, double x, double y, int i)
{
    const item *it = &p->van->items[i];
    double at = y + NAME_HEIGHT;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        dock_add(d, t, x + PAD + TAB_WIDTH / 2, at + terminal_height(p, t) / 2);
        at += terminal_height(p, t);
    }
}

/* ---- on paper ---- */

/* Once the devices are on it: they grow, then come the words above them. */
static void finish_page(back *k)
{
    scene *s = k->scene;
    scene_enlarge(s, (point){k->in.left, top_of(k)}, k->growth);
    scene_text(s, k->in.left, k->in.top + TEXT_HUGE + 1, TEXT_HUGE, FACE_SANS_BOLD, ANCHOR_START, INK_INK,
               "SEEN FROM BEHIND");
    scene_text(s, k->in.right, k->in.top + 5, TEXT_NORMAL, FACE_SANS_BOLD, ANCHOR_END, INK_INK, k->panel);
    scene_text(s, k->in.right, k->in.top + TITLE_HEIGHT - 9.5, TEXT_SMALL, FACE_SANS, ANCHOR_END, INK_INK,
               "Devices in the order of the file, mirrored. The marks on a device go before the places drawn here.");
    scene_text(s, k->in.left, k->in.top + TITLE_HEIGHT - 4, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK,
               "right-hand edge of the front");
    scene_text(s, k->in.right, k->in.top + TITLE_HEIGHT - 4, TEXT_SMALL, FACE_SANS, ANCHOR_END, INK_INK,
               "left-hand edge of the front");
}

static void new_page(back *k)
{
    if (k->scene) finish_page(k);
    k->scene = page_add(k->book, k->size, k->title,
                        "The back of the panel as seen from behind, each terminal with the label of its wire.");
    k->y_mm = top_of(k);
}

/* One row of devices, the first of the file at the right. */
static void draw_row(back *k, const int *items, int n)
{
    double height = 0, right = k->in.left + room_across(k);
    for (int i = 0; i < n; i++) height = fmax(height, device_height(k->p, items[i]));
    if (!k->scene || (k->y_mm + height > top_of(k) + room_down(k) && k->y_mm > top_of(k))) new_page(k);
    for (int i = 0; i < n; i++)
        draw_device(k->p, k->scene, right - (i + 1) * k->width_mm - i * GAP, k->y_mm, k->width_mm, items[i]);
    k->y_mm += height + GAP;
}

/* Sets the grid of devices for the paper. True when all stand on one page. */
static bool fits(back *k, double growth, double widest, double tallest, int n)
{
    k->in = page_area(k->book, k->size);
    k->growth = growth;
    k->n_across = (int)floor((room_across(k) + GAP) / (widest + GAP));
    if (k->n_across < 1) k->n_across = 1;
    k->width_mm = (room_across(k) + GAP) / k->n_across - GAP;
    int n_rows = (n + k->n_across - 1) / k->n_across;
    return widest <= room_across(k) && n_rows * (tallest + GAP) <= room_down(k);
}

/* The smallest paper that takes it whole, up to the largest that is printed at home or in a copy shop; on it devices as
 * large as fit. */
static void choose_size(back *k, double widest, double tallest, int n)
{
    bool is_whole = false;
    for (int step = 0; step < 2 && !is_whole; step++) {
        paper_step(k->book, step, true, &k->size);
        is_whole = fits(k, 1, widest, tallest, n);
    }
    for (double growth = TEXT_NORMAL / TEXT_SMALL; is_whole && growth > 1; growth -= 0.05)
        if (fits(k, growth, widest, tallest, n)) return;
    fits(k, 1, widest, tallest, n);
}

/* The devices of a panel in the order of the file; `widest` and `tallest` hold for all. */
typedef struct devices {
    int *items, n;
    double widest, tallest;
} devices;

static devices devices_on(const plan *p, const char *panel)
{
    const van *v = p->van;
    devices d = {.items = ARENA_ARRAY(p->arena, int, (size_t)v->n_items + 1), .widest = CELL_WIDTH};
    for (int i = 0; i < v->n_items; i++) {
        if (!v->items[i].panel || strcmp(v->items[i].panel, panel) != 0 || !shown_terminals(p->book, i)) continue;
        d.items[d.n++] = i;
        d.widest = fmax(d.widest, device_width(p, i));
        d.tallest = fmax(d.tallest, device_height(p, i));
    }
    return d;
}

void panel_draw(book *b, const char *panel, const char *title)
{
    back k = {.p = plan_orient(b), .book = b, .panel = panel, .title = title};
    devices d = devices_on(k.p, panel);
    if (!d.n) return;
    choose_size(&k, d.widest, d.tallest, d.n);
    for (int i = 0; i < d.n; i += k.n_across) draw_row(&k, d.items + i, d.n - i < k.n_across ? d.n - i : k.n_across);
    finish_page(&k);
}

scene *panel_screen(book *b, const char *panel, const char *title)
{
    enum { most_across = 3 };
    const plan *p = plan_orient(b);
    devices d = devices_on(p, panel);
    docks places = {.arena = b->arena};
    int n_across = d.n < most_across ? d.n : most_across, n_rows = n_across ? (d.n + n_across - 1) / n_across : 0;
    double width = fmax(n_across * (d.widest + GAP) - GAP, 140) + 2 * SCREEN_MARGIN;
    scene *s = scene_create(b->arena, b->fonts, width, SCREEN_HEAD + n_rows * (d.tallest + GAP) + SCREEN_MARGIN, title,
                            "The back of the panel as seen from behind, each terminal with the labels of its wires.");
    s->is_screen = true;
    scene_text(s, SCREEN_MARGIN, SCREEN_MARGIN + TEXT_LARGE, TEXT_LARGE, FACE_SANS_BOLD, ANCHOR_START, INK_INK,
               "SEEN FROM BEHIND");
    for (int i = 0; i < d.n; i++) { /* the first of the file at the right */
        double x = width - SCREEN_MARGIN - (i % n_across + 1) * (d.widest + GAP) + GAP;
        const int row = i / n_across;
        double y = SCREEN_HEAD + row * (d.tallest + GAP);
        draw_device(p, s, x, y, d.widest, d.items[i]);
        dock_device(p, &places, x, y, d.items[i]);
    }
    docks_draw(&places, b->van, s);
    return s;
}
