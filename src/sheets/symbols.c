/* Drawing the symbols. See symbols.h. All measures are millimetres on paper. */
#include "sheets/symbols.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#define DOT_RADIUS 0.9
#define OPEN_RADIUS 0.8
#define LAMP_RADIUS 3.0
#define LOAD_LAMP 4.0 /* of one that is a load, with wires above and below */
#define LONE_LAMP 9.0 /* to the left of the lane: a lamp whose return is left open on purpose */
#define LONE_RETURN (10 + 1.5 + 2 * LAMP_RADIUS + 1.2 + OPEN_RADIUS) /* below the top of its switch */
#define LIT_HEIGHT 19.0
#define CHANGEOVER_HEIGHT 11.0
#define BOX_TEXT_INDENT 2.5
#define NAME_ROW 4.6 /* a row of terminal names in a box */
#define GLYPH_WIDTH 11.0
#define SIGN_ROOM 4.0 /* plus and minus on the left */

/* In a box on the screen, below its caption. */
#define STATE_ROW 5.0 /* its position */
#define LAMP_ROW 11.0
#define SMALL_LAMP 2.6
#define END_PITCH 7.0 /* terminals without wires, by columns */
#define END_WORD 2.2  /* from the middle of the circle to the word */
enum { ends_in_column = 5 };

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

bool item_is_lamp(const van *v, int i)
{
    const kind *k = item_kind(v, i);
    for (int e = 0; e < k->n_elements; e++)
        if (k->elements[e].type == ELEMENT_LAMP) return true;
    return strcmp(k->symbol, "led") == 0 || strcmp(k->symbol, "lamp") == 0;
}

const char *item_class(const van *v, int i)
{
    const kind *k = item_kind(v, i);
    if (k->dial >= 0) return "item dial";
    return v->items[i].n_positions > 0 && kind_coil(k) < 0 ? "item switch" : "item";
}

void position_open(scene *s, const van *v, int i, int position)
{
    const char *word = position_text(v, i, v->items[i].positions[position], s->arena);
    scene_open(s, NULL, arena_printf(s->arena, "position position-%s%s", word, position == 0 ? " rest" : ""), NULL);
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

/* What the file leaves open shows as such, with the size that was chosen last. */
static const char *size_on_screen(const book *b, int w)
{
    const wire *at = &b->van->wires[w];
    conductor_size size = b->study->wires ? b->study->wires[w].size : at->size;
    const char *text = size.series == SIZE_UNSET ? "auto" : conductor_size_text(size);
    if (size.series != SIZE_UNSET && at->size.series == SIZE_UNSET) text = arena_printf(b->arena, "auto: %s", text);
    return at->is_length_auto ? arena_printf(b->arena, "%s, length auto", text) : text;
}

const char *wire_size_text(const book *b, int w)
{
    const study *s = b->study;
    if (b->is_screen) return size_on_screen(b, w);
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
    for (int i = 0; i < c->rating.n; i++, y += LINE_PITCH(TEXT_SMALL)) {
        scene_text(s, x_mm, y, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, c->rating.at[i]);
        if (s->is_screen) scene_mark(s, "rating");
    }
}

const char *slot_text(const book *b, int t)
{
    const terminal *at = &b->van->terminals[t];
    const setting *slots = item_setting(b->van, at->item, "slots");
    if (!slots || !slots->list || at->number < 1 || at->number > slots->n_list) return "";
    return quantity_text(slots->list[at->number - 1], DIMENSION_CURRENT, 3, b->arena);
}

/* ---- what stands in a box on the screen ---- */

typedef struct rows {
    bool has_state, has_lamp;
    int n_ends, n_columns; /* terminals without wires */
    double column_mm;      /* of the terminals */
    double height_mm;
} rows;

/* "3, 10 A" for a slot, else the terminal's own name. */
static const char *end_word(const plan *p, int t)
{
    const char *slot = slot_text(p->book, t);
    return *slot ? arena_printf(p->arena, "%s, %s", terminal_word(p->van, t), slot) : terminal_word(p->van, t);
}

static rows box_rows(const plan *p, int i)
{
    const item *it = &p->van->items[i];
    rows r = {.has_state = it->n_positions > 0, .has_lamp = item_is_lamp(p->van, i)};
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        if (plan_wire_count(p, t)) continue;
        double word_mm = fonts_width_mm(p->book->fonts, FACE_SANS, TEXT_SMALL, end_word(p, t));
        r.n_ends++;
        r.column_mm = fmax(r.column_mm, 1 + 2 * END_WORD + word_mm + 2);
    }
    r.n_columns = (r.n_ends + ends_in_column - 1) / ends_in_column;
    int n_down = r.n_columns ? (r.n_ends + r.n_columns - 1) / r.n_columns : 0;
    r.height_mm = (r.has_state ? STATE_ROW : 0) + (r.has_lamp ? LAMP_ROW : 0) + n_down * END_PITCH;
    return r;
}

