/* Faces by name, and how wide a text runs in them. B612 and B612 Mono were made for cockpits: 1, l, I and 0, O differ.
 * A face that is missing is an error, never a silent substitute: labels would no longer be told apart. */
#ifndef DRAW_FONTS_H
#define DRAW_FONTS_H

#include "base/print.h"

/* X(NAME, family, weight in CSS, fallback family in CSS) */
#define FACES(X)                                                                                                       \
    X(SANS, "B612", 400, "sans-serif")                                                                                 \
    X(SANS_BOLD, "B612", 700, "sans-serif")                                                                            \
    X(MONO, "B612 Mono", 400, "monospace") X(MONO_BOLD, "B612 Mono", 700, "monospace")
typedef enum face {
#define X(NAME, family, weight, generic) FACE_##NAME,
    FACES(X)
#undef X
        N_FACES
} face;

/* Height of a capital letter over the em, OS/2 table of both families (1500/2000). */
#define CAPITAL_PER_EM 0.75

typedef struct fonts fonts;

/* Used by one thread at a time: widths are kept. NULL when a family is missing; then *missing names it. Released with the arena. */
fonts *fonts_open(arena *a, const char **missing);

/* Advance width of a text (UTF-8) whose capitals are height_mm high. */
double fonts_width_mm(const fonts *f, face in, double height_mm, const char *text);

/* The Pango font description of a face (PangoFontDescription), without a size. For pdf.c. */
const void *fonts_description(const fonts *f, face of);

#endif
