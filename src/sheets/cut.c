/* From the strip to pages: where it is cut, and how high everything stands on each page. A page is as low as what it
 * shows allows: a row that is empty on it takes no height, and a line that only runs across is left out, for the
 * reference leads on to the page where something hangs on it. See layout.h. */
#include "sheets/layout.h"

#include <math.h>
#include <string.h>

#define ZONE 8.3      /* height of a zone with labels */
#define BARE_ZONE 1.5 /* and without */
#define TRACK_GAP 2.0

/* Prices of a cut, in the same measure: a page more, a line cut, the fuses of a block parted, a page left empty. */
#define PRICE_PAGE 60.0
#define PRICE_LINE 10.0
#define PRICE_BLOCK 45.0
#define PRICE_EMPTY 60.0

static bool is_bar(const layout *l, int i) { return l->p->stand[i] != STAND_ITEM; }

bool tile_has_column(const layout *l, const tile *t, int column)
{
    int at = l->p->position[column];
    return at >= t->from && at <= t->to;
}

bool tile_has_level(const tile *t, int level) { return level >= t->top && level <= t->bottom; }

bool tile_has_item(const layout *l, const tile *t, int i)
{
    int from, to;
    if (is_bar(l, i)) return false;
    plan_span(l->p, i, &from, &to);
    return to >= 0 && from >= t->from && from <= t->to && tile_has_level(t, 2 * plan_row(l->p, i) + 1);
}

static bool has_track(const tile *t, int track) { return !isnan(t->track_y_mm[track]); }

/* ---- names of bars ---- */

/* Does a lane pass just above (or below) a track, at a height where its caption would stand? */
static bool blocks(const layout *l, const lane *at, const track *t, bool is_above)
{
    if (at->track < 0) return true;
    int rank = l->tracks.at[at->track].rank;
    if (is_above) return at->is_up ? true : rank < t->rank;
    return at->is_down ? true : rank > t->rank;
}

/* A free stretch of at least `need` beside a track, from x0 on, starting before x1; NAN if there is none. */
static double find_room(const layout *l, const tile *on, const track *t, bool is_above, double x0, double x1,
                        double need, double limit)
{
    const channel_view *v = &l->views[t->channel];
    double best = NAN;
    for (size_t i = 0; i <= v->lanes.n; i++) {
        double start = i == v->lanes.n ? x0 : v->lanes.at[i].x_mm + v->lanes.at[i].room_mm + 1.8;
        if (i < v->lanes.n && v->lanes.at[i].x_mm >= on->right_mm) continue;
        if (start < x0 || start > x1 + SLOT_ROOM + 4 || start + need > limit) continue;
        bool is_clear = true;
        for (size_t k = 0; k < v->lanes.n && is_clear; k++) {
            const lane *at = &v->lanes.at[k];
            bool is_here = at->x_mm >= on->left_mm && at->x_mm < on->right_mm;
            is_clear = !is_here || !blocks(l, at, t, is_above) || at->x_mm < start - at->room_mm ||
                       at->x_mm > start + need + 1.5;
        }
        if (is_clear && !(start >= best)) best = start;
    }
    return best;
}

static void write_caption(layout *l, tile *on, int page, int index)
{
    track *t = &l->tracks.at[index];
    double x0 = fmax(l->x_mm[t->from] - BAR_OVERHANG, on->left_mm + GUTTER),
           x1 = fmin(l->x_mm[t->to] + BAR_OVERHANG, on->right_mm - GUTTER);
    const item *it = &l->p->van->items[t->bar];
    const char *rating = item_rating(l->book, t->bar);
    const char *text = *rating ? arena_printf(l->arena, "%s, %s", it->name, rating) : it->name;
    bool is_high = l->p->side[it->first_terminal] == SIDE_HIGH;
    static const double widths_mm[] = {1e9, 45, 32, 22, 12};
    bar_caption c = {.track = index, .page = page, .x_mm = NAN};
    for (int i = 0; i < 10 && isnan(c.x_mm); i++) { /* within the page first, then beyond its edge */
        c.text = wrap(l->book, FACE_SANS_BOLD, TEXT_SMALL, widths_mm[i < 5 ? i : 9 - i], text);
        double limit = i < 5 ? on->right_mm - 1 : HUGE_VAL;
        for (int side_of = 0; side_of < 2 && isnan(c.x_mm); side_of++) {
            c.is_above = (side_of == 0) == is_high;
            c.x_mm = find_room(l, on, t, c.is_above, x0, x1, c.text.width_mm, limit);
        }
    }
    if (isnan(c.x_mm)) {
        c.x_mm = x0;
        l->n_forced++;
    }
    double height = 1.8 + c.text.n * LINE_PITCH(TEXT_SMALL), *room = c.is_above ? &t->above_mm : &t->below_mm;
    *room = fmax(*room, height);
    t->right_mm = fmax(t->right_mm, c.x_mm + c.text.width_mm);
    t->left_mm = fmin(t->left_mm, c.x_mm);
    on->edge_mm = fmax(on->edge_mm, c.x_mm + c.text.width_mm + 1);
    *ARRAY_ADD(l->arena, &l->captions) = c;
}

