/* The circuit diagram: draws a layout on its pages. Supply at the top, returns at the bottom, one circuit a column in
 * the order of the file. A strip that is wider than the paper is cut between circuits; what runs on across a cut ends
 * in an arrow that names the sheet and the zone where it goes on (IEC 61082). */
#include "sheets/layout.h"
#include "sheets/sheet.h"

#include <math.h>
#include <string.h>

#define REFERENCE_ROOM 20.0 /* beside the drawing, for arrows and their words */
#define LEGEND_HEIGHT 9.0
#define FUSE_LENGTH 11.0
#define BAR_OVERHANG 3.0

typedef struct sheet_page {
    const layout *l;
    book *book;
    scene *scene;
    paper_size size;
    int page, first_number; /* this page in the diagram; number of the diagram's first page in the set */
    double dx_mm, dy_mm;
    double left_mm, right_mm; /* of the strip on this page, in strip millimetres */
    bool has_references;
    point middle; /* the drawing grows about it */
    double growth;
} sheet_page;

const char *wire_title(const book *b, int w)
{
    const wire *at = &b->van->wires[w];
    return arena_printf(b->arena, "%s: %s to %s, %s", at->label, b->van->terminals[at->from].name,
                        b->van->terminals[at->to].name, wire_size_text(b, w));
}

static wire_side side_of(const book *b, int w, bool is_high)
{
    const feeds *f = b->study->feeds;
    wire_side s = f ? f->wires[w].side : SIDE_UNKNOWN;
    return s == SIDE_UNKNOWN ? (is_high ? SIDE_FEED : SIDE_RETURN) : s;
}

pen wire_pen(const book *b, int w, bool is_high)
{
    switch (side_of(b, w, is_high)) {
    case SIDE_BOND:
        return (pen){INK_BOND, INK_NONE, LINE_NORMAL, DASH_DASH_DOT};
    case SIDE_MAINS:
        return (pen){INK_MAINS, INK_NONE, LINE_HEAVY, DASH_NONE};
    case SIDE_FEED:
        return (pen){INK_FEED, INK_NONE, LINE_HEAVY, DASH_NONE};
    default:
        return (pen){INK_RETURN, INK_NONE, LINE_NORMAL, DASH_NONE};
    }
}

static double page_x(const sheet_page *g, double x_mm) { return x_mm + g->dx_mm; }
static double page_y(const sheet_page *g, double y_mm) { return y_mm + g->dy_mm; }
static bool is_here(const sheet_page *g, double x_mm) { return x_mm >= g->left_mm && x_mm < g->right_mm; }

/* ---- references to other pages ---- */

static double page_offset(const sheet_page *g, int page, area in)
{
    double width = g->l->cuts_mm[page + 1] - g->l->cuts_mm[page];
    return (in.left + in.right - width) / 2 - g->l->cuts_mm[page];
}

static const char *reference(const sheet_page *g, int page, bool at_its_right, double y_mm)
{
    area in = page_area(g->book, g->size);
    double x = page_offset(g, page, in) + g->l->cuts_mm[page + at_its_right];
    x = g->middle.x_mm + (x - g->middle.x_mm) * g->growth;
    double y = g->middle.y_mm + (page_y(g, y_mm) - g->middle.y_mm) * g->growth;
    return arena_printf(g->book->arena, "%d/%s", g->first_number + page, page_zone(g->book, g->size, x, y));
}

