/* `loomwall open`: the workbench. */
#include "command.h"
#include "say.h"
#include "workbench.h"

#include <stdlib.h>
#include <string.h>

/* -1, having complained, when --port is no port. */
static int port_of(const arguments *arguments)
{
    const char *asked = argument(arguments, OPTION_PORT);
    if (!asked) return 0;
    char *end;
    long n = strtol(asked, &end, 10);
    if (end != asked && *end == '\0' && n >= 1 && n <= 65535) return (int)n;
    complain("`%s` is not a port; give a number from 1 to 65535, or leave it out for any that is free", asked);
    return -1;
}

static bool tell_address(const char *address)
{
    return say(address, EXIT_OPEN) == EXIT_OPEN && say("\n", EXIT_OPEN) == EXIT_OPEN;
}

int run_open(const arguments *arguments)
{
    const char *path = arguments->n_operands > 0 ? arguments->operands[0] : NULL;
    if (path && strcmp(path, "-") == 0) {
        complain("the workbench can't open standard input, since it writes to the file; name a van file");
        return EXIT_UNREAD;
    }
    workbench_options options = {
        .path = path,
        .port = port_of(arguments),
        .opens_browser = !is_given(arguments, OPTION_NO_BROWSER),
        .tell = tell_address,
        .complain = complain,
    };
    if (options.port < 0) return EXIT_UNREAD;
    switch (workbench_run(&options)) {
    case WORKBENCH_ENDED:
        return EXIT_OPEN;
    case WORKBENCH_UNREADABLE:
        return EXIT_UNREAD;
    case WORKBENCH_FAILED:
        break;
    }
    return EXIT_FAILED;
}