/* ---- tracks ---- */

static void size_track(layout *l, const tile *on, int index)
{
    track *t = &l->tracks.at[index];
    double overhang = t->bar >= 0 ? BAR_OVERHANG : 0;
    t->left_mm = fmax(l->x_mm[t->from] - overhang, on->left_mm);
    t->right_mm = fmin(t->n_free ? layout_bar_end(l, t) : l->x_mm[t->to] + overhang, on->right_mm);
    bool is_cut = t->left_mm == on->left_mm || t->right_mm == on->right_mm;
    t->above_mm = is_cut ? 3.4 : 1.5; /* room for the label at the cut */
    t->below_mm = 1.5;
    if (t->bar < 0) return;
    for (size_t i = 0; i < t->pins.n; i++) {
        const pin *at = &t->pins.at[i];
        double *room = at->is_up ? &t->above_mm : &t->below_mm;
        if (tile_has_column(l, on, at->column))
            *room = fmax(*room, layout_is_slot(l, t, at) ? FUSE_LENGTH : NUMBER_ROOM);
    }
    if (t->n_free && l->p->stand[t->bar] == STAND_BLOCK) {
        t->right_mm = fmin(t->right_mm + SLOT_ROOM, on->right_mm);
        t->below_mm = fmax(t->below_mm, FUSE_LENGTH + 2);
    }
    if (l->p->stand[t->bar] == STAND_CHASSIS) t->below_mm = fmax(t->below_mm, 8);
}

/* Is there anything on this page that a track leads to? */
static bool is_met(const layout *l, const tile *on, const track *t)
{
    if (!tile_has_level(on, 2 * t->channel)) return false;
    for (size_t i = 0; i < t->pins.n; i++)
        if (tile_has_column(l, on, t->pins.at[i].column)) return true;
    return false;
}

/* The outermost track on which other wires leave the port of a wire that runs straight on. */
static int outermost_track(const layout *l, int t)
{
    int best = -1;
    for (size_t i = 0; i < l->parts.n; i++) {
        const part *at = &l->parts.at[i];
        const wire *w = &l->p->van->wires[at->w];
        if ((w->from != t && w->to != t) ||
            at->channel != plan_row(l->p, l->p->van->terminals[t].item) + !l->p->is_top[t])
            continue;
        if (at->from != l->p->column[t] && at->to != l->p->column[t]) continue;
        int by = best < 0 ? 0 : l->tracks.at[at->track].rank - l->tracks.at[best].rank;
        if (best < 0 || (l->p->is_top[t] ? by < 0 : by > 0)) best = at->track;
    }
    return best;
}

static bool has_label(const layout *l, const tile *on, int w)
{
    site s = l->sites[w];
    return s.form != SITE_NONE && tile_has_column(l, on, s.column);
}

static void make_room_for_labels(layout *l, const tile *on)
{
    for (int w = 0; w < l->p->van->n_wires; w++) {
        if (!has_label(l, on, w)) continue;
        int at = l->sites[w].at;
        if (l->sites[w].form == SITE_PART) {
            track *t = &l->tracks.at[l->parts.at[at].track];
            t->above_mm = fmax(t->above_mm, LABEL_HEIGHT + 1);
        }
        int t = l->sites[w].form == SITE_STUB ? outermost_track(l, at) : -1;
        if (t < 0) continue;
        double *room = l->p->is_top[at] ? &l->tracks.at[t].above_mm : &l->tracks.at[t].below_mm;
        *room = fmax(*room, LABEL_HEIGHT + 1.5);
    }
}

