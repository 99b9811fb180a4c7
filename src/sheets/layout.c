/* See layout.h. */
#include "sheets/layout.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NARROW 2.0     /* room on a lane's side where nothing stands */
#define TEXT_ROOM 24.0 /* names beside symbols wrap at this */
#define BOX_MARGIN 4.0
#define GLYPH_ROOM 13.0
#define BAND_REFERENCE 15.0 /* beside a lane: where it goes on */

static int position_of(const layout *l, int column) { return l->p->position[column]; }
static bool is_bar(const layout *l, int i) { return l->p->stand[i] != STAND_ITEM; }
static double text_width(const book *b, face f, const char *text)
{
    return fonts_width_mm(b->fonts, f, TEXT_SMALL, text);
}

double label_width(const book *b, int w)
{
    return fmax(text_width(b, FACE_MONO_BOLD, b->van->wires[w].label), text_width(b, FACE_SANS, wire_size_text(b, w)));
}

/* ---- parts and tracks ---- */

static int add_track(layout *l, int channel, int bar)
{
    track *t = ARRAY_ADD(l->arena, &l->tracks);
    *t = (track){.channel = channel, .bar = bar, .from = -1, .to = -1};
    return (int)l->tracks.n - 1;
}

static void reach_column(layout *l, int t, int column)
{
    track *at = &l->tracks.at[t];
    if (at->from < 0 || position_of(l, column) < position_of(l, at->from)) at->from = column;
    if (at->to < 0 || position_of(l, column) > position_of(l, at->to)) at->to = column;
}

static void add_pin(layout *l, int t, int column, bool is_up, int of)
{
    *ARRAY_ADD(l->arena, &l->tracks.at[t].pins) = (pin){column, is_up, of};
    reach_column(l, t, column);
}

static int find_track(int *parent, int i)
{
    while (parent[i] != i) i = parent[i] = parent[parent[i]];
    return i;
}

/* Does the lane at corner c of a way, where a level part of it ends, lead upwards? */
static bool leads_up(const layout *l, int w, int c, int neighbour)
{
    way of = l->p->ways[w];
    if (neighbour >= 0 && neighbour < of.n) return of.at[neighbour].channel < of.at[c].channel;
    int t = c == 0 ? l->p->van->wires[w].from : l->p->van->wires[w].to;
    return !l->p->is_top[t];
}

static void list_parts(layout *l)
{
    for (int w = 0; w < l->p->van->n_wires; w++) {
        way of = l->p->ways[w];
        for (int c = 0; c + 1 < of.n; c++)
            if (of.at[c].column != of.at[c + 1].column)
                *ARRAY_ADD(l->arena, &l->parts) = (part){w, of.at[c].channel, of.at[c].column, of.at[c + 1].column, -1};
    }
}

/* Level parts that leave one port to the left and to the right in one channel lie at one height. */
static void join_at_ports(layout *l, int *parent)
{
    const van *v = l->p->van;
    int *right_of = ARENA_ARRAY(l->arena, int, (size_t)v->n_terminals + 1),
        *left_of = ARENA_ARRAY(l->arena, int, (size_t)v->n_terminals + 1);
    for (int t = 0; t < v->n_terminals; t++) right_of[t] = left_of[t] = -1;
    for (size_t i = 0; i < l->parts.n; i++) {
        const part *at = &l->parts.at[i];
        const way *of = &l->p->ways[at->w];
        for (int e = 0; e < 2; e++) {
            int t = e ? v->wires[at->w].to : v->wires[at->w].from;
            corner tip = of->at[e ? of->n - 1 : 0];
            bool is_at_tip =
                e ? at->to == tip.column && of->at[of->n - 2].column == at->from &&
                        of->at[of->n - 2].channel == at->channel
                  : at->from == tip.column && of->at[1].column == at->to && of->at[1].channel == at->channel;
            if (!is_at_tip || at->channel != tip.channel || is_bar(l, v->terminals[t].item)) continue;
            int other = e ? at->from : at->to;
            int *slot = position_of(l, other) > position_of(l, tip.column) ? &right_of[t] : &left_of[t];
            if (*slot < 0) *slot = (int)i;
        }
    }
    for (int t = 0; t < v->n_terminals; t++)
        if (right_of[t] >= 0 && left_of[t] >= 0)
            parent[find_track(parent, right_of[t])] = find_track(parent, left_of[t]);
}

