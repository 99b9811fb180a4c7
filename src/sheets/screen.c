/* See screen.h. */
#include "sheets/screen.h"

#include "sheets/diagram.h"
#include "sheets/docks.h"
#include <math.h>
#include <string.h>

#define MARGIN 8.0
#define TRAY_GAP 6.0 /* between what is not connected yet, and above it */
#define TRAY_WIDTH 180.0
#define TRAY_TEXT 44.0 /* captions wrap at this */
#define TRAY_HEAD 8.0

/* ---- which there are ---- */

static screen *add_screen(arena *a, screen *all, int *n, screen one)
{
    const char *plain = one.id;
    for (int i = 0, number = 2; i < *n; i++)
        if (strcmp(all[i].id, one.id) == 0) {
            one.id = arena_printf(a, "%s-%d", plain, number++);
            i = -1;
        }
    all[(*n)++] = one;
    return all;
}

screen *screens_of(arena *a, const van *v, int *n)
{
    screen *all = ARENA_ARRAY(a, screen, 2 * (size_t)v->n_panels + 2);
    *n = 0;
    add_screen(a, all, n, (screen){"diagram", "Circuit diagram", NULL, SCREEN_DIAGRAM});
    if (front_has_loose(v)) add_screen(a, all, n, (screen){"front-loose", "Not on a panel", NULL, SCREEN_FRONT});
    for (int i = 0; i < v->n_panels; i++) {
        const char *panel = v->panels[i], *word = panel_word(a, panel);
        add_screen(a, all, n,
                   (screen){arena_printf(a, "front-%s", word), arena_printf(a, "Front of panel: %s", panel), panel,
                            SCREEN_FRONT});
        add_screen(a, all, n,
                   (screen){arena_printf(a, "back-%s", word), arena_printf(a, "Back of panel: %s", panel), panel,
                            SCREEN_BACK});
    }
    return all;
}

/* ---- the tray: what is not connected yet ---- */

typedef struct tray {
    spot *spots; /* of each item that is in it, in millimetres from its own upper left corner */
    bool *is_in;
    int n;
    double width_mm, height_mm;
} tray;

static spot stand_in_tray(const plan *p, int i)
{
    caption c = caption_of(p->book, i, TRAY_TEXT);
    spot at = {.symbol = SYMBOL_BOX, .text_mm = TRAY_TEXT};
    at.right_mm = fmax(c.width_mm + 18, box_width(p, i));
    at.bottom_mm = symbol_height(p, i, SYMBOL_BOX, TRAY_TEXT);
    return at;
}

/* Rows of boxes, each as high as its highest. */
static tray fill_tray(const plan *p, double width_mm)
{
    const van *v = p->van;
    tray t = {.spots = ARENA_ARRAY(p->arena, spot, (size_t)v->n_items + 1),
              .is_in = ARENA_ARRAY(p->arena, bool, (size_t)v->n_items + 1)};
    double x = 0, y = TRAY_HEAD, row_mm = 0;
    for (int i = 0; i < v->n_items; i++) {
        if (p->is_wired[i]) continue;
        spot at = stand_in_tray(p, i);
        if (x > 0 && x + at.right_mm > width_mm) {
            y += row_mm + TRAY_GAP;
            x = row_mm = 0;
        }
        row_mm = fmax(row_mm, at.bottom_mm);
        at.x_mm = x;
        at.top_mm = y;
        at.right_mm += x;
        at.bottom_mm += y;
        x = at.right_mm + TRAY_GAP;
        t.width_mm = fmax(t.width_mm, at.right_mm);
        t.spots[i] = at;
        t.is_in[i] = true;
        t.n++;
    }
    t.height_mm = t.n ? y + row_mm : 0;
    return t;
}

static void move_tray(tray *t, int n_items, double x_mm, double y_mm)
{
    for (int i = 0; i < n_items; i++) {
        spot *at = &t->spots[i];
        at->x_mm += x_mm;
        at->right_mm += x_mm;
        at->top_mm += y_mm;
        at->bottom_mm += y_mm;
    }
}

/* ---- the diagram ---- */

typedef struct sight {
    sheet_page g;
    plan *p;
    tray tray;
    docks docks;
} sight;

static void dock_item(sight *k, int i)
{
    const plan *p = k->p;
    const item *it = &p->van->items[i];
    spot at = k->tray.is_in[i] ? k->tray.spots[i] : diagram_spot(&k->g, i);
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        if (plan_wire_count(p, t)) {
            double y = p->is_top[t] ? at.top_mm : at.bottom_mm;
            dock_add(&k->docks, t, diagram_x(&k->g, k->g.l->x_mm[p->column[t]]), y);
        } else {
            point end = symbol_loose_end(p, i, &at, t);
            dock_add(&k->docks, t, end.x_mm, end.y_mm);
        }
    }
}

static void dock_bar(sight *k, const track *t)
{
    const layout *l = k->g.l;
    const item *it = &k->p->van->items[t->bar];
    for (size_t i = 0; i < t->pins.n; i++) {
        const pin *at = &t->pins.at[i];
        dock_add(&k->docks, at->terminal, diagram_x(&k->g, l->x_mm[at->column]),
                 diagram_y(&k->g, diagram_pin_y(&k->g, at->terminal, at->is_up)));
    }
    for (int u = it->first_terminal, n = 0; u < it->first_terminal + it->n_terminals; u++)
        if (!plan_wire_count(k->p, u))
            dock_add(&k->docks, u, diagram_x(&k->g, layout_free_x(l, t, n++)),
                     diagram_y(&k->g, diagram_pin_y(&k->g, u, false)));
}

