/* A scene as SVG 1.1: real text, ids and classes on groups, and a style sheet for white paper and for a dark screen.
 * Cairo's own SVG has none of these. Printing always gives ink on white.
 *
 * A scene for the screen is put into a page, which brings the style once for all scenes: colours are variables (--ink-feed), by the
 * system's theme unless the root element says data-theme="light" or "dark"; `.hit` is transparent and takes the pointer; `.rays` do
 * not show, and of `.position` only the one at rest, until the page's own style says otherwise. */
#ifndef DRAW_SVG_H
#define DRAW_SVG_H

#include "draw/scene.h"

void svg_write(const scene *s, sink *out);

/* The style of scenes for the screen, which each of them also holds. */
void svg_style_screen(sink *out);

#endif