double box_width(const plan *p, int i)
{
    const item *it = &p->van->items[i];
    rows r = box_rows(p, i);
    double width = r.n_columns * r.column_mm;
    for (int k = 0; k < it->n_positions; k++) {
        const char *word = position_text(p->van, i, it->positions[k], p->arena);
        width = fmax(width, 5 + fonts_width_mm(p->book->fonts, FACE_SANS, TEXT_SMALL, word));
    }
    return width + 2 * BOX_TEXT_INDENT;
}

/* Room at the upper (or lower) edge of a box for the names of its terminals; on the screen only where it has wires there. */
static double box_edge(const plan *p, int i, bool is_top)
{
    const item *it = &p->van->items[i];
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals && p->book->is_screen; t++)
        if (p->is_top[t] == is_top && plan_wire_count(p, t)) return NAME_ROW;
    return p->book->is_screen ? 0.7 : NAME_ROW;
}

double symbol_height(const plan *p, int i, symbol s, double text_mm)
{
    if ((int)s < N_PLAIN) return symbols[s].height_mm;
    if (s == SYMBOL_LIT_SWITCH) return fmax(LIT_HEIGHT, caption_of(p->book, i, text_mm).height_mm + 2);
    caption c = caption_of(p->book, i, text_mm);
    if (s == SYMBOL_CHANGEOVER) return fmax(CHANGEOVER_HEIGHT, c.height_mm + 3.5);
    return box_edge(p, i, true) + c.height_mm + 2.5 + (p->book->is_screen ? box_rows(p, i).height_mm : 0) +
           box_edge(p, i, false);
}

/* ---- shapes ---- */

static pen line(void) { return stroke(INK_INK, LINE_NORMAL); }

static void draw_line(scene *s, double x1, double y1, double x2, double y2) { scene_line(s, line(), x1, y1, x2, y2); }

void dot_draw(scene *s, double x_mm, double y_mm) { scene_circle(s, solid(INK_INK), x_mm, y_mm, DOT_RADIUS); }

