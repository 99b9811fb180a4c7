/* The circuit diagram: draws a layout on its pages. Supply at the top, returns at the bottom, one circuit a column in
 * the order of the file. A strip that is wider than the paper is cut between circuits; what runs on across a cut ends
 * in an arrow that names the sheet and the zone where it goes on (IEC 61082). */
#include "sheets/diagram.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#define REFERENCE_ROOM 20.0 /* beside the drawing, for arrows and their words */
#define LEGEND_HEIGHT 9.0
#define STUD 2.2         /* on the screen a stud stands out of its bar, so that two on one lane can be told apart */
#define BAND_LABELS 13.0 /* labels beside the arrow of a lane wrap at this */

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

static double room_above(const tile *t) { return t->top > 0 ? BAND_ROOM : 0; }
static double room_below(const sheet_page *g, const tile *t) { return t->bottom < 2 * g->l->p->n_rows ? BAND_ROOM : 0; }

/* The drawing of a page stands in the middle of its area, with its references. */
static point place_on(const sheet_page *g, const tile *t)
{
    double height = room_above(t) + t->height_mm + room_below(g, t);
    return (point){(g->in.left + g->in.right - (t->edge_mm - t->left_mm)) / 2 - t->left_mm,
                   (g->in.top + g->in.bottom - height) / 2 + room_above(t)};
}
double diagram_x(const sheet_page *g, double x_mm) { return x_mm + place_on(g, g->tile).x_mm; }
double diagram_y(const sheet_page *g, double y_mm) { return y_mm + place_on(g, g->tile).y_mm; }
static bool is_here(const sheet_page *g, double x_mm) { return x_mm >= g->tile->left_mm && x_mm < g->tile->right_mm; }

/* The drawing grows about this point. */
static point middle_of(area in) { return (point){(in.left + in.right) / 2, (in.top + in.bottom) / 2}; }

/* For what is written beside the arrow of a line that is cut. */
static double reference_room(const layout *l) { return fmax(REFERENCE_ROOM, l->label_mm + 3); }

/* A drawing that leaves much of its page empty grows, so that it reads from further off. */
static double growth_of(const sheet_page *g, const tile *t)
{
    double width = t->edge_mm - t->left_mm + (g->l->tiles.n > 1 ? 2 * reference_room(g->l) : 0);
    double height = room_above(t) + t->height_mm + room_below(g, t);
    double by = fmin((g->in.right - g->in.left) / width, (g->in.bottom - g->in.top) / height);
    return fmax(g->l->is_shrunk ? 0 : 1, fmin(by, TEXT_NORMAL / TEXT_SMALL));
}

/* ---- references to other pages ---- */

/* "2/B3": sheet and zone of a point of the strip on another page. */
static const char *reference(const sheet_page *g, int page, double x_mm, double y_mm)
{
    const tile *t = &g->l->tiles.at[page];
    point place = place_on(g, t), middle = middle_of(g->in);
    double growth = growth_of(g, t);
    double x = middle.x_mm + (x_mm + place.x_mm - middle.x_mm) * growth;
    double y = middle.y_mm + (y_mm + place.y_mm - middle.y_mm) * growth;
    return arena_printf(g->book->arena, "%d/%s", g->first_number + page, page_zone(g->book, g->size, x, y));
}

/* The next page to the right (or left) on which something hangs on a track. */
static int next_page(const sheet_page *g, int track, bool is_right)
{
    for (int page = g->page; page >= 0 && page < (int)g->l->tiles.n; page += is_right ? 1 : -1) {
        const tile *t = &g->l->tiles.at[page];
        bool is_beside = is_right ? t->from > g->tile->to : t->to < g->tile->from;
        if (is_beside && isfinite(layout_track_y(g->l, t, track))) return page;
    }
    return g->page;
}

