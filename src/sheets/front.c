/* The front of a switch panel as the builder will see it: each device in the order of the file, with its name, the words of its
 * positions and its lamp. On the screen every position is drawn and everything is large enough for a finger. */
#include "sheets/sheet.h"
#include "sheets/symbols.h"

#include <math.h>
#include <string.h>

#define CELL_WIDTH 48.0
#define GAP 4.0
#define PAD 4.0
#define CORNER 2.5 /* cut off the corners of a plate */
#define FACE_GAP 4.0
#define STOP_PITCH 9.0 /* from one position of a switch to the next */
#define SLOT_WIDTH 12.0
#define THUMB_HEIGHT 6.0
#define LAMP_RADIUS 3.2
#define LAMP_SIDE 14.0 /* room for a lamp beside the words */
#define KNOB_RADIUS 10.0
#define FACE_HEIGHT 26.0 /* of what is no switch */
#define PAGE_HEAD 12.0
#define SCREEN_MARGIN 8.0

/* ---- what a device looks like ---- */

typedef enum look { LOOK_SWITCH, LOOK_DIAL, LOOK_METER, LOOK_ROUND, LOOK_SLOTS, LOOK_PLATE } look;

static look look_of(const van *v, int i)
{
    const kind *k = item_kind(v, i);
    if (k->dial >= 0) return LOOK_DIAL;
    if (v->items[i].n_positions > 0) return LOOK_SWITCH;
    if (k->role == ROLE_MEASURE) return LOOK_METER;
    if (k->role == ROLE_OUTLET) return strcmp(k->name, "usb-outlet") == 0 ? LOOK_SLOTS : LOOK_ROUND;
    return LOOK_PLATE;
}

static lines name_of(const book *b, int i)
{
    return wrap(b, FACE_SANS_BOLD, TEXT_NORMAL, CELL_WIDTH - 2 * PAD, b->van->items[i].name);
}

static lines rating_of(const book *b, int i)
{
    const char *rating = item_rating(b, i), *name = item_kind(b->van, i)->name;
    const char *text = *rating ? arena_printf(b->arena, "%s, %s", name, rating) : name;
    return wrap(b, FACE_SANS, TEXT_SMALL, CELL_WIDTH - 2 * PAD, text);
}

static double face_height(const van *v, int i)
{
    if (look_of(v, i) == LOOK_SWITCH) return fmax(FACE_HEIGHT, v->items[i].n_positions * STOP_PITCH + 4);
    return FACE_HEIGHT;
}

/* Name and rating above the face. */
static double words_height(const book *b, int i)
{
    return name_of(b, i).n * LINE_PITCH(TEXT_NORMAL) + rating_of(b, i).n * LINE_PITCH(TEXT_SMALL);
}

static double cell_height(const book *b, int i)
{
    return PAD + words_height(b, i) + FACE_GAP + face_height(b->van, i) + PAD;
}

static void draw_plate(scene *s, double x, double y, double width, double height)
{
    const double c = CORNER;
    const point corners[] = {{x + c, y},
                             {x + width - c, y},
                             {x + width, y + c},
                             {x + width, y + height - c},
                             {x + width - c, y + height},
                             {x + c, y + height},
                             {x, y + height - c},
                             {x, y + c}};
    scene_polyline(s, paper_box(INK_INK, LINE_WIDE), corners, 8, true);
    scene_mark(s, "plate");
}

/* ---- faces ---- */

/* A slot with a stop for each position, the first below; the thumb stands at one of them. */
static void draw_switch(const book *b, scene *s, int i, double x, double y)
{
    const item *it = &b->van->items[i];
    int n = it->n_positions, n_shown = s->is_screen ? n : 1;
    double height = n * STOP_PITCH + 2, top = y + (face_height(b->van, i) - height) / 2;
    scene_rect(s, stroke(INK_INK, LINE_NORMAL), x, top, SLOT_WIDTH, height);
    for (int k = 0; k < n; k++) {
        double middle = top + height - 1 - (k + 0.5) * STOP_PITCH;
        const char *word = position_text(b->van, i, it->positions[k], b->arena);
        scene_open(s, NULL, arena_printf(b->arena, "stop stop-%s", word), word);
        scene_line(s, stroke(INK_INK, LINE_NORMAL), x + SLOT_WIDTH, middle, x + SLOT_WIDTH + 2, middle);
        scene_text(s, x + SLOT_WIDTH + 3.5, middle + TEXT_NORMAL / 2, TEXT_NORMAL, FACE_SANS, ANCHOR_START, INK_INK,
                   word);
        if (s->is_screen) {
            scene_rect(s, (pen){.stroke = INK_NONE, .fill = INK_NONE}, x, middle - STOP_PITCH / 2, CELL_WIDTH - 2 * PAD,
                       STOP_PITCH);
            scene_mark(s, "hit");
        }
        scene_close(s);
    }
    for (int k = 0; k < n_shown; k++) {
        double middle = top + height - 1 - (k + 0.5) * STOP_PITCH;
        if (s->is_screen) position_open(s, b->van, i, k);
        scene_rect(s, solid(INK_INK), x + 1.5, middle - THUMB_HEIGHT / 2, SLOT_WIDTH - 3, THUMB_HEIGHT);
        if (s->is_screen) scene_close(s);
    }
}