static void dock_all(sight *k)
{
    const layout *l = k->g.l;
    for (int i = 0; i < k->p->van->n_items; i++)
        if (k->p->stand[i] == STAND_ITEM || k->tray.is_in[i]) dock_item(k, i);
    for (size_t i = 0; i < l->tracks.n; i++)
        if (l->tracks.at[i].bar >= 0) dock_bar(k, &l->tracks.at[i]);
}

/* The way of a wire on the scene, from `from` to `to`; one that found no way runs straight. */
static line_points run_of(const sight *k, int w, int first_part)
{
    const wire *at = &k->p->van->wires[w];
    if (!k->p->ways[w].n) {
        line_points line = {ARENA_ARRAY(k->p->arena, point, 2), NULL, 2};
        dock_of(&k->docks, at->from, &line.at[0]);
        dock_of(&k->docks, at->to, &line.at[1]);
        return line;
    }
    line_points line = diagram_points(&k->g, w, first_part);
    int n = 0;
    for (int i = 0; i < line.n; i++) {
        point next = {diagram_x(&k->g, line.at[i].x_mm), diagram_y(&k->g, line.at[i].y_mm)};
        bool is_same = n && next.x_mm == line.at[n - 1].x_mm && next.y_mm == line.at[n - 1].y_mm;
        if (!is_same) line.at[n++] = next;
    }
    line.n = n;
    return line;
}

static int n_level_parts(way of)
{
    int n = 0;
    for (int c = 0; c + 1 < of.n; c++) n += of.at[c].column != of.at[c + 1].column;
    return n;
}

static void draw_wires(sight *k)
{
    scene *s = k->g.scene;
    const van *v = k->p->van;
    int next_part = 0;
    for (int w = 0; w < v->n_wires; w++) {
        pen p = wire_pen(k->g.book, w, k->p->side[v->wires[w].from] == SIDE_HIGH);
        line_points line = run_of(k, w, next_part);
        next_part += n_level_parts(k->p->ways[w]);
        scene_open(s, scene_id(s->arena, "wire", v->wires[w].label), wire_class(p), wire_title(k->g.book, w));
        scene_polyline(s, p, line.at, line.n, false);
        scene_mark(s, "run");
        if (p.stroke == INK_MAINS) {
            scene_polyline(s, stroke(INK_PAPER, LINE_THIN), line.at, line.n, false);
            scene_mark(s, "core");
        }
        diagram_label(&k->g, w);
        scene_close(s);
    }
}

static void draw_tray(sight *k, double y_mm)
{
    const van *v = k->p->van;
    scene *s = k->g.scene;
    if (!k->tray.n) return;
    scene_text(s, MARGIN, y_mm + 4, TEXT_NORMAL, FACE_SANS_BOLD, ANCHOR_START, INK_INK, "Not connected yet");
    for (int i = 0; i < v->n_items; i++) {
        if (!k->tray.is_in[i]) continue;
        scene_open(s, scene_id(s->arena, "item", v->items[i].id), item_class(v, i), v->items[i].name);
        symbol_draw(k->p, s, i, &k->tray.spots[i], NULL);
        scene_close(s);
    }
}

static scene *draw_diagram(book *b)
{
    static const page_room boundless = {HUGE_VAL, HUGE_VAL, HUGE_VAL};
    sight k = {.p = plan_orient(b), .docks = {.arena = b->arena}};
    plan_place(k.p);
    layout *l = diagram_lay_out(k.p);
    layout_cut(l, boundless);
    const tile *whole = &l->tiles.at[0];
    double width_mm = l->p->order.n ? whole->edge_mm - whole->left_mm : 0;
    double height_mm = l->p->order.n ? whole->height_mm : 0,
           tray_y = MARGIN + height_mm + (height_mm > 0 ? TRAY_GAP : 0);
    k.tray = fill_tray(k.p, fmax(width_mm, TRAY_WIDTH));
    move_tray(&k.tray, b->van->n_items, MARGIN, tray_y);
    scene *s = scene_create(b->arena, b->fonts, 2 * MARGIN + fmax(width_mm, k.tray.width_mm),
                            (k.tray.n ? tray_y + k.tray.height_mm : MARGIN + height_mm) + MARGIN, "Circuit diagram",
                            "Supply at the top, returns at the bottom, one circuit a column.");
    s->is_screen = true;
    k.g = (sheet_page){.l = l, .tile = whole, .book = b, .scene = s};
    k.g.in = (area){MARGIN, MARGIN, MARGIN + width_mm, MARGIN + height_mm};
    dock_all(&k);
    draw_wires(&k);
    for (size_t i = 0; i < l->tracks.n; i++)
        if (l->tracks.at[i].bar >= 0) diagram_bar(&k.g, &l->tracks.at[i]);
    diagram_items(&k.g);
    diagram_dots(&k.g);
    draw_tray(&k, tray_y);
    docks_draw(&k.docks, b->van, s);
    return s;
}

/* ---- any of them ---- */

scene *screen_draw(arena *a, const fonts *f, const study *s, const screen *which)
{
    book *b = ARENA_NEW(a, book);
    *b = (book){.arena = a, .fonts = f, .study = s, .van = s->van, .is_screen = true};
    switch (which->form) {
    case SCREEN_FRONT:
        return front_screen(b, which->panel, which->title);
    case SCREEN_BACK:
        return panel_screen(b, which->panel, which->title);
    default:
        return draw_diagram(b);
    }
}