/* Stacks the tracks of a channel, two beside each other where they don't meet. Returns the height. */
static double stack_tracks(layout *l, tile *on, const channel_view *v)
{
    double height = 0;
    for (int rank = 0; rank < v->n_tracks; rank++)
        for (int i = 0; i < v->n_tracks; i++) {
            const track *t = &l->tracks.at[v->tracks[i]];
            if (t->rank != rank || !has_track(on, v->tracks[i])) continue;
            double top = 0;
            for (int k = 0; k < v->n_tracks; k++) {
                const track *over = &l->tracks.at[v->tracks[k]];
                if (over->rank >= rank || !has_track(on, v->tracks[k])) continue;
                bool has_room = over->right_mm + 2 < t->left_mm || t->right_mm + 2 < over->left_mm;
                if (has_room && !track_must_be_above(over, t)) continue;
                top = fmax(top, on->track_y_mm[v->tracks[k]] + over->below_mm + TRACK_GAP);
            }
            on->track_y_mm[v->tracks[i]] = top + t->above_mm;
            height = fmax(height, on->track_y_mm[v->tracks[i]] + t->below_mm);
        }
    return height;
}

/* ---- heights ---- */

static void set_row_heights(const layout *l, tile *on)
{
    for (int w = 0; w < l->p->van->n_wires; w++) {
        site s = l->sites[w];
        if (!has_label(l, on, w)) continue;
        if (s.form == SITE_ROW && tile_has_level(on, 2 * s.at + 1))
            on->row_mm[s.at] = fmax(on->row_mm[s.at], LABEL_HEIGHT + 1);
        if (s.form == SITE_UPPER && tile_has_level(on, 2 * s.at)) on->upper_mm[s.at] = ZONE;
        if (s.form == SITE_LOWER && tile_has_level(on, 2 * s.at)) on->lower_mm[s.at] = ZONE;
    }
    for (int i = 0; i < l->p->van->n_items; i++) {
        if (!tile_has_item(l, on, i)) continue;
        double height = l->heights_mm[i], *row = &on->row_mm[plan_row(l->p, i)];
        if (l->spots[i].symbol != SYMBOL_BOX)
            height = fmax(height, caption_of(l->book, i, l->spots[i].text_mm).height_mm);
        *row = fmax(*row, height + 1);
    }
}

static void set_heights(const layout *l, tile *on, const double *tracks_mm)
{
    double y = on->top % 2 ? BARE_ZONE : 0;
    for (int k = 0; k <= l->p->n_rows; k++) {
        on->channel_top_mm[k] = y;
        if (tile_has_level(on, 2 * k)) {
            double *upper = &on->upper_mm[k], *lower = &on->lower_mm[k];
            if (tracks_mm[k] > 0) *upper = fmax(*upper, BARE_ZONE), *lower = fmax(*lower, BARE_ZONE);
            if (k == 0) *upper = 0;
            if (k == l->p->n_rows) *lower = 0;
            on->channel_mm[k] = *upper + tracks_mm[k] + *lower;
            for (int i = 0; i < l->views[k].n_tracks; i++) on->track_y_mm[l->views[k].tracks[i]] += y + *upper;
        }
        y += on->channel_mm[k];
        on->row_top_mm[k] = y;
        if (k < l->p->n_rows) y += on->row_mm[k];
    }
    on->height_mm = y;
}

static void start_tile(layout *l, tile *on)
{
    size_t rows = (size_t)l->p->n_rows + 2;
    double **of_rows[] = {&on->row_top_mm, &on->row_mm,   &on->channel_top_mm,
                          &on->channel_mm, &on->upper_mm, &on->lower_mm};
    for (int i = 0; i < 6; i++) *of_rows[i] = ARENA_ARRAY(l->arena, double, rows);
    on->track_y_mm = ARENA_ARRAY(l->arena, double, l->tracks.n + 1);
}