/* An arrow out of (or into) the page at a cut, with what runs on and where. */
static void draw_reference(sheet_page *g, bool is_right, int track, pen p, const char *what)
{
    double x = diagram_x(g, is_right ? g->tile->edge_mm : g->tile->left_mm), out = is_right ? 1 : -1,
           y = diagram_y(g, layout_track_y(g->l, g->tile, track));
    const point head[] = {{x + out * 5, y}, {x + out * 2.4, y - 1.3}, {x + out * 2.4, y + 1.3}};
    int page = next_page(g, track, is_right);
    const tile *there = &g->l->tiles.at[page];
    const char *where =
        reference(g, page, is_right ? there->left_mm : there->edge_mm, layout_track_y(g->l, there, track));
    anchor side_of_line = is_right ? ANCHOR_START : ANCHOR_END;
    p.dash = DASH_NONE;
    scene_line(g->scene, p, x, y, x + out * 3, y);
    scene_polyline(g->scene, solid(INK_INK), head, 3, true);
    scene_text(g->scene, x + out * 6, y + TEXT_SMALL / 2, TEXT_SMALL, FACE_MONO, side_of_line, INK_INK, where);
    if (what) scene_text(g->scene, x + out, y - 2.1, TEXT_SMALL, FACE_MONO_BOLD, side_of_line, INK_INK, what);
    g->has_references = true;
}

/* Several wires of one port share its lane: one arrow for all. */
static void note_lane_end(sheet_page *g, double x_mm, bool is_bottom, pen p, const char *label)
{
    arena *a = g->book->arena;
    for (size_t i = 0; i < g->lane_ends.n; i++) {
        lane_end *at = &g->lane_ends.at[i];
        if (at->x_mm != x_mm || at->is_bottom != is_bottom) continue;
        sink_printf(&at->labels, " %s", label);
        return;
    }
    lane_end *added = ARRAY_ADD(a, &g->lane_ends);
    *added = (lane_end){x_mm, is_bottom, p, sink_in(a)};
    sink_add(&added->labels, label);
}

static void draw_lane_ends(sheet_page *g)
{
    for (size_t i = 0; i < g->lane_ends.n; i++) {
        lane_end *at = &g->lane_ends.at[i];
        double x = diagram_x(g, at->x_mm), y = diagram_y(g, at->is_bottom ? g->tile->height_mm : 0),
               out = at->is_bottom ? 1 : -1;
        const point head[] = {{x, y + out * 5}, {x - 1.3, y + out * 2.4}, {x + 1.3, y + out * 2.4}};
        int page = g->page + (at->is_bottom ? 1 : -1);
        const char *where = reference(g, page, at->x_mm, at->is_bottom ? 0 : g->l->tiles.at[page].height_mm);
        lines labels =
            wrap(g->book, FACE_MONO_BOLD, TEXT_SMALL, fmax(BAND_LABELS, g->l->label_mm), sink_text(&at->labels));
        at->pen.dash = DASH_NONE;
        scene_line(g->scene, at->pen, x, y, x, y + out * 3);
        scene_polyline(g->scene, solid(INK_INK), head, 3, true);
        double text_y = at->is_bottom ? y + 4 : y - 5.5 - (labels.n - 1) * LINE_PITCH(TEXT_SMALL);
        for (int k = 0; k < labels.n; k++, text_y += LINE_PITCH(TEXT_SMALL))
            scene_text(g->scene, x + 2, text_y, TEXT_SMALL, FACE_MONO_BOLD, ANCHOR_START, INK_INK, labels.at[k]);
        scene_text(g->scene, x + 2, text_y, TEXT_SMALL, FACE_MONO, ANCHOR_START, INK_INK, where);
        g->has_references = true;
    }
}

/* ---- wires ---- */

static double bar_y(const sheet_page *g, int bar) { return layout_track_y(g->l, g->tile, g->l->track_of_bar[bar]); }

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

double diagram_pin_y(const sheet_page *g, int t, bool is_up)
{
    double out = is_fused(g->l, t) ? FUSE_LENGTH : g->book->is_screen && plan_wire_count(g->l->p, t) ? STUD : 0;
    return bar_y(g, g->l->p->van->terminals[t].item) + (is_up ? -out : out);
}