/* Over three quarters of a circle, from the lower left to the lower right. */
static point on_dial(double x, double y, double radius, double fraction)
{
    double angle = (135 + 270 * fraction) * M_PI / 180;
    return (point){x + radius * cos(angle), y + radius * sin(angle)};
}

static void draw_dial(const book *b, scene *s, int i, double x, double y)
{
    double rest = b->van->items[i].n_positions ? b->van->items[i].positions[0].fraction : 0;
    double middle_x = x + KNOB_RADIUS + 3, middle_y = y + FACE_HEIGHT / 2;
    for (int k = 0; k <= 10; k++) {
        point from = on_dial(middle_x, middle_y, KNOB_RADIUS + 1, k / 10.0);
        point to = on_dial(middle_x, middle_y, KNOB_RADIUS + (k % 5 ? 2 : 3), k / 10.0);
        scene_line(s, stroke(INK_INK, LINE_NORMAL), from.x_mm, from.y_mm, to.x_mm, to.y_mm);
    }
    scene_circle(s, paper_box(INK_INK, LINE_WIDE), middle_x, middle_y, KNOB_RADIUS);
    scene_mark(s, "knob");
    point from = on_dial(middle_x, middle_y, 3, rest), to = on_dial(middle_x, middle_y, KNOB_RADIUS - 1.5, rest);
    scene_line(s, stroke(INK_INK, LINE_BAR), from.x_mm, from.y_mm, to.x_mm, to.y_mm);
    scene_mark(s, "pointer");
    const char *word =
        b->van->items[i].n_positions ? position_text(b->van, i, b->van->items[i].positions[0], b->arena) : "0 %";
    scene_text(s, middle_x + KNOB_RADIUS + 5, middle_y + TEXT_NORMAL / 2, TEXT_NORMAL, FACE_MONO_BOLD, ANCHOR_START,
               INK_INK, word);
    scene_mark(s, "dial-value");
}

static void draw_meter(scene *s, double x, double y)
{
    double top = y + (FACE_HEIGHT - 13) / 2;
    scene_rect(s, stroke(INK_INK, LINE_NORMAL), x, top, 32, 13);
    scene_text(s, x + 23, top + 9, TEXT_LARGE, FACE_MONO_BOLD, ANCHOR_END, INK_INK, "--.-");
    scene_mark(s, "reading");
    scene_text(s, x + 25, top + 9, TEXT_LARGE, FACE_MONO_BOLD, ANCHOR_START, INK_INK, "V");
}

static void draw_round(scene *s, double x, double y)
{
    double middle_x = x + 10, middle_y = y + FACE_HEIGHT / 2;
    scene_circle(s, stroke(INK_INK, LINE_WIDE), middle_x, middle_y, 10);
    scene_circle(s, stroke(INK_INK, LINE_NORMAL), middle_x, middle_y, 7);
    scene_circle(s, solid(INK_INK), middle_x, middle_y, 1.4);
}

static void draw_slots(scene *s, double x, double y)
{
    double middle = y + FACE_HEIGHT / 2;
    for (int k = 0; k < 2; k++) {
        double top = middle + (k ? 2 : -7);
        scene_rect(s, stroke(INK_INK, LINE_NORMAL), x, top, 14, 5);
        scene_rect(s, solid(INK_INK), x + 2, top + 1, 10, 1.4);
    }
}

static void draw_face(const book *b, scene *s, int i, double x, double y)
{
    switch (look_of(b->van, i)) {
    case LOOK_SWITCH:
        draw_switch(b, s, i, x, y);
        break;
    case LOOK_DIAL:
        draw_dial(b, s, i, x, y);
        break;
    case LOOK_METER:
        draw_meter(s, x, y);
        break;
    case LOOK_ROUND:
        draw_round(s, x, y);
        break;
    case LOOK_SLOTS:
        draw_slots(s, x, y);
        break;
    case LOOK_PLATE:
        break;
    }
    if (item_is_lamp(b->van, i))
        lamp_draw(s, b->van, i, x + CELL_WIDTH - 2 * PAD - LAMP_RADIUS - 2.5, y + face_height(b->van, i) / 2,
                  LAMP_RADIUS);
}

