/* Graphical symbols after IEC 60617, and what is written beside them. A kind names its symbol; a kind without one, or an
 * item whose terminals do not lie as its symbol wants them, is a box with its terminals named. */
#ifndef SHEETS_SYMBOLS_H
#define SHEETS_SYMBOLS_H

#include "sheets/plan.h"

/* X(NAME, word in kinds/, height in mm, half width in mm): symbols with one terminal above and one below */
#define SYMBOLS(X)                                                                                                     \
    X(BATTERY, "battery", 7, 5)                                                                                        \
    X(FUSE, "fuse", 9, 1.6)                                                                                            \
    X(BREAKER, "breaker", 10, 4)                                                                                       \
    X(SWITCH, "switch", 10, 4)                                                                                         \
    X(SHUNT, "shunt", 10, 3)                                                                                           \
    X(LAMP, "lamp", 8, 4)                                                                                              \
    X(LED, "led", 9, 6)                                                                                                \
    X(MOTOR, "motor", 9, 4.5)                                                                                          \
    X(HEATER, "heater", 12, 2)                                                                                         \
    X(FRIDGE, "fridge", 10, 5) X(OUTLET, "outlet", 8, 5) X(VOLTMETER, "voltmeter", 9, 4.5) X(LOAD, "load", 9, 4.5)
typedef enum symbol {
#define X(NAME, word, height, half_width) SYMBOL_##NAME,
    SYMBOLS(X)
#undef X
        SYMBOL_LIT_SWITCH, /* lamp on a lane of its own on the left, or beside the contact */
    SYMBOL_CHANGEOVER,     /* one above, two below */
    SYMBOL_BOX
} symbol;

/* Where one item stands on paper. */
typedef struct spot {
    symbol symbol;
    double x_mm;              /* lane of a symbol; left edge of a box */
    double right_mm;          /* right edge of a box */
    double lamp_x_mm;         /* LIT_SWITCH: lane of the lamp, when it has one; b of a CHANGEOVER */
    double top_mm, bottom_mm; /* of the symbol: where wires meet it */
    double text_mm;           /* room for text to the right of x (symbols), or inside (boxes) */
} spot;

symbol symbol_of(const plan *p, int i);
double symbol_height(const plan *p, int i, symbol s, double text_mm);
/* Least room to the left and to the right of the lanes, without text. */
double symbol_half_width(symbol s);
/* To the left of the lane, with the signs of an item that shows them. */
double symbol_left(const plan *p, int i, symbol s);

/* "250 A, class-t": what is printed on the device or the load. "" if nothing. */
const char *item_rating(const book *b, int i);
/* "2.5 mm2"; "size not chosen". */
const char *wire_size_text(const book *b, int w);
/* The name in a terminal's label: "lamp-return" of "pump-switch.lamp-return". */
const char *terminal_word(const van *v, int t);

/* What stands beside a symbol: name in bold, then rating. */
typedef struct caption {
    lines name, rating;
    double width_mm, height_mm;
} caption;
caption caption_of(const book *b, int i, double width_mm);
/* Draws it; y is the top. */
void caption_draw(scene *s, const caption *c, double x_mm, double y_mm);

void symbol_draw(const plan *p, scene *s, int i, const spot *at, const double *lane_mm);
/* A fuse of a block, hanging from (or standing on) its bar. */
void fuse_draw(scene *s, double x_mm, double top_mm, double bottom_mm);
void chassis_draw(scene *s, double x_mm, double y_mm);
void dot_draw(scene *s, double x_mm, double y_mm);

#endif
