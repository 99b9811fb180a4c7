/* Drawing the symbols. See symbols.h. All measures are millimetres on paper. */
#include "sheets/symbols.h"

#include <math.h>
#include <string.h>

#define DOT_RADIUS 0.9
#define OPEN_RADIUS 0.8
#define LAMP_RADIUS 3.0
#define LIT_HEIGHT 19.0
#define CHANGEOVER_HEIGHT 11.0
#define BOX_TEXT_INDENT 2.5
#define NAME_ROW 4.6 /* a row of terminal names in a box */
#define GLYPH_WIDTH 11.0
#define SIGN_ROOM 4.0 /* plus and minus on the left */

static const struct {
    const char *word;
    double height_mm, half_width_mm;
} symbols[] = {
#define X(NAME, word, height, half_width) {word, height, half_width},
    SYMBOLS(X)
#undef X
};
enum { N_PLAIN = sizeof symbols / sizeof *symbols };

const char *terminal_word(const van *v, int t)
{
    const char *dot = strrchr(v->terminals[t].name, '.');
    return dot ? dot + 1 : v->terminals[t].name;
}

static int count(const plan *p, int i, bool is_top)
{
    const item *it = &p->van->items[i];
    int n = 0;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) n += p->is_top[t] == is_top;
    return n;
}

static int wired_below(const plan *p, int i)
{
    const item *it = &p->van->items[i];
    int n = 0;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        n += !p->is_top[t] && p->column[t] >= 0;
    return n;
}

symbol symbol_of(const plan *p, int i)
{
    const kind *k = item_kind(p->van, i);
    int above = count(p, i, true), below = count(p, i, false);
    if (above == 1 && below == 1)
        for (int s = 0; s < N_PLAIN; s++)
            if (strcmp(symbols[s].word, k->symbol) == 0) return (symbol)s;
    int lamp = item_terminal(p->van, i, "lamp-return");
    if (strcmp(k->symbol, "lit-switch") == 0 && above == 1 && below == 2 && lamp >= 0 && !p->is_top[lamp]) {
        int feed = item_terminal(p->van, i, "feed"), out = item_terminal(p->van, i, "out");
        bool is_fed = feed >= 0 && out >= 0 && p->is_top[feed];
        if (is_fed && p->column[feed] >= 0 && p->column[out] >= 0 && p->column[feed] == p->column[out])
            return SYMBOL_LIT_SWITCH;
    }
    if (strcmp(k->symbol, "changeover") == 0 && above == 1 && below == 2 && wired_below(p, i) == 2) {
        int common = item_terminal(p->van, i, "common");
        if (common >= 0 && p->is_top[common] && p->column[common] >= 0) return SYMBOL_CHANGEOVER;
    }
    return SYMBOL_BOX;
}

double symbol_half_width(symbol s)
{
    if ((int)s < N_PLAIN) return symbols[s].half_width_mm;
    return s == SYMBOL_LIT_SWITCH ? 4 : 6;
}

static bool is_positive_up(const plan *p, int i)
{
    int pos = item_terminal(p->van, i, "pos");
    return pos < 0 || p->is_top[pos];
}

double symbol_left(const plan *p, int i, symbol s)
{
    bool has_signs = s == SYMBOL_BATTERY || ((int)s < N_PLAIN && !is_positive_up(p, i));
    return symbol_half_width(s) + (has_signs ? SIGN_ROOM : 0);
}

/* ---- words ---- */

static void add_word(sink *out, const char *text)
{
    if (out->n) sink_add(out, ", ");
    sink_add(out, text);
}

static void add_number(const book *b, sink *out, int i, const char *key)
{
    const setting *s = item_setting(b->van, i, key);
    if (!s || s->is_auto || s->list || s->word) return;
    if (s->number == 0 && !s->is_given) return;
    const char *text = quantity_text(s->number, s->dimension, 3, b->arena), *space = strchr(text, ' ');
    if (space) text = arena_printf(b->arena, "%.*s\u00a0%s", (int)(space - text), text, space + 1); /* never broken */
    add_word(out, text);
}

static void add_choice(const book *b, sink *out, int i, const char *key)
{
    const setting *s = item_setting(b->van, i, key);
    if (s && s->word && *s->word) add_word(out, s->word);
}