static void draw_device(const book *b, scene *s, int i, double x, double y, double height)
{
    const item *it = &b->van->items[i];
    lines name = name_of(b, i), rating = rating_of(b, i);
    double at = y + PAD;
    scene_open(s, scene_id(b->arena, "item", it->id), s->is_screen ? item_class(b->van, i) : "item", it->name);
    draw_plate(s, x, y, CELL_WIDTH, height);
    for (int k = 0; k < name.n; k++, at += LINE_PITCH(TEXT_NORMAL))
        scene_text(s, x + PAD, at + TEXT_NORMAL, TEXT_NORMAL, FACE_SANS_BOLD, ANCHOR_START, INK_INK, name.at[k]);
    for (int k = 0; k < rating.n; k++, at += LINE_PITCH(TEXT_SMALL)) {
        scene_text(s, x + PAD, at + TEXT_SMALL, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, rating.at[k]);
        if (s->is_screen) scene_mark(s, "rating");
    }
    draw_face(b, s, i, x + PAD, y + height - PAD - face_height(b->van, i));
    scene_close(s);
}

/* ---- which devices ---- */

typedef struct devices {
    int *items, n;
    double tallest_mm;
} devices;

static bool is_moved_by_hand(const van *v, int i)
{
    const kind *k = item_kind(v, i);
    return k->dial >= 0 || (v->items[i].n_positions > 0 && kind_coil(k) < 0);
}

bool front_has_loose(const van *v)
{
    for (int i = 0; i < v->n_items; i++)
        if (!v->items[i].panel && is_moved_by_hand(v, i)) return true;
    return false;
}

static devices devices_on(const book *b, const char *panel)
{
    const van *v = b->van;
    devices d = {.items = ARENA_ARRAY(b->arena, int, (size_t)v->n_items + 1)};
    for (int i = 0; i < v->n_items; i++) {
        const char *its = v->items[i].panel;
        if (panel ? !its || strcmp(its, panel) != 0 : its || !is_moved_by_hand(v, i)) continue;
        d.items[d.n++] = i;
        d.tallest_mm = fmax(d.tallest_mm, cell_height(b, i));
    }
    return d;
}

/* ---- on the screen ---- */

scene *front_screen(book *b, const char *panel, const char *title)
{
    enum { most_across = 5 };
    devices d = devices_on(b, panel);
    int n_across = d.n < most_across ? d.n : most_across, n_down = n_across ? (d.n + n_across - 1) / n_across : 0;
    scene *s = scene_create(b->arena, b->fonts, 2 * SCREEN_MARGIN + n_across * (CELL_WIDTH + GAP) - GAP,
                            2 * SCREEN_MARGIN + n_down * (d.tallest_mm + GAP) - GAP, title,
                            "Each device with its name, its positions and its lamp, in the order of the file.");
    s->is_screen = true;
    for (int i = 0; i < d.n; i++) {
        const int row = i / n_across;
        draw_device(b, s, d.items[i], SCREEN_MARGIN + (i % n_across) * (CELL_WIDTH + GAP),
                    SCREEN_MARGIN + row * (d.tallest_mm + GAP), d.tallest_mm);
    }
    return s;
}

/* ---- on paper ---- */

void front_draw(book *b, const char *panel, const char *title)
{
    devices d = devices_on(b, panel);
    paper_size size;
    for (int step = 0; paper_step(b, step, true, &size); step++)
        if (page_area(b, size).bottom - page_area(b, size).top - PAGE_HEAD >= d.tallest_mm) break;
    area in = page_area(b, size);
    int n_across = (int)floor((in.right - in.left + GAP) / (CELL_WIDTH + GAP));
    int n_down = (int)floor((in.bottom - in.top - PAGE_HEAD + GAP) / (d.tallest_mm + GAP));
    int n_on_page = n_across * (n_down < 1 ? 1 : n_down);
    scene *s = NULL;
    for (int i = 0; i < d.n; i++) {
        int at = i % n_on_page;
        if (at == 0) {
            s = page_add(b, size, title,
                         "The front of the panel: each device with its name, its positions and its lamp.");
            scene_text(s, in.left, in.top + 5, TEXT_NORMAL, FACE_SANS_BOLD, ANCHOR_START, INK_INK, panel);
            scene_text(s, in.right, in.top + 5, TEXT_SMALL, FACE_SANS, ANCHOR_END, INK_INK,
                       "Devices in the order of the file, each in its position of rest. Not a drilling template.");
        }
        page_names_item(b, d.items[i]);
        const int row = at / n_across;
        draw_device(b, s, d.items[i], in.left + (at % n_across) * (CELL_WIDTH + GAP),
                    in.top + PAGE_HEAD + row * (d.tallest_mm + GAP), d.tallest_mm);
    }
}
