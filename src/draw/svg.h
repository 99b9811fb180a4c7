/* A scene as SVG 1.1: real text, ids and classes on groups, and a style sheet for white paper and for a dark screen.
 * Cairo's own SVG has none of these. Printing always gives ink on white. */
#ifndef DRAW_SVG_H
#define DRAW_SVG_H

#include "draw/scene.h"

void svg_write(const scene *s, sink *out);

#endif
