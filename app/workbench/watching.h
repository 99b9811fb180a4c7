/* Watching the file for what others write: told by the kernel where it can (inotify, on the folder, since editors replace
 * files), and by a look every fifth of a second everywhere, since network folders tell nothing. */
#ifndef WORKBENCH_WATCHING_H
#define WORKBENCH_WATCHING_H

#include "sitting.h"
#include "ticker.h"

bool watching_start(ticker *t, sitting *s);
void watching_stop(ticker *t);

#endif
