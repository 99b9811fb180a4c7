/* The builder's browser, where there is one. */
#ifndef WORKBENCH_BROWSER_H
#define WORKBENCH_BROWSER_H

/* Opens the address in $BROWSER, or with what the desktop has for that, if there is a desktop. Nothing waits for it, and nothing
 * is said when it can't: the address was printed. */
void browser_open(const char *address);

#endif