static double end_y(const sheet_page *g, int w, int end)
{
    const layout *l = g->l;
    int t = end ? l->p->van->wires[w].to : l->p->van->wires[w].from, i = l->p->van->terminals[t].item;
    if (l->p->stand[i] == STAND_ITEM) return layout_port_y(l, g->tile, t);
    return diagram_pin_y(g, t, attaches_upwards(l, w, end));
}

static void add_point(line_points *line, double x_mm, double y_mm, int track)
{
    line->at[line->n] = (point){x_mm, y_mm};
    line->tracks[line->n++] = track;
}

line_points diagram_points(const sheet_page *g, int w, int first_part)
{
    const layout *l = g->l;
    way of = l->p->ways[w];
    size_t room = 2 * (size_t)of.n + 2;
    line_points out = {ARENA_ARRAY(l->arena, point, room), ARENA_ARRAY(l->arena, int, room), 0};
    add_point(&out, l->x_mm[of.at[0].column], end_y(g, w, 0), -1);
    for (int c = 0; c + 1 < of.n; c++) {
        if (of.at[c].column == of.at[c + 1].column) continue;
        int track = l->parts.at[first_part++].track;
        double y = layout_track_y(l, g->tile, track);
        add_point(&out, l->x_mm[of.at[c].column], y, track);
        add_point(&out, l->x_mm[of.at[c + 1].column], y, -1);
    }
    add_point(&out, l->x_mm[of.at[of.n - 1].column], end_y(g, w, 1), -1);
    return out;
}

static double clamp(double x, double least, double most) { return x < least ? least : x > most ? most : x; }

/* The piece of a stretch that lies on this page; false when none does. */
static bool clip(const sheet_page *g, const line_points *line, int i, point *a, point *b)
{
    const tile *t = g->tile;
    *a = line->at[i];
    *b = line->at[i + 1];
    if (line->tracks[i] < 0) {
        if (!is_here(g, a->x_mm) || isnan(a->y_mm) || isnan(b->y_mm)) return false;
        a->y_mm = clamp(a->y_mm, 0, t->height_mm);
        b->y_mm = clamp(b->y_mm, 0, t->height_mm);
        return a->y_mm != b->y_mm;
    }
    a->x_mm = clamp(a->x_mm, t->left_mm, t->right_mm);
    b->x_mm = clamp(b->x_mm, t->left_mm, t->right_mm);
    return isfinite(a->y_mm) && a->x_mm != b->x_mm;
}

/* On paper; a line that is cut at the right runs up to the edge. */
static point on_page(const sheet_page *g, point whole, point kept)
{
    bool is_cut = whole.x_mm != kept.x_mm && kept.x_mm == g->tile->right_mm;
    return (point){diagram_x(g, is_cut ? g->tile->edge_mm : kept.x_mm), diagram_y(g, kept.y_mm)};
}

static void draw_cut_end(sheet_page *g, const line_points *line, int i, point whole, point kept, pen p,
                         const char *label)
{
    if (line->tracks[i] < 0 && whole.y_mm != kept.y_mm)
        note_lane_end(g, kept.x_mm, whole.y_mm > kept.y_mm, p, label ? label : "");
    if (line->tracks[i] >= 0 && whole.x_mm != kept.x_mm)
        draw_reference(g, whole.x_mm > kept.x_mm, line->tracks[i], p, label);
}

static void draw_run(sheet_page *g, const point *at, size_t n, pen p)
{
    if (n < 2) return;
    scene_polyline(g->scene, p, at, (int)n, false);
    if (p.stroke == INK_MAINS) scene_polyline(g->scene, stroke(INK_PAPER, LINE_THIN), at, (int)n, false);
}

