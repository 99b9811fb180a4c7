/* A scene: what one sheet shows, as lines, shapes and text in millimetres, x to the right and y down from the top left
 * corner of the paper. It knows no volts and no pipes. svg.h and pdf.h write the same scene; every group keeps its id.
 */
#ifndef DRAW_SCENE_H
#define DRAW_SCENE_H

#include "draw/fonts.h"

/* Line widths after ISO 128, in mm. BAR is for busbars, which stand out as solid metal does. */
#define LINE_WIDTHS(X)                                                                                                 \
    X(THIN, 0.25, "thin") X(NORMAL, 0.35, "normal") X(WIDE, 0.5, "wide") X(HEAVY, 0.7, "heavy") X(BAR, 1.4, "bar")
typedef enum line_width {
#define X(NAME, mm, word) LINE_##NAME,
    LINE_WIDTHS(X)
#undef X
        N_LINE_WIDTHS
} line_width;
double line_width_mm(line_width w);

/* Kinds of line after ISO 128: lengths of dash and gap in mm, alternating. X(NAME, word, n, lengths) */
#define LINE_DASHES(X)                                                                                                 \
    X(NONE, "solid", 0, {0})                                                                                           \
    X(DASHED, "dashed", 2, {3 X_COMMA 1.2})                                                                            \
    X(DOTTED, "dotted", 2, {0.3 X_COMMA 1.2}) X(DASH_DOT, "dash-dot", 4, {5 X_COMMA 1 X_COMMA 0.5 X_COMMA 1})
#define X_COMMA ,
typedef enum line_dash {
#define X(NAME, word, n, lengths) DASH_##NAME,
    LINE_DASHES(X)
#undef X
        N_LINE_DASHES
} line_dash;
/* Number of lengths, and the lengths themselves. */
int line_dash_mm(line_dash d, const double **lengths_mm);

/* Colours by meaning, after Okabe and Ito, darkened where WCAG 2.2 AA asks for more contrast. X(NAME, word, on white
 * paper, on a dark screen). Colour only adds: line kind, width and words carry the meaning. */
#define INKS(X)                                                                                                        \
    X(INK, "ink", 0x000000, 0xf2f2f2)                                                                                  \
    X(FAINT, "faint", 0x6b6b6b, 0x9a9a9a)                                                                              \
    X(FEED, "feed", 0xb34700, 0xff9a57)                                                                                \
    X(RETURN, "return", 0x000000, 0xf2f2f2)                                                                            \
    X(MAINS, "mains", 0x8f3f72, 0xe39bc6)                                                                              \
    X(BOND, "bond", 0x00694c, 0x3fc9a0)                                                                                \
    X(STOP, "stop", 0xb34700, 0xff9a57)                                                                                \
    X(MIND, "mind", 0x8a6100, 0xe6b422) X(NOTE, "note", 0x005a8f, 0x66bdf0) X(PAPER, "paper", 0xffffff, 0x121212)
typedef enum ink {
#define X(NAME, word, light, dark) INK_##NAME,
    INKS(X)
#undef X
        N_INKS,
    INK_NONE = N_INKS
} ink;
unsigned ink_rgb(ink i);

typedef enum anchor { ANCHOR_START, ANCHOR_MIDDLE, ANCHOR_END } anchor;

/* Text heights (of a capital letter) after ISO 3098, in mm. Nothing on paper is smaller than the first. */
#define TEXT_SMALL 2.5
#define TEXT_NORMAL 3.5
#define TEXT_LARGE 5.0
#define TEXT_HUGE 10.0
/* What hangs below the base line (g, p, q, y, comma), as a fraction of the height. */
#define TEXT_DESCENT 0.3

typedef struct point {
    double x_mm, y_mm;
} point;

typedef struct pen {
    ink stroke, fill;
    line_width width;
    line_dash dash;
} pen;

typedef enum shape_type {
    SHAPE_PATH,
    SHAPE_CIRCLE,
    SHAPE_ARC,
    SHAPE_TEXT,
    SHAPE_GROUP_OPEN,
    SHAPE_GROUP_CLOSE
} shape_type;
typedef struct shape {
    shape_type type;
    const char *id;    /* GROUP_OPEN: "wire-P3"; unique in the scene, NULL for none */
    const char *role;  /* class for styles and for the page: "wire feed"; NULL for none */
    const char *title; /* GROUP_OPEN: what a reader hears */
    point *points;
    int n_points;
    bool is_closed; /* PATH */
    point at;
    double radius_mm, from_deg, to_deg; /* CIRCLE, ARC (clockwise on the paper from 3 o'clock);
                                                          TEXT: at is where the anchor meets the base line */
    pen pen;                            /* TEXT: fill counts */
    const char *text;
    double height_mm, text_width_mm;
    face face;
    anchor anchor; /* TEXT, upright always */
} shape;

/* Outer box, in mm. */
typedef struct box {
    double left, top, right, bottom;
} box;

/* A place that leads to another page of the same document, where a writer can do that. */
typedef struct scene_link {
    box at;
    int page; /* from 1 */
} scene_link;

typedef struct scene {
    double width_mm, height_mm;
    const char *title, *says; /* <title> and <desc> */
    bool is_screen;           /* not a sheet: what is on it can be pointed at, and shows states (svg.h) */
    ARRAY(shape) shapes;
    ARRAY(scene_link) links;
    const fonts *fonts;
    arena *arena;
} scene;

/* Texts are copied into the arena. */
scene *scene_create(arena *a, const fonts *f, double width_mm, double height_mm, const char *title, const char *says);

/* Groups nest; each opened one is closed before the scene is written. */
void scene_open(scene *s, const char *id, const char *role, const char *title);
void scene_close(scene *s);

/* Gives a class to the shape that was drawn last. */
void scene_mark(scene *s, const char *role);

void scene_line(scene *s, pen p, double x1_mm, double y1_mm, double x2_mm, double y2_mm);
void scene_polyline(scene *s, pen p, const point *points, int n, bool is_closed);
void scene_rect(scene *s, pen p, double x_mm, double y_mm, double width_mm, double height_mm);
void scene_circle(scene *s, pen p, double x_mm, double y_mm, double radius_mm);
void scene_arc(scene *s, pen p, double x_mm, double y_mm, double radius_mm, double from_deg, double to_deg);
void scene_text(scene *s, double x_mm, double y_mm, double height_mm, face f, anchor where, ink colour,
                const char *text);

/* The text that was added last leads to this page (from 1). */
void scene_link_text(scene *s, int page);

/* Enlarges all that is drawn so far about a point; line widths stay. */
void scene_enlarge(scene *s, point about, double factor);

/* An id for "wire", "P3": "wire-P3". What an XML name can't hold is written as _HEX_, so that ids stay unique. */
const char *scene_id(arena *a, const char *prefix, const char *name);

/* Of a text shape. */
box text_box(const shape *text);

#endif
