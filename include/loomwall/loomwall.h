/* Loomwall: a van goes in, a study comes out.
 *
 * The map of the public headers, in the order in which a program uses them:
 *
 *   status.h   what calls return, texts, and what is wrong with a file
 *   van.h      the text of a van file to a van
 *   label.h    the labels of a van, into its file
 *   edit.h     edits of a van, into its file
 *   judge.h    a van to findings and gates
 *   circuits.h ready-made circuits into a van, and a whole one to start from
 *   meter.h    a van in one set of positions to volts and amperes
 *   scene.h    a van to scenes for the screen
 *   sheets.h   a judged van to drawings and lists
 *   tell.h     what the program knows: kinds, rules, the schema, a starter file
 *
 * The library opens no file, prints nothing, has no clock and keeps no state between calls. Calls that share no object
 * may run in different threads. What a call gives out is released by the function named beside it; every such function
 * takes NULL. Quantities are SI doubles (volts, amperes, kelvin; charge as a fraction), texts are UTF-8, ended with NUL.
 */
#ifndef LOOMWALL_LOOMWALL_H
#define LOOMWALL_LOOMWALL_H

#include "loomwall/circuits.h"
#include "loomwall/edit.h"
#include "loomwall/judge.h"
#include "loomwall/label.h"
#include "loomwall/meter.h"
#include "loomwall/scene.h"
#include "loomwall/sheets.h"
#include "loomwall/status.h"
#include "loomwall/tell.h"
#include "loomwall/van.h"

#endif
