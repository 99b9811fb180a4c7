/* Words to the builder: to standard output whole or not at all, complaints to standard error, colour and width where
 * there is a terminal. */
#ifndef CLI_SAY_H
#define CLI_SAY_H

#include "base/print.h"

/* Writes a text to standard output. Returns `status`, or EXIT_FAILED, having complained, when it could not be written. */
int say(const char *text, int status);

/* The same; on a terminal, lines that are wider than it are broken between words. */
int say_broken(arena *a, const char *text, int status);

/* To standard error: "loomwall: ..." and a new line; or a text as it is. */
void complain(const char *format, ...) __attribute__((format(printf, 1, 2)));
void complain_text(const char *text);

/* --color: auto, always or never; NULL is auto: on a terminal, unless NO_COLOR is set (no-color.org) or TERM is dumb.
 * False, having complained, for another word. */
bool say_choose_colour(const char *when);

typedef enum paint { PAINT_PLAIN, PAINT_STRONG, PAINT_FAINT, PAINT_STOP, PAINT_MIND, PAINT_NOTE, PAINT_OPEN } paint;

/* Text in a colour, where colour is wanted. */
void sink_painted(sink *s, paint paint, const char *text);

/* Columns of the terminal, between 40 and 120; 80 where there is none. */
int say_width(void);

/* "a, b" */
void sink_words(sink *s, const char *const *words, size_t n);

/* Words broken to the width, each line after the first indented by `indent` spaces; the first starts at column `at`. */
void sink_wrapped(sink *s, const char *text, int at, int indent);

/* Told of work done, 0..1; shows it on standard error when that is a terminal and the work takes over a second. */
void say_progress(void *context, double done);
void say_progress_over(void);

#endif
