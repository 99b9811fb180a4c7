/* The workbench: one van file, served as a page on the loopback address until it is told to end. */
#ifndef WORKBENCH_WORKBENCH_H
#define WORKBENCH_WORKBENCH_H

#include <stdbool.h>

typedef struct workbench_options {
    const char *path; /* of the van file; NULL for a sitting that starts without one */
    int port;         /* 0 for any that is free */
    bool opens_browser;
    /* Told the address once, as soon as it answers. False ends the sitting. */
    bool (*tell)(const char *address);
    /* Told what stands against it. */
    void (*complain)(const char *format, ...) __attribute__((format(printf, 1, 2)));
} workbench_options;

typedef enum workbench_end { WORKBENCH_ENDED, WORKBENCH_UNREADABLE, WORKBENCH_FAILED } workbench_end;

/* Returns when SIGINT, SIGTERM or SIGHUP comes. */
workbench_end workbench_run(const workbench_options *options);

#endif
