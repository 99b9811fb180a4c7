/* Scenes for the screen: what the sheets show, uncut and without a frame, with every terminal within reach and every position of
 * every switch drawn. docs/sheets.md says which groups they hold. */
#ifndef SHEETS_SCREEN_H
#define SHEETS_SCREEN_H

#include "draw/scene.h"
#include "study/study.h"

typedef struct screen {
    const char *id;    /* "diagram", "front-galley", "back-galley", "front-loose" */
    const char *title; /* "Front of panel: galley" */
    const char *panel; /* NULL: of no panel */
    enum { SCREEN_DIAGRAM, SCREEN_FRONT, SCREEN_BACK } form;
} screen;

/* Those that a van has: the diagram, front and back of each panel, and what a hand moves but no panel carries. */
screen *screens_of(arena *a, const van *v, int *n);

/* `s` needs no more than study_outline gives. */
scene *screen_draw(arena *a, const fonts *f, const study *s, const screen *which);

#endif
