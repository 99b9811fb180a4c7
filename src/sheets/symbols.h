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
/* "10 A": the rating of the fuse in the slot at a terminal; "" if it is no slot. */
const char *slot_text(const book *b, int t);
/* It shines: a lamp among its elements, or a light. */
bool item_is_lamp(const van *v, int i);
/* "item", "item switch" for what a hand can switch, "item dial". */
const char *item_class(const van *v, int i);
/* On the screen a position of an item is a group that shows while the item stands in it; the first shows at first. */
void position_open(scene *s, const van *v, int i, int position);
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
/* Where a terminal without wires is reached on the screen. */
point symbol_loose_end(const plan *p, int i, const spot *at, int t);
/* Least width of a box on the screen, for what stands in it beside its caption. */
double box_width(const plan *p, int i);
/* A lamp with the rays that show while it is lit, as a group of its own. */
void lamp_draw(scene *s, const van *v, int i, double x_mm, double y_mm, double radius_mm);
/* A fuse of a block, hanging from (or standing on) its bar. */
void fuse_draw(scene *s, double x_mm, double top_mm, double bottom_mm);
void chassis_draw(scene *s, double x_mm, double y_mm);
/* The sign of a terminal without wires. */
void open_draw(scene *s, double x_mm, double y_mm);
void dot_draw(scene *s, double x_mm, double y_mm);

#endif