/* Draws what of a line is on this page, and a reference wherever it is cut. */
static void draw_pieces(sheet_page *g, line_points line, pen p, const char *label)
{
    ARRAY(point) run = {0};
    point last = {NAN, NAN};
    for (int i = 0; i + 1 < line.n; i++) {
        point a, b;
        if (!clip(g, &line, i, &a, &b)) continue;
        if (a.x_mm != last.x_mm || a.y_mm != last.y_mm) {
            draw_run(g, run.at, run.n, p);
            run.n = 0;
            *ARRAY_ADD(g->book->arena, &run) = on_page(g, line.at[i], a);
        }
        *ARRAY_ADD(g->book->arena, &run) = on_page(g, line.at[i + 1], b);
        draw_cut_end(g, &line, i, line.at[i], a, p, label);
        draw_cut_end(g, &line, i, line.at[i + 1], b, p, label);
        last = b;
    }
    draw_run(g, run.at, run.n, p);
}

/* A level that the label of a wire stands on. */
static int site_level(const layout *l, int w)
{
    site s = l->sites[w];
    switch (s.form) {
    case SITE_ROW:
        return 2 * s.at + 1;
    case SITE_PART:
        return 2 * l->parts.at[s.at].channel;
    case SITE_STUB: {
        int i = l->p->van->terminals[s.at].item;
        return 2 * (plan_row(l->p, i) + !l->p->is_top[s.at]);
    }
    default:
        return 2 * s.at;
    }
}

void diagram_label(sheet_page *g, int w)
{
    const layout *l = g->l;
    site s = l->sites[w];
    const tile *t = g->tile;
    if (s.form == SITE_NONE || !tile_has_column(l, t, s.column) || !tile_has_level(t, site_level(l, w))) return;
    bool is_left = s.form == SITE_STUB;
    anchor side_of_lane = is_left ? ANCHOR_END : ANCHOR_START;
    double x = diagram_x(g, l->x_mm[s.column] + (is_left ? -LABEL_GAP : LABEL_GAP)), y = 0;
    switch (s.form) {
    case SITE_STUB:
        y = layout_stub_y(l, t, w);
        break;
    case SITE_UPPER:
        y = t->channel_top_mm[s.at] + 0.8;
        break;
    case SITE_LOWER:
        y = t->channel_top_mm[s.at] + t->channel_mm[s.at] - LABEL_HEIGHT - 0.4;
        break;
    case SITE_ROW:
        y = t->row_top_mm[s.at] + (t->row_mm[s.at] - LABEL_HEIGHT) / 2;
        break;
    default:
        y = layout_track_y(l, t, l->parts.at[s.at].track) - LABEL_HEIGHT - 0.8;
        break;
    }
    y = diagram_y(g, y) + TEXT_SMALL + 0.3;
    scene_text(g->scene, x, y, TEXT_SMALL, FACE_MONO_BOLD, side_of_lane, INK_INK, l->p->van->wires[w].label);
    scene_text(g->scene, x, y + 3.9, TEXT_SMALL, FACE_SANS, side_of_lane, INK_INK, wire_size_text(g->book, w));
}

static bool is_any_here(const sheet_page *g, const line_points *line)
{
    point a, b;
    for (int i = 0; i + 1 < line->n; i++)
        if (clip(g, line, i, &a, &b)) return true;
    return false;
}

const char *wire_class(pen p)
{
    return p.stroke == INK_FEED    ? "wire feed"
           : p.stroke == INK_BOND  ? "wire bond"
           : p.stroke == INK_MAINS ? "wire mains"
                                   : "wire return";
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
        line_points line = diagram_points(g, w, first);
        for (int c = 0; c + 1 < of.n; c++) next += of.at[c].column != of.at[c + 1].column;
        if (!is_any_here(g, &line)) continue;
        const char *label = l->p->van->wires[w].label;
        page_names_wire(g->book, w);
        scene_open(g->scene, scene_id(g->book->arena, "wire", label), wire_class(p), wire_title(g->book, w));
        draw_pieces(g, line, p, label);
        diagram_label(g, w);
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
        double y = layout_track_y(l, g->tile, at->track);
        turns[n_turns++] = y;
        last = l->p->is_top[t] ? fmin(last, y) : fmax(last, y);
    }
    goes_straight = n_turns < n_wires;
    for (int i = 0; i < n_turns; i++) n_last += turns[i] == last;
    for (int i = 0; i < n_turns; i++)
        if (isfinite(turns[i]) && (turns[i] != last || goes_straight || n_last > 1))
            dot_draw(g->scene, diagram_x(g, l->x_mm[l->p->column[t]]), diagram_y(g, turns[i]));
}

