/* A scene: what one sheet shows, as lines, shapes and text in millimetres, x to the right and y down from the top left
 * corner of the paper. It knows no volts and no pipes. svg.h and pdf.h write the same scene; every shape keeps its id.
 */
#ifndef DRAW_SCENE_H
#define DRAW_SCENE_H

#include "base/print.h"

/* Line widths after ISO 128, in mm. */
#define LINE_WIDTHS(X) X(THIN, 0.25) X(NORMAL, 0.35) X(WIDE, 0.5) X(HEAVY, 0.7)
typedef enum line_width {
#define X(NAME, mm) LINE_##NAME,
    LINE_WIDTHS(X)
#undef X
} line_width;
typedef enum line_dash { DASH_NONE, DASH_DASHED, DASH_DOTTED, DASH_DASH_DOT } line_dash;

/* Colours by meaning; the writers choose the values (Okabe and Ito on paper white; dark by style sheet in the SVG). */
#define INKS(X)                                                                                                        \
    X(INK, "ink")                                                                                                      \
    X(FAINT, "faint") X(FEED, "feed") X(RETURN, "return") X(MAINS, "mains") X(BOND, "bond") X(STOP, "stop")            \
        X(MIND, "mind") X(NOTE, "note") X(PAPER, "paper")
typedef enum ink {
#define X(NAME, word) INK_##NAME,
    INKS(X)
#undef X
        INK_NONE
} ink;

typedef enum face { FACE_SANS, FACE_SANS_BOLD, FACE_MONO, FACE_MONO_BOLD } face; /* B612, B612 Mono */
typedef enum anchor { ANCHOR_START, ANCHOR_MIDDLE, ANCHOR_END } anchor;

/* Text heights (of a capital letter) after ISO 3098, in mm. Nothing on paper is smaller than the first. */
#define TEXT_SMALL 2.5
#define TEXT_NORMAL 3.5
#define TEXT_LARGE 5.0

typedef struct point {
    double x_mm, y_mm;
} point;

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
    const char *id;    /* "wire-P3"; unique in the scene, NULL for none */
    const char *role;  /* class for styles and for the page: "wire feed", "label" */
    const char *title; /* what a reader hears; on groups */
    const point *points;
    int n_points;
    bool is_closed; /* PATH */
    point at;
    double radius_mm, from_deg, to_deg; /* CIRCLE, ARC; TEXT: at is the start of the base line */
    ink stroke, fill;
    line_width width;
    line_dash dash;
    const char *text;
    double height_mm;
    face face;
    anchor anchor; /* TEXT, upright always */
} shape;

typedef struct scene {
    double width_mm, height_mm;
    const char *title, *says; /* <title> and <desc> */
    ARRAY(shape) shapes;
    arena *arena;
} scene;

#endif
