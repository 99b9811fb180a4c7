/* Does any text of a scene lie on a line, on the outline of a shape or on another text? Do lines of two wires run on
 * each other, and how often do they cross? */
#ifndef TESTS_OVERLAPS_H
#define TESTS_OVERLAPS_H

#include "draw/scene.h"

typedef struct overlaps {
    int n_text_on_line, n_text_on_text, n_text_off_page;
    int n_wire_on_wire; /* of different wires, longer than 1 mm, but for stubs that they share at one port */
    int n_crossings;    /* of wires with wires */
    char first[200];    /* what was found first, for the message */
} overlaps;

overlaps overlaps_in(const scene *s);

#endif