void open_draw(scene *s, double x_mm, double y_mm)
{
    scene_circle(s, paper_box(INK_INK, LINE_THIN), x_mm, y_mm, OPEN_RADIUS);
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

static void draw_arm(scene *s, double x, double top, double bottom, bool is_closed)
{
    double h = bottom - top;
    draw_line(s, x, bottom - 0.25 * h, is_closed ? x : x - 3.2, top + (is_closed ? 0.25 : 0.22) * h);
}

/* Is any contact of an item (to that terminal of its kind; -1: to any) closed in a position? */
static bool is_closed_in(const van *v, int i, int position, int template_index)
{
    const kind *k = item_kind(v, i);
    for (int e = 0; e < k->n_elements; e++) {
        const element *el = &k->elements[e];
        bool is_there = template_index < 0 || (el->a.form == END_TERMINAL && el->a.index == template_index) ||
                        (el->b.form == END_TERMINAL && el->b.index == template_index);
        if (el->type == ELEMENT_CONTACT && is_there && el->closed_in & 1u << position) return true;
    }
    return false;
}

static void draw_arms(const plan *p, scene *s, int i, double x, double top, double bottom)
{
    const item *it = &p->van->items[i];
    if (!p->book->is_screen || !it->n_positions || item_kind(p->van, i)->dial >= 0) {
        draw_arm(s, x, top, bottom, false);
        return;
    }
    for (int k = 0; k < it->n_positions; k++) {
        position_open(s, p->van, i, k);
        draw_arm(s, x, top, bottom, is_closed_in(p->van, i, it->positions[k].index, -1));
        scene_close(s);
    }
}

/* A make contact: fixed parts above and below; the arm open to the left or, on the screen, as each position has it. */
static void draw_contact(const plan *p, scene *s, int i, double x, double top, double bottom)
{
    double h = bottom - top;
    draw_line(s, x, top, x, top + 0.25 * h);
    draw_arms(p, s, i, x, top, bottom);
    draw_line(s, x, bottom - 0.25 * h, x, bottom);
}

/* The sign of operation by hand: a dashed link to a bar. */
static void draw_hand(scene *s, double x, double y)
{
    scene_line(s, (pen){INK_INK, INK_NONE, LINE_THIN, DASH_NONE}, x - 4, y, x - 3, y);
    scene_line(s, (pen){INK_INK, INK_NONE, LINE_THIN, DASH_NONE}, x - 2.4, y, x - 1.6, y);
    draw_line(s, x - 4, y - 1.5, x - 4, y + 1.5);
}

static void draw_breaker(const plan *p, scene *s, int i, double x, double top, double bottom)
{
    double h = bottom - top, y = top + 0.25 * h;
    draw_contact(p, s, i, x, top, bottom);
    draw_line(s, x - 1, y - 1, x + 1, y + 1); /* the cross at the fixed contact: breaks fault current */
    draw_line(s, x - 1, y + 1, x + 1, y - 1);
}

static void draw_letter(scene *s, double x, double y, double radius, const char *letter)
{
    scene_circle(s, line(), x, y, radius);
    scene_text(s, x, y + TEXT_NORMAL / 2, TEXT_NORMAL, FACE_SANS_BOLD, ANCHOR_MIDDLE, INK_INK, letter);
}

/* To all sides or, where labels stand above and below, to the left and to the right. */
static void draw_rays(scene *s, double x, double y, double from, double to, bool has_labels)
{
    scene_open(s, NULL, "rays", NULL);
    for (int k = 0; k < 8; k++) {
        if (has_labels && k % 4 != 0 && k % 4 != 3) continue;
        double angle = (k + 0.5) * M_PI / 4, across = cos(angle), down = sin(angle);
        scene_line(s, stroke(INK_MIND, LINE_HEAVY), x + from * across, y + from * down, x + to * across, y + to * down);
    }
    scene_close(s);
}

static void open_lamp(scene *s, const van *v, int i)
{
    if (s->is_screen) scene_open(s, scene_id(s->arena, "lamp", v->items[i].id), "lamp", NULL);
}

static void close_lamp(scene *s, double x, double y, double radius)
{
    if (!s->is_screen) return;
    draw_rays(s, x, y, radius + 0.8, radius + 2.2, radius >= LOAD_LAMP);
    scene_close(s);
}

void lamp_draw(scene *s, const van *v, int i, double x, double y, double radius)
{
    open_lamp(s, v, i);
    scene_circle(s, line(), x, y, radius);
    draw_cross(s, x, y, radius);
    close_lamp(s, x, y, radius);
}

/* The anode is the positive terminal; the arrows are the light (IEC 60617). */
static void draw_led(const plan *p, scene *s, int item, double x, double top, double bottom, bool is_up)
{
    open_lamp(s, p->van, item);
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
    close_lamp(s, x, (top + bottom) / 2, LOAD_LAMP);
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

static void draw_plain(const plan *p, scene *s, int i, const spot *at)
{
    double x = at->x_mm, top = at->top_mm, bottom = at->bottom_mm, y = (top + bottom) / 2;
    bool is_up = is_positive_up(p, i);
    switch (at->symbol) {
    case SYMBOL_BATTERY:
        draw_battery(s, x, top, bottom, is_up);
        break;
    case SYMBOL_FUSE:
        fuse_draw(s, x, top, bottom);
        break;
    case SYMBOL_BREAKER:
        draw_breaker(p, s, i, x, top, bottom);
        break;
    case SYMBOL_SWITCH:
        draw_contact(p, s, i, x, top, bottom);
        draw_hand(s, x, y);
        break;
    case SYMBOL_SHUNT:
        scene_rect(s, line(), x - 1.6, top, 3.2, bottom - top);
        draw_line(s, x + 1.6, top + 2.5, x + 3, top + 2.5);
        draw_line(s, x + 1.6, bottom - 2.5, x + 3, bottom - 2.5);
        break;
    case SYMBOL_LAMP:
        lamp_draw(s, p->van, i, x, y, LOAD_LAMP);
        break;
    case SYMBOL_LED:
        draw_led(p, s, i, x, top, bottom, is_up);
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
static void draw_lit_switch(const plan *p, scene *s, int i, const spot *at)
{
    int lamp = item_terminal(p->van, i, "lamp-return");
    bool has_return = lamp >= 0 && p->column[lamp] >= 0;
    double x = at->x_mm, top = at->top_mm, node = top + 10, lamp_x = has_return ? at->lamp_x_mm : x - LONE_LAMP;
    double lamp_y = node + 1.5 + LAMP_RADIUS;
    draw_contact(p, s, i, x, top, node);
    draw_hand(s, x, top + 5);
    draw_line(s, x, node, x, at->bottom_mm);
    dot_draw(s, x, node + 0.5);
    draw_line(s, x, node + 0.5, lamp_x, node + 0.5);
    draw_line(s, lamp_x, node + 0.5, lamp_x, lamp_y - LAMP_RADIUS);
    lamp_draw(s, p->van, i, lamp_x, lamp_y, LAMP_RADIUS);
    double below = lamp_y + LAMP_RADIUS;
    draw_line(s, lamp_x, below, lamp_x, has_return ? at->bottom_mm : below + 1.2);
    if (has_return) return;
    open_draw(s, lamp_x, top + LONE_RETURN);
    pen light = stroke(INK_FAINT, LINE_WIDE);
    scene_line(s, light, lamp_x - 4.6, lamp_y + 3.6, lamp_x + 4.6, lamp_y - 3.6);
}

/* The arm of a changeover stands between its two contacts or, on the screen, as each position has it. */
static void draw_changeover_arms(const plan *p, scene *s, int i, const spot *at, double near)
{
    const item *it = &p->van->items[i];
    double x = at->x_mm, top = at->top_mm + 2.5, bottom = at->bottom_mm - 3.6;
    int straight = -1, aside = -1; /* terminals of the kind */
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        if (p->is_top[t] || p->column[t] < 0) continue;
        bool is_straight = p->column[t] == p->column[item_terminal(p->van, i, "common")];
        *(is_straight ? &straight : &aside) = p->van->terminals[t].template_index;
    }
    if (!p->book->is_screen || !it->n_positions) {
        draw_line(s, x, top, x + near * 2.6, bottom);
        return;
    }
    for (int k = 0; k < it->n_positions; k++) {
        int position = it->positions[k].index;
        bool is_straight = straight >= 0 && is_closed_in(p->van, i, position, straight);
        bool is_aside = aside >= 0 && is_closed_in(p->van, i, position, aside);
        position_open(s, p->van, i, k);
        draw_line(s, x, top, x + near * (is_straight ? 0 : is_aside ? 5.4 : 2.6), bottom);
        scene_close(s);
    }
}

static void draw_changeover(const plan *p, scene *s, int i, const spot *at)
{
    double x = at->x_mm, other = at->lamp_x_mm, top = at->top_mm, bottom = at->bottom_mm;
    double near = other > x ? 1 : -1;
    draw_line(s, x, top, x, top + 2.5);
    draw_changeover_arms(p, s, i, at, near);
    open_draw(s, x, bottom - 3);
    draw_line(s, x, bottom - 3 + OPEN_RADIUS, x, bottom);
    open_draw(s, x + near * 6, bottom - 3);
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

/* A square, and beside it the position in which the item stands. */
static void draw_state(const plan *p, scene *s, int i, double x, double y)
{
    const item *it = &p->van->items[i];
    bool is_dial = item_kind(p->van, i)->dial >= 0;
    scene_rect(s, solid(INK_INK), x, y - 2.2, 1.8, 1.8);
    for (int k = 0; k < (is_dial ? 1 : it->n_positions); k++) {
        if (!is_dial) position_open(s, p->van, i, k);
        scene_text(s, x + 3.2, y, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK,
                   position_text(p->van, i, it->positions[k], p->arena));
        if (is_dial)
            scene_mark(s, "dial-value");
        else
            scene_close(s);
    }
}

/* Top of what stands in a box below its caption. */
static double rows_top(const plan *p, int i, const spot *at)
{
    caption c = caption_of(p->book, i, at->text_mm);
    return at->top_mm + box_edge(p, i, true) + 1 + c.height_mm;
}

static double ends_top(const plan *p, int i, const spot *at)
{
    rows r = box_rows(p, i);
    return rows_top(p, i, at) + (r.has_state ? STATE_ROW : 0) + (r.has_lamp ? LAMP_ROW : 0);
}

/* The n-th terminal of a box that has no wires. */
static point end_in_box(const plan *p, int i, const spot *at, int n)
{
    rows r = box_rows(p, i);
    assert(r.n_columns > 0 && r.n_ends > 0);
    const int n_down = (r.n_ends + r.n_columns - 1) / r.n_columns, column = n / n_down;
    return (point){at->x_mm + BOX_TEXT_INDENT + 1 + column * r.column_mm,
                   ends_top(p, i, at) + (n % n_down + 0.5) * END_PITCH};
}

static void draw_rows(const plan *p, scene *s, int i, const spot *at)
{
    const item *it = &p->van->items[i];
    rows r = box_rows(p, i);
    double x = at->x_mm + BOX_TEXT_INDENT, y = rows_top(p, i, at);
    if (r.has_state) draw_state(p, s, i, x, y + TEXT_SMALL + 0.6);
    if (r.has_state) y += STATE_ROW;
    if (r.has_lamp) lamp_draw(s, p->van, i, x + SMALL_LAMP + 2, y + LAMP_ROW / 2, SMALL_LAMP);
    for (int t = it->first_terminal, n = 0; t < it->first_terminal + it->n_terminals; t++) {
        if (plan_wire_count(p, t)) continue;
        point end = end_in_box(p, i, at, n++);
        open_draw(s, end.x_mm, end.y_mm);
        scene_text(s, end.x_mm + END_WORD, end.y_mm + TEXT_SMALL / 2, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK,
                   end_word(p, t));
    }
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
    caption_draw(s, &c, at->x_mm + BOX_TEXT_INDENT, at->top_mm + box_edge(p, i, true) + 0.8);
    if (p->book->is_screen) draw_rows(p, s, i, at);
    double glyph_y =
        p->book->is_screen ? at->top_mm + box_edge(p, i, true) + 1.5 : (at->top_mm + at->bottom_mm) / 2 - 3;
    if (has_glyph(word)) draw_glyph(s, word, at->right_mm - GLYPH_WIDTH + 0.5, glyph_y);
}

/* Loads that mind which way round they are get their sign when they stand upside down. */
static void draw_poles(const plan *p, scene *s, int i, const spot *at)
{
    if (is_positive_up(p, i)) return;
    double x = at->x_mm - symbol_half_width(at->symbol) - 1;
    scene_text(s, x, at->top_mm + TEXT_SMALL, TEXT_SMALL, FACE_SANS_BOLD, ANCHOR_END, INK_INK, "−");
    scene_text(s, x, at->bottom_mm, TEXT_SMALL, FACE_SANS_BOLD, ANCHOR_END, INK_INK, "+");
}

point symbol_loose_end(const plan *p, int i, const spot *at, int t)
{
    if (at->symbol == SYMBOL_BOX) {
        int n = 0;
        for (int u = p->van->items[i].first_terminal; u < t; u++) n += !plan_wire_count(p, u);
        return end_in_box(p, i, at, n);
    }
    if (at->symbol == SYMBOL_LIT_SWITCH && t == item_terminal(p->van, i, "lamp-return"))
        return (point){at->x_mm - LONE_LAMP, at->top_mm + LONE_RETURN};
    return (point){at->x_mm, p->is_top[t] ? at->top_mm - OPEN_RADIUS : at->bottom_mm + OPEN_RADIUS};
}

static void draw_loose_ends(const plan *p, scene *s, int i, const spot *at)
{
    const item *it = &p->van->items[i];
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        if (plan_wire_count(p, t)) continue;
        point end = symbol_loose_end(p, i, at, t);
        open_draw(s, end.x_mm, end.y_mm);
    }
}

void symbol_draw(const plan *p, scene *s, int i, const spot *at, const double *lane_mm)
{
    if (at->symbol == SYMBOL_BOX) {
        draw_box(p, s, i, at, lane_mm);
        return;
    }
    if (at->symbol == SYMBOL_LIT_SWITCH)
        draw_lit_switch(p, s, i, at);
    else if (at->symbol == SYMBOL_CHANGEOVER)
        draw_changeover(p, s, i, at);
    else {
        draw_plain(p, s, i, at);
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
