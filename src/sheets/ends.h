/* The two ends of a wire as a builder meets them: which terminal, what makes the joint, what to crimp on. */
#ifndef SHEETS_ENDS_H
#define SHEETS_ENDS_H

#include "sheets/page.h"

/* "M8 stud" of a terminal; "" when its kind does not say. */
const char *end_fitting(const van *v, int terminal_index);
/* What goes on the conductor there: "M8 ring terminal", "6.3 mm push-on terminal", "end sleeve", "splice"; "terminal to
 * suit" when the kind does not say. */
const char *end_part(const book *b, int terminal_index);
/* "red"; "no colour given". */
const char *wire_colour(const van *v, int w);
/* "4.1"; "" when the file leaves it open. In metres. */
const char *wire_length_text(const book *b, int w);

#endif