static void add_part_pins(layout *l)
{
    size_t next = 0;
    for (int w = 0; w < l->p->van->n_wires; w++) {
        way of = l->p->ways[w];
        for (int c = 0; c + 1 < of.n; c++) {
            if (of.at[c].column == of.at[c + 1].column) continue;
            int t = l->parts.at[next++].track;
            add_pin(l, t, of.at[c].column, leads_up(l, w, c, c - 1), -1);
            add_pin(l, t, of.at[c + 1].column, leads_up(l, w, c + 1, c + 2 < of.n ? c + 2 : -1), -1);
        }
    }
}

static void list_bars(layout *l)
{
    const van *v = l->p->van;
    l->track_of_bar = ARENA_ARRAY(l->arena, int, (size_t)v->n_items + 1);
    for (int i = 0; i < v->n_items; i++)
        l->track_of_bar[i] = is_bar(l, i) && l->p->is_wired[i] ? add_track(l, plan_channel(l->p, i), i) : -1;
    for (int w = 0; w < v->n_wires; w++) {
        way of = l->p->ways[w];
        if (!of.n) continue;
        for (int e = 0; e < 2; e++) {
            int t = e ? v->wires[w].to : v->wires[w].from, i = v->terminals[t].item;
            if (!is_bar(l, i)) continue;
            corner tip = of.at[e ? of.n - 1 : 0];
            int other = e ? v->wires[w].from : v->wires[w].to;
            bool is_up = of.n > 1 ? of.at[e ? of.n - 2 : 1].channel < tip.channel : !l->p->is_top[other];
            add_pin(l, l->track_of_bar[i], tip.column, is_up, t);
        }
    }
}

/* A terminal that can't be pointed at can't be wired: on the screen every stud shows. */
static void count_free(layout *l)
{
    const van *v = l->p->van;
    for (size_t i = 0; i < l->tracks.n; i++) {
        track *t = &l->tracks.at[i];
        if (t->bar < 0 || !l->book->is_screen) continue;
        const item *it = &v->items[t->bar];
        for (int k = 0; k < it->n_terminals; k++) t->n_free += !plan_wire_count(l->p, it->first_terminal + k);
    }
}

static bool is_block(const layout *l, const track *t) { return t->bar >= 0 && l->p->stand[t->bar] == STAND_BLOCK; }

static double free_pitch(const layout *l, const track *t)
{
    return is_block(l, t) ? SLOT_ROOM + 2 : fmin(FREE_STUD_PITCH, fmax(2, FREE_STUDS_ROOM / t->n_free));
}

double layout_free_x(const layout *l, const track *t, int n)
{
    double first = is_block(l, t) ? SLOT_ROOM + 3 : NUMBER_ROOM + 2;
    return l->x_mm[t->to] + first + n * free_pitch(l, t);
}

double layout_bar_end(const layout *l, const track *t)
{
    bool is_joint = strcmp(item_kind(l->p->van, t->bar)->symbol, "joint") == 0;
    if (t->n_free) return layout_free_x(l, t, t->n_free - 1) + (is_joint ? 0 : 2);
    return l->x_mm[t->to] + (is_joint ? 0 : BAR_OVERHANG);
}

static void list_tracks(layout *l)
{
    list_parts(l);
    int *parent = ARENA_ARRAY(l->arena, int, l->parts.n + 1);
    for (int i = 0; i < (int)l->parts.n; i++) parent[i] = i;
    join_at_ports(l, parent);
    for (int i = 0; i < (int)l->parts.n; i++) {
        part *root = &l->parts.at[find_track(parent, i)];
        if (root->track < 0) root->track = add_track(l, root->channel, -1);
        l->parts.at[i].track = root->track;
    }
    add_part_pins(l);
    list_bars(l);
    count_free(l);
}