/* An arrow out of (or into) the page at a cut, with what runs on and where. */
static void draw_reference(sheet_page *g, bool is_right, double y_mm, pen p, const char *what)
{
    double x = page_x(g, is_right ? g->right_mm : g->left_mm), y = page_y(g, y_mm), out = is_right ? 1 : -1;
    const point head[] = {{x + out * 5, y}, {x + out * 2.4, y - 1.3}, {x + out * 2.4, y + 1.3}};
    const char *where = reference(g, g->page + (is_right ? 1 : -1), !is_right, y_mm);
    p.dash = DASH_NONE;
    scene_line(g->scene, p, x, y, x + out * 3, y);
    scene_polyline(g->scene, solid(INK_INK), head, 3, true);
    scene_text(g->scene, x + out * 6, y + TEXT_SMALL / 2, TEXT_SMALL, FACE_MONO, is_right ? ANCHOR_START : ANCHOR_END,
               INK_INK, where);
    if (what)
        scene_text(g->scene, x + out, y - 2.1, TEXT_SMALL, FACE_MONO_BOLD, is_right ? ANCHOR_START : ANCHOR_END,
                   INK_INK, what);
    g->has_references = true;
}

/* ---- wires ---- */

static double bar_y(const layout *l, int bar) { return l->tracks.at[l->track_of_bar[bar]].y_mm; }

static bool is_fused(const layout *l, int t)
{
    return l->p->stand[l->p->van->terminals[t].item] == STAND_BLOCK && l->p->van->terminals[t].number > 0;
}

static bool attaches_upwards(const layout *l, int w, int end)
{
    way of = l->p->ways[w];
    const wire *at = &l->p->van->wires[w];
    if (of.n > 1) return of.at[end ? of.n - 2 : 1].channel < of.at[end ? of.n - 1 : 0].channel;
    return !l->p->is_top[end ? at->from : at->to];
}

static double end_y(const layout *l, int w, int end)
{
    int t = end ? l->p->van->wires[w].to : l->p->van->wires[w].from, i = l->p->van->terminals[t].item;
    if (l->p->stand[i] == STAND_ITEM) return layout_port_y(l, t);
    double y = bar_y(l, i);
    if (is_fused(l, t)) y += attaches_upwards(l, w, end) ? -FUSE_LENGTH : FUSE_LENGTH;
    return y;
}

typedef struct line_points {
    point *at;
    int n;
} line_points;

/* The whole way of a wire in strip millimetres. `first_part` is its first level part. */
static line_points points_of(const layout *l, int w, int first_part)
{
    way of = l->p->ways[w];
    line_points out = {ARENA_ARRAY(l->arena, point, 2 * (size_t)of.n + 2), 0};
    out.at[out.n++] = (point){l->x_mm[of.at[0].column], end_y(l, w, 0)};
    for (int c = 0; c + 1 < of.n; c++) {
        if (of.at[c].column == of.at[c + 1].column) continue;
        double y = track_y(l, l->parts.at[first_part++].track);
        out.at[out.n++] = (point){l->x_mm[of.at[c].column], y};
        out.at[out.n++] = (point){l->x_mm[of.at[c + 1].column], y};
    }
    out.at[out.n++] = (point){l->x_mm[of.at[of.n - 1].column], end_y(l, w, 1)};
    return out;
}

static double clamp(double x, double least, double most) { return x < least ? least : x > most ? most : x; }

/* The piece of a polyline that lies on this page; level lines are cut at its edges. Draws it and its references. */
static bool draw_piece(sheet_page *g, line_points line, pen p, const char *label)
{
    bool is_drawn = false;
    for (int i = 0; i + 1 < line.n;) { /* one stretch of the line after the other that is on this page */
        ARRAY(point) kept = {0};
        int k = i;
        for (; k + 1 < line.n; k++) {
            point a = line.at[k], b = line.at[k + 1];
            double ax = clamp(a.x_mm, g->left_mm, g->right_mm), bx = clamp(b.x_mm, g->left_mm, g->right_mm);
            bool is_out = a.x_mm == b.x_mm ? !is_here(g, a.x_mm) : ax == bx;
            if (is_out) break;
            if (!kept.n) *ARRAY_ADD(g->book->arena, &kept) = (point){page_x(g, ax), page_y(g, a.y_mm)};
            *ARRAY_ADD(g->book->arena, &kept) = (point){page_x(g, bx), page_y(g, b.y_mm)};
            if (ax != a.x_mm) draw_reference(g, ax == g->right_mm, a.y_mm, p, label);
            if (bx != b.x_mm) {
                draw_reference(g, bx == g->right_mm, b.y_mm, p, label);
                k++;
                break;
            }
        }
        if (kept.n) {
            scene_polyline(g->scene, p, kept.at, (int)kept.n, false);
            if (p.stroke == INK_MAINS)
                scene_polyline(g->scene, stroke(INK_PAPER, LINE_THIN), kept.at, (int)kept.n, false);
            is_drawn = true;
        }
        i = k > i ? k : i + 1;
    }
    return is_drawn;
}