/* Sets the heights of a page; `page` is its number among the tiles. */
static void set_tile(layout *l, tile *on, int page)
{
    double *tracks_mm = ARENA_ARRAY(l->arena, double, (size_t)l->p->n_rows + 2);
    start_tile(l, on);
    on->edge_mm = on->right_mm;
    for (int i = 0; i < (int)l->tracks.n; i++) {
        on->track_y_mm[i] = is_met(l, on, &l->tracks.at[i]) ? 0 : NAN;
        if (!has_track(on, i)) continue;
        size_track(l, on, i);
        if (l->tracks.at[i].bar >= 0) write_caption(l, on, page, i);
    }
    make_room_for_labels(l, on);
    for (int k = 0; k <= l->p->n_rows; k++) tracks_mm[k] = stack_tracks(l, on, &l->views[k]);
    set_row_heights(l, on);
    set_heights(l, on, tracks_mm);
}

/* ---- where to cut ---- */

/* What a cut between positions i and i + 1 costs; HUGE_VAL where an item stands across. */
static double *list_cut_costs(const layout *l)
{
    size_t n = l->p->order.n;
    double *costs = ARENA_ARRAY(l->arena, double, n + 1);
    for (size_t k = 0; k < l->tracks.n; k++) {
        const track *t = &l->tracks.at[k];
        bool is_block = t->bar >= 0 && l->p->stand[t->bar] == STAND_BLOCK;
        for (int i = l->p->position[t->from]; i < l->p->position[t->to]; i++)
            costs[i] += is_block ? PRICE_BLOCK : PRICE_LINE;
    }
    for (int k = 0; k < l->p->van->n_items; k++) {
        int from, to;
        if (is_bar(l, k)) continue;
        plan_span(l->p, k, &from, &to);
        for (int i = from; i < to; i++) costs[i] = HUGE_VAL;
    }
    return costs;
}

static double gap_x(const layout *l, int i) /* between positions i and i + 1; -1: the left end */
{
    if (i < 0) return -GUTTER / 2;
    if (i + 1 == (int)l->p->order.n) return l->width_mm + GUTTER / 2;
    int next = l->p->order.at[i + 1];
    return l->x_mm[next] - l->left_mm[next] - GUTTER / 2;
}

/* A page of that width to the left of the gap after i, with all before it: the cheapest set of cuts. */
typedef struct best_cut {
    double price;
    int before; /* gap */
} best_cut;

static void add_tile(layout *l, int from, int to)
{
    *ARRAY_ADD(l->arena, &l->tiles) = (tile){.from = from,
                                             .to = to,
                                             .top = 0,
                                             .bottom = 2 * l->p->n_rows,
                                             .left_mm = gap_x(l, from - 1),
                                             .right_mm = gap_x(l, to)};
}

/* Cuts between circuits, by dynamic programming: few pages, few lines cut, no page left much emptier than it must be. */
static bool cut_columns(layout *l, page_room room)
{
    int n = (int)l->p->order.n;
    double *costs = list_cut_costs(l);
    l->tiles.n = 0;
    if (l->width_mm + GUTTER <= room.whole_mm || !n) {
        add_tile(l, 0, n - 1);
        return true;
    }
    best_cut *best = ARENA_ARRAY(l->arena, best_cut, (size_t)n + 1); /* [i + 1]: gap after i */
    for (int to = 0; to < n; to++) {
        best[to + 1].price = HUGE_VAL;
        if (to + 1 < n && costs[to] == HUGE_VAL) continue;
        for (int from = to; from >= 0 && gap_x(l, to) - gap_x(l, from - 1) <= room.cut_mm; from--) {
            double empty = 1 - (gap_x(l, to) - gap_x(l, from - 1)) / room.cut_mm;
            double price = best[from].price + PRICE_PAGE + PRICE_EMPTY * empty * empty;
            if (from) price += costs[from - 1];
            if (price < best[to + 1].price) best[to + 1] = (best_cut){price, from};
        }
    }
    if (best[n].price == HUGE_VAL) return false;
    int n_pages = 0;
    for (int to = n; to > 0; to = best[to].before) n_pages++;
    int *starts = ARENA_ARRAY(l->arena, int, (size_t)n_pages + 1), next = n_pages;
    starts[next] = n;
    for (int to = n; to > 0; to = best[to].before) starts[--next] = best[to].before;
    for (int i = 0; i < n_pages; i++) add_tile(l, starts[i], starts[i + 1] - 1);
    return true;
}