void diagram_dots(sheet_page *g)
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

/* The fuse of a slot, with its number and rating; (x, y) is on the bar. */
static void draw_slot(sheet_page *g, int t, double x, double y, bool is_up)
{
    double middle = y + (is_up ? -1 : 1) * FUSE_LENGTH / 2 + 1.2;
    fuse_draw(g->scene, x, is_up ? y - FUSE_LENGTH : y, is_up ? y : y + FUSE_LENGTH);
    scene_text(g->scene, x + 2.6, middle - 1.6, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK,
               terminal_word(g->l->p->van, t));
    scene_text(g->scene, x + 2.6, middle + 2.2, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, slot_text(g->book, t));
}

/* Studs and slots without wires, beyond the end of their bar. */
static void draw_free(sheet_page *g, const track *t)
{
    const layout *l = g->l;
    const item *it = &l->p->van->items[t->bar];
    for (int k = it->first_terminal, n = 0; k < it->first_terminal + it->n_terminals && n < t->n_free; k++) {
        if (plan_wire_count(l->p, k)) continue;
        double x = diagram_x(g, layout_free_x(l, t, n++)), y = diagram_y(g, bar_y(g, t->bar));
        if (is_fused(l, k)) draw_slot(g, k, x, y, false);
        if (is_fused(l, k)) dot_draw(g->scene, x, y);
        open_draw(g->scene, x, diagram_y(g, diagram_pin_y(g, k, false)));
    }
}

static void draw_pin(sheet_page *g, const track *t, const pin *at)
{
    const layout *l = g->l;
    double x = diagram_x(g, l->x_mm[at->column]), y = diagram_y(g, bar_y(g, t->bar));
    if (!is_here(g, l->x_mm[at->column])) return;
    dot_draw(g->scene, x, y);
    if (g->book->is_screen && !is_fused(l, at->terminal))
        scene_line(g->scene, stroke(INK_INK, LINE_WIDE), x, y, x,
                   diagram_y(g, diagram_pin_y(g, at->terminal, at->is_up)));
    const char *name = terminal_word(l->p->van, at->terminal);
    if (is_fused(l, at->terminal)) {
        draw_slot(g, at->terminal, x, y, at->is_up);
    } else if (l->p->stand[t->bar] != STAND_CHASSIS) {
        scene_text(g->scene, x + 1.2, at->is_up ? y - 1.5 : y + 1.5 + TEXT_SMALL, TEXT_SMALL, FACE_SANS, ANCHOR_START,
                   INK_INK, name);
    }
}

static void draw_bar_name(sheet_page *g, const bar_caption *c, double y)
{
    y += c->is_above ? -2 - (c->text.n - 1) * LINE_PITCH(TEXT_SMALL) : 2.2 + TEXT_SMALL;
    for (int k = 0; k < c->text.n; k++)
        scene_text(g->scene, diagram_x(g, c->x_mm), y + k * LINE_PITCH(TEXT_SMALL), TEXT_SMALL, FACE_SANS_BOLD,
                   ANCHOR_START, INK_INK, c->text.at[k]);
}