const char *item_rating(const book *b, int i)
{
    sink out = sink_in(b->arena);
    role r = item_kind(b->van, i)->role;
    if (r == ROLE_BATTERY) {
        add_number(b, &out, i, "voltage");
        add_number(b, &out, i, "capacity");
        add_choice(b, &out, i, "chemistry");
        return sink_text(&out);
    }
    if (r != ROLE_LOAD && r != ROLE_MEASURE) add_number(b, &out, i, "rating");
    if (r == ROLE_PROTECTION) add_choice(b, &out, i, "style");
    if (r == ROLE_LOAD || r == ROLE_MEASURE || !out.n) add_number(b, &out, i, "draws");
    add_number(b, &out, i, "gives");
    return sink_text(&out);
}

const char *wire_size_text(const book *b, int w)
{
    const study *s = b->study;
    conductor_size size = s->wires ? s->wires[w].size : b->van->wires[w].size;
    return size.series == SIZE_UNSET ? "no size" : conductor_size_text(size);
}

caption caption_of(const book *b, int i, double width_mm)
{
    caption c = {0};
    c.name = wrap(b, FACE_SANS_BOLD, TEXT_SMALL, width_mm, b->van->items[i].name);
    c.rating = wrap(b, FACE_SANS, TEXT_SMALL, width_mm, item_rating(b, i));
    c.width_mm = fmax(c.name.width_mm, c.rating.width_mm);
    c.height_mm = (c.name.n + c.rating.n) * LINE_PITCH(TEXT_SMALL);
    return c;
}

void caption_draw(scene *s, const caption *c, double x_mm, double y_mm)
{
    double y = y_mm + TEXT_SMALL + 0.5;
    for (int i = 0; i < c->name.n; i++, y += LINE_PITCH(TEXT_SMALL))
        scene_text(s, x_mm, y, TEXT_SMALL, FACE_SANS_BOLD, ANCHOR_START, INK_INK, c->name.at[i]);
    for (int i = 0; i < c->rating.n; i++, y += LINE_PITCH(TEXT_SMALL))
        scene_text(s, x_mm, y, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, c->rating.at[i]);
}

double symbol_height(const plan *p, int i, symbol s, double text_mm)
{
    if ((int)s < N_PLAIN) return symbols[s].height_mm;
    if (s == SYMBOL_LIT_SWITCH) return fmax(LIT_HEIGHT, caption_of(p->book, i, text_mm).height_mm + 2);
    caption c = caption_of(p->book, i, text_mm);
    if (s == SYMBOL_CHANGEOVER) return fmax(CHANGEOVER_HEIGHT, c.height_mm + 3.5);
    return c.height_mm + 2 * NAME_ROW + 2.5;
}

/* ---- shapes ---- */

static pen line(void) { return stroke(INK_INK, LINE_NORMAL); }

static void draw_line(scene *s, double x1, double y1, double x2, double y2) { scene_line(s, line(), x1, y1, x2, y2); }

void dot_draw(scene *s, double x_mm, double y_mm) { scene_circle(s, solid(INK_INK), x_mm, y_mm, DOT_RADIUS); }

static void draw_open(scene *s, double x, double y)
{
    scene_circle(s, paper_box(INK_INK, LINE_THIN), x, y, OPEN_RADIUS);
}

void fuse_draw(scene *s, double x_mm, double top_mm, double bottom_mm)
{
    double y = (top_mm + bottom_mm) / 2;
    scene_line(s, line(), x_mm, top_mm, x_mm, bottom_mm);
    scene_rect(s, line(), x_mm - 1.6, y - 3.5, 3.2, 7);
}

void chassis_draw(scene *s, double x_mm, double y_mm)
{
    draw_line(s, x_mm, y_mm, x_mm, y_mm + 3);
    scene_line(s, stroke(INK_INK, LINE_WIDE), x_mm - 4, y_mm + 3, x_mm + 4, y_mm + 3);
    for (int i = -1; i <= 1; i++) draw_line(s, x_mm + i * 4, y_mm + 3, x_mm + i * 4 - 2, y_mm + 6);
}

static void draw_cross(scene *s, double x, double y, double radius)
{
    double d = radius * M_SQRT1_2;
    draw_line(s, x - d, y - d, x + d, y + d);
    draw_line(s, x - d, y + d, x + d, y - d);
}

/* Long line: positive. `is_up` says that the positive pole is above. */
static void draw_battery(scene *s, double x, double top, double bottom, bool is_up)
{
    double step = (bottom - top) / 3;
    for (int i = 0; i < 4; i++) {
        double y = top + i * step, half = (i % 2 == 0) == is_up ? 5 : 2.5;
        scene_line(s, stroke(INK_INK, half > 3 ? LINE_NORMAL : LINE_HEAVY), x - half, y, x + half, y);
    }
    scene_text(s, x - 6, (is_up ? top : bottom) + TEXT_SMALL / 2, TEXT_SMALL, FACE_SANS_BOLD, ANCHOR_END, INK_INK, "+");
}

