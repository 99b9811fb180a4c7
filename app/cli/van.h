/* What the commands that take a van file share. */
#ifndef CLI_VAN_H
#define CLI_VAN_H

#include "command.h"
#include "loomwall/edit.h"
#include "loomwall/judge.h"

/* Reads the van file of the first operand, which is not standard input when it is to be written. EXIT_OPEN, or a status
 * to end with, having complained. */
int load_van(const arguments *arguments, lw_van **van);

/* And judges it, with as many threads as asked, showing progress. */
int load_and_judge(const arguments *arguments, lw_van **van, lw_judgement **judgement);

/* Replaces the van file, where `--write` asks for it and the text is another one. EXIT_OPEN, or EXIT_FAILED, having
 * complained. */
int write_back(const arguments *arguments, const lw_van *van, const char *text);

/* Says a text that a call gave with LW_OK, and ends with `status`; else complains. Releases the text. */
int say_given(lw_status given, char *text, int status);

/* Complains of a status other than LW_OK, with *why if the call that gave it left words there; `why` may be NULL.
 * Returns the exit status. */
int complain_of(lw_status status, char *const *why);

/* The same of an edit: with the places in the file, where the van could not be read after it. */
int complain_of_edit(const lw_edited *edited, lw_status status);

#endif