/* ---- places for labels ---- */

typedef ARRAY(site) site_list;

static void add_site(layout *l, site_list *list, site_form form, int at, int column)
{
    *ARRAY_ADD(l->arena, list) = (site){form, at, column};
}

static void lane_sites(layout *l, site_list *list, int column, int top, int bottom)
{
    for (int k = top; k < bottom; k++) {
        add_site(l, list, SITE_LOWER, k, column);
        add_site(l, list, SITE_ROW, k, column);
        add_site(l, list, SITE_UPPER, k + 1, column);
    }
}

static void port_site(layout *l, site_list *list, int t, corner tip)
{
    if (is_bar(l, l->p->van->terminals[t].item) || plan_wire_count(l->p, t) > 1) return;
    add_site(l, list, l->p->is_top[t] ? SITE_LOWER : SITE_UPPER, tip.channel, tip.column);
}

static site_list sites_of(layout *l, int w, int first_part)
{
    site_list list = {0};
    const wire *at = &l->p->van->wires[w];
    way of = l->p->ways[w];
    port_site(l, &list, at->from, of.at[0]);
    for (int c = 0; c + 1 < of.n; c++) {
        corner a = of.at[c], b = of.at[c + 1];
        if (a.column == b.column)
            lane_sites(l, &list, a.column, a.channel < b.channel ? a.channel : b.channel,
                       a.channel < b.channel ? b.channel : a.channel);
        else
            add_site(l, &list, SITE_PART, first_part++,
                     position_of(l, a.column) < position_of(l, b.column) ? a.column : b.column);
    }
    port_site(l, &list, at->to, of.at[of.n - 1]);
    if (!list.n)
        add_site(l, &list, SITE_STUB, is_bar(l, l->p->van->terminals[at->from].item) ? at->to : at->from,
                 of.at[0].column);
    return list;
}

static bool is_zone(site s) { return s.form == SITE_UPPER || s.form == SITE_LOWER; }
static char *zone_of(char *zones, site s) { return &zones[2 * s.at + (s.form == SITE_LOWER)]; }

/* Labels gather in as few zones as will do, so that they stand in lines and the sheet stays low. */
static void choose_sites(layout *l)
{
    const van *v = l->p->van;
    char *zones = ARENA_ARRAY(l->arena, char, 2 * (size_t)(l->p->n_rows + 2));
    site_list *lists = ARENA_ARRAY(l->arena, site_list, (size_t)v->n_wires + 1);
    int next = 0;
    l->sites = ARENA_ARRAY(l->arena, site, (size_t)v->n_wires + 1);
    for (int w = 0; w < v->n_wires; w++) {
        if (!l->p->ways[w].n) continue;
        lists[w] = sites_of(l, w, next);
        for (int c = 0; c + 1 < l->p->ways[w].n; c++)
            next += l->p->ways[w].at[c].column != l->p->ways[w].at[c + 1].column;
        if (lists[w].n == 1 && is_zone(lists[w].at[0])) *zone_of(zones, lists[w].at[0]) = 1;
    }
    for (int w = 0; w < v->n_wires; w++) {
        site_list *list = &lists[w];
        site *best = NULL;
        for (int want = 0; want < 4 && !best; want++)
            for (size_t i = 0; i < list->n && !best; i++) {
                site *s = &list->at[i];
                bool is_good = want == 0   ? is_zone(*s) && *zone_of(zones, *s)
                               : want == 1 ? is_zone(*s)
                               : want == 2 ? s->form == SITE_ROW
                                           : true;
                if (is_good) best = s;
            }
        if (!best) continue;
        if (is_zone(*best)) *zone_of(zones, *best) = 1;
        l->sites[w] = *best;
    }
}

/* ---- columns ---- */

static void widen(double *room_mm, int column, double mm)
{
    if (mm > room_mm[column]) room_mm[column] = mm;
}