/* A make contact: fixed parts above and below, the arm open to the left. */
static void draw_contact(scene *s, double x, double top, double bottom)
{
    double h = bottom - top;
    draw_line(s, x, top, x, top + 0.25 * h);
    draw_line(s, x, bottom - 0.25 * h, x - 3.2, top + 0.22 * h);
    draw_line(s, x, bottom - 0.25 * h, x, bottom);
}

/* The sign of operation by hand: a dashed link to a bar. */
static void draw_hand(scene *s, double x, double y)
{
    scene_line(s, (pen){INK_INK, INK_NONE, LINE_THIN, DASH_NONE}, x - 4, y, x - 3, y);
    scene_line(s, (pen){INK_INK, INK_NONE, LINE_THIN, DASH_NONE}, x - 2.4, y, x - 1.6, y);
    draw_line(s, x - 4, y - 1.5, x - 4, y + 1.5);
}

static void draw_breaker(scene *s, double x, double top, double bottom)
{
    double h = bottom - top, y = top + 0.25 * h;
    draw_contact(s, x, top, bottom);
    draw_line(s, x - 1, y - 1, x + 1, y + 1); /* the cross at the fixed contact: breaks fault current */
    draw_line(s, x - 1, y + 1, x + 1, y - 1);
}

static void draw_letter(scene *s, double x, double y, double radius, const char *letter)
{
    scene_circle(s, line(), x, y, radius);
    scene_text(s, x, y + TEXT_NORMAL / 2, TEXT_NORMAL, FACE_SANS_BOLD, ANCHOR_MIDDLE, INK_INK, letter);
}

static void draw_lamp(scene *s, double x, double y, double radius)
{
    scene_circle(s, line(), x, y, radius);
    draw_cross(s, x, y, radius);
}

/* The anode is the positive terminal; the arrows are the light (IEC 60617). */
static void draw_led(scene *s, double x, double top, double bottom, bool is_up)
{
    double base = is_up ? top + 1.5 : bottom - 1.5, tip = is_up ? bottom - 1.5 : top + 1.5;
    const point body[] = {{x - 3, base}, {x + 3, base}, {x, tip}};
    scene_polyline(s, line(), body, 3, true);
    draw_line(s, x, top, x, bottom);
    draw_line(s, x - 3, tip, x + 3, tip);
    for (int i = 0; i < 2; i++) {
        double y = top + 3.4 + 2.2 * i;
        draw_line(s, x + 3, y, x + 5.6, y - 2);
        const point head[] = {{x + 5.9, y - 2.3}, {x + 4.5, y - 1.9}, {x + 5.5, y - 0.8}};
        scene_polyline(s, solid(INK_INK), head, 3, true);
    }
}

static void draw_fridge(scene *s, double x, double top, double bottom)
{
    double y = (top + bottom) / 2;
    scene_rect(s, line(), x - 5, top, 10, bottom - top);
    for (int i = 0; i < 3; i++) { /* a crystal */
        double a = M_PI / 2 + i * M_PI / 3;
        draw_line(s, x - 3.4 * cos(a), y - 3.4 * sin(a), x + 3.4 * cos(a), y + 3.4 * sin(a));
    }
}

static void draw_heater(scene *s, double x, double top, double bottom)
{
    scene_rect(s, line(), x - 2, top, 4, bottom - top);
    for (int i = 1; i < 4; i++) draw_line(s, x - 2, top + i * (bottom - top) / 4, x + 2, top + i * (bottom - top) / 4);
}

static void draw_outlet(scene *s, double x, double top, double bottom)
{
    double y = top + 5;
    scene_arc(s, line(), x, y, 5, 180, 360);
    draw_line(s, x - 5, y, x + 5, y);
    draw_line(s, x, y, x, bottom);
}