static void draw_label(sheet_page *g, int w)
{
    const layout *l = g->l;
    site s = l->sites[w];
    if (s.form == SITE_NONE || !is_here(g, l->x_mm[s.column])) return;
    bool is_left = s.form == SITE_STUB;
    anchor side_of_lane = is_left ? ANCHOR_END : ANCHOR_START;
    double x = page_x(g, l->x_mm[s.column] + (is_left ? -LABEL_GAP : LABEL_GAP)), y = 0;
    switch (s.form) {
    case SITE_STUB:
        y = layout_stub_y(l, w);
        break;
    case SITE_UPPER:
        y = l->channel_top_mm[s.at] + 0.8;
        break;
    case SITE_LOWER:
        y = l->channel_top_mm[s.at] + l->channel_mm[s.at] - LABEL_HEIGHT - 0.4;
        break;
    case SITE_ROW:
        y = l->row_top_mm[s.at] + (l->row_mm[s.at] - LABEL_HEIGHT) / 2;
        break;
    default:
        y = track_y(l, l->parts.at[s.at].track) - LABEL_HEIGHT - 0.8;
        break;
    }
    y = page_y(g, y) + TEXT_SMALL + 0.3;
    scene_text(g->scene, x, y, TEXT_SMALL, FACE_MONO_BOLD, side_of_lane, INK_INK, l->p->van->wires[w].label);
    scene_text(g->scene, x, y + 3.9, TEXT_SMALL, FACE_MONO, side_of_lane, INK_INK, wire_size_text(g->book, w));
}

static void draw_wires(sheet_page *g)
{
    const layout *l = g->l;
    int next = 0;
    for (int w = 0; w < l->p->van->n_wires; w++) {
        way of = l->p->ways[w];
        if (!of.n) continue;
        int first = next;
        bool is_high = l->p->side[l->p->van->wires[w].from] == SIDE_HIGH;
        pen p = wire_pen(g->book, w, is_high);
        line_points line = points_of(l, w, first);
        for (int c = 0; c + 1 < of.n; c++) next += of.at[c].column != of.at[c + 1].column;
        double least = HUGE_VAL, most = -HUGE_VAL;
        for (int i = 0; i < line.n; i++) least = fmin(least, line.at[i].x_mm), most = fmax(most, line.at[i].x_mm);
        if (most < g->left_mm || least >= g->right_mm) continue;
        const char *label = l->p->van->wires[w].label;
        scene_open(g->scene, scene_id(g->book->arena, "wire", label),
                   p.stroke == INK_FEED    ? "wire feed"
                   : p.stroke == INK_BOND  ? "wire bond"
                   : p.stroke == INK_MAINS ? "wire mains"
                                           : "wire return",
                   wire_title(g->book, w));
        draw_piece(g, line, p, label);
        draw_label(g, w);
        scene_close(g->scene);
    }
}