static void widen_for_wires(layout *l)
{
    const book *b = l->book;
    for (int w = 0; w < l->p->van->n_wires; w++)
        if (l->sites[w].form == SITE_STUB)
            widen(l->left_mm, l->sites[w].column, 2 * LABEL_GAP + label_width(b, w));
        else if (l->sites[w].form != SITE_NONE)
            widen(l->right_mm, l->sites[w].column, 2 * LABEL_GAP + label_width(b, w));
    for (size_t i = 0; i < l->tracks.n; i++) {
        const track *t = &l->tracks.at[i];
        if (t->bar < 0) continue;
        widen(l->left_mm, t->from, BAR_OVERHANG);
        widen(l->right_mm, t->to, BAR_OVERHANG);
        if (t->n_free)
            widen(l->right_mm, t->to,
                  layout_free_x(l, t, t->n_free - 1) - l->x_mm[t->to] + (is_block(l, t) ? SLOT_ROOM : 3));
        if (t->from == t->to) /* its name has no other place than beside it */
            widen(l->right_mm, t->to,
                  SLOT_ROOM + 4 + widest_word(b, FACE_SANS_BOLD, TEXT_SMALL, b->van->items[t->bar].name));
        for (size_t k = 0; k < t->pins.n; k++) {
            int of = t->pins.at[k].terminal;
            widen(l->right_mm, t->pins.at[k].column, 2.5 + text_width(b, FACE_SANS, terminal_word(b->van, of)));
            const setting *slots = item_setting(b->van, t->bar, "slots");
            if (l->p->stand[t->bar] != STAND_BLOCK || !slots) continue;
            widen(l->right_mm, t->pins.at[k].column, 12);
            widen(l->left_mm, t->pins.at[k].column, 2.5);
        }
    }
}

static void first_and_last(const layout *l, int i, int *first, int *last)
{
    int from, to;
    plan_span(l->p, i, &from, &to);
    *first = l->p->order.at[from];
    *last = l->p->order.at[to];
}

static void widen_for_box(layout *l, int i)
{
    const item *it = &l->p->van->items[i];
    int first, last;
    first_and_last(l, i, &first, &last);
    widen(l->left_mm, first, BOX_MARGIN + 1);
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        if (l->p->column[t] < 0) continue;
        double half = text_width(l->book, FACE_SANS, terminal_word(l->p->van, t)) / 2 + 1.5;
        widen(l->left_mm, l->p->column[t], half + 1);
        widen(l->right_mm, l->p->column[t], half + 1);
    }
    double word = widest_word(l->book, FACE_SANS_BOLD, TEXT_SMALL, it->name);
    word = fmax(word, widest_word(l->book, FACE_SANS, TEXT_SMALL, item_rating(l->book, i)));
    widen(l->right_mm, last, fmax(20, word + GLYPH_ROOM));
    if (l->book->is_screen) widen(l->right_mm, last, box_width(l->p, i));
}

static void widen_for_items(layout *l)
{
    for (int i = 0; i < l->p->van->n_items; i++) {
        int first, last;
        if (is_bar(l, i)) continue;
        plan_span(l->p, i, &first, &last);
        if (last < 0) continue;
        spot *at = &l->spots[i];
        at->symbol = symbol_of(l->p, i);
        if (at->symbol == SYMBOL_BOX) {
            widen_for_box(l, i);
            continue;
        }
        int lamp = item_terminal(l->p->van, i, "lamp-return"), lane = l->p->order.at[last];
        bool has_return = lamp >= 0 && l->p->column[lamp] >= 0;
        if (at->symbol == SYMBOL_LIT_SWITCH) lane = l->p->column[item_terminal(l->p->van, i, "feed")];
        if (at->symbol == SYMBOL_CHANGEOVER) lane = l->p->column[item_terminal(l->p->van, i, "common")];
        double half = symbol_half_width(at->symbol);
        caption c = caption_of(l->book, i, TEXT_ROOM);
        widen(l->left_mm, lane,
              (at->symbol == SYMBOL_LIT_SWITCH && !has_return ? 15 : symbol_left(l->p, i, at->symbol)) + 1);
        widen(l->right_mm, lane, half + 1.8 + c.width_mm + 1);
        if (at->symbol == SYMBOL_LIT_SWITCH && has_return) {
            widen(l->left_mm, l->p->column[lamp], 4);
            widen(l->right_mm, l->p->column[lamp], 9);
        }
    }
}