/* The lowest row below which a band that starts at `top` can end and still fit; -1 if not even one level fits. */
static int lowest_end(layout *l, const tile *whole, int top, double height_mm)
{
    int best = -1;
    for (int bottom = top % 2 ? top : top + 1; bottom < 2 * l->p->n_rows; bottom += 2) {
        tile band = *whole;
        size_t n_captions = l->captions.n;
        band.top = top;
        band.bottom = bottom;
        set_tile(l, &band, 0);
        l->captions.n = n_captions;
        if (band.height_mm + BAND_ROOM * (top > 0 ? 2 : 1) > height_mm) break;
        best = bottom;
    }
    return best;
}

/* Cuts a page that is too high into bands, each below a row. */
static bool cut_levels(layout *l, const tile *whole, double height_mm)
{
    for (int top = 0; top <= 2 * l->p->n_rows;) {
        tile band = *whole;
        size_t n_captions = l->captions.n;
        band.top = top;
        set_tile(l, &band, (int)l->tiles.n);
        if (band.height_mm + (top > 0 ? BAND_ROOM : 0) > height_mm) {
            l->captions.n = n_captions;
            band.bottom = lowest_end(l, whole, top, height_mm);
            if (band.bottom < 0) return false;
            set_tile(l, &band, (int)l->tiles.n);
        }
        *ARRAY_ADD(l->arena, &l->tiles) = band;
        top = band.bottom + 1;
    }
    return true;
}

bool layout_cut(layout *l, page_room room)
{
    if (!cut_columns(l, room)) return false;
    size_t n = l->tiles.n;
    tile *columns = ARENA_ARRAY(l->arena, tile, n + 1);
    memcpy(columns, l->tiles.at, n * sizeof(tile));
    l->tiles.n = 0;
    l->captions.n = 0;
    for (size_t i = 0; i < n; i++) {
        set_tile(l, &columns[i], (int)l->tiles.n);
        if (columns[i].edge_mm - columns[i].left_mm > (n == 1 ? room.whole_mm : room.cut_mm)) return false;
        if (columns[i].height_mm <= room.height_mm) {
            *ARRAY_ADD(l->arena, &l->tiles) = columns[i];
            continue;
        }
        while (l->captions.n && l->captions.at[l->captions.n - 1].page == (int)l->tiles.n) l->captions.n--;
        if (!l->has_bands || !cut_levels(l, &columns[i], room.height_mm)) return false;
    }
    return true;
}

/* ---- where things lie on a page ---- */

static double level_y(const tile *t, int level, double y)
{
    return level < t->top ? -HUGE_VAL : level > t->bottom ? HUGE_VAL : y;
}

double layout_track_y(const layout *l, const tile *t, int track)
{
    return level_y(t, 2 * l->tracks.at[track].channel, t->track_y_mm[track]);
}

spot layout_spot(const layout *l, const tile *t, int i)
{
    spot at = l->spots[i];
    int row = plan_row(l->p, i);
    double height = l->heights_mm[i];
    at.top_mm = t->row_top_mm[row] + (t->row_mm[row] - height) / 2;
    at.bottom_mm = at.top_mm + height;
    return at;
}

double layout_port_y(const layout *l, const tile *t, int of)
{
    int i = l->p->van->terminals[of].item;
    spot at = layout_spot(l, t, i);
    return level_y(t, 2 * plan_row(l->p, i) + 1, l->p->is_top[of] ? at.top_mm : at.bottom_mm);
}

double layout_stub_y(const layout *l, const tile *t, int w)
{
    int of = l->sites[w].at, on = outermost_track(l, of);
    double y = on < 0 ? layout_port_y(l, t, of) : layout_track_y(l, t, on);
    return l->p->is_top[of] ? y - LABEL_HEIGHT - 0.8 : y + 0.8;
}