static void draw_plain(scene *s, symbol which, double x, double top, double bottom, bool is_up)
{
    double y = (top + bottom) / 2;
    switch (which) {
    case SYMBOL_BATTERY:
        draw_battery(s, x, top, bottom, is_up);
        break;
    case SYMBOL_FUSE:
        fuse_draw(s, x, top, bottom);
        break;
    case SYMBOL_BREAKER:
        draw_breaker(s, x, top, bottom);
        break;
    case SYMBOL_SWITCH:
        draw_contact(s, x, top, bottom);
        draw_hand(s, x, y);
        break;
    case SYMBOL_SHUNT:
        scene_rect(s, line(), x - 1.6, top, 3.2, bottom - top);
        draw_line(s, x + 1.6, top + 2.5, x + 3, top + 2.5);
        draw_line(s, x + 1.6, bottom - 2.5, x + 3, bottom - 2.5);
        break;
    case SYMBOL_LAMP:
        draw_lamp(s, x, y, 4);
        break;
    case SYMBOL_LED:
        draw_led(s, x, top, bottom, is_up);
        break;
    case SYMBOL_MOTOR:
        draw_letter(s, x, y, 4.5, "M");
        break;
    case SYMBOL_VOLTMETER:
        draw_letter(s, x, y, 4.5, "V");
        break;
    case SYMBOL_HEATER:
        draw_heater(s, x, top, bottom);
        break;
    case SYMBOL_FRIDGE:
        draw_fridge(s, x, top, bottom);
        break;
    case SYMBOL_OUTLET:
        draw_outlet(s, x, top, bottom);
        break;
    default:
        scene_rect(s, line(), x - 4.5, top, 9, bottom - top);
        break;
    }
}

/* The contact on its lane; below it the branch to the lamp, on the lane on the left or, when its return is left open
 * on purpose, beside the contact and crossed out. */
static void draw_lit_switch(scene *s, const spot *at, bool has_return)
{
    double x = at->x_mm, top = at->top_mm, node = top + 10, lamp_x = has_return ? at->lamp_x_mm : x - 9;
    double lamp_y = node + 1.5 + LAMP_RADIUS;
    draw_contact(s, x, top, node);
    draw_hand(s, x, top + 5);
    draw_line(s, x, node, x, at->bottom_mm);
    dot_draw(s, x, node + 0.5);
    draw_line(s, x, node + 0.5, lamp_x, node + 0.5);
    draw_line(s, lamp_x, node + 0.5, lamp_x, lamp_y - LAMP_RADIUS);
    draw_lamp(s, lamp_x, lamp_y, LAMP_RADIUS);
    double below = lamp_y + LAMP_RADIUS;
    draw_line(s, lamp_x, below, lamp_x, has_return ? at->bottom_mm : below + 1.2);
    if (has_return) return;
    draw_open(s, lamp_x, below + 1.2 + OPEN_RADIUS);
    pen light = stroke(INK_FAINT, LINE_WIDE);
    scene_line(s, light, lamp_x - 4.6, lamp_y + 3.6, lamp_x + 4.6, lamp_y - 3.6);
}

static void draw_changeover(scene *s, const spot *at)
{
    double x = at->x_mm, other = at->lamp_x_mm, top = at->top_mm, bottom = at->bottom_mm;
    double near = other > x ? 1 : -1;
    draw_line(s, x, top, x, top + 2.5);
    draw_line(s, x, top + 2.5, x + near * 2.6, bottom - 3.6);
    draw_open(s, x, bottom - 3);
    draw_line(s, x, bottom - 3 + OPEN_RADIUS, x, bottom);
    draw_open(s, x + near * 6, bottom - 3);
    draw_line(s, x + near * (6 + OPEN_RADIUS), bottom - 3, other, bottom - 3);
    draw_line(s, other, bottom - 3, other, bottom);
    draw_hand(s, near < 0 ? x - 2.2 : x + 1, top + 4.5);
}

/* What a box does, in its lower right corner. */
static void draw_glyph(scene *s, const char *word, double x, double y)
{
    pen thin = stroke(INK_INK, LINE_THIN);
    bool is_charger = strcmp(word, "charger") == 0, is_inverter = strcmp(word, "inverter") == 0;
    if (is_charger || is_inverter) {
        scene_rect(s, thin, x, y, 9, 6);
        scene_line(s, thin, x, y + 6, x + 9, y);
        scene_line(s, thin, x + 1, y + 1.2, x + 3.6, y + 1.2);
        scene_line(s, thin, x + 1, y + 2.2, x + 3.6, y + 2.2);
        if (is_inverter) {
            scene_arc(s, thin, x + 6, y + 4.4, 0.8, 180, 360);
            scene_arc(s, thin, x + 7.6, y + 4.4, 0.8, 0, 180);
        } else {
            scene_line(s, thin, x + 5.4, y + 3.9, x + 8, y + 3.9);
            scene_line(s, thin, x + 5.4, y + 4.9, x + 8, y + 4.9);
        }
    } else if (strcmp(word, "low-side-dimmer") == 0) { /* pulses */
        const point wave[] = {{x, y + 5},     {x + 1, y + 5}, {x + 1, y + 1}, {x + 4, y + 1}, {x + 4, y + 5},
                              {x + 5, y + 5}, {x + 5, y + 1}, {x + 8, y + 1}, {x + 8, y + 5}, {x + 9, y + 5}};
        scene_polyline(s, thin, wave, 10, false);
    } else if (strcmp(word, "relay") == 0) { /* coil, link, contact */
        scene_rect(s, thin, x, y + 1.5, 4, 3);
        scene_line(s, (pen){INK_INK, INK_NONE, LINE_THIN, DASH_DOTTED}, x + 4, y + 3, x + 7, y + 3);
        scene_line(s, thin, x + 8, y, x + 8, y + 1.5);
        scene_line(s, thin, x + 8, y + 4.5, x + 6.4, y + 1.2);
        scene_line(s, thin, x + 8, y + 4.5, x + 8, y + 6);
    }
}