/* A dot where wires part at a port: at each height at which one turns off, but for the last one, which just bends. */
static void draw_port_dots(sheet_page *g, int t)
{
    const layout *l = g->l;
    int n_wires = plan_wire_count(l->p, t), n_turns = 0, n_last = 0;
    bool goes_straight = false;
    double last = l->p->is_top[t] ? HUGE_VAL : -HUGE_VAL, *turns = ARENA_ARRAY(l->arena, double, (size_t)n_wires);
    for (size_t i = 0; i < l->parts.n; i++) {
        const part *at = &l->parts.at[i];
        const wire *of = &l->p->van->wires[at->w];
        if (of->from != t && of->to != t) continue;
        const way *run = &l->p->ways[at->w];
        int tip = of->from == t ? 0 : run->n - 1, next = of->from == t ? 1 : run->n - 2;
        bool is_first = at->channel == run->at[tip].channel && run->at[next].channel == at->channel &&
                        (at->from == run->at[tip].column || at->to == run->at[tip].column);
        if (!is_first || n_turns == n_wires) continue;
        double y = track_y(l, at->track);
        turns[n_turns++] = y;
        last = l->p->is_top[t] ? fmin(last, y) : fmax(last, y);
    }
    goes_straight = n_turns < n_wires;
    for (int i = 0; i < n_turns; i++) n_last += turns[i] == last;
    for (int i = 0; i < n_turns; i++)
        if (turns[i] != last || goes_straight || n_last > 1)
            dot_draw(g->scene, page_x(g, l->x_mm[l->p->column[t]]), page_y(g, turns[i]));
}

static void draw_dots(sheet_page *g)
{
    const van *v = g->l->p->van;
    scene_open(g->scene, NULL, "dots", NULL);
    for (int t = 0; t < v->n_terminals; t++) {
        bool is_port = g->l->p->stand[v->terminals[t].item] == STAND_ITEM && g->l->p->column[t] >= 0;
        if (is_port && plan_wire_count(g->l->p, t) > 1 && is_here(g, g->l->x_mm[g->l->p->column[t]]))
            draw_port_dots(g, t);
    }
    scene_close(g->scene);
}

/* ---- bars ---- */

static const char *slot_text(const book *b, int t)
{
    const terminal *at = &b->van->terminals[t];
    const setting *slots = item_setting(b->van, at->item, "slots");
    if (!slots || !slots->list || at->number < 1 || at->number > slots->n_list) return "";
    return quantity_text(slots->list[at->number - 1], DIMENSION_CURRENT, 3, b->arena);
}

static void draw_pin(sheet_page *g, const track *t, const pin *at)
{
    const layout *l = g->l;
    double x = page_x(g, l->x_mm[at->column]), y = page_y(g, t->y_mm), by = at->is_up ? -1 : 1;
    if (!is_here(g, l->x_mm[at->column])) return;
    dot_draw(g->scene, x, y);
    const char *name = terminal_word(l->p->van, at->terminal);
    if (is_fused(l, at->terminal)) {
        fuse_draw(g->scene, x, at->is_up ? y - FUSE_LENGTH : y, at->is_up ? y : y + FUSE_LENGTH);
        double middle = y + by * FUSE_LENGTH / 2 + 1.2;
        scene_text(g->scene, x + 2.6, middle - 1.6, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, name);
        scene_text(g->scene, x + 2.6, middle + 2.2, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK,
                   slot_text(g->book, at->terminal));
    } else if (l->p->stand[t->bar] != STAND_CHASSIS) {
        scene_text(g->scene, x + 1.2, at->is_up ? y - 1.5 : y + 1.5 + TEXT_SMALL, TEXT_SMALL, FACE_SANS, ANCHOR_START,
                   INK_INK, name);
    }
}