static void set_columns_mm(layout *l)
{
    double x = 0;
    for (size_t i = 0; i < l->p->order.n; i++) {
        int column = l->p->order.at[i];
        x += (i ? GUTTER : 0) + l->left_mm[column];
        l->x_mm[column] = x;
        x += l->right_mm[column];
    }
    l->width_mm = x;
}

/* Half the widest terminal name of a box on that lane, with a margin. */
static double widest_name(const layout *l, int i, int column)
{
    const item *it = &l->p->van->items[i];
    double half = 0;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        if (l->p->column[t] == column)
            half = fmax(half, text_width(l->book, FACE_SANS, terminal_word(l->p->van, t)) / 2 + 1.5);
    return half;
}

static void stand_items(layout *l)
{
    const van *v = l->p->van;
    for (int i = 0; i < v->n_items; i++) {
        int from, to;
        if (is_bar(l, i)) continue;
        plan_span(l->p, i, &from, &to);
        if (to < 0) continue;
        spot *at = &l->spots[i];
        int first = l->p->order.at[from], last = l->p->order.at[to];
        if (at->symbol == SYMBOL_BOX) {
            at->x_mm = l->x_mm[first] - fmax(BOX_MARGIN, widest_name(l, i, first));
            at->right_mm = l->x_mm[last] + l->right_mm[last] - 1;
            at->text_mm = at->right_mm - at->x_mm - GLYPH_ROOM;
            continue;
        }
        at->text_mm = TEXT_ROOM;
        at->x_mm = l->x_mm[last];
        int lamp = item_terminal(v, i, "lamp-return"), common = item_terminal(v, i, "common");
        if (at->symbol == SYMBOL_LIT_SWITCH) {
            at->x_mm = l->x_mm[l->p->column[item_terminal(v, i, "feed")]];
            if (l->p->column[lamp] >= 0) at->lamp_x_mm = l->x_mm[l->p->column[lamp]];
        }
        if (at->symbol == SYMBOL_CHANGEOVER) {
            at->x_mm = l->x_mm[l->p->column[common]];
            at->lamp_x_mm = first == l->p->column[common] ? l->x_mm[last] : l->x_mm[first];
        }
    }
}

static void measure_items(layout *l)
{
    l->heights_mm = ARENA_ARRAY(l->arena, double, (size_t)l->p->van->n_items + 1);
    for (int i = 0; i < l->p->van->n_items; i++) {
        const spot *at = &l->spots[i];
        if (!is_bar(l, i)) l->heights_mm[i] = symbol_height(l->p, i, at->symbol, at->text_mm);
    }
}

/* ---- across a channel ---- */

static void add_through(layout *l, channel_view *views, int channel, int column)
{
    *ARRAY_ADD(l->arena, &views[channel].lanes) = (lane){l->x_mm[column], -1, true, true, NUMBER_ROOM};
}

bool layout_is_slot(const layout *l, const track *t, const pin *at)
{
    return t->bar >= 0 && l->p->stand[t->bar] == STAND_BLOCK && l->p->van->terminals[at->terminal].number > 0;
}

static double room_beside(const layout *l, const track *t, const pin *at)
{
    return layout_is_slot(l, t, at) ? SLOT_ROOM : NUMBER_ROOM;
}