static bool has_glyph(const char *word)
{
    static const char *const words[] = {"charger", "inverter", "low-side-dimmer", "relay"};
    for (int i = 0; i < 4; i++)
        if (strcmp(word, words[i]) == 0) return true;
    return false;
}

static void draw_box(const plan *p, scene *s, int i, const spot *at, const double *lane_mm)
{
    const item *it = &p->van->items[i];
    const char *word = item_kind(p->van, i)->symbol;
    scene_rect(s, line(), at->x_mm, at->top_mm, at->right_mm - at->x_mm, at->bottom_mm - at->top_mm);
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        if (p->column[t] < 0 || !plan_wire_count(p, t)) continue;
        double y = p->is_top[t] ? at->top_mm + 1.2 + TEXT_SMALL : at->bottom_mm - 1.6;
        scene_text(s, lane_mm[p->column[t]], y, TEXT_SMALL, FACE_SANS, ANCHOR_MIDDLE, INK_INK,
                   terminal_word(p->van, t));
    }
    caption c = caption_of(p->book, i, at->text_mm);
    caption_draw(s, &c, at->x_mm + BOX_TEXT_INDENT, at->top_mm + NAME_ROW + 0.8);
    if (has_glyph(word)) draw_glyph(s, word, at->right_mm - GLYPH_WIDTH + 0.5, (at->top_mm + at->bottom_mm) / 2 - 3);
}

/* Loads that mind which way round they are get their sign when they stand upside down. */
static void draw_poles(const plan *p, scene *s, int i, const spot *at)
{
    if (is_positive_up(p, i)) return;
    double x = at->x_mm - symbol_half_width(at->symbol) - 1;
    scene_text(s, x, at->top_mm + TEXT_SMALL, TEXT_SMALL, FACE_SANS_BOLD, ANCHOR_END, INK_INK, "−");
    scene_text(s, x, at->bottom_mm, TEXT_SMALL, FACE_SANS_BOLD, ANCHOR_END, INK_INK, "+");
}

static void draw_loose_ends(const plan *p, scene *s, int i, const spot *at)
{
    const item *it = &p->van->items[i];
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        if (plan_wire_count(p, t)) continue;
        if (p->is_top[t])
            draw_open(s, at->x_mm, at->top_mm - OPEN_RADIUS);
        else
            draw_open(s, at->x_mm, at->bottom_mm + OPEN_RADIUS);
    }
}

void symbol_draw(const plan *p, scene *s, int i, const spot *at, const double *lane_mm)
{
    int lamp = item_terminal(p->van, i, "lamp-return");
    if (at->symbol == SYMBOL_BOX) {
        draw_box(p, s, i, at, lane_mm);
        return;
    }
    if (at->symbol == SYMBOL_LIT_SWITCH)
        draw_lit_switch(s, at, lamp >= 0 && p->column[lamp] >= 0);
    else if (at->symbol == SYMBOL_CHANGEOVER)
        draw_changeover(s, at);
    else {
        draw_plain(s, at->symbol, at->x_mm, at->top_mm, at->bottom_mm, is_positive_up(p, i));
        if (at->symbol != SYMBOL_BATTERY) draw_poles(p, s, i, at);
        draw_loose_ends(p, s, i, at);
    }
    caption c = caption_of(p->book, i, at->text_mm);
    double x = at->x_mm + symbol_half_width(at->symbol) + 1.8;
    double y = at->symbol == SYMBOL_LIT_SWITCH ? at->top_mm + 1.2 : (at->top_mm + at->bottom_mm - c.height_mm) / 2;
    if (at->symbol == SYMBOL_LIT_SWITCH) x = at->x_mm + 2.2;
    if (at->symbol == SYMBOL_CHANGEOVER) y = at->top_mm - 1;
    caption_draw(s, &c, x, y);
}