static void draw_bar(sheet_page *g, const track *t)
{
    const layout *l = g->l;
    const item *it = &l->p->van->items[t->bar];
    double from = l->x_mm[t->from] - BAR_OVERHANG, to = l->x_mm[t->to] + BAR_OVERHANG;
    if (to < g->left_mm || from >= g->right_mm) return;
    bool is_joint = strcmp(item_kind(l->p->van, t->bar)->symbol, "joint") == 0;
    pen p = stroke(INK_INK, is_joint ? LINE_WIDE : l->p->stand[t->bar] == STAND_CHASSIS ? LINE_HEAVY : LINE_BAR);
    scene_open(g->scene, scene_id(g->book->arena, "item", it->id), "item bar", it->name);
    if (is_joint) from += BAR_OVERHANG, to -= BAR_OVERHANG;
    draw_piece(g, (line_points){(point[]){{from, t->y_mm}, {to, t->y_mm}}, 2}, p, NULL);
    if (l->p->stand[t->bar] == STAND_CHASSIS && is_here(g, l->x_mm[t->from]))
        chassis_draw(g->scene, page_x(g, l->x_mm[t->from]), page_y(g, t->y_mm));
    for (size_t i = 0; i < t->pins.n; i++) draw_pin(g, t, &t->pins.at[i]);
    for (size_t i = 0; i < l->captions.n; i++) {
        const bar_caption *c = &l->captions.at[i];
        if (&l->tracks.at[c->track] != t || c->page != g->page) continue;
        double y =
            page_y(g, t->y_mm) + (c->is_above ? -2 - (c->text.n - 1) * LINE_PITCH(TEXT_SMALL) : 2.2 + TEXT_SMALL);
        for (int k = 0; k < c->text.n; k++)
            scene_text(g->scene, page_x(g, c->x_mm), y + k * LINE_PITCH(TEXT_SMALL), TEXT_SMALL, FACE_SANS_BOLD,
                       ANCHOR_START, INK_INK, c->text.at[k]);
    }
    scene_close(g->scene);
}

static void draw_items(sheet_page *g)
{
    const layout *l = g->l;
    double *lanes_mm = ARENA_ARRAY(l->arena, double, l->p->order.n + 1);
    for (size_t i = 0; i < l->p->order.n; i++) lanes_mm[i] = page_x(g, l->x_mm[i]);
    for (int i = 0; i < l->p->van->n_items; i++) {
        int from, to;
        if (l->p->stand[i] != STAND_ITEM) continue;
        plan_span(l->p, i, &from, &to);
        if (to < 0 || !is_here(g, l->x_mm[l->p->order.at[from]])) continue;
        spot at = l->spots[i];
        at.x_mm = page_x(g, at.x_mm);
        at.right_mm = page_x(g, at.right_mm);
        at.lamp_x_mm = page_x(g, at.lamp_x_mm);
        at.top_mm = page_y(g, at.top_mm);
        at.bottom_mm = page_y(g, at.bottom_mm);
        const item *it = &l->p->van->items[i];
        scene_open(g->scene, scene_id(g->book->arena, "item", it->id), "item", it->name);
        symbol_draw(l->p, g->scene, i, &at, lanes_mm);
        scene_close(g->scene);
    }
}

/* ---- page ---- */

typedef struct sample {
    const char *word;
    pen pen;
} sample;

static double draw_words(sheet_page *g, double x, double y, const char *text)
{
    scene_text(g->scene, x, y, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, text);
    return x + fonts_width_mm(g->book->fonts, FACE_SANS, TEXT_SMALL, text) + 6;
}

static const char *loose_bars(const layout *l)
{
    sink out = sink_in(l->arena);
    for (int i = 0; i < l->p->van->n_items; i++)
        if (l->p->stand[i] != STAND_ITEM && !l->p->is_wired[i])
            sink_printf(&out, "%s%s", out.n ? ", " : "Not connected: ", l->p->van->items[i].name);
    return sink_text(&out);
}

static void draw_legend(sheet_page *g, area in)
{
    const sample samples[] = {
        {"feed", {INK_FEED, INK_NONE, LINE_HEAVY, DASH_NONE}},
        {"return", {INK_RETURN, INK_NONE, LINE_NORMAL, DASH_NONE}},
        {"bond, chassis", {INK_BOND, INK_NONE, LINE_NORMAL, DASH_DASH_DOT}},
    };
    double x = in.left, y = in.bottom - 2;
    scene_open(g->scene, "legend", "legend", "Legend");
    for (int i = 0; i < 3; i++) {
        scene_line(g->scene, samples[i].pen, x, y - 1.2, x + 14, y - 1.2);
        x = draw_words(g, x + 16, y, samples[i].word);
    }
    if (g->has_references) x = draw_words(g, x, y, "2/B3: goes on at sheet 2, zone B3");
    draw_words(g, x, y, loose_bars(g->l));
    scene_close(g->scene);
}

