/* What the commands that take a van file share. */
#ifndef CLI_VAN_H
#define CLI_VAN_H

#include "command.h"
#include "loomwall/judge.h"

/* Reads the van file of the first operand. EXIT_OPEN, or a status to end with, having complained. */
int load_van(const arguments *arguments, lw_van **van);

/* And judges it, with as many threads as asked, showing progress. */
int load_and_judge(const arguments *arguments, lw_van **van, lw_judgement **judgement);

/* Complains of a status other than LW_OK, with *why if the call that gave it left words there; `why` may be NULL.
 * Returns the exit status. */
int complain_of(lw_status status, char *const *why);

#endif