static channel_view *view_channels(layout *l)
{
    int n = l->p->n_rows + 1;
    channel_view *views = ARENA_ARRAY(l->arena, channel_view, (size_t)n + 1);
    for (size_t i = 0; i < l->tracks.n; i++) views[l->tracks.at[i].channel].n_tracks++;
    for (int k = 0; k < n; k++) {
        views[k].tracks = ARENA_ARRAY(l->arena, int, (size_t)views[k].n_tracks + 1);
        views[k].n_tracks = 0;
    }
    for (int i = 0; i < (int)l->tracks.n; i++) {
        track *t = &l->tracks.at[i];
        channel_view *v = &views[t->channel];
        v->tracks[v->n_tracks++] = i;
        bool is_chassis = t->bar >= 0 && l->p->stand[t->bar] == STAND_CHASSIS;
        for (int k = 0; k < t->n_free && is_block(l, t); k++)
            *ARRAY_ADD(l->arena, &v->lanes) = (lane){layout_free_x(l, t, k), i, false, true, SLOT_ROOM};
        if (is_chassis) *ARRAY_ADD(l->arena, &v->lanes) = (lane){l->x_mm[t->from], i, false, true, NUMBER_ROOM};
        for (size_t k = 0; k < t->pins.n; k++)
            *ARRAY_ADD(l->arena, &v->lanes) = (lane){l->x_mm[t->pins.at[k].column], i, t->pins.at[k].is_up,
                                                     !t->pins.at[k].is_up, room_beside(l, t, &t->pins.at[k])};
    }
    for (int w = 0; w < l->p->van->n_wires; w++) {
        way of = l->p->ways[w];
        const wire *at = &l->p->van->wires[w];
        bool is_between_ports = of.n == 1 && !is_bar(l, l->p->van->terminals[at->from].item) &&
                                !is_bar(l, l->p->van->terminals[at->to].item);
        if (is_between_ports) add_through(l, views, of.at[0].channel, of.at[0].column);
        for (int c = 0; c + 1 < of.n; c++) {
            if (of.at[c].column != of.at[c + 1].column) continue;
            int a = of.at[c].channel, b = of.at[c + 1].channel;
            for (int k = (a < b ? a : b) + 1; k < (a < b ? b : a); k++) add_through(l, views, k, of.at[c].column);
        }
        for (int e = 0; e < 2 && of.n > 1; e++) { /* from a port straight on through its channel */
            corner tip = of.at[e ? of.n - 1 : 0], next = of.at[e ? of.n - 2 : 1];
            int t = e ? at->to : at->from;
            if (tip.column == next.column && !is_bar(l, l->p->van->terminals[t].item))
                add_through(l, views, tip.channel, tip.column);
        }
    }
    return views;
}

static bool reaches_over(const layout *l, const track *a, double x)
{
    return x > l->x_mm[a->from] + 0.1 && x < l->x_mm[a->to] - 0.1;
}

/* Crossings if a lies above b: lanes of b from above through a, lanes of a from below through b. */
static int crossings(const layout *l, const track *a, const track *b)
{
    int n = 0;
    for (size_t i = 0; i < b->pins.n; i++)
        n += b->pins.at[i].is_up && reaches_over(l, a, l->x_mm[b->pins.at[i].column]);
    for (size_t i = 0; i < a->pins.n; i++)
        n += !a->pins.at[i].is_up && reaches_over(l, b, l->x_mm[a->pins.at[i].column]);
    return n;
}

bool track_must_be_above(const track *a, const track *b)
{
    for (size_t i = 0; i < a->pins.n; i++)
        for (size_t k = 0; k < b->pins.n; k++) {
            const pin *p = &a->pins.at[i], *q = &b->pins.at[k];
            if (p->column != q->column) continue;
            if (p->is_up && !q->is_up) return true;
            if (p->is_up == q->is_up && (p->is_up ? b->bar >= 0 && a->bar < 0 : a->bar >= 0 && b->bar < 0)) return true;
        }
    return false;
}

static void note_meeting(layout *l, const track *a, const track *b)
{
    for (size_t m = 0; m < a->pins.n; m++)
        for (size_t n = 0; n < b->pins.n; n++)
            if (a->pins.at[m].column == b->pins.at[n].column && a->pins.at[m].is_up && !b->pins.at[n].is_up)
                *ARRAY_ADD(l->arena, &l->conflicts) = (corner){a->pins.at[m].column, a->channel};
}