void diagram_bar(sheet_page *g, const track *t)
{
    const layout *l = g->l;
    const item *it = &l->p->van->items[t->bar];
    double y = bar_y(g, t->bar);
    if (!isfinite(y)) return;
    bool is_joint = strcmp(item_kind(l->p->van, t->bar)->symbol, "joint") == 0,
         is_chassis = l->p->stand[t->bar] == STAND_CHASSIS;
    double overhang = is_joint ? 0 : BAR_OVERHANG;
    double end = layout_bar_end(l, t);
    page_names_item(g->book, t->bar);
    pen p = stroke(INK_INK, is_joint ? LINE_WIDE : is_chassis ? LINE_HEAVY : LINE_BAR);
    scene_open(g->scene, scene_id(g->book->arena, "item", it->id), "item bar", it->name);
    line_points line = {(point[]){{l->x_mm[t->from] - overhang, y}, {end, y}}, (int[]){l->track_of_bar[t->bar], -1}, 2};
    draw_pieces(g, line, p, NULL);
    if (is_chassis && is_here(g, l->x_mm[t->from]))
        chassis_draw(g->scene, diagram_x(g, l->x_mm[t->from]), diagram_y(g, y));
    for (size_t i = 0; i < t->pins.n; i++) draw_pin(g, t, &t->pins.at[i]);
    draw_free(g, t);
    for (size_t i = 0; i < l->captions.n; i++)
        if (&l->tracks.at[l->captions.at[i].track] == t && l->captions.at[i].page == g->page)
            draw_bar_name(g, &l->captions.at[i], diagram_y(g, y));
    scene_close(g->scene);
}

spot diagram_spot(const sheet_page *g, int i)
{
    spot at = layout_spot(g->l, g->tile, i);
    at.x_mm = diagram_x(g, at.x_mm);
    at.right_mm = diagram_x(g, at.right_mm);
    at.lamp_x_mm = diagram_x(g, at.lamp_x_mm);
    at.top_mm = diagram_y(g, at.top_mm);
    at.bottom_mm = diagram_y(g, at.bottom_mm);
    return at;
}