/* A drawing that leaves much of its pages empty grows, so that it reads from further off; all pages by one measure. */
static void set_growth(sheet_page *g, area in)
{
    double width = 0, height = g->l->height_mm, room = in.bottom - LEGEND_HEIGHT - 4 - in.top;
    for (int i = 0; i < g->l->n_pages; i++) width = fmax(width, g->l->cuts_mm[i + 1] - g->l->cuts_mm[i]);
    if (g->l->n_pages > 1) width += 2 * REFERENCE_ROOM;
    double by = fmin(TEXT_NORMAL / TEXT_SMALL, fmin((in.right - in.left) / width, room / height));
    g->middle = (point){(in.left + in.right) / 2, g->dy_mm + height / 2};
    g->growth = by > 1 ? by : 1;
}

static void draw_page(book *b, const layout *l, paper_size size, int page, int first_number)
{
    sheet_page g = {.l = l, .book = b, .size = size, .page = page, .first_number = first_number};
    area in = page_area(b, size);
    g.scene = page_add(b, size, "Circuit diagram",
                       "Circuit diagram: supply at the top, returns at the bottom, one circuit a column.");
    g.left_mm = l->cuts_mm[page];
    g.right_mm = l->cuts_mm[page + 1];
    g.dx_mm = page_offset(&g, page, in);
    g.dy_mm = in.top + fmax(2, (in.bottom - LEGEND_HEIGHT - in.top - l->height_mm) / 2);
    set_growth(&g, in);
    draw_wires(&g);
    for (size_t i = 0; i < l->tracks.n; i++)
        if (l->tracks.at[i].bar >= 0) draw_bar(&g, &l->tracks.at[i]);
    draw_items(&g);
    draw_dots(&g);
    scene_enlarge(g.scene, g.middle, g.growth);
    draw_legend(&g, in);
}

/* The smallest paper that takes it whole, up to the second size; else the second size, cut into pages; else larger
 * paper, and at last paper made to measure. */
static paper_size fit(const book *b, layout *l)
{
    paper_size size;
    for (int step = 0; paper_step(b->van->practice, step, true, &size); step++) {
        area in = page_area(b, size);
        double width = in.right - in.left, height = in.bottom - in.top - LEGEND_HEIGHT - 2;
        if (layout_cut(l, width, width - 2 * REFERENCE_ROOM) && l->height_mm <= height && (l->n_pages == 1 || step > 0))
            return size;
    }
    layout_cut(l, HUGE_VAL, HUGE_VAL);
    area in = page_area(b, size);
    size.width_mm += fmax(0, l->width_mm + 4 - (in.right - in.left));
    in = page_area(b, size);
    size.height_mm += fmax(0, l->height_mm + LEGEND_HEIGHT + 4 - (in.bottom - in.top));
    return size;
}

/* Where two level lines can't both have their way on a lane, its items are parted and the wires run anew. */
static layout *lay_out(plan *p)
{
    enum { most_rounds = 40 };
    for (int round = 0;; round++) {
        plan_route(p);
        layout *l = layout_run(p);
        layout_cut(l, HUGE_VAL, HUGE_VAL);
        if (l->conflict.column < 0 || round == most_rounds || !plan_part_lane(p, l->conflict)) return l;
    }
}

void diagram_draw(book *b)
{
    plan *p = plan_orient(b);
    plan_place(p);
    layout *l = lay_out(p);
    paper_size size = fit(b, l);
    int first_number = (int)b->pages.n + 1;
    for (int page = 0; page < l->n_pages; page++) draw_page(b, l, size, page, first_number);
}