/* Tracks that can't all have their way: the lanes on which they meet are remembered, so that one can be parted. Those on
 * which the track that gives way meets others come first. */
static void note_conflict(layout *l, const channel_view *v, int low, const bool *is_ranked)
{
    l->n_forced++;
    for (int pass = 0; pass < 2; pass++)
        for (int i = 0; i < v->n_tracks; i++)
            for (int k = 0; k < v->n_tracks; k++)
                if (!is_ranked[i] && !is_ranked[k] && i != k && (k == low) == (pass == 0))
                    note_meeting(l, &l->tracks.at[v->tracks[i]], &l->tracks.at[v->tracks[k]]);
}

static void rank_tracks(layout *l, channel_view *v)
{
    int n = v->n_tracks;
    char *must = ARENA_ARRAY(l->arena, char, (size_t)n *(size_t)n + 1);
    int *above = ARENA_ARRAY(l->arena, int, (size_t)n + 1), *balance = ARENA_ARRAY(l->arena, int, (size_t)n + 1);
    bool *is_ranked = ARENA_ARRAY(l->arena, bool, (size_t)n + 1);
    for (int i = 0; i < n; i++)
        for (int k = 0; k < n; k++) {
            const track *a = &l->tracks.at[v->tracks[i]], *b = &l->tracks.at[v->tracks[k]];
            if (i == k) continue;
            must[i * n + k] = track_must_be_above(a, b);
            above[k] += must[i * n + k];
            balance[i] += crossings(l, a, b) - crossings(l, b, a);
        }
    for (int rank = 0; rank < n; rank++) {
        int best = -1;
        for (int i = 0; i < n; i++) {
            if (is_ranked[i]) continue;
            if (best < 0 || above[i] < above[best] || (above[i] == above[best] && balance[i] < balance[best])) best = i;
        }
        if (above[best] && !l->conflicts.n) note_conflict(l, v, best, is_ranked);
        is_ranked[best] = true;
        const track *a = &l->tracks.at[v->tracks[best]];
        l->tracks.at[v->tracks[best]].rank = rank;
        for (int k = 0; k < n; k++) {
            const track *b = &l->tracks.at[v->tracks[k]];
            if (is_ranked[k]) continue;
            above[k] -= must[best * n + k];
            balance[k] -= crossings(l, b, a) - crossings(l, a, b);
        }
    }
}

static void order_tracks(layout *l)
{
    l->views = view_channels(l);
    l->n_forced = l->p->n_forced;
    for (int k = 0; k <= l->p->n_rows; k++) rank_tracks(l, &l->views[k]);
}

layout *layout_run(plan *p, bool has_bands)
{
    layout *l = ARENA_NEW(p->arena, layout);
    l->p = p;
    l->book = p->book;
    l->arena = p->arena;
    l->has_bands = has_bands;
    for (int w = 0; w < p->van->n_wires; w++)
        l->label_mm = fmax(l->label_mm, text_width(l->book, FACE_MONO_BOLD, p->van->wires[w].label));
    size_t columns = p->order.n + 1;
    double **of_columns[] = {&l->x_mm, &l->left_mm, &l->right_mm};
    for (int i = 0; i < 3; i++) *of_columns[i] = ARENA_ARRAY(l->arena, double, columns);
    for (size_t i = 0; i < p->order.n; i++) {
        l->left_mm[i] = NARROW;
        l->right_mm[i] = has_bands ? fmax(BAND_REFERENCE, l->label_mm + 3.5) : NARROW;
    }
    l->spots = ARENA_ARRAY(l->arena, spot, (size_t)p->van->n_items + 1);
    list_tracks(l);
    choose_sites(l);
    widen_for_wires(l);
    widen_for_items(l);
    set_columns_mm(l);
    stand_items(l);
    measure_items(l);
    order_tracks(l);
    return l;
}