void diagram_items(sheet_page *g)
{
    const layout *l = g->l;
    double *lanes_mm = ARENA_ARRAY(l->arena, double, l->p->order.n + 1);
    for (size_t i = 0; i < l->p->order.n; i++) lanes_mm[i] = diagram_x(g, l->x_mm[i]);
    for (int i = 0; i < l->p->van->n_items; i++) {
        if (!tile_has_item(l, g->tile, i)) continue;
        spot at = diagram_spot(g, i);
        const item *it = &l->p->van->items[i];
        page_names_item(g->book, i);
        scene_open(g->scene, scene_id(g->book->arena, "item", it->id),
                   g->book->is_screen ? item_class(l->p->van, i) : "item", it->name);
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
    x = draw_words(g, x, y, loose_bars(g->l));
    if (g->l->is_shrunk) draw_words(g, x, y, "drawn small to fit; the sheet `diagram` has it in full size");
    scene_close(g->scene);
}

/* Where the drawing of a page may stand: what the legend leaves. */
static area drawing_area(const book *b, paper_size size)
{
    area in = page_area(b, size);
    return (area){in.left, in.top + 2, in.right, in.bottom - LEGEND_HEIGHT};
}

static void draw_page(book *b, const layout *l, paper_size size, int page, int first_number)
{
    area in = drawing_area(b, size);
    sheet_page g = {.l = l,
                    .tile = &l->tiles.at[page],
                    .book = b,
                    .size = size,
                    .in = in,
                    .page = page,
                    .first_number = first_number};
    g.scene = page_add(b, size, "Circuit diagram",
                       "Circuit diagram: supply at the top, returns at the bottom, one circuit a column.");
    draw_wires(&g);
    for (size_t i = 0; i < l->tracks.n; i++)
        if (l->tracks.at[i].bar >= 0) diagram_bar(&g, &l->tracks.at[i]);
    diagram_items(&g);
    diagram_dots(&g);
    draw_lane_ends(&g);
    scene_enlarge(g.scene, middle_of(in), growth_of(&g, g.tile));
    draw_legend(&g, page_area(b, size));
}

static page_room room_on(const layout *l, paper_size size)
{
    area in = drawing_area(l->book, size);
    double width = in.right - in.left;
    return (page_room){width, width - 2 * reference_room(l), in.bottom - in.top};
}

static bool cut_as_if_larger(layout *l, paper_size size, double by)
{
    page_room room = room_on(l, size);
    l->is_shrunk = by > 1;
    return layout_cut(l, (page_room){room.whole_mm * by, room.cut_mm * by, room.height_mm * by});
}

/* Lying or upright, whichever takes fewer pages. */
static bool cut_either_way(layout *l, double by, paper_size *size)
{
    paper_size lying, upright;
    paper_step(l->book, 0, true, &lying);
    paper_step(l->book, 0, false, &upright);
    size_t n_lying = cut_as_if_larger(l, lying, by) ? l->tiles.n : SIZE_MAX,
           n_upright = cut_as_if_larger(l, upright, by) ? l->tiles.n : SIZE_MAX;
    *size = n_lying <= n_upright ? lying : upright;
    return cut_as_if_larger(l, *size, by);
}

/* On paper of one size: cut between circuits alone, unless that takes many more pages than cuts below a row do. What is
 * larger is cut as if the paper were larger by as much, and drawn smaller. */
static layout *fit_one_size(layout *l, paper_size *size)
{
    static const double larger[] = {1, 1.2, 1.41, 1.7, 2, 2.8, 4, HUGE_VAL};
    const double many_more = 1.5;
    layout *banded = layout_run(l->p, true);
    for (size_t i = 0; i < sizeof larger / sizeof *larger; i++) {
        paper_size of_banded;
        bool is_plain = cut_either_way(l, larger[i], size), is_banded = cut_either_way(banded, larger[i], &of_banded);
        if (is_plain && (!is_banded || (double)l->tiles.n < many_more * (double)banded->tiles.n)) return l;
        if (!is_banded) continue;
        *size = of_banded;
        return banded;
    }
    return l;
}

/* On one page of the smallest paper that takes it whole, up to the largest that is printed at home or in a copy shop;
 * else on pages of that, cut between circuits and, where a circuit is higher than the paper, below a row. Only a single
 * thing that is larger than such a page needs larger paper, at last paper made to measure. */
static layout *fit(const book *b, layout *l, paper_size *size)
{
    enum { largest_common = 1 }; /* A3, Tabloid */
    if (b->is_one_size) return fit_one_size(l, size);
    for (int step = 0; paper_step(b, step, true, size); step++) {
        page_room room = room_on(l, *size);
        bool may_be_cut = step >= largest_common;
        if (layout_cut(l, room) && (l->tiles.n == 1 || may_be_cut)) return l;
        if (!may_be_cut) continue;
        layout *banded = layout_run(l->p, true);
        if (layout_cut(banded, room)) return banded;
    }
    layout_cut(l, (page_room){HUGE_VAL, HUGE_VAL, HUGE_VAL});
    page_room room = room_on(l, *size);
    size->width_mm += fmax(0, l->width_mm + GUTTER - room.whole_mm);
    room = room_on(l, *size); /* the cautions take fewer lines now */
    size->height_mm += fmax(0, l->tiles.at[0].height_mm - room.height_mm);
    return l;
}

/* Where two level lines can't both have their way on a lane, its items are parted, or no wire may turn there any more,
 * and the wires run anew. */
layout *diagram_lay_out(plan *p)
{
    enum { most_rounds = 40 };
    for (int round = 0;; round++) {
        plan_route(p);
        layout *l = layout_run(p, false);
        if (!l->conflicts.n || round == most_rounds) return l;
        corner at = l->conflicts.at[(size_t)(round / 2) % l->conflicts.n];
        bool may_part = round % 2 == 0; /* by turns: either alone can go round in a circle */
        if (!may_part || !plan_part_lane(p, at)) plan_bar_turn(p, at);
    }
}

void diagram_draw(book *b)
{
    plan *p = plan_orient(b);
    plan_place(p);
    paper_size size;
    layout *l = fit(b, diagram_lay_out(p), &size);
    int first_number = (int)b->pages.n + 1;
    for (int page = 0; page < (int)l->tiles.n; page++) draw_page(b, l, size, page, first_number);
}
